//! Reading a dump: its header, then the edges of one signal.

use super::words::{WordReader, shown};
use super::{Timescale, VcdError};
use crate::timing::Picos;
use std::io::BufRead;

/// Signals that a header may declare.
const MOST_SIGNALS: usize = 100_000;
/// Scopes that may lie in each other.
const DEEPEST: usize = 100;
/// Signals named in a message.
const NAMED: usize = 8;

/// A signal of a dump.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signal {
    /// Its scopes and its name, parted by dots.
    pub name: String,
    /// How many bits it has.
    pub width: u32,
    code: Vec<u8>,
}

/// A dump whose header was read.
pub struct Header<R> {
    words: WordReader<R>,
    timescale: Timescale,
    signals: Vec<Signal>,
}

/// What was odd about a dump, though it could be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Notes {
    /// Times at which the level was `x` or `z`, neither high nor low.
    pub unknown: u64,
    /// The line of the first of them.
    pub first_unknown_line: Option<u64>,
}

const CUT_OFF: &str =
    "the header must end with `$enddefinitions $end`; the file was cut off, or is no value-change dump";

impl<R: BufRead> Header<R> {
    /// Reads the header of a dump.
    ///
    /// # Errors
    /// Where the file cannot be read, is no dump, or says no timescale.
    pub fn read(reader: R) -> Result<Header<R>, VcdError> {
        let mut words = WordReader::new(reader);
        let (mut timescale, mut signals, mut scopes) = (None, Vec::new(), Vec::new());
        let mut before = begin(&mut words)?;
        loop {
            if !std::mem::take(&mut before) && !words.advance()? {
                return Err(words.error("the file ends before its header does", CUT_OFF));
            }
            match words.word() {
                b"$timescale" => timescale = Some(read_timescale(&mut words)?),
                b"$scope" => {
                    words.next_word("the kind of a scope")?;
                    let name = name(words.next_word("the name of a scope")?);
                    if scopes.len() >= DEEPEST {
                        return Err(words.error(format!("more than {DEEPEST} scopes in each other"), CUT_OFF));
                    }
                    scopes.push(name);
                    words.past_end("$scope")?;
                }
                b"$upscope" => {
                    scopes.pop();
                    words.past_end("$upscope")?;
                }
                b"$var" => {
                    let signal = read_signal(&mut words, &scopes)?;
                    if signals.len() >= MOST_SIGNALS {
                        return Err(words.error(format!("more than {MOST_SIGNALS} signals"), CUT_OFF));
                    }
                    signals.push(signal);
                }
                b"$enddefinitions" => {
                    words.past_end("$enddefinitions")?;
                    break;
                }
                [b'$', ..] if !words.cut => {
                    let what = words.text();
                    words.past_end(&what)?;
                }
                _ => return Err(words.error(format!("`{}` in the header", words.text()), CUT_OFF)),
            }
        }
        let Some(timescale) = timescale else {
            return Err(words.error(
                "the header says no timescale, so its edges have no times",
                "add a line such as `$timescale 1 us $end` before `$enddefinitions`, with the step of your analyser's clock",
            ));
        };
        Ok(Header { words, timescale, signals })
    }

    /// What a step of its clock is worth.
    pub fn timescale(&self) -> Timescale {
        self.timescale
    }

    /// Its signals.
    pub fn signals(&self) -> &[Signal] {
        &self.signals
    }

    /// Goes on to the edges of one signal: the one of this name, with or without its scopes; without a name the only one
    /// of one bit.
    ///
    /// # Errors
    /// Where there is no such signal, more than one, or one of several bits.
    pub fn edges(self, wanted: Option<&str>) -> Result<Edges<R>, VcdError> {
        let code = choose(&self.signals, wanted)?.code.clone();
        Ok(Edges {
            words: self.words,
            timescale: self.timescale,
            code,
            now: 0,
            ticks: 0,
            level: None,
            next: None,
            notes: Notes::default(),
            ended: false,
        })
    }
}

/// Goes on to the first word of the header; false where the file is empty. Some programs put a line of their own before it.
fn begin<R: BufRead>(words: &mut WordReader<R>) -> Result<bool, VcdError> {
    const MOST_BEFORE: usize = 16;
    let mut first = None;
    for _ in 0..MOST_BEFORE {
        if !words.advance()? {
            break;
        }
        if words.word().first() == Some(&b'$') {
            return Ok(true);
        }
        let what = || format!("`{}` is no beginning of a value-change dump", words.text());
        let mend = "such a file begins with a word like `$date`, `$version` or `$timescale`; export the trace as VCD";
        first.get_or_insert_with(|| words.error(what(), mend));
    }
    first.map_or(Ok(false), Err)
}

