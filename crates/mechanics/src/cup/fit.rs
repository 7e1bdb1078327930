//! Whether a cup fits where it is put: the crown of the panel under the seal, and room around it.

use super::{CupError, finite, not_negative, positive};
use glam::DVec2;

/// Curvature of a panel at a point: two principal curvatures, + where the panel is convex towards the cup.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Crown {
    along_per_m: f64,
    across_per_m: f64,
}

impl Crown {
    /// A flat panel.
    pub const FLAT: Self = Self { along_per_m: 0.0, across_per_m: 0.0 };

    /// From the two principal radii, `None` for straight; negative for a hollow.
    ///
    /// # Errors
    ///
    /// [`CupError`] if a radius is 0 or not finite.
    pub fn from_radii_m(along: Option<f64>, across: Option<f64>) -> Result<Self, CupError> {
        let curvature = |radius: Option<f64>| match radius {
            None => Ok(0.0),
            Some(r) if finite("crown radius", r)?.abs() > 0.0 => finite("crown curvature", 1.0 / r),
            Some(r) => Err(CupError::OutOfRange { what: "crown radius", value: r, needs: "other than 0" }),
        };
        Ok(Self { along_per_m: curvature(along)?, across_per_m: curvature(across)? })
    }

    /// Curvature of the section at an azimuth from the first principal direction, 1/m.
    ///
    /// `k(a) = k1 cos² a + k2 sin² a` (Euler's theorem on normal sections).
    ///
    /// # Errors
    ///
    /// [`CupError`] if the azimuth is not finite.
    pub fn curvature_per_m(self, azimuth_rad: f64) -> Result<f64, CupError> {
        let (sin, cos) = finite("azimuth", azimuth_rad)?.sin_cos();
        Ok(self.along_per_m * cos * cos + self.across_per_m * sin * sin)
    }

    /// How far the panel falls away (+) or rises (-) under the seal at an azimuth, m.
    ///
    /// ```text
    /// s(a) = r² k(a) / 2
    /// ```
    ///
    /// # Assumes
    ///
    /// Shallow crown, `r` well below the radius: at `r = R/4` the circle gives 1.6 % more.
    ///
    /// # Source
    ///
    /// Second-order sagitta of a circle; `docs/mechanics.md` §5.6.
    ///
    /// # Errors
    ///
    /// [`CupError`] if the radius is not positive or the azimuth not finite.
    pub fn sagitta_m(self, seal_radius_m: f64, azimuth_rad: f64) -> Result<f64, CupError> {
        let r = positive("seal radius", seal_radius_m)?;
        finite("sagitta", 0.5 * r * r * self.curvature_per_m(azimuth_rad)?)
    }

    /// The largest distance, either way, that the lip must follow, m: the worst azimuth is a principal one.
    ///
    /// # Errors
    ///
    /// [`CupError`] if the radius is not positive.
    pub fn worst_sagitta_m(self, seal_radius_m: f64) -> Result<f64, CupError> {
        let r = positive("seal radius", seal_radius_m)?;
        finite("sagitta", 0.5 * r * r * self.along_per_m.abs().max(self.across_per_m.abs()))
    }

    /// Whether the lip follows, and by how much it does or does not: limit minus worst sagitta, m.
    ///
    /// # Errors
    ///
    /// [`CupError`] if the radius is not positive or the limit negative.
    pub fn lip_spare_m(self, seal_radius_m: f64, lip_follows_m: f64) -> Result<f64, CupError> {
        Ok(not_negative("lip follow limit", lip_follows_m)? - self.worst_sagitta_m(seal_radius_m)?)
    }
}

/// A circle on the panel: the outside of a cup, head and lever included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    centre_m: DVec2,
    radius_m: f64,
}

impl Circle {
    /// From centre and radius.
    ///
    /// # Errors
    ///
    /// [`CupError`] unless the centre is finite and the radius positive.
    pub fn new(centre_m: DVec2, radius_m: f64) -> Result<Self, CupError> {
        check_point(centre_m)?;
        Ok(Self { centre_m, radius_m: positive("circle radius", radius_m)? })
    }

    /// Clear distance to another circle, m; negative by how much they overlap.
    pub fn gap_to_circle_m(self, other: Self) -> f64 {
        self.centre_m.distance(other.centre_m) - self.radius_m - other.radius_m
    }

    /// Clear distance to a keep-out zone, m; negative inside or across its edge.
    pub fn gap_to_keep_out_m(self, zone: &Outline) -> f64 {
        zone.signed_distance_m(self.centre_m) - self.radius_m
    }

    /// Clear distance to the edge of the panel the circle must lie within, m; negative where it overhangs.
    pub fn gap_to_edge_m(self, panel: &Outline) -> f64 {
        -panel.signed_distance_m(self.centre_m) - self.radius_m
    }

