//! The governing cup of each example by a sum on paper, beside the frame's own answer (`docs/mechanics/12-by-hand.md`).
//!
//! The sum knows no tubes: everything over the cups is one rigid body. What acts in the state is one force and one moment
//! about the middle of the cups; the pull is shared by the group rule (`mechanics::cup::group`), tilting besides by the
//! cups' own stiffness against rocking, shear in equal parts, turning by the polar rule.
//!
//! `WRITE_DOCS=1 cargo test -p verdict --test by_hand` writes the page's numbers anew.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_precision_loss,
    reason = "a test program: a fault stops the test"
)]

mod common;

use common::{EXAMPLES, all_known, example};
use core::f64::consts::PI;
use core::fmt::Write;
use glam::{DMat2, DVec2, DVec3};
use mechanics::cup::group::{Stand, share_n};
use mechanics::wrench::Wrench;
use rig::Rig;
use rig::model::{Hold, StrapKind};
use rig::policy::CheckId;
use verdict::check::{cups, reserve, swept};
use verdict::context::Resolution;
use verdict::structure::BuildOptions;
use verdict::{Context, PartRef, StateId, sweep};

/// Everything that acts on the rig in a state about a point, straps at the tension that was read on them.
fn acting(ctx: &Context<'_>, state: &StateId, about: DVec3) -> Wrench {
    let mut sum = reserve::total_action(ctx, state);
    let lost = ctx.failures[state.failure].lost;
    for (s, strap) in ctx.rig.straps.iter().enumerate() {
        if strap.kind == StrapKind::Tether || lost == Some(PartRef::Strap(s)) {
            continue;
        }
        for (i, p) in strap.path.iter().enumerate().filter(|(_, p)| p.on != Hold::Body) {
            for k in [i.wrapping_sub(1), i + 1] {
                if let Some(other) = strap.path.get(k) {
                    let pull = (other.at - p.at).normalize() * strap.pretension.value;
                    sum += Wrench::of_force_at(pull, p.at);
                }
            }
        }
    }
    sum.about(DVec3::ZERO, about)
}

/// The sum on paper for one cup in one state.
struct Paper {
    count: usize,
    /// Along, across, out of the panel, N, at the middle of the cups.
    force: DVec3,
    /// About the same three lines, N m.
    moment: DVec3,
    /// The cup from the middle, m.
    at: DVec2,
    /// Share of the tilting moment that the cups take by rocking, about the worse line.
    rocking_share: f64,
    pull: f64,
    rock: f64,
    shear: f64,
    turn: f64,
}

fn paper(ctx: &Context<'_>, state: &StateId, cup: usize) -> Paper {
    let rig = ctx.rig;
    let lost = ctx.failures[state.failure].lost;
    let standing: Vec<usize> = (0..rig.cups.len()).filter(|c| lost != Some(PartRef::Cup(*c))).collect();
    let count = standing.len();
    let n = standing.len() as f64;
    let mean = |f: &dyn Fn(usize) -> DVec3| standing.iter().map(|c| f(*c)).sum::<DVec3>() / n;
    let middle = mean(&|c| rig.cups[c].at);
    let out = mean(&|c| rig.cups[c].normal).normalize();
    let along = mean(&|c| rig.cups[c].along);
    let along = (along - out * along.dot(out)).normalize();
    let across = out.cross(along);
    let local = |v: DVec3| DVec3::new(v.dot(along), v.dot(across), v.dot(out));
    let w = acting(ctx, state, middle);
    let (force, moment) = (local(w.force), local(w.moment));
    let place = |c: usize| local(rig.cups[c].at - middle).truncate();
    let part = &rig.cups[cup];
    let panel = &rig.panels[part.panel];
    let series = |a: f64, b: f64| a * b / (a + b);
    let axial = series(part.axial.value, panel.stiffness.value);
    let rocking = series(part.rocking.value, panel.rocking.value);
    // Tilting: the base turns by t with (sum k r r' + n kr) t = Q; what the cups' springs along their axes take is I t.
    let q = DVec2::new(moment.y, -moment.x);
    let spread = standing.iter().fold(DMat2::ZERO, |m, c| {
        let r = place(*c);
        m + DMat2::from_cols(r * r.x, r * r.y)
    });
    let tilt = (spread * axial + DMat2::from_diagonal(DVec2::splat(n * rocking))).inverse() * q;
    let by_springs = spread * axial * tilt;
    let stands: Vec<Stand> = standing.iter().map(|c| Stand { at_m: place(*c), stiffness: 1.0 }).collect();
    let pressed = share_n(&stands, -force.z, by_springs).unwrap();
    let me = standing.iter().position(|c| *c == cup).unwrap();
    // Shear: equal parts, and turning about the middle by the polar rule beside the cups' own stiffness against turning.
    let polar: f64 = standing.iter().map(|c| place(*c).length_squared()).sum();
    let angle = -moment.z / (part.shear.value * polar + n * part.torsional.value);
    let shear = -force.truncate() / n + place(cup).perp() * (part.shear.value * angle);
    Paper {
        count,
        force,
        moment,
        at: place(cup),
        rocking_share: if q.length() > 0.0 { 1.0 - by_springs.length() / q.length() } else { 0.0 },
        pull: -pressed[me],
        rock: (tilt * rocking).length(),
        shear: shear.length(),
        turn: (part.torsional.value * angle).abs(),
    }
}

