//! Responses part by part, for terminal and JSON.

use super::style::{self, paint};
use super::text::hang;
use rig::Rig;
use std::io::{self, Write};
use verdict::context::Context;

/// One action.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    pub(crate) name: String,
    /// How much of it; empty for an action that is given.
    pub(crate) unit: String,
}

/// What kind of response, in the order of printing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    Cup,
    Strap,
    Tube,
    Jaw,
    Leg,
    Platform,
}

impl Sort {
    pub(crate) const ALL: [Self; 6] =
        [Self::Cup, Self::Strap, Self::Tube, Self::Jaw, Self::Leg, Self::Platform];

    /// Names and SI units of the numbers.
    pub(crate) fn names(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Cup | Self::Leg => &[
                ("F_along", "N"),
                ("F_across", "N"),
                ("F_out", "N"),
                ("M_along", "N·m"),
                ("M_across", "N·m"),
                ("M_out", "N·m"),
            ],
            Self::Strap => &[("tension", "N")],
            Self::Tube => &[("N", "N"), ("Vy", "N"), ("Vz", "N"), ("T", "N·m"), ("My", "N·m"), ("Mz", "N·m")],
            Self::Jaw => {
                &[("Fx", "N"), ("Fy", "N"), ("Fz", "N"), ("Mx", "N·m"), ("My", "N·m"), ("Mz", "N·m")]
            }
            Self::Platform => &[
                ("ahead", "m"),
                ("left", "m"),
                ("up", "m"),
                ("about_ahead", "rad"),
                ("about_left", "rad"),
                ("about_up", "rad"),
            ],
        }
    }

    /// Heading and what the numbers are.
    pub(crate) fn about(self) -> (&'static str, &'static str) {
        match self {
            Self::Cup => (
                "Cups",
                "of the panel on the rig, cup's own axes at the panel: along, across, out of the panel; N, N·m",
            ),
            Self::Strap => ("Straps", "tension, pull positive; N"),
            Self::Tube => (
                "Tubes",
                "inside the tube: N pull positive, Vy Vz across, T twist, My Mz bending, tube's own axes; N, N·m",
            ),
            Self::Jaw => ("Jaws", "of the clamp or foot on the tube, tube's own axes, x along it; N, N·m"),
            Self::Leg => (
                "Leg tops",
                "of the leg on the platform, platform's own axes: along, across, out of its top; N, N·m",
            ),
            Self::Platform => (
                "Platforms",
                "movement of the top's middle ahead, left, up in mm, turning about these in mrad",
            ),
        }
    }
}

/// Numbers of one part at one place: a list for each column.
#[derive(Clone, Debug)]
pub(crate) struct PartRows {
    pub(crate) sort: Sort,
    pub(crate) part: String,
    /// Along a tube from its first end, m.
    pub(crate) at_m: Option<f64>,
    /// On which tube, for a jaw.
    pub(crate) on: String,
    /// `values[column][number]`.
    pub(crate) values: Vec<Vec<f64>>,
}

/// Responses to some actions.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    pub(crate) lost: Option<String>,
    pub(crate) slender: bool,
    pub(crate) residual: f64,
    pub(crate) columns: Vec<Column>,
    pub(crate) parts: Vec<PartRows>,
}

/// Picks the rows of each part out of whole columns.
pub(crate) struct Gather<'a> {
    pub(crate) ctx: &'a Context<'a>,
    pub(crate) values: &'a [Vec<f64>],
}

