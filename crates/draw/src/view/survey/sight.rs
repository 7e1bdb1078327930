//! The car as the person sees it, with the lines that are measured.

use super::{Extra, Sight, Span, TYPE, WIDTH, file};
use crate::text::{escaped, width};
use crate::view::Scene;
use crate::view::eye::{Eye, Placing};
use crate::view::ink::{BLUE, GREY, INK, Ink, RUST, path, style};
use crate::view::picture::Picture;
use crate::view::solid::car::Car;
use crate::view::solid::{Body, Layer, Look, solids};
use glam::{DVec2, DVec3};
use rig::Rig;

/// Kept free at the paper's edge, and from one measured line to the next.
const PAD: f64 = 14.0;
const LANE: f64 = 30.0;
/// Greatest height of the car's field.
const TALLEST: f64 = 330.0;
const HEAD: f64 = 9.0;
const DISC: f64 = 11.0;

/// A field of the paper.
#[derive(Clone, Copy)]
struct Field {
    low: DVec2,
    high: DVec2,
}

impl Field {
    fn middle(&self) -> DVec2 {
        (self.low + self.high) / 2.0
    }
}

/// Draws it.
pub fn sight(rig: &Rig, sight: &Sight<'_>) -> String {
    let view = sight.from.view();
    let eye = Eye::new(view);
    let scene = Scene::new(rig);
    let car = Car::new(rig);
    let (low, high) = bounds(sight, &eye, car.as_ref());
    let lanes = Lanes::of(&sight.spans, &eye);
    let room = WIDTH - 2.0 * PAD - LANE * count(lanes.left + lanes.right);
    let size = high - low;
    let scale = (room / size.x).min(TALLEST / size.y);
    let height = (size.y * scale).max(60.0);
    let start = DVec2::new(PAD + LANE * count(lanes.left), PAD + LANE * count(lanes.above));
    let field = Field { low: start, high: start + DVec2::new(room, height) };
    let placing = Placing { eye, scale, middle: (low + high) / 2.0, at: field.middle(), per_mm: None };
    let picture = Picture { scene: &scene, view, placing, car: car.as_ref(), longest: 0.0 };

    let mut ink = Ink::default();
    let w = field.high - field.low;
    // What reaches out of the field is cut at its edge.
    ink.put(format_args!(
        "<svg x=\"{0:.1}\" y=\"{1:.1}\" width=\"{2:.1}\" height=\"{3:.1}\" viewBox=\"{0:.1} {1:.1} {2:.1} {3:.1}\">",
        field.low.x, field.low.y, w.x, w.y
    ));
    picture.far_wheels(&mut ink);
    picture.car(&mut ink);
    if view == crate::view::View::Plan {
        picture.lines(&mut ink, (field.low.x, field.high.x));
    } else {
        let y = placing.place(DVec3::ZERO).y;
        ink.line(&[DVec2::new(field.low.x, y), DVec2::new(field.high.x, y)], GREY, 1.2, "");
    }
    for extra in &sight.extras {
        if let Extra::Panel(i) = extra {
            panel(&mut ink, &placing, rig, *i);
        }
    }
    if sight.with_panels {
        panels(&mut ink, &placing, &scene);
    }
    for extra in &sight.extras {
        self::extra(&mut ink, &placing, field, extra);
    }
    ink.put(format_args!("</svg>"));
    datum(&mut ink, &placing, rig, field);
    let bottom = lanes.spans(&mut ink, &sight.spans, &placing, field);
    file(sight.title, bottom + PAD, &ink.out)
}

fn datum(ink: &mut Ink, placing: &Placing, rig: &Rig, field: Field) {
    let p = placing.place(rig.vehicle.datum);
    if !p.is_finite() || p.cmplt(field.low).any() || p.cmpgt(field.high).any() {
        return;
    }
    for d in [DVec2::X, DVec2::Y] {
        ink.line(&[p - d * 7.0, p + d * 7.0], "#ffffff", 4.0, "");
    }
    for d in [DVec2::X, DVec2::Y] {
        ink.line(&[p - d * 7.0, p + d * 7.0], INK, 1.6, "");
    }
}

