//! A cable, its fuse and its plugs against their currents.

use super::{found, lacks};
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::power::{self as model, Charge, Moment, Plan, Source, carries_a, class, steady};
use mechanics::power::PowerError;
use mechanics::power::fuse::{FOR_HOURS, greatest_rating_a, least_time_s};
use quantity::{Kind, both_kind};
use rig::model::Rig;
use rig::model::power::{Fuse, To};
use rig::policy::CheckId;

const ID: CheckId = CheckId::PowerCurrent;
/// A fuse must last twice as long as a start: common practice, no source.
const START_FACTOR: f64 = 2.0;
/// What a fuse is sure to carry for at least this long, it carries.
const HUNDRED_HOURS_S: f64 = 360e3;
/// Where a finding on a start is.
const AT_A_START: &str = "its fuse, at a start";

/// Currents in every cable and out of every source at every moment, A; infinite where the voltage collapses.
pub(crate) struct Currents {
    cable: [Vec<f64>; 4],
    source: [Vec<f64>; 4],
}

impl Currents {
    /// Batteries low: constant power draws most then.
    pub(crate) fn of(plan: &Plan<'_>) -> Result<Self, PowerError> {
        let none = || -> [Vec<f64>; 4] { core::array::from_fn(|_| Vec::new()) };
        let mut out = Self { cable: none(), source: none() };
        for (k, moment) in Moment::ALL.into_iter().enumerate() {
            let solved = plan.at(Charge::Low, moment)?;
            let mut amps = vec![0.0; plan.power.cables.len()];
            let mut of_source = Vec::new();
            for (net, solution) in plan.nets.iter().zip(&solved) {
                let flow = steady(solution);
                let at =
                    |b: usize| flow.map_or(f64::INFINITY, |f| f.branch_a.get(b).copied().unwrap_or_default());
                of_source.push(at(0));
                for (place, c) in net.cables.iter().enumerate() {
                    amps[*c] = at(place + 1);
                }
            }
            out.cable[k] = amps;
            out.source[k] = of_source;
        }
        Ok(out)
    }

    fn index(moment: Moment) -> usize {
        Moment::ALL.iter().position(|m| *m == moment).unwrap_or(0)
    }

    /// In a cable.
    pub(crate) fn cable(&self, cable: usize, moment: Moment) -> f64 {
        self.cable[Self::index(moment)][cable]
    }

    /// Out of the source of a tree.
    pub(crate) fn source(&self, net: usize, moment: Moment) -> f64 {
        self.source[Self::index(moment)][net]
    }
}

/// The cable at or before this one that carries a fuse.
pub(crate) fn guarded_by<'p>(plan: &Plan<'p>, cable: usize) -> Option<(usize, &'p Fuse)> {
    let mut at = cable;
    // The reader has refused circles; the bound is for a model made by hand.
    for _ in 0..=plan.power.cables.len() {
        if let Some(fuse) = &plan.power.cables.get(at)?.fuse {
            return Some((at, fuse));
        }
        at = plan.power.before(at)?;
    }
    None
}

/// Everything about one cable.
pub(super) fn check(rig: &Rig, plan: &Plan<'_>, currents: &Currents, c: usize) -> Vec<Finding> {
    let cable = &plan.power.cables[c];
    let part = PartRef::Cable(c);
    let Some((n, place)) = plan.net_of(c) else { return Vec::new() };
    let amps = |m: Moment| currents.cable(c, m);
    let steady = Moment::ALL.iter().all(|m| amps(*m).is_finite());
    let simple = |place: &str, demand: f64, capacity: f64, hand: HandCheck, said: String| {
        found(rig, (ID, part), Kind::Current, demand, capacity).at(place).when(said).hand(hand)
    };
    let mut all = Vec::new();
    match carries_a(plan.power, cable) {
        Err(need) => all.push(Finding::not_checked(ID, part, need)),
        Ok(most) => {
            let hand = HandCheck {
                formula: "demand = I peak;  capacity = what the cable carries for good",
                source: "DIN VDE 0298-4 table 11 by size, air and insulation, or its sheet; mechanics.md §16.4",
                steps: vec![
                    Step::new("I peak", plan.words(Moment::Peak), amps(Moment::Peak), Kind::Current),
                    Step::new("Iz", "carried for good", most, Kind::Current),
                ],
            };
            all.push(simple("the copper", amps(Moment::Peak), most, hand, plan.words(Moment::Peak)));
            all.push(guard(rig, plan, (n, c), most));
        }
    }
    if cable.connectors > 0 {
        match &cable.connector_rating {
            None => all.push(Finding::not_checked(
                ID,
                part,
                lacks(
                    "cable",
                    &cable.tag,
                    "the rating of the plugs",
                    "connector_rating",
                    "read the plug or its sheet",
                ),
            )),
            Some(rating) => {
                let hand = HandCheck {
                    formula: "demand = I peak;  capacity = the plug's rating",
                    source: "the maker's rating; mechanics.md §16.8",
                    steps: vec![
                        Step::new("I peak", plan.words(Moment::Peak), amps(Moment::Peak), Kind::Current),
                        Step::new("rating", "of the weakest plug", rating.value, Kind::Current),
                    ],
                };
                all.push(simple(
                    "its plugs",
                    amps(Moment::Peak),
                    rating.value,
                    hand,
                    plan.words(Moment::Peak),
                ));
            }
        }
    }
    if let Some(fuse) = &cable.fuse {
        all.extend(carries(rig, plan, currents, c, fuse));
        all.push(lives_through(plan, currents, (n, place), fuse));
        all.extend(parts_a_short(rig, plan, (n, place), fuse));
    }
    // Where the voltage collapses there is no current to compare; `power-voltage` says so.
    all.retain(|f| steady || (f.demand.is_finite() && f.place != AT_A_START));
    all
}

