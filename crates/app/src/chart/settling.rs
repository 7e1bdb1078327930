//! Trace, fit and envelope as a drawing.

use crate::command::settle::Told;
use draw::chart::{Axis, Chart, Line, Scale};
use mechanics::settle::{Drawn, Outcome};

/// More points than this a drawing does not show.
const MOST: usize = 1200;

pub(crate) fn over_time(told: &Told) -> Chart {
    let trace = &told.log.trace;
    let every = trace.samples.len().div_ceil(MOST).max(1);
    let start = trace.samples.first().map_or(0.0, |s| s.0);
    let mut lines = vec![Line {
        label: "logged".to_owned(),
        points: trace.samples.iter().step_by(every).map(|(t, y)| (t - start, *y)).collect(),
        dots: true,
    }];
    let mut notes = vec![format!(
        "{}: column {} \"{}\" over column {} \"{}\".",
        told.log.name, trace.signal.number, trace.signal.name, trace.time.number, trace.time.name
    )];
    let number = |s: &mechanics::settle::Settling| {
        let ratio = s.ratio.map_or("rubbing, no ratio".to_owned(), |r| {
            format!("damping ratio {:.3} ± {:.3}", r.value, r.half_width())
        });
        format!("Payload let go: {ratio}, {:.2} Hz", s.damped_hz.value)
    };
    let title = match &told.outcome {
        Ok(Outcome::Swings(s)) => {
            let line = |label: &str, of: &dyn Fn(&Drawn) -> f64| Line {
                label: label.to_owned(),
                points: s.drawn.iter().map(|d| (d.t_s, of(d))).collect(),
                dots: false,
            };
            lines.push(line("fit", &|d| d.fit));
            lines.push(line("envelope", &|d| d.level + d.size));
            lines.push(line("envelope below", &|d| d.level - d.size));
            notes.push(format!(
                "Used from {:.2} s to {:.2} s. ± is the 95 % interval.",
                s.window.start_s, s.window.end_s
            ));
            number(s)
        }
        Ok(Outcome::Creeps(_)) => "Payload let go: creeps back, no swing".to_owned(),
        Err(refusal) => {
            notes.push(format!("No number: {refusal}."));
            "Payload let go: no number".to_owned()
        }
    };
    let us = matches!(trace.kind, trace::Kind::Displacement);
    let mut y = Axis::new(trace.kind.name(), Scale::Linear).unit(trace.signal.unit.clone(), trace.unit_si);
    if us {
        y = if trace.signal.unit == "in" { y.other("mm", 0.001) } else { y.other("in", 0.0254) };
    }
    Chart { title, x: Axis::new("time", Scale::Linear).unit("s", 1.0), y, lines, limits: Vec::new(), notes }
}
