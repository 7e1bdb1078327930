//! Reads any text as a rig file: nothing may stop the program, and every fault must point into its text.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let reading = rig::read(text, "rig.toml", &|name| if name.len() % 2 == 0 { Ok(text.to_owned()) } else { Err(String::new()) });
    for d in &reading.diagnostics {
        let source = &reading.sources[d.source].text;
        assert!(source.get(d.span.clone()).is_some());
        let _ = rig::line_column(source, d.span.start);
        for (index, span, _) in &d.related {
            assert!(reading.sources[*index].text.get(span.clone()).is_some());
        }
    }
    assert_eq!(reading.rig.is_none(), reading.has_errors());
    if let Some(mut rig) = reading.rig {
        rig::facts_mut(&mut rig, &mut |fact| assert!(!fact.value.is_nan()));
    }
});
