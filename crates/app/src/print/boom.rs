//! The boom's shape and strength for the terminal.

use super::style::{self, paint};
use super::text::{hang, margin};
use quantity::{Kind, System, both_kind, show_kind};
use rig::Rig;
use rig::model::Arm;
use std::io::{self, Write};
use verdict::boom::{Boom, Look, Meeting, Missing};
use verdict::state::elevation_words;
use verdict::{Finding, Outcome};

/// What the sums do not know.
pub(crate) const LEFT_OUT: &str = "Taken as stiff: the pivot and its bearings, the mast, the joints between sections, the levelling \
     linkage. The payload counts as fixed to the tip; on its isolator the boom shakes faster. Braces are set just taut: one wound \
     tighter lifts more. Play in a joint adds to every sag.";

/// `0.3° left`.
fn lean(rad: f64) -> String {
    let deg = rad.to_degrees();
    if deg.abs() < 0.005 {
        "0°".to_owned()
    } else {
        format!("{:.2}° {}", deg.abs(), if deg > 0.0 { "right" } else { "left" })
    }
}

fn hz(f: Option<f64>) -> String {
    f.map_or("high".to_owned(), |f| format!("{f:.1} Hz"))
}

fn force(n: f64) -> String {
    both_kind(n.abs(), Kind::Force)
}

fn moment(nm: f64) -> String {
    both_kind(nm.abs(), Kind::Moment)
}

fn head(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, text))
}

/// Name of a strand's brace.
fn brace(arm: &Arm, boom: &Boom, strand: usize) -> String {
    boom.frame.brace_of.get(strand).and_then(|b| arm.braces.get(*b)).map_or("?".to_owned(), |b| b.tag.clone())
}

/// Writes it.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, boom: &Boom) -> io::Result<()> {
    let Some(arm) = &rig.arm else { return Ok(()) };
    hang(out, "", &format!("The boom: {}", rig.name))?;
    hang(
        out,
        "  ",
        &format!(
            "{} from pivot to tip, {}; isolator and payload {}; standing still, {}",
            both_kind(boom.frame.length_m, Kind::Length),
            both_kind(boom.frame.front_kg(), Kind::Mass),
            both_kind(boom.frame.tip_kg, Kind::Mass),
            elevation_words(boom.elevation_rad)
        ),
    )?;
    shape(out, arm, boom)?;
    if boom.bare.is_some() {
        braces(out, arm, boom)?;
    }
    joints(out, rig, arm, boom)?;
    writeln!(out)?;
    hang(out, "", LEFT_OUT)
}

fn shape(out: &mut dyn Write, arm: &Arm, boom: &Boom) -> io::Result<()> {
    head(out, "SAG, LEAN AND SHAKE")?;
    writeln!(
        out,
        "  {:<15}{:<20}{:<15}{:<10}{:<10}twisting",
        "", "tip sags", "payload leans", "up, down", "sideways"
    )?;
    let mut line = |name: &str, l: &Look| {
        // A long tag stands on a line of its own.
        let name = if name.chars().count() > 14 {
            writeln!(out, "  {name}")?;
            ""
        } else {
            name
        };
        let row = format!(
            "  {name:<15}{:<20}{:<15}{:<10}{:<10}{}",
            sag(l.rest.sag_m),
            lean(l.rest.twist_rad),
            hz(l.ways.up_down_hz),
            hz(l.ways.sideways_hz),
            hz(l.ways.twist_hz)
        );
        writeln!(out, "{}", row.trim_end())
    };
    line("as fitted", &boom.fitted)?;
    for (i, l) in boom.without.iter().enumerate() {
        line(&format!("without {}", brace(arm, boom, i)), l)?;
    }
    if let Some(bare) = &boom.bare {
        line("without braces", bare)?;
    }
    if boom.fitted.rest.left_m.abs() > 5e-5 {
        let side = if boom.fitted.rest.left_m > 0.0 { "left" } else { "right" };
        hang(out, "  ", &format!("The tip also goes {} to the {side}.", sag(boom.fitted.rest.left_m.abs())))?;
    }
    if arm.payload.centre.y.abs() > 5e-4 {
        let side = if arm.payload.centre.y > 0.0 { "left" } else { "right" };
        hang(
            out,
            "  ",
            &format!(
                "The payload's centre sits {} to the {side} of the boom and twists it. Hang it in line and the lean goes.",
                both_kind(arm.payload.centre.y.abs(), Kind::Length)
            ),
        )?;
    }
    if boom.fitted.ways.twist_hz.is_none() {
        hang(
            out,
            "  ",
            "Twisting \"high\": nothing hangs off the boom's axis, so it does not shake that way.",
        )?;
    }
    isolator(out, arm, boom)
}

