//! Charts as files: snapshots, and that no text covers another or leaves the paper.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, reason = "tests")]

use draw::chart::{Along, Axis, Chart, Limit, Line, Scale, Width};
use proptest::prelude::*;

fn line(label: &str, points: &[(f64, f64)]) -> Line {
    Line { label: label.to_owned(), points: points.to_vec(), dots: false }
}

/// What the tilt drive holds, over elevation, for three payloads.
fn balance() -> Chart {
    let over = |scale: f64, off: f64| -> Vec<(f64, f64)> {
        (-10..=30)
            .step_by(5)
            .map(|d| f64::from(d).to_radians())
            .map(|e| (e, scale * e.cos() - off * e.sin()))
            .collect()
    };
    Chart {
        title: "Moment that the tilt drive holds, by elevation".to_owned(),
        x: Axis::new("elevation", Scale::Linear).unit("°", 1_f64.to_radians()),
        y: Axis::new("residual moment", Scale::Linear).unit("N·m", 1.0).other("lbf·ft", 1.355_818),
        lines: vec![
            line("payload 5.0 kg (11.0 lb)", &over(-14.0, 6.0)),
            line("payload 5.9 kg (13.0 lb), as weighed", &over(0.5, 7.0)),
            line("payload 7.0 kg (15.4 lb)", &over(17.5, 8.0)),
        ],
        limits: vec![
            Limit { label: "tilt drive's limit".to_owned(), at: 20.0, along: Along::Y },
            Limit { label: "parked".to_owned(), at: 0.0, along: Along::X },
        ],
        notes: vec![
            "Nose-heavy is positive. The slope over elevation stays whatever plates are added.".to_owned(),
        ],
    }
}

fn transmissibility() -> Chart {
    let curve = |zeta: f64| -> Vec<(f64, f64)> {
        (0..=120)
            .map(|k| 0.3 * 10.0_f64.powf(f64::from(k) / 60.0))
            .map(|f| {
                let r = f / 2.2;
                let top = 1.0 + (2.0 * zeta * r).powi(2);
                (f, (top / ((1.0 - r * r).powi(2) + (2.0 * zeta * r).powi(2))).sqrt())
            })
            .collect()
    };
    Chart {
        title: "What the isolator lets through".to_owned(),
        x: Axis::new("frequency", Scale::Log).unit("Hz", 1.0),
        y: Axis::new("payload's movement over boom's", Scale::Log),
        lines: vec![line("damping ratio 0.1", &curve(0.1)), line("damping ratio 0.3", &curve(0.3))],
        limits: [("body on its springs", 1.2), ("isolator", 2.2), ("rig's lowest", 9.6), ("wheels", 11.0)]
            .map(|(label, at)| Limit { label: label.to_owned(), at, along: Along::X })
            .into(),
        notes: Vec::new(),
    }
}

#[test]
fn charts_look_as_they_did() {
    insta::assert_snapshot!("balance_page", balance().svg());
    insta::assert_snapshot!("balance_phone", balance().svg_for(Width::Phone));
    insta::assert_snapshot!("transmissibility_page", transmissibility().svg());
}

/// Texts of an SVG as boxes: left, right, top, bottom. Plain on purpose: five digits a text, no library.
fn boxes(svg: &str) -> Vec<(String, [f64; 4])> {
    let value = |tag: &str, key: &str| -> Option<String> {
        let start = tag.find(&format!(" {key}=\""))? + key.len() + 3;
        Some(tag[start..start + tag[start..].find('"')?].to_owned())
    };
    svg.lines()
        .filter(|l| l.starts_with("<text"))
        .map(|l| {
            let tag = &l[..l.find('>').unwrap()];
            let text = &l[tag.len() + 1..l.rfind("</text>").unwrap()];
            let number = |key: &str| value(tag, key).unwrap().parse::<f64>().unwrap();
            let size = value(tag, "font-size").map_or(13.0, |s| s.parse().unwrap());
            // Ten letters of a common face are about five times the type size wide.
            let plain =
                text.replace("&quot;", "q").replace("&amp;", "a").replace("&lt;", "l").replace("&gt;", "g");
            let long = 0.5 * size * f64::from(u32::try_from(plain.chars().count()).unwrap());
            let (x, y) = (number("x"), number("y"));
            let left = match value(tag, "text-anchor").unwrap().as_str() {
                "start" => x,
                "middle" => x - long / 2.0,
                _ => x - long,
            };
            (text.to_owned(), [left, left + long, y - 0.72 * size, y + 0.2 * size])
        })
        .collect()
}

