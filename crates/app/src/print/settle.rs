//! How a payload settles, in words.

use super::style::{self, paint};
use super::text::{count, hang, thousands};
use crate::command::settle::{Answer, Log, Pair, Swings, Told, Turn};
use mechanics::settle::{Between, Check, Creeping, Damping, Outcome, Refusal, Setting, Settling};
use quantity::both_kind;
use std::fmt::Write as _;
use std::io::{self, Write};

/// Everything that was asked.
pub(crate) fn write(out: &mut dyn Write, answer: &Answer) -> io::Result<()> {
    if let Some(told) = &answer.told {
        head(out, "How the payload settles", &told.log.name)?;
        outcome(out, told)?;
        read(out, told)?;
    }
    if let Some(swings) = &answer.swings {
        counted(out, swings)?;
    }
    if let Some(pair) = &answer.pair {
        beside(out, pair)?;
    }
    if let Some(turn) = &answer.turn {
        clicks(out, turn, answer.told.is_some())?;
    }
    writeln!(out)?;
    hang(
        out,
        "  ",
        "One push along one axis, with this payload: weigh, lens and cable change it. Test again after any change, with the lock on \
         until all is clear.",
    )
}

fn head(out: &mut dyn Write, title: &str, under: &str) -> io::Result<()> {
    writeln!(out, "{}", paint(style::HEAD, title))?;
    hang(out, "", under)?;
    writeln!(out)
}

fn line(out: &mut dyn Write, name: &str, text: &str) -> io::Result<()> {
    hang(out, &format!("  {name:<18}  "), text)
}

fn outcome(out: &mut dyn Write, told: &Told) -> io::Result<()> {
    match &told.outcome {
        Ok(Outcome::Swings(s)) => swings(out, s, &told.log),
        Ok(Outcome::Creeps(c)) => creeps(out, c),
        Err(refusal) => refused(out, refusal),
    }
}

fn refused(out: &mut dyn Write, refusal: &Refusal) -> io::Result<()> {
    hang(out, "  ", &format!("HOLD: no number: {refusal}."))?;
    hang(out, "  to mend: ", refusal.mend())?;
    writeln!(out)
}

fn creeps(out: &mut dyn Write, c: &Creeping) -> io::Result<()> {
    hang(
        out,
        "  ",
        "It creeps back without a swing that can be seen: critically damped or more, as far as this log tells. A damping ratio cannot be \
         told from it.",
    )?;
    if c.ratio_at_least > 0.0 {
        line(out, "damping ratio", &format!("at least {:.2}", floor(c.ratio_at_least, 2)))?;
    }
    line(out, "within 5 %", &format!("after {:.2} s", c.to_five_percent_s))?;
    line(out, "let go at", &format!("{:.2} s: check that this is the release and not the press", c.start_s))?;
    writeln!(out)
}

fn floor(value: f64, digits: i32) -> f64 {
    let step = 10_f64.powi(digits);
    (value * step).floor() / step
}

/// A value with its interval, to the digits that the interval leaves.
fn with_width(b: &Between) -> String {
    let off = b.half_width();
    let digits = if off > 0.0 { (1.0 - off.log10().floor()).clamp(0.0, 6.0) } else { 4.0 };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 6")]
    let digits = digits as usize;
    format!("{:.digits$} +- {off:.digits$}", b.value)
}