/// A fuse for hours and at the peak.
fn carries(rig: &Rig, plan: &Plan<'_>, currents: &Currents, c: usize, fuse: &Fuse) -> Vec<Finding> {
    let one = |place: &str, moment: Moment, share: f64, text: &'static str| {
        let demand = currents.cable(c, moment);
        let hand = HandCheck {
            formula: "demand = I;  capacity = share x In",
            source: "80 % for hours: common practice, no source; the whole rating for a peak: mechanics.md §16.5",
            steps: vec![
                Step::new("I", plan.words(moment), demand, Kind::Current),
                Step::new("In", "rating of the fuse", fuse.rating, Kind::Current),
                Step::new("capacity", text, share * fuse.rating, Kind::Current),
            ],
        };
        found(rig, (ID, PartRef::Cable(c)), Kind::Current, demand, share * fuse.rating)
            .at(place)
            .when(plan.words(moment))
            .hand(hand)
    };
    vec![
        one("its fuse, for hours", Moment::Average, FOR_HOURS, "0.8 In"),
        one("its fuse, at the peak", Moment::Peak, 1.0, "In"),
    ]
}

/// A fuse during the starts behind it.
fn lives_through(plan: &Plan<'_>, currents: &Currents, (n, place): (usize, usize), fuse: &Fuse) -> Finding {
    let c = plan.nets[n].cables[place];
    let part = PartRef::Cable(c);
    let lasts = starts_behind(plan, n, place);
    let (moment, amps) = [Moment::StartTogether, Moment::LargestStart]
        .map(|m| (m, currents.cable(c, m)))
        .into_iter()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((Moment::StartTogether, 0.0));
    // A collapse is told by the voltage; no fuse is sure to live through it.
    let sure = least_time_s(class(fuse.kind), fuse.rating, amps).unwrap_or(0.0).min(HUNDRED_HOURS_S);
    let hand = HandCheck {
        formula: "demand = time of the start;  capacity = least time that the fuse carries it",
        source: "curves of ISO 8820 and IEC 60127-2 [from memory], twice the time wanted: common practice; mechanics.md §16.5",
        steps: vec![
            Step::new("I start", plan.words(moment), amps, Kind::Current),
            Step::new("In", "rating of the fuse", fuse.rating, Kind::Current),
            Step::new("t", "least time that it is sure to carry that", sure, Kind::Time),
            Step::new("t start", "the longest start behind it", lasts, Kind::Time),
        ],
    };
    Finding::of(ID, part, Kind::Time, START_FACTOR, lasts, sure)
        .at(AT_A_START)
        .when(format!("{}: {}", both_kind(amps, Kind::Current), plan.words(moment)))
        .hand(hand)
}

/// The longest start of what hangs behind a cable, converters' consumers counted, s.
fn starts_behind(plan: &Plan<'_>, n: usize, place: usize) -> f64 {
    let (net, power) = (&plan.nets[n], plan.power);
    let mut longest = 0.0_f64;
    for (_, c) in net.cables.iter().enumerate().filter(|(k, _)| net.is_behind(*k, place)) {
        match power.cables[*c].to {
            To::Consumer(i) => {
                longest = longest.max(power.consumers[i].start_time.as_ref().map_or(0.0, |t| t.value));
            }
            To::Supply(s) => {
                if let Some(m) = plan.nets.iter().position(|m| m.source == Source::Supply(s)) {
                    for k in 0..plan.nets[m].cables.len() {
                        longest = longest.max(starts_behind(plan, m, k));
                    }
                }
            }
            To::Box => {}
        }
    }
    longest
}

