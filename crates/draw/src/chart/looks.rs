//! How the charts look: snapshots, and what must hold of every chart whatever is in it.

use super::*;
use crate::text::width;
use proptest::prelude::*;

const G: f64 = 9.806_65;
const PAPERS: [Width; 2] = [Width::Page, Width::Phone];

fn g_axis(name: &str) -> Axis {
    Axis::new(name, Scale::Linear).unit("g", G).other("m/s²", 1.0)
}

/// A text on the paper: left, right, top, bottom.
type Place = (String, [f64; 4]);

fn number(node: &roxmltree::Node<'_, '_>, key: &str) -> f64 {
    node.attribute(key).unwrap().parse().unwrap()
}

/// Texts as boxes, by the crate's own estimate of their width.
fn texts(svg: &str) -> Vec<Place> {
    let doc = roxmltree::Document::parse(svg).unwrap();
    doc.descendants()
        .filter(|n| n.has_tag_name("text"))
        .map(|n| {
            let text = n.text().unwrap_or_default();
            let size = n.attribute("font-size").map_or(13.0, |s| s.parse().unwrap());
            let (x, y, long) = (number(&n, "x"), number(&n, "y"), width(text, size));
            let left = match n.attribute("text-anchor").unwrap() {
                "start" => x,
                "middle" => x - long / 2.0,
                _ => x - long,
            };
            (text.to_owned(), [left, left + long, y - 0.72 * size, y + 0.2 * size])
        })
        .collect()
}

/// Well-formed, no lost number written, no text on another or off the paper.
fn sound(svg: &str) {
    let doc = roxmltree::Document::parse(svg).unwrap();
    let paper = (number(&doc.root_element(), "width"), number(&doc.root_element(), "height"));
    for node in doc.descendants().filter(|n| n.is_element() && !n.has_tag_name("title")) {
        for a in node.attributes() {
            assert!(!a.value().contains("NaN") && !a.value().contains("inf"), "{a:?}");
        }
    }
    let all = texts(svg);
    for (i, (a, [l, r, t, b])) in all.iter().enumerate() {
        let on = *l >= -0.5 && *r <= paper.0 + 0.5 && *t >= 0.0 && *b <= paper.1;
        assert!(on, "`{a}` leaves the paper: {l} to {r}, {t} to {b} of {paper:?}");
        for (c, [l2, r2, t2, b2]) in &all[..i] {
            // Places are written to a tenth.
            let covers = *l < r2 - 0.2 && *l2 < r - 0.2 && *t < b2 - 0.2 && *t2 < b - 0.2;
            assert!(!covers || a.trim().is_empty() || c.trim().is_empty(), "`{a}` covers `{c}` in\n{svg}");
        }
    }
}

/// Relative luminance of `#rrggbb` or `rgb(r,g,b)` as WCAG 2.2 has it.
fn luminance(colour: &str) -> f64 {
    let parts: Vec<u8> = match colour.strip_prefix("rgb(") {
        Some(rest) => rest.trim_end_matches(')').split(',').map(|p| p.parse().unwrap()).collect(),
        None => [1, 3, 5].map(|k| u8::from_str_radix(&colour[k..k + 2], 16).unwrap()).into(),
    };
    let part = |k: usize| f64::from(parts[k]) / 255.0;
    let linear = |c: f64| if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
    0.2126 * linear(part(0)) + 0.7152 * linear(part(1)) + 0.0722 * linear(part(2))
}

fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn bar(label: &str, used: Option<f64>, word: Word) -> Bar {
    let text = used.map_or(String::new(), |u| format!("margin {:.2}", 1.0 / u));
    Bar { label: label.to_owned(), value: used, text, word: Some(word), ..Bar::default() }
}