fn swings(out: &mut dyn Write, s: &Settling, log: &Log) -> io::Result<()> {
    let amount = |si: f64| both_kind(si, log.trace.kind.amount());
    match &s.ratio {
        Some(r) => line(out, "damping ratio", &format!("{} (95 %)", with_width(r)))?,
        None => {
            line(out, "damping ratio", "none: rubbing dominates, and its share grows as the swing shrinks")?;
        }
    }
    line(out, "damped frequency", &format!("{} Hz", with_width(&s.damped_hz)))?;
    line(out, "natural frequency", &format!("{} Hz", with_width(&s.natural_hz)))?;
    if let Some(o) = &s.overshoot {
        let text =
            format!("{:.1} % of the push ({:.1} to {:.1} %)", 100.0 * o.value, 100.0 * o.low, 100.0 * o.high);
        line(out, "overshoot", &text)?;
    }
    for r in &s.to_rest {
        let name = format!("within {:.0} %", 100.0 * r.share);
        line(out, &name, &format!("after {:.1} s, {:.1} cycles", r.seconds, r.cycles))?;
    }
    line(out, "kind of damping", &kind(s))?;
    if let Some(d) = &s.dry_per_cycle {
        let text = format!(
            "takes {} off the swing in each cycle ({} to {})",
            amount(d.value),
            amount(d.low),
            amount(d.high)
        );
        line(out, "rubbing", &text)?;
    }
    line(out, "first swing", &amount(s.first_swing))?;
    writeln!(out)?;
    writeln!(out, "{}", paint(style::HEAD, "How well that is known"))?;
    let q = &s.quality;
    let mut text = format!(
        "explains {:.1} % of the movement; leaves {:.1} % of the first swing",
        floor(100.0 * q.explained, 1),
        100.0 * q.left_share
    );
    if q.shared > 1.05 {
        let _ = write!(
            text,
            "; {:.0} neighbouring samples share one error, which is counted in",
            q.shared.max(2.0)
        );
    }
    line(out, "the fit", &text)?;
    check(out, "tops one by one", "tops", s.by_tops.as_ref())?;
    check(out, "envelope", "stretches", s.by_envelope.as_ref())?;
    writeln!(out)
}

fn kind(s: &Settling) -> String {
    match s.damping {
        Damping::Viscous => "a damper's (viscous); no rubbing shows".to_owned(),
        Damping::Dry => format!(
            "dry rubbing: {:.0} % of what the swing lost; look for a cable, a guide or a seal that drags",
            100.0 * s.dry_share
        ),
        Damping::Both => format!(
            "a damper's, with rubbing: {:.0} % of what the swing lost; the ratio is the damper's alone",
            100.0 * s.dry_share
        ),
        Damping::NotKnown => "not known: too few swings to tell a damper from rubbing".to_owned(),
    }
}

fn check(out: &mut dyn Write, name: &str, of: &str, check: Option<&Check>) -> io::Result<()> {
    let Some(c) = check else { return line(out, name, "no check: too few swings, or rubbing") };
    let b = Between { value: c.ratio, low: c.ratio - c.half_width, high: c.ratio + c.half_width };
    let says = if c.agrees {
        "agrees".to_owned()
    } else {
        "DOES NOT AGREE: damping that changes with the size of the swing, or a second swing; see the chart"
            .to_owned()
    };
    line(out, name, &format!("{} from {} {of}: {says}", with_width(&b), c.points))
}

fn read(out: &mut dyn Write, told: &Told) -> io::Result<()> {
    let trace = &told.log.trace;
    writeln!(out, "{}", paint(style::HEAD, "What was read"))?;
    line(
        out,
        "time",
        &format!("column {} \"{}\" [{}]", trace.time.number, trace.time.name, trace.time.unit),
    )?;
    line(
        out,
        "signal",
        &format!(
            "column {} \"{}\" [{}], {}",
            trace.signal.number,
            trace.signal.name,
            trace.signal.unit,
            trace.kind.name()
        ),
    )?;
    let n = trace.samples.len();
    let long = trace.samples.last().map_or(0.0, |l| l.0) - trace.samples.first().map_or(0.0, |f| f.0);
    line(out, "samples", &format!("{} in {long:.1} s", thousands(n as u64)))?;
    for (name, text) in told.settling().map(|s| used(s, &told.log)).unwrap_or_default() {
        line(out, name, &text)?;
    }
    for note in &trace.notes {
        line(out, "note", note)?;
    }
    Ok(())
}