/// A sag is small: to a tenth of a millimetre.
fn sag(m: f64) -> String {
    format!("{:.1} mm ({:.2} in)", m * 1000.0, m / 0.0254)
}

/// The boom against its isolator.
fn isolator(out: &mut dyn Write, arm: &Arm, boom: &Boom) -> io::Result<()> {
    let w = boom.fitted.ways;
    let lowest =
        [w.up_down_hz, w.sideways_hz, w.twist_hz].into_iter().flatten().fold(f64::INFINITY, f64::min);
    let Some(own) = arm.isolator.frequency.as_ref().map(|f| f.value) else {
        return hang(
            out,
            "  ",
            "The isolator's frequency is not stated, so it is not set beside the boom's.",
        );
    };
    let text = if lowest < 1.3 * own {
        format!(
            "The boom's lowest, {lowest:.1} Hz, is too near the isolator's {own:.1} Hz: they feed each other. Brace or shorten the \
             boom, or set the isolator softer."
        )
    } else {
        format!("The isolator, {own:.1} Hz, lies well under the boom's lowest, {lowest:.1} Hz.")
    };
    hang(out, "  ", &text)
}

fn braces(out: &mut dyn Write, arm: &Arm, boom: &Boom) -> io::Result<()> {
    head(out, "WHAT EACH BRACE BUYS")?;
    for i in 0..boom.frame.brace_of.len() {
        let tag = brace(arm, boom, i);
        let Some(tension) = boom.fitted.rest.tension_n.get(i).copied().flatten() else {
            hang(out, "  ", &format!("{tag} hangs slack: it buys nothing, and weighs."))?;
            continue;
        };
        let Some(without) = boom.without.get(i).or(boom.bare.as_ref()) else { continue };
        let less = without.rest.sag_m - boom.fitted.rest.sag_m;
        let more = |a: Option<f64>, b: Option<f64>, way: &str| match (a, b) {
            (Some(a), Some(b)) if (a - b).abs() >= 0.05 => Some(format!("{way} {:+.1} Hz", a - b)),
            _ => None,
        };
        let (with, bare) = (boom.fitted.ways, without.ways);
        let ways: Vec<String> = [
            more(with.up_down_hz, bare.up_down_hz, "up and down"),
            more(with.sideways_hz, bare.sideways_hz, "sideways"),
            more(with.twist_hz, bare.twist_hz, "twisting"),
        ]
        .into_iter()
        .flatten()
        .collect();
        let ways = if ways.is_empty() { "no frequency changes".to_owned() } else { ways.join(", ") };
        let sags = if less.abs() < 5e-6 {
            "no less sag".to_owned()
        } else {
            format!("{} {} sag", sag(less.abs()), if less > 0.0 { "less" } else { "more" })
        };
        hang(out, "  ", &format!("{tag}: {sags}; {ways}. At rest it pulls {}.", force(tension)))?;
    }
    Ok(())
}