/// Something parts the current before the cable burns.
fn guard(rig: &Rig, plan: &Plan<'_>, (n, c): (usize, usize), most: f64) -> Finding {
    let part = PartRef::Cable(c);
    let place = "guarded by";
    let power = plan.power;
    if let Some((at, fuse)) = guarded_by(plan, c) {
        let allowed = greatest_rating_a(class(fuse.kind), most).unwrap_or(0.0);
        let hand = HandCheck {
            formula: "demand = In;  capacity = Iz, less where the fuse opens late: 1.45 Iz / m",
            source: "IEC 60364-4-43, 433.1 [from memory]; mechanics.md §16.5",
            steps: vec![
                Step::new("In", "rating of the fuse", fuse.rating, Kind::Current),
                Step::new("Iz", "what the cable carries for good", most, Kind::Current),
                Step::new(
                    "m",
                    "times its rating at which it is sure to open",
                    class(fuse.kind).opens_at(),
                    Kind::Number,
                ),
                Step::new("capacity", "greatest rating that guards the cable", allowed, Kind::Current),
            ],
        };
        return found(rig, (ID, part), Kind::Current, fuse.rating, allowed)
            .at(place)
            .when(format!("the fuse of cable {}", power.cables[at].tag))
            .hand(hand);
    }
    // A converter lets no more through than its limit.
    if let Source::Supply(s) = plan.nets[n].source
        && !power.supplies[s].is_car
    {
        let supply = &power.supplies[s];
        return match &supply.greatest_current {
            None => Finding::not_checked(
                ID,
                part,
                lacks("supply", &supply.tag, "the greatest current", "greatest_current", "read the label"),
            ),
            Some(limit) => found(rig, (ID, part), Kind::Current, limit.value, most)
                .at(place)
                .when(format!("the limit of supply {}; no fuse", supply.tag))
                .hand(HandCheck {
                    formula: "demand = limit of the converter;  capacity = Iz",
                    source: "a converter that limits its current; mechanics.md §16.5",
                    steps: vec![
                        Step::new("limit", "of the converter", limit.value, Kind::Current),
                        Step::new("Iz", "what the cable carries for good", most, Kind::Current),
                    ],
                }),
        };
    }
    found(rig, (ID, part), Kind::Number, 1.0, 0.0)
        .at(place)
        .when(format!(
            "no fuse between {} and this cable: a short circuit makes it glow",
            plan.nets[n].source.name(power)
        ))
        .hand(HandCheck {
            formula: "a fuse at the battery, and one wherever the cable grows thinner",
            source: "IEC 60364-4-43 [from memory]; mechanics.md §16.5",
            steps: vec![Step::new("fuses", "on the way from the source", 0.0, Kind::Number)],
        })
}

/// A fuse must be able to part a short circuit behind it, at the voltage that is there.
fn parts_a_short(rig: &Rig, plan: &Plan<'_>, (n, place): (usize, usize), fuse: &Fuse) -> Vec<Finding> {
    let (net, power) = (&plan.nets[n], plan.power);
    let c = net.cables[place];
    let part = PartRef::Cable(c);
    let tag = &power.cables[c].tag;
    let full = net.source.volts(power, Charge::Full);
    let mut all = Vec::new();
    match fuse.voltage {
        None => all.push(Finding::not_checked(
            ID,
            part,
            lacks("cable", tag, "the fuse's voltage", "fuse.voltage", "read it off the fuse"),
        )),
        Some(v) => all.push(
            Finding::of(ID, part, Kind::Voltage, 1.0, full, v)
                .at("its fuse's voltage")
                .when("battery full")
                .hand(HandCheck {
                    formula: "demand = E full;  capacity = voltage on the fuse",
                    source: "above it the arc may not go out; mechanics.md §16.5",
                    steps: vec![
                        Step::new("E full", "source with nothing drawn, battery full", full, Kind::Voltage),
                        Step::new("V fuse", "on the fuse", v, Kind::Voltage),
                    ],
                }),
        ),
    }
    if let Source::Supply(s) = net.source
        && !power.supplies[s].is_car
    {
        return all;
    }
    let ohm = net.ohm_to(power, net.parent(place));
    match fuse.interrupts {
        None => all.push(Finding::not_checked(
            ID,
            part,
            lacks(
                "cable",
                tag,
                "the short circuit that the fuse can part",
                "fuse.interrupts",
                "read it off the fuse or its sheet",
            ),
        )),
        Some(_) if ohm <= 0.0 => {
            all.push(Finding::not_checked(ID, part, model::need_ohm(net.source.name(power).as_str())));
        }
        Some(most) => {
            let short = full / ohm;
            all.push(
                found(rig, (ID, part), Kind::Current, short, most)
                    .at("its fuse, in a short circuit")
                    .when("battery full")
                    .hand(HandCheck {
                        formula: "I = E full / R;  capacity = what the fuse can part",
                        source: "Ohm's law with nothing behind the fuse; mechanics.md §16.5",
                        steps: vec![
                            Step::new(
                                "E full",
                                "source with nothing drawn, battery full",
                                full,
                                Kind::Voltage,
                            ),
                            Step::new("R", "source and cables up to the fuse", ohm, Kind::Resistance),
                            Step::new("I", "E full / R", short, Kind::Current),
                            Step::new("capacity", "on the fuse", most, Kind::Current),
                        ],
                    }),
            );
        }
    }
    all
}
