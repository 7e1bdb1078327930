//! `clingfish respond`.

use crate::io::{Io, Stop};
use crate::near::nearest;
use crate::open::open;
use crate::print::responses::{Column, Gather, Table};
use crate::{json, print};
use quantity::Kind;
use std::path::PathBuf;
use verdict::context::{Context, Failure};
use verdict::structure::BuildOptions;

/// Give the forces in cups, straps, tubes and clamps under an action.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish respond night.toml --specific-force \"0 0 -1 g\"\n  \
clingfish respond night.toml --wrench \"0 0 -300 N 0 120 0 N·m\" --lost FL\n  \
clingfish respond night.toml --slender --json\n\nWithout an action, each unit action by itself.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Force on each kg, ahead, left, up: "0 0 -1 g" is standing still.
    #[arg(long, value_name = "X Y Z UNIT", allow_hyphen_values = true)]
    specific_force: Option<String>,
    /// Force and moment at the mast base: "0 0 -300 N 0 120 0 N·m".
    #[arg(long, value_name = "FORCE MOMENT", allow_hyphen_values = true)]
    wrench: Option<String>,
    /// Add the tension that the straps are fitted with.
    #[arg(long)]
    fitted: bool,
    /// With this cup or strap lost.
    #[arg(long, value_name = "TAG")]
    lost: Option<String>,
    /// Leave shear deformation of the tubes out.
    #[arg(long)]
    slender: bool,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let force = args.specific_force.as_deref().map(|t| amounts(t, &[(3, Kind::Acceleration)])).transpose()?;
    let wrench = args.wrench.as_deref().map(|t| amounts(t, &[(3, Kind::Force), (3, Kind::Moment)])).transpose()?;
    let opened = open(&args.rig, args.json, io)?;
    let rig = &opened.rig;
    let ctx = Context::new(rig, BuildOptions { slender: args.slender })
        .map_err(|fault| Stop::bad(format!("this rig cannot be computed: {fault}"), ""))?;
    let failure = failure(&ctx, args.lost.as_deref())?;
    let responses = failure.responses.as_ref().map_err(|e| {
        Stop::bad(
            format!("there are no forces to give: {e}"),
            "clingfish check names the part that moves (the check \"stable\") and what would hold it",
        )
    })?;
    let names = columns(&ctx);
    let given = force.is_some() || wrench.is_some() || args.fitted;
    let (columns, values): (Vec<Column>, Vec<Vec<f64>>) = if given {
        let mut u = vec![0.0; ctx.columns.count()];
        let whole = force.unwrap_or_else(|| vec![0.0; 3]).into_iter().chain(wrench.unwrap_or_else(|| vec![0.0; 6]));
        u.iter_mut().zip(whole).for_each(|(to, from)| *to = from);
        if args.fitted {
            for (strand, tension) in ctx.structure.frame.strands.iter().enumerate() {
                if let Some(to) = u.get_mut(ctx.columns.strand(strand)) {
                    *to = tension.pretension_n;
                }
            }
        }
        (vec![Column { name: "the action given".to_owned(), unit: String::new() }], vec![responses.respond(&u)])
    } else {
        let all = (0..responses.columns).map(|c| responses.r.iter().skip(c).step_by(responses.columns).copied().collect());
        (names, all.collect())
    };
    let lost = failure.lost.map(|p| p.name(rig));
    let table = Table { lost, slender: args.slender, residual: responses.worst_residual, columns, parts: Gather { ctx: &ctx, values: &values }.parts() };
    if args.json {
        return json::write(&mut io.out, &json::respond::Respond::of(rig, &table));
    }
    print::responses::write(&mut io.out, rig, &table)?;
    Ok(())
}

