//! The page on performance and its charts, from what the bench measured.

use draw::chart::{Axis, Chart, Line, Scale};
use serde_json::Value;
use std::fmt::Write as _;

const BY_STATES: &str = "docs/performance/states.svg";
const BY_CUPS: &str = "docs/performance/cups.svg";
/// Cores at work for others before the run, past which the figures are not to be leaned on.
const IDLE: f64 = 0.3;

/// A number by its place in the results; not a number where there is none.
fn number(v: &Value, place: &str) -> f64 {
    v.pointer(place).and_then(Value::as_f64).unwrap_or(f64::NAN)
}

fn text<'a>(v: &'a Value, place: &str) -> &'a str {
    v.pointer(place).and_then(Value::as_str).unwrap_or("?")
}

fn list<'a>(v: &'a Value, place: &str) -> &'a [Value] {
    v.pointer(place).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

/// Three digits, thousands apart.
fn figure(v: f64) -> String {
    if !v.is_finite() {
        return "-".to_owned();
    }
    let decimals = match v.abs() {
        a if a >= 100.0 => 0,
        a if a >= 10.0 => 1,
        a if a >= 1.0 => 2,
        _ => 3,
    };
    let text = format!("{v:.decimals$}");
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut out = String::new();
    for (k, c) in whole.chars().enumerate() {
        if k > 0 && (whole.len() - k).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(c);
    }
    out + rest
}

/// Half the way from the least to the most, over the median.
fn spread(timing: &Value) -> String {
    let half = (number(timing, "/most_s") - number(timing, "/least_s")) / 2.0;
    format!("± {:.0} %", 100.0 * half / number(timing, "/median_s"))
}

/// Seconds as they are best read.
fn seconds(s: f64) -> String {
    if s >= 1.0 { format!("{} s", figure(s)) } else { format!("{} ms", figure(1e3 * s)) }
}

/// The page and its two charts, each with its path.
pub(crate) fn pages(results: &Value, date: Option<&str>) -> Vec<(&'static str, String)> {
    vec![
        ("docs/performance.md", page(results, date)),
        (BY_STATES, states_chart(results).svg()),
        (BY_CUPS, cups_chart(results).svg()),
    ]
}

fn line(
    results: &Value,
    all: &str,
    (x, y): (&str, &str),
    scale: f64,
    (label, law): (&str, (&str, f64)),
) -> Line {
    let points = list(results, all)
        .iter()
        .map(|p| (number(p, x), scale * number(p, y)))
        .filter(|(x, y)| x.is_finite() && y.is_finite());
    Line { label: format!("{label}: grows as {}^{:.2}", law.0, law.1), points: points.collect(), dots: false }
}

fn states_chart(r: &Value) -> Chart {
    let exponent = |k: usize| number(r, &format!("/state_exponents/{k}"));
    let of = |y, words: &str, k| line(r, "/by_states", ("/states", y), 1.0, (words, ("states", exponent(k))));
    Chart {
        title: "Time for the whole grid of the estate car with its arm".to_owned(),
        x: Axis::new("states", Scale::Log),
        y: Axis::new("seconds", Scale::Log),
        lines: vec![of("/passing_over_s", "decided", 0), of("/folded_s", "all states reckoned", 1)],
        limits: Vec::new(),
        notes: Vec::new(),
    }
}

fn cups_chart(r: &Value) -> Chart {
    let exponent = |k: usize| number(r, &format!("/cup_exponents/{k}"));
    let of = |y, words: &str, k| line(r, "/by_cups", ("/cups", y), 1e3, (words, ("cups", exponent(k))));
    Chart {
        title: "Time for a ladder that grows, each cup lost in turn".to_owned(),
        x: Axis::new("cups", Scale::Log)
            .marked_at(list(r, "/by_cups").iter().map(|p| number(p, "/cups")).collect()),
        y: Axis::new("milliseconds", Scale::Log),
        lines: vec![of("/passing_over_s", "all states decided", 1), of("/context_s", "rig to responses", 0)],
        limits: Vec::new(),
        notes: Vec::new(),
    }
}

fn page(r: &Value, date: Option<&str>) -> String {
    let mut out = String::from("# Performance\n\n<!-- Written by `cargo xtask bench`. Do not edit. -->\n\n");
    let mut put = |text: std::fmt::Arguments<'_>| {
        let _ = writeln!(out, "{text}");
    };
    put(format_args!(
        "Taken{} on: {}, {} cores, {}. `cargo xtask bench` takes all of it anew; without Python it leaves the reference out.",
        date.map_or(String::new(), |d| format!(" {d}")),
        text(r, "/machine/model"),
        number(r, "/machine/cores"),
        text(r, "/machine/vectors")
    ));
    let load = number(r, "/machine/load");
    if load > IDLE {
        put(format_args!(
            "\n**The machine was not idle**: {load:.1} cores were at work for others just before the run. Do not lean on these figures; ratios and exponents suffer less than times."
        ));
    }
    put(format_args!("\n## The estate car with its arm\n"));
    estate(r, &mut put);
    put(format_args!("\n## Beside general-purpose programs, in the same run, on the same states\n"));
    reference(r, &mut put);
    put(format_args!("\n## More states\n"));
    by_states(r, &mut put);
    put(format_args!("\n## More cups\n"));
    by_cups(r, &mut put);
    out
}

