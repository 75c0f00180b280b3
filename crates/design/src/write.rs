//! The plan's text, with comments that say why.

use crate::answers::{Answers, RoomClimate, Turning, YardKind};
use crate::drivers;
use crate::lengths::length;
use crate::questions::{LIVES, WIRINGS};
use crate::relays::relay;
use crate::yard::{BUS, ContactDuty, Measures, Yard, YardTrack, YardTurnout, contact_wire};
use handbook::scales;
use plan::tables::{Hand, Live, MotorKind};
use std::fmt::Write;

/// The plan.
pub(crate) fn text(answers: &Answers, m: &Measures, yard: &Yard) -> String {
    let mut out = String::new();
    head(answers, &mut out);
    layout(answers, m, &mut out);
    power(answers, m, yard, &mut out);
    for line in &yard.lines {
        track(answers, m, line, &mut out);
    }
    if answers.turning == Turning::Reverser {
        let at = yard.lines.iter().find(|l| l.name == "loop").map_or(0.0, |l| l.along[0]);
        let _ = write!(
            out,
            "\n# Swaps the loop's phases when it senses a short, before the booster does.\n[[reverser]]\nname = \"loop reverser\"\nkind = \"short-sensing\"\nfrom = \"{BUS} @ {}\"\n",
            length(answers, at)
        );
    }
    out.push('\n');
    heading("turnouts and what throws them", &mut out);
    drivers::drivers(answers, yard, &mut out);
    for (k, work) in yard.works.iter().enumerate() {
        turnout(answers, m, work, &mut out);
        motor(answers, m, work, &drivers::output(yard, k), &mut out);
    }
    for (name, tap, rails) in &yard.toggles {
        let _ = write!(
            out,
            "\n[[toggle]]\nname    = \"{name}\"\nwire    = \"{}\"\nwire_length = \"{}\"\ncontact = [{{ common = \"{tap}\", on = {} }}]\n",
            m.contact_wire,
            length(answers, contact_wire(answers, m)),
            targets(rails)
        );
    }
    let roads: Vec<String> = yard.roads.iter().map(|r| format!("\"{r}\"")).collect();
    let live = LIVES.iter().find(|l| l.1 == answers.live).map_or("always", |l| l.0);
    let _ = write!(out, "\n[storage]\ntracks = [{}]\nlive   = \"{live}\"\n", roads.join(", "));
    out
}

fn head(answers: &Answers, out: &mut String) {
    let kind = if answers.kind == YardKind::Stub { "a stub yard" } else { "a yard with two ladders" };
    let _ = writeln!(out, "# {}: {kind} of {} roads off {}.", answers.name, answers.roads, answers.turnouts_in_words());
    let says = match answers.live {
        Live::Lined => {
            "A road is live only while the ladder is set to it. The contacts copy the track tree: what the ladder\n# does to the train, they do to conductor B."
        }
        Live::BothEndsAgree => {
            "A road is live only while both ladders are set to it: the west contacts hand out A to left rails,\n# the east contacts B to right rails."
        }
        Live::EitherEnd => {
            "A road is live while one of the ladders is set to it: the contacts of both hand out B to right rails."
        }
        Live::Always => "All roads are live always.",
        Live::ByHand => "Each road is switched on by hand; a toggle gives B to its right rail.",
    };
    let _ = writeln!(out, "# {says}\n#");
    let from = if answers.kind == YardKind::Stub { "from the lead to their buffers" } else { "from west to east" };
    let _ = writeln!(out, "# Tracks run {from}: standing at `from` and looking along, left is A and right is B.\n");
}

fn layout(answers: &Answers, m: &Measures, out: &mut String) {
    let _ = write!(
        out,
        "[layout]\nname    = \"{}\"\nscale   = \"{}\"\nrail    = \"{}\"\njoint   = \"soldered\"\ncentres = \"{}\"\ngap_width   = \"{}\"\nfeeder_wire = \"{}\"\n",
        answers.name.replace('\\', "\\\\").replace('"', "\\\""),
        answers.scale,
        answers.rail,
        length(answers, answers.centres.0),
        answers.units().fine(m.gap_width),
        m.feeder_wire,
    );
    let (words, air) = match answers.room {
        RoomClimate::Living => ("heated in winter, when the air is dry", [(20.0, 50.0), (16.0, 40.0), (28.0, 60.0)]),
        RoomClimate::Cellar => ("never cold, often damp", [(17.0, 62.0), (13.0, 74.0), (23.0, 52.0)]),
        RoomClimate::Attic => ("under the roof", [(18.0, 55.0), (2.0, 75.0), (36.0, 38.0)]),
        RoomClimate::Shed => ("without heating", [(15.0, 60.0), (-5.0, 82.0), (32.0, 42.0)]),
    };
    let words = if answers.air.is_some() { "as it was measured" } else { words };
    let _ = writeln!(out, "\n[room] # {words}");
    let air = answers.air.unwrap_or(air);
    for ((celsius, humidity), when) in air.into_iter().zip(["laid   ", "coldest", "hottest"]) {
        let temperature =
            if answers.imperial { format!("{:.0} °F", celsius * 1.8 + 32.0) } else { format!("{celsius} °C") };
        let _ = writeln!(out, "{when} = {{ temperature = \"{temperature}\", humidity = \"{humidity} %\" }}");
    }
    if let Some(percent) = m.drop {
        let _ = writeln!(out, "\n[limits]\ndrop = \"{percent} %\" # contacts in a row: more than the usual 5 %");
    }
    let _ = write!(out, "\n[base]\nmaterial = \"{}\"\nfixing   = \"glued\"\n", answers.base);
}

