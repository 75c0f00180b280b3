//! Any bytes as a value-change dump, and what edges it has through the decoder; and any bytes as a packet.
#![no_main]

use libfuzzer_sys::fuzz_target;
use signal::vcd::Header;
use signal::{Decoder, Event, Packet, packet};

fuzz_target!(|bytes: &[u8]| {
    match Packet::from_bytes(bytes) {
        Ok(packet) => assert!(packet.bytes().is_ok() && !packet.to_string().is_empty()),
        Err(why) => assert!(!why.to_string().is_empty()),
    }
    assert!(packet::fields(bytes).len() >= bytes.len());
    let Ok(edges) = Header::read(bytes).and_then(|header| header.edges(None)) else { return };
    let mut decoder = Decoder::new();
    let mut last = 0;
    for edge in edges {
        let Ok(edge) = edge else { break };
        assert!(edge >= last);
        last = edge;
        match decoder.edge(edge) {
            Some(Event::Packet(reading)) => assert!(packet::check(&reading.bytes).is_ok()),
            Some(Event::Fault(fault)) => assert!(!fault.to_string().is_empty()),
            None => {}
        }
    }
});
