//! Edges in, packets and faults out.
//!
//! A decoder knows neither which level is first nor which edge begins a bit (S-9.1, note 1). It need not guess: a preamble
//! is ones, and where a zero follows, its first edge is where a bit begins. So while it looks for a packet it counts whole
//! ones at both of the ways to pair halves, and the first half of a zero says which of the two counts is the preamble. Each
//! packet is paired anew; a trace may begin in the middle of a bit, and a lost edge costs no more than its own packet.

mod event;

pub use event::{Bytes, Event, Marginal, PacketReading, SignalFault};

use crate::packet;
use crate::statistics::Statistics;
use crate::timing::{ACCEPTED, HalfKind, Picos, SENT};

/// Reads edges one by one and holds nothing but what it needs for the packet at hand.
#[derive(Clone, Debug, Default)]
pub struct Decoder {
    last_edge: Option<Picos>,
    /// The half before, where it was of a one and a packet is looked for.
    before: Option<Picos>,
    /// Ones that end at this half and at the one before, by turns.
    rows: [OnesRun; 2],
    turn: usize,
    /// What is marginal since the last packet or fault.
    marginal: Marginal,
    /// Whether the last thing seen was a packet, so that what follows is expected to be one.
    expecting: bool,
    /// Whether a packet has just ended, and fewer than two whole ones are behind it.
    just_ended: bool,
    packet: Option<Framing>,
    statistics: Statistics,
}

/// Whole ones in a row at one way to pair halves.
#[derive(Clone, Copy, Debug, Default)]
struct OnesRun {
    ones: u32,
    /// Pairs in this row of ones whose halves differ too much.
    broken: u32,
    first_broken: Option<(Picos, Picos, Picos)>,
    /// Ones of this row whose halves differ by more than may be sent.
    uneven: u32,
    first_uneven: Option<(Picos, Picos)>,
}

/// A packet being read.
#[derive(Clone, Copy, Debug)]
struct Framing {
    start: Picos,
    preamble: u32,
    /// The first half of the bit at hand: when it began, how wide it was.
    first: Option<(Picos, Picos)>,
    bytes: Bytes,
    /// The bits of the byte at hand, behind a leading one that says how many there are. 0 before a byte's start bit.
    bits: u16,
}

impl Decoder {
    /// A decoder that has seen nothing yet.
    pub fn new() -> Decoder {
        Decoder::default()
    }

    /// Takes the time of the next edge, of either direction; tells what came to an end with it.
    #[inline]
    pub fn edge(&mut self, time: Picos) -> Option<Event> {
        let Some(began) = self.last_edge.replace(time) else {
            self.statistics.first_edge = Some(time);
            self.statistics.last_edge = time;
            return None;
        };
        self.statistics.last_edge = time;
        // An edge before the last one has no width, and no width is a fault.
        let width = time.saturating_sub(began);
        let kind = ACCEPTED.kind(width);
        self.statistics.half(kind, width);
        let event = match self.packet {
            Some(framing) => self.in_packet(framing, kind, began, width),
            None => self.between(kind, began, width),
        };
        match &event {
            Some(Event::Packet(reading)) => {
                self.statistics.packets += 1;
                self.statistics.marginal += u64::from(reading.marginal.any());
            }
            Some(Event::Fault(fault)) if fault.is_allowed() => self.statistics.gaps += 1,
            Some(Event::Fault(_)) => self.statistics.faults += 1,
            None => {}
        }
        event
    }

    /// What the trace was like so far.
    pub fn statistics(&self) -> &Statistics {
        &self.statistics
    }

    /// Whether the last edge is in the middle of a packet, so that a trace which ends there cuts one off.
    pub fn is_in_packet(&self) -> bool {
        self.packet.is_some()
    }

    /// A half while a packet is looked for.
    #[inline]
    fn between(&mut self, kind: HalfKind, began: Picos, width: Picos) -> Option<Event> {
        match kind {
            HalfKind::One => {
                self.one_half(began, width);
                None
            }
            HalfKind::Zero => self.zero_half(began, width),
            HalfKind::Neither => {
                let gap = self.just_ended;
                self.lose();
                // What may stand between packets is no reason to expect the next one less.
                (self.just_ended, self.expecting) = (gap, gap);
                let (time, allowed) = (began, gap);
                Some(Event::Fault(if allowed {
                    SignalFault::Gap { time, width }
                } else {
                    SignalFault::Width { time, width }
                }))
            }
        }
    }

    #[inline]
    fn one_half(&mut self, began: Picos, width: Picos) {
        self.turn ^= 1;
        let row = &mut self.rows[self.turn];
        if let Some(before) = self.before {
            let difference = before.abs_diff(width);
            let time = began.saturating_sub(before);
            if difference > ACCEPTED.difference {
                row.ones = 0;
                row.broken = row.broken.saturating_add(1);
                row.first_broken.get_or_insert((time, before, width));
                (row.uneven, row.first_uneven) = (0, None);
            } else {
                row.ones = row.ones.saturating_add(1);
                self.just_ended &= row.ones < 2;
                if difference > SENT.difference {
                    row.uneven = row.uneven.saturating_add(1);
                    row.first_uneven.get_or_insert((time, difference));
                }
            }
        }
        if SENT.kind(width) != HalfKind::One {
            self.marginal.half(began, width);
        }
        self.before = Some(width);
    }

