//! Odd tags, line ends and forms, and any key and value: an edit that reads, or a fault that says why; never a stop.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/editing.rs"]
mod editing;

use editing::{clear, example, model, reading, set, texts};
use glam::DVec3;
use proptest::prelude::*;
use rig::{Change, EditFault, Snap};

const TAGS: [&str; 9] =
    ["a b", "with \"quotes\"", "it's", "ü-é", "مرحبا", "a.b.c", "back\\slash", "tab\there", ""];

/// The example with tag `FL` of a cup and `TF` of a tube written otherwise.
fn renamed(tag: &str) -> String {
    let (cup, tube) = (rig::key_text(&format!("c{tag}")), format!("t{tag}"));
    example("estate-arm")
        .replace("[cup.FL]", &format!("[cup.{cup}]"))
        .replace("[tube.TF]", &format!("[tube.{}]", rig::key_text(&tube)))
        .replace("\"TF\"", &rig::quoted(&tube))
}

#[test]
fn tags_of_any_letters_are_moved_mirrored_and_removed() {
    for tag in TAGS {
        for text in [renamed(tag), renamed(tag).replace('\n', "\r\n"), renamed(tag).trim_end().to_owned()] {
            let rig = model(&text);
            let (cup, tube) = (rig::key_text(&format!("c{tag}")), rig::key_text(&format!("t{tag}")));
            let part = format!("cup.{cup}");
            let to = rig.cups[0].at + DVec3::new(0.0, 0.05, 0.0);
            let moved =
                rig::edited(&text, &Change::Place { part: &part, to, snap: Snap::Tape, rig: &rig }).unwrap();
            assert!((model(&moved).cups[0].at.y - to.y).abs() < 0.0026, "{tag}");
            let slid = Change::Slide {
                tube: &format!("tube.{tube}"),
                by: DVec3::new(0.01, 0.0, 0.0),
                snap: Snap::Tape,
                rig: &rig,
            };
            assert_eq!(model(&rig::edited(&text, &slid).unwrap()).tubes.len(), 5, "{tag}");
            let needs = rig::dependents(&text, &format!("tube.{tube}"));
            assert!(needs.contains(&part), "{needs:?}");
            let alone = rig::edited(&text, &Change::Remove { parts: &["cup.FR"] }).unwrap();
            let twice = Change::Mirror { part: &part, rig: &model(&alone) };
            assert_eq!(model(&rig::edited(&alone, &twice).unwrap()).cups.len(), 6, "{tag}");
            let added = Change::Add {
                kind: "cup",
                part: None,
                with: &[],
                at: DVec3::new(-1.43, 0.1, 1.45),
                rig: &rig,
            };
            assert_eq!(model(&rig::edited(&text, &added).unwrap()).cups.len(), 7, "{tag}");
            let bare = |t: &str| t.replace("\r\n", "");
            let crlf = text.contains('\r');
            assert!(
                !crlf || !bare(&rig::edited(&text, &added).unwrap()).contains('\n'),
                "a line ends otherwise"
            );
        }
    }
}

