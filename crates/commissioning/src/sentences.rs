//! Sentences that stand on the sheets, whatever form these have.

use crate::cold::ColdSheet;
use crate::mistake::BAD_JOINT_OHMS;
use crate::test::{How, Test, Topic, WouldRead, Wrong};
use crate::test_load::TestLoad;
use handbook::quantity::{Amps, Ohms, show_amps, show_ohms};
use schedule::{Number, NumberClass};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The caution before cold tests.
pub const UNPLUGGED: &str = "Every supply is unplugged, at the mains too, before a probe touches anything.";

/// The caution before hot tests.
pub const FIRST_POWER: &str = "Power goes on only when every cold test is well.";

/// What is read again once a year, and why.
pub const AGES: &str = "What is pressed together ages: sliding joints, blades, contacts. Those stand first whose readings ageing \
moves most. Mend what reads outside its limits; what has doubled since last year is on its way.";

/// What to do before the cold tests.
pub const BEFORE_COLD: &str = "Before: unplug every supply, booster and breaker from its buses, motors' supplies too; unplug every \
driver and motor, so that only their wires are read; take every \
engine, lit coach and lamp off the track. Throw turnouts with their supply on, then unplug it again. Ohms: short the leads, \
note what they read, take it off every reading (common practice, no source).";

/// What else to do before cold tests where there are detectors.
pub const DETECTORS: &str = "Bridge each detector with a clip lead between its two terminals for these tests: no ohmmeter reads \
through its diodes. Take the leads off before power goes on.";

/// What the millivolt tests are.
pub const MILLIVOLTS: &str = "By millivolts: a bench supply set to 1 A and no more than 3 V is clipped on just outside the two \
places, and the meter's probes touch the metal between its clips: a milliohm reads a millivolt, and neither clips nor leads \
count. Parallel ways through feeders and bus are in the numbers.";

/// What the letters of numbers stand for.
pub const NUMBERS: &str = "Numbers: F-1 is a feeder, W-1 a wire of a contact or a bond, B-1 a wire of a bus or a supply's lead, \
G-1 a gap, J-1 a joint; P-1 is a wire of a panel, V-1 a diode in it.";

/// What a meter does to a square wave.
pub const SQUARE_WAVE: &str = "The track signal is a square wave. A meter that takes the true RMS reads its volts; one that takes \
the average and is marked for sine waves reads 1.11 times as much (pi / (2 root 2)): divide its readings by that. Cheap meters may \
be off further at this pitch; differences on one range hold.";

/// The caution of the coin test.
pub const COIN: &str = "The current is what the wiring lets through; a booster that limits its current gives less. Press the coin for no longer than it takes the breaker to open. If it has not opened within a second, lift \
the coin: what does not trip heats a wire. A coin that sparks burns fingers: hold it with pliers with insulated handles.";

/// How the sheet was chosen.
pub fn how_few(sheet: &ColdSheet) -> String {
    let noticed = sheet.noticed_by.iter().filter(|by| !by.is_empty()).count();
    let (tests, all) = (sheet.tests.len(), sheet.mistakes.len());
    let fewest = if tests == sheet.at_least {
        "Fewer would not do".to_owned()
    } else {
        format!("At least {} are needed", sheet.at_least)
    };
    format!("These {tests} tests catch {noticed} of the {all} mistakes the program knows. {fewest}.")
}

/// What a sheet does not prove and why, what differs in a number alone drawn together: `1 Ω in F-5 to F-8`.
pub fn not_proved(sheet: &ColdSheet) -> Vec<(String, &str)> {
    let mut found: Vec<([&str; 2], Vec<Number>, &str)> = Vec::new();
    let mut place: BTreeMap<([&str; 2], &str), usize> = BTreeMap::new();
    for not in &sheet.not_proved {
        let (around, number) = match numbered(&not.what) {
            Some((around, number)) => (around, Some(number)),
            None => ([not.what.as_str(), ""], None),
        };
        let at = *place.entry((around, &not.why)).or_insert(found.len());
        if at == found.len() {
            found.push((around, Vec::new(), &not.why));
        }
        found[at].1.extend(number);
    }
    let words = |(around, numbers, why): ([&str; 2], Vec<Number>, _)| (around.join(&schedule::in_runs(numbers)), why);
    found.into_iter().map(words).collect()
}

/// The one number in words, and what stands around it.
fn numbered(words: &str) -> Option<([&str; 2], Number)> {
    let mut at = 0;
    let starts = words.split(' ').map(|word| {
        at += word.len() + 1;
        (at - word.len() - 1, word)
    });
    let found: Vec<_> = starts.filter_map(|(at, word)| Some((at, word.len(), word.parse::<Number>().ok()?))).collect();
    let [(at, long, number)] = found[..] else { return None };
    Some(([&words[..at], &words[at + long..]], number))
}

