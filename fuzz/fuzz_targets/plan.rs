//! Any bytes as a plan: the reader must end, point inside the text, and never call nonsense well.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let (text, reading) = plan::read_bytes(bytes);
    for finding in &reading.findings {
        let place = finding.place().map_or(0..0, |p| p.span.clone());
        assert!(place.start <= place.end && place.end <= text.len().max(bytes.len()));
    }
    assert!(!reading.understood() || !reading.plan.track.is_empty());
});
