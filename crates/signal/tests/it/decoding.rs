//! Signals made and read again: nothing in tolerance is lost, nothing out of it is taken in silence.

use proptest::prelude::*;
use signal::chance::Chance;
use signal::decoder::{Marginal, PacketReading};
use signal::packet::error_byte;
use signal::timing::{ACCEPTED, HalfKind, Picos, SENT};
use signal::waveform::{Stretched, bits, edges, halves};
use signal::{Decoder, Event, Packet, SignalFault, Statistics, Timing, micros};

/// Packets of three to six bytes with their error bytes, of any content.
fn any_packets(count: usize, seed: u64) -> Vec<Vec<u8>> {
    let mut chance = Chance::new(seed);
    let mut packet = || {
        let mut bytes: Vec<u8> = (0..2 + chance.up_to(3)).map(|_| chance.bits() as u8).collect();
        bytes.push(error_byte(&bytes));
        bytes
    };
    (0..count).map(|_| packet()).collect()
}

fn all_halves(packets: &[Vec<u8>], timing: Timing, seed: u64) -> Vec<Picos> {
    halves(packets.iter().map(Vec::as_slice), timing, seed).collect()
}

fn decode(start: Picos, halves: &[Picos]) -> (Vec<Event>, Statistics) {
    let mut decoder = Decoder::new();
    let events = edges(start, halves.iter().copied()).filter_map(|edge| decoder.edge(edge)).collect();
    (events, *decoder.statistics())
}

fn readings(events: &[Event]) -> Vec<PacketReading> {
    events.iter().filter_map(|e| if let Event::Packet(reading) = e { Some(*reading) } else { None }).collect()
}

fn faults(events: &[Event]) -> Vec<SignalFault> {
    events.iter().filter_map(|e| if let Event::Fault(fault) = e { Some(*fault) } else { None }).collect()
}

fn bytes(events: &[Event]) -> Vec<Vec<u8>> {
    readings(events).iter().map(|r| r.bytes.to_vec()).collect()
}

#[test]
fn one_idle_packet() {
    let packets = vec![vec![0xFF, 0x00, 0xFF]];
    let signal = all_halves(&packets, Timing::NOMINAL, 0);
    assert_eq!(signal.len(), 2 * (14 + 27 + 1));
    let (events, statistics) = decode(micros(1000), &signal);
    let [Event::Packet(reading)] = events[..] else { panic!("{events:?}") };
    assert_eq!(reading.packet(), Packet::Idle);
    assert_eq!(reading.preamble, 14);
    assert_eq!(reading.marginal, Marginal::default());
    // The start bit begins behind fourteen ones; the end is the packet's whole duration (5796 µs, as in tests/vectors.rs).
    assert_eq!(reading.start, micros(1000 + 14 * 116));
    assert_eq!(reading.end, micros(1000 + 5796));
    assert_eq!((statistics.packets, statistics.faults, statistics.halves()), (1, 0, 84));
    assert_eq!(statistics.one.mean(), Some(micros(58)));
    assert_eq!((statistics.zero.least, statistics.zero.most), (micros(100), micros(100)));
}

/// An hour of packets, every half astray within what may be sent, zeros stretched: all are read, none is marked.
#[test]
fn an_hour_within_what_may_be_sent() {
    let timing = Timing { stretched: None, ..Timing::ALL_THAT_MAY_BE_SENT };
    let packets = any_packets(997, 11);
    let hour = micros(3_600_000_000);
    let mut decoder = Decoder::new();
    let mut due = packets.iter().cycle();
    let mut read = 0_u64;
    for edge in edges(0, halves(packets.iter().cycle().map(Vec::as_slice), timing, 4)) {
        match decoder.edge(edge) {
            None => {}
            Some(Event::Packet(reading)) => {
                assert_eq!(Some(&reading.bytes.to_vec()), due.next(), "packet {read}");
                assert_eq!(reading.marginal, Marginal::default(), "packet {read}");
                read += 1;
                if edge > hour {
                    break;
                }
            }
            Some(Event::Fault(fault)) => panic!("packet {read}: {fault}"),
        }
    }
    assert!(read > 430_000, "{read} packets in an hour");
    let statistics = decoder.statistics();
    assert_eq!((statistics.packets, statistics.faults, statistics.gaps), (read, 0, 0));
    // The whole width of what may be sent was used: within a hundredth of a microsecond of each limit.
    let near = |a: Picos, b: Picos| a.abs_diff(b) <= micros(1) / 100;
    assert!(near(statistics.one.least, SENT.one[0]) && near(statistics.one.most, SENT.one[1]), "{statistics:?}");
    assert!(near(statistics.difference.most, SENT.difference), "{statistics:?}");
}

