//! The person's own steps and rules among the program's.

use crate::draft::Drawn;
use crate::fault::Fault;
use crate::step::{Hold, Kind, Record, Stage, Step};
use rig::House;

/// Whether a name fits a pattern in which `*` stands for anything.
pub fn fits(pattern: &str, name: &str) -> bool {
    match pattern.split_once('*') {
        None => pattern.eq_ignore_ascii_case(name),
        Some((head, rest)) => {
            let Some(begins) = name.get(..head.len()).filter(|b| b.eq_ignore_ascii_case(head)) else {
                return false;
            };
            let left = &name[begins.len()..];
            left.char_indices().map(|(i, _)| i).chain([left.len()]).any(|i| fits(rest, &left[i..]))
        }
    }
}

fn stage(word: &str) -> Stage {
    match word {
        "car" => Stage::Car,
        "cups" => Stage::Cups,
        "grid" => Stage::Grid,
        "platform" => Stage::Platform,
        "second line" => Stage::Retention,
        "arm" => Stage::Arm,
        "payload" => Stage::Payload,
        "power" => Stage::Power,
        _ => Stage::Proof,
    }
}

/// The names that a pattern means, or the fault that it means none. A pattern never means the one that names it.
fn meant(drawn: &[Drawn], pattern: &str, by: &str, own: &str, faults: &mut Vec<Fault>) -> Vec<String> {
    let names = drawn.iter().map(|d| &d.step.name);
    let found: Vec<String> = names.filter(|n| fits(pattern, n) && *n != own).cloned().collect();
    if found.is_empty() {
        faults.push(Fault::Unknown {
            by: by.to_owned(),
            name: pattern.to_owned(),
            meant: near(drawn, pattern),
        });
    }
    found
}

/// The step whose name shares the most with a pattern, if it is plain.
fn near(drawn: &[Drawn], pattern: &str) -> Option<String> {
    let words = |t: &str| -> Vec<String> {
        t.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect()
    };
    let asked = words(pattern);
    let shared = |name: &str| words(name).iter().filter(|w| asked.contains(w)).count();
    let begins = |name: &str| {
        let letters = name.chars().zip(pattern.chars());
        letters.take_while(|(a, b)| a.eq_ignore_ascii_case(b)).count()
    };
    let names = drawn.iter().map(|d| &d.step.name);
    let best = names.max_by_key(|n| (shared(n), begins(n), std::cmp::Reverse(n.len())))?;
    (shared(best) * 2 > asked.len()).then(|| best.clone())
}

/// The program's steps with the person's own among them, and every fault of theirs.
pub(crate) fn with(mut drawn: Vec<Drawn>, house: &House) -> (Vec<Drawn>, Vec<Fault>) {
    let mut faults = Vec::new();
    leave_out(&mut drawn, house, &mut faults);
    // All names first: own steps may name each other.
    for own in &house.steps {
        let hold = own.signed_by.as_ref().map(|role| Hold { role: role.clone(), says: own.does.clone() });
        let record = |what: &String| Record { what: what.clone(), kind: Kind::Note, key: own.name.clone() };
        let step = Step {
            name: own.name.clone(),
            about: None,
            stage: stage(&own.stage),
            does: own.does.clone(),
            why: own.why.clone(),
            people: own.people,
            minutes: own.time_s.map_or(2.0, |s| s / 60.0),
            tools: own.tools.clone(),
            torque_nm: None,
            records: own.records.iter().map(record).collect(),
            hold,
            kept: None,
            is_own: true,
        };
        drawn.push(Drawn { step, after: Vec::new() });
    }
    for own in &house.steps {
        let by = format!("step \"{}\"", own.name);
        for pattern in &own.after {
            let names = meant(&drawn, pattern, &by, &own.name, &mut faults);
            order(&mut drawn, &names, std::slice::from_ref(&own.name));
        }
        let named: Vec<String> =
            own.before.iter().flat_map(|p| meant(&drawn, p, &by, &own.name, &mut faults)).collect();
        order(&mut drawn, std::slice::from_ref(&own.name), &named);
        if own.before.is_empty() {
            // What nothing waits for is done before the rig is walked round, if it can be.
            let last = drawn.iter().any(|d| d.step.name == LAST);
            if last && !own.after.iter().any(|p| fits(p, LAST) || fits(p, "rig: released")) {
                order(&mut drawn, std::slice::from_ref(&own.name), &[LAST.to_owned()]);
            }
        }
    }
    for rule in &house.rules {
        let by = format!("rule \"{}\"", rule.tag);
        let first = meant(&drawn, &rule.first, &by, "", &mut faults);
        let then = meant(&drawn, &rule.then, &by, "", &mut faults);
        order(&mut drawn, &first, &then);
    }
    (drawn, faults)
}

/// The step before which all the work is done.
const LAST: &str = "rig: walk round";

fn order(drawn: &mut [Drawn], first: &[String], then: &[String]) {
    for d in drawn.iter_mut().filter(|d| then.contains(&d.step.name)) {
        for name in first {
            if !d.after.contains(name) {
                d.after.push(name.clone());
            }
        }
    }
}

/// Takes steps out; what waited for one waits for what came before it.
fn leave_out(drawn: &mut Vec<Drawn>, house: &House, faults: &mut Vec<Fault>) {
    for (pattern, _) in &house.left_out {
        let by = format!("leave_out \"{pattern}\"");
        for name in meant(drawn, pattern, &by, "", faults) {
            let Some(at) = drawn.iter().position(|d| d.step.name == name) else { continue };
            if let Some(why) = drawn[at].step.kept {
                faults.push(Fault::Kept { name, why });
                continue;
            }
            if drawn[at].step.hold.is_some() {
                faults.push(Fault::Kept { name, why: "somebody signs there" });
                continue;
            }
            let gone = drawn.remove(at);
            for d in drawn.iter_mut() {
                if let Some(place) = d.after.iter().position(|n| *n == name) {
                    d.after.remove(place);
                    for earlier in &gone.after {
                        if !d.after.contains(earlier) {
                            d.after.push(earlier.clone());
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::fits;

    #[test]
    fn a_star_stands_for_anything_and_letters_for_themselves() {
        for (pattern, name, yes) in [
            ("cup *: pump", "cup FL: pump", true),
            ("cup *: pump", "cup FL: place", false),
            ("*", "anything", true),
            ("CUP fl: pump", "cup FL: pump", true),
            ("cup*", "cup", true),
            ("*pump", "cup FL: pump", true),
            ("*p*p", "pump", true),
            ("pump", "pumps", false),
            ("é*", "été", true),
            ("e*", "été", false),
        ] {
            assert_eq!(fits(pattern, name), yes, "{pattern} {name}");
        }
    }
}
