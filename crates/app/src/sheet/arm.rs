//! The arm in brief: balance, drives, isolator.

use super::Sheet;
use super::table::{faint, head, points, text, under};
use crate::command::check::cannot;
use crate::io::Stop;
use crate::print::balance::{asked, heavy, left, length, mass, steps, weight};
use crate::print::isolator::{air, answer_words, axis_words, coil};
use paper::{Block, Run};
use rig::model::Arm;
use rig::policy::CheckId;
use verdict::balance::{NoBalance, Plans, Unweighed, plans};
use verdict::isolator::Isolator;
use verdict::isolator::setting::Setting;
use verdict::{Finding, Outcome, isolator};

pub(super) fn part(sheet: &Sheet<'_>) -> Result<Vec<Block>, Stop> {
    let Some(arm) = &sheet.rig.arm else { return Ok(Vec::new()) };
    let mut out = vec![head("The arm")];
    match plans(sheet.rig) {
        Ok((plans, unweighed)) => out.extend(balance(sheet, arm, &plans, unweighed.as_ref())),
        Err(NoBalance::NoArm) => {}
        Err(NoBalance::Plan(e)) => out.push(text(format!("The balance cannot be worked out: {e}."))),
        Err(NoBalance::Fault(fault)) => return Err(cannot(&fault)),
    }
    if let Some(i) = isolator::isolator(sheet.rig, None).map_err(|f| cannot(&f))? {
        out.extend(spring(&i));
    }
    Ok(out)
}

fn balance(sheet: &Sheet<'_>, arm: &Arm, plans: &Plans, unweighed: Option<&Unweighed>) -> Vec<Block> {
    let w = &arm.counterweight;
    let mut out = vec![
        under("Balance"),
        text(format!(
            "Payload {}, isolator {}; counterweight {}, {} behind the pivot.",
            mass(arm.payload.mass.value),
            mass(arm.isolator.mass.value),
            weight(w.mass.value),
            length(w.behind.value)
        )),
    ];
    if let Some(u) = unweighed {
        let keys: Vec<&str> = u.facts.iter().map(|f| f.key.as_str()).collect();
        out.push(Block::Text(vec![
            Run::bold("HOLD: the boom cannot be balanced on a guess. "),
            Run::plain(format!(
                "Not weighed: {}. Held level it may be anything from {} to {}.",
                keys.join(", "),
                heavy(u.level_nm.0),
                heavy(u.level_nm.1)
            )),
        ]));
        return out;
    }
    let mut said = vec![format!("Held level, as it hangs: {}.", heavy(plans.now.level_nm))];
    match plans.advice() {
        Some(plan) if !plan.is_nothing() => {
            said.push(format!("To do: {}. {}", steps(plan).join(", "), left(plan)));
        }
        _ => said.push("To do: nothing; leave it as it is.".to_owned()),
    }
    for check in [CheckId::TiltDrive, CheckId::PanDrive] {
        let of = sheet.verdict.findings.iter().filter(|f| f.check == check && f.outcome != Outcome::Note);
        said.extend(of.take(1).map(drive));
    }
    out.extend(points(said));
    out.push(faint("Other payloads, lenses and angles: clingfish balance RIG."));
    out
}

fn drive(f: &Finding) -> String {
    let name = f.check.row().title;
    match &f.outcome {
        Outcome::NotChecked(need) => {
            format!("{name}: HOLD, its limit is not stated. Get it {}.", need.settle)
        }
        outcome => {
            let word = if *outcome == Outcome::Fails { "TOO MUCH" } else { "holds" };
            format!("{name}, at the worst: {}, {word}; {}.", asked(f), f.situation)
        }
    }
}

fn spring(i: &Isolator) -> Vec<Block> {
    let (says, more) = answer_words(i);
    let mut out = vec![
        under("Isolator"),
        Block::Text(vec![Run::bold(format!("{}: ", i.fits().word())), Run::plain(says)]),
    ];
    out.extend(points(more));
    let setting = match &i.setting {
        Some(Setting::Air(a)) => air(a),
        Some(Setting::Coil(c)) => coil(c),
        None => Vec::new(),
    };
    let mut said: Vec<String> = setting.into_iter().take(2).collect();
    said.extend(i.axes.iter().map(|axis| format!("{}: {}.", axis.name, axis_words(axis))));
    out.extend(points(said));
    out
}