/// Demand and capacity of seal and slip from the sum on paper.
fn demand_capacity(ctx: &Context<'_>, id: CheckId, p: &Paper, cup: usize) -> (f64, f64) {
    let part = &ctx.rig.cups[cup];
    let f = cups::facts(ctx, cup).unwrap();
    let n0 = f.vacuum * PI * part.seal_radius * part.seal_radius;
    let (ro, ri) = (part.outer_radius, part.seal_radius);
    let press = (-p.pull).max(0.0);
    if id == CheckId::CupSeal {
        let core = (ro * ro + ri * ri) / (4.0 * ro);
        (p.pull.max(0.0) + p.rock / core, n0 + press)
    } else {
        let mu = ctx.rig.panels[part.panel].friction.value;
        let sideways = p.shear.hypot(p.turn / f.torsion_radius);
        (sideways / (mu * mechanics::cup::slip::RING_SHARE) + p.pull.max(0.0), n0 + press)
    }
}

/// One governing cup: on paper and by the frame.
struct Line {
    id: CheckId,
    cup: usize,
    words: String,
    paper: Paper,
    by_paper: (f64, f64),
    by_frame: (f64, f64),
    factor: f64,
}

impl Line {
    /// Utilisation on paper over the frame's.
    fn ratio(&self) -> f64 {
        (self.by_paper.0 / self.by_paper.1) / (self.by_frame.0 / self.by_frame.1)
    }
}

/// Worst cup for seal and slip, with nothing lost and with one part lost.
fn lines(rig: &Rig) -> Vec<Line> {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    let checks = swept(&ctx);
    let step = Resolution { pan: 30.0_f64.to_radians(), elevation: 15.0_f64.to_radians() };
    let found = sweep::sweep(&ctx, &checks, step, &|_| {});
    let mut out = Vec::new();
    for id in [CheckId::CupSeal, CheckId::CupSlip] {
        let k = checks.iter().position(|c| c.id() == id).unwrap();
        for lost in [false, true] {
            let worst = |p: &sweep::Pair| if lost { p.lost } else { p.intact };
            let (cup, worst) = found.pairs[k]
                .iter()
                .enumerate()
                .filter_map(|(c, p)| Some((c, worst(p)?)))
                .max_by(|a, b| a.1.utilisation.total_cmp(&b.1.utilisation))
                .unwrap();
            let item = &checks[k].items()[cup];
            let by_frame = checks[k].demand_capacity(item, &sweep::numbers(&ctx, item.source, &worst.state));
            let paper = paper(&ctx, &worst.state, cup);
            let factors = rig.policy.factors(id);
            out.push(Line {
                id,
                cup,
                words: worst.state.words(&ctx),
                by_paper: demand_capacity(&ctx, id, &paper, cup),
                by_frame,
                paper,
                factor: if lost { factors.lost } else { factors.intact },
            });
        }
    }
    out
}

fn known(name: &str) -> Rig {
    let mut rig = example(name);
    all_known(&mut rig);
    rig
}

/// The rig with its cups' panel pressed flat: all seals in one plane, all axes side by side.
fn flat(mut rig: Rig) -> Rig {
    let panel = rig.panels[0].clone();
    for cup in &mut rig.cups {
        cup.at = panel.centre + panel.ea * cup.place.0 + panel.eb * cup.place.1;
        cup.normal = panel.normal;
        cup.along = (DVec3::X - panel.normal * DVec3::X.dot(panel.normal)).normalize();
    }
    rig
}

#[test]
fn on_a_plate_the_sum_on_paper_is_the_frames_answer() {
    for name in ["bonnet-camera", "door-camera"] {
        for line in lines(&known(name)) {
            // The panel is crowned: cups lean apart by up to some 4 degrees, which the sum leaves out.
            let off = (line.ratio() - 1.0).abs();
            assert!(
                off < 0.08,
                "{name} {:?} {}: paper {:?}, frame {:?}",
                line.id,
                line.words,
                line.by_paper,
                line.by_frame
            );
        }
    }
}

