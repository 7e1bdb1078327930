//! The table by payload as a chart to print and hang on the arm.

use draw::chart::{Along, Axis, Chart, Limit, Line, Scale};
use rig::Rig;
use verdict::balance::Balance;

/// Counterweight against payload; where the carrier slides, its place against payload. None where the moments are not known.
pub(crate) fn by_payload(rig: &Rig, b: &Balance) -> Option<Chart> {
    let arm = rig.arm.as_ref()?;
    if b.unweighed.as_ref().is_some_and(|u| !u.payload_alone) {
        return None;
    }
    let w = &arm.counterweight;
    let x = Axis::new("payload", Scale::Linear).unit("kg", 1.0).other("lb", 0.453_592_37);
    let line = |label: String, points: Vec<(f64, f64)>, dots: bool| Line { label, points, dots };
    let points = |y: &dyn Fn(&verdict::balance::Plans) -> Option<f64>| -> Vec<(f64, f64)> {
        b.payloads.iter().filter_map(|o| Some((o.payload_kg, y(&o.plans)?))).collect()
    };
    let now = Limit { label: "payload in the file".to_owned(), at: arm.payload.mass.value, along: Along::X };
    let mut notes = vec![
        "Weigh the payload, lens and battery in. Hold the boom before anything comes off or goes on."
            .to_owned(),
    ];
    let (y, lines, limits);
    if let Some((from, to)) = w.slide {
        y = Axis::new("counterweight behind the pivot", Scale::Linear).unit("mm", 0.001).other("in", 0.0254);
        let at = |p: &verdict::balance::Plans| p.place_m;
        let planned = |p: &verdict::balance::Plans| p.advice().map(|a| a.behind_m).or(Some(w.behind.value));
        let mut both = vec![line(format!("{:.1} kg, as it hangs now", w.mass.value), points(&at), false)];
        if b.payloads.iter().any(|o| o.plans.advice().is_some_and(|p| p.plates.moved() > 0)) {
            both.push(line("with plates, by the table".to_owned(), points(&planned), true));
        }
        lines = both;
        let end = |label: &str, at: f64| Limit { label: label.to_owned(), at, along: Along::Y };
        limits = vec![now, end("carrier's end by the pivot", from), end("carrier's end by the tail", to)];
        notes.push(
            "Between the carrier's ends the weight alone balances the payload; beyond, change plates."
                .to_owned(),
        );
    } else {
        y = Axis::new("counterweight", Scale::Linear).unit("kg", 1.0).other("lb", 0.453_592_37);
        let exact = |p: &verdict::balance::Plans| p.weight_kg;
        let plates = |p: &verdict::balance::Plans| p.plates.as_ref().map(|a| a.weight_kg);
        let mut both = vec![line("in balance".to_owned(), points(&exact), false)];
        if !w.plates.is_empty() || !w.fitted.is_empty() {
            both.push(line("nearest with the plates".to_owned(), points(&plates), true));
        }
        lines = both;
        limits = vec![now, Limit { label: "as it hangs now".to_owned(), at: w.mass.value, along: Along::Y }];
        notes.push(format!(
            "At {:.0} mm behind the pivot, carrier and plates together.",
            w.behind.value * 1000.0
        ));
    }
    Some(Chart { title: format!("Balance of the boom: {}", rig.name), x, y, lines, limits, notes })
}
