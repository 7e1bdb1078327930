//! How a job stands: measured values, rounds, weather and clocks over a small rig's plan.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use proptest::prelude::*;
use record::{Current, Draft, File, Job, Measured, Reading, Rig, State, Step, Store, Value, Weather, Weight};
use std::path::Path;
use verdict::Answer;
use verdict::verdict::Options;
use watch::{Past, Standing, built::AsBuilt, rounds};

const ID: &str = "00112233445566778899aabbccddeeff";
const HOUR: i64 = 3_600_000;
const START: i64 = 1_795_000_000_000;

/// Does every step of the build in order, signs, and writes down what the plan says or not.
fn build(book: &mut Book, method: &method::Method, writes: bool) {
    for step in &method.steps {
        for record in step.records.iter().filter(|_| writes) {
            match record.kind {
                method::Kind::Note => {
                    book.put(&step.name, Value::Note(record::Note { text: "as planned".into() }));
                }
                method::Kind::Reading => {
                    book.read(&record.key, "21 inHg", false);
                }
                _ => {
                    let text = plan().file.text;
                    let (table, last) = record.key.rsplit_once('.').unwrap();
                    let other = match last {
                        "aft" => "forward",
                        "left" => "right",
                        other => other,
                    };
                    let (key, planned) = [last, other]
                        .into_iter()
                        .find_map(|k| {
                            Some((format!("{table}.{k}"), rig::written(&text, &format!("{table}.{k}"))?))
                        })
                        .unwrap();
                    book.measure(&key, &planned);
                }
            }
        }
        book.put(&step.name, Value::Step(Step { state: State::Done, reason: None }));
        if let Some(hold) = &step.hold {
            let name = if hold.role.starts_with("second") { "B" } else { "A" };
            book.sign(&step.name, name, &hold.role);
        }
    }
}

/// A job of the bonnet camera, as its example plans it.
struct Book {
    store: Store,
    now: i64,
    token: u32,
}

fn plan() -> Rig {
    plan_of("bonnet-camera.toml")
}

fn plan_of(file: &str) -> Rig {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let parts = if text(file).contains("kit.toml") {
        vec![File { name: "kit.toml".into(), text: text("kit.toml") }]
    } else {
        Vec::new()
    };
    Rig { file: File { name: file.into(), text: text(file) }, parts }
}

impl Book {
    fn new() -> Self {
        let mut store = Store::in_memory().unwrap();
        let job = Job {
            id: ID.into(),
            name: "test".into(),
            rig: "bonnet-camera.toml".into(),
            at_ms: START,
            by: "A".into(),
        };
        store.start(&job).unwrap();
        let mut book = Self { store, now: START, token: 0 };
        book.put("", Value::Rig(plan()));
        book
    }

    fn put(&mut self, about: &str, value: Value) -> u32 {
        self.correct(about, value, None)
    }

    fn correct(&mut self, about: &str, value: Value, corrects: Option<u32>) -> u32 {
        self.token += 1;
        let draft = Draft {
            at_ms: self.now,
            by: "A".into(),
            device: "test".into(),
            token: format!("t{}", self.token),
            about: about.into(),
            value,
            corrects,
            bytes: None,
        };
        self.store.write(ID, &draft).unwrap().number
    }

    fn read(&mut self, cup: &str, vacuum: &str, pumped: bool) -> u32 {
        let value = Value::Reading(Reading {
            vacuum: vacuum.into(),
            with: "gauge".into(),
            pumped,
            temperature: None,
            pressure: None,
            altitude: None,
        });
        self.put(cup, value)
    }

    fn sign(&mut self, step: &str, name: &str, role: &str) -> u32 {
        let on = self.store.head(ID).unwrap().hash;
        self.put(step, Value::Signature(record::Signature { name: name.into(), role: role.into(), on }))
    }

    fn measure(&mut self, key: &str, value: &str) -> u32 {
        self.put(key, Value::Measured(Measured { value: value.into(), with: "tape".into() }))
    }