/// What was used of it, for a trace that swings.
fn used(s: &Settling, log: &Log) -> Vec<(&'static str, String)> {
    let w = &s.window;
    let amount = |si: f64| both_kind(si, log.trace.kind.amount());
    let mut out = vec![(
        "used",
        format!(
            "{:.2} s to {:.2} s: {}, {} to either side",
            w.start_s,
            w.end_s,
            count(w.samples, "sample"),
            count(w.swings, "swing")
        ),
    )];
    out.push(("rest level", format!("{} taken off (gravity, and how the logger lies)", amount(s.level))));
    if let Some(again) = w.again_s {
        out.push(("note", format!("it moves again at {again:.1} s; that is left out")));
    }
    out
}

fn counted(out: &mut dyn Write, s: &Swings) -> io::Result<()> {
    let c = &s.counted;
    head(
        out,
        "How the payload settles",
        &format!("by eye: from {} to {} in {} cycles", c.first, c.last, c.cycles),
    )?;
    let range = |b: &Between, unit: &str| format!("{:.4}{unit} ({:.4} to {:.4})", b.value, b.low, b.high);
    line(out, "log decrement", &range(&s.told.decrement, ""))?;
    line(out, "damping ratio", &range(&s.told.ratio, ""))?;
    if let (Some(d), Some(n)) = (&s.told.damped_hz, &s.told.natural_hz) {
        line(out, "damped frequency", &range(d, " Hz"))?;
        line(out, "natural frequency", &range(n, " Hz"))?;
    }
    let from = if s.by_digits { "half of the last digit written" } else { "as stated" };
    line(
        out,
        "reading error",
        &format!("{} ({from}); the ranges are both sizes misread the worst way round", c.reading),
    )?;
    line(out, "kind of damping", "not known: two sizes cannot tell a damper from rubbing")
}

fn beside(out: &mut dyn Write, pair: &Pair) -> io::Result<()> {
    writeln!(out)?;
    head(out, "The other damper of the axis", &pair.told.log.name)?;
    outcome(out, &pair.told)?;
    match pair.apart {
        Some(apart) if apart > 1.0 => {
            let text = "the two dampers differ by more than both uncertainties. Set them alike, or look for one that leaks or rubs.";
            hang(out, "  ", &format!("WARNING: {text}"))
        }
        Some(_) => hang(out, "  ", "The two dampers do not differ beyond their uncertainties."),
        None => hang(out, "  ", "The two cannot be compared: one of them has no damping ratio."),
    }
}

fn clicks(out: &mut dyn Write, turn: &Turn, with_log: bool) -> io::Result<()> {
    writeln!(out)?;
    writeln!(out, "{}", paint(style::HEAD, "Clicks"))?;
    let tested: Vec<String> = turn.tests.iter().map(|t| format!("{}: {:.3}", t.clicks, t.ratio)).collect();
    line(out, "tested", &tested.join(", "))?;
    if let Some((now, stated)) = turn.now {
        let how = if stated { "as stated" } else { "read off the tests by this log's ratio" };
        line(out, "now", &format!("{now:.1} clicks, {how}"))?;
    } else if with_log {
        line(out, "now", "not known: this log's ratio is not between the tests; --at states the clicks")?;
    }
    match &turn.want {
        None => Ok(()),
        Some((want, Setting::Beyond { clicks, ratio })) => line(
            out,
            &format!("for {want}"),
            &format!(
                "HOLD: no tested setting reaches it; click {clicks} gave {ratio:.3}. Nothing is said beyond the tests: test further out."
            ),
        ),
        Some((want, Setting::At { clicks, below, above, off })) => {
            let mut text = format!("{clicks:.1} clicks");
            if *off > 0.0 {
                let _ = write!(text, " +- {off:.1}");
            }
            if (above.0 - below.0).abs() > 0.5 {
                let _ = write!(
                    text,
                    ": click {} gives {:.3}, click {} gives {:.3}",
                    below.0, below.1, above.0, above.1
                );
            }
            line(out, &format!("for {want}"), &text)?;
            if let Some((now, _)) = turn.now {
                let by = clicks - now;
                let way = if by >= 0.0 { "up" } else { "down" };
                line(
                    out,
                    "turn",
                    &format!("{:.0} clicks {way}, both dampers of the axis alike; then test again", by.abs()),
                )
            } else {
                line(out, "turn", "both dampers of the axis alike; then test again")
            }
        }
    }
}
