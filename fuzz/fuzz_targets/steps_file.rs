//! Any bytes as a steps file, and as measured values: faults, never a panic; an order of work has no step before what it waits for.
#![no_main]

use libfuzzer_sys::fuzz_target;
use method::Method;

const RIG: &str = include_str!("../../examples/bonnet-camera.toml");
const KIT: &str = include_str!("../../examples/kit.toml");

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let rig = RIG.replacen("name =", "steps = [\"house\"]\nname =", 1);
    let load = |file: &str| if file == "house" { Ok(text.to_owned()) } else { Ok(KIT.to_owned()) };
    let measured = rig::Source { name: "measured".to_owned(), text: text.to_owned() };
    let _ = rig::read_as_built(RIG, "rig", &load, Some(&measured));
    let _ = rig::written(RIG, text);
    let Some(rig) = rig::read(&rig, "rig", &load).rig else { return };
    let Ok(method) = Method::of(&rig) else { return };
    for (step, before) in method.before.iter().enumerate() {
        assert!(before.iter().all(|b| *b < step));
    }
    let (_, least) = method::critical_path(&method);
    assert!(method::schedule(&method, 3).minutes >= least - 1e-6);
});
