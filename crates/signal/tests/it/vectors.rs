//! Published and computed packets, durations, addresses and event identifiers. Sources stand beside them: [std] text of the
//! standard, [calc] computed from the named standard's formats by hand.

use signal::event_id::EventId;
use signal::packet::{check, error_byte, fields, hex};
use signal::{
    Counting, Direction, LocoAddress, Packet, PacketError, RawAddress, Speed, Steps, Timing, ValueMeaning, micros,
};

fn linear(user: u32) -> RawAddress {
    RawAddress::from_number(user, Counting::Linear).expect("a user address")
}

fn step(loco: u32, direction: Direction, step: u8, steps: Steps) -> Packet {
    let address = LocoAddress::from_number(loco).expect("a locomotive");
    Packet::Speed { address, direction, speed: Speed::Step(step), steps }
}

/// The packet has these bytes, and the bytes say the packet.
fn check_bytes(packet: &Packet, bytes: &str) {
    let ours = packet.bytes().expect("it can be sent");
    assert_eq!(hex(&ours).replace(' ', ""), bytes.replace(' ', ""), "{packet}");
    assert_eq!(&Packet::from_bytes(&ours).expect("it can be read"), packet);
    let told: usize = fields(&ours).iter().map(|f| f.bits.len()).sum();
    assert_eq!(told, 8 * ours.len(), "every bit of {packet} is told");
    assert!(fields(&ours).iter().all(|f| !f.meaning.is_empty()), "{packet}: {:?}", fields(&ours));
}

fn stop(at_once: bool, direction: Direction) -> Packet {
    Packet::Stop { at_once, direction, direction_may_be_ignored: true }
}

#[test]
fn packets_of_the_communication_standard() {
    // S-9.2: idle and reset [std], their bytes stand there in binary.
    check_bytes(&Packet::Idle, "FF 00 FF");
    check_bytes(&Packet::Reset, "00 00 00");
    // S-9.2 figure 2 is locomotive 55, forward, step 6 [std]; bytes [calc from S-9.2].
    check_bytes(&step(55, Direction::Forward, 6, Steps::Of28), "37 74 43");
    check_bytes(&step(3, Direction::Forward, 1, Steps::Of28), "03 62 61");
    // Broadcast stop and emergency stop [calc from S-9.2].
    check_bytes(&stop(false, Direction::Forward), "00 70 70");
    check_bytes(&stop(true, Direction::Reverse), "00 51 51");
}

#[test]
fn the_speed_table() {
    // S-9.2, speed table: CSSSS of steps 1 to 4, 27 and 28 [std].
    for (n, code) in [(1, 0b00010), (2, 0b10010), (3, 0b00011), (4, 0b10011), (27, 0b01111), (28, 0b11111)] {
        let bytes = step(3, Direction::Reverse, n, Steps::Of28).bytes().expect("a step");
        assert_eq!(bytes[1], 0x40 | code, "step {n}");
    }
    // Both codings of either stop [std].
    for (code, speed) in [
        (0b00000, Speed::Stop),
        (0b10000, Speed::Stop),
        (0b00001, Speed::EmergencyStop),
        (0b10001, Speed::EmergencyStop),
    ] {
        let bytes = [3, 0x60 | code, 3 ^ (0x60 | code)];
        let due =
            Packet::Speed { address: LocoAddress::Short(3), direction: Direction::Forward, speed, steps: Steps::Of28 };
        assert_eq!(Packet::from_bytes(&bytes), Ok(due));
    }
    // S-9.2.1, 128 speed step control: 00111111, then direction and speed, 0 stop, 1 emergency stop, 126 steps [std];
    // bytes [calc].
    check_bytes(&step(3, Direction::Forward, 1, Steps::Of126), "03 3F 82 BE");
    check_bytes(&step(3, Direction::Reverse, 126, Steps::Of126), "03 3F 7F 43");
    // S-9.2.1 section C: a long address is 11 and fourteen bits, most significant first [std]; bytes [calc]:
    // 1234 = 0x04D2.
    check_bytes(&step(1234, Direction::Forward, 1, Steps::Of126), "C4 D2 3F 82 AB");
    for (bad, steps) in [(0, Steps::Of28), (29, Steps::Of28), (127, Steps::Of126)] {
        assert!(matches!(step(3, Direction::Forward, bad, steps).bytes(), Err(PacketError::NoSuchStep { .. })));
    }
}

