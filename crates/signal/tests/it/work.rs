//! Work in counts, not in seconds: decoding takes no memory from the heap, and reading a dump none that grows with it.

use allocation_counter::measure;
use signal::timing::Picos;
use signal::vcd::{Header, TimeUnit, Timescale, write};
use signal::waveform::{edges, halves};
use signal::{Decoder, Event, Timing};

/// Times of the edges of so many packets, some halves marginal, with a fault here and there.
fn times(packets: usize) -> Vec<Picos> {
    let bytes: [&[u8]; 3] = [&[0xFF, 0, 0xFF], &[0x81, 0xF8, 0x79], &[0x81, 0xF8, 0x78]];
    let signal = halves(bytes.into_iter().cycle().take(packets), Timing::ALL_THAT_IS_ACCEPTED, 3);
    edges(1_000_000, signal).collect()
}

#[test]
fn decoding_takes_no_memory_from_the_heap() {
    let times = times(3_000);
    let mut decoder = Decoder::new();
    let (mut packets, mut faults) = (0, 0);
    let taken = measure(|| {
        for &time in &times {
            match decoder.edge(time) {
                Some(Event::Packet(_)) => packets += 1,
                Some(Event::Fault(_)) => faults += 1,
                None => {}
            }
        }
    });
    assert_eq!((packets, faults), (2_000, 1_000));
    assert_eq!(taken.count_total, 0, "{taken:?}");
}

#[test]
fn a_longer_dump_takes_no_more_memory() {
    let most = |packets: usize| {
        let mut dump = Vec::new();
        write(&mut dump, "track", Timescale::new(1, TimeUnit::Ns).expect("a nanosecond"), times(packets).into_iter())
            .expect("memory takes it");
        let mut read = 0;
        let taken = measure(|| {
            let header = Header::read(dump.as_slice()).expect("a header");
            read = header.edges(None).expect("a signal").filter(Result::is_ok).count();
        });
        assert!(read > 80 * packets, "{read} edges of {packets} packets");
        (taken.count_total, taken.bytes_max)
    };
    assert_eq!(most(30), most(3_000));
}