fn power(answers: &Answers, m: &Measures, yard: &Yard, out: &mut String) {
    let scale = scales::scale(answers.scale);
    let volts = scale.map_or(15.0, |s| s.nominal_voltage.value.0);
    let running = scale.map_or(0.5, |s| s.train_running_current.value.typical.0);
    let _ = write!(
        out,
        "\n[[train]]\nname   = \"longest train\"\nlength = \"{}\"\ndraws  = {{ running = \"{running} A\", standing = \"{} A\" }}\n",
        length(answers, m.train),
        (running * 20.0).round() / 100.0,
    );
    let _ = write!(
        out,
        "\n[[supply]]\nname    = \"booster\"\nvoltage = \"{volts} V\"\nrating  = \"{} A\"\ntrips   = {{ at = \"{} A\", after = \"100 ms\" }}\n",
        f64::from(answers.trip) * 0.9,
        answers.trip,
    );
    if let Some(amps) = m.breaker {
        let _ = write!(
            out,
            "\n# Behind so many contacts in a row a short draws too little for the booster: a breaker of the yard's own.\n[[supply]]\nname   = \"yard breaker\"\nkind   = \"sub-breaker\"\nbehind = \"booster\"\ntrips  = {{ at = \"{amps} A\", after = \"20 ms\" }}\n"
        );
    }
    drivers::supply(answers, yard, out);
    let _ = write!(
        out,
        "\n[[bus]]\nname   = \"{BUS}\"\nsupply = \"{}\"\nwire   = \"{}\"\npair   = \"twisted\"\nlength = \"{}\"\n\n",
        if m.breaker.is_some() { "yard breaker" } else { "booster" },
        m.bus_wire,
        length(answers, yard.bus),
    );
    heading("tracks", out);
}

fn heading(says: &str, out: &mut String) {
    let _ = writeln!(out, "# ── {says} {}", "─".repeat(90 - says.chars().count()));
}

fn track(answers: &Answers, m: &Measures, line: &YardTrack, out: &mut String) {
    let show = |x: f64| length(answers, x);
    let _ = write!(
        out,
        "\n[[track]]\nname    = \"{}\"\nfrom    = \"{}\"\nto      = \"{}\"\nlength  = \"{}\"\n",
        line.name,
        line.from,
        line.to,
        show(line.length)
    );
    match line.belongs {
        Some("") => {}
        Some(owner) => {
            let _ = write!(out, "left    = \"{owner}.A\"\nright   = \"{owner}.B\"\n");
        }
        None => {
            let _ = write!(out, "left    = \"{BUS}.A\"\nright   = \"{BUS}.B\"\n");
        }
    }
    if line.along[0] != line.along[1] {
        let _ = writeln!(
            out,
            "along   = {{ bus = \"{BUS}\", from = \"{}\", to = \"{}\" }}",
            show(line.along[0]),
            show(line.along[1])
        );
    }
    let fed: Vec<usize> = (0..2).filter(|&side| line.fed[side]).collect();
    if !fed.is_empty() {
        let places = feeder_places(m, line);
        let rail = ["left", "right"];
        let one = |x: &f64| match fed[..] {
            [side] => format!("{{ at = \"{}\", rail = \"{}\" }}", show(*x), rail[side]),
            _ => format!("\"{}\"", show(*x)),
        };
        let list: Vec<String> = places.iter().map(one).collect();
        let _ = writeln!(out, "feeders = [{}]", list.join(", "));
    }
    let both: Vec<f64> = line.gaps[0].iter().copied().filter(|x| line.gaps[1].contains(x)).collect();
    let mut gaps: Vec<(f64, String)> = both.iter().map(|&x| (x, format!("\"{}\"", show(x)))).collect();
    for (side, word) in ["left", "right"].into_iter().enumerate() {
        for &x in line.gaps[side].iter().filter(|x| !both.contains(x)) {
            gaps.push((x, format!("{{ at = \"{}\", rail = \"{word}\" }}", show(x))));
        }
    }
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    if !gaps.is_empty() {
        let list: Vec<String> = gaps.into_iter().map(|g| g.1).collect();
        let _ = writeln!(out, "gaps    = [{}]", list.join(", "));
    }
    if let Some(apart) = m.slides {
        let count = (line.length / apart).floor() as usize;
        let cuts = (1..=count).map(|k| line.length * k as f64 / (count + 1) as f64);
        let list: Vec<String> = cuts.map(|x| format!("\"{}\"", show(x))).collect();
        if !list.is_empty() {
            let _ = writeln!(out, "slides  = [{}]", list.join(", "));
        }
    }
}

