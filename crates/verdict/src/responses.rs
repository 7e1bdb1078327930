//! The waist of the hourglass: responses `r = R u` to the basis actions of one structure.
//!
//! `u = [specific force x y z | arm wrench Fx Fy Fz Mx My Mz at the mast base | tension fitted to each strap | one column
//! for each wind]`.
//! Wind on tubes is not linear in its components (only the flow across a tube counts, squared), so each distinct wind of
//! the manoeuvres is a column of its own, exactly, instead of two columns that would be wrong for a slanting wind.

use crate::parts::PartRef;
use crate::structure::{Structure, TubeMap, TubeMember, platform_axes};
use glam::DVec3;
use mechanics::air::drag::tube_force_per_length;
use mechanics::frame::beam;
use mechanics::frame::{Factored, Internal, Load, Lost, SolveError};
use mechanics::wrench::Wrench;
use rig::model::Rig;
use std::borrow::Cow;

/// Index of the first arm-wrench column.
pub const ARM_COLUMN: usize = 3;
/// Where the columns of `u` stand after specific force and arm wrench.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Columns {
    /// How many straps pull (tethers hang slack).
    pub strands: usize,
    /// How many winds there are.
    pub winds: usize,
}

impl Columns {
    /// Column of the tension fitted to a strand, N.
    pub fn strand(self, strand: usize) -> usize {
        ARM_COLUMN + 6 + strand
    }

    /// Column of a wind; 1 where it blows.
    pub fn wind(self, wind: usize) -> usize {
        ARM_COLUMN + 6 + self.strands + wind
    }

    /// How many columns there are.
    pub fn count(self) -> usize {
        ARM_COLUMN + 6 + self.strands + self.winds
    }
}

/// A place along a tube where its internal forces are read: rows `N Vy Vz T My Mz`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Which tube.
    pub tube: usize,
    /// Which member of the frame.
    pub member: usize,
    /// How far from the member's first end, m.
    pub along_m: f64,
    /// How far from the tube's end `a`, m.
    pub at_m: f64,
    /// First row.
    pub row: usize,
}

/// Stations of a member are no farther apart than so many of its outer diameters.
const APART: f64 = 6.0;

/// A member has no more parts between stations than this.
const MOST_PARTS: f64 = 256.0;

/// Where a member's stations are from its first end, m: at its ends, unless nothing is there, and as many between them as it takes.
fn stations((length, outer): (f64, f64), free: [bool; 2]) -> impl Iterator<Item = f64> {
    let parts = (length / (APART * outer)).ceil().clamp(1.0, MOST_PARTS);
    let all = core::iter::successors(Some(0.0), move |k| (*k < parts).then_some(k + 1.0));
    all.filter(move |k| !(free[0] && *k <= 0.0 || free[1] && *k >= parts)).map(move |k| k / parts * length)
}

/// Where each part's rows start.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// Six rows a cup: force and moment of the panel on the rig in the cup's axes (along, across, out of the panel).
    pub cup: Vec<usize>,
    /// One row a strap: its tension.
    pub strap: Vec<Option<usize>>,
    /// Six rows a station, member by member along each tube.
    pub station: Vec<Station>,
    /// Six rows a jaw, in the order of [`Structure::jaws`]: force and moment on the tube, along it first
    /// (`Fx Fy Fz Mx My Mz` in the tube's axes).
    pub jaw: Vec<usize>,
    /// Six rows a leg: force and moment of the leg on its platform, platform axes (along, across, out of its top) about
    /// the leg's top.
    pub leg_top: Vec<Option<usize>>,
    /// Six rows a platform: movement (m) and rotation (rad) of its top centre.
    pub platform: Vec<usize>,
    /// Number of rows.
    pub rows: usize,
}

