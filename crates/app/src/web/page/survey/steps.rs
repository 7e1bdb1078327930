//! What is measured, in the order of a walk round the car, and what each step shows.

use draw::view::survey::{Bench, Extra, From, Sight, Span, bench, sight};
use glam::DVec3;
use rig::model::Panel;
use rig::{Rig, Written, key_text};

/// A value that a step asks for: its mark in the picture, its key, what it is called.
pub(super) struct Field {
    pub(super) mark: &'static str,
    pub(super) key: String,
    pub(super) label: String,
}

/// What a step shows.
pub(super) enum Shows {
    /// The car: from where, what must be seen of it, the measured lines, what else.
    Car(From, Vec<DVec3>, Vec<Span>, Vec<Extra>),
    /// Something that is read or tried out.
    Bench(Bench),
    /// A panel with its places to keep clear, by its index.
    KeepOuts(usize),
}

/// One step.
pub(super) struct Step {
    /// Its name in the address: the key of its first value, or of a table.
    pub(super) id: String,
    pub(super) section: String,
    pub(super) title: String,
    /// How it is measured; empty where the format says it.
    pub(super) how: String,
    pub(super) fields: Vec<Field>,
    pub(super) shows: Shows,
}

impl Step {
    /// Its picture; `title` says it to whoever cannot see it.
    pub(super) fn picture(&self, rig: &Rig) -> String {
        let title = format!("{}: what to measure", self.title);
        let of = |from, around: &[DVec3], spans: &[Span], extras: &[Extra], with_panels| {
            let (around, spans, extras) = (around.to_vec(), spans.to_vec(), extras.to_vec());
            sight(rig, &Sight { title: &title, from, around, spans, extras, with_panels })
        };
        match &self.shows {
            Shows::Car(from, around, spans, extras) => of(*from, around, spans, extras, false),
            Shows::Bench(what) => bench(*what, &title),
            Shows::KeepOuts(index) => rig.panels.get(*index).map_or_else(String::new, |p| {
                of(From::facing(p.normal), &around(p), &[], &[Extra::Panel(*index)], true)
            }),
        }
    }
}

/// A panel's corners with some of the car about it.
pub(super) fn around(p: &Panel) -> Vec<DVec3> {
    let (a, b) = (0.58 * p.size.0, 0.58 * p.size.1);
    [(-a, -b), (-a, b), (a, b), (a, -b)].map(|(a, b)| p.point(a, b)).to_vec()
}

/// The steps as they are put together.
pub(super) struct List<'r> {
    pub(super) rig: &'r Rig,
    pub(super) section: String,
    pub(super) out: Vec<Step>,
}

/// A measured line, below or to the right.
pub(super) fn span(mark: &str, from: DVec3, to: DVec3, axis: usize) -> Span {
    Span { from, to, axis, is_before: false, mark: mark.to_owned() }
}

/// Its line above or to the left.
fn before(span: Span) -> Span {
    Span { is_before: true, ..span }
}