    fn past(&self) -> Past {
        let all: Vec<Current> = self.store.current(ID).unwrap();
        Past::of(&all)
    }

    fn stands(&self) -> Standing {
        Standing::of(&self.past(), self.now, &Options::default()).unwrap()
    }

    fn rig(&self) -> rig::Rig {
        AsBuilt::of(&self.past()).read(&self.past(), &[]).unwrap().rig.unwrap()
    }
}

fn says(s: &Standing, words: &str) -> bool {
    s.against.iter().chain(&s.wants).any(|w| w.what.contains(words))
}

#[test]
fn the_newest_value_counts_and_a_corrected_one_does_not() {
    let mut book = Book::new();
    let first = book.measure("cup.FL.aft", "-1000 mm");
    book.measure("cup.FL.aft", "-1010 mm");
    let find = |book: &Book| {
        AsBuilt::of(&book.past()).differences.into_iter().find(|d| d.key == "cup.FL.aft").unwrap()
    };
    assert_eq!(find(&book).measured, "-1010 mm");
    let last = book.measure("cup.FL.aft", "-1020 mm");
    book.correct(
        "cup.FL.aft",
        Value::Measured(Measured { value: "-1030 mm".into(), with: "tape".into() }),
        Some(last),
    );
    assert_eq!(find(&book).measured, "-1030 mm");
    // Measured the other way round it is the same place.
    book.measure("cup.FL.forward", "1040 mm");
    let all = AsBuilt::of(&book.past()).differences;
    assert_eq!((all.len(), all[0].measured.as_str()), (1, "1040 mm"));
    assert!(first < last);
}

#[test]
fn a_plan_changed_under_a_measured_value_makes_it_stale_and_one_changed_elsewhere_does_not() {
    let mut book = Book::new();
    book.measure("item.camera.mass", "3.1 kg");
    book.measure("platform.plate.mass", "1.2 kg");
    let mut other = plan();
    let planned = rig::written(&other.file.text, "item.camera.mass").unwrap();
    other.file.text = other.file.text.replace(&format!("mass = \"{planned}\""), "mass = \"4 kg\"");
    book.put("", Value::Rig(other));
    let built = AsBuilt::of(&book.past());
    assert_eq!(built.stale.iter().map(|d| d.key.as_str()).collect::<Vec<_>>(), ["item.camera.mass"]);
    assert_eq!(built.differences.iter().map(|d| d.key.as_str()).collect::<Vec<_>>(), ["platform.plate.mass"]);
    assert!(
        (book.rig().items[0].mass.value - 4.0).abs() < 1e-12,
        "the new plan counts until it is weighed again"
    );
    assert!(says(&book.stands(), "item.camera.mass was measured as 3.1 kg before the plan was changed"));
    book.put("item.camera.mass", Value::Weight(Weight { value: "4.2 kg".into(), with: "scale".into() }));
    assert!(
        AsBuilt::of(&book.past()).stale.is_empty() && (book.rig().items[0].mass.value - 4.2).abs() < 1e-12
    );
}

#[test]
fn a_place_that_the_plan_counts_the_other_way_is_the_same_place_when_the_plan_changes() {
    let mut book = Book::new();
    book.measure("cup.FL.aft", "-1010 mm");
    let mut other = plan();
    let planned = rig::written(&other.file.text, "cup.FL.forward").unwrap();
    let built = AsBuilt::of(&book.past());
    assert_eq!(built.differences[0].planned.as_deref(), Some(format!("{planned} forward").as_str()));
    let moved = other.file.text.replacen(&format!("forward = \"{planned}\""), "forward = \"1.2 m\"", 1);
    assert_ne!(moved, other.file.text);
    other.file.text = moved;
    book.put("", Value::Rig(other));
    let built = AsBuilt::of(&book.past());
    assert_eq!(built.stale.iter().map(|d| d.key.as_str()).collect::<Vec<_>>(), ["cup.FL.aft"]);
    assert!(built.differences.is_empty());
    assert!(says(&book.stands(), "cup.FL.aft was measured as -1010 mm before the plan was changed"));
}