impl Layout {
    /// The rows of a structure.
    pub fn of(rig: &Rig, s: &Structure) -> Self {
        let mut at = 0;
        let mut take = |n: usize| {
            at += n;
            at - n
        };
        let cup = (0..rig.cups.len()).map(|_| take(6)).collect();
        let strap = s.strand_of.iter().map(|x| x.map(|_| take(1))).collect();
        let mut station = Vec::new();
        for (tube, map) in s.tubes.iter().enumerate() {
            let outer = rig.tubes[tube].section.outer;
            for TubeMember { member, from_m, free } in map.in_order() {
                let all = stations((s.frame.member_length(member), outer), free);
                station.extend(all.map(|along_m| Station {
                    tube,
                    member,
                    along_m,
                    at_m: from_m + along_m,
                    row: take(6),
                }));
            }
        }
        let jaw = s.jaws.iter().map(|_| take(6)).collect();
        let legs = s.jaws.iter().filter(|j| matches!(j.part, PartRef::Leg(_))).count();
        let leg_top = (0..rig.legs.len()).map(|l| (l < legs).then(|| take(6))).collect();
        let platform = (0..rig.platforms.len()).map(|_| take(6)).collect();
        Self { cup, strap, station, jaw, leg_top, platform, rows: at }
    }
}

impl Layout {
    /// The station whose rows begin so.
    pub fn station_of(&self, start: usize) -> Option<&Station> {
        let k = self.station.binary_search_by_key(&start, |station| station.row).ok()?;
        self.station.get(k)
    }

    /// The stations of each member that has some, in their order along it.
    pub fn members(&self) -> impl Iterator<Item = &[Station]> {
        self.station.chunk_by(|a, b| a.member == b.member)
    }
}

/// `R` of one structure with some part lost: row-major, `rows x columns`.
#[derive(Clone, Debug, PartialEq)]
pub struct Responses {
    /// Row-major numbers.
    pub r: Vec<f64>,
    /// Columns.
    pub columns: usize,
    /// Largest residual over largest load of the solves behind it.
    pub worst_residual: f64,
}

impl Responses {
    /// One row.
    pub fn row(&self, row: usize) -> &[f64] {
        &self.r[row * self.columns..(row + 1) * self.columns]
    }

    /// `r = R u` for one action.
    pub fn respond(&self, u: &[f64]) -> Vec<f64> {
        self.r.chunks_exact(self.columns).map(|row| row.iter().zip(u).map(|(a, b)| a * b).sum()).collect()
    }
}

/// The node that the arm (or, without one, a unit action) acts at: the arm's platform, else the first.
pub fn mast_node(rig: &Rig, s: &Structure) -> Option<usize> {
    let platform = rig.arm.as_ref().map_or(0, |a| a.platform);
    s.platform_node.get(platform).copied()
}

/// Wind on tubes, platforms and items for one relative wind, as a load.
pub fn wind_load(rig: &Rig, s: &Structure, density: f64, v: DVec3) -> Load {
    let mut load = Load::default();
    if v.length() < 1e-9 {
        return load;
    }
    for (t, map) in s.tubes.iter().enumerate() {
        let tube = &rig.tubes[t];
        let f =
            tube_force_per_length(density, tube.section.drag.value, tube.section.outer, tube.b - tube.a, v);
        if let Ok(f) = f {
            load.line.extend(map.members.iter().map(|m| (*m, f)));
        }
    }
    let bluff = |areas: DVec3, cd: f64| areas * v * (0.5 * density * cd * v.length());
    for (p, platform) in rig.platforms.iter().enumerate() {
        let d = platform.size;
        let axes = platform_axes(platform);
        let areas = DVec3::new(d.y * d.z, d.x * d.z, d.x * d.y);
        let local = beam::into_axes(&axes, v);
        let force =
            beam::out_of_axes(&axes, areas * local) * (0.5 * density * platform.drag.value * v.length());
        let w = Wrench::of_force_at(force, platform.normal * (-d.z / 2.0));
        load.nodal.push((s.platform_node[p], w));
    }
    for (i, item) in rig.items.iter().enumerate() {
        if let (Some(drag), Some(node)) = (&item.drag, s.item_node.get(i)) {
            let arm = item.at - s.frame.nodes[*node];
            load.nodal.push((*node, Wrench::of_force_at(bluff(drag.areas, drag.coefficient.value), arm)));
        }
    }
    load
}

