//! The track signal against a general logic analyser's software: it reads our dump and measures every half-bit, and we read
//! the dump it writes. Bits, bytes and error bytes are put together here from its widths, by other code than the decoder's.

use crate::enumeration::require;
use libtest_mimic::{Failed, Trial};
use signal::chance::Chance;
use signal::timing::Picos;
use signal::vcd::{Header, Timescale, write};
use signal::waveform::{edges, halves};
use signal::{Decoder, Event, Timing, micros};
use std::path::Path;
use std::process::Command;

/// Packets of each kind of timing.
const PACKETS: usize = 120;
const SCALE: Timescale = Timescale::TENTH_MICRO;

pub fn trials() -> Vec<Trial> {
    let there = Command::new("sigrok-cli").arg("--version").output().is_ok_and(|o| o.status.success());
    let ignored = !there && std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_none();
    type Case = fn() -> Result<(), Failed>;
    let cases: [(&str, Case); 3] = [
        ("every_half_bit", every_half_bit),
        ("a_dump_of_the_analyser", a_dump_of_the_analyser),
        ("an_edge_moved_is_noticed", an_edge_moved_is_noticed),
    ];
    cases.map(|(name, case)| Trial::test(format!("signal::{name}"), case).with_ignored_flag(ignored)).into()
}

/// The signals that are compared: nominal; all that may be sent; all that is accepted.
fn timings() -> [Timing; 3] {
    let grain = SCALE.picos(1).unwrap_or(1);
    [Timing::NOMINAL, Timing::ALL_THAT_MAY_BE_SENT, Timing::ALL_THAT_IS_ACCEPTED].map(|t| Timing { grain, ..t })
}

/// Packets of any content, three to six bytes.
fn packets(seed: u64) -> Vec<Vec<u8>> {
    let mut chance = Chance::new(seed);
    let mut packet = || {
        let mut bytes: Vec<u8> = (0..2 + chance.up_to(3)).map(|_| chance.bits().to_le_bytes()[0]).collect();
        bytes.push(bytes.iter().fold(0, |all, byte| all ^ byte));
        bytes
    };
    (0..PACKETS).map(|_| packet()).collect()
}

fn times(packets: &[Vec<u8>], timing: Timing) -> Vec<Picos> {
    edges(micros(1000), halves(packets.iter().map(Vec::as_slice), timing, 7)).collect()
}

fn dump(path: &Path, times: &[Picos]) -> Result<(), Failed> {
    let mut text = Vec::new();
    write(&mut text, "track", SCALE, times.iter().copied()).map_err(|e| e.to_string())?;
    std::fs::write(path, text).map_err(|e| Failed::from(e.to_string()))
}

