//! The boom's balance for the terminal.

use super::style::{self, paint};
use super::text::{hang, margin};
use quantity::{Kind, System, both_kind, show_kind};
use rig::Rig;
use rig::model::Arm;
use std::io::{self, Write};
use verdict::balance::{Balance, Choice, Drive, Other, Plan, Plans, Unweighed, WORTH_NM};
use verdict::state::elevation_words;
use verdict::{Finding, Outcome};

/// Lines under every balance.
pub(crate) const KEEP: &[&str] = &[
    "Car level, drives off, handbrake on. One holds the boom before anything comes off or goes on: it swings the moment the \
     balance goes. Keep clear of both ends.",
    "Lock every plate and the carrier, and put the second line back on the weight.",
    "Let go slowly, by hand: level, at the lowest and at the highest elevation. It must stay, or creep as said here.",
    "Write the new weight and place into the file and run `clingfish check`: the whole rig carries the change.",
];
/// What the sums do not know.
pub(crate) const LEFT_OUT: &str = "Left out: friction and play of the pivot, cables along the boom, the give of the boom, and where on \
     the payload a lens sits (on a boom that does not keep it level, a lens ahead of the middle counts a little more).";

/// More than this over what the angle makes is told to be out of balance, N m: common practice, no source.
const FAR_NM: f64 = 2.0;
/// N m to ft lbf.
const FT_LBF: f64 = 1.355_817_948_331_400_4;
/// kg to lb.
const LB: f64 = 0.453_592_37;

fn moment(nm: f64) -> String {
    both_kind(nm.abs(), Kind::Moment)
}

pub(crate) fn mass(kg: f64) -> String {
    both_kind(kg, Kind::Mass)
}

/// To 10 g: a counterweight is weighed, not rounded.
pub(crate) fn weight(kg: f64) -> String {
    format!("{kg:.2} kg ({:.1} lb)", kg / LB)
}

pub(crate) fn length(m: f64) -> String {
    both_kind(m, Kind::Length)
}

/// `nose-heavy by 12 N·m (8.9 ft·lbf)`.
pub(crate) fn heavy(nm: f64) -> String {
    if nm.abs() < WORTH_NM {
        return "in balance".to_owned();
    }
    format!("{} by {}", if nm > 0.0 { "nose-heavy" } else { "tail-heavy" }, moment(nm))
}

fn head(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, text))
}

/// Writes it.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, b: &Balance) -> io::Result<()> {
    let Some(arm) = &rig.arm else { return Ok(()) };
    hang(out, "", &format!("Balance of the boom: {}", rig.name))?;
    let w = &arm.counterweight;
    hang(
        out,
        "  ",
        &format!(
            "payload {}, isolator {}; counterweight {}, {} behind the pivot",
            mass(arm.payload.mass.value),
            mass(arm.isolator.mass.value),
            weight(w.mass.value),
            length(w.behind.value)
        ),
    )?;
    if let Some(u) = &b.unweighed {
        return not_weighed(out, arm, b, u);
    }
    now(out, arm, b)?;
    angle(out, b)?;
    tilt(out, b)?;
    pan(out, b)?;
    payloads(out, arm, b)?;
    lenses(out, arm, b)?;
    head(out, "BEFORE YOU TOUCH IT")?;
    for text in KEEP {
        hang(out, "  - ", text)?;
    }
    writeln!(out)?;
    hang(out, "", LEFT_OUT)
}

fn not_weighed(out: &mut dyn Write, arm: &Arm, b: &Balance, u: &Unweighed) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::CLOSE, "HOLD: the boom cannot be balanced on a guess."))?;
    for f in &u.facts {
        let range = format!("from {} to {}", both_kind(f.low, f.kind), both_kind(f.high, f.kind));
        let settle = if f.settle.is_empty() { "measure it" } else { &f.settle };
        hang(out, "  - ", &format!("{} is not known: {range}. To settle it: {settle}.", f.key))?;
    }
    let ends = (heavy(u.level_nm.0), heavy(u.level_nm.1));
    hang(out, "  ", &format!("So the boom, held level, may be anything from {} to {}.", ends.0, ends.1))?;
    let or_none = |kg: Option<f64>| kg.map_or("no weight at all".to_owned(), weight);
    hang(
        out,
        "  ",
        &format!(
            "Where the counterweight hangs now it would take from {} to {}. No plates are named, and no drive is \
             judged, until it is weighed.",
            or_none(u.weight_kg.0),
            or_none(u.weight_kg.1)
        ),
    )?;
    hang(out, "  ", "Write it into the file as one value, then ask again.")?;
    if u.payload_alone {
        payloads(out, arm, b)?;
    }
    Ok(())
}