/// The work for an edge does not grow with the trace, and a decoder holds no memory from the heap: it can be copied.
#[test]
fn a_decoder_is_small() {
    assert!(std::mem::size_of::<Decoder>() < 1024, "{}", std::mem::size_of::<Decoder>());
}

#[test]
fn stretched_zeros_and_all_that_is_accepted() {
    for (timing, marked) in [(Timing::ALL_THAT_MAY_BE_SENT, false), (Timing::ALL_THAT_IS_ACCEPTED, true)] {
        let packets = any_packets(2_000, 5);
        let (events, statistics) = decode(0, &all_halves(&packets, timing, 9));
        assert_eq!(faults(&events), []);
        assert_eq!(bytes(&events), packets);
        assert_eq!(statistics.marginal > 0, marked);
        assert!(statistics.zero.most > micros(9_000), "zeros were stretched: {statistics:?}");
        assert!(statistics.zero_in_all.most <= micros(12_000));
    }
}

/// The limits themselves are accepted, a picosecond beyond is not (S-9.1, table 1).
#[test]
fn limits_to_the_picosecond() {
    let packets = [vec![0x81, 0xF8, 0x79]];
    let with = |one: [Picos; 2], zero: [Picos; 2]| -> Vec<Picos> {
        bits(14, &packets[0]).flat_map(|bit| if bit { one } else { zero }).collect()
    };
    let (ones, zeros) = ([micros(58); 2], [micros(100); 2]);
    let read = |one, zero| {
        let (events, _) = decode(0, &with(one, zero));
        let read = readings(&events);
        (read.len(), read.iter().any(|r| r.marginal.any()), !faults(&events).is_empty())
    };
    let (clean, marked, refused) = ((1, false, false), (1, true, false), (0, false, true));
    for (one, due) in [
        ([55, 55], clean),
        ([61, 61], clean),
        ([55, 58], clean),
        ([52, 52], marked),
        ([64, 64], marked),
        ([52, 58], marked),
        ([56, 60], marked),
        ([52, 59], refused),
    ] {
        assert_eq!(read(one.map(micros), zeros), due, "ones of {one:?}");
    }
    for one in [[micros(52) - 1; 2], [micros(64) + 1; 2], [micros(55), micros(61) + 1]] {
        assert_eq!(read(one, zeros), refused, "ones of {one:?}");
    }
    for (zero, due) in [
        ([95, 95], clean),
        ([9_900, 2_100], clean),
        ([90, 90], marked),
        ([10_000, 100], marked),
        ([9_000, 3_001], refused),
        ([2_000, 10_001], refused),
    ] {
        assert_eq!(read(ones, zero.map(micros)), due, "zeros of {zero:?}");
    }
    assert_eq!(read(ones, [micros(90) - 1, micros(100)]), refused);
}

/// S-9.2: fewer than 10 ones are no preamble, more than 12 must not be asked for, 14 are to be sent.
#[test]
fn preambles() {
    for ones in 0..40 {
        let signal: Vec<Picos> =
            bits(ones, &[0xFF, 0, 0xFF]).flat_map(|bit| [micros(if bit { 58 } else { 100 }); 2]).collect();
        let (events, _) = decode(0, &signal);
        let read = readings(&events);
        assert_eq!(read.len(), usize::from(ones >= 10), "{ones} ones");
        assert!(read.iter().all(|r| r.preamble == ones && r.marginal.short_preamble == (ones < 14)));
        // Behind another packet the end bit counts as one, and too few are reported.
        let mut two = all_halves(&[vec![0xFF, 0, 0xFF]], Timing::NOMINAL, 0);
        two.extend(signal);
        let (events, _) = decode(0, &two);
        assert_eq!(readings(&events).len(), 1 + usize::from(ones >= 9), "{ones} ones behind an end bit");
        if (1..9).contains(&ones) {
            let short =
                |f: &SignalFault| matches!(f, SignalFault::ShortPreamble { ones: told, .. } if *told == ones + 1);
            assert!(faults(&events).iter().any(short), "{ones}: {events:?}");
        }
    }
}

/// A trace may begin anywhere, at either level; at most the packet it cuts is lost.
#[test]
fn begun_anywhere() {
    let packets = any_packets(4, 3);
    let signal = all_halves(&packets, Timing::NOMINAL, 0);
    let first = 2 * (14 + 9 * packets[0].len() + 1);
    for cut in 0..first {
        let (events, _) = decode(77, &signal[cut..]);
        let read = bytes(&events);
        let whole = if cut <= 8 { &packets[..] } else { &packets[1..] };
        assert_eq!(read, whole, "cut at half {cut}");
        assert_eq!(faults(&events), [], "cut at half {cut}");
    }
}

