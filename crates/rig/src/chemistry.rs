//! What batteries of a chemistry are like: typical values with their range, all common practice without a source.

use crate::fact::{Fact, Origin};
use crate::model::power::Chemistry;
use crate::spec::COMMON;
use quantity::Kind;

/// Value, low, high.
pub(crate) type Typical = (f64, f64, f64);

/// Typical values of one chemistry.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Traits {
    /// Share that may be taken.
    pub(crate) usable: Typical,
    /// Resistance, as ohm x charge in Ah / nominal volts: it falls as the battery grows.
    pub(crate) resistance: Typical,
    /// Full and at rest, over nominal.
    pub(crate) full: Typical,
    /// At rest with the usable share taken, over nominal.
    pub(crate) low: Typical,
    /// Peukert's exponent.
    pub(crate) peukert: Typical,
    /// °C and the share given there, warm to cold.
    cold: &'static [(f64, Typical)],
    /// Share of its charge that it loses in a day at rest, and the days after which a full charge is too long ago to count on.
    pub(crate) fades: (f64, f64),
    /// Under this temperature it must not be charged, K.
    pub(crate) no_charge_under_k: f64,
}

/// The traits of a chemistry.
pub(crate) fn traits(chemistry: Chemistry) -> Traits {
    match chemistry {
        Chemistry::LithiumIronPhosphate => Traits {
            usable: (0.85, 0.8, 0.9),
            resistance: (0.06, 0.02, 0.15),
            full: (1.045, 1.03, 1.06),
            low: (1.0, 0.97, 1.015),
            peukert: (1.0, 1.0, 1.0),
            cold: &[
                (20.0, (1.0, 0.97, 1.0)),
                (0.0, (0.85, 0.75, 0.95)),
                (-10.0, (0.7, 0.55, 0.85)),
                (-20.0, (0.5, 0.3, 0.7)),
            ],
            fades: (0.001, 60.0),
            no_charge_under_k: 273.15,
        },
        Chemistry::LithiumIon => Traits {
            usable: (0.85, 0.8, 0.9),
            resistance: (0.06, 0.03, 0.12),
            full: (1.15, 1.13, 1.17),
            low: (0.96, 0.92, 0.98),
            peukert: (1.0, 1.0, 1.0),
            cold: &[
                (20.0, (1.0, 0.97, 1.0)),
                (0.0, (0.88, 0.8, 0.95)),
                (-10.0, (0.75, 0.6, 0.88)),
                (-20.0, (0.55, 0.35, 0.75)),
            ],
            fades: (0.001, 60.0),
            no_charge_under_k: 273.15,
        },
        Chemistry::LeadAcidAgm => Traits {
            usable: (0.5, 0.4, 0.6),
            resistance: (0.04, 0.02, 0.1),
            full: (1.07, 1.06, 1.085),
            low: (1.015, 1.0, 1.03),
            peukert: (1.15, 1.05, 1.25),
            cold: &[
                (25.0, (1.0, 0.97, 1.0)),
                (0.0, (0.82, 0.75, 0.88)),
                (-10.0, (0.72, 0.62, 0.8)),
                (-20.0, (0.58, 0.45, 0.7)),
            ],
            fades: (0.0015, 30.0),
            no_charge_under_k: 253.15,
        },
        Chemistry::NickelMetalHydride => Traits {
            usable: (0.8, 0.7, 0.9),
            resistance: (0.05, 0.02, 0.12),
            full: (1.12, 1.08, 1.17),
            low: (1.0, 0.96, 1.03),
            peukert: (1.0, 1.0, 1.0),
            cold: &[
                (20.0, (1.0, 0.95, 1.0)),
                (0.0, (0.85, 0.75, 0.95)),
                (-10.0, (0.7, 0.55, 0.85)),
                (-20.0, (0.5, 0.3, 0.7)),
            ],
            fades: (0.015, 7.0),
            no_charge_under_k: 273.15,
        },
    }
}

impl Traits {
    /// Share of its charge that it gives at a temperature. Warmer than the table gives no more; colder than the table, nothing is known.
    pub(crate) fn cold_share(&self, temperature_k: f64) -> Typical {
        let c = temperature_k - 273.15;
        let Some(warm) = self.cold.first() else { return (0.0, 0.0, 1.0) };
        if c >= warm.0 {
            return warm.1;
        }
        for pair in self.cold.windows(2) {
            if let [(t1, a), (t0, b)] = pair
                && c >= *t0
            {
                let s = (c - t0) / (t1 - t0);
                let mix = |x: f64, y: f64| y + s * (x - y);
                return (mix(a.0, b.0), mix(a.1, b.1), mix(a.2, b.2));
            }
        }
        let coldest = self.cold.last().map_or(0.0, |l| l.1.0);
        (0.5 * coldest, 0.0, coldest)
    }
}