    /// Clear distance to a straight piece of edge, crease or trim from `a` to `b`, m.
    ///
    /// # Errors
    ///
    /// [`CupError`] if an end is not finite.
    pub fn gap_to_line_m(self, a: DVec2, b: DVec2) -> Result<f64, CupError> {
        check_point(a)?;
        check_point(b)?;
        Ok(distance_to_segment_m(self.centre_m, a, b) - self.radius_m)
    }
}

/// A closed outline in the panel plane that does not cross itself, either way round.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    corners_m: Vec<DVec2>,
}

impl Outline {
    /// From its corners in order.
    ///
    /// # Errors
    ///
    /// [`CupError`] with fewer than three corners, no area, corners that are not finite, or crossing sides.
    pub fn new(corners_m: Vec<DVec2>) -> Result<Self, CupError> {
        if corners_m.len() < 3 {
            return Err(CupError::Count {
                what: "corners",
                given: corners_m.len(),
                needs: "an outline has at least three",
            });
        }
        for &c in &corners_m {
            check_point(c)?;
        }
        let outline = Self { corners_m };
        if outline.crosses() {
            return Err(CupError::OutlineCrosses);
        }
        let twice: f64 = outline.sides().map(|(a, b)| a.perp_dot(b)).sum();
        positive("area of the outline", twice.abs() / 2.0)?;
        Ok(outline)
    }

    /// A rectangle from its centre, its half sizes and its turn from the x axis.
    ///
    /// # Errors
    ///
    /// [`CupError`] if a half size is not positive or a value not finite.
    pub fn rectangle(centre_m: DVec2, half_m: DVec2, turn_rad: f64) -> Result<Self, CupError> {
        let h = DVec2::new(positive("half size", half_m.x)?, positive("half size", half_m.y)?);
        let turn = DVec2::from_angle(finite("turn", turn_rad)?);
        let corner = |sx: f64, sy: f64| centre_m + turn.rotate(DVec2::new(sx * h.x, sy * h.y));
        Self::new(vec![corner(1.0, 1.0), corner(-1.0, 1.0), corner(-1.0, -1.0), corner(1.0, -1.0)])
    }

    fn sides(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        self.corners_m.iter().copied().zip(self.corners_m.iter().copied().cycle().skip(1))
    }

    /// Sides that share a corner never cross properly, so they need no exception.
    fn crosses(&self) -> bool {
        let sides: Vec<_> = self.sides().collect();
        sides
            .iter()
            .enumerate()
            .any(|(i, &(a, b))| sides.iter().skip(i + 1).any(|&(c, d)| segments_cross(a, b, c, d)))
    }

    /// Distance of a point from the outline, m, negative inside.
    pub fn signed_distance_m(&self, point_m: DVec2) -> f64 {
        let mut inside = false;
        let mut nearest = f64::INFINITY;
        for (a, b) in self.sides() {
            nearest = nearest.min(distance_to_segment_m(point_m, a, b));
            // A ray along +x crosses the side.
            if (a.y > point_m.y) != (b.y > point_m.y) {
                let x = a.x + (point_m.y - a.y) / (b.y - a.y) * (b.x - a.x);
                inside ^= point_m.x < x;
            }
        }
        if inside { -nearest } else { nearest }
    }
}

/// Distance of a point from a straight piece from `a` to `b`, m.
pub fn distance_to_segment_m(point_m: DVec2, a: DVec2, b: DVec2) -> f64 {
    let d = b - a;
    let length_squared = d.length_squared();
    let t = if length_squared > 0.0 { ((point_m - a).dot(d) / length_squared).clamp(0.0, 1.0) } else { 0.0 };
    point_m.distance(a + t * d)
}

fn segments_cross(a: DVec2, b: DVec2, c: DVec2, d: DVec2) -> bool {
    let side = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
    let opposite = |u: f64, v: f64| (u > 0.0 && v < 0.0) || (u < 0.0 && v > 0.0);
    opposite(side(a, b, c), side(a, b, d)) && opposite(side(c, d, a), side(c, d, b))
}