/// What must be seen, on the plane of the paper, m; with some air.
fn bounds(sight: &Sight<'_>, eye: &Eye, car: Option<&Car>) -> (DVec2, DVec2) {
    let mut points: Vec<DVec3> = sight.around.clone();
    if points.is_empty() {
        points.extend(car.map_or([DVec3::splat(-1.0), DVec3::splat(1.0)], Car::room));
    }
    for extra in &sight.extras {
        match extra {
            Extra::Over(z) => points.push(DVec3::Z * *z),
            Extra::Bridge(from, _) => points.push(DVec3::new(*from, 0.0, -0.22)),
            _ => {}
        }
    }
    points.extend(sight.spans.iter().flat_map(|s| [s.from, s.to]));
    let (mut low, mut high) = (DVec2::splat(f64::INFINITY), DVec2::splat(f64::NEG_INFINITY));
    for p in points.iter().filter(|p| p.is_finite() && p.abs().max_element() < 1e4) {
        low = low.min(eye.flat(*p));
        high = high.max(eye.flat(*p));
    }
    if !(low.is_finite() && high.is_finite()) {
        return (DVec2::splat(-1.0), DVec2::splat(1.0));
    }
    let air = ((high - low).max_element() * 0.035).max(0.03);
    (low - air, high + air)
}

/// A panel that is meant, and its crown.
fn panel(ink: &mut Ink, placing: &Placing, rig: &Rig, index: usize) {
    let Some(p) = rig.panels.get(index) else { return };
    let (a, b) = (p.size.0 / 2.0, p.size.1 / 2.0);
    let corners = [(-a, -b), (-a, b), (a, b), (a, -b)].map(|(a, b)| placing.place(p.point(a, b)));
    if corners.iter().all(|c| c.is_finite()) {
        ink.put(format_args!(
            "<path d=\"{}\" fill=\"{BLUE}\" fill-opacity=\"0.16\" stroke=\"{BLUE}\" stroke-width=\"2\"/>",
            path(&corners, true)
        ));
    }
}

/// Panels, places to keep clear, and the cups' lips.
fn panels(ink: &mut Ink, placing: &Placing, scene: &Scene<'_>) {
    for solid in solids(scene) {
        let s = style(solid.look).attributes();
        match (solid.layer, solid.look, &solid.body) {
            (_, Look::Lip, Body::Rod { a: centre, b, radius }) => {
                let (u, v) = (*b - *centre).normalize_or(DVec3::Z).any_orthonormal_pair();
                let ring: Vec<DVec2> = (0..40)
                    .map(|k| f64::from(k) / 40.0 * core::f64::consts::TAU)
                    .map(|t| placing.place(*centre + (u * t.cos() + v * t.sin()) * *radius))
                    .collect();
                ink.put(format_args!(
                    "<path d=\"{}\" fill=\"none\" stroke=\"{GREY}\" stroke-width=\"1\" stroke-dasharray=\"4 3\"/>",
                    path(&ring, true)
                ));
            }
            (Layer::Panel | Layer::KeepOut, _, Body::Face(points)) => {
                let points: Vec<DVec2> = points.iter().map(|p| placing.place(*p)).collect();
                ink.put(format_args!("<path d=\"{}\"{s}/>", path(&points, true)));
            }
            (Layer::Panel | Layer::KeepOut, _, Body::Line(points)) => {
                let points: Vec<DVec2> = points.iter().map(|p| placing.place(*p)).collect();
                ink.put(format_args!("<path d=\"{}\"{s}/>", path(&points, false)));
            }
            _ => {}
        }
    }
}

