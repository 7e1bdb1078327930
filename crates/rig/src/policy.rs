//! The checks by name, and the factors that each must reach.

use crate::fact::Fact;

/// Every check that a verdict rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CheckId {
    /// Nothing can move freely.
    Stable,
    /// Pull and moment lift the seal.
    CupSeal,
    /// Shear and turning slide the cup.
    CupSlip,
    /// Maker's plate for pull.
    CupPull,
    /// Maker's plate for shear.
    CupShear,
    /// Crown, keep-outs and edges under the cup.
    CupFit,
    /// The vacuum that can be there.
    CupVacuum,
    /// Pull on the sheet.
    PanelPull,
    /// Push on the sheet.
    PanelPush,
    /// Stress in a tube.
    TubeStress,
    /// Clamp slides along or turns about its tube.
    ClampSlip,
    /// Leg's foot slides along or turns about its tube.
    LegSlip,
    /// Bolts of a leg.
    LegBolts,
    /// Tension in a strap.
    StrapLoad,
    /// A strap goes slack.
    StrapTaut,
    /// Sway of the mast base.
    MastSway,
    /// All vacuum gone: do straps and friction hold.
    Retention,
    /// How far from letting go altogether.
    Reserve,
    /// How far from buckling, so that sums with small movements stand.
    SecondOrder,
    /// Roof rating.
    RoofLoad,
    /// Gross mass.
    GrossMass,
    /// Axle loads.
    AxleLoad,
    /// Rolling over.
    Rollover,
    /// Height, width and sweep.
    Clearance,
    /// Two parts in one place.
    Clash,
    /// Tilt drive.
    TiltDrive,
    /// Pan drive.
    PanDrive,
    /// Stress in the boom.
    BoomStress,
    /// Bolts of a joint of the boom.
    BoomBolts,
    /// Sag of the boom's tip.
    BoomSag,
    /// Rig and boom frequencies against road and isolator.
    Frequency,
    /// Voltage that reaches each consumer.
    PowerVoltage,
    /// Fuses, cables, connectors and sources against their currents.
    PowerCurrent,
    /// How long the batteries last.
    PowerRunTime,
}

/// A check's required factors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factors {
    /// With everything in place.
    pub intact: f64,
    /// With one cup or one strap lost.
    pub lost: f64,
}

/// Name, title, default factors and where they come from: one row a check.
#[derive(Clone, Copy, Debug)]
pub struct CheckRow {
    /// Which.
    pub id: CheckId,
    /// Name in files and on the command line.
    pub name: &'static str,
    /// In the trade's words.
    pub title: &'static str,
    /// Default factors.
    pub factors: Factors,
    /// Source of the factors.
    pub source: &'static str,
}

const fn row(
    id: CheckId,
    name: &'static str,
    title: &'static str,
    factors: (f64, f64),
    source: &'static str,
) -> CheckRow {
    CheckRow { id, name, title, factors: Factors { intact: factors.0, lost: factors.1 }, source }
}

