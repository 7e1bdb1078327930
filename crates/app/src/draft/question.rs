//! The questions: one row each.

use super::Answers;
use quantity::Kind;

/// What an answer looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    /// Any text.
    Text,
    /// A value with its unit.
    Amount(Kind),
    /// A whole number from, to.
    Count(u32, u32),
    /// One of these.
    Word(&'static [&'static str]),
    /// The name of a built-in part of this kind.
    Part(&'static str),
}

/// One question.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Question {
    pub(crate) key: &'static str,
    pub(crate) ask: &'static str,
    /// What to measure and with what.
    pub(crate) measure: &'static str,
    pub(crate) example: &'static str,
    pub(crate) sort: Sort,
    /// `?` is an answer: the file leaves it out and the check asks for it or takes a range.
    pub(crate) may_be_unknown: bool,
    /// Asked only then.
    pub(crate) when: When,
}

/// When a question is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum When {
    Always,
    Camera,
    Arm,
}

impl Question {
    pub(crate) fn applies(&self, answers: &Answers) -> bool {
        match self.when {
            When::Always => true,
            When::Camera => !answers.has_arm(),
            When::Arm => answers.has_arm(),
        }
    }
}

/// The question with a key.
pub(crate) fn named(key: &str) -> Option<&'static Question> {
    QUESTIONS.iter().find(|q| q.key == key)
}

const fn q(
    key: &'static str,
    ask: &'static str,
    measure: &'static str,
    example: &'static str,
    sort: Sort,
) -> Question {
    Question { key, ask, measure, example, sort, may_be_unknown: false, when: When::Always }
}

impl Question {
    const fn or_unknown(self) -> Self {
        Self { may_be_unknown: true, ..self }
    }

    const fn when(self, when: When) -> Self {
        Self { when, ..self }
    }
}

const LENGTH: Sort = Sort::Amount(Kind::Length);
const MASS: Sort = Sort::Amount(Kind::Mass);
const MOMENT: Sort = Sort::Amount(Kind::Moment);
const RATE: Sort = Sort::Amount(Kind::AngularSpeed);
const ACCELERATION: Sort = Sort::Amount(Kind::AngularAcceleration);
const ANGLE: Sort = Sort::Amount(Kind::Angle);
const PLATE: &str = "Read the car's plate, usually on the door pillar.";
const DRIVES: &str = "On the arm's data sheet.";

