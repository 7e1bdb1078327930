//! What `respond --json` prints.

use crate::print::responses::{PartRows, Sort, Table};
use rig::Rig;
use serde::Serialize;

/// Responses to unit actions, or to one action.
#[derive(Debug, Serialize)]
pub(crate) struct Respond {
    rig: String,
    conventions: Conventions,
    lost: Option<String>,
    shear_deformation: bool,
    worst_residual: f64,
    actions: Vec<Action>,
    cups: Vec<Part>,
    straps: Vec<Part>,
    tubes: Vec<Part>,
    jaws: Vec<Part>,
    leg_tops: Vec<Part>,
    platforms: Vec<Part>,
}

#[derive(Debug, Serialize)]
struct Conventions {
    units: &'static str,
    axes: &'static str,
    actions: &'static str,
    cups: &'static str,
    straps: &'static str,
    tubes: &'static str,
    jaws: &'static str,
    leg_tops: &'static str,
    platforms: &'static str,
}

#[derive(Debug, Serialize)]
struct Action {
    name: String,
    unit: String,
}

#[derive(Debug, Serialize)]
struct Part {
    name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_m: Option<f64>,
    #[serde(skip_serializing_if = "String::is_empty")]
    on: String,
    numbers: Vec<Numbers>,
}

/// One number under each action, in the order of `actions`.
#[derive(Debug, Serialize)]
struct Numbers {
    name: &'static str,
    unit: &'static str,
    values: Vec<f64>,
}

const CONVENTIONS: Conventions = Conventions {
    units: "SI: m, N, N·m, rad; per unit action, or under the action given",
    axes: "ISO 8855: x ahead, y left, z up; moments by the right hand",
    actions: "specific force: force on each kg in the car's frame (gravity less the car's acceleration), vehicle axes; \
              force and moment: on the rig at the mast base (top middle of the arm's platform, or of the first one), \
              vehicle axes; tension fitted: what a strap was pulled to before anything else acted",
    cups: "force and moment of the panel on the rig at the seal's middle, cup's own axes: along the panel (nearest to \
           straight ahead), across (out x along), out of the panel; a positive F_out presses the cup down",
    straps: "tension by the action, pull positive; tethers hang slack and have none",
    tubes: "internal forces at a distance at_m from the tube's first end, of the part beyond the cut on the part before it: N pull positive; \
            tube axes: x from first to second end, z nearest to up, y = z x x; at a joint both sides are given, in order",
    jaws: "force and moment of the clamp or foot on the tube, tube axes, about the tube's node there",
    leg_tops: "force and moment of the leg on its platform about the leg's top, platform axes: along, across, out of its top",
    platforms: "movement and turning of the top's middle, vehicle axes",
};

impl Respond {
    pub(crate) fn of(rig: &Rig, t: &Table) -> Self {
        let of = |sort: Sort| t.parts.iter().filter(|p| p.sort == sort).map(Part::of).collect();
        Self {
            rig: rig.name.clone(),
            conventions: CONVENTIONS,
            lost: t.lost.clone(),
            shear_deformation: !t.slender,
            worst_residual: t.residual,
            actions: t
                .columns
                .iter()
                .map(|c| Action { name: c.name.clone(), unit: c.unit.clone() })
                .collect(),
            cups: of(Sort::Cup),
            straps: of(Sort::Strap),
            tubes: of(Sort::Tube),
            jaws: of(Sort::Jaw),
            leg_tops: of(Sort::Leg),
            platforms: of(Sort::Platform),
        }
    }
}

impl Part {
    fn of(p: &PartRows) -> Self {
        let numbers = p.sort.names().iter().enumerate().map(|(k, (name, unit))| Numbers {
            name,
            unit,
            values: p.values.iter().map(|c| c.get(k).copied().unwrap_or(f64::NAN)).collect(),
        });
        Self { name: p.part.clone(), at_m: p.at_m, on: p.on.clone(), numbers: numbers.collect() }
    }
}
