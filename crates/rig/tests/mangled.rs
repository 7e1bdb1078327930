//! Mangled files: reading never stops the program, and every fault points into the text.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/base.rs"]
mod common;

use common::base;
use proptest::prelude::*;
use rig::{Reading, facts_mut};

/// One thing that goes wrong while typing.
#[derive(Clone, Debug)]
enum Slip {
    DeleteLine(usize),
    DoubleLine(usize),
    SwapLines(usize, usize),
    DeleteCharacter(usize),
    PutCharacter(usize, char),
    PutValue(usize, &'static str),
}

fn slip() -> impl Strategy<Value = Slip> {
    let values = prop::sample::select(vec![
        "\"0 mm\"",
        "\"-1 m\"",
        "\"1e300 m\"",
        "\"nan\"",
        "\"inf kg\"",
        "\"9 inHg\"",
        "true",
        "12",
        "-7.5",
        "[]",
        "{}",
        "[[\"x\"]]",
        "\"\"",
        "\"flat\"",
        "\"TF\"",
        "\"roof\"",
        "\"µ ½ ″ °\"",
        "1979-05-27",
        "{ value = \"1 kg\" }",
        "{ value = \"1 kg\", low = \"0 kg\", high = \"3 kg\" }",
        "\"90 deg\"",
        "\"45 %\"",
        "inf",
        "nan",
        "\"up\"",
    ]);
    prop_oneof![
        any::<usize>().prop_map(Slip::DeleteLine),
        any::<usize>().prop_map(Slip::DoubleLine),
        (any::<usize>(), any::<usize>()).prop_map(|(a, b)| Slip::SwapLines(a, b)),
        any::<usize>().prop_map(Slip::DeleteCharacter),
        (any::<usize>(), any::<char>()).prop_map(|(a, c)| Slip::PutCharacter(a, c)),
        (any::<usize>(), values).prop_map(|(a, v)| Slip::PutValue(a, v)),
    ]
}

fn apply(text: &str, slip: &Slip) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let count = lines.len().max(1);
    if lines.is_empty() {
        lines.push(String::new());
    }
    let boundary = |at: usize| {
        let mut at = at % (text.len() + 1);
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    match slip {
        Slip::DeleteLine(i) => {
            lines.remove(i % count);
        }
        Slip::DoubleLine(i) => {
            let line = lines[i % count].clone();
            lines.insert(i % count, line);
        }
        Slip::SwapLines(a, b) => lines.swap(a % count, b % count),
        Slip::DeleteCharacter(at) => {
            let mut out = text.to_owned();
            let at = boundary(*at);
            if at < out.len() {
                out.remove(at);
            }
            return out;
        }
        Slip::PutCharacter(at, c) => {
            let mut out = text.to_owned();
            out.insert(boundary(*at), *c);
            return out;
        }
        Slip::PutValue(i, value) => {
            let line = &mut lines[i % count];
            if let Some(at) = line.find('=') {
                line.truncate(at + 1);
                line.push_str(value);
            }
        }
    }
    lines.join("\n")
}

/// What must hold of every reading, whatever the text.
fn sane(reading: Reading) {
    for d in &reading.diagnostics {
        let mut places = vec![(d.source, d.span.clone())];
        places.extend(d.related.iter().map(|(s, span, _)| (*s, span.clone())));
        for (source, span) in places {
            let text = &reading.sources[source].text;
            assert!(text.get(span.clone()).is_some(), "{span:?} is not a place in the text: {d:?}");
        }
        assert!(!d.message.is_empty() && !d.why.is_empty() && !d.mend.is_empty(), "{d:?}");
    }
    assert_eq!(reading.rig.is_none(), reading.has_errors());
    if let Some(mut rig) = reading.rig {
        for cup in &rig.cups {
            let all = [cup.at, cup.normal, cup.along, cup.head];
            assert!(all.iter().all(|v| v.is_finite()) && cup.height.is_finite(), "{cup:?}");
        }
        for tube in &rig.tubes {
            assert!(tube.a.is_finite() && tube.b.is_finite(), "{tube:?}");
        }
        facts_mut(&mut rig, &mut |fact| {
            // Only a crown may be infinite: that is a flat panel.
            let flat = fact.key.contains(".crown_");
            assert!(!fact.value.is_nan() && (fact.value.is_finite() || flat), "{fact:?}");
            assert!(fact.low <= fact.value && fact.value <= fact.high, "{fact:?}");
        });
    }
}

fn read(text: &str) -> Reading {
    // A parts file that is the rig file itself is as wrong as any.
    rig::read(text, "rig.toml", &|name| {
        if name.len() % 2 == 0 { Ok(text.to_owned()) } else { Err("no".to_owned()) }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn slips_while_typing_never_stop_the_reader(slips in prop::collection::vec(slip(), 1..6)) {
        let text = slips.iter().fold(base(), |text, slip| apply(&text, slip));
        sane(read(&text));
    }

    #[test]
    fn a_value_of_any_sort_never_stops_the_reader(line in any::<usize>()) {
        let text = apply(&base(), &Slip::PutValue(line, "{ aft = \"1 m\", up = \"2 m\", left = \"0.2 m\" }"));
        sane(read(&text));
    }

    #[test]
    fn any_text_never_stops_the_reader(text in ".{0,200}") {
        sane(read(&text));
    }
}

#[test]
fn deep_nesting_is_refused_and_does_not_stop_the_reader() {
    for (open, close) in [("[", "]"), ("{ a = ", " }")] {
        for depth in [10, 60, 200, 20_000] {
            let text = format!("{}x = {}1{}\n", base(), open.repeat(depth), close.repeat(depth));
            let reading = read(&text);
            assert!(reading.has_errors(), "{open} {depth}");
            sane(reading);
        }
    }
    sane(read(&format!("[{}]\n", vec!["a"; 3000].join("."))));
}
