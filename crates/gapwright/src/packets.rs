//! `gapwright packet`: what to send on the track so that something happens, or what bytes say.

use crate::check::width;
use crate::exit::{self, CliError, print, write_whole};
use crate::routes::ADDRESSES_UNTRUE;
use analysis::addresses::AddressRow;
use clap::{Args, Subcommand, ValueEnum};
use signal::event_id::EventId;
use signal::packet::{FEWEST_BYTES, MOST_BYTES, error_byte, fields, hex};
use signal::timing::show_micros;
use signal::vcd::{self, Timescale};
use signal::waveform::{edges, halves};
use signal::{Direction, LocoAddress, Packet, RawAddress, Speed, Steps, Timing, ValueMeaning, micros};
use std::path::{Path, PathBuf};
use text::{paragraph, table};

/// `gapwright packet`.
#[derive(Args)]
pub struct PacketCommand {
    #[command(subcommand)]
    say: Say,
    /// Write the signal to this file as a value-change dump, which logic analysers read
    #[arg(long, value_name = "FILE", global = true)]
    vcd: Option<PathBuf>,
    /// How many times the dump holds the packet, one right behind the other
    #[arg(long, value_name = "TIMES", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=10_000), global = true)]
    repeat: u32,
    /// Ones before the packet; a command station sends 14 or more
    #[arg(long, value_name = "ONES", default_value_t = 14, value_parser = clap::value_parser!(u32).range(0..=1_000), global = true)]
    preamble: u32,
}

/// What to say.
#[derive(Subcommand)]
enum Say {
    /// Nothing, to nobody: what is sent when there is nothing to say
    Idle,
    /// Every decoder goes back to how it was at power-up
    Reset,
    /// Every locomotive stops
    Stop {
        /// Without braking, at once
        #[arg(long)]
        at_once: bool,
    },
    /// A locomotive runs: `speed 55 6`, `speed 1234 stop`
    Speed {
        /// The locomotive's address: short up to 127, long from 128 to 10239
        locomotive: u32,
        /// A speed step from 1, or `stop`, or `stop-at-once`
        speed: String,
        /// Backwards
        #[arg(long)]
        reverse: bool,
        /// Out of how many steps
        #[arg(long, value_enum, default_value_t = SpeedStepsArgument::S28)]
        of: SpeedStepsArgument,
    },
    /// A turnout of a plan: `turnout T1 diverging --plan yard.toml`
    Turnout {
        /// The turnout, or the motor that throws it
        name: String,
        /// The position to set, such as `through` or `diverging`
        position: String,
        /// The plan that says its address
        #[arg(long)]
        plan: PathBuf,
    },
    /// A turnout motor or another accessory: `accessory 21 --output 0 --on`
    Accessory {
        #[command(flatten)]
        address: Address,
        /// Which of its pair of outputs: commonly 0 for diverging, 1 for through
        #[arg(long, value_parser = clap::value_parser!(u8).range(0..=1))]
        output: u8,
        /// Switch the output on, as is done where neither is said
        #[arg(long, conflicts_with = "off")]
        on: bool,
        /// Switch the output off
        #[arg(long)]
        off: bool,
    },
    /// A signal or another accessory with many aspects: `extended 21 --aspect 3`
    Extended {
        #[command(flatten)]
        address: Address,
        /// What it is to show; 0 is absolute stop, most decoders know 0 to 31
        #[arg(long)]
        aspect: u8,
    },
    /// Every accessory stops: what moves is switched off
    StopAccessories,
    /// Explain bytes that somebody else sent, two hexadecimal digits each: `bytes "81 F8 79"`
    Bytes {
        /// The bytes, the error byte last
        #[arg(required = true, value_name = "BYTES")]
        bytes: Vec<String>,
    },
}

