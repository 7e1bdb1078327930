//! The same states by general-purpose frame solvers and by a response-matrix product in numpy.
//!
//! The bench writes the frame, the basis loads, the states and the responses to a file; the scripts in `benches/reference`
//! solve them in their own way. A time counts only where the answers agree.

use crate::measure;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::Command;
use verdict::check::{self, Swept};
use verdict::context::Resolution;
use verdict::state::StateId;
use verdict::structure::BuildOptions;
use verdict::{Context, sweep};

use mechanics::frame::JointKind;
use rig::Rig;
use rig::model::ArmUse;
use rig::policy::CheckId;

/// States that are handed over.
const STATES: usize = 20_000;
/// How near the forces of all cups must be, as a share of the largest force (moment) of any.
const AGREE: f64 = 1e-6;
/// The same where stiff bars stand in for rigid links: they give a little, and cost the solver's matrix some digits.
const AGREE_WITH_BARS: f64 = 1e-5;
/// How near the worst uses must be where the checks are reckoned too, as a share: rounding of the same sums in another order.
const AGREE_CHECKS: f64 = 1e-9;

/// One script.
struct Script {
    file: &'static str,
    name: &'static str,
    what: &'static str,
    agree: f64,
    checks: bool,
}

const SCRIPTS: [Script; 3] = [
    Script {
        file: "run_numpy.py",
        name: "numpy",
        what: "response matrix times states; cup seal, cup slip and tube stress",
        agree: AGREE,
        checks: true,
    },
    Script {
        file: "run_opensees.py",
        name: "OpenSees",
        what: "model kept, factored once, one call for all states, cups recorded; no checks",
        agree: AGREE,
        checks: false,
    },
    Script {
        file: "run_pynite.py",
        name: "PyNite",
        what: "model kept, matrix put together once, a load combination a state; no checks",
        agree: AGREE_WITH_BARS,
        checks: false,
    },
];

/// What a script came to, once it was found to agree.
pub(crate) struct Timed {
    pub(crate) name: &'static str,
    pub(crate) what: &'static str,
    pub(crate) version: String,
    pub(crate) processes: u64,
    pub(crate) states: u64,
    pub(crate) spread: f64,
    pub(crate) per_s: f64,
    /// Largest difference from the engine's forces over the largest force; the same of moments if that is more.
    pub(crate) apart: f64,
    /// How far apart they may be.
    pub(crate) agree: f64,
}