fn failure<'a>(ctx: &'a Context<'_>, lost: Option<&str>) -> Result<&'a Failure, Stop> {
    let named = |f: &&Failure| match (f.lost, lost) {
        (None, None) => true,
        (Some(p), Some(tag)) => p.tag(ctx.rig).eq_ignore_ascii_case(tag) || p.name(ctx.rig).eq_ignore_ascii_case(tag),
        _ => false,
    };
    ctx.failures.iter().find(named).ok_or_else(|| {
        let names: Vec<String> = ctx.failures.iter().filter_map(|f| f.lost).map(|p| p.name(ctx.rig)).collect();
        let asked = lost.unwrap_or_default();
        let near = nearest(asked, &names).map_or(String::new(), |n| format!("did you mean {n}? "));
        Stop::bad(format!("no cup or strap is called \"{asked}\""), format!("{near}one of {} may be lost", names.join(", ")))
    })
}

/// The unit actions in the order of the responses' columns.
fn columns(ctx: &Context<'_>) -> Vec<Column> {
    let mut out = Vec::new();
    let mut put = |name: String, unit: &str| out.push(Column { name, unit: unit.to_owned() });
    for axis in ["ahead", "left", "up"] {
        put(format!("specific force {axis}"), "1 m/s2");
    }
    for axis in ["ahead", "left", "up"] {
        put(format!("force {axis} at the mast base"), "1 N");
    }
    for axis in ["ahead", "left", "up"] {
        put(format!("moment about {axis} at the mast base"), "1 N·m");
    }
    for strap in ctx.rig.straps.iter().zip(&ctx.structure.strand_of).filter(|(_, s)| s.is_some()).map(|(s, _)| s) {
        put(format!("tension fitted to strap {}", strap.tag), "1 N");
    }
    for v in &ctx.actions.winds {
        put(format!("air past the car {:.2} ahead, {:.2} left, {:.2} up", v.x, v.y, v.z), "m/s, as it is");
    }
    out
}

/// Numbers in runs that share a unit: `0 0 -300 N 0 120 0 N·m`.
fn amounts(text: &str, runs: &[(usize, Kind)]) -> Result<Vec<f64>, Stop> {
    let tokens: Vec<&str> = text.split_whitespace().collect();
    let mut out = Vec::new();
    let mut at = 0;
    for (count, kind) in runs {
        let end = at + count;
        let (Some(numbers), Some(unit)) = (tokens.get(at..end), tokens.get(end)) else {
            return Err(Stop::bad(
                format!("\"{text}\" is not {}", wanted(runs)),
                format!("write {}", example(runs)),
            ));
        };
        for n in numbers {
            out.push(quantity::parse_kind(&format!("{n} {unit}"), *kind).map_err(|f| {
                Stop::bad(format!("in \"{text}\": {}: {}", f.what, f.why), format!("{}; here, {}", f.mend, example(runs)))
            })?);
        }
        at = end + 1;
    }
    if tokens.len() > at {
        return Err(Stop::bad(format!("\"{text}\" goes on after {}", wanted(runs)), format!("write {}", example(runs))));
    }
    Ok(out)
}

fn wanted(runs: &[(usize, Kind)]) -> String {
    let one = |(n, k): &(usize, Kind)| format!("{n} numbers and the unit of {}", k.with_article());
    runs.iter().map(one).collect::<Vec<_>>().join(", then ")
}

fn example(runs: &[(usize, Kind)]) -> &'static str {
    if runs.len() == 1 { "\"0 0 -1 g\"" } else { "\"0 0 -300 N 0 120 0 N·m\"" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_action_is_read_with_its_units_and_nothing_else() {
        let w = [(3, Kind::Force), (3, Kind::Moment)];
        assert_eq!(amounts("0 0 -300 N 0 120 0 N·m", &w).unwrap(), [0.0, 0.0, -300.0, 0.0, 120.0, 0.0]);
        let g = amounts("0 0 -1 g", &[(3, Kind::Acceleration)]).unwrap();
        assert!((g[2] + 9.806_65).abs() < 1e-12, "standard gravity is exact");
        for bad in ["", "0 0 -1", "0 0 -1 kg", "0 0 g", "0 0 -1 g 4", "a b c g"] {
            assert!(amounts(bad, &[(3, Kind::Acceleration)]).is_err(), "{bad}");
        }
    }
}