/// The load in words.
pub fn load(load: TestLoad) -> String {
    match load {
        TestLoad::Amps(amps) => format!("a load of {}", show_amps(Amps(amps))),
        TestLoad::Ohms(ohms) => format!("a resistor of {}", show_ohms(Ohms(ohms))),
    }
}

/// The setting of a cold test and how it is read: what stands over those that share both.
pub fn cold_group(test: &Test) -> String {
    let set: Vec<String> = test.set.iter().map(|(control, position)| format!("{control} {position}")).collect();
    let set =
        if set.is_empty() { "all as at first".to_owned() } else { format!("{}, the rest as at first", set.join(", ")) };
    let how = match test.how {
        How::Millivolts => format!("1 A, meter on {}", test.range),
        _ => format!("ohmmeter on {}", test.range),
    };
    format!("{set}; {how}")
}

/// What stands over hot tests of a kind.
pub fn hot_group(test: &Test) -> &'static str {
    match test.topic {
        Topic::Wiring => "wiring",
        Topic::Volts => "volts without and with the load",
        Topic::Coin => "coin test",
        Topic::Phase => "phase across gaps",
        Topic::Storage { .. } => "storage",
        Topic::Reversing => "reversing",
        Topic::Motor => "motors",
    }
}

/// What everything stands at where nothing else is said: the first position of each control.
pub fn at_first(circuit: &circuit::Circuit) -> String {
    let usual = circuit.complete(&[]);
    let first = circuit.controls.iter().zip(usual).filter(|(c, _)| !c.settles);
    let word =
        |(c, at): (&circuit::Control, Option<u8>)| Some(format!("{} {}", c.name, c.positions.get(usize::from(at?))?));
    let words: Vec<String> = first.filter_map(word).collect();
    if words.is_empty() { "nothing to set".to_owned() } else { words.join(", ") }
}

/// What mistakes read, on one line: `149.9 mV: F-1 left off; ...`.
pub fn mistakes(test: &Test) -> Vec<String> {
    let would_read = test.mistakes.iter();
    would_read.map(|m| format!("{}: {}", crate::test::shown_with_unit(test.how, m.reading), m.what)).collect()
}

/// What a test looks at; where it is one piece that has a number, with the word for such a piece.
pub fn looked_at(test: &Test) -> Cow<'_, str> {
    let word = match test.about.parse::<Number>() {
        Ok(number) => match number.class {
            NumberClass::Feeder => "feeder",
            NumberClass::Wire => "wire",
            NumberClass::Bus => "bus wire",
            NumberClass::Gap => "gap",
            NumberClass::Joint => "joint",
            NumberClass::Panel => "panel wire",
            NumberClass::Diode => "diode",
        },
        Err(()) => return Cow::Borrowed(&test.about),
    };
    Cow::Owned(format!("{word} {}", test.about))
}

/// The mistakes of tests of volts at one place, without and with the load. Both depend on the same pieces, which are named once.
pub fn volts_mistakes(tests: &[Test]) -> String {
    let mut words: Vec<String> = Vec::new();
    let of = |mistake: &WouldRead, wrong: Wrong| {
        mistake.in_any_of.as_ref().filter(|pieces| pieces.0 == wrong).map(|pieces| pieces.1.clone())
    };
    let open = tests.iter().flat_map(|test| &test.mistakes).find_map(|mistake| of(mistake, Wrong::Open));
    for test in tests {
        let falls = if test.how == How::Drop { "falls by " } else { "" };
        for mistake in &test.mistakes {
            let same = of(mistake, Wrong::Resistive).is_some_and(|pieces| open.as_ref() == Some(&pieces));
            let what = if same { format!("{BAD_JOINT_OHMS} Ω in one of these") } else { mistake.what.clone() };
            words.push(format!("{falls}{}: {what}", crate::test::shown_with_unit(test.how, mistake.reading)));
        }
    }
    words.join("; ")
}

/// The two places of a test, or what is done.
pub fn places(test: &Test) -> String {
    match &test.between {
        Some([one, other]) => {
            let same = |ends: [&'static str; 2]| {
                one.words.strip_suffix(ends[0]).filter(|stem| other.words.strip_suffix(ends[1]) == Some(stem))
            };
            if let Some(place) = same([", from side", ", to side"]) {
                format!("both sides of {place}")
            } else if let Some(place) = same([", left rail", ", right rail"]) {
                format!("both rails of {place}")
            } else {
                format!("{} – {}", one.words, other.words)
            }
        }
        None => test.about.clone(),
    }
}

/// What is said on work orders of long plans.
pub const LONG_ORDERS: &str = "The plan is so long that readings were not calculated task by task: they are sure to hold once all is \
wired; before, a reading may be higher than the sheet says.";

/// Words with a capital letter at their beginning.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The numbers of tests, those in a row drawn together.
pub fn numbers_of_tests(tests: &[&Test]) -> String {
    schedule::counts_in_runs(tests.iter().map(|test| test.number))
}