    /// The half of a zero: where the ones before it are enough, a packet begins with it.
    fn zero_half(&mut self, began: Picos, width: Picos) -> Option<Event> {
        let row = if self.before.is_some() { self.rows[self.turn] } else { OnesRun::default() };
        self.statistics.longest_preamble = self.statistics.longest_preamble.max(row.ones);
        let (expecting, just_ended, mut marginal) = (self.expecting, self.just_ended, self.marginal);
        self.lose();
        let uneven =
            row.first_broken.map(|(time, first, last)| SignalFault::Uneven { time, first, last, more: row.broken - 1 });
        if row.ones < ACCEPTED.preamble {
            if just_ended {
                (self.just_ended, self.expecting) = (true, true);
                return Some(Event::Fault(SignalFault::Gap { time: began, width }));
            }
            let short = expecting.then_some(SignalFault::ShortPreamble { time: began, ones: row.ones });
            return uneven.or(short).map(Event::Fault);
        }
        if let Some((time, difference)) = row.first_uneven {
            marginal.differ(time, difference, row.uneven);
        }
        marginal.short_preamble = row.ones < SENT.preamble;
        self.marginal = marginal;
        self.packet = Some(Framing { start: began, preamble: row.ones, first: None, bytes: Bytes::default(), bits: 0 });
        // The start bit is held to what every zero is held to.
        let begun = self.packet.and_then(|framing| self.in_packet(framing, HalfKind::Zero, began, width));
        debug_assert!(begun.is_none());
        uneven.map(Event::Fault)
    }

    /// A half inside a packet.
    #[inline]
    fn in_packet(&mut self, mut framing: Framing, kind: HalfKind, began: Picos, width: Picos) -> Option<Event> {
        if kind == HalfKind::Neither {
            self.lose();
            return Some(Event::Fault(SignalFault::Width { time: began, width }));
        }
        if SENT.kind(width) != kind {
            self.marginal.half(began, width);
        }
        let Some((time, first)) = framing.first.take() else {
            framing.first = Some((began, width));
            self.packet = Some(framing);
            return None;
        };
        let last = width;
        let one = match (ACCEPTED.kind(first), kind) {
            (HalfKind::One, HalfKind::One) => {
                let difference = first.abs_diff(last);
                self.statistics.difference.add(difference);
                if difference > ACCEPTED.difference {
                    return self
                        .lose_bit(SignalFault::Uneven { time, first, last, more: 0 }, [(time, first), (began, last)]);
                }
                if difference > SENT.difference {
                    self.marginal.differ(time, difference, 1);
                }
                true
            }
            (HalfKind::Zero, HalfKind::Zero) => {
                let in_all = first.saturating_add(last);
                self.statistics.zero_in_all.add(in_all);
                if in_all > ACCEPTED.zero_in_all {
                    return self.lose_bit(SignalFault::LongZero { time, first, last }, [(time, first), (began, last)]);
                }
                false
            }
            _ => return self.lose_bit(SignalFault::Mixed { time, first, last }, [(time, first), (began, last)]),
        };
        self.bit(framing, one, began.saturating_add(width))
    }

    /// A whole bit of a packet.
    #[inline]
    fn bit(&mut self, mut framing: Framing, one: bool, end: Picos) -> Option<Event> {
        match (framing.bits, one) {
            (0, false) => framing.bits = 1,
            (0, true) => return Some(self.packet_ends(framing, end)),
            (bits, one) => {
                framing.bits = bits << 1 | u16::from(one);
                if framing.bits > 0xFF {
                    let [_, byte] = framing.bits.to_be_bytes();
                    framing.bits = 0;
                    if !framing.bytes.push(byte) {
                        self.lose();
                        return Some(Event::Fault(SignalFault::NotAPacket {
                            time: framing.start,
                            bytes: framing.bytes,
                        }));
                    }
                }
            }
        }
        self.packet = Some(framing);
        None
    }

    fn packet_ends(&mut self, framing: Framing, end: Picos) -> Event {
        let Framing { start, preamble, bytes, .. } = framing;
        let marginal = self.marginal;
        self.lose();
        // The end bit may count as one of the next preamble (S-9.2, note 3), and this pairing is known.
        self.rows[self.turn].ones = 1;
        (self.expecting, self.just_ended) = (true, true);
        match packet::check(&bytes) {
            Ok(()) => Event::Packet(PacketReading { start, end, preamble, bytes, marginal }),
            Err(_) => Event::Fault(SignalFault::NotAPacket { time: start, bytes }),
        }
    }

    /// Gives up a packet at a bit, whose halves may already be of the next preamble.
    fn lose_bit(&mut self, fault: SignalFault, halves: [(Picos, Picos); 2]) -> Option<Event> {
        self.lose();
        for (began, width) in halves {
            match ACCEPTED.kind(width) {
                HalfKind::One => self.one_half(began, width),
                HalfKind::Zero | HalfKind::Neither => self.lose(),
            }
        }
        // What this pair has wrong is reported now, not again behind the next preamble.
        for row in &mut self.rows {
            (row.broken, row.first_broken) = (0, None);
        }
        Some(Event::Fault(fault))
    }

    /// Knows nothing more of what came before.
    fn lose(&mut self) {
        self.packet = None;
        self.before = None;
        self.rows = [OnesRun::default(); 2];
        self.marginal = Marginal::default();
        self.expecting = false;
        self.just_ended = false;
    }
}