/// A typical value as an assumed fact, scaled.
pub(crate) fn fact(
    (value, low, high): Typical,
    scale: f64,
    kind: Kind,
    path: &str,
    key: &str,
    settle: &str,
) -> Fact {
    Fact {
        value: value * scale,
        low: low * scale,
        high: high * scale,
        kind,
        origin: if low < high { Origin::Assumed } else { Origin::Part },
        key: format!("{path}.{key}"),
        // Each bank may be of another make: each is an unknown of its own.
        group: format!("{path}.{key}"),
        text: None,
        source: COMMON.to_owned(),
        settle: settle.to_owned(),
    }
}

impl Chemistry {
    /// Share of its charge that a battery at rest loses in a day (common practice, no source).
    pub fn fades_by_day(self) -> f64 {
        traits(self).fades.0
    }

    /// Seconds after which a full charge is too long ago to count on (common practice, no source).
    pub fn stale_after(self) -> f64 {
        traits(self).fades.1 * 86_400.0
    }

    /// Under this temperature it must not be charged, K (common practice, no source).
    pub fn no_charge_under(self) -> f64 {
        traits(self).no_charge_under_k
    }

    /// In the trade's words.
    pub fn words(self) -> &'static str {
        match self {
            Self::LithiumIronPhosphate => "lithium iron phosphate",
            Self::LithiumIon => "lithium-ion",
            Self::LeadAcidAgm => "lead-acid AGM",
            Self::NickelMetalHydride => "nickel-metal hydride",
        }
    }

    /// Whether it is one of the lithium kinds.
    pub fn is_lithium(self) -> bool {
        matches!(self, Self::LithiumIronPhosphate | Self::LithiumIon)
    }
}

/// The batteries of a rig at another temperature: what they give is taken anew, and is assumed, unless that is no colder than planned.
pub fn at_temperature(rig: &crate::model::Rig, temperature_k: f64) -> crate::model::Rig {
    let mut out = rig.clone();
    for b in out.power.iter_mut().flat_map(|p| &mut p.batteries) {
        let path = b.cold_share.key.rsplit_once('.').map_or(String::new(), |(p, _)| p.to_owned());
        let stated = b.cold_share.clone();
        let warmer = temperature_k >= b.temperature.value;
        let (settle, planned_k) = (stated.settle.clone(), b.temperature.value);
        b.temperature = Fact::stated(temperature_k, Kind::Temperature, &b.temperature.key);
        if stated.is_assumed() || !warmer {
            let traits = traits(b.chemistry);
            let colder = traits.cold_share(temperature_k);
            // What was measured goes down as the table does from there.
            let scale = if stated.is_assumed() {
                1.0
            } else {
                stated.value / traits.cold_share(planned_k).0.max(1e-3)
            };
            b.cold_share = fact(colder, scale, Kind::Number, &path, "cold_share", &settle);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Chemistry; 4] = [
        Chemistry::LithiumIronPhosphate,
        Chemistry::LithiumIon,
        Chemistry::LeadAcidAgm,
        Chemistry::NickelMetalHydride,
    ];

    #[test]
    fn ranges_are_in_order_and_cold_never_gives_more() {
        for chemistry in ALL {
            let t = traits(chemistry);
            for (v, low, high) in [t.usable, t.resistance, t.full, t.low, t.peukert] {
                assert!(low <= v && v <= high, "{chemistry:?}");
            }
            assert!(t.full.0 > t.low.0);
            let mut last = (2.0, 2.0, 2.0);
            for step in 0..90 {
                let now = t.cold_share(273.15 + 40.0 - f64::from(step));
                assert!(now.1 <= now.0 && now.0 <= now.2, "{chemistry:?} {step}");
                assert!(now.0 <= last.0 && now.1 <= last.1 && now.2 <= last.2, "{chemistry:?} {step}");
                last = now;
            }
            // Past the table nothing is promised.
            assert!(t.cold_share(273.15 - 30.0).1 < 1e-12);
        }
    }
}