fn loads(groups: Vec<Group>) -> Bars {
    Bars {
        title: "Cups: how much of what each may bear is used".to_owned(),
        axis: Axis::new("share used", Scale::Linear),
        groups,
        limit: Some(("all it may bear: 1.00".to_owned(), 1.0)),
        most: Some(1.6),
        key: Key::default(),
        notes: vec!["Each cup's tightest check over all states. What is required is in it.".to_owned()],
    }
}

fn cups() -> Bars {
    let group = |name: &str, all: (Option<f64>, Word), lost: (Option<f64>, Word)| Group {
        name: name.to_owned(),
        bars: vec![bar("all there: slides", all.0, all.1), bar("one lost: lifts", lost.0, lost.1)],
    };
    loads(vec![
        group("cup FL", (Some(0.62), Word::Holds), (Some(0.93), Word::Close)),
        group("cup FR", (Some(0.58), Word::Holds), (Some(1.31), Word::Fails)),
        group("cup RL", (Some(0.05), Word::Holds), (Some(7.0), Word::Fails)),
        group("cup RR", (None, Word::Unknown), (None, Word::Unknown)),
    ])
}

fn vacuum() -> Bars {
    let group = |name: &str, read: f64, left: f64, least: f64, word| Group {
        name: name.to_owned(),
        bars: vec![Bar {
            value: Some(left),
            outline: Some(read),
            tick: Some(least),
            text: format!("{:.0} left, {:.0} needed", left / 1e3, least / 1e3),
            word: Some(word),
            ..Bar::default()
        }],
    };
    Bars {
        title: "Vacuum at the cups".to_owned(),
        axis: Axis::new("vacuum", Scale::Linear).unit("kPa", 1e3).other("inHg", 3_386.389),
        groups: vec![
            group("cup FL", 80e3, 75e3, 41e3, Word::Holds),
            group("cup FR", 62e3, 57e3, 55e3, Word::Close),
            group("cup RL", 45e3, 40e3, 52e3, Word::Fails),
        ],
        limit: None,
        most: None,
        key: Key {
            value: "left at the next round".to_owned(),
            outline: "read now".to_owned(),
            tick: "least at which it neither lifts nor slides".to_owned(),
        },
        notes: Vec::new(),
    }
}

/// Allowed accelerations in sectors as the arm of an estate has them, and one where nothing is.
fn dial(name: &str, scale: f64, count: u32) -> Dial {
    let wide = core::f64::consts::TAU / f64::from(count);
    let sectors = (0..count)
        .map(|k| {
            let middle = f64::from(k) * wide;
            let v = scale * (0.6 + 0.35 * middle.cos() - 0.1 * (2.0 * middle).sin()) * G;
            let value = (v > 0.12 * scale * G + 0.02).then_some(v);
            let hour = (12 - k * 12 / count) % 12;
            Sector {
                from: middle - wide / 2.0,
                to: middle + wide / 2.0,
                name: if (k * 12) % count == 0 {
                    format!("{}", if hour == 0 { 12 } else { hour })
                } else {
                    String::new()
                },
                value: value.filter(|_| k * 12 / count != 7),
                text: format!("{:.2}", (v / G * 100.0).floor() / 100.0),
            }
        })
        .collect();
    Dial { name: name.to_owned(), sectors, note: "Boom parked: 0.62 g.".to_owned() }
}

fn sectors(count: u32, dials: usize) -> Sectors {
    let names = [
        "50 km/h (31.1 mph), dry",
        "50 km/h (31.1 mph), wet",
        "90 km/h (55.9 mph), dry",
        "90 km/h (55.9 mph), wet",
    ];
    let dials = names.iter().cycle().zip([1.0, 0.4, 0.8, 0.3].into_iter().cycle()).take(dials);
    Sectors {
        title: "How hard the car may bend, by where the boom points".to_owned(),
        axis: g_axis("to either side"),
        dials: dials.map(|(n, s)| dial(n, s, count)).collect(),
        limit: Some(("as hard as the plan bends: 0.35 g".to_owned(), 0.35 * G)),
        nothing: "none: not even standing still".to_owned(),
        notes: vec!["Boom anywhere in the sector and moving as its drives can.".to_owned()],
    }
}