/// What to do, in a list of steps.
pub(crate) fn steps(plan: &Plan) -> Vec<String> {
    let list = |plates: &[f64]| plates.iter().map(|p| mass(*p)).collect::<Vec<_>>().join(" + ");
    let mut out = Vec::new();
    if !plan.plates.off.is_empty() {
        out.push(format!("take off {}", list(&plan.plates.off)));
    }
    if !plan.plates.on.is_empty() {
        out.push(format!("put on {}", list(&plan.plates.on)));
    }
    if plan.slides_m != 0.0 {
        let way = if plan.slides_m > 0.0 { "back, away from the pivot" } else { "nearer to the pivot" };
        out.push(format!(
            "slide the counterweight {} {way}: to {} behind it",
            length(plan.slides_m.abs()),
            length(plan.behind_m)
        ));
    }
    out
}

pub(crate) fn left(plan: &Plan) -> String {
    let l = plan.left;
    if l.worst_nm.abs() < WORTH_NM {
        "Then nothing is left over, at any angle.".to_owned()
    } else {
        format!(
            "Left over then: level, {}; at the most, {} at {}.",
            heavy(l.level_nm),
            heavy(l.worst_nm),
            elevation_words(l.at_rad)
        )
    }
}

fn now(out: &mut dyn Write, arm: &Arm, b: &Balance) -> io::Result<()> {
    let p = &b.plans;
    head(out, "NOW")?;
    let worst = if (p.now.worst_nm - p.now.level_nm).abs() < WORTH_NM {
        String::new()
    } else {
        format!("; at the most, {} at {}", heavy(p.now.worst_nm), elevation_words(p.now.at_rad))
    };
    hang(out, "  ", &format!("Held level, {}{worst}.", heavy(p.now.level_nm)))?;
    head(out, "DO THIS")?;
    match p.advice() {
        Some(plan) => {
            for (n, step) in steps(plan).iter().enumerate() {
                hang(out, &format!("  {}. ", n + 1), &capital(step))?;
            }
            hang(out, "  ", &left(plan))?;
            let half = 0.5 * (b.spread.nm.1 - b.spread.nm.0);
            if plan.left.worst_nm.abs() > 2.0 * half + FAR_NM {
                hang(
                    out,
                    "  ",
                    "That is the nearest it comes with what is at hand, and not balance: the tilt drive carries the rest, all the time.",
                )?;
            }
            for other in [&p.slide, &p.plates, &p.both].into_iter().flatten() {
                if other != plan && !other.is_nothing() && other.left.worst_nm.abs() < p.now.worst_nm.abs() {
                    hang(out, "  Or ", &format!("{}. {}", steps(other).join(", "), left(other)))?;
                }
            }
        }
        None if p.now.worst_nm.abs() < WORTH_NM => hang(out, "  ", "Nothing. Leave it as it is.")?,
        None => {
            hang(out, "  ", "Nothing at hand brings it nearer: the tilt drive carries it, all the time.")?;
        }
    }
    exact(out, arm, b)
}