fn hatched(ink: &mut Ink, low: DVec2, high: DVec2, line: &str) {
    ink.put(format_args!(
        "<path d=\"{}\" fill=\"#ffffff\" stroke=\"{line}\" stroke-width=\"1.2\"/>",
        path(&[low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)], true)
    ));
    let depth = high.y - low.y;
    let mut x = low.x;
    while x < high.x - depth {
        ink.line(&[DVec2::new(x, high.y), DVec2::new(x + depth, low.y)], line, 0.8, "");
        x += 7.0;
    }
}

fn extra(ink: &mut Ink, placing: &Placing, field: Field, extra: &Extra) {
    match extra {
        Extra::Bridge(from, to) => {
            let (a, b) = (placing.place(DVec3::X * *from), placing.place(DVec3::X * *to));
            let (low, high) = (DVec2::new(a.x.min(b.x), a.y), DVec2::new(a.x.max(b.x), a.y + 9.0));
            hatched(ink, low, high, INK);
        }
        Extra::Push(at, way) => {
            let tip = placing.place(*at);
            let d = (placing.place(*at + *way) - tip).normalize_or(DVec2::Y);
            for (line, width) in [("#ffffff", 6.0), (RUST, 3.0)] {
                ink.line(&[tip - d * 44.0, tip - d * 8.0], line, width, "");
            }
            ink.head(tip, d, 14.0, RUST);
        }
        Extra::Centre(at) => {
            let p = placing.place(*at);
            ink.put(format_args!(
                "<circle cx=\"{0:.1}\" cy=\"{1:.1}\" r=\"9\" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"1.6\"/><path d=\"M{0:.1} {1:.1}v-9a9 9 0 0 1 9 9zM{0:.1} {1:.1}v9a9 9 0 0 1 -9 -9z\" fill=\"{INK}\"/>",
                p.x, p.y
            ));
        }
        Extra::Over(z) => {
            let y = placing.place(DVec3::Z * *z).y;
            hatched(ink, DVec2::new(field.low.x, y - 8.0), DVec2::new(field.high.x, y), INK);
        }
        Extra::Panel(_) => {}
    }
}

/// How many lines stand on each side of the field.
#[derive(Default)]
struct Lanes {
    above: usize,
    below: usize,
    left: usize,
    right: usize,
}

/// Whether an axis lies across the paper.
fn is_level(eye: &Eye, axis: usize) -> bool {
    let unit = [DVec3::X, DVec3::Y, DVec3::Z].get(axis).copied().unwrap_or(DVec3::Z);
    eye.right.dot(unit).abs() >= eye.up.dot(unit).abs()
}

fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

impl Lanes {
    fn of(spans: &[Span], eye: &Eye) -> Self {
        let mut out = Self::default();
        for span in spans {
            *out.side(span, eye) += 1;
        }
        out
    }

    fn side(&mut self, span: &Span, eye: &Eye) -> &mut usize {
        match (is_level(eye, span.axis), span.is_before) {
            (true, true) => &mut self.above,
            (true, false) => &mut self.below,
            (false, true) => &mut self.left,
            (false, false) => &mut self.right,
        }
    }

    /// Draws the lines; gives back where the lowest ends.
    fn spans(&self, ink: &mut Ink, spans: &[Span], placing: &Placing, field: Field) -> f64 {
        let mut used = Self::default();
        ink.open("measures", None);
        for span in spans {
            let level = is_level(&placing.eye, span.axis);
            let lane = used.side(span, &placing.eye);
            *lane += 1;
            let out = (count(*lane) - 0.35) * LANE;
            let (p, q) = (placing.place(span.from), placing.place(span.to));
            let at = match (level, span.is_before) {
                (true, true) => field.low.y - out,
                (true, false) => field.high.y + out,
                (false, true) => field.low.x - out,
                (false, false) => field.high.x + out,
            };
            line(ink, (p, q), level, at, &span.mark);
        }
        ink.close();
        field.high.y + count(self.below) * LANE
    }
}