fn heat(columns: usize, blocks: usize) -> Heat {
    let wide = f64::from(u32::try_from(columns).unwrap());
    let cell = |scale: f64, c: usize, r: usize| {
        let turn = f64::from(u32::try_from(c).unwrap()) / wide * core::f64::consts::TAU;
        let v = scale * (0.55 - 0.4 * turn.cos() + 0.1 * f64::from(u32::try_from(r).unwrap()));
        if v < 0.2 {
            Cell::Nothing
        } else {
            Cell::Value(v * G, format!("{:.2}", (v * 100.0).floor() / 100.0))
        }
    };
    let block = |k: usize| Block {
        name: ["50 km/h (31.1 mph), dry", "50 km/h (31.1 mph), wet"][k % 2].to_owned(),
        rows: (0..3)
            .map(|r| (0..columns).map(|c| cell(if k.is_multiple_of(2) { 1.0 } else { 0.5 }, c, r)).collect())
            .collect(),
    };
    Heat {
        title: "How hard the car may bend, by bearing and elevation of the boom".to_owned(),
        axis: g_axis("allowed to either side, rounded down"),
        across: "where the boom points, o'clock".to_owned(),
        columns: (0..columns).map(|c| format!("{}", (c * 12 / columns + 6) % 12 + 1)).collect(),
        up: "its elevation".to_owned(),
        rows: ["-10° to 3°", "3° to 17°", "17° to 30°"].map(str::to_owned).into(),
        blocks: (0..blocks).map(block).collect(),
        nothing: "nothing is allowed".to_owned(),
        notes: Vec::new(),
    }
}

fn trend() -> Trend {
    let series = |label: &str, from: f64, rate: f64| Line {
        label: label.to_owned(),
        points: (0..6)
            .map(|k| f64::from(k) * 1800.0)
            .map(|t| (t, (from - rate * t / 3600.0) * 1e3))
            .collect(),
        dots: false,
    };
    Trend {
        title: "Vacuum at every round".to_owned(),
        since: "time from the first round".to_owned(),
        y: Axis::new("vacuum", Scale::Linear).unit("kPa", 1e3).other("inHg", 3_386.389),
        series: vec![series("cup FL", 81.0, 2.0), series("cup FR", 78.0, 11.0)],
        bands: vec![Band {
            label: "cup FR, gauge's error".to_owned(),
            points: (0..6)
                .map(|k| f64::from(k) * 1800.0)
                .map(|t| (t, (76.0 - 11.0 * t / 3600.0) * 1e3, (80.0 - 11.0 * t / 3600.0) * 1e3))
                .collect(),
        }],
        limits: vec![Limit { label: "cup FR must not be under this".to_owned(), at: 52e3, along: Along::Y }],
        notes: Vec::new(),
    }
}

#[test]
fn charts_look_as_they_did() {
    for (paper, name) in PAPERS.into_iter().zip(["page", "phone"]) {
        for (kind, svg) in [
            ("cups", cups().svg_for(paper)),
            ("vacuum", vacuum().svg_for(paper)),
            ("sectors", sectors(12, 2).svg_for(paper)),
            ("heat", heat(12, 2).svg_for(paper)),
            ("trend", trend().svg_for(paper)),
        ] {
            sound(&svg);
            insta::assert_snapshot!(format!("{kind}_{name}"), svg);
        }
    }
}