fn run(command: &mut Command) -> Result<String, Failed> {
    let output = command.output().map_err(|e| e.to_string())?;
    let complaint = String::from_utf8_lossy(&output.stderr);
    require(output.status.success() && complaint.is_empty(), || format!("the analyser says: {complaint}"))?;
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// The half-bits as the analyser measures them, in its samples, which are the dump's steps.
fn measured(path: &Path) -> Result<Vec<u64>, Failed> {
    let mut command = Command::new("sigrok-cli");
    command.args(["-I", "vcd", "-i"]).arg(path);
    command.args(["-P", "timing:data=track", "-A", "timing=time", "--protocol-decoder-samplenum"]);
    let text = run(&mut command)?;
    let width = |line: &str| -> Option<u64> {
        let (from, to) = line.split_whitespace().next()?.split_once('-')?;
        to.parse::<u64>().ok()?.checked_sub(from.parse().ok()?)
    };
    text.lines().map(|line| width(line).ok_or_else(|| Failed::from(format!("no width: {line}")))).collect()
}

/// Bytes from widths: halves are paired from the first on, a bit is a one where both are below 79 µs; a byte stands behind
/// each zero, and a one where a zero would be ends the packet.
fn frames(widths: &[u64]) -> Result<Vec<Vec<u8>>, Failed> {
    let bits: Vec<bool> = widths.chunks(2).map(|pair| pair.iter().all(|&width| width < 790)).collect();
    let (mut packets, mut at) = (Vec::new(), 0);
    while at < bits.len() {
        let ones = bits[at..].iter().take_while(|&&bit| bit).count();
        require(ones >= 12, || format!("{ones} ones at bit {at}"))?;
        at += ones;
        let mut bytes = Vec::new();
        while bits.get(at) == Some(&false) {
            let byte = bits.get(at + 1..at + 9).ok_or("a byte is cut off")?;
            bytes.push(byte.iter().fold(0, |all, &bit| all << 1 | u8::from(bit)));
            at += 9;
        }
        at += 1;
        packets.push(bytes);
    }
    Ok(packets)
}

fn decoded(times: impl Iterator<Item = Picos>) -> Result<Vec<Vec<u8>>, Failed> {
    let mut decoder = Decoder::new();
    let mut read = Vec::new();
    for time in times {
        match decoder.edge(time) {
            Some(Event::Packet(reading)) => read.push(reading.bytes.to_vec()),
            Some(Event::Fault(fault)) => return Err(format!("{fault}").into()),
            None => {}
        }
    }
    Ok(read)
}

fn every_half_bit() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let mut compared = 0;
    for (number, timing) in timings().into_iter().enumerate() {
        let sent = packets(number as u64);
        let times = times(&sent, timing);
        let path = folder.path().join(format!("{number}.vcd"));
        dump(&path, &times)?;
        let ours: Vec<u64> = times.windows(2).map(|w| SCALE.ticks(w[1]) - SCALE.ticks(w[0])).collect();
        let theirs = measured(&path)?;
        require(ours.len() == theirs.len(), || format!("{} half-bits, the analyser has {}", ours.len(), theirs.len()))?;
        for (at, (ours, theirs)) in ours.iter().zip(&theirs).enumerate() {
            require(ours == theirs, || format!("half-bit {at}: {ours} steps, the analyser says {theirs}"))?;
        }
        require(frames(&theirs)? == sent, || "the analyser's widths make other packets".to_owned())?;
        require(decoded(times.iter().copied())? == sent, || "our edges make other packets".to_owned())?;
        compared += ours.len();
    }
    println!("{compared} half-bits compared");
    require(compared > 3 * 80 * PACKETS, || format!("only {compared} half-bits were compared"))
}

fn a_dump_of_the_analyser() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let (ours, theirs) = (folder.path().join("ours.vcd"), folder.path().join("theirs.vcd"));
    let sent = packets(40);
    let times = times(&sent, timings()[0]);
    dump(&ours, &times)?;
    let mut command = Command::new("sigrok-cli");
    run(command.args(["-I", "vcd", "-i"]).arg(&ours).args(["-O", "vcd", "-o"]).arg(&theirs))?;
    let text = std::fs::read(&theirs).map_err(|e| e.to_string())?;
    let read = Header::read(text.as_slice()).and_then(|header| header.edges(Some("track")));
    let read: Result<Vec<Picos>, _> = read.map_err(|e| e.to_string())?.collect();
    let read = read.map_err(|e| e.to_string())?;
    require(read == times, || format!("{} edges of the analyser's dump, {} of ours", read.len(), times.len()))?;
    require(decoded(read.into_iter())? == sent, || "its edges make other packets".to_owned())
}

/// The comparison can fail: one edge a tenth of a microsecond late must not agree.
fn an_edge_moved_is_noticed() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let path = folder.path().join("moved.vcd");
    let mut times = times(&packets(1), timings()[0]);
    let widths = |times: &[Picos]| -> Vec<u64> { times.windows(2).map(|w| (w[1] - w[0]) / 100_000).collect() };
    let before = widths(&times);
    times[501] += 100_000;
    dump(&path, &times)?;
    let theirs = measured(&path)?;
    let differ = before.iter().zip(&theirs).filter(|(a, b)| a != b).count();
    require(theirs.len() == before.len() && differ == 2, || format!("{differ} half-bits differ, not two"))
}
