//! Everything that is worth a line in a table.

use super::{Charge, Day, Moment, Plan, Source, Trip, carries_a, first_to_trip, number, steady};
use crate::check::power::lowest;
use mechanics::power::PowerError;
use rig::model::power::To;

/// One consumer.
#[derive(Clone, Debug)]
pub struct ConsumerRow {
    /// Its index.
    pub consumer: usize,
    /// Source, by its tree.
    pub net: usize,
    /// Lowest voltage, V; `None` where it collapses.
    pub volts: Option<f64>,
    /// When.
    pub moment: Moment,
    /// What it needs, V.
    pub needs: Option<f64>,
    /// Share of the nominal voltage that is lost on the way then.
    pub lost: Option<f64>,
}

/// One cable.
#[derive(Clone, Debug)]
pub struct CableRow {
    /// Its index.
    pub cable: usize,
    /// Source, by its tree.
    pub net: usize,
    /// Everything at its average, A; infinite where it collapses.
    pub average_a: f64,
    /// Every peak at once, A.
    pub peak_a: f64,
    /// Along it alone at the peak, V.
    pub drop_v: f64,
    /// ... over the nominal voltage.
    pub drop_share: f64,
    /// At its average, W.
    pub heat_w: f64,
    /// What it may carry for good, A.
    pub carries_a: Option<f64>,
    /// What gives way first.
    pub trip: Option<Trip>,
}

/// One battery.
#[derive(Clone, Debug)]
pub struct BatteryRow {
    /// Its index.
    pub battery: usize,
    /// Its day; `None` where hours or charge are not known.
    pub day: Option<Day>,
    /// What may be taken of it, J at the nominal voltage.
    pub usable_j: f64,
    /// Terminals at the worst moment, low, V.
    pub volts: Option<f64>,
    /// What all of it weighs, kg.
    pub mass: Option<f64>,
}

/// The tables.
#[derive(Clone, Debug)]
pub struct Report {
    /// Consumers in file order.
    pub consumers: Vec<ConsumerRow>,
    /// Cables, tree by tree.
    pub cables: Vec<CableRow>,
    /// Batteries in file order.
    pub batteries: Vec<BatteryRow>,
}

impl Report {
    /// The tables of a plan.
    ///
    /// # Errors
    ///
    /// [`PowerError`] where a value is out of range.
    pub fn of(plan: &Plan<'_>) -> Result<Self, PowerError> {
        let power = plan.power;
        let solved = Moment::ALL.map(|m| plan.at(Charge::Low, m));
        let [average, peak, together, largest] = solved;
        let (average, peak, together, largest) = (average?, peak?, together?, largest?);
        let mut out = Self { consumers: Vec::new(), cables: Vec::new(), batteries: Vec::new() };
        for (n, net) in plan.nets.iter().enumerate() {
            let nominal = net.source.nominal(power);
            let amps = |s: &[_], place: usize| {
                s.get(n)
                    .and_then(steady)
                    .map_or(f64::INFINITY, |f| f.branch_a.get(place + 1).copied().unwrap_or_default())
            };
            for (place, c) in net.cables.iter().enumerate() {
                let (average_a, peak_a, ohm) = (amps(&average, place), amps(&peak, place), net.ohm(place));
                out.cables.push(CableRow {
                    cable: *c,
                    net: n,
                    average_a,
                    peak_a,
                    drop_v: peak_a * ohm,
                    drop_share: peak_a * ohm / nominal,
                    heat_w: average_a * average_a * ohm,
                    carries_a: carries_a(power, &power.cables[*c]).ok(),
                    trip: first_to_trip(plan, *c)?,
                });
                if let To::Consumer(i) = power.cables[*c].to {
                    let at = lowest(plan, n, place)?;
                    let open = net.source.volts(power, Charge::Low);
                    out.consumers.push(ConsumerRow {
                        consumer: i,
                        net: n,
                        volts: at.volts,
                        moment: at.moment,
                        needs: power.consumers[i].lowest.as_ref().map(|f| f.value),
                        lost: at.volts.map(|v| (open - v) / nominal),
                    });
                }
            }
            if let Source::Battery(b) = net.source {
                let terminal = |s: &[_]| s.get(n).and_then(steady).and_then(|f| f.node_v.get(1).copied());
                let worst = [&average, &peak, &together, &largest].map(|s| terminal(s.as_slice()));
                let volts = worst.into_iter().try_fold(f64::INFINITY, |least, v| v.map(|v| least.min(v)));
                let battery = &power.batteries[b];
                out.batteries.push(BatteryRow {
                    battery: b,
                    day: match &power.hours {
                        Some(h) => match plan.day(b, h.value) {
                            Err(PowerError::Collapse) => None,
                            day => day?,
                        },
                        None => None,
                    },
                    usable_j: super::charge_c(battery) * battery.usable.value * nominal,
                    volts,
                    mass: battery.mass.as_ref().map(|m| m.value * number(battery.series * battery.parallel)),
                });
            }
        }
        out.consumers.sort_by_key(|r| r.consumer);
        Ok(out)
    }
}