#[test]
fn few_and_many_stand_clear() {
    for paper in PAPERS {
        for (count, dials) in [(1, 1), (2, 1), (3, 2), (6, 4), (12, 8), (72, 2), (0, 0), (0, 1)] {
            sound(&sectors(count, dials).svg_for(paper));
        }
        for (columns, blocks) in [(1, 1), (2, 3), (6, 2), (12, 8), (72, 2), (0, 1), (4, 0)] {
            sound(&heat(columns, blocks).svg_for(paper));
        }
        for n in [0_u32, 1, 64] {
            let used = |k: u32| f64::from(k % 17) * 0.09 + 0.02;
            let groups = (0..n).map(|k| Group {
                name: format!("cup {k}"),
                bars: vec![
                    bar("all there: slides", Some(used(k)), Word::Holds),
                    bar("one lost", Some(used(k + 5)), Word::Close),
                ],
            });
            sound(&loads(groups.collect()).svg_for(paper));
        }
        let empty = Trend { series: Vec::new(), bands: Vec::new(), limits: Vec::new(), ..trend() };
        sound(&empty.svg_for(paper));
    }
}

/// Every cell's number reads at 4.5:1 or better on its fill, the fills' lightness rises with the value, and there is a fill for each
/// step.
#[test]
fn numbers_read_on_every_shade_and_grey_has_their_order() {
    let values: Vec<f64> = (0..120).map(|k| 0.1 + f64::from(k) * 0.011).collect();
    let cells =
        values.iter().map(|v| Cell::Value(*v * G, format!("{v:.2}"))).chain([Cell::Nothing]).collect();
    let chart = Heat {
        columns: vec!["c".to_owned(); 121],
        rows: vec!["r".to_owned()],
        blocks: vec![Block { name: "b".to_owned(), rows: vec![cells] }],
        ..heat(1, 1)
    };
    let svg = chart.svg_for(Width::Page);
    let doc = roxmltree::Document::parse(&svg).unwrap();
    let all: Vec<roxmltree::Node<'_, '_>> = doc.descendants().filter(roxmltree::Node::is_element).collect();
    let mut fills = Vec::new();
    for cell in
        all.iter().filter(|n| n.attribute("class") == Some("cell") && n.attribute("height") == Some("24.0"))
    {
        let (x, y) = (number(cell, "x"), number(cell, "y"));
        let (w, h) = (number(cell, "width"), number(cell, "height"));
        let inside = |n: &&roxmltree::Node<'_, '_>| {
            n.has_tag_name("text")
                && number(n, "x") > x
                && number(n, "x") < x + w
                && number(n, "y") > y
                && number(n, "y") < y + h
        };
        let text = all.iter().find(inside).unwrap();
        let (fill, ink) = (cell.attribute("fill").unwrap(), text.attribute("fill").unwrap());
        assert!(contrast(fill, ink) >= 4.5, "{fill} {ink}: {}", contrast(fill, ink));
        if text.text() != Some("none") {
            fills.push(luminance(fill));
        }
    }
    assert_eq!(fills.len(), 120);
    assert!(fills.windows(2).all(|w| w[0] <= w[1]), "{fills:?}");
    fills.dedup();
    assert!(fills.len() >= 4, "{fills:?}");
    assert!(
        (contrast("#ffffff", "#000000") - 21.0).abs() < 1e-9
            && (contrast("#777777", "#ffffff") - 4.478).abs() < 1e-3
    );
}

/// What the filled lengths of a chart are, in the order in which they are drawn.
fn lengths(svg: &str) -> Vec<f64> {
    let doc = roxmltree::Document::parse(svg).unwrap();
    let lengths = doc.descendants().filter(|n| n.attribute("class") == Some("length"));
    lengths
        .map(|n| match n.attribute("d") {
            None => number(&n, "width"),
            // `M x y L x y A far …`: the outer radius.
            Some(d) => d.split('A').nth(1).unwrap().split(' ').next().unwrap().parse().unwrap(),
        })
        .collect()
}