/// What came of each script: a time, or why there is none.
pub(crate) type Found = Vec<(&'static str, Result<Timed, String>)>;

/// Everything that the scripts build in, made once beside the results of the build.
fn python() -> PathBuf {
    if let Some(named) = std::env::var_os("CLINGFISH_BENCH_PYTHON") {
        return named.into();
    }
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap();
    let inside = if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" };
    target.join("reference-venv").join(inside)
}

/// States with nothing lost from all over the grid, in an order in which any first few are from all over it too.
fn pick(ctx: &Context<'_>) -> Vec<StateId> {
    let poses = ctx.poses(Resolution::fine());
    let mut all = Vec::new();
    for drive in 0..ctx.actions.drives.len() {
        let here = if ctx.arm_use(drive) == ArmUse::Parked { vec![ctx.parked()] } else { poses.clone() };
        for motion in 0..ctx.motions(drive) {
            all.extend(here.iter().map(|pose| StateId { failure: 0, drive, motion, pose: *pose }));
        }
    }
    // A step that has no factor in common with their number visits each once.
    let n = all.len();
    let apart = |step: usize| (2..=step).all(|d| !step.is_multiple_of(d) || !n.is_multiple_of(d));
    let golden = (n as f64 * 0.618) as usize;
    let step = (golden..n).find(|s| apart(*s)).unwrap_or(1);
    (0..n.min(STATES)).map(|k| all[k * step % n]).collect()
}

fn of_check(checks: &[Box<dyn Swept>], id: CheckId) -> &dyn Swept {
    checks.iter().find(|c| c.id() == id).unwrap().as_ref()
}

/// The frame and all that acts on it, as the scripts read it; or why it cannot be given to them.
fn describe(ctx: &Context<'_>, checks: &[Box<dyn Swept>], states: &[Vec<f64>]) -> Result<Value, String> {
    let f = &ctx.structure.frame;
    if f.joints.iter().any(|j| !matches!(j.kind, JointKind::Rigid)) {
        return Err("the frame has joints that let go, which the scripts cannot express".to_owned());
    }
    let members = f.members.iter().enumerate().map(|(m, member)| {
        let b = &member.beam;
        json!({
            "i": member.i, "j": member.j, "axes": f.member_axes(m).map(|a| a.to_array()),
            "e": b.e_pa, "g": b.g_pa, "a": b.area_m2, "iy": b.iy_m4, "iz": b.iz_m4, "torsion": b.j_m4,
            "line_mass": b.line_mass(),
        })
    });
    let path = |s: &mechanics::frame::Strand| -> Vec<Value> {
        s.path.iter().map(|p| json!({ "at": p.at.to_array(), "node": p.node })).collect()
    };
    let loads = ctx.loads.iter().map(|l| {
        json!({
            "specific_force": l.specific_force.to_array(),
            "nodal": l.nodal.iter().map(|(n, w)| json!([n, w.to_array()])).collect::<Vec<_>>(),
            "line": l.line.iter().map(|(m, w)| json!([m, w.to_array()])).collect::<Vec<_>>(),
            "fitted": l.fitted,
        })
    });
    let data = |id, n: usize| -> Vec<Vec<f64>> {
        of_check(checks, id).items().iter().map(|i| i.data[..n].to_vec()).collect()
    };
    let starts = |id| -> Vec<usize> {
        let items = of_check(checks, id).items().iter();
        let start = |s| if let check::Source::Rows { start, .. } = s { Some(start) } else { None };
        items.filter_map(|i| start(i.source)).collect()
    };
    let r = ctx.failures[0].responses.as_ref().map_err(ToString::to_string)?;
    Ok(json!({
        "nodes": f.nodes.iter().map(glam::DVec3::to_array).collect::<Vec<_>>(),
        "members": members.collect::<Vec<_>>(),
        "rigid": f.joints.iter().map(|j| [j.a, j.b]).collect::<Vec<_>>(),
        "supports": f.supports.iter()
            .map(|s| json!({ "node": s.node, "axes": s.axes.map(|a| a.to_array()), "k": s.k })).collect::<Vec<_>>(),
        "strands": f.strands.iter().map(|s| json!({ "k": s.k_n_per_m, "path": path(s) })).collect::<Vec<_>>(),
        "masses": f.masses.iter()
            .map(|m| json!({ "node": m.node, "mass": m.mass_kg, "at": m.at.to_array() })).collect::<Vec<_>>(),
        "loads": loads.collect::<Vec<_>>(),
        "states": states,
        "response": {
            "r": r.r, "columns": r.columns,
            "cups": starts(CheckId::CupSeal), "stations": starts(CheckId::TubeStress),
            "seal": data(CheckId::CupSeal, 2), "slip": data(CheckId::CupSlip, 3), "stress": data(CheckId::TubeStress, 5),
        },
    }))
}

/// What the engine says of the same states.
struct Ours {
    /// Six numbers a cup, state by state.
    forces: Vec<Vec<f64>>,
    /// Worst use of cup seal, cup slip, tube stress.
    worst: [f64; 3],
}

fn ours(ctx: &Context<'_>, checks: &[Box<dyn Swept>], states: &[StateId], actions: &[Vec<f64>]) -> Ours {
    let r = ctx.failures[0].responses.as_ref().unwrap();
    let one = |u: &Vec<f64>| -> Vec<f64> {
        let rows = ctx.layout.cup.iter().flat_map(|start| *start..start + 6);
        rows.map(|row| r.row(row).iter().zip(u).map(|(a, b)| a * b).sum()).collect()
    };
    let found = sweep::at_states(ctx, checks, states);
    let worst = [CheckId::CupSeal, CheckId::CupSlip, CheckId::TubeStress].map(|id| {
        let at = checks.iter().position(|c| c.id() == id).unwrap();
        let uses = found.pairs[at].iter().filter_map(|p| p.intact).map(|w| w.utilisation);
        uses.fold(0.0, f64::max)
    });
    Ours { forces: actions.iter().map(one).collect(), worst }
}

/// Largest difference over the largest value, forces and moments apart, the greater of both.
fn apart(ours: &[Vec<f64>], theirs: &[Vec<f64>]) -> f64 {
    let mut most = [[0.0_f64; 2]; 2];
    for (a, b) in ours.iter().zip(theirs) {
        if a.len() != b.len() {
            return f64::INFINITY;
        }
        for (k, (a, b)) in a.iter().zip(b).enumerate() {
            let [difference, size] = &mut most[k % 6 / 3];
            // A lost number is as far apart as can be.
            let d = (a - b).abs();
            *difference = if d.is_nan() { f64::INFINITY } else { difference.max(d) };
            *size = size.max(a.abs());
        }
    }
    most.iter().map(|[d, s]| d / s).fold(0.0, f64::max)
}

fn run(python: &Path, script: &Script, frame: &Path, ours: &Ours) -> Result<Timed, String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/reference");
    let answer = frame.with_file_name(format!("{}.json", script.file));
    let mut seconds = Vec::new();
    let mut last = Value::Null;
    for _ in 0..3 {
        let out = Command::new(python)
            .arg(folder.join(script.file))
            .args([frame, &answer])
            .env("PYTHONDONTWRITEBYTECODE", "1")
            .output()
            .map_err(|e| format!("cannot run {}: {e}", python.display()))?;
        if !out.status.success() {
            let words = String::from_utf8_lossy(&out.stderr);
            return Err(words.lines().rfind(|l| !l.trim().is_empty()).unwrap_or("it failed").to_owned());
        }
        let text = std::fs::read_to_string(&answer).map_err(|e| e.to_string())?;
        last = serde_json::from_str(&text).map_err(|e| e.to_string())?;
        seconds.push(last["seconds"].as_f64().ok_or("it gave no time")?);
    }
    let theirs: Vec<Vec<f64>> = serde_json::from_value(last["forces"].clone()).map_err(|e| e.to_string())?;
    if theirs.is_empty() {
        return Err("it gave no forces".to_owned());
    }
    let apart = apart(&ours.forces, &theirs);
    if apart > script.agree {
        return Err(format!("no ratio: its forces on cups are {apart:.1e} of the largest away from ours"));
    }
    if script.checks {
        let worst: [f64; 3] = serde_json::from_value(last["worst"].clone()).map_err(|e| e.to_string())?;
        let off = ours.worst.iter().zip(worst).map(|(a, b)| ((a - b) / a).abs()).fold(0.0, f64::max);
        if off.is_nan() || off > AGREE_CHECKS {
            return Err(format!("no ratio: its worst uses {worst:?} are not ours, {:?}", ours.worst));
        }
    }
    let states = last["states"].as_u64().unwrap_or(0);
    let timing = measure::of(seconds);
    Ok(Timed {
        name: script.name,
        what: script.what,
        version: last["version"].as_str().unwrap_or("?").to_owned(),
        processes: last["processes"].as_u64().unwrap_or(1),
        states,
        spread: timing.spread(),
        per_s: states as f64 / timing.median,
        apart,
        agree: script.agree,
    })
}

/// Runs all scripts; their members know no shear, so the frame is built without it.
pub(crate) fn all(rig: &Rig) -> Result<Found, String> {
    let python = python();
    if !python.exists() {
        return Err("no Python with the reference's packages here; `cargo xtask bench` makes one".to_owned());
    }
    let ctx = Context::new(rig, BuildOptions { slender: true }).map_err(|e| e.to_string())?;
    let checks = check::swept(&ctx);
    let states = pick(&ctx);
    let actions: Vec<Vec<f64>> = states.iter().map(|s| ctx.action_of(s).0).collect();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("reference");
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    let frame = folder.join("frame.json");
    let text = describe(&ctx, &checks, &actions)?.to_string();
    std::fs::write(&frame, text).map_err(|e| format!("{}: {e}", frame.display()))?;
    let ours = ours(&ctx, &checks, &states, &actions);
    Ok(SCRIPTS.iter().map(|s| (s.name, run(&python, s, &frame, &ours))).collect())
}
