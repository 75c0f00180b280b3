//! `gapwright hunt`: what readings and symptoms say is wrong, and what to measure next.

use crate::check::width;
use crate::exit::{CliError, check_it, print, read, understood};
use crate::hunt_print;
use crate::hunt_readings;
use crate::hunt_session::{Session, Shown};
use circuit::{Circuit, Probe};
use diagnosis::{Advice, Hunt, Kit, Minutes, Observation, Options, Pairs, Refused, Wording};
use handbook::quantity::Quantity as _;
use schedule::{Choices, Job};
use std::io::BufRead as _;
use std::path::PathBuf;
use text::paragraph;

/// What `gapwright hunt` is asked.
#[derive(clap::Args)]
pub struct HuntCommand {
    /// The plan, a TOML file
    plan: PathBuf,
    /// What you saw, such as `road 3 dead`, `road 3 slow when T3 is diverging`, `short when T2 is thrown`, `everything runs`
    #[arg(long, value_name = "WORDS")]
    symptom: Vec<String>,
    /// Readings taken before, a spreadsheet with the columns from, to, reading and, where they differ, setting, pulled, kit
    #[arg(long, value_name = "FILE")]
    readings: Option<PathBuf>,
    /// What you measure with
    #[arg(long, value_enum, default_value_t = KitWord::Bench)]
    kit: KitWord,
    /// How old the layout is, such as `8 years`, or `new`; all ages are thought of where it is left out
    #[arg(long, value_name = "AGE")]
    age: Option<String>,
    /// Never ask to pull a feeder or lift a wire
    #[arg(long)]
    no_pulling: bool,
    /// What work costs, in minutes, such as `pull=5, crawl=1`; also `read` and `throw`
    #[arg(long, value_name = "WORK=MINUTES")]
    minutes: Option<String>,
    /// Keep every reading in this file, as `--readings` takes it
    #[arg(long, value_name = "FILE")]
    save: Option<PathBuf>,
    /// Print a tree to go by without a phone: what to measure, and where to go on by what it reads
    #[arg(long, conflicts_with = "format")]
    tree: bool,
    /// How many measurements deep the tree goes
    #[arg(long, default_value_t = 4, requires = "tree", value_parser = clap::value_parser!(u8).range(1..=8))]
    depth: u8,
    /// Print at most this many suspects
    #[arg(long, default_value_t = 6)]
    most: usize,
    /// How to print it: `full`, which then asks for readings, or `json`, a record for other programs
    #[arg(long, value_enum, default_value_t = crate::TableFormat::Full)]
    format: crate::TableFormat,
}

/// What you measure with.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum KitWord {
    /// A buzzer or a lamp: yes or no
    Buzzer,
    /// An ohmmeter that shows tenths of an ohm
    Ohmmeter,
    /// A bench supply set to 1 A, and a meter on millivolts
    Bench,
    /// A load of 1 A and a voltmeter, with the layout under power
    Volts,
}

impl KitWord {
    /// The kit.
    pub fn kit(self) -> Kit {
        match self {
            KitWord::Buzzer => Kit::Buzzer,
            KitWord::Ohmmeter => Kit::Ohmmeter,
            KitWord::Bench => Kit::Bench,
            KitWord::Volts => Kit::Volts,
        }
    }
}

/// Ages that nobody's layout has.
const OLDEST: f64 = 100.0;

/// Years from words: `8 years`, `8`, `new`, `18 months`.
fn years(text: &str) -> Result<Option<f64>, CliError> {
    let words = text.trim().to_lowercase();
    if words == "new" {
        return Ok(Some(0.2));
    }
    if words == "unknown" {
        return Ok(None);
    }
    let cut = words.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ','))).unwrap_or(words.len());
    let number: Option<f64> = words[..cut].replace(',', ".").parse().ok();
    let factor = match words[cut..].trim() {
        "" | "y" | "year" | "years" => Some(1.0),
        "month" | "months" => Some(1.0 / 12.0),
        _ => None,
    };
    let years = number.zip(factor).map(|(number, factor)| number * factor).filter(|years| *years <= OLDEST);
    let bad = || CliError::new(format!("`{text}` is no age")).help("write `8 years`, `18 months`, `new` or `unknown`");
    years.map(Some).ok_or_else(bad)
}

