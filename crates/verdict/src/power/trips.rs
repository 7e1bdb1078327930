//! What gives way first when what hangs on a cable draws more and more.

use super::{Charge, Moment, Net, Plan, Source, number, steady};
use mechanics::power::PowerError;
use mechanics::power::fuse::FuseClass;
use mechanics::power::tree::{Draw, Solution};
use rig::model::power::{FuseKind, To};

/// What gives way, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Trip {
    /// In words: `the 30 A fuse of cable main`.
    pub what: String,
    /// Average loads behind the cable times this.
    pub load: f64,
}

/// The class of a fuse in the model.
pub(crate) fn class(kind: FuseKind) -> FuseClass {
    match kind {
        FuseKind::Blade => FuseClass::Blade,
        FuseKind::BoltDown => FuseClass::BoltDown,
        FuseKind::TimeLag => FuseClass::TimeLag,
        FuseKind::Breaker => FuseClass::Breaker,
    }
}

/// Most times the average that is tried.
const MOST: f64 = 1000.0;

/// What gives way first when everything behind a cable draws `load` times its average and all else stays, batteries low: a fuse that is sure to
/// open, a source's limit, a consumer or converter that gets too little voltage, a collapse. `None` where nothing does up to a
/// thousand times, or nothing is drawn behind it.
///
/// # Errors
///
/// [`PowerError`] where a value is out of range.
pub fn first_to_trip(plan: &Plan<'_>, cable: usize) -> Result<Option<Trip>, PowerError> {
    let Some((n, place)) = plan.net_of(cable) else { return Ok(None) };
    let tripped = |load: f64| trips(plan, n, place, load);
    if let Some(what) = tripped(1.0)? {
        return Ok(Some(Trip { what, load: 1.0 }));
    }
    let Some(mut what) = tripped(MOST)? else { return Ok(None) };
    let (mut holds, mut gives) = (1.0_f64, MOST);
    while gives / holds > 1.0 + 1e-6 {
        let middle = (holds * gives).sqrt();
        match tripped(middle)? {
            Some(w) => (what, gives) = (w, middle),
            None => holds = middle,
        }
    }
    Ok(Some(Trip { what, load: gives }))
}

/// The first thing found to have given way in a tree.
fn trips(plan: &Plan<'_>, n: usize, place: usize, load: f64) -> Result<Option<String>, PowerError> {
    let (power, net) = (plan.power, &plan.nets[n]);
    // Converters' inputs scale as a whole: their own trees are another cable's question.
    let average = plan.at(Charge::Low, Moment::Average)?;
    let input: Vec<f64> = (0..power.supplies.len())
        .map(|s| {
            let own = plan.nets.iter().position(|m| m.source == Source::Supply(s));
            let amps =
                own.and_then(|m| average.get(m)).and_then(steady).and_then(|f| f.branch_a.first().copied());
            amps.unwrap_or_default() * power.supplies[s].voltage.value / power.supplies[s].efficiency.value
        })
        .collect();
    let mut draws = net.draws(power, &|c| plan.draw(c, Moment::Average), &input);
    for (_, d) in draws.iter_mut().skip(1).enumerate().filter(|(k, _)| net.is_behind(*k, place)) {
        *d = Draw { power_w: d.power_w * load, current_a: d.current_a * load };
    }
    let solution = net.tree(power, Charge::Low)?.solve(&draws)?;
    let Solution::Steady(flow) = solution else {
        return Ok(Some(format!("the voltage collapses on {}", net.source.name(power))));
    };
    let amps = |k: usize| flow.branch_a.get(k + 1).copied().unwrap_or_default();
    let volts = |k: usize| flow.node_v.get(Net::node(k)).copied().unwrap_or_default();
    for (k, c) in net.cables.iter().enumerate() {
        let cable = &power.cables[*c];
        if let Some(fuse) = &cable.fuse
            && amps(k) > fuse.rating * class(fuse.kind).opens_at()
        {
            let word = if fuse.kind == FuseKind::Breaker { "breaker" } else { "fuse" };
            return Ok(Some(format!("the {:.0} A {word} of cable {}", fuse.rating, cable.tag)));
        }
    }
    let out = flow.branch_a.first().copied().unwrap_or_default();
    let limit = match net.source {
        Source::Battery(i) => {
            let b = &power.batteries[i];
            b.greatest_current.as_ref().map(|f| f.value * number(b.parallel))
        }
        Source::Supply(i) => power.supplies[i].greatest_current.as_ref().map(|f| f.value),
    };
    if limit.is_some_and(|l| out > l) {
        return Ok(Some(format!("the limit of {}", net.source.name(power))));
    }
    for (k, c) in net.cables.iter().enumerate() {
        let short = match power.cables[*c].to {
            To::Consumer(i) => power.consumers[i]
                .lowest
                .as_ref()
                .filter(|l| volts(k) < l.value)
                .map(|_| format!("consumer {}", power.consumers[i].tag)),
            To::Supply(i) => power.supplies[i]
                .lowest_input
                .as_ref()
                .filter(|l| volts(k) < l.value)
                .map(|_| format!("supply {}", power.supplies[i].tag)),
            To::Box => None,
        };
        if let Some(name) = short {
            return Ok(Some(format!("{name}: too little voltage")));
        }
    }
    Ok(None)
}