impl Gather<'_> {
    pub(crate) fn parts(&self) -> Vec<PartRows> {
        let (rig, layout) = (self.ctx.rig, &self.ctx.layout);
        let mut out = Vec::new();
        let mut put = |sort: Sort, part: String, at_m: Option<f64>, on: String, row: usize| {
            let take = |c: &Vec<f64>| c.get(row..row + sort.names().len()).unwrap_or_default().to_vec();
            out.push(PartRows { sort, part, at_m, on, values: self.values.iter().map(take).collect() });
        };
        for (cup, row) in rig.cups.iter().zip(&layout.cup) {
            put(Sort::Cup, format!("cup {}", cup.tag), None, String::new(), *row);
        }
        for (strap, row) in rig.straps.iter().zip(&layout.strap) {
            if let Some(row) = row {
                put(Sort::Strap, format!("strap {}", strap.tag), None, String::new(), *row);
            }
        }
        for station in &layout.station {
            let tag = rig.tubes.get(station.tube).map_or("?", |t| t.tag.as_str());
            put(Sort::Tube, format!("tube {tag}"), Some(station.at_m), String::new(), station.row);
        }
        for (jaw, row) in self.ctx.structure.jaws.iter().zip(&layout.jaw) {
            let tag = rig.tubes.get(jaw.tube).map_or("?", |t| t.tag.as_str());
            put(Sort::Jaw, jaw.part.name(rig), None, format!("tube {tag}"), *row);
        }
        for (leg, row) in rig.legs.iter().zip(&layout.leg_top) {
            if let Some(row) = row {
                put(Sort::Leg, format!("leg {}", leg.tag), None, String::new(), *row);
            }
        }
        for (platform, row) in rig.platforms.iter().zip(&layout.platform) {
            put(Sort::Platform, format!("platform {}", platform.tag), None, String::new(), *row);
        }
        out
    }
}

/// Writes every action's table.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, t: &Table) -> io::Result<()> {
    hang(
        out,
        "",
        &format!(
            "{}: forces with {}",
            rig.name,
            t.lost.as_ref().map_or("nothing lost".to_owned(), |l| format!("{l} lost"))
        ),
    )?;
    if t.slender {
        writeln!(out, "Shear deformation of the tubes is left out.")?;
    }
    for sort in Sort::ALL.iter().filter(|s| t.parts.iter().any(|p| p.sort == **s)) {
        let (head, about) = sort.about();
        hang(out, &format!("  {head}: "), about)?;
    }
    for (c, column) in t.columns.iter().enumerate() {
        let unit = if column.unit.is_empty() { String::new() } else { format!(" ({})", column.unit) };
        writeln!(out, "\n{}", paint(style::HEAD, &format!("{}{unit}", column.name)))?;
        for sort in Sort::ALL {
            let parts: Vec<&PartRows> = t.parts.iter().filter(|p| p.sort == sort).collect();
            if !parts.is_empty() {
                section(out, sort, &parts, c)?;
            }
        }
    }
    Ok(())
}

fn section(out: &mut dyn Write, sort: Sort, parts: &[&PartRows], column: usize) -> io::Result<()> {
    let names: Vec<String> =
        sort.names().iter().map(|(n, _)| format!("{:>9}", n.replace("about_", "@"))).collect();
    writeln!(out, "  {:<24}{}", sort.about().0, names.concat())?;
    let scale = if sort == Sort::Platform { 1000.0 } else { 1.0 };
    for p in parts {
        let mut name = p.part.clone();
        if let Some(at) = p.at_m {
            name = format!("{name} at {:.0} mm", at * 1000.0);
        }
        if !p.on.is_empty() {
            name = format!("{name}, {}", p.on);
        }
        let cells: Vec<String> =
            p.values.get(column).into_iter().flatten().map(|v| format!("{:>9}", number(v * scale))).collect();
        if name.chars().count() > 23 {
            writeln!(out, "  {name}\n  {:<24}{}", "", cells.concat())?;
        } else {
            writeln!(out, "  {name:<24}{}", cells.concat())?;
        }
    }
    Ok(())
}

/// Four significant digits in at most eight characters.
fn number(v: f64) -> String {
    let size = v.abs();
    if size < 1e-9 {
        "0".to_owned()
    } else if size < 1e-3 {
        format!("{v:.1e}")
    } else if size < 1.0 {
        format!("{v:.4}")
    } else if size < 10.0 {
        format!("{v:.3}")
    } else if size < 100.0 {
        format!("{v:.2}")
    } else if size < 1000.0 {
        format!("{v:.1}")
    } else if size < 1e6 {
        format!("{v:.0}")
    } else {
        format!("{v:.1e}")
    }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_fit_their_column() {
        for v in [0.0, -1.234_56e-5, -0.123_45, 12.345, -999.96, 123_456.0, -1.5e8, f64::NAN] {
            assert!(number(v).len() <= 8, "{}", number(v));
        }
        assert_eq!(number(-12.345), "-12.35");
    }
}