#[test]
fn a_bar_that_is_half_as_much_is_half_as_long() {
    let one = |used: f64| Group { name: "c".to_owned(), bars: vec![bar("", Some(used), Word::Holds)] };
    let got = lengths(
        &loads(vec![one(0.4), one(0.8), one(0.0), one(-3.0), one(9.0), one(f64::INFINITY)])
            .svg_for(Width::Page),
    );
    assert!((got[1] - 2.0 * got[0]).abs() < 0.15 && got[0] > 50.0, "{got:?}");
    assert!(got[2].abs() < 1e-9 && got[3].abs() < 1e-9 && got[4] >= got[1] && got[5] >= got[4], "{got:?}");
}

/// Whatever is allowed, each of twelve sectors shows its hour and its number.
#[test]
fn every_hour_and_number_of_twelve_is_there() {
    for (value, text) in [
        (None, ""),
        (Some(0.0), "0.00"),
        (Some(0.13 * G), "0.13"),
        (Some(0.6 * G), "0.60"),
        (Some(1.2 * G), ">1.2"),
    ] {
        let mut chart = sectors(12, 2);
        chart
            .dials
            .iter_mut()
            .flat_map(|d| &mut d.sectors)
            .for_each(|s| (s.value, s.text) = (value, text.to_owned()));
        for paper in PAPERS {
            let all = texts(&chart.svg_for(paper));
            let number = if value.is_none() { "none" } else { text };
            assert_eq!(all.iter().filter(|t| t.0 == number).count(), 24, "{text}");
            for hour in 1..=12 {
                assert!(
                    all.iter().filter(|t| t.0 == hour.to_string()).count() >= 2,
                    "{hour} o'clock, {text}"
                );
            }
        }
    }
}

#[test]
fn left_of_the_car_is_left_on_the_dial() {
    let one = |from: f64, to: f64| Sector {
        from,
        to,
        name: "here".to_owned(),
        value: Some(G),
        text: "1.00".to_owned(),
    };
    let dial =
        |from: f64, to: f64| Dial { name: String::new(), sectors: vec![one(from, to)], note: String::new() };
    let at = |from: f64, to: f64| {
        let svg = Sectors { dials: vec![dial(from, to)], ..sectors(1, 1) }.svg_for(Width::Page);
        let doc = roxmltree::Document::parse(&svg).unwrap();
        let hub = doc
            .descendants()
            .find(|n| n.has_tag_name("circle"))
            .map(|n| (number(&n, "cx"), number(&n, "cy")))
            .unwrap();
        let (_, [l, r, t, b]) = texts(&svg).into_iter().find(|t| t.0 == "here").unwrap();
        (f64::midpoint(l, r) - hub.0, f64::midpoint(t, b) - hub.1)
    };
    let (ahead, left) = (at(-0.2, 0.2), at(1.4, 1.7));
    assert!(ahead.1 < -50.0 && ahead.0.abs() < 5.0, "{ahead:?}");
    assert!(left.0 < -50.0 && left.1.abs() < 10.0, "{left:?}");
}

const NAMES: &str =
    "(\\PC{0,60}|<script>alert\\(1\\)</script>|]]>&amp;\"'|\u{202e}thgir ot tfel|\u{1f3a5}{9}|cup |l{300})";

fn amounts() -> impl Strategy<Value = f64> {
    prop_oneof![4 => 0.0_f64..3.0, 1 => Just(f64::NAN), 1 => Just(f64::INFINITY), 1 => -1e9_f64..1e9, 1 => Just(1e-300), 1 => Just(f64::MAX)]
}

