//! The rig file of a set of answers.

use super::Answers;
use super::grid::Grid;
use std::fmt::Write as _;

const HEAD: &str = "\
# A first rig file. What you measured stands as you said it; what is laid out from it (cups, tubes, platform) is a plan:
# tape what you build and correct it here. A value with low and high is a guess, and the verdict must hold over all of it.
# Places count from the top edge of the windscreen on the centreline.
";

const STRAPS: &str = "
# The second line: what holds the rig with all vacuum gone. Until it stands here, the check says so.
# [strap.front]
# part = \"ratchet strap 35\"
# pretension = \"450 N\"
# path = [
#   { tube = \"T1\", left = \"400 mm\" },
#   { aft = \"400 mm\", left = \"640 mm\", up = \"-60 mm\" },     # over the door frame, through the cabin
#   { aft = \"400 mm\", right = \"640 mm\", up = \"-60 mm\" },
#   { tube = \"T1\", right = \"400 mm\" },
# ]
";

/// A text between quotes.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        if c == '"' || c == '\\' {
            out.push('\\');
        }
        out.push(c);
    }
    out + "\""
}

/// A length as the file has it, to a millimetre.
fn mm(metres: f64) -> String {
    let text = format!("{:.0}", metres * 1000.0);
    format!("\"{} mm\"", if text == "-0" { "0" } else { &text })
}

/// `left = "420 mm"`.
fn side(left: f64) -> String {
    if left >= 0.0 { format!("left = {}", mm(left)) } else { format!("right = {}", mm(-left)) }
}

/// The whole file.
pub(crate) fn file(a: &Answers) -> String {
    let grid = Grid::of(a);
    let mut out = String::from(HEAD);
    // A String takes everything that is written to it.
    let _ = writeln!(out, "version = 1\nname = {}\n", quoted(a.text("name")));
    site(&mut out, a);
    car(&mut out, a);
    roof(&mut out, a, &grid);
    cups(&mut out, a, &grid);
    tubes(&mut out, &grid);
    platform(&mut out, &grid);
    out.push_str(STRAPS);
    if a.has_arm() {
        arm(&mut out, a);
    } else {
        camera(&mut out, a, &grid);
    }
    out
}

/// `key = "answer"`, or the key behind a `#` when it is not known.
fn known(out: &mut String, a: &Answers, key: &str, how: &str) {
    let line = format!("{key} = {}", quoted(a.text(key)));
    let _ = if a.unknown(key) {
        writeln!(out, "# {line}    # not known yet: {how}")
    } else {
        writeln!(out, "{line}")
    };
}

fn site(out: &mut String, a: &Answers) {
    out.push_str("[site]\n");
    known(out, a, "altitude", "map");
    known(out, a, "temperature", "thermometer in the shade");
    known(out, a, "gust", "forecast");
    known(out, a, "road", "look at it");
    known(out, a, "clearance", "drive the route and read the signs");
    out.push('\n');
}

fn car(out: &mut String, a: &Answers) {
    let plate = "read the car's plate";
    let _ = writeln!(
        out,
        "[vehicle]\nlike = {}    # what is not stated here is typical of one",
        quoted(a.text("car"))
    );
    known(out, a, "mass", "weighbridge");
    known(out, a, "front_axle", "weighbridge, front wheels alone");
    known(out, a, "roof_rating", "owner's manual");
    for key in ["gross_limit", "front_axle_limit", "rear_axle_limit"] {
        known(out, a, key, plate);
    }
    let (aft, up) = (quoted(a.text("datum_aft")), quoted(a.text("datum_up")));
    let _ = writeln!(out, "datum = {{ aft = {aft}, up = {up} }}    # from the front axle, from the road");
    let _ = writeln!(
        out,
        "\n[aboard.crew]\nmass = {}\naft = \"1.5 m\"    # behind the front axle",
        quoted(a.text("crew"))
    );
    let _ = writeln!(out, "up = \"650 mm\"   # over the road\n");
}

