//! The electrical side of a rig: trees of cables from the model, solved at the moments that matter, and the day of each battery.
//! `docs/mechanics.md` §16.8.

mod day;
mod net;
mod report;
mod trips;

pub use day::Day;
pub(crate) use day::charge_c;
pub use net::{Net, Source, carries_a};
pub use report::{BatteryRow, CableRow, ConsumerRow, Report};
pub(crate) use trips::class;
pub use trips::{Trip, first_to_trip};

use crate::check::power as checks;
use crate::finding::{Finding, Need, Outcome};
use crate::vary::{self, End};
use crate::verdict::Answer;
use mechanics::power::PowerError;
use mechanics::power::tree::{Draw, Flow, Solution};
use rig::model::Rig;
use rig::model::power::{Amount, Consumer, Power};

/// A moment of the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// Everything at its average.
    Average,
    /// Every peak at once.
    Peak,
    /// Every start at once that may be together, the rest at its peak.
    StartTogether,
    /// The largest start, the rest at its average.
    LargestStart,
}

impl Moment {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Average, Self::Peak, Self::StartTogether, Self::LargestStart];
}

/// Which voltage the sources have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Charge {
    /// Batteries as low as they are to go.
    Low,
    /// Batteries full.
    Full,
    /// One battery's tree with this share of its charge left.
    Share(f64),
}

/// How far apart two rows may be before they are joined, V.
pub fn greatest_difference_v(limit_a: f64, loop_ohm: f64) -> Option<f64> {
    mechanics::power::battery::greatest_difference_v(limit_a, loop_ohm).ok()
}

/// A number of things.
pub(crate) fn number(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::from(u32::MAX), f64::from)
}

/// The trees of a rig and what hangs on them.
#[derive(Clone, Debug)]
pub struct Plan<'a> {
    /// The model's part.
    pub power: &'a Power,
    /// One tree a source: batteries first, then supplies, in file order.
    pub nets: Vec<Net>,
    largest_start: Option<usize>,
    feeding: Vec<usize>,
}

impl<'a> Plan<'a> {
    /// The plan of a rig; `None` where its file has nothing electrical.
    ///
    /// # Errors
    ///
    /// [`Need`] where a cable's resistance cannot be known.
    pub fn of(rig: &'a Rig) -> Option<Result<Self, Need>> {
        rig.power.as_ref().map(Self::new)
    }

    fn new(power: &'a Power) -> Result<Self, Need> {
        let batteries = (0..power.batteries.len()).map(Source::Battery);
        let sources: Vec<Source> = batteries.chain((0..power.supplies.len()).map(Source::Supply)).collect();
        let nets = sources.into_iter().map(|s| Net::new(power, s)).collect::<Result<Vec<_>, _>>()?;
        let start = |c: &Consumer| rated_power(c, c.start.as_ref().or(c.peak.as_ref()).unwrap_or(&c.average));
        let largest_start = (0..power.consumers.len())
            .max_by(|a, b| start(&power.consumers[*a]).total_cmp(&start(&power.consumers[*b])));
        let feeding = order(power, &nets);
        Ok(Self { power, nets, largest_start, feeding })
    }

    /// The consumer whose start draws most.
    pub fn largest_start(&self) -> Option<usize> {
        self.largest_start
    }

    /// The tree that a cable is in, and its place there.
    pub fn net_of(&self, cable: usize) -> Option<(usize, usize)> {
        self.nets
            .iter()
            .enumerate()
            .find_map(|(n, net)| Some((n, net.cables.iter().position(|c| *c == cable)?)))
    }

    /// What a consumer draws at a moment, `scale` times its average where that is the moment's.
    pub fn draw(&self, consumer: usize, moment: Moment) -> Draw {
        let c = &self.power.consumers[consumer];
        let average = draw_of(c, &c.average);
        let peak = c.peak.as_ref().map_or(average, |p| larger(c, draw_of(c, p), average));
        let start = c.start.as_ref().map_or(peak, |s| larger(c, draw_of(c, s), peak));
        match moment {
            Moment::Average => average,
            Moment::Peak => peak,
            Moment::StartTogether => {
                if c.starts_alone {
                    peak
                } else {
                    start
                }
            }
            Moment::LargestStart => {
                if self.largest_start == Some(consumer) {
                    start
                } else {
                    average
                }
            }
        }
    }

    /// Solves every tree with what each consumer draws; a converter draws what its own tree takes over its efficiency.
    ///
    /// # Errors
    ///
    /// [`PowerError`] where a value is out of range.
    pub fn solve(&self, charge: Charge, draws: &dyn Fn(usize) -> Draw) -> Result<Vec<Solution>, PowerError> {
        let mut input_w = vec![0.0; self.power.supplies.len()];
        let mut out: Vec<Option<Solution>> = vec![None; self.nets.len()];
        // A converter's own tree before the one that feeds it.
        for n in &self.feeding {
            let Some(net) = self.nets.get(*n) else { continue };
            let at_nodes = net.draws(self.power, draws, &input_w);
            let tree = net.tree(self.power, charge)?;
            let solution = tree.solve(&at_nodes)?;
            if let (Source::Supply(s), Solution::Steady(flow)) = (net.source, &solution) {
                let supply = &self.power.supplies[s];
                input_w[s] = supply.voltage.value * tree.source_a(flow) / supply.efficiency.value;
            }
            if let Some(place) = out.get_mut(*n) {
                *place = Some(solution);
            }
        }
        Ok(out.into_iter().map(|s| s.unwrap_or(Solution::Collapse { node: 0 })).collect())
    }