#[derive(Args)]
struct Address {
    /// Its number, 1 to 2048, or its board and pair of outputs, such as `6/1`
    address: String,
    /// How the number counts
    #[arg(long, value_enum, default_value_t = Count::Linear)]
    addresses: Count,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Count {
    /// 1 is the first pair of board 1, as most command stations count
    Linear,
    /// 1 is the first pair of board 0; every number is four more than the linear one
    FourOff,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum SpeedStepsArgument {
    #[value(name = "28")]
    S28,
    /// Also called 128 steps: 126 and two kinds of stop
    #[value(name = "126")]
    S126,
}

/// Says what a packet is made of, and writes it where that is asked for.
pub fn packet(asked: &PacketCommand) -> Result<bool, CliError> {
    let bytes = match &asked.say {
        Say::Bytes { bytes } => bytes_of(&bytes.join(" "))?,
        Say::Turnout { name, position, plan } => bytes_that_set(name, position, plan)?,
        say => packet_of(say)?.bytes().map_err(|why| CliError::new(why.to_string()))?,
    };
    let packet = Packet::from_bytes(&bytes).map_err(|why| {
        let trouble = CliError::new(format!("{} is no packet: {why}", hex(&bytes)));
        trouble.help(with_its_error_byte(&bytes).unwrap_or_else(|| {
            format!("a packet has {FEWEST_BYTES} to {MOST_BYTES} bytes, the last the exclusive or of the others")
        }))
    })?;
    let timing = Timing { preamble: asked.preamble, ..Timing::NOMINAL };
    let mut shown = render(&packet, &bytes, timing);
    if let Some(path) = &asked.vcd {
        let packets = std::iter::repeat_n(bytes.as_slice(), asked.repeat as usize);
        let mut dump = Vec::new();
        // A millisecond of nothing before the first edge, so that it is seen as one.
        let times = edges(micros(1000), halves(packets, timing, 0));
        vcd::write(&mut dump, "track", Timescale::TENTH_MICRO, times)
            .map_err(|e| CliError::new(format!("the dump cannot be made: {e}")))?;
        write_whole(path, &dump)?;
        let times = if asked.repeat == 1 { String::new() } else { format!(", {} times", asked.repeat) };
        shown.push_str(&format!("\nwritten to {}{times}\n", text::escape_control_chars(&path.display().to_string())));
    }
    print(&shown)?;
    Ok(true)
}

fn render(packet: &Packet, bytes: &[u8], timing: Timing) -> String {
    let mut out = paragraph("", &packet.to_string(), width());
    let address = match packet {
        Packet::Accessory { address, .. } | Packet::Extended { address, .. } => Some(*address),
        _ => None,
    };
    if let Some(address) = address {
        out.push_str(&paragraph("", &address.to_string(), width()));
        if let Some(care) = care(address.standing()) {
            out.push_str(&paragraph("care: ", care, width()));
        }
    }
    out.push_str(&format!("\nbytes  {}\n\n", hex(bytes)));
    let mut last = None;
    let rows: Vec<Vec<String>> = fields(bytes)
        .into_iter()
        .map(|field| {
            let byte = if last == Some(field.byte) { String::new() } else { hex(&bytes[field.byte..=field.byte]) };
            last = Some(field.byte);
            vec![byte, field.bits, field.meaning]
        })
        .collect();
    out.push_str(&table(&rows));
    let takes = format!(
        "{}: {} ones, {} bytes each behind a zero, a one; halves of {} in a one, of {} in a zero",
        show_micros(timing.duration(bytes)),
        timing.preamble,
        bytes.len(),
        show_micros(timing.one),
        show_micros(timing.zero)
    );
    out.push('\n');
    out.push_str(&paragraph("takes  ", &takes, width()));
    if let Packet::Accessory { address, output, on } = packet {
        let event = format!("{} on a layout bus (S-9.7.0.4)", EventId::accessory(*address, *output, *on));
        out.push_str(&paragraph("event  ", &event, width()));
    }
    out
}

/// What to know about an address that is not one decoder's.
fn care(standing: ValueMeaning) -> Option<&'static str> {
    match standing {
        ValueMeaning::Ordinary => None,
        ValueMeaning::Broadcast => Some("every accessory decoder obeys this address, whatever its own"),
        ValueMeaning::BoardZero => Some("this is board 0, which many decoders cannot be given"),
    }
}

fn packet_of(say: &Say) -> Result<Packet, CliError> {
    Ok(match say {
        Say::Idle => Packet::Idle,
        Say::Reset => Packet::Reset,
        Say::Stop { at_once } => {
            Packet::Stop { at_once: *at_once, direction: Direction::Forward, direction_may_be_ignored: true }
        }
        Say::Speed { locomotive, speed, reverse, of } => {
            let address = LocoAddress::from_number(*locomotive).ok_or_else(|| {
                CliError::new(format!("there is no locomotive {locomotive}")).help("addresses run from 1 to 10239")
            })?;
            let steps = if *of == SpeedStepsArgument::S28 { Steps::Of28 } else { Steps::Of126 };
            let direction = if *reverse { Direction::Reverse } else { Direction::Forward };
            Packet::Speed { address, direction, speed: speed_of(speed)?, steps }
        }
        Say::Accessory { address, output, off, .. } => {
            let address = address_of(address)?;
            if address == RawAddress::EMERGENCY_STOP && *output == 0 && *off {
                Packet::AccessoryStop
            } else {
                Packet::Accessory { address, output: *output == 1, on: !*off }
            }
        }
        Say::Extended { address, aspect } => Packet::Extended { address: address_of(address)?, aspect: *aspect },
        Say::StopAccessories => Packet::AccessoryStop,
        Say::Bytes { .. } | Say::Turnout { .. } => Packet::Idle,
    })
}

/// The bytes that set a position of a motor, by its name or that of what it moves.
fn bytes_that_set(name: &str, position: &str, plan: &Path) -> Result<Vec<u8>, CliError> {
    let table = exit::ask(plan, ADDRESSES_UNTRUE, |facts| Ok(facts.addresses()))?;
    let moved = |row: &AddressRow| row.motor == name || row.moves.split(" + ").any(|moved| moved == name);
    let list = format!("`gapwright addresses {}` lists the motors and their positions", plan.display());
    let rows: Vec<&AddressRow> = table.rows.iter().filter(|row| moved(row)).collect();
    let row = match rows[..] {
        [one] => one,
        [] => return Err(CliError::new(format!("no motor with an address is called `{name}` or moves it")).help(list)),
        _ => return Err(CliError::new(format!("more than one motor moves `{name}`; name the motor")).help(list)),
    };
    let set = row.sets.iter().find(|set| set.position == position);
    let positions = || row.sets.iter().map(|set| format!("`{}`", set.position)).collect::<Vec<_>>().join(" and ");
    set.map(|set| set.bytes.clone()).ok_or_else(|| {
        let words = format!("`{position}` is no position of `{}`; it has {}", row.motor, positions());
        CliError::new(words).help(list)
    })
}

fn speed_of(word: &str) -> Result<Speed, CliError> {
    match word {
        "stop" => Ok(Speed::Stop),
        "stop-at-once" => Ok(Speed::EmergencyStop),
        step => step.parse().map(Speed::Step).map_err(|_| {
            CliError::new(format!("`{step}` is no speed")).help("write a step, such as 6, or `stop`, or `stop-at-once`")
        }),
    }
}

fn address_of(asked: &Address) -> Result<RawAddress, CliError> {
    let word = asked.address.as_str();
    let counting = match asked.addresses {
        Count::Linear => signal::Counting::Linear,
        Count::FourOff => signal::Counting::FourOff,
    };
    let found = match word.split_once('/') {
        Some((board, output)) => {
            board.trim().parse().ok().zip(output.trim().parse().ok()).and_then(|(b, o)| RawAddress::from_board(b, o))
        }
        None => word.parse().ok().and_then(|number| RawAddress::from_number(number, counting)),
    };
    found.ok_or_else(|| {
        CliError::new(format!("there is no accessory `{word}`"))
            .help("numbers run from 1 to 2048; boards from 0 to 511 with pairs 1 to 4, such as `6/1`")
    })
}

/// What bytes would say if their error byte were right, or were there.
fn with_its_error_byte(bytes: &[u8]) -> Option<String> {
    let body = if bytes.len() < FEWEST_BYTES { bytes } else { bytes.split_last()?.1 };
    let whole = [body, &[error_byte(body)]].concat();
    let packet = Packet::from_bytes(&whole).ok()?;
    Some(format!("with the error byte that is due, {}, it would say: {packet}", hex(&whole)))
}

fn bytes_of(text: &str) -> Result<Vec<u8>, CliError> {
    let words = text.split(|c: char| c.is_whitespace() || c == ',').filter(|word| !word.is_empty());
    let mut bytes = Vec::new();
    for word in words {
        let digits = word.strip_prefix("0x").unwrap_or(word);
        let pairs = digits.as_bytes().chunks(2);
        for pair in pairs {
            let byte =
                std::str::from_utf8(pair).ok().filter(|p| p.len() == 2 && p.bytes().all(|b| b.is_ascii_hexdigit()));
            let byte = byte.and_then(|p| u8::from_str_radix(p, 16).ok()).ok_or_else(|| {
                CliError::new(format!("`{word}` is no byte"))
                    .help("write bytes as two hexadecimal digits each, such as `81 F8 79`")
            })?;
            bytes.push(byte);
        }
    }
    Ok(bytes)
}