fn joints(out: &mut dyn Write, rig: &Rig, arm: &Arm, boom: &Boom) -> io::Result<()> {
    head(out, "WHERE SECTIONS MEET")?;
    if boom.bare.is_some() {
        hang(
            out,
            "  ",
            "At rest with the braces; the worst of the plan without them, for they take load off.",
        )?;
    }
    for m in &boom.meetings {
        let Some(section) = arm.sections.get(m.section) else { continue };
        let at = if m.along_m.abs() < 5e-4 {
            "at the pivot".to_owned()
        } else {
            let way = if m.along_m > 0.0 { "ahead of" } else { "behind" };
            format!("{} {way} the pivot", both_kind(m.along_m.abs(), Kind::Length))
        };
        writeln!(out, "  {}", paint(style::HEAD, &format!("{}, {at}", section.tag)))?;
        let [_, vy, vz, t, my, mz] = m.at_rest;
        let twist = if t.abs() > 0.05 { format!(", twist {}", moment(t)) } else { String::new() };
        hang(
            out,
            "    at rest  ",
            &format!("bending {}, shear {}{twist}", moment(my.hypot(mz)), force(vy.hypot(vz))),
        )?;
        if let Some(f) = &m.stress {
            let bends = f.hand.steps.iter().find(|s| s.symbol == "M").map(|s| s.value);
            let bends = bends.map_or(String::new(), |nm| format!("bending {}, ", moment(nm)));
            hang(out, "    tube     ", &format!("{bends}stress {}", answer(f)))?;
        }
        bolts(out, rig, m)?;
    }
    Ok(())
}

/// `margin 3.21 of factor 2: holds; steady; boom 35° L`.
fn answer(f: &Finding) -> String {
    if let Outcome::NotChecked(need) = &f.outcome {
        return format!("NOT CHECKED: {}; {} ({})", need.what, need.settle, need.key);
    }
    let (word, colour) =
        if f.outcome == Outcome::Fails { ("FAILS", style::FAIL) } else { ("holds", style::HOLDS) };
    format!(
        "margin {} over factor {}: {}. Worst: {}",
        f.margin.map_or("none".to_owned(), margin),
        f.factor,
        paint(colour, word),
        f.situation
    )
}

fn bolts(out: &mut dyn Write, rig: &Rig, m: &Meeting) -> io::Result<()> {
    let tag = rig.arm.as_ref().and_then(|a| a.sections.get(m.section)).map_or("?", |s| s.tag.as_str());
    let Some(f) = &m.bolts else {
        return hang(
            out,
            "    bolts    ",
            &format!(
                "not stated, so not looked at; where it is a bolted flange, write arm.section.{tag}.bolts"
            ),
        );
    };
    let of = |symbol: &str| f.hand.steps.iter().find(|s| s.symbol == symbol).map(|s| s.value);
    let pulls = match (of("T"), of("V"), of("Fi")) {
        (Some(t), Some(v), Some(p)) => {
            format!(
                "the worst one is pulled {}, sheared {}, tightened to {}; ",
                force(t),
                force(v),
                show_kind(p, Kind::Force, System::Metric)
            )
        }
        _ => String::new(),
    };
    hang(out, "    bolts    ", &format!("{pulls}{}", answer(f)))
}

/// Says what is missing.
pub(crate) fn refuse(out: &mut dyn Write, rig: &Rig, missing: &Missing) -> io::Result<()> {
    writeln!(out, "{}", paint(style::CLOSE, "HOLD: the boom is not known."))?;
    hang(out, "", &rig.name)?;
    writeln!(out)?;
    match missing {
        Missing::Tube(tag) => {
            hang(
                out,
                "  ",
                &format!("Section {tag} states no tube, so nobody can say how it bends or twists."),
            )?;
            hang(
                out,
                "  ",
                &format!(
                    "Measure its outer diameter and its wall, and write arm.section.{tag}.tube, as \"tube 80 x 3.0 EN AW-6082 \
                     T6\" (clingfish parts tube lists those it knows)."
                ),
            )
        }
        Missing::Gap(place) => {
            hang(out, "  ", &format!("Between the sections there is a gap {place}: it has no tube."))?;
            hang(out, "  ", "Measure where each section starts and ends, from the pivot.")
        }
    }
}