fn roof(out: &mut String, a: &Answers, grid: &Grid) {
    let radius = |r: Option<f64>| r.map_or("\"flat\"".to_owned(), |r| format!("\"{r:.2} m\""));
    let line = |way: &str| {
        let (l, h) = (a.text(&format!("{way}_line")), a.text(&format!("{way}_gap")));
        format!("    # string line {l}, gap {h}: R = L²/8h + h/2").replace(['\n', '\r'], " ")
    };
    let _ = writeln!(out, "[panel.roof]\nfaces = \"up\"");
    let _ = writeln!(
        out,
        "at = {{ aft = {}, up = {} }}    # its middle",
        mm(grid.middle),
        quoted(a.text("roof_rise"))
    );
    let _ =
        writeln!(out, "length = {}\nwidth = {}", quoted(a.text("roof_length")), quoted(a.text("roof_width")));
    let _ = writeln!(out, "crown_along = {}{}", radius(grid.crown.0), line("along"));
    let _ = writeln!(out, "crown_across = {}{}", radius(grid.crown.1), line("across"));
    for key in ["material", "finish", "surface"] {
        let _ = writeln!(out, "{key} = {}", quoted(a.text(key)));
    }
    let _ = writeln!(out, "roof = true");
    let _ = writeln!(
        out,
        "# pull_limit = \"900 N\"    # not known yet: pull one cup with a luggage scale, see docs/file-format.md"
    );
    let _ = writeln!(
        out,
        "# push_limit = \"1.5 kN\"   # not known yet: ask the maker, or load one cup with known masses"
    );
}

fn cups(out: &mut String, a: &Answers, grid: &Grid) {
    for (r, aft) in grid.rows.iter().enumerate() {
        for (left, letter) in &grid.columns {
            let row = r + 1;
            let _ =
                writeln!(out, "\n[cup.{row}{letter}]\npart = {}\npanel = \"roof\"", quoted(a.text("cup")));
            let _ = writeln!(out, "aft = {}\n{}\nholds = \"T{row}\"", mm(*aft), side(*left));
            let _ = writeln!(out, "vacuum = {}", quoted(a.text("vacuum")));
            if r == 0 && *letter == 'L' {
                let _ =
                    writeln!(out, "# pull_rating = \"1.2 kN\"    # not known yet: read the plate on the cup");
                let _ =
                    writeln!(out, "# shear_rating = \"600 N\"    # not known yet: read the plate on the cup");
            }
        }
    }
}

fn tubes(out: &mut String, grid: &Grid) {
    const TUBE: &str = "part = \"tube 48.3 x 4.0 EN AW-6082 T6\"";
    let (half, up) = (mm(grid.half()), mm(grid.axis));
    for (r, aft) in grid.rows.iter().enumerate() {
        let aft = mm(*aft);
        let _ = writeln!(out, "\n[tube.T{}]\n{TUBE}", r + 1);
        let _ = writeln!(out, "from = {{ aft = {aft}, left = {half}, up = {up} }}");
        let _ = writeln!(out, "to = {{ aft = {aft}, right = {half}, up = {up} }}");
    }
    let (from, to) = grid.ends();
    for (name, left) in [("LL", grid.lengthwise), ("LR", -grid.lengthwise)] {
        let _ = writeln!(out, "\n[tube.{name}]\n{TUBE}");
        let _ = writeln!(out, "from = {{ aft = {}, {}, on = \"T1\" }}", mm(from), side(left));
        let _ = writeln!(out, "to = {{ aft = {}, {}, on = \"T{}\" }}", mm(to), side(left), grid.rows.len());
    }
    for r in 1..=grid.rows.len() {
        for name in ["LL", "LR"] {
            let _ = writeln!(
                out,
                "\n[clamp.{r}{name}]\npart = \"right-angle clamp\"\njoins = [\"T{r}\", \"{name}\"]"
            );
            let _ = writeln!(
                out,
                "torque = {{ value = \"50 N·m\", low = \"40 N·m\", high = \"50 N·m\", settle = \"set the torque wrench and write what it was\" }}"
            );
        }
    }
}

fn platform(out: &mut String, grid: &Grid) {
    let (aft, up) = grid.platform;
    let _ = writeln!(
        out,
        "\n[platform.base]\nat = {{ aft = {}, up = {} }}    # middle of its top",
        mm(aft),
        mm(up)
    );
    let _ = writeln!(out, "length = \"420 mm\"\nwidth = \"420 mm\"\nthickness = \"12 mm\"");
    let _ = writeln!(
        out,
        "mass = {{ value = \"4.5 kg\", low = \"3 kg\", high = \"7 kg\", settle = \"weigh it\" }}"
    );
    for (tag, tube, at) in [("FL", "LL", -0.16), ("FR", "LR", -0.16), ("RL", "LL", 0.16), ("RR", "LR", 0.16)]
    {
        let _ = writeln!(
            out,
            "\n[leg.{tag}]\npart = \"platform foot\"\nfoot = {{ tube = \"{tube}\", aft = {} }}",
            mm(aft + at)
        );
        let _ = writeln!(out, "platform = \"base\"");
        let _ = writeln!(
            out,
            "# bolts = {{ thread = \"M10\", class = \"8.8\", count = 2, circle = \"60 mm\", torque = \"40 N·m\" }}"
        );
    }
}