fn read_timescale<R: BufRead>(words: &mut WordReader<R>) -> Result<Timescale, VcdError> {
    let mut text = String::new();
    while words.next_word("the timescale")? != b"$end" {
        if text.len() < 16 {
            text.push_str(&words.text());
        }
    }
    Timescale::parse(&text).ok_or_else(|| {
        words
            .error(format!("`{text}` is no timescale"), "it is 1, 10 or 100 of s, ms, us, ns, ps or fs, such as `1 us`")
    })
}

fn read_signal<R: BufRead>(words: &mut WordReader<R>, scopes: &[String]) -> Result<Signal, VcdError> {
    words.next_word("the kind of a signal")?;
    let width = words.next_word("the width of a signal")?;
    let Some(width) = std::str::from_utf8(width).ok().and_then(|w| w.parse().ok()) else {
        return Err(
            words.error(format!("`{}` is no number of bits", words.text()), "`$var wire 1 ! track $end` is the form")
        );
    };
    let code = words.next_word("the code of a signal")?.to_vec();
    let mut own = name(words.next_word("the name of a signal")?);
    // An index such as `[3]` may stand behind it.
    while words.next_word("$end")? != b"$end" {
        let more = name(words.word());
        if own.len() + more.len() <= MOST_NAME {
            own.push_str(&more);
        }
    }
    let name = scopes.iter().map(String::as_str).chain([own.as_str()]).collect::<Vec<_>>().join(".");
    Ok(Signal { name, width, code })
}

/// Bytes of a name that are kept.
const MOST_NAME: usize = 200;

fn name(word: &[u8]) -> String {
    String::from_utf8_lossy(word.get(..MOST_NAME).unwrap_or(word)).into_owned()
}

fn choose<'s>(signals: &'s [Signal], wanted: Option<&str>) -> Result<&'s Signal, VcdError> {
    let narrow = || signals.iter().filter(|s| s.width == 1);
    let choice = |what: String, mend: String| Err(VcdError::Choice { what, fix: mend });
    let list = || {
        let more = narrow().count().saturating_sub(NAMED);
        let names: Vec<String> = narrow().take(NAMED).map(|s| format!("`{}`", s.name)).collect();
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        format!("its signals of one bit are {}{more}", names.join(", "))
    };
    let Some(wanted) = wanted else {
        // The same wire may have a name in several scopes.
        let mut codes: Vec<&[u8]> = narrow().map(|s| s.code.as_slice()).collect();
        codes.sort_unstable();
        codes.dedup();
        return match (narrow().next(), codes.len()) {
            (Some(only), 1) => Ok(only),
            (None, _) => choice(
                "the dump has no signal of one bit".to_owned(),
                "export the trace of the track signal".to_owned(),
            ),
            _ => choice("the dump has several signals".to_owned(), format!("say which with `--signal`; {}", list())),
        };
    };
    let last = |s: &Signal| s.name.rsplit('.').next().is_some_and(|own| own == wanted);
    let found = signals.iter().find(|s| s.name == wanted);
    let mut named = signals.iter().filter(|s| last(s));
    let found = match (found, named.next(), named.next()) {
        (Some(whole), ..) => whole,
        (None, Some(one), None) => one,
        (None, Some(one), Some(other)) => {
            let what = format!("more than one signal is called `{wanted}`");
            return choice(what, format!("say `{}` or `{}`", one.name, other.name));
        }
        (None, None, _) => return choice(format!("the dump has no signal `{wanted}`"), list()),
    };
    if found.width == 1 {
        return Ok(found);
    }
    let what = format!("the signal `{}` has {} bits; one is needed", found.name, found.width);
    choice(what, list())
}

/// The times of the edges of one signal, in order. Ends after the first error.
pub struct Edges<R> {
    words: WordReader<R>,
    timescale: Timescale,
    code: Vec<u8>,
    now: Picos,
    ticks: u64,
    /// The level before now.
    level: Option<bool>,
    /// The level from now on; of several at one time the last holds.
    next: Option<bool>,
    notes: Notes,
    ended: bool,
}

impl<R: BufRead> Edges<R> {
    /// What was odd so far.
    pub fn notes(&self) -> Notes {
        self.notes
    }

    /// Whether the time at hand ends with another level than it began.
    fn settle(&mut self) -> Option<Picos> {
        let next = self.next.take()?;
        let edge = self.level.is_some_and(|level| level != next);
        self.level = Some(next);
        edge.then_some(self.now)
    }