/// User address, packets for R 0, R 1 and extended aspect 0, all switched on [calc from S-9.2.1; users 1 to 4 and 2043 to
/// 2048 agree with the published S-9.7.0.4 note].
const ACCESSORIES: [(u32, &str, &str, &str); 12] = [
    (1, "81F879", "81F978", "817100F0"),
    (2, "81FA7B", "81FB7A", "817300F2"),
    (4, "81FE7F", "81FF7E", "817700F6"),
    (5, "82F87A", "82F97B", "827100F3"),
    (100, "99FE67", "99FF66", "997700EE"),
    (252, "BFFE41", "BFFF40", "BF7700C8"),
    (253, "80E868", "80E969", "806100E1"),
    (512, "80DE5E", "80DF5F", "805700D7"),
    (1000, "BACE74", "BACF75", "BA4700FD"),
    (1021, "80B838", "80B939", "803100B1"),
    (2040, "BE8E30", "BE8F31", "BE0700B9"),
    (2044, "BF8E31", "BF8F30", "BF0700B8"),
];

#[test]
fn accessory_packets() {
    for (user, r0, r1, extended) in ACCESSORIES {
        let address = linear(user);
        check_bytes(&Packet::Accessory { address, output: false, on: true }, r0);
        check_bytes(&Packet::Accessory { address, output: true, on: true }, r1);
        check_bytes(&Packet::Extended { address, aspect: 0 }, extended);
    }
    // The same with D 0, R 0 is the accessory emergency stop.
    check_bytes(&Packet::AccessoryStop, "BF8639");
    assert_eq!(linear(2044), RawAddress::EMERGENCY_STOP);
}

#[test]
fn durations() {
    // Halves of 58 and 100 µs, preamble of 14 ones [calc].
    for (packet, due) in
        [(Packet::Idle, 5796), (Packet::Reset, 7140), (step(55, Direction::Forward, 6, Steps::Of28), 6132)]
    {
        let bytes = packet.bytes().expect("it can be sent");
        assert_eq!(Timing::NOMINAL.duration(&bytes), micros(due), "{packet}");
    }
}

#[test]
fn numbers_of_every_value() {
    for bits in 0..2048_u16 {
        let raw = RawAddress::new(bits).expect("eleven bits");
        // S-9.2.1: the first user address is packet value 4; user = value - 3 [std], and wraps below it.
        let user = if bits >= 4 { bits - 3 } else { bits + 2045 };
        assert_eq!(raw.number(Counting::Linear), user);
        // The older counting begins at board 0 [practice]: what is 1 elsewhere is 5 there.
        assert_eq!(raw.number(Counting::FourOff), bits + 1);
        for counting in Counting::ALL {
            assert_eq!(RawAddress::from_number(raw.number(counting).into(), counting), Some(raw));
        }
        assert_eq!(RawAddress::from_board(raw.board(), raw.pair()), Some(raw));
        assert_eq!(raw.standing() != ValueMeaning::Ordinary, (2041..=2048).contains(&user), "the band to warn of");
        for on in [false, true] {
            for output in [false, true] {
                let packet = Packet::Accessory { address: raw, output, on };
                let read = Packet::from_bytes(&packet.bytes().expect("sent")).expect("read");
                let stops = bits == 2047 && !output && !on;
                assert_eq!(read, if stops { Packet::AccessoryStop } else { packet });
                let event = EventId::accessory(raw, output, on);
                assert_eq!(event.as_accessory(), Some((raw, output, on)));
            }
        }
        let extended = Packet::Extended { address: raw, aspect: (bits % 32) as u8 };
        assert_eq!(Packet::from_bytes(&extended.bytes().expect("sent")), Ok(extended));
    }
    assert_eq!(linear(1).bits(), 4);
    assert_eq!((linear(1).board(), linear(1).pair()), (1, 1));
    assert_eq!(RawAddress::from_number(5, Counting::FourOff), Some(linear(1)));
    // The numbers 2045 to 2048 wrap to values 0 to 3.
    assert_eq!([2045, 2046, 2047, 2048].map(|n| linear(n).bits()), [0, 1, 2, 3]);
    for none in [0, 2049, u32::MAX] {
        assert!(Counting::ALL.iter().all(|c| RawAddress::from_number(none, *c).is_none()));
    }
    assert!(RawAddress::new(2048).is_none());
    assert!(RawAddress::from_board(512, 1).is_none() && RawAddress::from_board(1, 0).is_none());
    assert!(RawAddress::from_board(1, 5).is_none());
}

