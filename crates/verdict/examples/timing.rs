//! Where a check's time goes.
use std::time::Instant;
use verdict::{check, context::*, structure::BuildOptions, sweep};
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let rig = rig::read(&text, &path, &|p| std::fs::read_to_string(p).map_err(|e| e.to_string())).rig.unwrap();
    let t = Instant::now();
    let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
    println!("context {:?} rows {} failures {} drives {} motions {:?}", t.elapsed(), ctx.layout.rows, ctx.failures.len(), ctx.actions.drives.len(), ctx.arm.as_ref().map(|a| a.motions.len()));
    let checks = check::swept(&ctx);
    let t = Instant::now();
    let s = sweep::sweep(&ctx, &checks, Resolution::fine(), &|_| {});
    println!("sweep+refine {:?} {}", t.elapsed(), s.states);
    let pool = sweep::pool(&s.pairs);
    let t = Instant::now();
    sweep::at_states(&ctx, &checks, &pool);
    println!("pool {} {:?}", pool.len(), t.elapsed());
    for (i, c) in check::ONCE.iter().enumerate() {
        let t = Instant::now();
        c(&ctx);
        println!("once {i} {:?}", t.elapsed());
    }
    let t = Instant::now();
    let r = check::retention::check(&ctx, None);
    println!("retention {:?}", t.elapsed());
    let t = Instant::now();
    check::retention::check(&ctx, Some(&r.worst));
    println!("retention known {:?}", t.elapsed());
    let t = Instant::now();
    check::reserve::check(&ctx, &s, &[0, 1]);
    println!("reserve {:?}", t.elapsed());
}