fn check_point(p: DVec2) -> Result<(), CupError> {
    finite("position", p.x)?;
    finite("position", p.y)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};
    use proptest::prelude::*;

    /// Rounding of lengths of a few metres, m.
    const LENGTH_ERR_M: f64 = 1e-12;

    #[test]
    fn sagitta_by_direction() {
        let c = Crown::from_radii_m(Some(2.0), Some(-8.0)).unwrap();
        assert!((c.sagitta_m(0.125, 0.0).unwrap() - 0.125 * 0.125 / 4.0).abs() < LENGTH_ERR_M);
        assert!((c.sagitta_m(0.125, FRAC_PI_2).unwrap() + 0.125 * 0.125 / 16.0).abs() < LENGTH_ERR_M);
        let mid = c.sagitta_m(0.125, FRAC_PI_4).unwrap();
        assert!((mid - 0.5 * 0.125 * 0.125 * (0.5 * 0.5 - 0.5 * 0.125)).abs() < LENGTH_ERR_M);
        assert!((c.worst_sagitta_m(0.125).unwrap() - 0.003_906_25).abs() < LENGTH_ERR_M);
        assert!(c.lip_spare_m(0.125, 0.004).unwrap() > 0.0 && c.lip_spare_m(0.125, 0.003).unwrap() < 0.0);
        assert!(Crown::FLAT.worst_sagitta_m(0.125).unwrap() <= 0.0);
        // The circle itself at r = R/4: 1.6 % more.
        let exact = 2.0 - (4.0_f64 - 0.25).sqrt();
        assert!((exact / c.sagitta_m(0.5, 0.0).unwrap() - 1.016).abs() < 1e-3);
    }

    #[test]
    fn room_around_a_cup() {
        let cup = Circle::new(DVec2::new(0.5, 0.3), 0.1).unwrap();
        let panel = Outline::rectangle(DVec2::new(0.5, 0.5), DVec2::new(0.5, 0.5), 0.0).unwrap();
        assert!((cup.gap_to_edge_m(&panel) - 0.2).abs() < LENGTH_ERR_M);
        let zone = Outline::rectangle(DVec2::new(0.5, 0.8), DVec2::new(0.05, 0.1), FRAC_PI_2).unwrap();
        assert!((cup.gap_to_keep_out_m(&zone) - 0.35).abs() < LENGTH_ERR_M);
        let around = Outline::rectangle(DVec2::new(0.5, 0.3), DVec2::new(0.2, 0.3), 0.0).unwrap();
        assert!((cup.gap_to_keep_out_m(&around) + 0.3).abs() < LENGTH_ERR_M);
        let other = Circle::new(DVec2::new(0.5, 0.45), 0.1).unwrap();
        assert!((cup.gap_to_circle_m(other) + 0.05).abs() < LENGTH_ERR_M);
        let past_the_end = cup.gap_to_line_m(DVec2::new(0.8, 0.7), DVec2::new(2.0, 0.7)).unwrap();
        assert!((past_the_end - 0.4).abs() < LENGTH_ERR_M);
    }

    #[test]
    fn an_l_shape_is_not_its_hull() {
        let l = Outline::new(
            [(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (1.0, 1.0), (1.0, 2.0), (0.0, 2.0)]
                .into_iter()
                .map(DVec2::from)
                .collect(),
        )
        .unwrap();
        assert!((l.signed_distance_m(DVec2::new(1.5, 1.5)) - 0.5).abs() < LENGTH_ERR_M);
        assert!((l.signed_distance_m(DVec2::new(0.5, 1.5)) + 0.5).abs() < LENGTH_ERR_M);
    }

    #[test]
    fn bad_shapes_are_refused() {
        let at = |x: f64, y: f64| DVec2::new(x, y);
        let bow = vec![at(0.0, 0.0), at(1.0, 1.0), at(1.0, 0.0), at(0.0, 1.0)];
        assert_eq!(Outline::new(bow), Err(CupError::OutlineCrosses));
        assert!(Outline::new(vec![at(0.0, 0.0), at(1.0, 0.0)]).is_err());
        assert!(Outline::new(vec![at(0.0, 0.0), at(1.0, 0.0), at(2.0, 0.0)]).is_err());
        assert!(Outline::new(vec![at(0.0, 0.0), at(1.0, f64::NAN), at(2.0, 0.0)]).is_err());
        assert!(Circle::new(at(0.0, 0.0), 0.0).is_err());
        assert!(Crown::from_radii_m(Some(0.0), None).is_err());
        assert!(Crown::from_radii_m(None, Some(f64::INFINITY)).is_err());
        assert!(Crown::FLAT.lip_spare_m(0.1, -1.0).is_err());
    }

    proptest! {
        #[test]
        fn no_azimuth_is_worse_than_the_worst(
            r1 in 0.5..50.0_f64, r2 in 0.5..50.0_f64, hollow in any::<bool>(), a in 0.0..PI
        ) {
            let c = Crown::from_radii_m(Some(r1), Some(if hollow { -r2 } else { r2 })).unwrap();
            prop_assert!(c.sagitta_m(0.125, a).unwrap().abs() <= c.worst_sagitta_m(0.125).unwrap() + LENGTH_ERR_M);
        }

        #[test]
        fn turning_everything_changes_no_gap(x in -2.0..2.0_f64, y in -2.0..2.0_f64, turn in 0.0..6.0_f64) {
            let spin = DVec2::from_angle(turn);
            let here = Outline::rectangle(DVec2::new(0.2, 0.1), DVec2::new(0.7, 0.4), 0.3).unwrap();
            let there = Outline::rectangle(spin.rotate(DVec2::new(0.2, 0.1)), DVec2::new(0.7, 0.4), 0.3 + turn).unwrap();
            let p = DVec2::new(x, y);
            prop_assert!((here.signed_distance_m(p) - there.signed_distance_m(spin.rotate(p))).abs() < 1e-9);
        }
    }
}
