//! Small drawings of what is read or tried out: a plate, a straightedge on a crown, a pull on one cup.

use super::file;
use crate::text::escaped;
use crate::view::ink::{BLUE, GREY, INK, RUST};
use std::fmt::Write as _;

/// What is read or tried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bench {
    /// The maker's plate and which of its lines is meant: 0 the whole car, 2 the front axle, 3 the rear axle, as the order of
    /// Regulation (EU) 2021/535, annex II, has them; 1 is the car with a trailer.
    Plate(usize),
    /// The owner's manual.
    Manual,
    /// A straightedge on the crown, and the gap under its middle.
    Crown,
    /// A level on the panel, and the angle under it.
    Slope,
    /// A straight pull on one cup, and how far the sheet rises.
    Pull,
    /// A load on one cup.
    Push,
    /// A sideways pull on a bar in the cup's head, and how far it leans.
    Lean,
    /// A loaded piece of rubber pulled along the sheet.
    Slide,
    /// The height above the sea.
    Sea,
    /// A thermometer.
    Warmth,
}

const HIGH: f64 = 190.0;

struct Pen(String);

impl Pen {
    fn put(&mut self, text: std::fmt::Arguments<'_>) {
        // Writing to a string does not fail.
        let _ = writeln!(self.0, "{text}");
    }

    fn line(&mut self, d: &str, ink: &str, width: f64) {
        self.put(format_args!(
            "<path d=\"{d}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\" stroke-linejoin=\"round\" stroke-linecap=\"round\"/>"
        ));
    }

    fn fill(&mut self, d: &str, fill: &str) {
        self.put(format_args!(
            "<path d=\"{d}\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"1.2\" stroke-linejoin=\"round\"/>"
        ));
    }

    fn write(&mut self, x: f64, y: f64, anchor: &str, more: &str, text: &str) {
        self.put(format_args!(
            "<text x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\" fill=\"{INK}\"{more}>{}</text>",
            escaped(text)
        ));
    }

    /// A measured line with a head at both ends.
    fn span(&mut self, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) {
        self.line(&format!("M{x0} {y0}L{x1} {y1}"), BLUE, 1.8);
        self.head((x0, y0), (x0 - x1, y0 - y1), 8.0, BLUE);
        self.head((x1, y1), (x1 - x0, y1 - y0), 8.0, BLUE);
    }

    /// A push or pull with its head at its end.
    fn arrow(&mut self, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) {
        self.line(&format!("M{x0} {y0}L{x1} {y1}"), RUST, 3.0);
        self.head((x1, y1), (x1 - x0, y1 - y0), 14.0, RUST);
    }

    fn head(&mut self, (x, y): (f64, f64), (dx, dy): (f64, f64), size: f64, fill: &str) {
        let long = dx.hypot(dy).max(1e-9);
        let (dx, dy) = (dx / long * size, dy / long * size);
        let (sx, sy) = (-dy * 0.36, dx * 0.36);
        self.put(format_args!(
            "<path d=\"M{x:.1} {y:.1}L{:.1} {:.1}L{:.1} {:.1}Z\" fill=\"{fill}\"/>",
            x - dx + sx,
            y - dy + sy,
            x - dx - sx,
            y - dy - sy
        ));
    }

    /// The sheet as it is cut, with hatching under it.
    fn sheet(&mut self, y: f64, rise: f64) {
        let top = format!("M20 {}Q180 {} 340 {}", y + rise, y - rise, y + rise);
        self.fill(&format!("{top}v9Q180 {} 20 {}Z", y - rise + 9.0, y + rise + 9.0), "#d5dde3");
    }

    /// A cup on the sheet at `y`, its head at the top.
    fn cup(&mut self, x: f64, y: f64) {
        self.fill(&format!("M{} {y}h84q-4 -16 -24 -20h-36q-20 4 -24 20Z", x - 42.0), "#eef3f7");
        self.fill(&format!("M{} {}h12v-26h-12Z", x - 6.0, y - 20.0), "#cfd6dc");
        self.fill(&format!("M{} {}h24v-14h-24Z", x - 12.0, y - 46.0), "#8f9aa3");
    }

    /// A luggage scale by its eye, hook down.
    fn scale(&mut self, x: f64, y: f64) {
        self.put(format_args!(
            "<rect x=\"{}\" y=\"{y}\" width=\"26\" height=\"34\" rx=\"5\" fill=\"#efe4c3\" stroke=\"{INK}\" stroke-width=\"1.2\"/><rect x=\"{}\" y=\"{}\" width=\"18\" height=\"10\" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"0.8\"/>",
            x - 13.0,
            x - 9.0,
            y + 6.0
        ));
    }
}

