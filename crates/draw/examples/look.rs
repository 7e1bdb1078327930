//! Writes every view of rigs to a folder, to be looked at: `cargo run -p draw --example look -- RIG.toml… FOLDER`.
//!
//! Margins, forces and movement are made up.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a tool for looking; it may stop at the first surprise"
)]

use draw::view::{Arrow, Margin, Medium, Moved, Part, Pose, Scene, View, Word, draw};
use glam::DVec3;
use rig::Rig;
use std::path::Path;

fn read(path: &Path) -> Rig {
    let folder = path.parent().unwrap();
    let text = |file: &str| std::fs::read_to_string(folder.join(file)).map_err(|e| e.to_string());
    rig::read(&std::fs::read_to_string(path).unwrap(), "rig", &text).rig.unwrap()
}

/// Values that show every word.
fn made_up(rig: &Rig, scene: &mut Scene<'_>) {
    let of = |k: usize| match k % 5 {
        0 => (Some(1.42), Word::Holds),
        1 => (Some(1.04), Word::Close),
        2 => (Some(0.76), Word::Fails),
        3 => (None, Word::Unknown),
        _ => (Some(2.6), Word::Holds),
    };
    let cups = (0..rig.cups.len()).map(Part::Cup);
    let tubes = (0..rig.tubes.len()).map(Part::Tube);
    let straps = (0..rig.straps.len().min(2)).map(Part::Strap);
    scene.margins = cups
        .chain(tubes)
        .chain(straps)
        .enumerate()
        .map(|(k, part)| Margin { part, value: of(k).0, word: of(k).1 })
        .collect();
    scene.notes = vec![
        "Worst of all states for the cups: emergency braking from 50 km/h (31.1 mph), boom 35 deg left."
            .to_owned(),
        "All values are made up, to look at.".to_owned(),
    ];
}

fn main() {
    let mut files: Vec<String> = std::env::args().skip(1).collect();
    let out = files.pop().unwrap();
    std::fs::create_dir_all(&out).unwrap();
    let views = [
        ("plan", View::Plan),
        ("side", View::Side),
        ("front", View::Front),
        ("corner", View::Corner { bearing: 0.75, over: 0.45 }),
        ("back", View::Corner { bearing: -2.4, over: 0.3 }),
    ];
    let media = [
        ("page", Medium::Page),
        ("phone", Medium::Phone),
        ("print", Medium::Print { width: 190.0, height: 277.0 }),
    ];
    for file in &files {
        let rig = read(Path::new(file));
        let name = Path::new(file).file_stem().unwrap().to_string_lossy().into_owned();
        let plain = Scene::new(&rig);
        let mut margins = plain.clone();
        made_up(&rig, &mut margins);
        margins.lost = (!rig.cups.is_empty()).then_some(Part::Cup(0));
        let mut forces = plain.clone();
        if rig.arm.is_some() {
            forces.pose = Pose { pan: 0.6, elevation: 0.2 };
        }
        forces.lost = (!rig.straps.is_empty()).then_some(Part::Strap(0));
        for (k, c) in rig.cups.iter().enumerate() {
            let n = 300.0 + 140.0 * f64::from(u32::try_from(k).unwrap());
            let force = DVec3::new(0.3 * n, 0.1 * n, n);
            forces.arrows.push(Arrow {
                at: c.at,
                force,
                label: format!("{:.0} N ({:.0} lbf)", n, n / 4.448),
            });
        }
        let bent = |t: f64| DVec3::new(0.0, 0.001 * t, -0.003 * (std::f64::consts::PI * t).sin());
        let lines = rig
            .tubes
            .iter()
            .map(|t| (0..=10).map(|k| f64::from(k) / 10.0).map(|s| (t.a.lerp(t.b, s), bent(s))).collect());
        forces.moved = Some(Moved { times: 40.0, lines: lines.collect() });
        for (what, scene) in [("plain", &plain), ("margins", &margins), ("forces", &forces)] {
            for (v, view) in views {
                for (m, medium) in media {
                    let mut took = std::time::Duration::MAX;
                    let mut drawing = draw(scene, view, medium);
                    for _ in 0..5 {
                        let start = std::time::Instant::now();
                        drawing = draw(scene, view, medium);
                        took = took.min(start.elapsed());
                    }
                    let file = format!("{out}/{name}-{what}-{v}-{m}.svg");
                    println!("{file} {:.2} ms, {} kB", took.as_secs_f64() * 1e3, drawing.svg.len() / 1000);
                    std::fs::write(file, drawing.svg).unwrap();
                }
            }
        }
    }
}