#[test]
fn nothing_is_go_before_it_is_built_read_and_signed_and_fresh() {
    let mut book = Book::new();
    let bare = book.stands();
    assert_eq!(bare.answer, Answer::Hold);
    assert!(
        says(&bare, "steps are not done") && says(&bare, "cup FL was never read") && bare.due_ms.is_none()
    );
    let method = bare.method;
    // Called done and signed, but nothing written down: that is no GO.
    let mut empty = Book::new();
    build(&mut empty, &method, false);
    for cup in ["FL", "FR", "R"] {
        empty.read(cup, "21 inHg", true);
    }
    let owing = empty.stands();
    assert_eq!(owing.answer, Answer::Hold);
    assert!(
        says(&owing, "\"cup FL: place\" is called done, and not written down: ahead of the datum"),
        "{:?}",
        owing.wants
    );
    build(&mut book, &method, true);
    for cup in ["FL", "FR", "R"] {
        book.read(cup, "21 inHg", true);
    }
    let go = book.stands();
    assert_eq!(go.answer, Answer::Go, "{:?} {:?}", go.against, go.wants);
    // An hour and a bit later the readings are old, and the round was due.
    book.now += HOUR + 60_000;
    let late = book.stands();
    assert_eq!(late.answer, Answer::Hold);
    assert!(says(&late, "cup FL was last read") && says(&late, "the next round was due"));
    book.now -= HOUR + 60_000;
    // A step taken back wants its signature again; one of another role is none.
    let held = method.steps.iter().rfind(|s| s.hold.is_some()).unwrap();
    let role = &held.hold.as_ref().unwrap().role;
    book.put(&held.name, Value::Step(Step { state: State::Undone, reason: Some("looked again".into()) }));
    book.put(&held.name, Value::Step(Step { state: State::Done, reason: None }));
    assert!(says(&book.stands(), "is not signed"));
    book.sign(&held.name, "A", "passer-by");
    assert!(says(&book.stands(), "is not signed"));
    book.sign(&held.name, "A", role);
    assert_eq!(book.stands().answer, Answer::Go);
    // What happens after the GO is told, and a clock that is ahead is no GO.
    let verdict = record::Verdict {
        answer: record::Answer::Go,
        fingerprint: "f".into(),
        program: "p".into(),
        reasons: vec![],
    };
    let number = book.put("", Value::Verdict(verdict));
    book.read("R", "20 inHg", false);
    let (of, changes) = book.stands().since_go.unwrap();
    assert!(
        of == number && changes.len() == 1 && changes[0].what.contains("cup R read at 20 inHg"),
        "{changes:?}"
    );
    book.now += HOUR / 2;
    book.read("R", "20 inHg", false);
    book.now -= HOUR / 2;
    assert!(says(&book.stands(), "is dated later than now"));
}

#[test]
fn a_clamp_written_down_low_holds_less() {
    let mut book = Book::new();
    book.put("", Value::Rig(plan_of("estate-arm.toml")));
    let slip = |book: &Book| {
        let found =
            verdict::verdict::nominal_of(&book.rig(), &Options::default(), rig::policy::CheckId::ClampSlip);
        let of_k3 = |f: &verdict::Finding| f.part == verdict::PartRef::Clamp(2);
        found.unwrap().iter().filter(|f| of_k3(f)).filter_map(|f| f.margin).fold(f64::INFINITY, f64::min)
    };
    let planned = slip(&book);
    book.put(
        "clamp.K3.torque",
        Value::Torque(record::Torque { value: "25 N·m".into(), with: "wrench".into() }),
    );
    let low = slip(&book);
    // Half the torque, half the grip.
    assert!((low / planned - 0.5).abs() < 0.01, "{planned} {low}");
}