fn plate(pen: &mut Pen, meant: usize) {
    pen.put(format_args!(
        "<rect x=\"30\" y=\"12\" width=\"300\" height=\"166\" rx=\"8\" fill=\"#e9ecee\" stroke=\"{INK}\" stroke-width=\"1.6\"/>"
    ));
    for x in [42.0, 318.0] {
        for y in [24.0, 166.0] {
            pen.put(format_args!(
                "<circle cx=\"{x}\" cy=\"{y}\" r=\"3.5\" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"1\"/>"
            ));
        }
    }
    pen.write(180.0, 38.0, "middle", " font-size=\"12\"", "maker's plate: door pillar or engine bay");
    for (k, words) in
        ["greatest mass", "with a trailer", "1 - front axle", "2 - rear axle"].into_iter().enumerate()
    {
        let y = 54.0 + 28.0 * f64::from(u32::try_from(k).unwrap_or(0));
        if k == meant {
            pen.put(format_args!(
                "<rect x=\"46\" y=\"{y}\" width=\"268\" height=\"26\" rx=\"3\" fill=\"#ffffff\" stroke=\"{BLUE}\" stroke-width=\"2.4\"/>"
            ));
        }
        let weight = if k == meant { " font-weight=\"700\"" } else { "" };
        pen.write(58.0, y + 18.0, "start", weight, words);
        pen.write(302.0, y + 18.0, "end", weight, "kg");
        pen.line(&format!("M190 {}h84", y + 18.0), if k == meant { BLUE } else { GREY }, 1.0);
    }
}

fn manual(pen: &mut Pen) {
    pen.fill("M180 40Q120 18 46 32V160Q120 146 180 168Q240 146 314 160V32Q240 18 180 40Z", "#ffffff");
    pen.line("M180 40V168", INK, 1.2);
    for k in 0..5 {
        let y = 56.0 + 20.0 * f64::from(k);
        pen.line(&format!("M62 {y}Q120 {} 166 {}", y - 8.0, y + 4.0), GREY, 1.0);
    }
    pen.put(format_args!(
        "<rect x=\"196\" y=\"52\" width=\"104\" height=\"76\" rx=\"4\" fill=\"#ffffff\" stroke=\"{BLUE}\" stroke-width=\"2.4\"/>"
    ));
    pen.fill("M214 108q2 -18 16 -20l10 -12h26l10 12q10 2 12 20Z", "#e9ecee");
    pen.fill("M232 70h42v-10h-42Z", "#efe4c3");
    pen.arrow((253.0, 44.0), (253.0, 59.0));
    pen.write(248.0, 124.0, "middle", " font-size=\"12\"", "roof load");
}

/// Touching in its middle, both ends equally high: the gap is at the ends.
fn crown(pen: &mut Pen) {
    pen.sheet(118.0, 34.0);
    pen.fill("M50 101h260v-9h-260Z", "#efe4c3");
    for x in [50.0, 310.0] {
        pen.line(&format!("M{x} 88V48"), BLUE, 1.0);
        pen.line(&format!("M{} 101h{}", if x < 100.0 { 20.0 } else { 312.0 }, 28.0), BLUE, 1.0);
    }
    pen.span((50.0, 56.0), (310.0, 56.0));
    pen.write(180.0, 46.0, "middle", " font-weight=\"700\"", "L");
    pen.span((30.0, 101.0), (30.0, 147.0));
    pen.write(14.0, 130.0, "middle", " font-weight=\"700\"", "h");
    pen.span((330.0, 101.0), (330.0, 147.0));
    pen.write(346.0, 130.0, "middle", " font-weight=\"700\"", "h");
    pen.write(180.0, 182.0, "middle", "", "radius = L × L / (8 × h)");
}

fn slope(pen: &mut Pen) {
    pen.fill("M20 150L340 112v10L20 160Z", "#d5dde3");
    pen.line("M60 144H330", GREY, 1.0);
    pen.line("M300 144Q303 130 298 117", BLUE, 1.8);
    pen.write(318.0, 136.0, "middle", " font-weight=\"700\"", "°");
    pen.put(format_args!(
        "<g transform=\"rotate(-6.8 180 118)\"><rect x=\"110\" y=\"104\" width=\"140\" height=\"26\" rx=\"4\" fill=\"#efe4c3\" stroke=\"{INK}\" stroke-width=\"1.2\"/><rect x=\"150\" y=\"109\" width=\"60\" height=\"12\" rx=\"6\" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"1\"/><circle cx=\"196\" cy=\"115\" r=\"4.5\" fill=\"{BLUE}\"/></g>"
    ));
    pen.write(180.0, 40.0, "middle", "", "a level with an angle, or a phone");
}

fn pull(pen: &mut Pen) {
    pen.sheet(150.0, 8.0);
    pen.cup(150.0, 150.0);
    pen.line("M150 90V70", INK, 1.6);
    pen.scale(150.0, 36.0);
    pen.arrow((150.0, 36.0), (150.0, 6.0));
    // A ruler across the gutters, and how far the sheet comes up to it.
    pen.fill("M214 96h116v-8h-116Z", "#efe4c3");
    for (x, long) in [(220.0, 55.0), (318.0, 60.0)] {
        pen.fill(&format!("M{x} 96v{long}h8v-{long}Z"), "#ffffff");
    }
    pen.span((272.0, 97.0), (272.0, 152.0));
    pen.write(280.0, 124.0, "start", "", "rise");
    pen.write(112.0, 56.0, "end", "", "pull");
}