/// The basis loads in column order.
pub fn basis(rig: &Rig, s: &Structure, density: f64, winds: &[DVec3]) -> Vec<Load> {
    let mut loads = Vec::new();
    for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
        loads.push(Load { specific_force: axis, ..Load::default() });
    }
    for d in 0..6 {
        let mut w = [0.0; 6];
        w[d] = 1.0;
        let nodal = mast_node(rig, s).map(|n| (n, Wrench::from_array(w))).into_iter().collect();
        loads.push(Load { nodal, ..Load::default() });
    }
    loads.extend((0..s.frame.strands.len()).map(|i| Load { fitted: vec![(i, 1.0)], ..Load::default() }));
    loads.extend(winds.iter().map(|v| wind_load(rig, s, density, *v)));
    loads
}

/// Solves the basis loads with some parts lost and reads every response. `intact` is the frame with nothing lost. The same structure
/// and loads have the same responses, whatever else is different about the rig.
///
/// # Errors
///
/// [`SolveError`] where something can move freely or the residual check fails.
pub fn responses(
    (s, layout): (&Structure, &Layout),
    intact: &Result<Factored<'_>, SolveError>,
    loads: &[Load],
    lost: &[Lost],
) -> Result<Responses, SolveError> {
    let frame = s.frame_without(lost);
    let factored = match (&frame, intact) {
        (Cow::Borrowed(_), Ok(intact)) => intact.without(lost)?,
        _ => frame.factor(lost)?,
    };
    let solution = factored.solve(loads)?;
    let columns = loads.len();
    let mut out =
        Responses { r: vec![0.0; layout.rows * columns], columns, worst_residual: solution.worst_residual };
    for (case, load) in loads.iter().enumerate() {
        let mut put = |row: usize, values: &[f64]| {
            for (k, v) in values.iter().enumerate() {
                out.r[(row + k) * columns + case] = *v;
            }
        };
        for (c, row) in layout.cup.iter().enumerate() {
            put(*row, &solution.support(case, c));
        }
        for (i, row) in layout.strap.iter().enumerate() {
            if let (Some(row), Some(strand)) = (row, s.strand_of[i]) {
                put(*row, &[solution.tension(case, strand)]);
            }
        }
        let mut stations = layout.members().peekable();
        for TubeMember { member, free, .. } in s.tubes.iter().flat_map(TubeMap::in_order) {
            let Some(stations) = stations.next_if(|some| some[0].member == member) else { continue };
            let w = solution.line_load(case, member);
            // A free end's member by statics alone, without what the solve rounds.
            let first = match free {
                [true, _] => [0.0; 6],
                [_, true] => beam::overhanging(w, s.frame.member_length(member)),
                _ => solution.member_ends(case, member).0,
            };
            for station in stations {
                let f: Internal = beam::internal(first, w, station.along_m);
                put(station.row, &[f.n, f.vy, f.vz, f.t, f.my, f.mz]);
            }
        }
        for (k, jaw) in s.jaws.iter().enumerate() {
            let w = s.jaw_wrench(jaw, &solution, case, load);
            let local =
                Wrench::new(beam::into_axes(&jaw.axes, w.force), beam::into_axes(&jaw.axes, w.moment));
            put(layout.jaw[k], &local.to_array());
            if let PartRef::Leg(l) = jaw.part
                && let Some(row) = layout.leg_top.get(l).copied().flatten()
            {
                // The foot carries the leg as well; its top does not.
                let (leg, foot) = (&s.leg_top[l], s.frame.nodes[jaw.node]);
                let weight = load.specific_force * leg.mass_kg;
                let on_platform =
                    (-w).about(foot, leg.at) + Wrench::of_force_at(weight, (foot - leg.at) / 2.0);
                let own = Wrench::new(
                    beam::into_axes(&leg.axes, on_platform.force),
                    beam::into_axes(&leg.axes, on_platform.moment),
                );
                put(row, &own.to_array());
            }
        }
        for (p, row) in layout.platform.iter().enumerate() {
            let (slide, turn) = solution.node(case, s.platform_node[p]);
            put(*row, &[slide.x, slide.y, slide.z, turn.x, turn.y, turn.z]);
        }
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, fact, rig};
    use rig::model::{Hold, Item};

    const OUTER: f64 = 0.0483;

    #[test]
    fn stations_stand_at_ends_that_are_held_and_no_farther_apart_than_six_diameters() {
        for length in [0.02, 0.289, 0.29, 0.58, 1.2, 9.0] {
            for free in [[false; 2], [true, false], [false, true], [true; 2]] {
                let all: Vec<f64> = stations((length, OUTER), free).collect();
                assert_eq!(all.contains(&0.0), !free[0], "{length} {all:?}");
                assert_eq!(all.contains(&length), !free[1], "{length} {all:?}");
                let ends = [&[0.0][..], &all, &[length]].concat();
                for pair in ends.windows(2) {
                    assert!(pair[0] <= pair[1] && pair[1] - pair[0] <= 6.0 * OUTER + 1e-12, "{all:?}");
                }
            }
        }
        assert_eq!(stations((0.28, OUTER), [false; 2]).count(), 2);
        assert_eq!(stations((0.30, OUTER), [false; 2]).count(), 3);
        assert_eq!(stations((1e6, 1e-3), [false; 2]).count(), 257, "absurd lengths have an end");
    }

    #[test]
    fn a_free_ends_member_carries_by_statics_what_it_carries_by_the_frame() {
        let rig = rig();
        let ctx = context(&rig);
        let (s, layout) = (&ctx.structure, &ctx.layout);
        let winds = [DVec3::new(-20.0, 6.0, 1.0)];
        let loads = basis(&rig, s, 1.2, &winds);
        let factored = s.frame.factor(&[]);
        let r = responses((s, layout), &factored, &loads, &[]).unwrap();
        let factored = factored.unwrap();
        let solution = factored.solve(&loads).unwrap();
        let (mut seen, mut largest) = ([0; 2], 0.0_f64);
        for of in s.tubes.iter().flat_map(TubeMap::in_order).filter(|of| of.free != [false; 2]) {
            for station in layout.station.iter().filter(|station| station.member == of.member) {
                for case in 0..loads.len() {
                    let f = solution.internal(case, of.member, station.along_m);
                    for (k, by_frame) in [f.n, f.vy, f.vz, f.t, f.my, f.mz].into_iter().enumerate() {
                        let by_statics = r.row(station.row + k)[case];
                        assert!((by_statics - by_frame).abs() < 1e-7, "{by_statics} {by_frame}");
                        let of_arm = (ARM_COLUMN..ARM_COLUMN + 6).contains(&case);
                        assert!(!of_arm || by_statics == 0.0, "the arm does nothing to it");
                        largest = largest.max(by_statics.abs());
                    }
                }
                seen[usize::from(of.free[1])] += 1;
            }
        }
        assert!(seen.iter().all(|n| *n > 2) && largest > 1.0, "{seen:?} {largest}");
    }

    #[test]
    fn an_end_is_free_until_something_is_fixed_to_it() {
        let free = |rig: &Rig| context(rig).structure.tubes[0].free;
        let as_it_is = rig();
        let far = as_it_is.tubes[0].length();
        assert_eq!(free(&as_it_is), [true; 2]);

        let mut hooked = as_it_is.clone();
        hooked.straps[0].path[0].on = Hold::Tube { tube: 0, s: 0.0 };
        assert_eq!(free(&hooked), [false, true]);

        let mut clamped = as_it_is.clone();
        clamped.clamps[0].first = (0, far);
        assert_eq!(free(&clamped), [true, false]);

        let mut hung = as_it_is.clone();
        let (on, at) = (Hold::Tube { tube: 0, s: far }, hung.tubes[0].b);
        hung.items.push(Item { tag: "lamp".into(), mass: fact(1.5), at, on, drag: None });
        assert_eq!(free(&hung), [true, false]);
    }
}
