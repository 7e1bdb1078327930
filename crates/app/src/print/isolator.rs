//! The isolator for the terminal.

use super::style::{self, paint};
use super::text::hang;
use quantity::{Kind, both_kind};
use rig::Rig;
use std::fmt::Write as _;
use std::io::{self, Write};
use verdict::isolator::axis::{Axis, By, Spread};
use verdict::isolator::setting::{AirSetting, CoilSetting, Setting};
use verdict::isolator::travel::Push;
use verdict::isolator::{Fits, Isolator, Passed};

/// Lines of manoeuvres that are shown, the worst first.
const PUSHES: usize = 3;
/// What comes through between these, in per cent, is about what goes in.
const SAME: (f64, f64) = (0.95, 1.05);

/// Lines under every isolator.
pub(crate) const MIND: &[&str] = &[
    "Bleed or wind down a spring before you open the unit: it is loaded. Keep hands off the stops while the car moves.",
    "Fit the payload's tether before you trust a spring with it.",
    "Numbers hold for this payload. Another lens is another payload.",
];

fn head(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, text))
}

/// A gauge pressure as gauges have it.
fn pressure(pa: f64) -> String {
    format!("{:.0} kPa ({:.1} psi)", pa / 1e3, pa / 6_894.757)
}

fn mass(kg: f64) -> String {
    both_kind(kg, Kind::Mass)
}

fn length(m: f64) -> String {
    both_kind(m, Kind::Length)
}

/// `0.05 to 0.4`, or one value.
fn spread(s: &Spread, digits: usize) -> String {
    if s.is_range() {
        format!("{:.digits$} to {:.digits$}", s.low, s.high)
    } else {
        format!("{:.digits$}", s.value)
    }
}

/// Writes it all.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, i: &Isolator) -> io::Result<()> {
    writeln!(out, "{}", paint(style::HEAD, "Isolator between boom tip and payload"))?;
    hang(out, "", &rig.name)?;
    writeln!(out)?;
    answer(out, i)?;
    head(out, "Payload")?;
    let range = match i.made_for {
        Some((from, to)) if i.payload_kg < from || i.payload_kg > to => {
            format!("; the unit is made for {} to {}: OUT OF RANGE", mass(from), mass(to))
        }
        Some((from, to)) => format!("; the unit is made for {} to {}", mass(from), mass(to)),
        None => "; what the unit is made for is not known".to_owned(),
    };
    hang(out, "  ", &format!("{}{range}.", mass(i.payload_kg)))?;
    match &i.setting {
        Some(Setting::Air(a)) => {
            head(out, "Setting of the air spring")?;
            air(a).iter().try_for_each(|text| hang(out, "  ", text))?;
        }
        Some(Setting::Coil(c)) => {
            head(out, "Setting of the coil springs")?;
            coil(c).iter().try_for_each(|text| hang(out, "  ", text))?;
        }
        None => {
            head(out, "Setting")?;
            hang(
                out,
                "  ",
                "Its spring is not described: [isolator.coil] or [isolator.air] gives the setting.",
            )?;
        }
    }
    head(out, "Its own frequencies")?;
    for axis in &i.axes {
        hang(out, &format!("  {:<14}", axis.name), &axis_words(axis))?;
    }
    if let (Some(sag), Some(f)) = (i.sag_m, i.axes.first().and_then(|a| a.frequency)) {
        let text = format!(
            "At {:.1} Hz a spring gives {} under the payload's weight (15.76 / Hz, squared, in mm).",
            f.value,
            length(sag)
        );
        hang(out, "  ", &text)?;
    }
    travel(out, i)?;
    passed(out, i)?;
    head(out, "Mind")?;
    for text in MIND {
        hang(out, "  - ", text)?;
    }
    Ok(())
}