#[test]
fn on_a_flat_panel_the_two_agree_to_rounding() {
    for name in ["bonnet-camera", "door-camera"] {
        for line in lines(&flat(known(name))) {
            let off = (line.ratio() - 1.0).abs();
            assert!(off < 1e-9, "{name} {:?} {}: off by {off:e}", line.id, line.words);
        }
    }
}

/// What tubes a thousand times as stiff still bend.
const STIFF: f64 = 0.02;

/// Tubes so stiff that the ladder is the rigid body of the sum, straps so long that their tension stays as read.
#[test]
fn a_ladder_of_stiff_tubes_comes_to_the_sum_on_paper() {
    for name in ["estate-arm", "pickup-arm-mended"] {
        let soft = lines(&known(name));
        let mut rig = flat(known(name));
        let stiffer = |s: &mut rig::model::Section| {
            s.material.e_pa *= 1e3;
            s.material.g_pa *= 1e3;
        };
        rig.tubes.iter_mut().for_each(|t| stiffer(&mut t.section));
        rig.legs.iter_mut().filter_map(|l| l.section.as_mut()).for_each(stiffer);
        rig.straps.iter_mut().for_each(|s| s.stretch.value = 1e6);
        for line in lines(&rig) {
            let off = (line.ratio() - 1.0).abs();
            assert!(off < STIFF, "{name} {:?} {}: off by {off:.3}", line.id, line.words);
        }
        // With the tubes as they are the sum is a rule of thumb; it must still be of the right size.
        for line in soft {
            let ratio = line.ratio();
            assert!((0.4..2.0).contains(&ratio), "{name} {:?} {}: {ratio:.3}", line.id, line.words);
        }
    }
}

fn section(name: &str, rig: &Rig, lines: &[Line]) -> String {
    let mut t = format!("### {name}\n\n");
    for l in lines {
        let (p, cup) = (&l.paper, &rig.cups[l.cup]);
        let margin = |(d, c): (f64, f64)| c / (l.factor * d);
        let what = if l.id == CheckId::CupSeal { "lifts" } else { "slides" };
        writeln!(t, "Cup {} {what}: {}.\n", cup.tag, l.words).unwrap();
        writeln!(t, "| | |\n|---|---|").unwrap();
        writeln!(t, "| cups that stand | {} |", p.count).unwrap();
        writeln!(
            t,
            "| force along, across, out of the panel | {:.0}, {:.0}, {:.0} N |",
            p.force.x, p.force.y, p.force.z
        )
        .unwrap();
        writeln!(
            t,
            "| moment about the same lines at the middle of the cups | {:.1}, {:.1}, {:.1} N·m |",
            p.moment.x, p.moment.y, p.moment.z
        )
        .unwrap();
        writeln!(
            t,
            "| this cup from the middle, along and across | {:.0}, {:.0} mm |",
            p.at.x * 1e3,
            p.at.y * 1e3
        )
        .unwrap();
        writeln!(t, "| part of the tilting that cups take by rocking | {:.1} % |", p.rocking_share * 1e2)
            .unwrap();
        writeln!(t, "| pull T, rocking M | {:.1} N, {:.2} N·m |", p.pull, p.rock).unwrap();
        writeln!(t, "| shear V, turning Mz | {:.1} N, {:.2} N·m |", p.shear, p.turn).unwrap();
        writeln!(t, "| demand, capacity on paper | {:.0}, {:.0} N |", l.by_paper.0, l.by_paper.1).unwrap();
        writeln!(t, "| demand, capacity by the frame | {:.0}, {:.0} N |", l.by_frame.0, l.by_frame.1)
            .unwrap();
        writeln!(
            t,
            "| margin on paper, by the frame (factor {}) | {:.2}, {:.2} |\n",
            l.factor,
            margin(l.by_paper),
            margin(l.by_frame)
        )
        .unwrap();
    }
    t
}

const BEGIN: &str = "<!-- made by crates/verdict/tests/by_hand.rs from here -->\n";
const END: &str = "<!-- to here -->\n";

#[test]
fn the_page_has_these_numbers() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/mechanics/12-by-hand.md");
    let mut made = BEGIN.to_owned() + "\n";
    for (name, _) in EXAMPLES {
        let rig = known(name);
        made += &section(name, &rig, &lines(&rig));
    }
    made += END;
    let page = std::fs::read_to_string(path).unwrap();
    let (head, rest) = page.split_once(BEGIN).unwrap();
    let (_, tail) = rest.split_once(END).unwrap();
    let new = format!("{head}{made}{tail}");
    if std::env::var_os("WRITE_DOCS").is_some() {
        std::fs::write(path, &new).unwrap();
        return;
    }
    for (i, (is, should)) in page.lines().zip(new.lines()).enumerate() {
        assert_eq!(is, should, "line {} of 12-by-hand.md; WRITE_DOCS=1 writes it anew", i + 1);
    }
    assert_eq!(page.len(), new.len());
}
