//! Drawings read back from their text.

#![allow(dead_code, reason = "not every test program uses all of it")]

use draw::view::{Medium, View};
use rig::Rig;
use roxmltree::{Document, Node};

pub(crate) const EXAMPLES: [&str; 5] =
    ["estate-arm", "bonnet-camera", "door-camera", "pickup-arm", "pickup-arm-mended"];
pub(crate) const VIEWS: [View; 4] =
    [View::Plan, View::Side, View::Front, View::Corner { bearing: 0.75, over: 0.45 }];
pub(crate) const MEDIA: [Medium; 4] = [
    Medium::Page,
    Medium::Phone,
    Medium::Print { width: 190.0, height: 277.0 },
    Medium::Print { width: 120.0, height: 90.0 },
];

pub(crate) fn example(name: &str) -> Rig {
    let folder = format!("{}/../../examples", env!("CARGO_MANIFEST_DIR"));
    let text = |file: &str| std::fs::read_to_string(format!("{folder}/{file}")).map_err(|e| e.to_string());
    rig::read(&text(&format!("{name}.toml")).unwrap(), name, &text).rig.unwrap()
}

pub(crate) fn parse(svg: &str) -> Document<'_> {
    Document::parse(svg).unwrap_or_else(|e| panic!("not well-formed: {e}\n{svg}"))
}

fn number(n: &Node<'_, '_>, key: &str) -> f64 {
    n.attribute(key).unwrap_or_else(|| panic!("no {key}")).parse().unwrap()
}

/// Texts with the room they take: left, top, right, bottom.
pub(crate) fn boxes(svg: &str) -> Vec<(String, [f64; 4])> {
    parse(svg)
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .map(|n| {
            let words: String = n.descendants().filter(Node::is_text).filter_map(|t| t.text()).collect();
            let (x, y, size) = (number(&n, "x"), number(&n, "y"), number(&n, "font-size"));
            let bold = n.attribute("font-weight") == Some("bold");
            let long = draw::text_width(&words, size) * if bold { 1.1 } else { 1.0 };
            let left = match n.attribute("text-anchor").unwrap() {
                "start" => x,
                "middle" => x - long / 2.0,
                _ => x - long,
            };
            (words, [left, y - 0.78 * size, left + long, y + 0.22 * size])
        })
        .collect()
}

/// No text covers another, none leaves the paper.
pub(crate) fn apart(svg: &str, what: &str) {
    let doc = parse(svg);
    let paper: Vec<f64> =
        doc.root_element().attribute("viewBox").unwrap().split(' ').map(|v| v.parse().unwrap()).collect();
    let all = boxes(svg);
    for (i, (a, [l, t, r, b])) in all.iter().enumerate() {
        let inside = *l >= -0.01 && *r <= paper[2] + 0.01 && *t >= -0.01 && *b <= paper[3] + 0.01;
        assert!(inside, "{what}: `{a}` leaves the paper of {paper:?}: {l} {t} {r} {b}");
        for (c, [l2, t2, r2, b2]) in &all[..i] {
            assert!(!(l < r2 && l2 < r && t < b2 && t2 < b), "{what}: `{a}` covers `{c}`");
        }
    }
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{what}: a number is lost");
}

/// Points of `M x y L x y …`.
fn path_points(d: &str) -> Vec<(f64, f64)> {
    let numbers: Vec<f64> =
        d.split(|c: char| c.is_ascii_alphabetic() || c == ' ').filter_map(|v| v.parse().ok()).collect();
    numbers.chunks(2).map(|c| (c[0], c[1])).collect()
}

pub(crate) fn path_length(d: &str) -> f64 {
    path_points(d).windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum()
}

/// Points that bound everything in the groups of a class and part.
pub(crate) fn points_of(doc: &Document<'_>, class: &str, part: Option<&str>) -> Vec<(f64, f64)> {
    let mut out = Vec::new();
    let groups = doc.descendants().filter(|n| {
        n.attribute("class") == Some(class) && (part.is_none() || n.attribute("data-part") == part)
    });
    for n in groups.flat_map(|g| g.descendants().collect::<Vec<_>>()) {
        if let Some(d) = n.attribute("d") {
            out.extend(path_points(d));
        } else if n.has_tag_name("circle") || n.has_tag_name("ellipse") {
            let (x, y) = (number(&n, "cx"), number(&n, "cy"));
            let (rx, ry) = if n.has_tag_name("circle") {
                (number(&n, "r"), number(&n, "r"))
            } else {
                (number(&n, "rx"), number(&n, "ry"))
            };
            let turn = n
                .attribute("transform")
                .map_or(0.0, |t| {
                    t.trim_start_matches("rotate(").split(' ').next().unwrap().parse::<f64>().unwrap()
                })
                .to_radians();
            // Extremes of a turned ellipse.
            let (wide, tall) =
                ((rx * turn.cos()).hypot(ry * turn.sin()), (rx * turn.sin()).hypot(ry * turn.cos()));
            out.extend([(x - wide, y - tall), (x + wide, y + tall)]);
        }
    }
    assert!(!out.is_empty(), "no {class} {part:?}");
    out
}

/// The middle of what bounds them.
pub(crate) fn middle_of(doc: &Document<'_>, class: &str, part: Option<&str>) -> (f64, f64) {
    let points = points_of(doc, class, part);
    let range = |pick: fn(&(f64, f64)) -> f64| {
        let low = points.iter().map(pick).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
        f64::midpoint(low, high)
    };
    (range(|p| p.0), range(|p| p.1))
}