/// The weight and the place that would do it, and what stands in the way.
fn exact(out: &mut dyn Write, arm: &Arm, b: &Balance) -> io::Result<()> {
    let (p, w) = (&b.plans, &arm.counterweight);
    match p.weight_kg {
        Some(kg) => {
            let more = kg - w.mass.value;
            let change = if more.abs() < 0.005 {
                "what hangs there".to_owned()
            } else {
                format!("{} {} than now", mass(more.abs()), if more > 0.0 { "more" } else { "less" })
            };
            hang(out, "  ", &format!("Exactly, where it hangs: {} on the tail, {change}.", weight(kg)))?;
        }
        None => hang(
            out,
            "  ",
            "No weight on this tail balances it: the tail outweighs the front without one. Shorten the tail, or carry more at the tip.",
        )?,
    }
    if w.plates.is_empty() && w.fitted.is_empty() {
        hang(
            out,
            "  ",
            "No plates are listed. Under [arm.counterweight] write those at hand, plates = [\"5 kg\", \"1 kg\"], and those on it, \
             fitted = [\"10 kg\"]; then they are tried.",
        )?;
    } else if w.fitted.is_empty() && p.now.level_nm < -WORTH_NM {
        hang(
            out,
            "  ",
            "Which plates hang on it is not listed, so none can be named to come off: write them under [arm.counterweight] as \
             fitted = [\"10 kg\", \"5 kg\"].",
        )?;
    }
    let Some(place) = p.place_m else { return Ok(()) };
    let moved = (place - w.behind.value).abs() > 0.0005;
    match w.slide {
        Some((from, to)) if place < from - 1e-6 || place > to + 1e-6 => hang(
            out,
            "  ",
            &format!(
                "The weight alone would have to sit {} behind the pivot; its carrier runs out: it goes from {} to {}. {}",
                length(place),
                length(from),
                length(to),
                if place > to { "More weight brings it back in." } else { "Less weight brings it back in." }
            ),
        ),
        None if moved && b.tail_m > 0.0 && place > b.tail_m => hang(
            out,
            "  ",
            &format!(
                "The tail is too short to do it with this weight: it would have to hang {} behind the pivot, and the tail ends \
                 at {}. Put on more weight, or a longer tail.",
                length(place),
                length(b.tail_m)
            ),
        ),
        None if moved => hang(
            out,
            "  ",
            &format!(
                "If its carrier slides: this weight would balance {} behind the pivot. Write how far it goes as behind_from and \
                 behind_to under [arm.counterweight].",
                length(place)
            ),
        ),
        _ => Ok(()),
    }
}

fn angle(out: &mut dyn Write, b: &Balance) -> io::Result<()> {
    let s = &b.spread;
    head(out, "WITH THE ANGLE")?;
    if s.nm.1 - s.nm.0 < WORTH_NM {
        return hang(out, "  ", "All mass centres lie in line with the pivot: the same at every angle.");
    }
    let place = |m: f64| {
        if m.abs() < 0.0005 {
            "right on it".to_owned()
        } else {
            format!("{} {} the axis", length(m.abs()), if m > 0.0 { "under" } else { "over" })
        }
    };
    hang(
        out,
        "  ",
        &format!(
            "Balanced to the gram it still changes with the angle, from {} to {}, because its mass centre lies off the tilt axis. \
             No plate takes that away.{}",
            heavy(s.nm.0),
            heavy(s.nm.1),
            s.neutral_under_m.map_or(String::new(), |m| format!(
                " The height does: {} the middle of the counterweight by {}, from {} to {}.",
                if s.under_m > m { "raise" } else { "lower" },
                length((s.under_m - m).abs()),
                place(s.under_m),
                place(m)
            ))
        ),
    )
}

fn share(nm: f64, limit: Option<f64>) -> String {
    limit.map_or("?".to_owned(), |l| format!("{:.0} %", (100.0 * nm.abs() / l).ceil()))
}

fn tilt(out: &mut dyn Write, b: &Balance) -> io::Result<()> {
    head(out, "TILT DRIVE, as it hangs now")?;
    let limit = b.drives.first().and_then(|d| limit(&d.check));
    writeln!(
        out,
        "  {:<10}{:^16}{:^18}{:^18}{:>9}",
        "angle", "hold it still", "start and stop", "in the plan", "of the"
    )?;
    let units = format!("{:>7}{:>8}", "N·m", "ft·lbf");
    writeln!(out, "  {:<10}{units} {units}   {units}   {:>8}", "", "limit")?;
    for r in b.rows.iter().rev() {
        let two = |nm: f64| format!("{nm:>7.1}{:>8.1}", nm / FT_LBF);
        let (plan, of) = match r.tilt_nm {
            Some(nm) => (two(nm), share(nm, limit)),
            None => (format!("{:>15}", "parked"), String::new()),
        };
        let line = format!(
            "  {:<10}{} {}   {plan}   {of:>8}",
            elevation_words(r.elevation_rad),
            two(r.hold_nm),
            two(r.start_nm)
        );
        writeln!(out, "{}", line.trim_end())?;
    }
    hang(
        out,
        "  ",
        "Hold: level ground, nose-heavy +. Start and stop: the drive's own, emergency stop included. In the plan: the most of \
         all manoeuvres, wind, slopes and the drive's starts and stops together, at any bearing.",
    )?;
    if let Some(d) = b.drives.first() {
        drive(out, d)?;
    }
    if let Some(f) = &b.mended {
        hang(out, "  ", &format!("With the step above done: {}.", asked(f)))?;
    }
    Ok(())
}