/// What it comes to, and what is wrong, doubtful or missing.
pub(crate) fn answer_words(i: &Isolator) -> (&'static str, Vec<String>) {
    let text = match i.fits() {
        Fits::Yes => "this payload, as far as is known.",
        Fits::Hold => "measure or set this first:",
        Fits::No => "as it is:",
    };
    let mut said: Vec<String> = i.wrong.iter().chain(&i.doubts).map(|text| format!("{text}.")).collect();
    said.extend(
        i.needs.iter().map(|n| {
            format!("{}: not known. {}; write {}.", n.what, super::picture::capital(&n.settle), n.key)
        }),
    );
    (text, said)
}

fn answer(out: &mut dyn Write, i: &Isolator) -> io::Result<()> {
    let fits = i.fits();
    let colour = match fits {
        Fits::Yes => style::HOLDS.bold(),
        Fits::Hold => style::CLOSE,
        Fits::No => style::FAIL,
    };
    let (text, said) = answer_words(i);
    writeln!(out, "{}", paint(colour, &format!("{}: {text}", fits.word())))?;
    said.iter().try_for_each(|text| hang(out, "  - ", text))
}

/// The setting of an air spring; the first sentence is what to do.
pub(crate) fn air(a: &AirSetting) -> Vec<String> {
    let mut out = Vec::new();
    let text = format!(
        "With the payload on and floating in mid travel its gauge reads {}. Each {} more payload: {} more.",
        pressure(a.gauge_pa),
        mass(1.0),
        pressure(a.per_kg_pa)
    );
    out.push(text);
    if let Some((now, carries)) = a.now {
        out.push(format!("Now it reads {}: that floats {}.", pressure(now), mass(carries)));
    }
    if let Some((most, carries)) = a.greatest {
        let text = format!("Most it may read: {}, for {}. Never over that.", pressure(most), mass(carries));
        out.push(text);
    }
    let text = format!(
        "A gauge reads over the air outside, {} here, so the setting is the same at any altitude; the spring is a little softer \
         up high. The shut-in air gains or loses {} with each 10 °C (18 °F): read it again when it has warmed or cooled.",
        pressure(a.outside_pa),
        pressure(a.per_10_k_pa)
    );
    out.push(text);
    let (slow, quick) = a.rate_at_payload_n_m;
    let text = format!(
        "Rate at the payload: {} when it shakes, {} when pushed slowly.",
        both_kind(quick, Kind::Stiffness),
        both_kind(slow, Kind::Stiffness)
    );
    out.push(text);
    out
}

/// The setting of coil springs; the first sentence is what they do.
pub(crate) fn coil(c: &CoilSetting) -> Vec<String> {
    let mut out = Vec::new();
    let text = format!(
        "Each carries {} and gives {}. Rate at the payload: {}.",
        both_kind(c.load_n, Kind::Force),
        length(c.gives_m),
        both_kind(c.rate_at_payload_n_m, Kind::Stiffness)
    );
    out.push(text);
    if let Some(l) = c.length_m {
        out.push(format!(
            "With the payload floating each is {} long; a pulled spring gets longer by as much.",
            length(l)
        ));
    }
    if let Some(s) = c.to_solid_m {
        out.push(format!("Then {} of payload travel is left before its turns touch.", length(s.max(0.0))));
    }
    if let Some(set) = c.set {
        let (way, by) = if set.closer_m >= 0.0 { ("closer", set.closer_m) } else { ("apart", -set.closer_m) };
        let text = format!(
            "Set to {} it floats {} in mid travel: screw the seats {} {way} for this payload.",
            length(set.length_m),
            mass(set.carries_kg),
            length(by)
        );
        out.push(text);
    }
    out
}

pub(crate) fn axis_words(a: &Axis) -> String {
    let Some(f) = &a.frequency else {
        return "not known; it counts as stiff".to_owned();
    };
    let by = match a.by {
        By::Stated => "measured",
        By::Spring => "from its spring",
        By::Swing => "as it hangs",
        By::Unknown => "",
    };
    let mut text = format!("{} Hz, {by}", spread(f, 2));
    if let Some(b) = &a.beside {
        // A String takes everything that is written to it.
        let how = if a.pendulum.is_some() { "as it hangs" } else { "by its spring" };
        let _ = write!(text, " ({} Hz {how})", spread(b, 2));
    }
    let d = spread(&a.damping, 2);
    if a.damping_known {
        text + &format!("; damping ratio {d}")
    } else {
        text + &format!("; damping NOT KNOWN, taken as {d}")
    }
}

