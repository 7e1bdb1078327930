//! The one binary.
fn main() {
    let path = std::env::args().nth(1).unwrap_or_default();
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    let reading = rig::read(&text, &path, &|p| {
        std::fs::read_to_string(std::path::Path::new(&path).parent().unwrap().join(p))
            .map_err(|e| e.to_string())
    });
    for d in &reading.diagnostics {
        println!("{:?} {} {} {:?}", d.severity, d.code, d.message, rig::line_column(&text, d.span.start));
    }
    let Some(rig) = reading.rig else { return };
    let t = std::time::Instant::now();
    let v = verdict::verdict::check(&rig, &verdict::verdict::Options::default());
    match v {
        Err(e) => println!("fault {e}"),
        Ok(v) => {
            println!(
                "{} states {} runs {} residual {:.1e} in {:?}",
                v.answer.word(),
                v.states,
                v.runs,
                v.worst_residual,
                t.elapsed()
            );
            for f in v.findings.iter().take(60) {
                println!(
                    "{:<12} {:<16} {:?} d {:.3} c {:.3} f {} | {} | {:?} {}",
                    f.check.row().name,
                    f.part.name(&rig),
                    f.margin.map(|m| (m * 100.).round() / 100.),
                    f.demand,
                    f.capacity,
                    f.factor,
                    f.place,
                    f.outcome,
                    f.situation
                );
            }
            for h in &v.holds {
                println!("HOLD {} | {} | {} | {}", h.what, h.why, h.key, h.settle);
            }
            for x in &v.varied {
                println!("  {} {:?} {:.4} -> {:.3} {:?}", x.name, x.end, x.value, x.least, x.check);
            }
        }
    }
}