fn camera(out: &mut String, a: &Answers, grid: &Grid) {
    let (aft, up) = grid.platform;
    let at = up + a.metres("camera_height");
    let _ = writeln!(out, "\n[item.camera]\nmass = {}", quoted(a.text("camera_mass")));
    let _ =
        writeln!(out, "at = {{ aft = {}, up = {} }}    # where it balances\non = \"base\"", mm(aft), mm(at));
    let size = |k: &str| quoted(a.text(k));
    let (l, w, h) = (size("camera_length"), size("camera_width"), size("camera_tall"));
    let _ = writeln!(out, "size = {{ length = {l}, width = {w}, height = {h} }}");
}

fn arm(out: &mut String, a: &Answers) {
    let t = |k: &str| quoted(a.text(k));
    let half = mm(a.metres("pivot") / 2.0);
    let _ = writeln!(out, "\n[arm]\non = \"base\"\npivot_height = {}", t("pivot"));
    let _ = writeln!(
        out,
        "base_mass = {}\nbase_centre = {half}    # laid at half the mast: balance it on an edge",
        t("base_mass")
    );
    let _ =
        writeln!(out, "head_mass = {}\nhead_centre = {}    # laid at the pivot", t("head_mass"), t("pivot"));
    let _ = writeln!(out, "mast_diameter = {}\nlevelled = true", t("mast"));
    let _ = writeln!(out, "elevation = {{ from = {}, to = {} }}", t("lowest"), t("highest"));
    let _ = writeln!(
        out,
        "parked = {{ bearing = \"0 deg\", elevation = {} }}    # in which it travels",
        parked(a)
    );
    let mut drives = Vec::new();
    let mut unknown = Vec::new();
    for key in [
        "pan_rate",
        "pan_acceleration",
        "pan_stop",
        "pan_torque",
        "tilt_rate",
        "tilt_acceleration",
        "tilt_stop",
        "tilt_torque",
    ] {
        if a.unknown(key) { unknown.push(key) } else { drives.push(format!("{key} = {}", t(key))) }
    }
    let rest = if unknown.is_empty() {
        String::new()
    } else {
        format!("    # not known yet: {}", unknown.join(", "))
    };
    let _ = writeln!(out, "drives = {{ {} }}{rest}", drives.join(", "));
    let tail = mm(-a.metres("tail_length"));
    for (tag, to, mass) in [("front", t("boom_length"), "boom_mass"), ("tail", tail, "tail_mass")] {
        let _ = writeln!(
            out,
            "\n[arm.section.{tag}]\nfrom = \"0 mm\"\nto = {to}\nmass = {}\ndiameter = {}",
            t(mass),
            t("boom_thick")
        );
        let _ = writeln!(
            out,
            "# tube = \"tube 80 x 3.0 EN AW-6082 T6\"    # not known yet: for stress and sag, if it is a round tube"
        );
    }
    let _ = writeln!(out, "\n[arm.counterweight]\nmass = {}\nbehind = {}", t("weight"), t("weight_behind"));
    let _ = writeln!(
        out,
        "# size = {{ length = \"120 mm\", width = \"200 mm\", height = \"200 mm\" }}    # not known yet: tape it"
    );
    let _ = writeln!(out, "\n[isolator]\nmass = {}", t("isolator"));
    let _ = writeln!(
        out,
        "\n[payload]\nmass = {}\ncentre = {{ up = {} }}",
        t("payload"),
        mm(-a.metres("payload_under"))
    );
    let side = t("payload_size");
    let _ =
        writeln!(out, "size = {{ length = {side}, width = {side}, height = {side} }}    # tape each side");
}

/// Level, if the boom may be level.
fn parked(a: &Answers) -> String {
    let angle = |k: &str| quantity::parse_kind(a.text(k), quantity::Kind::Angle).unwrap_or(0.0);
    if angle("lowest") <= 0.0 && angle("highest") >= 0.0 {
        "\"0 deg\"".to_owned()
    } else {
        quoted(a.text("lowest"))
    }
}
