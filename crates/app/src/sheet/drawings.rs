//! The rig on its car, to scale, with the least margin on each part; then the worst state.

use super::Sheet;
use super::table::{faint, head, text, under};
use crate::drawing::{SUBJECTS, drawn, on_parts};
use crate::io::Stop;
use draw::view::{Medium, Pose, Scene, View, draw};
use paper::{Block, Figure, room_mm};
use verdict::Finding;

/// Height of the plan, mm.
const PLAN_MM: f64 = 205.0;
/// Room that a heading and the line under a drawing take, mm.
const LINES_MM: f64 = 24.0;

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let rest = Scene::new(sheet.rig);
    let plan = Scene { margins: on_parts(&sheet.verdict.findings), ..rest.clone() };
    let whole = room_mm(sheet.cover.format, true);
    let half = (whole.0, whole.1 / 2.0 - LINES_MM / 2.0);
    let corner = View::Corner { bearing: 35_f64.to_radians(), over: 25_f64.to_radians() };
    let mut out = vec![
        Block::Together(vec![
            head("Drawings"),
            faint(
                "To scale. From above each part has its least margin over all states; without a number it has none of its own.",
            ),
            figure(&plan, View::Plan, "From above", (whole.0, PLAN_MM)),
        ]),
        figure(&rest, View::Side, "From the left", half),
        figure(&rest, View::Front, "From ahead", half),
        figure(&rest, corner, "Across a corner, from ahead and the left", half),
    ];
    if let Some(worst) = worst(&sheet.verdict.findings) {
        let name = format!("{} ({})", worst.check.row().title, worst.part.name(sheet.rig));
        let state = worst.state.unwrap_or_default();
        let scene = Scene {
            pose: Pose { pan: state.pose.pan_rad, elevation: state.pose.elevation_rad },
            lost: state.lost(sheet.rig).and_then(drawn),
            margins: on_parts(core::slice::from_ref(worst)),
            notes: vec![worst.situation.clone()],
            ..rest.clone()
        };
        let says = format!("The worst state: {name}; {}", worst.situation);
        out.push(Block::Together(vec![
            under("The worst state"),
            text(format!("{name}.")),
            figure(&scene, corner, &says, half),
        ]));
    }
    out
}

/// The chart of limits by sector, as it is asked for.
pub(super) const SECTORS: &str = "sectors";

/// Whether there is a drawing of that name.
pub(super) fn has(name: &str) -> bool {
    SUBJECTS.iter().any(|s| s.name == name)
}

/// A chart by its name, if there is one and the rig has something to show.
pub(super) fn chart(sheet: &Sheet<'_>, name: &str, height: f64) -> Result<Option<Block>, Stop> {
    let Some(subject) = SUBJECTS.iter().find(|s| s.name == name) else { return Ok(None) };
    let (width, _) = room_mm(sheet.cover.format, true);
    let svg = (subject.make)(sheet.desk, Medium::Print { width, height })?;
    Ok(svg.map(|svg| Block::Figure(Figure { svg, says: subject.says.to_owned(), caption: String::new() })))
}

fn figure(scene: &Scene<'_>, view: View, says: &str, (width, height): (f64, f64)) -> Block {
    let drawing = draw(scene, view, Medium::Print { width, height });
    // The drawing says itself what it shows, and its scale.
    Block::Figure(Figure { svg: drawing.svg, says: says.to_owned(), caption: String::new() })
}

/// The least margin that has a state.
fn worst(findings: &[Finding]) -> Option<&Finding> {
    findings.iter().find(|f| f.state.is_some() && f.margin.is_some_and(f64::is_finite))
}
