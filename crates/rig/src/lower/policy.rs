//! Required factors, retention and other limits.

use super::context::{Context, View};
use crate::diagnostic::Diagnostic;
use crate::pass::printable;
use crate::policy::{CHECKS, CheckId, Factors, Policy, RetentionActions};
use crate::record::Record;
use crate::spec::policy::{POLICY, RETENTION};
use crate::suggest::nearest;

pub(crate) fn policy(cx: &mut Context<'_>) -> Option<Policy> {
    let root = cx.root;
    if root.is_faulty("policy") {
        return None;
    }
    let empty = Record::empty(&POLICY, "policy", &root.at);
    let record = root.sub("policy").unwrap_or(&empty);
    let view = View::plain(record);
    let factors: Vec<Option<(CheckId, Factors)>> =
        record.tagged("factor").iter().map(|r| factor(cx, r)).collect();
    let none = Record::empty(&RETENTION, "policy.retention", &record.at);
    let asked = View::plain(record.sub("retention").unwrap_or(&none));
    let [forward, rearward, sideways, upward] =
        ["forward", "rearward", "sideways", "upward"].map(|k| cx.fact(asked, k));
    let [peak_factor, keep_clear, headroom, pump_ultimate] =
        ["peak_factor", "keep_clear", "headroom", "pump_ultimate"].map(|k| cx.fact(view, k));
    let [rounds_s, gauge_pa] = ["rounds", "gauge"].map(|k| cx.measure(view, k));
    Some(Policy {
        factors: factors.into_iter().collect::<Option<_>>()?,
        retention: RetentionActions {
            forward: forward?,
            rearward: rearward?,
            sideways: sideways?,
            upward: upward?,
        },
        peak_factor: peak_factor?,
        sway_limit: view.maybe("sway_limit"),
        keep_clear: keep_clear?,
        headroom: headroom?,
        pump_ultimate: pump_ultimate?,
        rounds_s: rounds_s?,
        gauge_pa: gauge_pa?,
    })
}

fn factor(cx: &mut Context<'_>, record: &Record) -> Option<(CheckId, Factors)> {
    let Some(row) = CHECKS.iter().find(|c| c.name == record.tag) else {
        let mend = match nearest(&record.tag, CHECKS.iter().map(|c| c.name)) {
            Some(name) => format!("did you mean `{name}`?"),
            None => "docs/file-format.md lists the checks".to_owned(),
        };
        cx.faults.push(
            Diagnostic::error(
                "R008",
                &record.at,
                format!("there is no check \"{}\"", printable(&record.tag)),
            )
            .why("a factor is set by the name of its check")
            .mend(mend),
        );
        return None;
    };
    let mut sound = true;
    let mut one = |key: &str, default: f64| -> f64 {
        let Some(fact) = record.fact(key) else { return default };
        let shown = fact.text.clone().unwrap_or_default();
        if fact.value < 1.0 {
            sound = false;
            cx.faults.push(
                Diagnostic::error(
                    "R024",
                    record.spot(key),
                    format!("the factor of {} cannot be {}", row.name, printable(&shown)),
                )
                .why("below 1 the rig would be passed at loads that it does not hold")
                .mend(format!("the default is {default}; source: {}", row.source)),
            );
        } else if fact.value < default {
            cx.faults.push(
                Diagnostic::warning(
                    "R025",
                    record.spot(key),
                    format!("the factor of {} is set below its default: {}", row.name, printable(&shown)),
                )
                .why(format!("the default is {default}; source: {}", row.source))
                .mend("it will be printed on the sheet; leave it out to keep the default"),
            );
        }
        fact.value
    };
    let factors = Factors { intact: one("intact", row.factors.intact), lost: one("lost", row.factors.lost) };
    (sound && !record.is_faulty("intact") && !record.is_faulty("lost")).then_some((row.id, factors))
}