#[test]
fn who_signed_has_not_seen_what_was_done_later_and_the_second_is_somebody_else() {
    let mut book = Book::new();
    let method = book.stands().method;
    build(&mut book, &method, true);
    for cup in ["FL", "FR", "R"] {
        book.read(cup, "21 inHg", true);
    }
    assert_eq!(book.stands().answer, Answer::Go);
    // A cup set down anew after everything was signed.
    book.put("cup FL: place", Value::Step(Step { state: State::Undone, reason: Some("moved".into()) }));
    book.put("cup FL: place", Value::Step(Step { state: State::Done, reason: None }));
    let later = book.stands();
    assert_eq!(later.answer, Answer::Hold);
    let open = |s: &Standing, name: &str| !s.progress.is_clear(&s.method, s.method.find(name).unwrap());
    for hold in ["rig: look over", "second line: prove", "rig: walk round", "rig: released"] {
        assert!(open(&later, hold), "{hold}");
    }
    assert!(!open(&later, "car: survey") && !open(&later, "cup FL: place"));
    // The second line by the same hand as the rest is signed by nobody.
    let mut alone = Book::new();
    build(&mut alone, &method, true);
    alone.sign("second line: prove", " a ", "second rigging technician");
    assert!(!open(&alone.stands(), "second line: prove"), "B has signed before");
    let mut alone = Book::new();
    for step in method.steps.iter().take_while(|s| s.name != "rig: walk round") {
        alone.put(&step.name, Value::Step(Step { state: State::Done, reason: None }));
        if let Some(hold) = &step.hold {
            alone.sign(&step.name, "A", &hold.role);
        }
    }
    assert!(says(&alone.stands(), "\"second line: prove\" is not signed"));
}

#[test]
fn a_plan_changed_opens_the_steps_that_it_is_about_and_what_was_signed_on_them() {
    let mut book = Book::new();
    let method = book.stands().method;
    build(&mut book, &method, true);
    let open = |book: &Book| -> Vec<String> {
        let s = book.stands();
        let open = (0..s.method.steps.len()).filter(|i| !s.progress.is_clear(&s.method, *i));
        open.map(|i| s.method.steps[i].name.clone()).collect()
    };
    assert!(open(&book).is_empty());
    // Elsewhere: the last looks alone.
    let mut other = plan();
    other.file.text = other.file.text.replacen("note = ", "# a remark\nnote = ", 1);
    other.file.text.push_str("\n# another remark\n");
    book.put("", Value::Rig(other.clone()));
    assert_eq!(open(&book), ["car: height", "rounds: first", "rig: walk round", "rig: released"]);
    // A cup: its own steps, and every hold point after them.
    other.file.text = other.file.text.replacen("[cup.R]\n", "[cup.R]\nhead = \"free\"\n", 1);
    book.put("", Value::Rig(other));
    let now = open(&book);
    for step in ["cup R: seat", "cup R: head", "rig: look over", "second line: prove", "rig: released"] {
        assert!(now.iter().any(|n| n == step), "{step}: {now:?}");
    }
    assert!(!now.iter().any(|n| n.starts_with("cup FL") || n == "car: survey"), "{now:?}");
}

#[test]
fn a_gauge_read_in_thicker_or_colder_air_counts_for_what_it_is_here() {
    let counted = |altitude: Option<&str>, temperature: Option<&str>, logged: Option<&str>| {
        let mut book = Book::new();
        let value = Reading {
            vacuum: "70 kPa".into(),
            with: "gauge".into(),
            pumped: true,
            temperature: temperature.map(Into::into),
            pressure: None,
            altitude: altitude.map(Into::into),
        };
        book.put("R", Value::Reading(value));
        if let Some(t) = logged {
            book.put("", Value::Weather(Weather { temperature: Some(t.into()), wind: None, rain: None }));
        }
        rounds::of(&book.past(), &book.rig(), &[])[2].counted_pa.unwrap()
    };
    assert!((counted(None, None, None) - 70e3).abs() < 1.0);
    // Read far below the site: the air outside has got thinner since.
    assert!(counted(Some("-400 m"), None, None) < 67e3);
    // Read above it: no more than the gauge showed.
    assert!((counted(Some("2000 m"), None, None) - 70e3).abs() < 1.0);
    // It has got 30 K warmer: a tenth of what air is left inside, 30 kPa or so.
    let warm = counted(None, Some("0 C"), Some("30 C"));
    assert!((66.0e3..68.5e3).contains(&warm), "{warm}");
    // Logged later without a temperature of its own: that of the plan stands for the reading.
    assert!(counted(None, None, Some("45 C")) < 69e3);
}

