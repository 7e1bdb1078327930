//! Ladder rigs of all sorts, written as files: rows of tubes across the roof, two rails along, a platform, an arm.

#![allow(
    unreachable_pub,
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    reason = "shared by test programs; a fault stops the test; counts are small"
)]

use super::common::read;
use core::fmt::Write;
use proptest::prelude::*;
use rig::Rig;

/// What varies.
#[derive(Clone, Debug)]
pub struct Ladder {
    /// Tubes across, two cups each.
    pub rows: usize,
    /// Distance between the first row and the last, mm.
    pub long: f64,
    /// Cups from the centreline, mm.
    pub wide: f64,
    /// The second cup of each row stands this much nearer to the centreline, mm.
    pub lopsided: f64,
    /// Rails from the centreline, mm.
    pub rail: f64,
    /// Platform off the middle, mm forward.
    pub ahead: f64,
    /// Platform over the datum, mm.
    pub tall: f64,
    /// Straps: none, over the first row, over the last row too.
    pub straps: usize,
    /// Pretension, N.
    pub pretension: f64,
    /// Payload, kg.
    pub payload: f64,
    /// Sideways acceleration of the bend, g.
    pub bend: f64,
    /// Steel or aluminium.
    pub steel: bool,
}

/// Any ladder.
pub fn ladders() -> impl Strategy<Value = Ladder> {
    (
        (2_usize..4, 700.0..1100.0, 380.0..470.0, 0.0..60.0, 140.0..230.0),
        (-80.0..80.0, 330.0..420.0, 0_usize..3, 200.0..900.0),
        (2.0..9.0, prop_oneof![-0.5..-0.05, 0.05..0.5], any::<bool>()),
    )
        .prop_map(
            |(
                (rows, long, wide, lopsided, rail),
                (ahead, tall, straps, pretension),
                (payload, bend, steel),
            )| Ladder {
                rows,
                long,
                wide,
                lopsided,
                rail,
                ahead,
                tall,
                straps,
                pretension,
                payload,
                bend,
                steel,
            },
        )
}

const HEAD: &str = r#"version = 1
parts = ["kit.toml"]
name = "Ladder"

[site]
altitude = "120 m"
temperature = "14 C"
gust = "30 km/h"
road = "B"

[vehicle]
like = "estate car"
datum = { aft = "1.05 m", up = "1.43 m" }

[panel.roof]
faces = "up"
at = { aft = "900 mm", up = "0 mm" }
length = "2.4 m"
width = "1.4 m"
crown_along = "flat"
crown_across = "8 m"
material = "steel"
finish = "clean paint"
surface = "dry"
roof = true

[arm]
on = "base"
pivot_height = "520 mm"
base_mass = "5.5 kg"
base_centre = "120 mm"
head_mass = "9.5 kg"
head_centre = "470 mm"
mast_diameter = "90 mm"
levelled = true
elevation = { from = "-20 deg", to = "35 deg" }
parked = { bearing = "0 deg", elevation = "0 deg" }
drives = { pan_rate = "60 deg/s", pan_acceleration = "60 deg/s2", pan_stop = "180 deg/s2", pan_torque = "120 N·m", tilt_rate = "30 deg/s", tilt_acceleration = "40 deg/s2", tilt_stop = "120 deg/s2", tilt_torque = "90 N·m" }

[arm.section.front]
from = "0 mm"
to = "1700 mm"
mass = "5.5 kg"
diameter = "80 mm"
tube = "tube 80 x 3.0 EN AW-6082 T6"

[arm.section.tail]
from = "0 mm"
to = "-650 mm"
mass = "2.6 kg"
diameter = "80 mm"

[arm.counterweight]
mass = "27.5 kg"
behind = "600 mm"
under = "20 mm"
size = { length = "120 mm", width = "200 mm", height = "200 mm" }

[isolator]
mass = "1.4 kg"

[manoeuvre.live]
kind = "steady drive"
speed = "50 km/h"
arm = "live"

[manoeuvre.brake]
kind = "emergency braking"
speed = "50 km/h"
forward = "-0.9 g"
arm = "still"
"#;