impl List<'_> {
    pub(super) fn put(
        &mut self,
        title: &str,
        how: &str,
        fields: &[(&'static str, String, &str)],
        shows: Shows,
    ) {
        let fields: Vec<Field> = fields
            .iter()
            .map(|(mark, key, label)| Field { mark, key: key.clone(), label: (*label).to_owned() })
            .collect();
        let id = fields.first().map_or_else(String::new, |f| f.key.clone());
        let (section, title, how) = (self.section.clone(), title.to_owned(), how.to_owned());
        self.out.push(Step { id, section, title, how, fields, shows });
    }

    pub(super) fn one(&mut self, key: &str, title: &str, how: &str, shows: Shows) {
        self.put(title, how, &[("", key.to_owned(), title)], shows);
    }

    fn body(&mut self) {
        let (v, o) = (&self.rig.vehicle, &self.rig.vehicle.outline);
        let (front, rear) = (o.front_overhang.value, o.front_overhang.value - o.length.value);
        let (wheelbase, half, hub) = (v.wheelbase.value, o.width.value / 2.0, 0.215 * o.height.value);
        let (high, datum) = (o.height.value, v.datum);
        let at = DVec3::new;
        let left = |spans| Shows::Car(From::Left, Vec::new(), spans, Vec::new());
        self.section = "The car, once round with the tape".into();
        self.put(
            "Top edge of the windscreen",
            "The place that everything else is measured from: the middle of the \
        windscreen's top edge. Tape along the road from under it to the middle of \
        the front hub, and from the road up to it.",
            &[
                ("A", "vehicle.datum.aft".into(), "Behind the front axle"),
                ("B", "vehicle.datum.up".into(), "Over the road"),
            ],
            left(vec![span("A", at(0.0, half, hub), datum, 0), span("B", at(datum.x, 0.0, 0.0), datum, 2)]),
        );
        self.one(
            "vehicle.wheelbase",
            "Wheelbase",
            "Tape along the road, from the middle of the front hub to the middle of the \
        rear hub, wheels straight.",
            left(vec![span("wheelbase", at(0.0, half, hub), at(-wheelbase, half, hub), 0)]),
        );
        self.one(
            "vehicle.front_overhang",
            "Front overhang",
            "Tape along the road, from the middle of the front hub to under the foremost \
        edge of the bumper.",
            left(vec![before(span("overhang", at(front, 0.0, 0.4 * high), at(0.0, half, hub), 0))]),
        );
        self.one(
            "vehicle.track_front",
            "Front track",
            "Tape on the road between the middles of the two front tyres.",
            Shows::Car(
                From::Ahead,
                Vec::new(),
                vec![span(
                    "front track",
                    at(0.0, -v.track_front.value / 2.0, 0.0),
                    at(0.0, v.track_front.value / 2.0, 0.0),
                    1,
                )],
                Vec::new(),
            ),
        );
        self.one(
            "vehicle.width",
            "Width",
            "Tape across the body at its widest, without the mirrors: hang a plumb line \
        on both sides and tape between them on the road.",
            Shows::Car(
                From::Ahead,
                Vec::new(),
                vec![before(span("width", at(0.0, -half, 0.45 * high), at(0.0, half, 0.45 * high), 1))],
                Vec::new(),
            ),
        );
        self.one(
            "vehicle.height",
            "Height",
            "Lay a straightedge level over the highest place of the roof and tape from \
        the road to its underside. Aerials fold down; the rig is not counted.",
            left(vec![span("height", at(rear, 0.0, 0.0), at(datum.x - 0.3, 0.0, high), 2)]),
        );
        self.one(
            "vehicle.track_rear",
            "Rear track",
            "Tape on the road between the middles of the two rear tyres.",
            Shows::Car(
                From::Behind,
                Vec::new(),
                vec![span(
                    "rear track",
                    at(-wheelbase, v.track_rear.value / 2.0, 0.0),
                    at(-wheelbase, -v.track_rear.value / 2.0, 0.0),
                    1,
                )],
                Vec::new(),
            ),
        );
        self.one(
            "vehicle.length",
            "Length",
            "Tape along the road from bumper to bumper; a tow bar counts.",
            left(vec![span("length", at(front, 0.0, 0.4 * high), at(rear, 0.0, 0.4 * high), 0)]),
        );
    }

    fn papers(&mut self) {
        self.section = "What the maker allows".into();
        let plate = "Read it off the maker's plate; the registration papers say the same.";
        self.one("vehicle.gross_limit", "Greatest mass", plate, Shows::Bench(Bench::Plate(0)));
        self.one(
            "vehicle.front_axle_limit",
            "Greatest front axle load",
            plate,
            Shows::Bench(Bench::Plate(2)),
        );
        self.one("vehicle.rear_axle_limit", "Greatest rear axle load", plate, Shows::Bench(Bench::Plate(3)));
        self.one(
            "vehicle.roof_rating",
            "Roof rating",
            "Look in the owner's manual for the roof load while driving, not for a parked \
        car with a tent.",
            Shows::Bench(Bench::Manual),
        );
    }

    fn scales(&mut self) {
        let v = &self.rig.vehicle;
        let wheelbase = v.wheelbase.value;
        let share = v.front_axle.value / v.mass.value;
        let centre = DVec3::new(-wheelbase * (1.0 - share), 0.0, v.centre_height.value);
        let car = |spans, extras| Shows::Car(From::Left, Vec::new(), spans, extras);
        self.section = "On the weighbridge".into();
        self.one(
            "vehicle.mass",
            "Mass of the empty car",
            "Full tank, nobody inside, no rig: all four wheels on the weighbridge.",
            car(Vec::new(), vec![Extra::Bridge(0.45, -wheelbase - 0.45)]),
        );
        self.one(
            "vehicle.front_axle",
            "Front axle load",
            "The front wheels alone on the weighbridge, the car level and out of gear.",
            car(Vec::new(), vec![Extra::Bridge(0.45, -0.45)]),
        );
        self.one(
            "vehicle.centre_height",
            "Height of the mass centre",
            "",
            car(vec![span("height", DVec3::new(centre.x, 0.0, 0.0), centre, 2)], vec![Extra::Centre(centre)]),
        );
        let aboard: Vec<(String, DVec3)> = v.aboard.iter().map(|a| (a.tag.clone(), a.at)).collect();
        for (tag, at) in aboard {
            let table = format!("aboard.{}", key_text(&tag));
            let ahead = at.x > 0.0;
            self.put(
                &format!("Aboard: {tag}"),
                "Weigh people and bags on a bathroom scale. The place is the middle of them \
        all, from the front axle and the road.",
                &[
                    ("", format!("{table}.mass"), "Mass, all together"),
                    (
                        "A",
                        format!("{table}.{}", if ahead { "forward" } else { "aft" }),
                        if ahead { "Ahead of the front axle" } else { "Behind the front axle" },
                    ),
                    ("B", format!("{table}.up"), "Over the road"),
                ],
                car(
                    vec![span("A", DVec3::Z * 0.3, at, 0), span("B", DVec3::new(at.x, 0.0, 0.0), at, 2)],
                    vec![Extra::Centre(at)],
                ),
            );
        }
    }

    fn springs(&mut self) {
        let v = &self.rig.vehicle;
        let (high, half) = (v.outline.height.value, v.outline.width.value / 2.0);
        let r = 0.215 * high;
        let hub = DVec3::new(0.0, half, r);
        let near = vec![DVec3::new(2.4 * r, half, -0.1), DVec3::new(-2.4 * r, half, 3.4 * r)];
        let wheel = |spans, extras| Shows::Car(From::Left, near.clone(), spans, extras);
        let down = |x: f64| Extra::Push(DVec3::new(x, half, 0.55 * high), -DVec3::Z);
        let arch = hub + DVec3::Z * 1.18 * r;
        let roll = v.ride.roll_axis_height.value;
        self.section = "Springs and tyres".into();
        self.one("vehicle.sprung_corner", "Mass on one front spring", "", wheel(Vec::new(), vec![down(0.0)]));
        self.one(
            "vehicle.unsprung_corner",
            "Wheel, hub and brake",
            "",
            wheel(Vec::new(), vec![Extra::Bridge(0.35, -0.35)]),
        );
        self.one(
            "vehicle.spring",
            "Front spring",
            "",
            wheel(vec![span("sinks", hub, arch, 2)], vec![down(0.12)]),
        );
        self.one(
            "vehicle.damper",
            "Front damper",
            "",
            wheel(Vec::new(), vec![down(0.1), Extra::Push(DVec3::new(-0.12, half, 0.62 * high), DVec3::Z)]),
        );
        self.one(
            "vehicle.tyre",
            "Tyre",
            "",
            wheel(
                vec![span("sinks", DVec3::new(0.0, half, 0.0), hub - DVec3::Z * 0.62 * r, 2)],
                vec![down(0.0)],
            ),
        );
        self.one(
            "vehicle.roll_stiffness",
            "Stiffness against rolling",
            "",
            Shows::Car(
                From::Ahead,
                Vec::new(),
                Vec::new(),
                vec![Extra::Push(DVec3::new(0.0, half * 0.96, 0.2 * high), -DVec3::Z)],
            ),
        );
        self.one(
            "vehicle.roll_axis_height",
            "Height of the roll axis",
            "",
            Shows::Car(
                From::Ahead,
                Vec::new(),
                vec![span("height", DVec3::ZERO, DVec3::Z * roll, 2)],
                vec![Extra::Centre(DVec3::Z * roll)],
            ),
        );
    }

    fn site(&mut self) {
        let rig = self.rig;
        let high = rig.vehicle.outline.height.value;
        let gust = vec![Extra::Push(DVec3::new(rig.vehicle.datum.x, -0.9, high + 0.15), DVec3::Y)];
        self.section = "Where it is driven".into();
        self.one(
            "site.altitude",
            "Height above the sea",
            "Read it off a map or the phone.",
            Shows::Bench(Bench::Sea),
        );
        self.one(
            "site.highest",
            "Highest place of the route",
            "When the route climbs after the gauges are read.",
            Shows::Bench(Bench::Sea),
        );
        self.one("site.temperature", "Air temperature", "", Shows::Bench(Bench::Warmth));
        self.one(
            "site.hottest",
            "Warmest that the cups may get",
            "A dark roof in the sun: lay a thermometer on it.",
            Shows::Bench(Bench::Warmth),
        );
        self.one(
            "site.gust",
            "Strongest gust",
            "",
            Shows::Car(
                From::Ahead,
                vec![DVec3::new(0.0, -1.9, 0.0), DVec3::new(0.0, 1.3, high + 0.4)],
                Vec::new(),
                gust,
            ),
        );
        self.one(
            "site.over_roof",
            "How much faster the air runs over the roof",
            "",
            Shows::Car(
                From::Left,
                Vec::new(),
                Vec::new(),
                vec![Extra::Push(DVec3::new(rig.vehicle.datum.x - 0.6, 0.0, high - 0.08), DVec3::NEG_X)],
            ),
        );
        self.one(
            "site.road",
            "Road class",
            "Of ISO 8608: A new motorway, C worn town road, E gravel.",
            Shows::Car(From::Left, Vec::new(), Vec::new(), Vec::new()),
        );
        let over = rig.site.clearance.as_ref().map_or(high + 1.2, |c| c.value).clamp(high * 0.8, high * 5.0);
        self.one(
            "site.clearance",
            "Lowest clearance of the route",
            "The lowest sign on a bridge, gate or garage of the route; else tape it.",
            Shows::Car(
                From::Ahead,
                Vec::new(),
                vec![span("clearance", DVec3::ZERO, DVec3::Z * over, 2)],
                vec![Extra::Over(over)],
            ),
        );
        if let Some((height, _)) = &rig.site.overhead_line {
            let over = height.value.clamp(high * 0.8, high * 5.0);
            self.put(
                "Lowest live line",
                "Ask the network's owner for both; never measure a live line with a tape.",
                &[
                    ("A", "site.overhead_line.height".into(), "Over the road"),
                    ("", "site.overhead_line.voltage".into(), "Voltage"),
                ],
                Shows::Car(
                    From::Ahead,
                    Vec::new(),
                    vec![span("A", DVec3::ZERO, DVec3::Z * over, 2)],
                    vec![Extra::Over(over)],
                ),
            );
        }
    }
}

/// All of them. `written`: the rig file's text.
pub(super) fn steps(rig: &Rig, written: &Written) -> Vec<Step> {
    let mut list = List { rig, section: String::new(), out: Vec::new() };
    list.body();
    for (index, panel) in rig.panels.iter().enumerate() {
        list.panel(index, panel, written);
    }
    list.papers();
    list.scales();
    list.springs();
    list.site();
    list.out
}

/// The car from the left and from above with the lines of the tape, each with the number of its step.
pub(super) fn overview(rig: &Rig, steps: &[Step]) -> [String; 2] {
    let number = |key: &str| {
        steps
            .iter()
            .position(|s| s.fields.iter().any(|f| f.key == key))
            .map_or_else(String::new, |i| (i + 1).to_string())
    };
    let v = &rig.vehicle;
    let (front, rear) =
        (v.outline.front_overhang.value, v.outline.front_overhang.value - v.outline.length.value);
    let (half, high, wheelbase, hub) = (
        v.outline.width.value / 2.0,
        v.outline.height.value,
        v.wheelbase.value,
        0.215 * v.outline.height.value,
    );
    let at = DVec3::new;
    let numbered = |key: &str, from, to, axis| span(&number(key), from, to, axis);
    let side = vec![
        before(numbered("vehicle.front_overhang", at(front, 0.0, 0.4 * high), at(0.0, half, hub), 0)),
        before(numbered("vehicle.datum.aft", at(0.0, half, hub), v.datum, 0)),
        numbered("vehicle.wheelbase", at(0.0, half, hub), at(-wheelbase, half, hub), 0),
        numbered("vehicle.length", at(front, 0.0, 0.4 * high), at(rear, 0.0, 0.4 * high), 0),
        before(numbered("vehicle.datum.up", at(v.datum.x, 0.0, 0.0), v.datum, 2)),
        numbered("vehicle.height", at(rear, 0.0, 0.0), at(v.datum.x - 0.3, 0.0, high), 2),
    ];
    let (track_front, track_rear) = (v.track_front.value / 2.0, v.track_rear.value / 2.0);
    let mut plan = vec![
        before(numbered("vehicle.track_front", at(0.0, track_front, 0.0), at(0.0, -track_front, 0.0), 1)),
        numbered("vehicle.track_rear", at(-wheelbase, track_rear, 0.0), at(-wheelbase, -track_rear, 0.0), 1),
        numbered("vehicle.width", at(-0.5 * wheelbase, half, 0.0), at(-0.5 * wheelbase, -half, 0.0), 1),
    ];
    for p in rig.panels.iter().filter(|p| From::facing(p.normal) == From::Above) {
        let key = format!("panel.{}.length", key_text(&p.tag));
        let (a, b) = (p.size.0 / 2.0, p.size.1 / 2.0);
        plan.push(numbered(&key, p.point(-a, -b), p.point(a, -b), 0));
    }
    let drawn = |title, from, spans, with_panels| {
        sight(rig, &Sight { title, from, around: Vec::new(), spans, extras: Vec::new(), with_panels })
    };
    [
        drawn("The car from the left, with the number of each step", From::Left, side, false),
        drawn(
            "The car from above, with the number of each step and the places to keep clear",
            From::Above,
            plan,
            true,
        ),
    ]
}