#[test]
fn a_gauge_under_what_the_cup_needs_is_a_no_go_whatever_else_holds() {
    let mut book = Book::new();
    book.read("FL", "3 kPa", false);
    let s = book.stands();
    assert_eq!(s.answer, Answer::NoGo);
    assert!(s.against.iter().any(|w| w.what.contains("cup FL is at 3 kPa")), "{:?}", s.against);
}

#[test]
fn rain_and_gusts_count_and_a_friction_that_was_found_dry_does_not_hold_for_a_wet_roof() {
    let mut book = Book::new();
    let dry = book.stands();
    let weather =
        |rain: &str| Value::Weather(Weather { temperature: None, wind: None, rain: Some(rain.into()) });
    book.put("", weather("wet"));
    let wet = book.stands();
    assert!(wet.rig.panels[0].wet && !dry.rig.panels[0].wet);
    let slip = |s: &Standing| {
        let all = s.verdict.findings.iter().filter(|f| f.check.row().name == "cup-slip");
        all.filter_map(|f| f.margin).fold(f64::INFINITY, f64::min)
    };
    assert!(slip(&wet) < 0.8 * slip(&dry), "{} {}", slip(&wet), slip(&dry));
    book.put("", weather("dry"));
    assert!((slip(&book.stands()) - slip(&dry)).abs() < 1e-9);
    // More wind than planned counts, less does not.
    let gust = |book: &mut Book, wind: &str| {
        book.put("", Value::Weather(Weather { temperature: None, wind: Some(wind.into()), rain: None }));
        book.stands().rig.site.gust.value
    };
    let planned = dry.rig.site.gust.value;
    assert!((gust(&mut book, "1 km/h") - planned).abs() < 1e-12);
    assert!((gust(&mut book, "108 km/h") - 30.0).abs() < 1e-9);
    gust(&mut book, "fresh");
    assert!(says(&book.stands(), "the wind \"fresh\" cannot be read"));
    // A friction stated for the dry roof.
    let mut stated = plan();
    stated.file.text = stated
        .file
        .text
        .replacen("finish =", "friction = 0.6\nfinish =", 1)
        .replace("friction = 0.6", "friction = \"0.6\"");
    let mut book = Book::new();
    book.put("", Value::Rig(stated));
    book.put("", weather("wet"));
    let s = Standing::of(&book.past(), book.now, &Options::default());
    assert!(says(&s.unwrap(), "its stated friction was found dry"));
}

#[test]
fn a_leak_shortens_the_round_and_weakens_the_cup() {
    let margin = |fall_kpa: f64| {
        let mut book = Book::new();
        for k in 0..4_i32 {
            for cup in ["FL", "FR", "R"] {
                let lost = if cup == "R" { fall_kpa * f64::from(k) / 3.0 } else { 0.0 };
                book.read(cup, &format!("{} kPa", 72.0 - lost), k == 0);
            }
            book.now += HOUR / 3;
        }
        book.now -= HOUR / 3;
        let s = book.stands();
        let of_cup =
            |f: &&verdict::Finding| f.check.row().name == "cup-seal" && f.part == verdict::PartRef::Cup(2);
        let least =
            s.verdict.findings.iter().filter(of_cup).filter_map(|f| f.margin).fold(f64::INFINITY, f64::min);
        (least, s.due_ms.unwrap() - book.now, s.rounds[2].leaks_more)
    };
    let (tight, often, more) = margin(0.0);
    let (slow, _, _) = margin(6.0);
    let (fast, soon, leaks) = margin(24.0);
    assert!(tight > slow && slow > fast, "{tight} {slow} {fast}");
    assert!(often == HOUR && soon < HOUR && leaks && !more, "{often} {soon} {leaks} {more}");
}