fn states_per_s(r: &Value, how: &str) -> f64 {
    number(r, "/estate/states") / number(r, &format!("/estate/{how}/median_s"))
}

fn estate(r: &Value, put: &mut dyn FnMut(std::fmt::Arguments<'_>)) {
    put(format_args!(
        "`examples/estate-arm.toml`, 5° by 5°, every cup and strap lost in turn: {} states, {} rows of responses and {} items checked in each.\n",
        figure(number(r, "/estate/states")),
        number(r, "/estate/rows"),
        number(r, "/estate/items")
    ));
    put(format_args!("| what | figure | spread |\n|---|---|---|"));
    for (what, how) in [
        ("reckoned: every row and every check of every state, its pose folded first", "folded"),
        ("the same plainly, rows from the nine numbers of each state", "plain"),
        (
            "decided: the same answer to the last bit, states that cannot be the worst passed over",
            "passing_over",
        ),
    ] {
        let million = states_per_s(r, how) / 1e6;
        put(format_args!(
            "| {what} | {} million states/s | {} |",
            figure(million),
            spread(&r["estate"][how])
        ));
    }
    put(format_args!(
        "| rows of responses so told: poses folded, plainly | {}, {} thousand million/s | |",
        figure(states_per_s(r, "folded") * number(r, "/estate/rows") / 1e9),
        figure(states_per_s(r, "plain") * number(r, "/estate/rows") / 1e9)
    ));
    put(format_args!(
        "| multiply-add peak, all cores | {} GFLOP/s | best of 14 |",
        figure(number(r, "/estate/peak_flops") / 1e9)
    ));
    put(format_args!(
        "| share of the peak, plainly | {} % | |",
        figure(100.0 * number(r, "/estate/share_of_peak"))
    ));
    let ms = |how: &str| figure(1e3 * number(r, &format!("/estate/{how}/median_s")));
    put(format_args!(
        "| a cup moved 5 mm, to all its checks at the values as they stand | {} ms | {} |",
        ms("edit"),
        spread(&r["estate"]["edit"])
    ));
    put(format_args!(
        "| of that, rig to responses | {} ms | {} |",
        ms("edit_context"),
        spread(&r["estate"]["edit_context"])
    ));
    put(format_args!(
        "| of that, checks that need one look | {} ms | {} |",
        ms("edit_once"),
        spread(&r["estate"]["edit_once"])
    ));
    put(format_args!(
        "| the whole verdict, all that is assumed varied over its range | {} ms | {} |",
        ms("whole"),
        spread(&r["estate"]["whole"])
    ));
    put(format_args!(
        "\nMedians; the spread is half the way from the quickest run to the slowest. With its pose folded, a row of a state is the sum of three: what the force per mass does in that pose, what the accelerations do, what the flow does. A check is first told from above without roots; where a few poses may so hold the worst, their states are reckoned by its own formula, and the worst is the same to the last bit. Plainly it is the sum over the nine numbers in which the states of one wind differ. Either way eight states stand side by side, and the rows at a tube's stations follow, three at a time, from those at one of them by what lies between; where that is little beside the forces, it is put on top of them (`docs/mechanics/9-verdict.md`). Folding leaves one set of rows for all poses where the arm does nothing, as at a tube's free end. The share of the peak counts two operations for each row and each of the nine numbers (those of one instant share three of them), six for those of a station that follows from another, and nothing for the checks themselves, for the arm's own forces and for sorting."
    ));
}

fn reference(r: &Value, put: &mut dyn FnMut(std::fmt::Arguments<'_>)) {
    if let Some(why) = r.pointer("/reference/missing").and_then(Value::as_str) {
        put(format_args!("None: {why}."));
        return;
    }
    put(format_args!(
        "| program | used so | processes | states timed | states/s | spread | reckoned: ours is | decided: ours is | forces on cups apart |\n|---|---|---|---|---|---|---|---|---|"
    ));
    for one in list(r, "/reference") {
        if let Some(why) = one["missing"].as_str() {
            put(format_args!("| {} | no time: {why} | | | | | | | |", text(one, "/name")));
            continue;
        }
        let theirs = number(one, "/states_per_s");
        put(format_args!(
            "| {} {} | {} | {} | {} | {} | ± {:.0} % | {} x | {} x | {:.0e} (may be {:.0e}) |",
            text(one, "/name"),
            text(one, "/version"),
            text(one, "/what"),
            number(one, "/processes"),
            figure(number(one, "/states")),
            figure(theirs),
            100.0 * number(one, "/spread"),
            figure(states_per_s(r, "folded") / theirs),
            figure(states_per_s(r, "passing_over") / theirs),
            number(one, "/forces_apart"),
            number(one, "/may_be_apart")
        ));
    }
    put(format_args!(
        "\n`x` is our states a second over theirs: on all cores for ours, in as many processes as stated for theirs. A time counts only once the forces on all cups agree in every state timed, as a share of the largest (forces and moments apart); numpy's worst uses must be ours as well. The frame is the rig's own with shear in members left out, nothing lost and straps settled, which the programs can all express. Their times favour them: reading the frame, building the model and handing over the states are not in them, and the two frame programs give the forces on cups alone, where a state of ours has every row and every check. PyNite has no rigid links, so stiff bars stand in for them and the forces may be farther apart. The scripts are in `crates/verdict/benches/reference/`."
    ));
}

fn by_states(r: &Value, put: &mut dyn FnMut(std::fmt::Arguments<'_>)) {
    put(format_args!(
        "![Seconds over states, both logarithmic]({})\n",
        BY_STATES.trim_start_matches("docs/")
    ));
    put(format_args!("| states | decided | reckoned | most memory held |\n|---|---|---|---|"));
    for one in list(r, "/by_states") {
        let folded = one["folded_s"].as_f64().map_or("left out".to_owned(), seconds);
        put(format_args!(
            "| {} | {} | {folded} | {} MB |",
            figure(number(one, "/states")),
            seconds(number(one, "/passing_over_s")),
            figure(number(one, "/most_memory_mb"))
        ));
    }
    put(format_args!(
        "| exponent | {:.2} | {:.2} | |",
        number(r, "/state_exponents/0"),
        number(r, "/state_exponents/1")
    ));
    put(format_args!(
        "\nFitted by least squares on the logarithms. The arm is looked at in finer and finer steps; what would take over 75 s is left out. Poses are taken with all their instants in blocks of some 260 000, each then with every part lost in turn, so memory stops growing once a block is full."
    ));
}

fn by_cups(r: &Value, put: &mut dyn FnMut(std::fmt::Arguments<'_>)) {
    put(format_args!(
        "![Milliseconds over cups, both logarithmic]({})\n",
        BY_CUPS.trim_start_matches("docs/")
    ));
    put(format_args!("| cups | states | rig to responses | all states decided |\n|---|---|---|---|"));
    for one in list(r, "/by_cups") {
        put(format_args!(
            "| {} | {} | {} | {} |",
            number(one, "/cups"),
            figure(number(one, "/states")),
            seconds(number(one, "/context_s")),
            seconds(number(one, "/passing_over_s"))
        ));
    }
    put(format_args!(
        "| exponent | | {:.2} | {:.2} |",
        number(r, "/cup_exponents/0"),
        number(r, "/cup_exponents/1")
    ));
    put(format_args!(
        "\nA ladder of tubes with two cups a row under the same arm, 15° by 10°. Each cup is lost in turn, so a larger rig has more frames to solve and more states; each state has more tubes to check. The time for one state grows as the number of cups to the power {:.2}.",
        number(r, "/cup_exponents/2")
    ));
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn figures_read_well() {
        let words: Vec<String> =
            [1_620_000.0, 999.6, 41_156.4, 12.34, 3.456, 0.07, f64::NAN].map(figure).into();
        assert_eq!(words, ["1 620 000", "1 000", "41 156", "12.3", "3.46", "0.070", "-"]);
        assert_eq!([2.5, 0.0123].map(seconds), ["2.50 s", "12.3 ms"]);
    }

    #[test]
    fn a_program_that_does_not_agree_has_no_ratio() {
        let results = json!({
            "machine": { "model": "a machine", "cores": 2, "vectors": "wide", "load": 1.5 },
            "estate": { "states": 1000, "folded": { "median_s": 0.5 }, "passing_over": { "median_s": 0.25 } },
            "reference": [
                { "name": "one", "version": "1", "states_per_s": 100.0, "states": 50 },
                { "name": "two", "missing": "its forces are apart" },
            ],
        });
        let page = page(&results, Some("in May"));
        assert!(page.contains("Taken in May on: a machine, 2 cores"));
        assert!(page.contains("was not idle"));
        assert!(page.contains("| 20.0 x | 40.0 x |"));
        assert!(page.contains("| two | no time: its forces are apart |"));
        let none = json!({ "reference": { "missing": "no Python" } });
        let mut text = String::new();
        reference(&none, &mut |t| text.push_str(&t.to_string()));
        assert_eq!(text, "None: no Python.");
    }
}