/// The gap in which decoders answer (here 29 and 450 µs behind the end bit, widths from memory) is reported and is no fault.
#[test]
fn a_gap_between_packets() {
    let packets = any_packets(3, 8);
    for gap in [vec![29, 451], vec![480], vec![29, 3, 20, 428], vec![30_000]] {
        let mut signal = Vec::new();
        for packet in &packets {
            signal.extend(all_halves(std::slice::from_ref(packet), Timing { preamble: 16, ..Timing::NOMINAL }, 0));
            signal.extend(gap.iter().copied().map(micros));
        }
        let (events, statistics) = decode(0, &signal);
        assert_eq!(bytes(&events), packets, "{gap:?}");
        assert_eq!(statistics.faults, 0, "{gap:?}: {events:?}");
        assert_eq!(statistics.gaps, 3 * gap.len() as u64, "{gap:?}");
    }
}

#[test]
fn frames_that_are_no_packets() {
    for (bytes, due) in [
        (vec![0x81, 0xF8, 0x78], "the last byte is 78, but the others make 79"),
        (vec![0xFF, 0xFF], "2 bytes are too few"),
        (vec![0; 7], "7 bytes are too many"),
        (vec![0; 20], "no end"),
    ] {
        let signal = all_halves(&[bytes, vec![0xFF, 0, 0xFF]], Timing::NOMINAL, 0);
        let (events, _) = decode(0, &signal);
        let [fault] = faults(&events)[..] else { panic!("{events:?}") };
        assert!(fault.to_string().contains(due), "{fault}");
        assert_eq!(readings(&events).len(), 1, "the next one is read");
    }
}

#[test]
fn uneven_preambles_are_told_once() {
    // Halves of 54 and 62 µs are each accepted; together they are not.
    let packet = [0xFF, 0, 0xFF];
    let signal: Vec<Picos> = bits(14, &packet)
        .chain(bits(14, &packet))
        .flat_map(|bit| if bit { [micros(54), micros(62)] } else { [micros(100); 2] })
        .collect();
    let (events, _) = decode(0, &signal);
    assert_eq!(readings(&events), []);
    assert!(matches!(faults(&events)[0], SignalFault::Uneven { time: 0, more: 13, .. }), "{events:?}");
}

/// Halves of bits, each one of these widths in microseconds.
fn of_bits(bits: impl Iterator<Item = bool>) -> Vec<Picos> {
    bits.flat_map(|bit| [micros(if bit { 58 } else { 100 }); 2]).collect()
}

/// A signal of an idle packet behind so many ones, with one bit of other halves.
fn with_bit(ones: u32, bit: usize, widths: [u64; 2]) -> (Vec<PacketReading>, Vec<SignalFault>) {
    let mut signal = of_bits(bits(ones, &[0xFF, 0, 0xFF]));
    signal[2 * bit..2 * bit + 2].copy_from_slice(&widths.map(micros));
    let (events, _) = decode(0, &signal);
    (readings(&events), faults(&events))
}

/// One uneven one, in the preamble or in a byte.
#[test]
fn one_uneven_one() {
    // In a byte: bit 15 is the first behind the start bit.
    let (read, faults) = with_bit(14, 15, [54, 62]);
    let due = SignalFault::Uneven { time: micros(14 * 116 + 200), first: micros(54), last: micros(62), more: 0 };
    assert_eq!((read, faults), (vec![], vec![due]));
    let (read, faults) = with_bit(14, 15, [56, 60]);
    assert_eq!((read[0].marginal.uneven, read[0].marginal.halves, faults), (1, 0, vec![]));
    assert_eq!(read[0].marginal.first_uneven, Some((micros(14 * 116 + 200), micros(4))));
    // In the preamble: what is left behind it must be enough, and it is reported in any case.
    let (read, faults) = with_bit(14, 3, [60, 56]);
    assert_eq!((read[0].marginal.uneven, faults), (1, vec![]));
    assert_eq!(read[0].marginal.first_uneven, Some((micros(3 * 116), micros(4))));
    for (ones, at, left) in [(20, 9, Some(10)), (20, 10, None), (25, 3, Some(21))] {
        let (read, faults) = with_bit(ones, at, [62, 54]);
        let due = SignalFault::Uneven { time: micros(116 * at as u64), first: micros(62), last: micros(54), more: 0 };
        assert_eq!(read.first().map(|r| r.preamble), left, "bit {at} of {ones}");
        assert_eq!(faults, [due], "bit {at} of {ones}");
    }
}

/// Where a packet breaks off, the halves of the bit at which that shows may be of the next preamble already.
#[test]
fn a_preamble_right_behind_a_broken_packet() {
    for whole in [0, 1, 8] {
        let mut signal = of_bits(bits(14, &[0x00]).take(14 + whole));
        signal.push(micros(100)); // the first half of a zero, and then a preamble of the fewest ones
        signal.extend(of_bits(bits(10, &[0xFF, 0, 0xFF])));
        let (events, _) = decode(0, &signal);
        assert!(matches!(faults(&events)[..], [SignalFault::Mixed { .. }]), "{events:?}");
        assert_eq!(readings(&events)[0].preamble, 10);
    }
}

