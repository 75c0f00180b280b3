//! Makes an hour of track signal and reads it: how many times faster than the track? `dump` writes it as a value-change dump
//! first and reads that.
//!
//!     cargo bench -p signal --bench an_hour
//!     cargo bench -p signal --bench an_hour -- dump

use signal::chance::Chance;
use signal::packet::error_byte;
use signal::timing::{MICRO, Picos};
use signal::vcd::{Header, TimeUnit, Timescale, write};
use signal::waveform::{edges, halves};
use signal::{Decoder, Event, Timing};
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let hour = 3_600_000_000 * MICRO;
    let mut chance = Chance::new(1);
    let packets: Vec<Vec<u8>> = (0..997)
        .map(|_| {
            let mut bytes: Vec<u8> = (0..2 + chance.up_to(3)).map(|_| chance.bits().to_le_bytes()[0]).collect();
            bytes.push(error_byte(&bytes));
            bytes
        })
        .collect();
    let timing = Timing { stretched: None, ..Timing::ALL_THAT_MAY_BE_SENT };
    let signal = halves(packets.iter().cycle().map(Vec::as_slice), timing, 1);
    let times: Vec<Picos> = edges(0, signal).take_while(|&edge| edge < hour).collect();
    let mut decoder = Decoder::new();
    let mut packets = 0_u64;
    let (taken, what) = if std::env::args().nth(1).as_deref() == Some("dump") {
        let scale = Timescale::new(1, TimeUnit::Ns).ok_or("a nanosecond")?;
        let file = std::env::temp_dir().join(format!("an-hour-{}.vcd", std::process::id()));
        let mut dump = std::io::BufWriter::new(std::fs::File::create(&file)?);
        write(&mut dump, "track", scale, times.iter().copied())?;
        dump.into_inner()?.sync_all()?;
        let megabytes = std::fs::metadata(&file)?.len() >> 20;
        let start = Instant::now();
        for edge in Header::read(std::io::BufReader::new(std::fs::File::open(&file)?))?.edges(None)? {
            packets += u64::from(matches!(decoder.edge(edge?), Some(Event::Packet(_))));
        }
        let taken = start.elapsed();
        std::fs::remove_file(&file)?;
        (taken, format!("a dump of {megabytes} MB, from a file"))
    } else {
        let start = Instant::now();
        for &edge in &times {
            packets += u64::from(matches!(decoder.edge(edge), Some(Event::Packet(_))));
        }
        (start.elapsed(), "edges in memory".to_owned())
    };
    let seconds = taken.as_secs_f64();
    println!(
        "{what}: {packets} packets, {} faults, {} edges in {seconds:.2} s: {:.1} ns an edge, {:.0} times as fast as the track",
        decoder.statistics().faults,
        times.len(),
        seconds * 1e9 / times.len() as f64,
        3600.0 / seconds
    );
    Ok(())
}