/// All checks in the order in which they are explained.
pub const CHECKS: &[CheckRow] = &[
    row(CheckId::Stable, "stable", "Nothing can move freely", (1.0, 1.0), "statics"),
    row(
        CheckId::CupSeal,
        "cup-seal",
        "Cup lifts off its seal",
        (2.0, 1.5),
        "2.0: EN 13155 holding force at twice the load; 1.5 with one lost: our choice, no source",
    ),
    row(
        CheckId::CupSlip,
        "cup-slip",
        "Cup slides on the panel",
        (2.0, 1.5),
        "2.0: EN 13155, friction included; 1.5 with one lost: our choice, no source",
    ),
    row(
        CheckId::CupPull,
        "cup-pull",
        "Cup's plate for pull",
        (1.0, 1.0),
        "the maker's rating has its own factor",
    ),
    row(
        CheckId::CupShear,
        "cup-shear",
        "Cup's plate for shear",
        (1.0, 1.0),
        "the maker's rating has its own factor",
    ),
    row(CheckId::CupFit, "cup-fit", "Cup fits the panel", (1.0, 1.0), "geometry"),
    row(
        CheckId::CupVacuum,
        "cup-vacuum",
        "Vacuum that can be there",
        (1.0, 1.0),
        "physics of the atmosphere",
    ),
    row(CheckId::PanelPull, "panel-pull", "Pull on the sheet", (1.5, 1.1), "common practice, no source"),
    row(CheckId::PanelPush, "panel-push", "Push on the sheet", (1.5, 1.1), "common practice, no source"),
    row(
        CheckId::TubeStress,
        "tube-stress",
        "Stress in a tube",
        (1.65, 1.1),
        "1.65 = 1.1 x 1.5, EN 12811-1; 1.1 with one lost: accidental state",
    ),
    row(
        CheckId::ClampSlip,
        "clamp-slip",
        "Clamp slides or turns on its tube",
        (1.65, 1.1),
        "1.65 = 1.1 x 1.5, EN 12811-1; 1.1 with one lost: accidental state",
    ),
    row(
        CheckId::LegSlip,
        "leg-slip",
        "Leg's foot slides or turns on its tube",
        (1.65, 1.1),
        "1.65 = 1.1 x 1.5, EN 12811-1; 1.1 with one lost: accidental state",
    ),
    row(CheckId::LegBolts, "leg-bolts", "Bolts of a leg", (1.5, 1.1), "common practice, no source"),
    row(
        CheckId::StrapLoad,
        "strap-load",
        "Tension in a strap",
        (1.0, 1.0),
        "LC has its own factor of 2 on breaking (EN 12195-2)",
    ),
    row(CheckId::StrapTaut, "strap-taut", "A strap goes slack", (1.0, 1.0), "geometry of the linear answer"),
    row(CheckId::MastSway, "mast-sway", "Sway at the mast", (1.0, 1.0), "limit by the person's own shot"),
    row(
        CheckId::Retention,
        "retention",
        "Held with all vacuum gone",
        (1.25, 1.0),
        "1.25: EN 12195-1 f_s forward; 1.0 with one strap lost: our choice, no source",
    ),
    row(CheckId::Reserve, "reserve", "Reserve before it lets go", (2.0, 1.5), "as for cup-seal"),
    row(
        CheckId::SecondOrder,
        "second-order",
        "Distance from buckling",
        (10.0, 10.0),
        "EN 1993-1-1:2005, 5.2.1(3) [from memory]: first order stands from alpha_cr = 10 on",
    ),
    row(CheckId::RoofLoad, "roof-load", "Roof rating", (1.0, 1.0), "the maker's rating"),
    row(CheckId::GrossMass, "gross-mass", "Gross mass", (1.0, 1.0), "the maker's plate"),
    row(CheckId::AxleLoad, "axle-load", "Axle loads", (1.0, 1.0), "the maker's plate"),
    row(CheckId::Rollover, "rollover", "Rolling over", (1.5, 1.5), "common practice, no source"),
    row(CheckId::Clearance, "clearance", "Height, width and sweep", (1.0, 1.0), "geometry"),
    row(CheckId::Clash, "clash", "Two parts in one place", (1.0, 1.0), "geometry"),
    row(CheckId::TiltDrive, "tilt-drive", "Tilt drive", (1.0, 1.0), "the maker's limit"),
    row(CheckId::PanDrive, "pan-drive", "Pan drive", (1.0, 1.0), "the maker's limit"),
    row(CheckId::BoomStress, "boom-stress", "Stress in the boom", (2.0, 2.0), "common practice, no source"),
    row(
        CheckId::BoomBolts,
        "boom-bolts",
        "Bolts of a boom joint",
        (1.5, 1.5),
        "as for leg-bolts; a lost cup or strap does not change what the boom carries",
    ),
    row(CheckId::BoomSag, "boom-sag", "Sag of the boom's tip", (1.0, 1.0), "limit by the person's own shot"),
    row(
        CheckId::Frequency,
        "frequency",
        "Rig frequency against the road",
        (1.0, 1.0),
        "warning only: common practice, no source",
    ),
    row(
        CheckId::PowerVoltage,
        "power-voltage",
        "Voltage at a consumer",
        (1.25, 1.25),
        "on the drop that may be: common practice, no source",
    ),
    row(
        CheckId::PowerCurrent,
        "power-current",
        "Fuse, cable, plug, source",
        (1.0, 1.0),
        "the makers' ratings and IEC 60364-4-43 have their own factors",
    ),
    row(
        CheckId::PowerRunTime,
        "power-run-time",
        "Batteries last the day",
        (1.2, 1.2),
        "common practice, no source",
    ),
];

impl CheckId {
    /// Its row.
    pub fn row(self) -> &'static CheckRow {
        // Every id has a row: `every_check_has_one_row` in the tests.
        CHECKS.iter().find(|r| r.id == self).unwrap_or(&CHECKS[0])
    }
}

/// Accelerations that the second line must hold with all vacuum gone, m/s², net of gravity upward.
#[derive(Clone, Debug)]
pub struct RetentionActions {
    /// Forward (as in braking).
    pub forward: Fact,
    /// Rearward.
    pub rearward: Fact,
    /// To each side.
    pub sideways: Fact,
    /// Upward, after gravity is overcome.
    pub upward: Fact,
}

/// Required factors and the rest of what the person may set.
#[derive(Clone, Debug)]
pub struct Policy {
    /// Factors that differ from the defaults.
    pub factors: Vec<(CheckId, Factors)>,
    /// Retention accelerations.
    pub retention: RetentionActions,
    /// Peak over r.m.s. of the vertical road input.
    pub peak_factor: Fact,
    /// Greatest movement of the mast base, m.
    pub sway_limit: Option<Fact>,
    /// Clear distance from a cup's lip to a keep-out or edge, m.
    pub keep_clear: Fact,
    /// Required clearance under bridges and lines on top of their own rule, m.
    pub headroom: Fact,
    /// Vacuum law: ultimate absolute pressure of the pump, Pa.
    pub pump_ultimate: Fact,
    /// Longest time between two readings of a gauge, s.
    pub rounds_s: f64,
    /// Largest error of one look at a vacuum gauge, Pa.
    pub gauge_pa: f64,
}

impl Policy {
    /// The factors of a check.
    pub fn factors(&self, id: CheckId) -> Factors {
        self.factors.iter().find(|(i, _)| *i == id).map_or(id.row().factors, |(_, f)| *f)
    }
}
