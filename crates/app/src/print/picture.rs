//! The estimate of the picture for the terminal.

use super::style::{self, paint};
use super::text::hang;
use quantity::{Kind, both_kind};
use rig::Rig;
use std::io::{self, Write};
use verdict::picture::{ASSUMES, Blur, Picture, Seen};

/// What stands under its name.
pub(crate) const ESTIMATE: &str =
    "AN ESTIMATE, to compare one rig with another. No check and no GO rests on it; film a test.";
/// Blur in the middle of the picture, px, that is not seen at full size, and that is seen on any screen: common practice, no source.
const SEEN: (f64, f64) = (1.0, 3.0);

/// The first letter large.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().collect::<String>() + letters.as_str())
}

fn head(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, text))
}

/// `1/50 s`, or seconds from a tenth on.
pub(crate) fn shutter(s: f64) -> String {
    if s < 0.1 { format!("1/{:.0} s", 1.0 / s) } else { format!("{s:.2} s") }
}

/// Pixels to two digits.
fn px(v: f64) -> String {
    if v < 0.095 {
        format!("{v:.2}")
    } else if v < 9.95 {
        format!("{v:.1}")
    } else {
        format!("{v:.0}")
    }
}

/// Writes it all.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, p: &Picture) -> io::Result<()> {
    writeln!(out, "{}", paint(style::HEAD, "What of the road reaches the camera"))?;
    hang(out, "", &rig.name)?;
    writeln!(out)?;
    hang(out, "", ESTIMATE)?;
    head(out, "Drive and camera")?;
    let how = if p.speed_asked { "as asked" } else { "the fastest of the manoeuvres" };
    let text = format!(
        "Road class {} at {} ({how}), counted from {:.2} to {:.0} Hz.",
        p.road,
        both_kind(p.speed_m_s, Kind::Speed),
        p.band_hz.0,
        p.band_hz.1
    );
    hang(out, "  ", &text)?;
    hang(out, "  ", &camera(p))?;
    if let (Some(b), Some(seen)) = (&p.blur, &p.seen) {
        blur(out, p, b, seen)?;
    } else {
        head(out, "Blur")?;
        hang(out, "  ", "Not known: the camera is not described fully. What is missing stands below.")?;
    }
    stages(out, p)?;
    if p.blur.is_some() {
        helps(out, p)?;
    }
    if !p.needs.is_empty() {
        head(out, "HOLD: not known, or taken as typical")?;
        for n in &p.needs {
            hang(out, "  - ", &format!("{}: {}; write {}", n.what, n.settle, n.key))?;
        }
    }
    head(out, "Taken for granted")?;
    for text in ASSUMES {
        hang(out, "  - ", text)?;
    }
    Ok(())
}

fn camera(p: &Picture) -> String {
    let Some(s) = &p.seen else { return format!("The camera is the {}; it looks {}.", p.camera, p.looks) };
    let subject = match s.distance_m {
        Some(d) => format!("subject at {d:.1} m ({:.1} ft)", d / 0.3048),
        None => "subject far away".to_owned(),
    };
    format!(
        "The camera is the {}; it looks {}. Lens {:.0} mm, shutter {}, {} px over {:.1} mm, {subject}.",
        p.camera,
        p.looks,
        s.focal_m * 1e3,
        shutter(s.shutter_s),
        s.pixels,
        s.sensor_width_m * 1e3
    )
}

fn blur(out: &mut dyn Write, p: &Picture, b: &Blur, seen: &Seen) -> io::Result<()> {
    head(out, &format!("Blur while the shutter is open ({}), r.m.s.", shutter(seen.shutter_s)))?;
    let total = b.total_px();
    let word = if total < SEEN.0 {
        "not seen at full size"
    } else if total < SEEN.1 {
        "soft at full size"
    } else {
        "seen on any screen"
    };
    let wide = u32::try_from(seen.pixels).map_or(f64::NAN, f64::from);
    hang(
        out,
        "  ",
        &format!("{} px, {:.2} % of the picture's width: {word}.", px(total), 100.0 * total / wide),
    )?;
    let text = format!(
        "Across {} px, up and down {} px; by the camera's turning {} px, by its moving {} px. By roll about the lens {} px more at \
         the sides.",
        px(b.across_px),
        px(b.up_px),
        px(b.turning_px),
        px(b.moving_px),
        px(b.edge_px)
    );
    hang(out, "  ", &text)?;
    if let Some((low, high)) = p.range_px.filter(|(low, high)| px(*low) != px(*high)) {
        let text = format!("{} to {} px over the damping that is not known well.", px(low), px(high));
        hang(out, "  ", &text)?;
    }
    hang(
        out,
        "  ",
        "Up to one picture in twenty is worse than twice that (a random road is close to normal).",
    )
}

fn stages(out: &mut dyn Write, p: &Picture) -> io::Result<()> {
    head(out, "Shaking on its way, r.m.s.")?;
    writeln!(out, "  {:<25}{:>27}{:>24}", "", "acceleration, g", "turning, deg")?;
    writeln!(
        out,
        "  {:<25}{:>9}{:>9}{:>9}{:>8}{:>8}{:>8}",
        "", "fore-aft", "sideways", "up-down", "roll", "pitch", "yaw"
    )?;
    for s in &p.stages {
        let [x, y, z] = s.acceleration_m_s2.map(|a| a / 9.806_65);
        let [a, b, c] = s.turning_rad.map(f64::to_degrees);
        writeln!(out, "  {:<25}{x:>9.3}{y:>9.3}{z:>9.3}{a:>8.3}{b:>8.3}{c:>8.3}", s.name)?;
    }
    if let Some(give) = p.give_m {
        hang(out, "  ", &format!("The isolator works {} up and down.", both_kind(give, Kind::Length)))?;
    }
    if !p.rig_hz.is_empty() {
        let list: Vec<String> = p.rig_hz.iter().map(|f| format!("{f:.1}")).collect();
        hang(out, "  ", &format!("Lowest frequencies of the rig as it shakes: {} Hz.", list.join(", ")))?;
    }
    Ok(())
}

fn helps(out: &mut dyn Write, p: &Picture) -> io::Result<()> {
    let now = p.blur.as_ref().map_or(0.0, Blur::total_px);
    let (good, bad): (Vec<_>, Vec<_>) = p.changes.iter().partition(|c| c.blur_px < now);
    head(out, "What would help, each alone and worked out, the most first")?;
    if good.is_empty() {
        hang(out, "  ", "Nothing that was tried.")?;
    }
    for c in good {
        hang(out, &format!("  {:>6} px  {:<10}", px(c.blur_px), c.part), &c.what)?;
    }
    if !bad.is_empty() {
        let list: Vec<String> = bad.iter().map(|c| format!("{} ({} px)", c.what, px(c.blur_px))).collect();
        hang(out, "  Worse: ", &list.join("; "))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shutters_and_pixels_read_as_on_a_camera() {
        assert_eq!(shutter(0.02), "1/50 s");
        assert_eq!(shutter(1.0 / 48.0), "1/48 s");
        assert_eq!(shutter(0.5), "0.50 s");
        assert_eq!([px(0.031), px(1.26), px(14.7)], ["0.03", "1.3", "15"]);
        assert_eq!(capital("tape it"), "Tape it");
    }
}
