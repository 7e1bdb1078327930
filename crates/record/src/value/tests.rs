use super::*;

fn all() -> Vec<Value> {
    let file = |n: &str| File { name: n.into(), text: "a = \"1 mm\"\n\tb\r\n".into() };
    let s = String::from;
    vec![
        Value::Rig(Rig { file: file("night.toml"), parts: vec![file("parts.toml")] }),
        Value::Measured(Measured { value: s("302 mm"), with: s("tape") }),
        Value::Reading(Reading {
            vacuum: s("23.6 inHg"),
            with: s("gauge on the cup"),
            pumped: true,
            temperature: Some(s("4 °C")),
            pressure: None,
            altitude: Some(s("310 m")),
        }),
        Value::Torque(Torque { value: s("50 N m"), with: s("wrench 3") }),
        Value::Weight(Weight { value: s("62 lb"), with: s("scale") }),
        Value::Step(Step { state: State::Skipped, reason: Some(s("no roof")) }),
        Value::Step(Step { state: State::Done, reason: None }),
        Value::Signature(Signature { name: s("A. B."), role: s("key grip"), on: "0".repeat(64) }),
        Value::Note(Note { text: s("two\nlines") }),
        Value::Photo(Photo::of("cup FL", "image/jpeg", b"x")),
        Value::Weather(Weather { temperature: None, wind: Some(s("12 mph")), rain: Some(s("dry")) }),
        Value::Verdict(Verdict {
            answer: Answer::NoGo,
            fingerprint: s("ab12"),
            program: s("clingfish 0.1.0"),
            reasons: vec![s("cup FL lifts")],
        }),
        Value::Damage(Damage { on: Wear::Car, sound: true, text: s("roof looked at by torch") }),
    ]
}

#[test]
fn every_kind_is_read_back_as_it_was_written() {
    let mut seen: Vec<Kind> = all().iter().map(Value::kind).collect();
    seen.sort_unstable();
    seen.dedup();
    assert_eq!(seen, Kind::ALL);
    for value in all() {
        let text = value.text().unwrap();
        assert_eq!(Value::of_text(value.kind(), &text), Ok(value));
    }
    for kind in Kind::ALL {
        assert_eq!(Kind::named(kind.name()), Some(*kind));
    }
    assert_eq!(Kind::named("Rig"), None);
}

/// These texts are in files that people keep: a change here is a new version of the format.
#[test]
fn the_stored_form_stays() {
    let texts: Vec<String> =
        all().iter().map(|v| format!("{} {}", v.kind().name(), v.text().unwrap())).collect();
    let expected = [
        r#"rig {"file":{"name":"night.toml","text":"a = \"1 mm\"\n\tb\r\n"},"parts":[{"name":"parts.toml","text":"a = \"1 mm\"\n\tb\r\n"}]}"#,
        r#"measured {"value":"302 mm","with":"tape"}"#,
        r#"reading {"vacuum":"23.6 inHg","with":"gauge on the cup","pumped":true,"temperature":"4 °C","altitude":"310 m"}"#,
        r#"torque {"value":"50 N m","with":"wrench 3"}"#,
        r#"weight {"value":"62 lb","with":"scale"}"#,
        r#"step {"state":"skipped","reason":"no roof"}"#,
        r#"step {"state":"done"}"#,
        r#"signature {"name":"A. B.","role":"key grip","on":"0000000000000000000000000000000000000000000000000000000000000000"}"#,
        r#"note {"text":"two\nlines"}"#,
        r#"photo {"caption":"cup FL","media":"image/jpeg","sha256":"2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881"}"#,
        r#"weather {"wind":"12 mph","rain":"dry"}"#,
        r#"verdict {"answer":"NO-GO","fingerprint":"ab12","program":"clingfish 0.1.0","reasons":["cup FL lifts"]}"#,
        r#"damage {"on":"car","sound":true,"text":"roof looked at by torch"}"#,
    ];
    assert_eq!(texts, expected);
}

#[test]
fn other_spellings_of_the_same_value_are_refused() {
    for text in [
        r#"{"value": "302 mm","with":"tape"}"#,
        r#"{"with":"tape","value":"302 mm"}"#,
        r#"{"value":"302 mm","with":"tape","more":1}"#,
        r#"{"value":"302 mm","value":"302 mm","with":"tape"}"#,
        r#"{"value":"302 \u006dm","with":"tape"}"#,
        r#"{"value":"302 mm"}"#,
        r#"["302 mm","tape"]"#,
        "null",
        "",
    ] {
        assert!(Value::of_text(Kind::Measured, text).is_err(), "{text}");
    }
    let absent = r#"{"vacuum":"80 kPa","with":"g","pumped":false,"pressure":null}"#;
    assert!(Value::of_text(Kind::Reading, absent).is_err());
}

#[test]
fn what_says_nothing_is_refused() {
    let skipped = Value::Step(Step { state: State::Skipped, reason: None });
    assert!(matches!(skipped.text(), Err(Fault::Empty { .. })));
    let weather = Value::Weather(Weather { temperature: None, wind: None, rain: None });
    assert!(matches!(weather.text(), Err(Fault::Empty { .. })));
    let without_tool = Value::Measured(Measured { value: "1 mm".into(), with: String::new() });
    assert!(matches!(without_tool.text(), Err(Fault::Empty { .. })));
    for media in ["jpeg", "/jpeg", "image/", "image/jp eg", "a/b/c"] {
        assert!(Value::Photo(Photo::of("", media, b"x")).text().is_err(), "{media}");
    }
    let torque = Value::Torque(Torque { value: "50 N m".into(), with: "w".into() });
    assert!(torque.check_about("").is_err());
    assert!(Value::Note(Note { text: "a".into() }).check_about("").is_ok());
}

#[test]
fn lists_have_limits_too() {
    let file = File { name: "a".into(), text: "b".into() };
    let rig = |n| Value::Rig(Rig { file: file.clone(), parts: vec![file.clone(); n] });
    assert!(rig(crate::limits::PARTS_FILES).text().is_ok());
    let over = rig(crate::limits::PARTS_FILES + 1).text().unwrap_err();
    assert!(over.to_string().contains("21 lines, the limit is 20"), "{over}");
}