impl Ladder {
    /// Its file.
    pub fn text(&self) -> String {
        let mut t = HEAD.to_owned();
        let part = if self.steel { "tube 48.3 x 4.0 S235" } else { "tube 48.3 x 4.0 EN AW-6082 T6" };
        let side =
            |y: f64| if y < 0.0 { format!("right = \"{} mm\"", -y) } else { format!("left = \"{y} mm\"") };
        let middle = 900.0;
        let first = middle - self.long / 2.0;
        let step = self.long / (self.rows as f64 - 1.0);
        let (left, right) = (self.wide, self.lopsided - self.wide);
        let end = self.wide + 110.0;
        for row in 0..self.rows {
            let aft = first + step * row as f64;
            for (tag, y) in [("L", left), ("R", right)] {
                writeln!(
                    t,
                    "[cup.{tag}{row}]\npart = \"kit-250\"\npanel = \"roof\"\naft = \"{aft} mm\"\n{}\nholds = \"T{row}\"\nvacuum = \"80 kPa\"",
                    side(y)
                )
                .unwrap();
            }
            writeln!(
                t,
                "[tube.T{row}]\npart = \"{part}\"\nfrom = {{ aft = \"{aft} mm\", left = \"{end} mm\", up = \"130 mm\" }}\nto = {{ aft = \"{aft} mm\", right = \"{end} mm\", up = \"130 mm\" }}"
            )
            .unwrap();
        }
        for (rail, y) in [("L", self.rail), ("R", -self.rail)] {
            let y = side(y);
            writeln!(
                t,
                "[tube.{rail}]\npart = \"{part}\"\nfrom = {{ aft = \"{} mm\", {y}, on = \"T0\" }}\nto = {{ aft = \"{} mm\", {y}, on = \"T{}\" }}",
                first - 100.0,
                first + self.long + 100.0,
                self.rows - 1
            )
            .unwrap();
            for row in 0..self.rows {
                writeln!(
                    t,
                    "[clamp.K{rail}{row}]\npart = \"kit right-angle clamp\"\njoins = [\"T{row}\", \"{rail}\"]\ntorque = \"50 N·m\""
                )
                .unwrap();
            }
        }
        let at = middle - self.ahead;
        writeln!(
            t,
            "[platform.base]\nat = {{ aft = \"{at} mm\", up = \"{} mm\" }}\nlength = \"500 mm\"\nwidth = \"500 mm\"\nthickness = \"12 mm\"\nmass = \"5.2 kg\"",
            self.tall
        )
        .unwrap();
        for (tag, rail, aft) in [
            ("FL", "L", at - 160.0),
            ("FR", "R", at - 160.0),
            ("RL", "L", at + 160.0),
            ("RR", "R", at + 160.0),
        ] {
            writeln!(
                t,
                "[leg.{tag}]\npart = \"kit foot\"\nfoot = {{ tube = \"{rail}\", aft = \"{aft} mm\" }}\nplatform = \"base\""
            )
            .unwrap();
        }
        for (s, row) in [0, self.rows - 1].into_iter().take(self.straps).enumerate() {
            let aft = first + step * row as f64;
            let (rig, body) = (end - 15.0, end + 90.0);
            writeln!(
                t,
                "[strap.S{s}]\npart = \"ratchet strap 35\"\npretension = \"{} N\"\npath = [\n{{ tube = \"T{row}\", left = \"{rig} mm\" }},\n{{ aft = \"{aft} mm\", left = \"{body} mm\", down = \"80 mm\" }},\n{{ aft = \"{aft} mm\", right = \"{body} mm\", down = \"80 mm\" }},\n{{ tube = \"T{row}\", right = \"{rig} mm\" }},\n]",
                self.pretension
            )
            .unwrap();
        }
        writeln!(
            t,
            "[payload]\nmass = \"{} kg\"\ncentre = {{ up = \"-210 mm\" }}\nsize = {{ length = \"320 mm\", width = \"260 mm\", height = \"340 mm\" }}\n[manoeuvre.bend]\nkind = \"{} bend\"\nspeed = \"40 km/h\"\nleft = \"{} g\"\narm = \"live\"",
            self.payload,
            if self.bend > 0.0 { "left" } else { "right" },
            self.bend
        )
        .unwrap();
        t
    }

    /// The rig.
    pub fn rig(&self) -> Rig {
        read("ladder", &self.text())
    }
}