fn push(pen: &mut Pen) {
    pen.sheet(150.0, 8.0);
    pen.cup(180.0, 150.0);
    for (y, w) in [(74.0, 60.0), (58.0, 48.0)] {
        pen.fill(&format!("M{} {y}h{w}v16h-{w}Z", 180.0 - w / 2.0), "#6d7880");
    }
    pen.arrow((180.0, 12.0), (180.0, 52.0));
    pen.write(200.0, 28.0, "start", "", "known masses, one by one");
    pen.write(250.0, 128.0, "start", "", "watch for a dent");
}

fn lean(pen: &mut Pen) {
    pen.sheet(156.0, 8.0);
    pen.cup(120.0, 157.0);
    pen.line("M120 97V20", GREY, 1.0);
    pen.line("M120 100L136 20", INK, 5.0);
    pen.span((120.0, 14.0), (139.0, 14.0));
    pen.write(98.0, 20.0, "end", "", "lean");
    pen.line("M132 40H168", INK, 1.6);
    pen.put(format_args!("<g transform=\"rotate(-90 185 40)\">"));
    pen.scale(185.0, 23.0);
    pen.put(format_args!("</g>"));
    pen.arrow((206.0, 40.0), (256.0, 40.0));
    pen.write(262.0, 45.0, "start", "", "pull");
}

fn slide(pen: &mut Pen) {
    pen.sheet(150.0, 0.0);
    pen.fill("M60 150h84v-12h-84Z", "#555555");
    pen.fill("M72 138h60v-44h-60Z", "#6d7880");
    pen.write(102.0, 84.0, "middle", "", "known mass");
    pen.write(102.0, 182.0, "middle", "", "the cup's rubber");
    pen.line("M144 142H190", INK, 1.6);
    pen.put(format_args!("<g transform=\"rotate(-90 207 142)\">"));
    pen.scale(207.0, 125.0);
    pen.put(format_args!("</g>"));
    pen.arrow((228.0, 142.0), (284.0, 142.0));
    pen.write(292.0, 132.0, "start", "", "pull");
}

fn sea(pen: &mut Pen) {
    pen.fill("M120 160L170 110L206 126L262 52L300 84L340 60V160Z", "#e9ecee");
    pen.line("M20 160q14 -8 28 0t28 0t28 0t28 0", BLUE, 2.0);
    pen.line("M60 160H340", GREY, 1.0);
    pen.fill("M248 70h30v-8l-6 -10h-18l-6 10Z", "#d5dde3");
    pen.span((92.0, 160.0), (92.0, 70.0));
    pen.line("M86 70H244", BLUE, 1.0);
    pen.write(104.0, 122.0, "start", "", "height");
    pen.write(60.0, 182.0, "middle", "", "sea");
}

fn warmth(pen: &mut Pen) {
    pen.put(format_args!(
        "<rect x=\"168\" y=\"24\" width=\"24\" height=\"112\" rx=\"12\" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"1.6\"/><circle cx=\"180\" cy=\"146\" r=\"20\" fill=\"{RUST}\" stroke=\"{INK}\" stroke-width=\"1.6\"/><rect x=\"175\" y=\"72\" width=\"10\" height=\"70\" fill=\"{RUST}\"/>"
    ));
    for k in 0..5 {
        pen.line(&format!("M198 {}h12", 40.0 + 20.0 * f64::from(k)), INK, 1.2);
    }
    pen.write(220.0, 82.0, "start", "", "in the shade");
}

/// The drawing.
pub fn bench(what: Bench, title: &str) -> String {
    let mut pen = Pen(String::new());
    match what {
        Bench::Plate(meant) => plate(&mut pen, meant),
        Bench::Manual => manual(&mut pen),
        Bench::Crown => crown(&mut pen),
        Bench::Slope => slope(&mut pen),
        Bench::Pull => pull(&mut pen),
        Bench::Push => push(&mut pen),
        Bench::Lean => lean(&mut pen),
        Bench::Slide => slide(&mut pen),
        Bench::Sea => sea(&mut pen),
        Bench::Warmth => warmth(&mut pen),
    }
    file(title, HIGH, &pen.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_says_what_it_is_and_is_well_formed() {
        for what in [
            Bench::Plate(0),
            Bench::Plate(3),
            Bench::Manual,
            Bench::Crown,
            Bench::Slope,
            Bench::Pull,
            Bench::Push,
            Bench::Lean,
            Bench::Slide,
            Bench::Sea,
            Bench::Warmth,
        ] {
            let svg = bench(what, "what <it> is");
            assert!(svg.contains("<title>what &lt;it&gt; is</title>"));
            for tag in ["svg", "g", "text", "title"] {
                let opened =
                    svg.matches(&format!("<{tag} ")).count() + svg.matches(&format!("<{tag}>")).count();
                assert_eq!(opened, svg.matches(&format!("</{tag}>")).count(), "{what:?} {tag}");
            }
        }
        let meant = |svg: &str| svg.lines().filter(|l| l.contains("font-weight=\"700\"")).count();
        assert_eq!(meant(&bench(Bench::Plate(2), "")), 2, "its name and its unit");
    }
}