#[test]
fn readings_entered_late_stand_where_they_were_taken_and_a_bad_one_is_told() {
    let mut book = Book::new();
    book.read("R", "72 kPa", true);
    book.now += 2 * HOUR;
    book.read("R", "64 kPa", false);
    book.now -= HOUR;
    book.read("R", "68 kPa", false);
    let bad = book.read("R", "full", false);
    book.now += HOUR;
    let rig = book.rig();
    let r = &rounds::of(&book.past(), &rig, &[])[2];
    let seen: Vec<f64> = r.reads.iter().map(|r| r.reading.vacuum_pa).collect();
    assert_eq!(seen, [72e3, 68e3, 64e3]);
    assert!(r.leak.as_ref().is_ok_and(|l| l.seen));
    assert_eq!(r.unread.iter().map(|u| u.0).collect::<Vec<_>>(), [bad]);
    // A reading that rises without a pump is no leak of nothing: it is told.
    book.read("R", "80 kPa", false);
    assert!(says(&book.stands(), "the readings of cup R tell no leak"));
}

#[test]
fn readings_worked_out_before_say_the_same_as_all_anew_also_when_the_air_is_logged_between() {
    let mut book = Book::new();
    let (rig, mut worked, mut kept) = (book.rig(), rounds::Worked::default(), book.past());
    let warm = |t: &str| Value::Weather(Weather { temperature: Some(t.into()), wind: None, rain: None });
    let mut put_right = 0;
    for k in 0..12_u32 {
        book.now += 10 * 60_000;
        match k {
            4 => put_right = book.put("", warm("30 degC")),
            // The air of readings that were worked out already is another now.
            8 => _ = book.correct("", warm("2 degC"), Some(put_right)),
            _ => _ = book.read("R", &format!("{} kPa", 75 - k), k == 0),
        }
        let newest = book.store.entries(ID, k + 1).unwrap().pop().unwrap();
        kept.add(newest);
        assert_eq!(kept.entries(), book.past().entries());
        let again = rounds::of_again(&kept, &rig, &[], &mut worked);
        assert_eq!(format!("{again:?}"), format!("{:?}", rounds::of(&book.past(), &rig, &[])), "{k}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]
    /// Whatever was read: what a cup is counted with until the next round is never more than its last reading.
    #[test]
    fn no_reading_makes_more_of_a_cup_than_its_gauge(
        falls in prop::collection::vec(0.0..9.0_f64, 1..6),
        minutes in 3..50_i64,
        start in 40.0..90.0_f64,
    ) {
        let mut book = Book::new();
        let mut at = start;
        for (k, fall) in falls.iter().enumerate() {
            book.read("R", &format!("{at} kPa"), k == 0);
            at = (at - fall).max(1.0);
            book.now += minutes * 60_000;
        }
        let rig = book.rig();
        let r = &rounds::of(&book.past(), &rig, &[])[2];
        let last = r.last().unwrap().reading.vacuum_pa;
        if let Some(loss) = r.loss_pa(rig.policy.rounds_s) {
            prop_assert!(loss >= 0.0);
            let leak = r.leak.as_ref().unwrap();
            // Under either law, at the likely rate or slower, it has more left at the next round than is counted.
            for fit in [leak.orifice, leak.exponential] {
                let (rate, from) = (fit.rate_per_s.value.max(0.0), fit.vacuum_pa.value.clamp(0.0, last));
                let then = fit.law.vacuum_after_pa(rate, leak.ambient.pressure_pa, from, rig.policy.rounds_s);
                let then = then.unwrap();
                prop_assert!(last - loss <= then + 1e-6, "{} {} {}", last, loss, then);
            }
        }
        if let Some(due) = rounds::due_ms(&rig, std::slice::from_ref(r)) {
            prop_assert!(due <= r.last().unwrap().at_ms + HOUR);
        }
    }
}