#[test]
fn event_identifiers() {
    // S-9.7.0.4 [std]: user 1 R 0 and user 100 R 1, activated; FE for deactivated.
    assert_eq!(EventId::accessory(linear(1), false, true).to_string(), "01.01.02.00.00.FF.00.08");
    assert_eq!(EventId::accessory(linear(100), true, true).to_string(), "01.01.02.00.00.FF.00.CF");
    assert_eq!(EventId::accessory(linear(1), false, false).to_string(), "01.01.02.00.00.FE.00.08");
    for other in [[1, 1, 2, 0, 0, 0xFD, 0, 8], [1, 1, 2, 0, 1, 0xFF, 0, 8], [1, 1, 2, 0, 0, 0xFF, 0x10, 0]] {
        assert_eq!(EventId(other).as_accessory(), None);
    }
}

#[test]
fn functions() {
    // S-9.2.1: groups one and two, and F13 to F28 [std formats]; bytes [calc].
    let address = LocoAddress::Short(3);
    let group = |first, count, on| Packet::Functions { address, first, count, on };
    check_bytes(&group(0, 5, 0b00001), "03 90 93"); // F0 is bit 4
    check_bytes(&group(0, 5, 0b00010), "03 81 82"); // F1 is bit 0
    check_bytes(&group(5, 4, 0b1000), "03 B8 BB");
    check_bytes(&group(9, 4, 0b0001), "03 A1 A2");
    check_bytes(&group(13, 8, 0x80), "03 DE 80 5D");
    check_bytes(&group(21, 8, 0x01), "03 DF 01 DD");
    assert!(group(4, 4, 0).bytes().is_err());
}

#[test]
fn bytes_that_are_no_packet() {
    assert_eq!(check(&[0xFF, 0xFF]), Err(PacketError::TooShort(2)));
    assert_eq!(check(&[]), Err(PacketError::TooShort(0)));
    assert_eq!(check(&[0; 7]), Err(PacketError::TooLong(7)));
    assert_eq!(check(&[0x81, 0xF8, 0x78]), Err(PacketError::ErrorByte { found: 0x78, due: 0x79 }));
}

/// Every two and three bytes with their error byte say something, lose nothing, and name every bit.
#[test]
fn every_short_packet() {
    let mut known = 0;
    let mut each = |bytes: &[u8]| {
        let mut whole = bytes.to_vec();
        whole.push(error_byte(bytes));
        let packet = Packet::from_bytes(&whole).expect("length and error byte are right");
        assert!(!packet.to_string().is_empty());
        known += usize::from(!matches!(packet, Packet::Other { .. }));
        let again = packet.bytes().expect("what was read can be sent");
        // A stop of 28 steps has two codings; all else comes back byte for byte.
        let stop =
            matches!(packet, Packet::Speed { speed: Speed::Stop | Speed::EmergencyStop, steps: Steps::Of28, .. });
        assert!(again == whole || stop, "{packet}: {} came back as {}", hex(&whole), hex(&again));
        assert_eq!(fields(&whole).iter().map(|f| f.bits.len()).sum::<usize>(), 8 * whole.len());
    };
    for a in 0..=255 {
        for b in 0..=255 {
            each(&[a, b]);
        }
    }
    for a in (0..=255).step_by(7) {
        for b in 0..=255 {
            for c in (0..=255).step_by(13) {
                each(&[a, b, c]);
            }
        }
    }
    assert!(known > 20_000, "only {known} were told closely");
}