fn travel(out: &mut dyn Write, i: &Isolator) -> io::Result<()> {
    head(out, "Travel")?;
    match i.travel_m {
        Some((up, down)) => {
            hang(
                out,
                "  ",
                &format!("To the stops, from where it floats: {} up, {} down.", length(up), length(down)),
            )?;
        }
        None => hang(out, "  ", "Travel to the stops is not known.")?,
    }
    if i.pushes.is_empty() {
        return Ok(());
    }
    // Manoeuvres that push alike share a line.
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for p in &i.pushes {
        let words = push_words(p);
        match groups.iter_mut().find(|g| g.0 == words) {
            Some(group) => group.1.push(&p.manoeuvre),
            None => groups.push((words, vec![&p.manoeuvre])),
        }
    }
    for (words, names) in groups.iter().take(PUSHES) {
        hang(out, "  ", &format!("{}: {words}.", names.join(", ")))?;
    }
    let rest: usize = groups.iter().skip(PUSHES).map(|g| g.1.len()).sum();
    let more = if rest > 0 { format!("{rest} more push it less. ") } else { String::new() };
    let text = format!(
        "{more}Kerbs step by step, the rest as a sudden push that stays; with the softest spring and least damping. What rig and boom \
         add is not counted."
    );
    hang(out, "  ", &text)
}

fn push_words(p: &Push) -> String {
    let g = 9.806_65;
    let mut text = format!(
        "car {:.2} g up, {:.2} g down; payload {} down, {} up",
        p.up_m_s2 / g,
        p.down_m_s2 / g,
        length(p.goes_m.0),
        length(p.goes_m.1)
    );
    if let Some((down, up)) = p.left_m {
        let words = match (down < 0.0, up < 0.0) {
            (true, true) => "HITS both stops".to_owned(),
            (true, false) => "HITS the lower stop".to_owned(),
            (false, true) => "HITS the upper stop".to_owned(),
            (false, false) => format!("left: {} down, {} up", length(down), length(up)),
        };
        let _ = write!(text, "; {words}");
    }
    text
}

fn passed(out: &mut dyn Write, i: &Isolator) -> io::Result<()> {
    head(out, "What comes through, up and down")?;
    let Some(f) = i.axes.first().and_then(|a| a.frequency) else {
        return hang(out, "  ", "Not known without its frequency.");
    };
    if i.passed.iter().any(|p| p.up_down.is_range()) {
        writeln!(out, "  {:<26}{:>9}{:>9}{:>9}{:>9}", "", "at", "least", "likely", "most")?;
    } else {
        writeln!(out, "  {:<26}{:>9}{:>9}", "", "at", "share")?;
    }
    for p in &i.passed {
        line(out, p)?;
    }
    let text = format!(
        "1 is all of it. It holds back what is quicker than {:.1} Hz, 1.41 times its own frequency, and adds to what is slower.",
        f.value * std::f64::consts::SQRT_2
    );
    hang(out, "  ", &text)
}

fn line(out: &mut dyn Write, p: &Passed) -> io::Result<()> {
    let s = &p.up_down;
    let word = if s.low > SAME.1 {
        "adds"
    } else if s.high < SAME.0 {
        "holds back"
    } else {
        ""
    };
    let at = format!("{:.1} Hz", p.at_hz);
    let numbers = if s.is_range() {
        format!("{:>9.2}{:>9.2}{:>9.2}", s.low, s.value, s.high)
    } else {
        format!("{:>9.2}", s.value)
    };
    writeln!(out, "{}", format!("  {:<26}{at:>9}{numbers}  {word}", p.what).trim_end())
}
