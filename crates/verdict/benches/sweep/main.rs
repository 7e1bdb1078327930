//! How fast the sweep is: states a second, share of the machine's peak, and the ratio to general-purpose solvers in the same run.
//!
//! A plain program and no benchmark library: what counts here are ratios between things that run in several ways (threads of
//! ours, processes of Python), fitted exponents, and memory; a library that times one function and prints nanoseconds would
//! have to be worked around for each of them. `cargo bench` prints the figures; `cargo xtask bench` makes the
//! reference's packages ready first, and writes them to `docs/performance.md`. `-- --quick` leaves the largest cases out, for
//! a first look.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a program of the terminal; a fault stops it; counts are far under 2^53"
)]

#[path = "../../tests/common/mod.rs"]
mod common;
mod estate;
#[allow(dead_code, reason = "the tests' ladders of all sorts are not needed here")]
#[path = "../../tests/common/ladder.rs"]
mod ladder;
mod machine;
mod measure;
mod reference;
mod scaling;

use estate::Estate;
use machine::Machine;
use measure::Timing;
use reference::Found;
use scaling::{ByCups, ByStates};
use serde_json::{Value, json};

const MS: f64 = 1e3;

fn main() {
    let machine = Machine::of();
    println!("\nmachine    {}, {} cores, {}", machine.model, machine.cores, machine.vectors);
    match machine.load {
        Some(load) if load > 0.3 => {
            println!(
                "           NOT IDLE: {load:.1} cores were busy before this run; figures are for trying out only"
            );
        }
        _ => {}
    }
    let rig = common::example("estate-arm");
    // First, because the most memory that was ever held can only grow.
    let quick = std::env::args().any(|a| a == "--quick");
    let by_states = scaling::by_states(&rig, if quick { 1e6 } else { 1e8 });
    let estate = estate::measure(&rig);
    print_estate(&estate);
    let found = reference::all(&rig);
    print_reference(&estate, &found);
    print_by_states(&by_states);
    let by_cups = scaling::by_cups(if quick { 16 } else { 64 });
    print_by_cups(&by_cups);
    if let Some(path) = std::env::var_os("CLINGFISH_BENCH_RESULTS") {
        let results = results(&machine, &estate, &found, &by_states, &by_cups);
        std::fs::write(&path, format!("{results:#}\n")).expect("the results can be written");
    }
}

fn print_estate(e: &Estate) {
    let spread = |t: &Timing| format!("± {:.0} %", 100.0 * t.spread());
    println!(
        "\nestate car with arm: {} states, {} rows of responses, {} items checked",
        e.states, e.rows, e.checks
    );
    println!("  reckoned plainly         {:8.2} M states/s  {}", e.plain_per_s() / 1e6, spread(&e.plain));
    println!("  reckoned, poses folded   {:8.2} M states/s  {}", e.folded_per_s() / 1e6, spread(&e.folded));
    println!(
        "  every state decided      {:8.2} M states/s  {}",
        e.decided_per_s() / 1e6,
        spread(&e.passing_over)
    );
    println!("  peak, all cores          {:8.1} GFLOP/s", e.peak_flops / 1e9);
    println!("  share of peak, plainly   {:8.1} %", 100.0 * e.share_of_peak());
    println!(
        "  edit to verdict          {:8.1} ms  {}; of that, rig to responses {:.1} ms, checks of one look {:.1} ms",
        MS * e.edit.median,
        spread(&e.edit),
        MS * e.edit_context.median,
        MS * e.edit_once.median
    );
    println!("  with all that is assumed varied {:.0} ms", MS * e.whole.median);
}

fn print_reference(e: &Estate, found: &Result<Found, String>) {
    println!(
        "\nreference on the same states            states/s   reckoned: ours are   decided: ours are   forces apart"
    );
    match found {
        Err(why) => println!("  none: {why}"),
        Ok(found) => {
            for (name, one) in found {
                match one {
                    Err(why) => println!("  {name:<10} {why}"),
                    Ok(t) => println!(
                        "  {:<10} {:<9} {} process(es) {:>12.0} {:>17.1} x {:>17.1} x {:>14.1e}",
                        t.name,
                        t.version,
                        t.processes,
                        t.per_s,
                        e.folded_per_s() / t.per_s,
                        e.decided_per_s() / t.per_s,
                        t.apart
                    ),
                }
            }
        }
    }
}