/// Costs from words: `pull=5, crawl=1`.
fn minutes(text: Option<&str>) -> Result<Minutes, CliError> {
    let mut minutes = Minutes::default();
    for part in text.unwrap_or_default().split([',', ';']).map(str::trim).filter(|p| !p.is_empty()) {
        let bad = || {
            CliError::new(format!("`{part}` is no cost"))
                .help("write `pull=5`; work is `read`, `crawl`, `throw` or `pull`")
        };
        let (work, number) = part.split_once('=').ok_or_else(bad)?;
        let number: f64 = number.trim().parse().ok().filter(|n| (0.0..=240.0).contains(n)).ok_or_else(bad)?;
        match work.trim() {
            // A reading that costs nothing would be worth anything.
            "read" => minutes.read = number.max(0.05),
            "crawl" => minutes.crawl = number,
            "throw" => minutes.throw = number,
            "pull" => minutes.pull = number,
            _ => return Err(bad()),
        }
    }
    Ok(minutes)
}

/// Hunts for what is wrong.
pub fn hunt(asked: &HuntCommand) -> Result<bool, CliError> {
    let years = asked.age.as_deref().map_or(Ok(None), years)?;
    let minutes = minutes(asked.minutes.as_deref())?;
    let path = &asked.plan;
    let (text, reading) = understood(path, "the plan has errors; what it should read would not be true")?;
    let mut rows = match &asked.readings {
        Some(file) => hunt_readings::rows(file, &read(file)?)?,
        None => Vec::new(),
    };
    let (plan, names) = (&reading.plan, &reading.names);
    for place in rows.iter_mut().flat_map(|row| row.places()) {
        // Half the world writes 1,2 m.
        if names.rail_place(place).is_err() && place.contains('@') {
            *place = hunt_readings::with_points(place);
        }
    }
    // Where somebody has read is a place of the circuit too.
    let places = rows.iter().flat_map(|row| [&row.from, &row.to, &row.load[0], &row.load[1]]);
    let probes: Vec<Probe> = places
        .filter_map(|place| names.rail_place(place).ok())
        .map(|place| Probe { track: place.track, at: place.at.si() })
        .filter(|probe| (0.0..=plan.track[probe.track].length.value.si()).contains(&probe.at))
        .collect();
    let circuit = Circuit::with_probes(plan, names, &probes);
    let facts = analysis::Analysis::of_circuit((&text, plan, names), circuit);
    let kept = site::numbers::kept_for(path, names);
    let job = Job::carried_where_kept(facts, Choices::usual(plan), kept.as_ref());
    let options = Options { kit: asked.kit.kit(), years, pulling: !asked.no_pulling, minutes, ..Options::default() };
    let wording = Wording::new(&job);
    let hunt = Hunt::new(&job.facts.circuit, options);
    if hunt.wiring.suspects.is_empty() {
        return Err(CliError::new("there is nothing in this plan that could be at fault")
            .help("give it a supply, a bus, tracks and feeders first"));
    }
    let pairs = Pairs::new(&hunt);
    let mut session =
        Session { hunt, wording: &wording, pairs, kit: asked.kit.kit(), most: asked.most, rows: Vec::new() };
    for words in &asked.symptom {
        session.see(words).map_err(CliError::new)?;
    }
    for row in rows {
        let line = row.line;
        session.take(row).map_err(|why| CliError::new(format!("line {line} of the readings: {why}")))?;
    }
    let failed = |error: Refused| check_it(path)(error);
    if asked.tree {
        print(&crate::hunt_tree::tree(&mut session, usize::from(asked.depth), width()).map_err(failed)?)?;
        return Ok(true);
    }
    let shown = session.shown().map_err(failed)?;
    if asked.format == crate::TableFormat::Json {
        print(&hunt_print::json(&mut session, &shown).map_err(failed)?)?;
        return Ok(true);
    }
    session.dialogue(asked, shown).map_err(|error| match error {
        Broken::Command(error) => error,
        Broken::Resistance(error) => failed(error),
    })
}

/// What may end a dialogue before its time.
enum Broken {
    Command(CliError),
    Resistance(Refused),
}

impl From<CliError> for Broken {
    fn from(error: CliError) -> Broken {
        Broken::Command(error)
    }
}

