//! The number of one thing, as papers, drawings and labels have it.
//!
//! It has a dash, which no ordinary name has at that place: a turnout may be called `W1` beside the wire `W-1`.

use std::fmt;

/// What is numbered; each class has a letter and counts from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NumberClass {
    /// A feeder, rail to bus: F.
    Feeder,
    /// A wire to or from a contact: W.
    Wire,
    /// A conductor of a bus, or a lead from a supply: B.
    Bus,
    /// An insulated gap: G.
    Gap,
    /// A joint, soldered or sliding: J.
    Joint,
    /// A wire of a panel: P.
    Panel,
    /// A diode of a panel: V, as IEC 81346-2 has it.
    Diode,
}

/// The designation of one thing on all papers, such as a wire number: `F-12`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Number {
    /// What it is.
    pub class: NumberClass,
    /// Its count, from 1.
    pub count: u32,
}

impl NumberClass {
    /// Every class.
    pub const ALL: [NumberClass; 7] = [
        NumberClass::Feeder,
        NumberClass::Wire,
        NumberClass::Bus,
        NumberClass::Gap,
        NumberClass::Joint,
        NumberClass::Panel,
        NumberClass::Diode,
    ];

    /// Its letter.
    pub fn letter(self) -> char {
        match self {
            NumberClass::Feeder => 'F',
            NumberClass::Wire => 'W',
            NumberClass::Bus => 'B',
            NumberClass::Gap => 'G',
            NumberClass::Joint => 'J',
            NumberClass::Panel => 'P',
            NumberClass::Diode => 'V',
        }
    }
}

impl std::str::FromStr for Number {
    type Err = ();

    /// Reads `F-12`.
    fn from_str(text: &str) -> Result<Number, ()> {
        let class = NumberClass::ALL.into_iter().find(|c| text.starts_with(c.letter())).ok_or(())?;
        let count = text[1..].strip_prefix('-').ok_or(())?;
        let plain = !count.is_empty() && count.bytes().all(|b| b.is_ascii_digit());
        let count = if plain { count.parse().map_err(|_| ())? } else { return Err(()) };
        Ok(Number { class, count })
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.class.letter(), self.count)
    }
}

/// Numbers in words, those in a row drawn together: `F-1 to F-4, J-2`.
pub fn in_runs<I: IntoIterator<Item = Number>>(numbers: I) -> String {
    let mut runs: Vec<(NumberClass, u32, u32)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((class, _, last)) if *class == number.class && *last + 1 == number.count => *last = number.count,
            _ => runs.push((number.class, number.count, number.count)),
        }
    }
    let words = runs.into_iter().map(|(class, first, last)| {
        let [one, other] = [first, last].map(|count| Number { class, count });
        match last - first {
            0 => one.to_string(),
            1 => format!("{one}, {other}"),
            _ => format!("{one} to {other}"),
        }
    });
    words.collect::<Vec<_>>().join(", ")
}

/// Numbers of tests or tasks in words, those in a row drawn together: `1, 3 to 7`.
pub fn counts_in_runs(counts: impl IntoIterator<Item = usize>) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for count in counts {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == count => *last = count,
            _ => runs.push((count, count)),
        }
    }
    let words = runs.into_iter().map(|(first, last)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    });
    words.collect::<Vec<_>>().join(", ")
}