fn words() -> impl Strategy<Value = Option<Word>> {
    prop_oneof![
        Just(None),
        Just(Some(Word::Holds)),
        Just(Some(Word::Close)),
        Just(Some(Word::Fails)),
        Just(Some(Word::Unknown))
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_bars_are_sound_and_in_order(
        bars in prop::collection::vec((NAMES, NAMES, prop::option::of(amounts()), amounts(), words()), 0..12),
        (title, limit, most) in (NAMES, amounts(), prop::option::of(amounts())),
    ) {
        let values: Vec<f64> = bars.iter().filter_map(|b| b.2.filter(|v| !v.is_nan())).collect();
        let groups = bars.into_iter().map(|(name, label, value, more, word)| Group {
            name: name.clone(),
            bars: vec![Bar { label, value, outline: Some(more), tick: Some(more / 2.0), text: name, word }],
        });
        let chart = Bars { title: title.clone(), limit: Some((title.clone(), limit)), most, key: Key { value: title.clone(), outline: title.clone(), tick: title }, ..loads(groups.collect()) };
        for paper in PAPERS {
            let svg = chart.svg_for(paper);
            sound(&svg);
            let mut pairs: Vec<(f64, f64)> = values.iter().copied().zip(lengths(&svg)).collect();
            pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
            prop_assert!(pairs.windows(2).all(|w| w[0].1 <= w[1].1), "{pairs:?}");
        }
    }

    #[test]
    fn any_sectors_are_sound_and_in_order(
        values in prop::collection::vec((prop::option::of(amounts()), NAMES), 0..40),
        (title, limit, turn) in (NAMES, amounts(), -7.0_f64..7.0),
    ) {
        let wide = core::f64::consts::TAU / f64::from(u32::try_from(values.len().max(1)).unwrap());
        let shown: Vec<f64> = values.iter().filter_map(|v| v.0.filter(|v| !v.is_nan())).collect();
        let sectors = values.into_iter().enumerate().map(|(k, (value, name))| {
            let from = turn + wide * f64::from(u32::try_from(k).unwrap());
            Sector { from, to: from + wide, text: name.clone(), name, value }
        });
        let chart = Sectors {
            title: title.clone(),
            dials: vec![Dial { name: title.clone(), sectors: sectors.collect(), note: title.clone() }],
            limit: Some((title.clone(), limit)),
            nothing: title,
            ..self::sectors(1, 1)
        };
        for paper in PAPERS {
            let svg = chart.svg_for(paper);
            sound(&svg);
            let mut pairs: Vec<(f64, f64)> = shown.iter().copied().zip(lengths(&svg)).collect();
            pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
            prop_assert!(pairs.windows(2).all(|w| w[0].1 <= w[1].1), "{pairs:?}");
        }
    }

    #[test]
    fn any_heat_is_sound(
        cells in prop::collection::vec((prop::option::of(amounts()), NAMES), 0..30),
        (rows, blocks, title) in (0_usize..5, 0_usize..4, NAMES),
    ) {
        let row: Vec<Cell> = cells.iter().map(|(v, t)| v.map_or(Cell::Nothing, |v| Cell::Value(v, t.clone()))).collect();
        let chart = Heat {
            title: title.clone(),
            columns: cells.iter().map(|c| c.1.clone()).collect(),
            rows: vec![title.clone(); rows],
            blocks: vec![Block { name: title.clone(), rows: vec![row; rows] }; blocks],
            nothing: title,
            ..heat(1, 1)
        };
        for paper in PAPERS {
            sound(&chart.svg_for(paper));
        }
    }

    #[test]
    fn any_trend_is_sound(
        series in prop::collection::vec((NAMES, prop::collection::vec((amounts(), amounts()), 0..9)), 0..5),
        (title, limit) in (NAMES, amounts()),
    ) {
        let bands = series.iter().map(|(label, points)| Band { label: label.clone(), points: points.iter().map(|(t, v)| (*t, *v, v + 1.0)).collect() });
        let chart = Trend {
            title: title.clone(),
            bands: bands.collect(),
            series: series.into_iter().map(|(label, points)| Line { label, points, dots: false }).collect(),
            limits: vec![Limit { label: title, at: limit, along: Along::Y }],
            ..trend()
        };
        for paper in PAPERS {
            // Marks of an axis may stand close to each other's in the other system; the line chart's own tests look at that.
            let svg = chart.svg_for(paper);
            prop_assert!(roxmltree::Document::parse(&svg).is_ok() && !svg.contains("NaN"));
        }
    }
}