/// All questions in the order of asking.
pub(crate) const QUESTIONS: &[Question] = &[
    q(
        "name",
        "What do you call this rig?",
        "Shoot, day, car: what the crew will call it.",
        "Night two, estate car",
        Sort::Text,
    ),
    q(
        "car",
        "Which of these is the car most like?",
        "What you do not measure is typical of it.",
        "estate car",
        Sort::Part("vehicle"),
    ),
    q(
        "altitude",
        "How high over the sea do you drive?",
        "Map; the highest stretch. Thin air holds less vacuum.",
        "120 m",
        LENGTH,
    ),
    q(
        "temperature",
        "How warm is the air?",
        "Thermometer in the shade.",
        "14 C",
        Sort::Amount(Kind::Temperature),
    )
    .or_unknown(),
    q(
        "gust",
        "How hard does the wind gust?",
        "Forecast, gusts at roof height.",
        "30 km/h",
        Sort::Amount(Kind::Speed),
    )
    .or_unknown(),
    q(
        "road",
        "How rough is the road?",
        "A: new motorway; C: worn town road; E: gravel; H: the worst track.",
        "C",
        Sort::Word(&["A", "B", "C", "D", "E", "F", "G", "H"]),
    ),
    q(
        "clearance",
        "What is the lowest posted clearance on the route?",
        "Drive the route and read the signs.",
        "4.2 m",
        LENGTH,
    )
    .or_unknown(),
    q("mass", "How heavy is the car, full tank, nobody inside?", "Weighbridge.", "1480 kg", MASS)
        .or_unknown(),
    q(
        "front_axle",
        "How much of that is on the front axle?",
        "Weighbridge, front wheels alone.",
        "800 kg",
        MASS,
    )
    .or_unknown(),
    q("gross_limit", "The greatest mass on the car's plate?", PLATE, "2080 kg", MASS).or_unknown(),
    q("front_axle_limit", "The greatest front axle load on the plate?", PLATE, "1080 kg", MASS).or_unknown(),
    q("rear_axle_limit", "The greatest rear axle load on the plate?", PLATE, "1150 kg", MASS).or_unknown(),
    q("roof_rating", "The roof rating for driving?", "Owner's manual, roof load.", "100 kg", MASS)
        .or_unknown(),
    q(
        "datum_aft",
        "How far is the windscreen's top edge behind the front axle?",
        "Plumb line from the edge, tape along the road to the wheel's middle.",
        "1.05 m",
        LENGTH,
    ),
    q(
        "datum_up",
        "How high is the windscreen's top edge over the road?",
        "Tape or laser, on the centreline.",
        "1.43 m",
        LENGTH,
    ),
    q(
        "crew",
        "How heavy are the people in the car, all together?",
        "Ask them, with clothes and gear.",
        "240 kg",
        MASS,
    ),
    q(
        "roof_length",
        "How long is the roof, as far as cups may stand?",
        "Tape, from the windscreen's top edge backwards.",
        "1.9 m",
        LENGTH,
    ),
    q("roof_width", "How wide is it, as far as cups may stand?", "Tape, gutter to gutter.", "1.14 m", LENGTH),
    q(
        "roof_rise",
        "How much higher is the roof's middle than the windscreen's top edge?",
        "String line from the edge, held level over the middle; tape the gap.",
        "15 mm",
        LENGTH,
    ),
    q(
        "along_line",
        "Crown along the roof: how long is your string line?",
        "Hold it taut, fore and aft, so that it touches the middle of the roof.",
        "1.2 m",
        LENGTH,
    ),
    q(
        "along_gap",
        "And its gap to the roof at each end?",
        "Both ends alike; 0 mm when the roof is flat.",
        "20 mm",
        LENGTH,
    ),
    q(
        "across_line",
        "Crown across the roof: how long is your string line?",
        "Hold it taut, left to right, so that it touches the middle of the roof.",
        "800 mm",
        LENGTH,
    ),
    q(
        "across_gap",
        "And its gap to the roof at each end?",
        "Both ends alike; 0 mm when the roof is flat.",
        "25 mm",
        LENGTH,
    ),
    q(
        "material",
        "What is the roof made of?",
        "Try a magnet.",
        "steel",
        Sort::Word(&["steel", "aluminium", "glass", "plastic"]),
    ),
    q(
        "finish",
        "What is its finish?",
        "Wipe it and look; ask whether it was waxed or wrapped.",
        "clean paint",
        Sort::Part("finish"),
    ),
    q(
        "surface",
        "Is it dry, or may it get wet?",
        "Rain, dew and washing water count.",
        "dry",
        Sort::Word(&["dry", "wet"]),
    ),
    q(
        "cup",
        "Which cups do you use?",
        "By the diameter across the lip, in mm.",
        "cup-250",
        Sort::Part("cup"),
    ),
    q(
        "vacuum",
        "What does the worst gauge read ten minutes after pumping?",
        "Pump all cups, wait, read every gauge.",
        "24 inHg",
        Sort::Amount(Kind::Pressure),
    ),
    q(
        "rows",
        "How many rows of cups, front to back?",
        "Each row stands under a tube across the car.",
        "3",
        Sort::Count(2, 5),
    ),
    q("columns", "How many cups in each row?", "Side by side.", "2", Sort::Count(2, 3)),
    q(
        "first_row",
        "How far is the first row behind the windscreen's top edge?",
        "Tape, to the middle of the cups.",
        "380 mm",
        LENGTH,
    ),
    q("row_span", "How far is it from the first row to the last?", "Tape, middle to middle.", "1 m", LENGTH),
    q(
        "column_span",
        "How far is it from the left cup to the right cup of a row?",
        "Tape, middle to middle.",
        "840 mm",
        LENGTH,
    ),
    q(
        "carry",
        "What stands on it?",
        "camera: a fixed camera; arm: a motorised balanced arm.",
        "camera",
        Sort::Word(&["camera", "arm"]),
    ),
    q("camera_mass", "How heavy is the camera?", "Luggage scale; with lens, battery and head.", "9 kg", MASS)
        .when(When::Camera),
    q(
        "camera_height",
        "How high is its middle over the platform?",
        "Tape; the place where it balances.",
        "260 mm",
        LENGTH,
    )
    .when(When::Camera),
    q("camera_length", "How long is it, fore and aft?", "Tape, with lens and matte box.", "380 mm", LENGTH)
        .when(When::Camera),
    q("camera_width", "How wide is it?", "Tape.", "200 mm", LENGTH).when(When::Camera),
    q("camera_tall", "How tall is it?", "Tape, with head.", "340 mm", LENGTH).when(When::Camera),
    q("pivot", "How high is the boom's pivot over the platform?", "Tape.", "520 mm", LENGTH).when(When::Arm),
    q("mast", "How thick is the mast?", "Caliper, or tape round it and divide by 3.14.", "90 mm", LENGTH)
        .when(When::Arm),
    q("base_mass", "How heavy is what stands still: base and mast?", "Scale.", "4.2 kg", MASS)
        .when(When::Arm),
    q("head_mass", "How heavy is what pans and does not tilt?", "Scale.", "7.5 kg", MASS).when(When::Arm),
    q("boom_length", "How long is the boom from pivot to tip?", "Tape.", "1.7 m", LENGTH).when(When::Arm),
    q("boom_mass", "How heavy is that length of boom?", "Scale.", "5.5 kg", MASS).when(When::Arm),
    q("boom_thick", "How thick is the boom?", "Caliper.", "80 mm", LENGTH).when(When::Arm),
    q("tail_length", "How long is the tail behind the pivot?", "Tape.", "650 mm", LENGTH).when(When::Arm),
    q("tail_mass", "How heavy is the tail without its weights?", "Scale.", "2.6 kg", MASS).when(When::Arm),
    q("weight", "How heavy is the counterweight?", "Scale; all plates with their carrier.", "25 kg", MASS)
        .when(When::Arm),
    q("weight_behind", "How far is its middle behind the pivot?", "Tape, along the boom.", "600 mm", LENGTH)
        .when(When::Arm),
    q("isolator", "How heavy is the isolator?", "Scale; 0 kg when there is none.", "1.2 kg", MASS)
        .when(When::Arm),
    q(
        "payload",
        "How heavy is what hangs below it?",
        "Luggage scale; camera, lens, battery, head.",
        "5.9 kg",
        MASS,
    )
    .when(When::Arm),
    q(
        "payload_under",
        "How far does its middle hang under the boom's tip?",
        "Tape; the place where it balances.",
        "210 mm",
        LENGTH,
    )
    .when(When::Arm),
    q(
        "payload_size",
        "How large is it, its longest side?",
        "Tape; wind takes it as a cube of that side.",
        "320 mm",
        LENGTH,
    )
    .when(When::Arm),
    q(
        "lowest",
        "How far may the boom tilt down?",
        "Inclinometer; the lowest angle of the shot.",
        "-10 deg",
        ANGLE,
    )
    .when(When::Arm),
    q("highest", "How far may it tilt up?", "Inclinometer; the highest angle of the shot.", "30 deg", ANGLE)
        .when(When::Arm),
    q("pan_rate", "Fastest pan?", DRIVES, "60 deg/s", RATE).when(When::Arm),
    q("pan_acceleration", "Quickest start of pan?", DRIVES, "60 deg/s2", ACCELERATION).when(When::Arm),
    q("pan_stop", "Emergency stop of pan?", DRIVES, "120 deg/s2", ACCELERATION).when(When::Arm),
    q("pan_torque", "Greatest torque of the pan drive?", DRIVES, "220 N·m", MOMENT)
        .or_unknown()
        .when(When::Arm),
    q("tilt_rate", "Fastest tilt?", DRIVES, "30 deg/s", RATE).when(When::Arm),
    q("tilt_acceleration", "Quickest start of tilt?", DRIVES, "40 deg/s2", ACCELERATION).when(When::Arm),
    q("tilt_stop", "Emergency stop of tilt?", DRIVES, "90 deg/s2", ACCELERATION).when(When::Arm),
    q("tilt_torque", "Greatest torque of the tilt drive?", DRIVES, "160 N·m", MOMENT)
        .or_unknown()
        .when(When::Arm),
];