    /// Solves every tree at a moment.
    ///
    /// # Errors
    ///
    /// [`PowerError`] where a value is out of range.
    pub fn at(&self, charge: Charge, moment: Moment) -> Result<Vec<Solution>, PowerError> {
        self.solve(charge, &|c| self.draw(c, moment))
    }

    /// A moment in words.
    pub fn words(&self, moment: Moment) -> String {
        match moment {
            Moment::Average => "everything at its average".to_owned(),
            Moment::Peak => "every peak at once".to_owned(),
            Moment::StartTogether => "all starting at once that may".to_owned(),
            Moment::LargestStart => match self.largest_start.and_then(|c| self.power.consumers.get(c)) {
                Some(c) => format!("{} starting, the rest at its average", c.tag),
                None => "the largest start".to_owned(),
            },
        }
    }
}

/// Trees in an order in which every converter's comes before the one that feeds it.
fn order(power: &Power, nets: &[Net]) -> Vec<usize> {
    let mut out: Vec<usize> = Vec::new();
    // Each round takes the trees whose converters are done; a circle cannot be, the reader refuses it.
    for _ in 0..=nets.len() {
        for (n, net) in nets.iter().enumerate() {
            let ready =
                net.converters(power).all(|s| out.iter().any(|o| nets[*o].source == Source::Supply(s)));
            if ready && !out.contains(&n) {
                out.push(n);
            }
        }
    }
    out
}

fn draw_of(c: &Consumer, amount: &Amount) -> Draw {
    let volts = c.voltage.value;
    match (amount, c.constant_current) {
        (Amount::Power(p), false) => Draw { power_w: p.value, current_a: 0.0 },
        (Amount::Power(p), true) => Draw { power_w: 0.0, current_a: p.value / volts },
        (Amount::Current(i), false) => Draw { power_w: i.value * volts, current_a: 0.0 },
        (Amount::Current(i), true) => Draw { power_w: 0.0, current_a: i.value },
    }
}

fn larger(c: &Consumer, a: Draw, b: Draw) -> Draw {
    let watts = |d: Draw| d.power_w + d.current_a * c.voltage.value;
    if watts(a) >= watts(b) { a } else { b }
}

/// An amount as watts at the label's voltage.
pub fn rated_power(c: &Consumer, amount: &Amount) -> f64 {
    match amount {
        Amount::Power(p) => p.value,
        Amount::Current(i) => i.value * c.voltage.value,
    }
}

/// The resistance of a source that is stated as nothing.
pub(crate) fn need_ohm(source: &str) -> Need {
    Need {
        what: format!("the resistance of {source}"),
        key: format!("{}.resistance", source.replacen(' ', ".", 1)),
        settle: "measure its voltage without load and under a known current".to_owned(),
    }
}

/// The flow of a steady solution.
pub fn steady(solution: &Solution) -> Option<&Flow> {
    match solution {
        Solution::Steady(flow) => Some(flow),
        Solution::Collapse { .. } => None,
    }
}

/// The power checks of a rig at the values as they are.
pub fn findings(rig: &Rig) -> Vec<Finding> {
    [checks::voltage, checks::current, checks::run_time].iter().flat_map(|c| c(rig)).collect()
}

/// The answer to the power checks alone, and what to settle: as stated, then with every assumed value of the electrical side alone at
/// its ends, then all at their bad ends together.
pub fn answer(rig: &Rig) -> (Answer, Vec<Finding>, Vec<Need>) {
    let found = findings(rig);
    let fails = |found: &[Finding]| found.iter().any(|f| f.outcome == Outcome::Fails);
    let mut needs: Vec<Need> = Vec::new();
    let mut want = |need: Need| {
        if !needs.iter().any(|n| n.key == need.key && n.what == need.what) {
            needs.push(need);
        }
    };
    for f in &found {
        if let Outcome::NotChecked(need) = &f.outcome {
            want(need.clone());
        }
    }
    let mut groups = vary::groups(rig);
    let of_power = |key: &str| {
        ["power.", "battery.", "supply.", "consumer.", "cable.", "site.temperature"]
            .iter()
            .any(|p| key.starts_with(p))
    };
    groups.retain(|g| g.keys.iter().any(|k| of_power(k)));
    let nominal = fails(&found);
    let singles = if nominal { vary::good_sides(&groups) } else { vary::one_by_one(&groups) };
    let mut decides = false;
    for (group, end) in singles {
        if fails(&findings(&vary::with(rig, &[(group, end)]))) != nominal {
            decides = true;
            want(guessed(group, end, nominal));
        }
    }
    if !nominal && !decides {
        for corner in vary::bad_corners(&groups) {
            if fails(&findings(&vary::with(rig, &corner))) {
                decides = true;
                for (group, end) in corner.iter().take(4) {
                    want(guessed(group, *end, false));
                }
            }
        }
    }
    let answer = if nominal && !decides {
        Answer::NoGo
    } else if decides || !needs.is_empty() {
        Answer::Hold
    } else {
        Answer::Go
    };
    (answer, found, needs)
}

fn guessed(group: &vary::Group, end: End, fails_now: bool) -> Need {
    let f = &group.fact;
    let at = if end == End::Low { f.low } else { f.high };
    Need {
        what: format!(
            "{} is assumed {}; at {} {}",
            group.name,
            quantity::both_kind(f.value, f.kind),
            quantity::both_kind(at, f.kind),
            if fails_now { "nothing would fail" } else { "a check would fail" }
        ),
        key: group.name.clone(),
        settle: f.settle.clone(),
    }
}