/// Evenly along the stretch between a track's gaps, no two further apart than asked for.
fn feeder_places(m: &Measures, line: &YardTrack) -> Vec<f64> {
    let gaps = || line.gaps.iter().flatten().copied();
    let first = gaps().filter(|x| *x < line.length / 2.0).fold(0.0, f64::max);
    let last = gaps().filter(|x| *x >= line.length / 2.0).fold(line.length, f64::min);
    let count = (((last - first) / m.feeders).ceil() as usize).max(1);
    (0..count).map(|k| first + (last - first) * (k as f64 + 0.5) / count as f64).collect()
}

fn turnout(answers: &Answers, m: &Measures, work: &YardTurnout, out: &mut String) {
    let hand = if answers.hand == Hand::Left { "left" } else { "right" };
    let wiring = WIRINGS.iter().find(|w| w.1 == answers.wiring).map_or("live-bonded", |w| w.0);
    let _ = write!(
        out,
        "\n[[turnout]]\nname   = \"{}\"\nnumber = {}\nhand   = \"{hand}\"\nwiring = \"{wiring}\"\n{}",
        work.name,
        answers.number,
        if m.slides.is_some() { "joint  = \"sliding\"\n" } else { "" },
    );
}

fn motor(answers: &Answers, m: &Measures, work: &YardTurnout, output: &str, out: &mut String) {
    let kind = match answers.motor {
        MotorKind::Solenoid => "solenoid",
        MotorKind::Servo => "servo",
        _ => "stall",
    };
    let _ = write!(
        out,
        "\n[[motor]]\nname    = \"{}\"\nmoves   = \"{}\"\nkind    = \"{kind}\"\ndriver  = \"{output}\"\n",
        work.motor, work.name
    );
    let own = work.duties.len().min(answers.contacts as usize);
    contacts(m, &work.duties[..own], out);
    if own < work.duties.len() {
        // A coil lies across a steady output; pulses and servo signals hold none.
        let coil =
            if kind == "stall" { format!("driver  = \"{output}\"") } else { "supply  = \"points supply\"".to_owned() };
        let _ = write!(
            out,
            "\n# {} has {} and needs {}: a relay follows it.\n[[relay]]\nname    = \"{}\"\nfollows = \"{}\"\n{coil}\n",
            work.motor,
            counted(answers.contacts),
            work.duties.len(),
            relay(&work.motor),
            work.motor
        );
        contacts(m, &work.duties[own..], out);
    }
}

fn counted(contacts: u32) -> String {
    if contacts == 1 { "one contact".into() } else { format!("{contacts} contacts") }
}

fn contacts(m: &Measures, duties: &[ContactDuty], out: &mut String) {
    if duties.is_empty() {
        return;
    }
    // Each wire is as long as its own way.
    let _ = write!(out, "wire    = \"{}\"\ncontact = [\n", m.contact_wire);
    for duty in duties {
        if !duty.why.is_empty() {
            let _ = writeln!(out, "  # {}", duty.why);
        }
        let named = [("common", &duty.common), ("through", &duty.through), ("diverging", &duty.diverging)];
        let parts: Vec<String> = named
            .iter()
            .filter(|n| !n.1.is_empty())
            .map(|(word, list)| format!("{word} = {}", targets(list)))
            .collect();
        let _ = writeln!(out, "  {{ {} }},", parts.join(", "));
    }
    out.push_str("]\n");
}

/// One target, or a list of them.
fn targets(list: &[String]) -> String {
    let quoted: Vec<String> = list.iter().map(|t| format!("\"{t}\"")).collect();
    match &quoted[..] {
        [one] => one.clone(),
        _ => format!("[{}]", quoted.join(", ")),
    }
}
