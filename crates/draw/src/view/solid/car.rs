//! The car as a plain body from its survey alone: no maker's shape.
//!
//! Length, width, height, overhang, wheelbase, track and datum fix it; measured panels replace the top line and the flank
//! where they are. In between stand shares of the height and length (drawn shape, no source).

use glam::DVec3;
use rig::Rig;
use rig::model::Panel;
use std::f64::consts::TAU;

/// A car's body: a top line over its length, half a section over its height, a taper to both ends.
pub(crate) struct Car {
    front: f64,
    rear: f64,
    half: f64,
    floor: f64,
    height: f64,
    /// Top on the centreline, from the front to the rear: (x, z).
    top: Vec<(f64, f64)>,
    /// Half width over the height, from below: (z, y).
    flank: Vec<(f64, f64)>,
    /// Measured panels on top: reach in x, and 1 / crown radius across.
    crowns: Vec<(f64, f64, f64)>,
    /// Foot of the windscreen, its top, the roof's end, the foot of the rear window: (x, z).
    glass: [(f64, f64); 4],
    wheels: Vec<Wheel>,
}

/// A wheel by its hub on the outer side.
pub(crate) struct Wheel {
    pub(crate) hub: DVec3,
    pub(crate) radius: f64,
}

/// One facet of the body and its outward normal.
pub(crate) struct Facet {
    pub(crate) corners: [DVec3; 4],
    pub(crate) normal: DVec3,
    /// Whether the line from its first to its last corner is an edge of the body.
    pub(crate) is_edge: bool,
}

/// Reads a line of points at a place, straight between them.
fn read(line: &[(f64, f64)], at: f64) -> f64 {
    let Some(first) = line.first() else { return 0.0 };
    let mut before = *first;
    for p in line {
        let (from, to) = (before.0.min(p.0), before.0.max(p.0));
        if at >= from && at <= to && to > from {
            let t = (at - before.0) / (p.0 - before.0);
            return before.1 + (p.1 - before.1) * t;
        }
        before = *p;
    }
    let ahead = line.last().is_some_and(|l| (at - l.0).abs() < (at - first.0).abs());
    if ahead { before.1 } else { first.1 }
}

/// The panel's line along the middle, from its front to its rear, as (x, z).
fn spine(p: &Panel) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> =
        (-4..=4).map(|k| p.point(p.size.0 * f64::from(k) / 8.0, 0.0)).map(|v| (v.x, v.z)).collect();
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out
}