fn fit<T>(all: &[T], x: impl Fn(&T) -> f64, y: impl Fn(&T) -> Option<f64>) -> f64 {
    measure::exponent(&all.iter().filter_map(|p| Some((x(p), y(p)?))).collect::<Vec<_>>())
}

/// Exponents of cost over states: passing over, reckoning all; of memory.
fn state_exponents(by: &[ByStates]) -> [f64; 3] {
    let x = |b: &ByStates| b.states;
    [fit(by, x, |b| Some(b.passing_over_s)), fit(by, x, |b| b.folded_s), fit(by, x, |b| b.most_memory_mb)]
}

/// Exponents of cost over cups: rig to responses, all states decided, one state decided.
fn cup_exponents(by: &[ByCups]) -> [f64; 3] {
    let x = |b: &ByCups| b.cups;
    [
        fit(by, x, |b| Some(b.context_s)),
        fit(by, x, |b| Some(b.passing_over_s)),
        fit(by, x, |b| Some(b.passing_over_s / b.states)),
    ]
}

fn print_by_states(by: &[ByStates]) {
    println!("\n      states     decided    reckoned   most memory");
    for b in by {
        let folded = b.folded_s.map_or("left out".to_owned(), |s| format!("{s:.3} s"));
        let memory = b.most_memory_mb.map_or("-".to_owned(), |m| format!("{m:.0} MB"));
        println!("{:>12.0} {:>9.3} s {folded:>11} {memory:>13}", b.states, b.passing_over_s);
    }
    let [skip, folded, memory] = state_exponents(by);
    println!("   exponents {skip:>9.2}   {folded:>11.2} {memory:>13.2}");
}

fn print_by_cups(by: &[ByCups]) {
    println!("\n  cups      states   rig to responses      decided");
    for b in by {
        println!(
            "{:>6.0} {:>11.0} {:>15.1} ms {:>9.1} ms",
            b.cups,
            b.states,
            MS * b.context_s,
            MS * b.passing_over_s
        );
    }
    let [context, skip, one] = cup_exponents(by);
    println!("   exponents      {context:>15.2}    {skip:>9.2}    (a state: {one:.2})");
}

fn timing(t: &Timing) -> Value {
    json!({ "median_s": t.median, "least_s": t.least, "most_s": t.most })
}

fn results(
    machine: &Machine,
    e: &Estate,
    found: &Result<Found, String>,
    by_states: &[ByStates],
    by_cups: &[ByCups],
) -> Value {
    let reference: Value = match found {
        Err(why) => json!({ "missing": why }),
        Ok(found) => found
            .iter()
            .map(|(name, one)| match one {
                Err(why) => json!({ "name": name, "missing": why }),
                Ok(t) => json!({
                    "name": t.name, "what": t.what, "version": t.version, "processes": t.processes, "states": t.states,
                    "states_per_s": t.per_s, "spread": t.spread, "forces_apart": t.apart, "may_be_apart": t.agree,
                }),
            })
            .collect(),
    };
    json!({
        "machine": { "model": machine.model, "cores": machine.cores, "vectors": machine.vectors, "load": machine.load },
        "estate": {
            "states": e.states, "rows": e.rows, "items": e.checks,
            "plain": timing(&e.plain), "folded": timing(&e.folded), "passing_over": timing(&e.passing_over),
            "edit": timing(&e.edit), "edit_context": timing(&e.edit_context), "edit_once": timing(&e.edit_once), "whole": timing(&e.whole),
            "peak_flops": e.peak_flops, "share_of_peak": e.share_of_peak(),
        },
        "reference": reference,
        "by_states": by_states.iter().map(|b| json!({
            "states": b.states, "passing_over_s": b.passing_over_s, "folded_s": b.folded_s, "most_memory_mb": b.most_memory_mb,
        })).collect::<Vec<_>>(),
        "state_exponents": state_exponents(by_states),
        "by_cups": by_cups.iter().map(|b| json!({
            "cups": b.cups, "states": b.states, "context_s": b.context_s, "passing_over_s": b.passing_over_s,
        })).collect::<Vec<_>>(),
        "cup_exponents": cup_exponents(by_cups),
    })
}