/// A measured line at `at`, its ends led there from the points that it joins.
fn line(ink: &mut Ink, (p, q): (DVec2, DVec2), level: bool, at: f64, mark: &str) {
    let foot = |p: DVec2| if level { DVec2::new(p.x, at) } else { DVec2::new(at, p.y) };
    for p in [p, q] {
        let d = (foot(p) - p).normalize_or(DVec2::ZERO);
        ink.line(&[p + d * 5.0, foot(p) + d * 5.0], "#ffffff", 3.0, "");
        ink.line(&[p + d * 5.0, foot(p) + d * 5.0], BLUE, 1.0, "");
        ink.put(format_args!(
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"3.6\" fill=\"{BLUE}\" stroke=\"#ffffff\" stroke-width=\"1.4\"/>",
            p.x, p.y
        ));
    }
    let (a, b) = (foot(p), foot(q));
    let (long, d) = (a.distance(b), (b - a).normalize_or(DVec2::X));
    ink.line(&[a, b], BLUE, 1.8, "");
    if long > 2.2 * HEAD {
        ink.head(a, -d, HEAD, BLUE);
        ink.head(b, d, HEAD, BLUE);
    } else {
        // Too short for heads between: they point at it from outside.
        ink.head(a, d, HEAD, BLUE);
        ink.head(b, -d, HEAD, BLUE);
    }
    label(ink, (a + b) / 2.0, d, long, level, mark);
}

fn label(ink: &mut Ink, middle: DVec2, d: DVec2, long: f64, level: bool, mark: &str) {
    if mark.is_empty() {
        return;
    }
    let is_disc = mark.chars().count() <= 2;
    let wide = if is_disc { 2.0 * DISC } else { width(mark, TYPE) + 8.0 };
    let fits = wide + 2.0 * HEAD < long;
    let at = if fits { middle } else { middle + d.abs() * (long / 2.0 + wide / 2.0 + HEAD + 3.0) };
    // Beside a line near the right edge there may be no room to its right.
    let at = if !fits && level && at.x + wide / 2.0 > WIDTH - 2.0 {
        middle - d.abs() * (long / 2.0 + wide / 2.0 + HEAD + 3.0)
    } else {
        at
    };
    if is_disc {
        ink.put(format_args!(
            "<circle cx=\"{0:.1}\" cy=\"{1:.1}\" r=\"{DISC}\" fill=\"{BLUE}\" stroke=\"#ffffff\" stroke-width=\"1.5\"/><text x=\"{0:.1}\" y=\"{2:.1}\" text-anchor=\"middle\" font-weight=\"700\" font-size=\"13\" fill=\"#ffffff\">{3}</text>",
            at.x,
            at.y,
            at.y + 4.6,
            escaped(mark)
        ));
        return;
    }
    let turn =
        if level { String::new() } else { format!(" transform=\"rotate(-90 {:.1} {:.1})\"", at.x, at.y) };
    ink.put(format_args!(
        "<g{turn}><rect x=\"{:.1}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"18\" fill=\"#ffffff\"/><text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" fill=\"{INK}\">{}</text></g>",
        at.x - wide / 2.0,
        at.y - 9.0,
        at.x,
        at.y + 4.8,
        escaped(mark)
    ));
}

#[cfg(test)]
mod tests {
    use super::super::From;
    use super::*;
    use crate::view::tests::example;

    fn span(from: DVec3, to: DVec3, axis: usize, mark: &str) -> Span {
        Span { from, to, axis, is_before: false, mark: mark.to_owned() }
    }