impl Car {
    /// None where the survey has no sizes that make a body.
    pub(crate) fn new(rig: &Rig) -> Option<Self> {
        let v = &rig.vehicle;
        let o = &v.outline;
        let (length, width, height) = (o.length.value, o.width.value, o.height.value);
        let front = o.front_overhang.value;
        let rear = front - length;
        let numbers = [length, width, height, front, v.datum.x, v.datum.z, v.wheelbase.value];
        if !(numbers.iter().all(|n| n.is_finite() && n.abs() < 1e5) && length.min(width).min(height) > 0.01) {
            return None;
        }
        let d = (v.datum.x.clamp(rear, front), v.datum.z.clamp(0.3 * height, height));
        let over = |p: &&Panel| p.normal.z > 0.8 && p.centre.is_finite() && p.size.0 < length;
        let tops: Vec<&Panel> = rig.panels.iter().filter(over).collect();
        let mut roof_end = (rear + 0.17 * length).max(d.0 - 0.36 * length).min(d.0);
        let mut tail_top = 0.6 * height;
        for p in &tops {
            let line = spine(p);
            let (Some(a), Some(b)) = (line.first(), line.last()) else { continue };
            let is_low = p.centre.z < d.1 - 0.25 * height;
            if !is_low && a.0 > roof_end && b.0 < roof_end {
                roof_end = b.0;
            } else if is_low && p.centre.x < d.0 {
                // A bed or boot lid: the cab ends ahead of it, the tail is no higher than its rear edge.
                roof_end = roof_end.max(a.0 + 0.12).min(d.0);
                tail_top = tail_top.min(b.1);
            }
        }
        let mut foot = ((front - 0.1 * length).min(d.0 + 0.16 * length).max(d.0), (0.64 * height).min(d.1));
        for p in tops.iter().filter(|p| p.centre.x > d.0 && p.centre.z < d.1 - 0.1 * height) {
            // A measured bonnet ends where the windscreen starts.
            if let Some(b) = spine(p).last().filter(|b| b.0 < foot.0 && b.0 > d.0) {
                foot = *b;
            }
        }
        let mut back =
            ((rear + 0.05 * length).max(roof_end - 0.2 * length).min(roof_end), tail_top.min(0.64 * height));
        for p in tops.iter().filter(|p| p.centre.x < d.0 && p.centre.z < d.1 - 0.25 * height) {
            // The rear window ends over a measured bed or lid.
            if let Some(a) = spine(p).first().filter(|a| a.0 > back.0 && a.0 <= roof_end) {
                back = (a.0, a.1.max(0.62 * height).min(d.1));
            }
        }
        let roof = (roof_end, d.1);
        let mut top = vec![
            (front, 0.30 * height),
            (front - 0.01 * length, 0.46 * height),
            (front - 0.04 * length, 0.52 * height),
            foot,
            d,
            (f64::midpoint(d.0, roof.0), height.max(d.1)),
            roof,
            back,
            (rear + 0.01 * length, tail_top),
            (rear, 0.45 * height.min(tail_top / 0.6)),
            (rear, 0.3 * height.min(tail_top / 0.6)),
        ];
        for p in &tops {
            let line = spine(p);
            let (Some(a), Some(b)) = (line.first().copied(), line.last().copied()) else { continue };
            top.retain(|q| q.0 > a.0 + 1e-6 || q.0 < b.0 - 1e-6);
            top.extend(line.iter().filter(|q| q.0 < front && q.0 > rear));
        }
        top.sort_by(|a, b| b.0.total_cmp(&a.0));
        let half = width / 2.0;
        let floor = 0.13 * height;
        let roof_half = tops
            .iter()
            .filter(|p| p.centre.z > 0.7 * height)
            .map(|p| p.size.1 / 2.0)
            .fold(0.68 * half, f64::max)
            .min(half);
        let mut flank = vec![
            (floor, 0.88 * half),
            (0.2 * height, half),
            (0.46 * height, half),
            (0.62 * height, 0.95 * half),
            (height, roof_half),
        ];
        for p in rig.panels.iter().filter(|p| p.normal.y.abs() > 0.8 && p.centre.is_finite()) {
            let side: Vec<(f64, f64)> = (-2..=2)
                .map(|k| p.point(0.0, p.size.1 * f64::from(k) / 4.0))
                .map(|v| (v.z, v.y.abs().min(half)))
                .collect();
            let (low, high) =
                side.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), q| (a.min(q.0), b.max(q.0)));
            if low > floor && high < height {
                flank.retain(|q| q.0 < low - 0.03 || q.0 > high);
                flank.extend(side);
            }
        }
        flank.sort_by(|a, b| a.0.total_cmp(&b.0));
        let crowns = tops
            .iter()
            .map(|p| {
                let line = spine(p);
                let radius = p.crown.1.value;
                let bend = if radius > 0.0 && radius.is_finite() { 1.0 / radius } else { 0.0 };
                (line.last().map_or(0.0, |q| q.0), line.first().map_or(0.0, |q| q.0), bend)
            })
            .collect();
        let mut wheels = Vec::new();
        for (x, track) in [(0.0, v.track_front.value), (-v.wheelbase.value, v.track_rear.value)] {
            let radius = 0.215 * height;
            for side in [1.0, -1.0] {
                let y = side * (track / 2.0 + 0.1).min(half);
                if y.is_finite() && x < front && x > rear {
                    wheels.push(Wheel { hub: DVec3::new(x, y, radius), radius });
                }
            }
        }
        Some(Self {
            front,
            rear,
            half,
            floor,
            height,
            top,
            flank,
            crowns,
            glass: [foot, d, roof, back],
            wheels,
        })
    }

    /// Share of the width at a place along the car: narrower at both ends.
    fn taper(&self, x: f64) -> f64 {
        let length = self.front - self.rear;
        let end = |from_end: f64, over: f64, least: f64| {
            let t = (1.0 - from_end / (over * length)).clamp(0.0, 1.0);
            least + (1.0 - least) * (1.0 - t * t).sqrt()
        };
        end(self.front - x, 0.13, 0.62).min(end(x - self.rear, 0.09, 0.76))
    }

    fn half_at(&self, x: f64, z: f64) -> f64 {
        read(&self.flank, z) * self.taper(x)
    }

    /// 1 / radius of the top across, where the car is `x` along.
    fn bend(&self, x: f64, half: f64) -> f64 {
        self.crowns
            .iter()
            .find(|c| x >= c.0 && x <= c.1)
            .map_or(0.04 * self.height / half.max(0.1).powi(2), |c| c.2)
    }

    /// One half of a section at `x`, from the floor's edge over the flank to the top's middle: (y, z).
    fn section(&self, x: f64) -> Vec<(f64, f64)> {
        let top = read(&self.top, x).max(self.floor + 0.02);
        let wide = self.half_at(x, top);
        let drop = (self.bend(x, wide) * wide * wide / 2.0).clamp(0.0, (top - self.floor) / 2.0);
        let edge = top - drop;
        let mut out = vec![(self.half_at(x, self.floor), self.floor)];
        for level in [0.2, 0.46, 0.62, 0.8] {
            let z = (level * self.height).min(edge);
            out.push((self.half_at(x, z), z));
        }
        let wide = self.half_at(x, edge);
        out.push((wide, edge));
        for t in [0.75, 0.4, 0.0] {
            out.push((wide * t, top - drop * t * t));
        }
        out
    }

    fn stations(&self) -> Vec<f64> {
        let length = self.front - self.rear;
        let mut xs: Vec<f64> = self.top.iter().map(|p| p.0).collect();
        for share in [0.004, 0.015, 0.035, 0.07, 0.1, 0.13, 0.91, 0.94, 0.97, 0.99, 1.0] {
            xs.push(self.front - share * length);
        }
        xs.sort_by(|a, b| b.total_cmp(a));
        xs.dedup_by(|a, b| (*a - *b).abs() < 0.002 * length);
        xs
    }

    /// The body's skin.
    pub(crate) fn facets(&self) -> Vec<Facet> {
        let sections: Vec<(f64, Vec<(f64, f64)>)> =
            self.stations().into_iter().map(|x| (x, self.section(x))).collect();
        let mut out = Vec::new();
        let mut put = |corners: [DVec3; 4], is_edge: bool| {
            let normal = (corners[2] - corners[0]).cross(corners[3] - corners[1]).normalize_or_zero();
            if normal != DVec3::ZERO {
                out.push(Facet { corners, normal, is_edge });
            }
        };
        for pair in sections.windows(2) {
            let [(x0, s0), (x1, s1)] = pair else { continue };
            for k in 1..s0.len().min(s1.len()) {
                let at = |x: f64, (y, z): (f64, f64), side: f64| DVec3::new(x, side * y, z);
                let (a, b, c, d) = (s0[k - 1], s0[k], s1[k], s1[k - 1]);
                // The line between flank and top.
                let is_edge = k == 6;
                put([at(*x1, d, 1.0), at(*x1, c, 1.0), at(*x0, b, 1.0), at(*x0, a, 1.0)], is_edge);
                put([at(*x0, a, -1.0), at(*x0, b, -1.0), at(*x1, c, -1.0), at(*x1, d, -1.0)], is_edge);
            }
        }
        // Nose and tail are flat.
        for (x, section, ahead) in [sections.first(), sections.last()]
            .into_iter()
            .enumerate()
            .filter_map(|(i, s)| s.map(|s| (s.0, &s.1, i == 0)))
        {
            for pair in section.windows(2) {
                let [(y0, z0), (y1, z1)] = pair else { continue };
                let mut c = [
                    DVec3::new(x, -y0, *z0),
                    DVec3::new(x, *y0, *z0),
                    DVec3::new(x, *y1, *z1),
                    DVec3::new(x, -y1, *z1),
                ];
                if !ahead {
                    c.reverse();
                }
                put(c, false);
            }
        }
        out
    }

    /// Whether a point is well inside the body.
    pub(crate) fn holds(&self, p: DVec3) -> bool {
        const SKIN: f64 = 0.02;
        if p.x > self.front - SKIN || p.x < self.rear + SKIN || p.z < self.floor {
            return false;
        }
        let top = read(&self.top, p.x);
        let wide = self.half_at(p.x, p.z.min(top));
        p.y.abs() < wide - SKIN && p.z < top - self.bend(p.x, wide) * p.y * p.y / 2.0 - SKIN
    }

    /// Windscreen, side windows and rear window, each with its outward normal.
    pub(crate) fn windows(&self) -> Vec<(Vec<DVec3>, DVec3)> {
        let [foot, d, roof, back] = self.glass;
        let (belt, head) = (0.645 * self.height, d.1 - 0.075 * self.height);
        let mut out = Vec::new();
        let pane = |a: (f64, f64), b: (f64, f64)| {
            let row = |(x, z): (f64, f64), inset: f64| {
                let half = self.half_at(x, z) * inset;
                [-1.0, -0.5, 0.0, 0.5, 1.0].map(|t| {
                    let y = half * t;
                    DVec3::new(x, y, z - self.bend(x, half) * y * y / 2.0)
                })
            };
            let mut points = row(a, 0.86).to_vec();
            points.extend(row(b, 0.90).into_iter().rev());
            points
        };
        let between = |a: (f64, f64), b: (f64, f64), t: f64| (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
        if foot.0 - d.0 > 0.05 && d.1 - foot.1 > 0.05 {
            let normal = DVec3::new(d.1 - foot.1, 0.0, foot.0 - d.0).normalize_or_zero();
            out.push((pane(between(foot, d, 0.06), between(foot, d, 0.97)), normal));
        }
        if roof.0 - back.0 > 0.05 && roof.1 - back.1 > 0.05 {
            let normal = DVec3::new(back.1 - roof.1, 0.0, roof.0 - back.0).normalize_or_zero();
            out.push((pane(between(back, roof, 0.12), between(back, roof, 0.94)), normal));
        }
        if head - belt < 0.05 || d.0 - roof.0 < 0.3 {
            return out;
        }
        let lean = |z: f64, a: (f64, f64), b: (f64, f64)| {
            if (b.1 - a.1).abs() < 1e-6 {
                a.0
            } else {
                a.0 + (b.0 - a.0) * ((z - a.1) / (b.1 - a.1)).clamp(0.0, 1.0)
            }
        };
        let (f0, f1) = (lean(belt, foot, d) - 0.16, lean(head, foot, d) - 0.12);
        let (r0, r1) = (lean(belt, back, roof) + 0.16, lean(head, back, roof) + 0.12);
        let pillars: &[f64] = if f1 - r1 > 1.9 {
            &[0.40, 0.72]
        } else if f1 - r1 > 1.0 {
            &[0.52]
        } else {
            &[]
        };
        let mut cuts = vec![0.0];
        cuts.extend(pillars);
        cuts.push(1.0);
        for side in [1.0, -1.0] {
            for pair in cuts.windows(2) {
                let gap = |t: f64, sign: f64| if t > 0.0 && t < 1.0 { sign * 0.035 } else { 0.0 };
                let x = |t: f64, from: f64, to: f64| from + (to - from) * t;
                let (a, b) = (pair[0], pair[1]);
                let corner = |t: f64, sign: f64, up: bool| {
                    let (from, to, z) = if up { (f1, r1, head) } else { (f0, r0, belt) };
                    let x = x(t, from, to) - gap(t, sign);
                    DVec3::new(x, side * self.half_at(x, z), z)
                };
                let points = vec![
                    corner(a, 1.0, false),
                    corner(a, 1.0, true),
                    corner(b, -1.0, true),
                    corner(b, -1.0, false),
                ];
                out.push((points, DVec3::Y * side));
            }
        }
        out
    }

    pub(crate) fn wheels(&self) -> &[Wheel] {
        &self.wheels
    }

    /// Its outline from above.
    pub(crate) fn plan_outline(&self) -> Vec<DVec3> {
        let xs = self.stations();
        let left = xs.iter().map(|x| DVec3::new(*x, self.half * self.taper(*x), 0.0));
        let right = xs.iter().rev().map(|x| DVec3::new(*x, -self.half * self.taper(*x), 0.0));
        left.chain(right).collect()
    }

    /// Corners of the room that it takes.
    pub(crate) fn room(&self) -> [DVec3; 2] {
        [DVec3::new(self.rear, -self.half, 0.0), DVec3::new(self.front, self.half, self.height)]
    }
}

impl Wheel {
    /// Its rim at a share of its radius.
    pub(crate) fn ring(&self, share: f64) -> Vec<DVec3> {
        (0..40)
            .map(|k| f64::from(k) / 40.0 * TAU)
            .map(|t| self.hub + DVec3::new(t.cos(), 0.0, t.sin()) * self.radius * share)
            .collect()
    }
}