fn nothing_overlaps(svg: &str) {
    let head = svg.lines().next().unwrap();
    let paper: Vec<f64> = head
        .split("viewBox=\"0 0 ")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap()
        .split(' ')
        .map(|v| v.parse().unwrap())
        .collect();
    let all = boxes(svg);
    assert!(all.len() > 4);
    for (i, (a, [l, r, t, b])) in all.iter().enumerate() {
        assert!(
            *l >= 0.0 && *r <= paper[0] + 1.0 && *t >= 0.0 && *b <= paper[1] + 1.0,
            "`{a}` leaves the paper in\n{svg}"
        );
        for (c, [l2, r2, t2, b2]) in &all[..i] {
            let covers = l < r2 && l2 < r && t < b2 && t2 < b;
            assert!(!covers, "`{a}` covers `{c}` in\n{svg}");
        }
    }
}

#[test]
fn no_text_covers_another() {
    for width in [Width::Page, Width::Phone] {
        nothing_overlaps(&balance().svg_for(width));
        nothing_overlaps(&transmissibility().svg_for(width));
    }
}

#[test]
fn hostile_text_stays_text() {
    let mut chart = balance();
    chart.title = "<script>alert(1)</script> & \u{202e}drawkcab \u{1f3a5} ".repeat(6);
    chart.lines[0].label = "\"><image href=x onerror=y>".to_owned() + &"long".repeat(80);
    chart.notes = vec!["\u{0}\u{7}<a>".to_owned()];
    for width in [Width::Page, Width::Phone] {
        let svg = chart.svg_for(width);
        assert!(
            !svg.contains("<script")
                && !svg.contains("<image")
                && !svg.contains("<a>")
                && !svg.contains('\u{0}')
        );
        nothing_overlaps(&svg);
    }
}

#[test]
fn what_is_not_a_number_breaks_the_line_and_nothing_else() {
    let mut chart = balance();
    chart.lines = vec![line(
        "broken",
        &[(0.0, 1.0), (0.1, 2.0), (f64::NAN, 3.0), (0.2, f64::INFINITY), (0.3, 4.0), (0.4, 5.0)],
    )];
    let svg = chart.svg();
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    let path = svg.lines().find(|l| l.contains("stroke-width=\"2\"")).unwrap();
    assert_eq!((path.matches('M').count(), path.matches('L').count()), (2, 2), "{path}");
    chart.lines.clear();
    chart.limits.clear();
    assert!(chart.svg().contains("</svg>"));
}

/// A point that is a quarter of the way along both axes is drawn a quarter of the way across the field.
#[test]
fn points_stand_where_their_numbers_say() {
    let chart = Chart {
        title: "true".to_owned(),
        x: Axis::new("x", Scale::Linear).from_to(0.0, 8.0),
        y: Axis::new("y", Scale::Linear).from_to(0.0, 4.0),
        lines: vec![line("a", &[(0.0, 0.0), (2.0, 1.0), (8.0, 4.0)])],
        limits: Vec::new(),
        notes: Vec::new(),
    };
    let svg = chart.svg();
    let path = svg.lines().find(|l| l.contains("stroke-width=\"2\"")).unwrap();
    let data = path.split("d=\"M").nth(1).unwrap().split('"').next().unwrap();
    let places: Vec<(f64, f64)> = data
        .split('L')
        .map(|p| {
            let (x, y) = p.split_once(' ').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect();
    let (wide, tall) = (places[2].0 - places[0].0, places[2].1 - places[0].1);
    // One digit after the point is written.
    assert!((places[1].0 - places[0].0 - wide / 4.0).abs() < 0.11, "{places:?}");
    assert!((places[1].1 - places[0].1 - tall / 4.0).abs() < 0.11 && tall < -200.0, "{places:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn random_charts_keep_their_texts_apart(
        lines in prop::collection::vec(("(\\PC{0,40}|boom at rest|<b>|payload )", prop::collection::vec((-1e6_f64..1e6, -1e6_f64..1e6), 0..30)), 0..6),
        limits in prop::collection::vec(("(pan drive |worst|payload |sag of the boom ){1,5}", -1e6_f64..1e6, any::<bool>()), 0..5),
        size in -6_i32..6,
    ) {
        let s = 10.0_f64.powi(size);
        let chart = Chart {
            title: "Random".to_owned(),
            x: Axis::new("across", Scale::Linear).unit("m", 1.0).other("ft", 0.3048),
            y: Axis::new("up", Scale::Linear).unit("N", 1.0).other("lbf", 4.448_222),
            lines: lines.into_iter().map(|(label, points)| Line { label, points: points.into_iter().map(|(a, b)| (a * s, b * s)).collect(), dots: false }).collect(),
            limits: limits.into_iter().map(|(label, at, up)| Limit { label, at: at * s, along: if up { Along::X } else { Along::Y } }).collect(),
            notes: vec!["A note.".to_owned()],
        };
        nothing_overlaps(&chart.svg());
        nothing_overlaps(&chart.svg_for(Width::Phone));
    }
}