    /// Reads on to the next edge.
    fn advance(&mut self) -> Result<Option<Picos>, VcdError> {
        loop {
            // The common case apart: whatever it does not understand is read word by word below.
            if let Some((digits, level @ (b'0' | b'1'), bytes)) = self.words.time_and_level(&self.code)
                && let Some(ticks) = number(digits).filter(|&ticks| ticks > self.ticks)
                && let Some(time) = self.timescale.picos(ticks)
            {
                self.words.pass(bytes);
                let edge = self.settle();
                (self.ticks, self.now) = (ticks, time);
                self.take(level);
                if edge.is_some() {
                    return Ok(edge);
                }
                continue;
            }
            if !self.words.advance()? {
                break;
            }
            let word = self.words.word();
            match word {
                [b'#', digits @ ..] => {
                    let ticks = number(digits).filter(|_| !self.words.cut);
                    let Some((ticks, time)) = ticks.and_then(|t| Some((t, self.timescale.picos(t)?))) else {
                        let what = format!("`{}` is no time", shown(word));
                        return Err(self
                            .words
                            .error(what, "a time is `#` and a whole number, less than two hundred days"));
                    };
                    if ticks < self.ticks {
                        let what = format!("time runs back, from #{} to #{ticks}", self.ticks);
                        return Err(self.words.error(what, "the dump is damaged, or two dumps were joined"));
                    }
                    if ticks > self.ticks {
                        let edge = self.settle();
                        (self.ticks, self.now) = (ticks, time);
                        if edge.is_some() {
                            return Ok(edge);
                        }
                    }
                }
                [level @ (b'0' | b'1' | b'x' | b'X' | b'z' | b'Z'), code @ ..] => {
                    let level = *level;
                    // A blank before the code is against the standard, and written by some.
                    let own = if code.is_empty() {
                        self.words.next_word("the code of a signal")? == self.code
                    } else {
                        code == self.code
                    };
                    if own {
                        self.take(level);
                    }
                }
                [b'b' | b'B', levels @ ..] => {
                    let lowest = if self.words.cut { b'?' } else { levels.last().copied().unwrap_or(b'?') };
                    if self.words.next_word("the code of a signal")? == self.code {
                        match lowest {
                            b'0' | b'1' | b'x' | b'X' | b'z' | b'Z' => self.take(lowest),
                            _ => return Err(self.no_level()),
                        }
                    }
                }
                [b'r' | b'R' | b's' | b'S', ..] => {
                    if self.words.next_word("the code of a signal")? == self.code {
                        return Err(self.no_level());
                    }
                }
                b"$comment" | b"$vcdclose" => self.words.past_end("a comment")?,
                [b'$', ..] => {}
                _ => {
                    let what = format!("`{}` is neither a time nor a level", self.words.text());
                    let mend =
                        "behind the header stand times such as `#125` and levels such as `1!`; the dump is damaged";
                    return Err(self.words.error(what, mend));
                }
            }
        }
        self.ended = true;
        Ok(self.settle())
    }

    fn no_level(&self) -> VcdError {
        self.words.error("the signal takes a value that is no level", "choose a signal that is high or low")
    }

    fn take(&mut self, level: u8) {
        match level {
            b'0' => self.next = Some(false),
            b'1' => self.next = Some(true),
            // Neither: the edge comes when the level is known again and is another one.
            _ => {
                self.notes.unknown += 1;
                self.notes.first_unknown_line.get_or_insert(self.words.line());
            }
        }
    }
}

/// Eight digits as a number, and whether all of them are digits. Two, four and eight are put together at a time: ten times
/// the left plus the right of each pair, and so on.
#[inline]
fn eight_digits(text: [u8; 8]) -> (u64, bool) {
    const EACH: u64 = u64::MAX / 255;
    let text = u64::from_le_bytes(text);
    let tops = 0xf0 * EACH;
    let good = text & tops == 0x30 * EACH && text.wrapping_add(6 * EACH) & tops == 0x30 * EACH;
    let ones = text & (0x0f * EACH);
    let pairs = (ones.wrapping_mul(10 << 8 | 1) >> 8) & 0x00ff_00ff_00ff_00ff;
    let fours = (pairs.wrapping_mul(100 << 16 | 1) >> 16) & 0x0000_ffff_0000_ffff;
    (fours.wrapping_mul(10_000 << 32 | 1) >> 32, good)
}

/// Digits as a number; none where they are not all digits, or too many.
#[inline]
fn number(digits: &[u8]) -> Option<u64> {
    /// So many digits fit whatever they are.
    const SAFE: usize = 19;
    let (safe, rest) = digits.split_at(digits.len().min(SAFE));
    let (mut all, mut good) = (0_u64, !safe.is_empty());
    let mut left = safe;
    while let Some((eight, behind)) = left.split_first_chunk() {
        let (value, digits) = eight_digits(*eight);
        good &= digits;
        all = all.wrapping_mul(100_000_000).wrapping_add(value);
        left = behind;
    }
    for digit in left {
        let digit = digit.wrapping_sub(b'0');
        good &= digit <= 9;
        all = all.wrapping_mul(10).wrapping_add(u64::from(digit));
    }
    let all = good.then_some(all)?;
    rest.iter().try_fold(all, |all, digit| {
        let digit = char::from(*digit).to_digit(10)?;
        all.checked_mul(10)?.checked_add(u64::from(digit))
    })
}

impl<R: BufRead> Iterator for Edges<R> {
    type Item = Result<Picos, VcdError>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.ended {
            return None;
        }
        let edge = self.advance();
        self.ended |= edge.is_err();
        edge.transpose()
    }
}
