//! What `torque --json` prints.

use crate::command::torque::Sheet;
use crate::print::torque::{RULES, origin, said};
use method::torque::{Bolt, Holds, Preload, Reading, Standing, Torque, Word, tolerance};
use serde::Serialize;

/// Torques, SI.
#[derive(Debug, Serialize)]
pub(crate) struct Printed {
    rig: String,
    exit_status: u8,
    joints: Vec<Joint>,
    recorded: Vec<Recorded>,
    rules: &'static [&'static str],
}

#[derive(Debug, Serialize)]
struct Joint {
    name: String,
    key: String,
    target_n_m: f64,
    target_from: &'static str,
    tolerance_share: f64,
    reads_from_n_m: f64,
    reads_to_n_m: f64,
    wrench_top_from_n_m: f64,
    wrench_top_to_n_m: f64,
    /// `right`, or as the words have it.
    word: String,
    #[serde(flatten)]
    has: Has,
}

#[derive(Debug, Serialize)]
struct Recorded {
    name: String,
    torque_n_m: f64,
    standing: &'static str,
    word: String,
    #[serde(flatten)]
    has: Has,
}

/// What a joint has at a torque; what is not of its sort is `null`.
#[derive(Debug, Serialize)]
struct Has {
    slip_n: Option<f64>,
    rated_torque_n_m: Option<f64>,
    thread: Option<String>,
    class: Option<String>,
    bolts: Option<usize>,
    proof_load_n: Option<f64>,
    greatest_torque_n_m: Option<f64>,
    at_highest_friction: Option<At>,
    at_lowest_friction: Option<At>,
}

#[derive(Debug, Serialize)]
struct At {
    friction: f64,
    preload_n: f64,
    proof_share: f64,
    yield_share: f64,
}

impl At {
    fn of(p: &Preload) -> Self {
        Self {
            friction: p.friction,
            preload_n: p.preload_n,
            proof_share: p.proof_share,
            yield_share: p.yield_share,
        }
    }
}

impl Has {
    fn of(holds: &Holds) -> Self {
        match holds {
            Holds::Grip(g) => {
                Self { slip_n: g.slip_n, rated_torque_n_m: Some(g.rated_nm), ..Self::bolts(None, None) }
            }
            Holds::Bolts { thread, class, count, bolt, .. } => {
                Self::bolts(Some((thread, class, *count)), bolt.as_ref())
            }
        }
    }

    fn bolts(kind: Option<(&String, &String, usize)>, bolt: Option<&Bolt>) -> Self {
        Self {
            slip_n: None,
            rated_torque_n_m: None,
            thread: kind.map(|k| k.0.clone()),
            class: kind.map(|k| k.1.clone()),
            bolts: kind.map(|k| k.2),
            proof_load_n: bolt.map(|b| b.proof_n),
            greatest_torque_n_m: bolt.map(|b| b.greatest_nm),
            at_highest_friction: bolt.map(|b| At::of(&b.rough)),
            at_lowest_friction: bolt.map(|b| At::of(&b.slippery)),
        }
    }
}

fn word(w: Word) -> String {
    said(w).map_or_else(|| "right".to_owned(), str::to_lowercase)
}

impl Printed {
    pub(crate) fn of(sheet: &Sheet<'_>, exit_status: u8) -> Self {
        let recorded = |(at, r): &(usize, Reading)| Recorded {
            name: sheet.torques[*at].name.clone(),
            torque_n_m: r.torque_nm,
            standing: match r.standing {
                Standing::Within => "as planned",
                Standing::Low => "low",
                Standing::High => "high",
            },
            word: word(r.word),
            has: Has::of(&r.holds),
        };
        Self {
            rig: sheet.rig.name.clone(),
            exit_status,
            joints: sheet.torques.iter().map(joint).collect(),
            recorded: sheet.readings.iter().map(recorded).collect(),
            rules: &RULES,
        }
    }
}

fn joint(t: &Torque) -> Joint {
    let ((low, high), (from, to)) = (t.band_nm(), t.wrench_nm());
    Joint {
        name: t.name.clone(),
        key: t.target.key.clone(),
        target_n_m: t.target.value,
        target_from: origin(t.target.origin),
        tolerance_share: tolerance(t.target.value),
        reads_from_n_m: low,
        reads_to_n_m: high,
        wrench_top_from_n_m: from,
        wrench_top_to_n_m: to,
        word: word(t.word()),
        has: Has::of(&t.holds),
    }
}
