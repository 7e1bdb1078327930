//! How things look, and the SVG elements they become. Looks are attributes, so that any reader of SVG draws them alike.

use super::solid::Look;
use crate::text::escaped;
use glam::DVec2;
use std::fmt::Write as _;

/// Dark ink: 4.5:1 and more on white, and on the pale fills.
pub(crate) const INK: &str = "#111111";
pub(crate) const GREY: &str = "#555555";
pub(crate) const PALE: &str = "#9a9a9a";
pub(crate) const BLUE: &str = "#0b4f8a";
pub(crate) const RUST: &str = "#9a3412";
pub(crate) const GREEN: &str = "#00624b";
pub(crate) const PURPLE: &str = "#5b2c83";

/// Line and fill of a shape.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Style {
    pub(crate) fill: &'static str,
    pub(crate) line: &'static str,
    pub(crate) width: f64,
    pub(crate) dash: &'static str,
}

pub(crate) const fn style(look: Look) -> Style {
    const fn of(fill: &'static str, line: &'static str, width: f64, dash: &'static str) -> Style {
        Style { fill, line, width, dash }
    }
    match look {
        Look::PanelEdge => of("none", GREY, 1.0, "7 3"),
        Look::Crown => of("none", PALE, 0.6, ""),
        Look::KeepOut => of("none", RUST, 1.2, ""),
        Look::Hatch => of("none", RUST, 0.8, ""),
        Look::Lip => of("#ffffff", INK, 1.6, ""),
        Look::Seal => of("#eef3f7", INK, 0.8, ""),
        Look::Stem => of("#cfd6dc", INK, 0.9, ""),
        Look::Head => of("#8f9aa3", INK, 1.0, ""),
        Look::Tube => of("#d5dde3", "#1f2a33", 1.1, ""),
        Look::Clamp => of("#ffffff", INK, 1.3, ""),
        Look::Leg => of("#b9a66e", INK, 1.0, ""),
        Look::Platform => of("#efe4c3", INK, 1.2, ""),
        Look::Item => of("#e7dcee", INK, 1.0, ""),
        Look::Strap => of("none", RUST, 3.4, ""),
        Look::Tether => of("none", RUST, 1.6, "6 3"),
        Look::Mast => of("#b4bec6", INK, 1.2, ""),
        Look::Boom => of("#c3d4e3", INK, 1.2, ""),
        Look::Weight => of("#6d7880", INK, 1.2, ""),
        Look::Isolator => of("#f6d9a8", INK, 1.0, ""),
        Look::Payload => of("#41505c", INK, 1.2, ""),
        Look::Brace => of("#ffffff", INK, 0.9, ""),
        Look::TipSweep | Look::Elevation => of("none", PURPLE, 1.3, "12 3 2 3"),
        Look::TailSweep => of("none", PURPLE, 1.3, "5 4"),
        Look::OtherPose => of("none", PURPLE, 1.0, "12 3 2 3"),
    }
}

impl Style {
    pub(crate) fn attributes(&self) -> String {
        let dash =
            if self.dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", self.dash) };
        format!(
            " fill=\"{}\" stroke=\"{}\" stroke-width=\"{}\"{dash} stroke-linejoin=\"round\"",
            self.fill, self.line, self.width
        )
    }
}

/// A number with at most two digits after the point.
pub(crate) fn number(v: f64) -> String {
    let text = format!("{v:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// `M x y L x y …`, closed if asked.
pub(crate) fn path(points: &[DVec2], closed: bool) -> String {
    let mut out = String::new();
    for (k, p) in points.iter().enumerate() {
        // Writing to a string does not fail.
        let _ = write!(out, "{}{} {}", if k == 0 { 'M' } else { 'L' }, number(p.x), number(p.y));
    }
    if closed {
        out.push('Z');
    }
    out
}

/// SVG text that grows.
#[derive(Default)]
pub(crate) struct Ink {
    pub(crate) out: String,
}

impl Ink {
    pub(crate) fn put(&mut self, text: std::fmt::Arguments<'_>) {
        let _ = writeln!(self.out, "{text}");
    }

    pub(crate) fn line(&mut self, points: &[DVec2], line: &str, width: f64, dash: &str) {
        let dash = if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") };
        self.put(format_args!(
            "<path d=\"{}\" fill=\"none\" stroke=\"{line}\" stroke-width=\"{}\"{dash}/>",
            path(points, false),
            number(width)
        ));
    }

    /// Opens a group that a page can find.
    pub(crate) fn open(&mut self, class: &str, part: Option<&str>) {
        match part {
            Some(part) => {
                self.put(format_args!("<g class=\"{class}\" data-part=\"{}\">", escaped(part)));
            }
            None => self.put(format_args!("<g class=\"{class}\">")),
        }
    }

    pub(crate) fn close(&mut self) {
        self.put(format_args!("</g>"));
    }

    /// A filled arrow head with its point at `tip`.
    pub(crate) fn head(&mut self, tip: DVec2, direction: DVec2, size: f64, fill: &str) {
        let d = direction.normalize_or(DVec2::X);
        let side = d.perp() * (size * 0.36);
        let back = tip - d * size;
        self.put(format_args!(
            "<path d=\"{}\" fill=\"{fill}\"/>",
            path(&[tip, back + side, back - side], true)
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        assert_eq!([1.0, -0.001, 2.456, 120.5, -3.2].map(number), ["1", "0", "2.46", "120.5", "-3.2"]);
    }
}