fn limit(f: &Finding) -> Option<f64> {
    f.margin.map(|_| f.capacity)
}

/// `98 N·m of 160 N·m, margin 1.63`.
pub(crate) fn asked(f: &Finding) -> String {
    format!(
        "{} of {}, margin {}",
        both_kind(f.demand, f.kind),
        both_kind(f.capacity, f.kind),
        f.margin.map_or("none".to_owned(), margin)
    )
}

fn drive(out: &mut dyn Write, d: &Drive) -> io::Result<()> {
    match &d.check.outcome {
        Outcome::NotChecked(need) => {
            writeln!(out, "  {}", paint(style::CLOSE, "HOLD: its limit is not stated."))?;
            hang(out, "  ", &format!("Get it {}, and write it as {}.", need.settle, need.key))?;
        }
        outcome => {
            let (word, colour) =
                if *outcome == Outcome::Fails { ("TOO MUCH", style::FAIL) } else { ("holds", style::HOLDS) };
            let factor = if (d.check.factor - 1.0).abs() < 1e-9 {
                String::new()
            } else {
                format!(" (factor {})", d.check.factor)
            };
            hang(out, "  ", &format!("At the worst: {}{factor}, {}.", asked(&d.check), paint(colour, word)))?;
            hang(out, "  ", &format!("When: {}.", d.check.situation))?;
        }
    }
    match &d.power {
        Some(p) => {
            let can = d.can_w.map_or(String::new(), |w| {
                format!(" Its full torque at its full rate would be {}.", both_kind(w, Kind::Power))
            });
            hang(
                out,
                "  ",
                &format!(
                    "Power at its shaft, driving or braking: up to {} ({} at {}). Losses of motor and gear come on top.{can}",
                    show_kind(p.w, Kind::Power, System::Metric),
                    show_kind(p.torque_nm.abs(), Kind::Moment, System::Metric),
                    show_kind(p.rate_rps.abs(), Kind::AngularSpeed, System::Metric)
                ),
            )
        }
        None => hang(out, "  ", "Power: it does not turn in any manoeuvre of the plan."),
    }
}

fn pan(out: &mut dyn Write, b: &Balance) -> io::Result<()> {
    head(out, "PAN DRIVE, as it hangs now")?;
    if let Some(d) = b.drives.get(1) {
        drive(out, d)?;
    }
    let Some(s) = &b.slope else { return Ok(()) };
    if s.per_degree_nm < 0.5 * WORTH_NM {
        return hang(out, "  ", "On a slope it stays where it is put: its mass centre stands over the mast.");
    }
    let steepest = if s.steepest_rad > 1e-6 {
        format!(
            " The steepest in the plan, {}, takes {}.",
            show_kind(s.steepest_rad, Kind::Angle, System::Metric),
            moment(s.steepest_nm)
        )
    } else {
        " The plan has no grade and no bank.".to_owned()
    };
    hang(
        out,
        "  ",
        &format!(
            "On a slope the heavy end swings downhill: the mass centre of all that pans lies up to {} off the mast. Each degree of \
             slope takes {} to hold.{steepest}",
            length(s.off_axis_m),
            moment(s.per_degree_nm)
        ),
    )
}

/// `+5 +2.5 -1`, `-` for nothing to move, in kg.
pub(crate) fn signed(c: &Choice) -> String {
    let one = |sign: &'static str| move |kg: &f64| format!("{sign}{}", (kg * 1000.0).round() / 1000.0);
    let all: Vec<String> = c.off.iter().map(one("-")).chain(c.on.iter().map(one("+"))).collect();
    if all.is_empty() { "none".to_owned() } else { all.join(" ") }
}