/// Whether a packet that was read from a signal with one half changed is marked, or the change is reported.
fn told(events: &[Event], before: &[Vec<u8>]) -> bool {
    let read = bytes(events);
    let marked = readings(events).iter().any(|r| r.marginal.any());
    !faults(events).is_empty() || (marked && read.len() <= before.len())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    /// One half anywhere in a packet changed to any width that is not accepted in its place: it is reported.
    #[test]
    fn one_half_astray(seed in any::<u64>(), at in any::<prop::sample::Index>(), width in prop_oneof![
        0..micros(52), micros(52)..micros(64), micros(64) + 1..micros(90), micros(90)..micros(10_000), micros(10_001)..micros(50_000)
    ]) {
        let packets = any_packets(3, seed);
        let mut signal = all_halves(&packets, Timing::ALL_THAT_MAY_BE_SENT, seed);
        let first = 2 * (14 + 9 * packets[0].len() + 1);
        let second = 2 * (14 + 9 * packets[1].len() + 1);
        let at = first + at.index(second);
        let bit_other = signal[if at.is_multiple_of(2) { at + 1 } else { at - 1 }];
        let kind = ACCEPTED.kind(signal[at]);
        let still = match kind {
            HalfKind::One => ACCEPTED.one_bit(width, bit_other),
            _ => ACCEPTED.zero_bit(width, bit_other),
        };
        prop_assume!(!still);
        signal[at] = width;
        let (events, _) = decode(0, &signal);
        prop_assert!(told(&events, &packets), "half {at} of {width} ps: {events:?}");
        // The packet before is untouched, the one behind comes through unless its preamble was what was hurt.
        let read = bytes(&events);
        prop_assert_eq!(&read[0], &packets[0]);
        prop_assert_eq!(read.last(), packets.last());
        // What came of the hurt packet is itself or nothing: never other bytes.
        prop_assert!(read.len() == 2 || (read.len() == 3 && read[1] == packets[1]), "{read:?}");
    }

    /// An edge lost or one too many costs the packet it is in and no other.
    #[test]
    fn an_edge_lost_or_too_many(seed in any::<u64>(), at in any::<prop::sample::Index>(), lost in any::<bool>()) {
        let packets = any_packets(3, seed);
        let timing = Timing { stretched: Some(Stretched { one_of: 9, longest: micros(9_900), in_all: micros(12_000) }), ..Timing::NOMINAL };
        let mut signal = all_halves(&packets, timing, seed);
        let first = 2 * (14 + 9 * packets[0].len() + 1);
        let second = 2 * (9 * packets[1].len() + 14);
        let at = first + at.index(second);
        if lost {
            let width = signal.remove(at);
            signal[at] += width;
        } else {
            let width = signal[at];
            signal[at] = width / 2;
            signal.insert(at, width - width / 2);
        }
        let (events, _) = decode(0, &signal);
        prop_assert!(told(&events, &packets), "{at}: {events:?}");
        let read = bytes(&events);
        prop_assert_eq!(&read[0], &packets[0]);
        prop_assert_eq!(read.last(), packets.last());
    }

    /// Any edges at all: no panic, no packet whose bytes are none, and every half is counted.
    #[test]
    fn any_edges(times in prop::collection::vec(prop_oneof![any::<u64>(), 0..micros(200), micros(50)..micros(120)], 0..200), sum in any::<bool>()) {
        let mut decoder = Decoder::new();
        let mut now = 0_u64;
        for time in &times {
            now = if sum { now.saturating_add(*time) } else { *time };
            if let Some(Event::Packet(reading)) = decoder.edge(now) {
                prop_assert_eq!(error_byte(&reading.bytes), 0);
            }
        }
        prop_assert_eq!(decoder.statistics().halves(), times.len().saturating_sub(1) as u64);
    }
}

/// The same seed gives the same signal; another gives another.
#[test]
fn drawn_from_a_seed() {
    let packets = any_packets(20, 1);
    let signal = |seed| all_halves(&packets, Timing::ALL_THAT_IS_ACCEPTED, seed);
    assert_eq!(signal(1), signal(1));
    assert_ne!(signal(1), signal(2));
    // SplitMix64 from seed 0 [published reference values of the algorithm, from memory].
    let mut chance = Chance::new(0);
    assert_eq!([chance.bits(), chance.bits()], [0xE220_A839_7B1D_CDAF, 0x6E78_9E6A_A1B9_65F4]);
}