impl From<Refused> for Broken {
    fn from(error: Refused) -> Broken {
        Broken::Resistance(error)
    }
}

impl Session<'_, '_, '_> {
    /// Prints, asks, and goes on until somebody has enough.
    fn dialogue(&mut self, asked: &HuntCommand, mut shown: Shown) -> Result<bool, Broken> {
        let mut lines = std::io::stdin().lock().lines();
        let nothing_yet = self.hunt.observations.is_empty();
        print(&hunt_print::opening(self, width()))?;
        if nothing_yet {
            print(hunt_print::SYMPTOM_LIST)?;
            loop {
                print("seen> ")?;
                let Some(line) = next(&mut lines) else { break };
                match line.trim() {
                    "" => break,
                    "q" => return Ok(true),
                    words => match self.see(words) {
                        Ok(taken) => print(&paragraph("", &format!("taken: {taken}; more, or Enter"), width()))?,
                        Err(why) => print(&paragraph("", &why, width()))?,
                    },
                }
            }
            if !self.hunt.observations.is_empty() {
                shown = self.shown()?;
            }
        }
        let mut skipped = 0;
        loop {
            print(&hunt_print::standing(self, &shown, width()))?;
            let Some(advice) = shown.advice.get(skipped).cloned() else {
                let ending = hunt_print::ending(self, &shown, skipped, width())?;
                print(&ending)?;
                break;
            };
            if hunt_print::is_settled(&shown) && skipped == 0 {
                let ending = hunt_print::ending(self, &shown, skipped, width())?;
                print(&ending)?;
            }
            let next = hunt_print::next_measurement(self, &shown, &advice, width())?;
            print(&next)?;
            match self.ask(&advice, asked, &mut lines)? {
                Answer::Taken => {
                    skipped = 0;
                    shown = self.shown()?;
                }
                Answer::Skipped => skipped += 1,
                Answer::Back => {
                    let words = match self.take_back() {
                        Some(row) => format!("taken back: {} – {}, {}", row.from, row.to, row.reading),
                        None => "there is no reading to take back".to_owned(),
                    };
                    print(&paragraph("", &words, width()))?;
                    skipped = 0;
                    shown = self.shown()?;
                }
                Answer::Over => {
                    print(&hunt_print::likeliest(self, &shown, width()))?;
                    break;
                }
            }
        }
        if !self.rows.is_empty() && asked.save.is_none() {
            print(&format!("\nYour readings, as `--readings` takes them:\n{}", hunt_readings::csv(&self.rows)))?;
        }
        Ok(true)
    }

    fn ask(
        &mut self,
        advice: &Advice,
        asked: &HuntCommand,
        lines: &mut dyn Iterator<Item = std::io::Result<String>>,
    ) -> Result<Answer, Broken> {
        loop {
            print("reading> ")?;
            let Some(line) = next(lines) else { return Ok(Answer::Over) };
            let typed = line.trim();
            match typed {
                "q" | "quit" => return Ok(Answer::Over),
                "s" | "skip" => return Ok(Answer::Skipped),
                "back" | "b" | "undo" => return Ok(Answer::Back),
                "" | "?" | "help" => {
                    let help = format!(
                        "{}; `s` for another measurement, `back` takes the last reading back, `q` ends",
                        self.kit.hint()
                    );
                    print(&paragraph("", &help, width()))?;
                    continue;
                }
                _ => {}
            }
            let value = match self.kit.value(typed) {
                Ok(value) => value,
                Err(why) => {
                    print(&paragraph("", &why.to_string(), width()))?;
                    continue;
                }
            };
            let measurement = advice.measurement.clone();
            let row = hunt_readings::row_of(self.wording, &measurement, typed);
            match self.hunt.observe(Observation::Read { measurement, value }) {
                Ok(()) => {
                    self.rows.push(row);
                    if let Some(file) = &asked.save {
                        crate::exit::write_whole(file, hunt_readings::csv(&self.rows).as_bytes())?;
                    }
                    return Ok(Answer::Taken);
                }
                Err(why) => print(&paragraph("", &why.to_string(), width()))?,
            }
        }
    }
}

enum Answer {
    Taken,
    Skipped,
    Back,
    Over,
}

fn next(lines: &mut dyn Iterator<Item = std::io::Result<String>>) -> Option<String> {
    lines.next().and_then(Result::ok)
}
