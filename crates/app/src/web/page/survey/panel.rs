//! The steps at one panel: its size and place, its crown, its sheet and what grip it gives.

use super::steps::{List, Shows, around, span};
use draw::view::survey::{Bench, Extra, From};
use glam::DVec3;
use rig::model::Panel;
use rig::{Written, key_text};

impl List<'_> {
    /// All of them for a panel by its index; `written`: the rig file's text.
    pub(super) fn panel(&mut self, index: usize, p: &Panel, written: &Written) {
        let table = format!("panel.{}", key_text(&p.tag));
        let key = |k: &str| format!("{table}.{k}");
        let from = From::facing(p.normal);
        let (a, b) = (p.size.0 / 2.0, p.size.1 / 2.0);
        let datum = self.rig.vehicle.datum;
        let mut near = around(p);
        let car = |spans| Shows::Car(from, around(p), spans, vec![Extra::Panel(index)]);
        let main = |d: DVec3| {
            if d.x.abs() > d.y.abs() && d.x.abs() > d.z.abs() {
                0
            } else if d.y.abs() > d.z.abs() {
                1
            } else {
                2
            }
        };
        self.section = format!("The panel: {}", p.tag);
        self.put(
            "Length and width",
            "Only the part that cups may stand on: in from the gutters and the edges \
        where the sheet turns down.",
            &[("A", key("length"), "Along it"), ("B", key("width"), "Across it")],
            car(vec![
                span("A", p.point(-a, 0.0), p.point(a, 0.0), main(p.ea)),
                span("B", p.point(0.0, -b), p.point(0.0, b), main(p.eb)),
            ]),
        );
        // The place of its middle: in the coordinates that the file gives.
        near.push(datum);
        for (axis, [one, other]) in
            [["aft", "forward"], ["left", "right"], ["up", "down"]].into_iter().enumerate()
        {
            let stands = [one, other].into_iter().find(|w| written.value(&key(&format!("at.{w}"))).is_some());
            let Some(way) = stands else { continue };
            let words = match way {
                "aft" => "Behind the windscreen's top edge",
                "forward" => "Ahead of the windscreen's top edge",
                "left" => "Left of the centreline",
                "right" => "Right of the centreline",
                "up" => "Above the windscreen's top edge",
                _ => "Below the windscreen's top edge",
            };
            let seen = match axis {
                1 if matches!(from, From::Left | From::Right) => From::Above,
                2 if from == From::Above => From::Left,
                _ => from,
            };
            let spans = vec![span(
                way,
                if axis == 1 { DVec3::new(p.centre.x, 0.0, p.centre.z) } else { datum },
                p.centre,
                axis,
            )];
            self.put(
                &format!("Its middle, {way}"),
                "From the middle of the windscreen's top edge, level, to the middle of that \
        part.",
                &[("", key(&format!("at.{way}")), words)],
                Shows::Car(
                    seen,
                    if seen == from { near.clone() } else { Vec::new() },
                    spans,
                    vec![Extra::Panel(index)],
                ),
            );
        }
        self.one(
            &key("slope"),
            "Slope",
            "Lay a level or a phone on the panel's middle and read the angle. Nose down \
        is positive on a roof; on a side, leaning into the car at the top is.",
            Shows::Bench(Bench::Slope),
        );
        let crown = "Lay a straightedge of length L along it, touching in its middle and both \
        ends equally high. Measure the gap h under an end. The radius is L × L / (8 \
        × h). No gap: flat.";
        self.one(&key("crown_along"), "Crown along it", crown, Shows::Bench(Bench::Crown));
        self.one(
            &key("crown_across"),
            "Crown across it",
            &crown.replace("along it", "across it"),
            Shows::Bench(Bench::Crown),
        );
        self.put(
            "What it is made of",
            "Try a magnet: it holds on steel alone. Rub the finish with a finger; wax and \
        film feel slick.",
            &[
                ("", key("material"), "Material"),
                ("", key("finish"), "Finish"),
                ("", key("surface"), "Now"),
                ("", key("roof"), "Its load counts against the roof rating"),
            ],
            car(Vec::new()),
        );
        self.one(&key("friction"), "Grip of the cups' rubber", "", Shows::Bench(Bench::Slide));
        self.one(&key("stiffness"), "How much the sheet gives", "", Shows::Bench(Bench::Pull));
        self.one(&key("rocking"), "How much the sheet lets a cup lean", "", Shows::Bench(Bench::Lean));
        self.one(&key("pull_limit"), "Greatest pull by one cup", "", Shows::Bench(Bench::Pull));
        self.one(&key("push_limit"), "Greatest push by one cup", "", Shows::Bench(Bench::Push));
        self.put(
            "Places to keep clear",
            "Whatever no cup may touch: a sunroof and its seal, an aerial, a seam, a \
        bonded edge, a repair.",
            &[],
            Shows::KeepOuts(index),
        );
        if let Some(step) = self.out.last_mut() {
            step.id = key("keep_out");
        }
    }
}