#[test]
fn dotted_keys_and_braces_are_edited_in_their_own_form() {
    let headed = "[cup.FL]\npart = \"kit-250\"\npanel = \"roof\"\naft = \"380 mm\"\nleft = \"420 mm\"\nholds = \"TF\"\nvacuum = \"23 inHg\"\n";
    let table = "part = \"kit-250\", panel = \"roof\", aft = \"380 mm\", left = \"420 mm\", holds = \"TF\", vacuum = \"23 inHg\"";
    let dotted: String = headed.lines().skip(1).flat_map(|l| ["\tFL.", l, "\n"]).collect();
    for other in [format!("[cup]\nFL = {{ {table} }}\n"), format!("[cup]\n{dotted}")] {
        let text = example("estate-arm").replace(headed, &other);
        let rig = model(&text);
        let part = "cup.FL";
        let to = rig.cups[0].at + DVec3::new(0.0, -0.9, 0.0);
        let moved = rig::edited(&text, &Change::Place { part, to, snap: Snap::Tape, rig: &rig }).unwrap();
        assert_eq!(rig::written(&moved, "cup.FL.right").as_deref(), Some("480 mm"));
        let more = set(&text, "cup.FL.loss", "3 kPa").unwrap();
        assert!(reading(&more).rig.is_some() && clear(&more, "cup.FL.loss").unwrap() == text);
        let gone = rig::edited(&text, &Change::Remove { parts: &[part] }).unwrap();
        assert_eq!(model(&gone).cups.len(), 5);
        let alone = rig::edited(&text, &Change::Remove { parts: &["cup.FR"] }).unwrap();
        let twin = rig::edited(&alone, &Change::Mirror { part, rig: &model(&alone) }).unwrap();
        assert!((model(&twin).cups.last().unwrap().at.y + 0.42).abs() < 1e-9);
    }
    // All cups between braces: no heading of theirs can stand beside.
    let braces = "cup = { FL = { aft = \"1 m\" } }\n[tube.T]\nfrom = { aft = \"1 m\" }\n";
    let rig = model(&example("estate-arm"));
    let fault = rig::edited(braces, &Change::Mirror { part: "cup.FL", rig: &rig });
    assert!(fault.is_err_and(|f| !f.mend.is_empty()));
}

fn sane(outcome: Result<String, EditFault>) {
    match outcome {
        Ok(text) => assert!(text.parse::<toml::Table>().is_ok(), "{text}"),
        Err(f) => assert!(!f.what.is_empty() && !f.why.is_empty() && !f.mend.is_empty(), "{f:?}"),
    }
}

fn any_key() -> impl Strategy<Value = String> {
    let all: Vec<String> = texts(&example("bonnet-camera")).into_iter().map(|(k, _)| k).collect();
    prop_oneof![
        prop::sample::select(all.clone()),
        (prop::sample::select(all), 1_usize..4)
            .prop_map(|(k, n)| { k.split('.').take(n).collect::<Vec<_>>().join(".") }),
        "[a-zé. \"'\\\\\n]{0,12}",
        "(cup|tube|site|policy|strap)\\.(FL|R|tether-left|\"a b\")(\\.[a-z]{1,6}|\\.path\\.[0-9])?",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_key_and_value_never_stop_the_editor(key in any_key(), value in ".{0,12}|[\\[{\"']a = .{0,6}", wild in any::<[f64; 3]>()) {
        let text = example("bonnet-camera");
        let rig = model(&text);
        sane(set(&text, &key, &value));
        sane(clear(&text, &key));
        sane(rig::edited(&text, &Change::Remove { parts: &[&key] }));
        sane(rig::edited(&text, &Change::Mirror { part: &key, rig: &rig }));
        for to in [DVec3::from_array(wild), DVec3::new(0.4, -0.3, 0.9)] {
            sane(rig::edited(&text, &Change::Place { part: &key, to, snap: Snap::Tape, rig: &rig }));
            sane(rig::edited(&text, &Change::Slide { tube: &key, by: to, snap: Snap::Fine, rig: &rig }));
            sane(rig::edited(&text, &Change::Add { kind: &key, part: Some(&value), with: &[(&key, &value)], at: to, rig: &rig }));
            for kind in ["cup", "tube", "clamp", "strap", "item"] {
                sane(rig::edited(&text, &Change::Add { kind, part: Some(&value), with: &[("mass", &value)], at: to, rig: &rig }));
            }
        }
    }

    #[test]
    fn any_text_never_stops_the_editor(text in "(\\[cup\\.FL\\]|cup\\.FL\\.|cup = )?[a-z= \"{},.\\[\\]#\r\n\t1é]{0,60}", key in any_key()) {
        let rig = model(&example("bonnet-camera"));
        sane(set(&text, &key, "1 m"));
        sane(clear(&text, &key));
        sane(rig::edited(&text, &Change::Mirror { part: "cup.FL", rig: &rig }));
        sane(rig::edited(&text, &Change::Remove { parts: &["cup.FL"] }));
        sane(rig::edited(&text, &Change::Place { part: "cup.FL", to: DVec3::X, snap: Snap::Tape, rig: &rig }));
    }
}