    fn plain(from: From, spans: Vec<Span>) -> Sight<'static> {
        Sight { title: "a <test>", from, around: Vec::new(), spans, extras: Vec::new(), with_panels: false }
    }

    /// Numbers of a `<path>` that begins with this line's ink and width.
    fn ends(svg: &str, width: &str) -> Vec<[f64; 4]> {
        svg.lines()
            .filter(|l| l.contains(&format!("stroke=\"{BLUE}\" stroke-width=\"{width}\"")))
            .filter_map(|l| {
                let d = l.split("d=\"M").nth(1)?.split('"').next()?;
                let n: Vec<f64> = d.split(['L', ' ']).filter_map(|t| t.parse().ok()).collect();
                n.try_into().ok()
            })
            .collect()
    }

    #[test]
    fn a_measured_line_is_as_long_as_its_scale_says_and_lies_as_it_is_measured() {
        let rig = example("estate-arm");
        let back = DVec3::new(-2.68, 0.0, 0.3);
        for (from, level) in [(From::Left, true), (From::Right, true), (From::Above, false)] {
            let svg = sight(&rig, &plain(from, vec![span(DVec3::Z * 0.3, back, 0, "A")]));
            let [line] = ends(&svg, "1.8")[..] else { panic!("{svg}") };
            let [x0, y0, x1, y1] = line;
            let flat = |a: f64, b: f64| (a - b).abs() < 1e-9;
            assert_eq!((flat(y0, y1), flat(x0, x1)), (level, !level), "{from:?} {line:?}");
            // Forward is to the left as seen from the left, up as seen from above.
            match from {
                From::Left => assert!(x1 > x0),
                From::Right => assert!(x1 < x0),
                _ => assert!(y1 > y0),
            }
            assert!(svg.contains("<title>a &lt;test&gt;</title>") && svg.contains(">A</text>"));
        }
        // The same scale both ways: the length of the car beside its height.
        let spans =
            vec![span(DVec3::ZERO, DVec3::X * -2.0, 0, "long"), span(DVec3::ZERO, DVec3::Z, 2, "high")];
        let svg = sight(&rig, &plain(From::Left, spans));
        let [long, high] = ends(&svg, "1.8")[..] else { panic!("{svg}") };
        assert!(((long[2] - long[0]).abs() - 2.0 * (high[3] - high[1]).abs()).abs() < 0.1);
    }

    #[test]
    fn every_rig_is_seen_from_everywhere_and_nothing_leaves_the_paper() {
        for name in ["estate-arm", "pickup-arm", "bonnet-camera", "door-camera"] {
            let rig = example(name);
            for from in [From::Above, From::Left, From::Right, From::Ahead, From::Behind] {
                let spans = (0..3)
                    .flat_map(|axis| {
                        let unit = [DVec3::X, DVec3::Y, DVec3::Z][axis];
                        [false, true].map(|is_before| Span {
                            is_before,
                            ..span(DVec3::Z * 0.2, unit * 0.9, axis, "7")
                        })
                    })
                    .collect();
                let extras = vec![
                    Extra::Bridge(0.4, -0.4),
                    Extra::Push(rig.vehicle.datum, -DVec3::Z),
                    Extra::Centre(DVec3::Z),
                    Extra::Over(2.6),
                    Extra::Panel(0),
                ];
                let svg = sight(&rig, &Sight { spans, extras, with_panels: true, ..plain(from, Vec::new()) });
                assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name} {from:?}");
                let high: f64 = svg
                    .split("viewBox=\"0 0 360 ")
                    .nth(1)
                    .unwrap()
                    .split('"')
                    .next()
                    .unwrap()
                    .parse()
                    .unwrap();
                for [x0, y0, x1, y1] in ends(&svg, "1.8") {
                    assert!([x0, x1].iter().all(|x| (0.0..=360.0).contains(x)), "{name} {from:?}");
                    assert!([y0, y1].iter().all(|y| (0.0..=high).contains(y)), "{name} {from:?}");
                }
            }
        }
    }

    #[test]
    fn sizes_that_make_no_car_make_no_fault() {
        let mut rig = example("bonnet-camera");
        rig.vehicle.outline.length.value = f64::NAN;
        rig.vehicle.datum = DVec3::new(f64::NAN, 0.0, 1e300);
        let svg = sight(&rig, &plain(From::Left, vec![span(DVec3::ZERO, DVec3::splat(f64::NAN), 0, "A")]));
        assert!(svg.starts_with("<svg") && svg.len() < 20_000, "{svg}");
    }
}