/// The plates, place and rest of a payload's best plan.
fn best(p: &Plans, behind_m: f64, fitted: bool) -> (String, f64, f64) {
    match p.advice() {
        None if !fitted && p.now.level_nm < -WORTH_NM => {
            ("plates on it not listed".to_owned(), behind_m, p.now.worst_nm)
        }
        Some(plan) => (signed(&plan.plates), plan.behind_m, plan.left.worst_nm),
        None => ("none".to_owned(), behind_m, p.now.worst_nm),
    }
}

fn payloads(out: &mut dyn Write, arm: &Arm, b: &Balance) -> io::Result<()> {
    let w = &arm.counterweight;
    let slides = w.slide.is_some();
    head(out, "OTHER PAYLOADS, from the counterweight as it hangs now")?;
    let middle = if slides { "behind pivot" } else { "exact weight" };
    writeln!(out, "  {:>16}  {:>16}   {:<24}{:>16}", "payload", middle, "plates: + on, - off", "left over")?;
    let units = if slides { ("mm", "in") } else { ("kg", "lb") };
    writeln!(
        out,
        "  {:>8}{:>8}  {:>8}{:>8}   {:<24}{:>8}{:>8}",
        "kg", "lb", units.0, units.1, "kg", "N·m", "ft·lbf"
    )?;
    for Other { payload_kg, plans } in &b.payloads {
        let (plates, behind, left) = best(plans, w.behind.value, !w.fitted.is_empty());
        let here = (payload_kg - arm.payload.mass.value).abs() < 1e-6;
        let two = if slides {
            format!("{:>8.0}{:>8.2}", behind * 1000.0, behind / 0.0254)
        } else {
            plans
                .weight_kg
                .map_or_else(|| format!("{:>16}", "none"), |kg| format!("{kg:>8.2}{:>8.1}", kg / LB))
        };
        let mark = if here { ">" } else { " " };
        let lines = super::text::wrap(&plates, 24);
        for (i, line) in lines.iter().enumerate() {
            if i == 0 {
                writeln!(
                    out,
                    "{mark} {payload_kg:>8.2}{:>8.1}  {two}   {line:<24}{left:>8.1}{:>8.1}",
                    payload_kg / LB,
                    left / FT_LBF
                )?;
            } else {
                writeln!(out, "{:39}{line}", "")?;
            }
        }
    }
    hang(out, "  ", "> the payload in the file. Left over: the most at any angle, nose-heavy +.")
}

fn lenses(out: &mut dyn Write, arm: &Arm, b: &Balance) -> io::Result<()> {
    head(out, "LENS CHANGE, from the boom in balance as said under DO THIS")?;
    let w = &arm.counterweight;
    for (kg, plans) in &b.lenses {
        let more = if *kg < 0.0 { "lighter" } else { "heavier" };
        let mut ways = Vec::new();
        if let (Some(place), Some(before)) = (plans.place_m, b.balanced.place_m) {
            let by = place - before;
            let ends = w.slide.map_or((0.0, b.tail_m), |s| s);
            let way = if by > 0.0 { "back" } else { "nearer to the pivot" };
            let beyond = if place > ends.1 + 1e-6 || place < ends.0 - 1e-6 {
                if w.slide.is_some() { " (beyond its carrier)" } else { " (beyond the tail)" }
            } else {
                ""
            };
            ways.push(format!("slide the weight {} {way}{beyond}", length(by.abs())));
        }
        if let (Some(exact), Some(before)) = (plans.weight_kg, b.balanced.weight_kg) {
            let by = exact - before;
            ways.push(format!("{} {} on the tail", mass(by.abs()), if by > 0.0 { "more" } else { "less" }));
        }
        if let Some(plan) = plans.plates.as_ref().filter(|p| p.plates.moved() > 0) {
            ways.push(format!("plates {} kg, {} left", signed(&plan.plates), moment(plan.left.worst_nm)));
        }
        let text =
            if ways.is_empty() { "nothing on this tail balances it".to_owned() } else { ways.join("; or ") };
        hang(out, "  ", &format!("{} {more}: {text}.", mass(kg.abs())))?;
    }
    Ok(())
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |c| c.to_uppercase().chain(letters).collect())
}
