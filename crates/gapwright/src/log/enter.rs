//! Entering one thing.

use super::{At, append, not_entered, say, say_behind, with_desk};
use crate::exit::CliError;
use commissioning::{How, places};
use logbook::instrument::{Instrument, factor_from};
use logbook::typed::{NotTyped, Typed, typed};
use logbook::{Entry, EntryKind};
use site::logged::{Desk, DeskError, Entered, ReadingAsked, Subject, Verdict};

/// What a reading is entered with.
#[derive(clap::Args)]
pub struct ReadingArgs {
    /// The number of the test
    test: String,
    /// What the meter showed: `0.4 ohm`, `12.5 mV`, `OL`; or `yes` or `no`
    #[arg(required = true)]
    reading: Vec<String>,
    #[command(flatten)]
    with: WithArgs,
}

/// With what a reading was taken.
#[derive(clap::Args, Clone)]
pub struct WithArgs {
    /// The meter, by the name it was entered under
    #[arg(long = "with", value_name = "METER")]
    meter: Option<String>,
    /// The range it stood on, such as `200 ohm`
    #[arg(long)]
    range: Option<String>,
    /// What its leads read when held together, such as `0.3 ohm`; it is taken off
    #[arg(long, value_name = "OHMS")]
    zero: Option<String>,
    /// How warm the air was, such as `18 °C`
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    air: Option<String>,
    /// A remark
    #[arg(long, value_name = "WORDS")]
    pub note: Option<String>,
}

impl WithArgs {
    pub fn asked(&self, reading: &str) -> ReadingAsked {
        ReadingAsked {
            typed: reading.to_owned(),
            instrument: self.meter.clone(),
            range: self.range.clone(),
            lead_zero: self.zero.clone(),
            air: self.air.clone(),
            note: self.note.clone(),
        }
    }
}

/// What a symptom or repair is about.
#[derive(clap::Args)]
pub struct AboutArgs {
    /// Where: a number on the papers, such as `F-12` or that of a test, or a name of the plan
    place: String,
    /// What was seen or done
    #[arg(required = true)]
    words: Vec<String>,
}

/// A meter.
#[derive(clap::Args)]
pub struct InstrumentArgs {
    /// The name you call it by
    name: String,
    /// The last digit of its display, with its unit: `0.1 ohm`, `0.1 mV`
    #[arg(long, value_name = "STEP")]
    resolution: String,
    /// Its accuracy as on its sheet: `0.8 % + 5 digits`
    #[arg(long)]
    accuracy: Option<String>,
    /// What its leads read when held together
    #[arg(long, value_name = "OHMS")]
    leads: Option<String>,
    /// A resistor whose resistance is known
    #[arg(long, value_name = "OHMS", requires = "reads")]
    known: Option<String>,
    /// What it reads of that resistor, leads and all
    #[arg(long, value_name = "OHMS", requires = "known")]
    reads: Option<String>,
}

/// The test of a number.
pub fn test_of(at: &At, desk: &Desk<'_, '_>, typed: &str) -> Result<usize, CliError> {
    let words = typed.trim().trim_start_matches("test").trim();
    if let Some(Subject::Test(index)) = words.parse::<usize>().ok().and_then(|_| desk.subject(words)) {
        return Ok(index);
    }
    let numbers = desk.tests().iter().map(|test| test.number);
    let range = match (numbers.clone().min(), numbers.max()) {
        (Some(least), Some(most)) => format!("tests have numbers from {least} to {most}"),
        _ => "this plan has no tests".to_owned(),
    };
    let line = format!("`gapwright tests {}` lists them; nothing was entered", at.shown());
    Err(CliError::new(format!("there is no test {words}; {range}")).help(line))
}

/// Enters what a test read.
pub fn reading(at: &At, args: &ReadingArgs) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let index = test_of(at, desk, &args.test)?;
        let asked = args.with.asked(&plain_minus(&args.reading.join(" ")));
        let entered = desk.reading(index, &asked, &at.hand, at.time.clone()).map_err(not_entered(at, "reading"))?;
        let reminded = needs_reminding(desk, index);
        keep_reading(at, desk, index, entered, None, reminded)
    })
}

/// Enters a reading that was judged, and says what it says.
pub fn keep_reading(
    at: &At,
    desk: &mut Desk<'_, '_>,
    index: usize,
    entered: Entered,
    instead_of: Option<&Entry>,
    remind: bool,
) -> Result<bool, CliError> {
    let Entered { mut draft, judged } = entered;
    draft.supersedes = instead_of.map(|entry| entry.id);
    let has_air = draft.air.is_some();
    let kept = append(at, desk, vec![draft])?;
    let test = desk.tests()[index];
    let read = match judged.value {
        Some(value) => {
            format!("{}; well: {}", commissioning::test::shown_with_unit(test.how, value), test.passes_words())
        }
        None => kept.first().map_or_else(String::new, |entry| entry.says.typed.clone()),
    };
    say(&format!("test {}: {} – {read} ({})", test.number, judged.verdict.word(), test.name))?;
    if !judged.how.is_empty() {
        say_behind("  ", &judged.how)?;
    }
    for (number, means) in judged.means.iter().enumerate() {
        say_behind(if number == 0 { "  it may mean: " } else { "           or: " }, means)?;
    }
    for hint in &judged.hints {
        say_behind("  ", hint)?;
    }
    if !has_air && matches!(test.how, How::Millivolts | How::Joined) {
        say_behind(
            "  ",
            "how warm was the air? Over the years a reading without it tells less: `air \"18 °C\"` holds for 12 hours",
        )?;
    }
    if remind {
        for caution in desk.cautions(index) {
            say_behind("  CAUTION: ", caution)?;
        }
    }
    kept_as(&kept)?;
    Ok(judged.verdict != Verdict::Fails)
}

/// Says by what sign an entry can be named again.
pub fn kept_as(kept: &[Entry]) -> Result<(), CliError> {
    let signs: Vec<String> = kept.iter().map(|entry| entry.id.short()).collect();
    let words =
        if signs.len() > 3 { format!("{} entries kept", signs.len()) } else { format!("kept as {}", signs.join(", ")) };
    say_behind("  ", &words)
}

/// Hours after which cautions are said again.
const REMINDED: f64 = 4.0;

/// Whether nobody read a test of the same kind, power on or off, for some hours.
pub fn needs_reminding(desk: &Desk<'_, '_>, index: usize) -> bool {
    let now = logbook::Moment::now();
    let of_kind = |(about, entry): (Option<Subject>, &Entry)| match about {
        Some(Subject::Test(other)) if desk.tests()[other].kind == desk.tests()[index].kind => {
            now.hours_since(&entry.says.time) < REMINDED && entry.says.kind == EntryKind::Reading
        }
        _ => false,
    };
    !desk.current().any(of_kind)
}

/// Enters a symptom or a repair.
pub fn about(at: &At, kind: EntryKind, args: &AboutArgs) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let Some(subject) = desk.subject(&args.place) else {
            let help = "name a number of the papers, such as `F-12`, the number of a test, or a name of the plan, in quotes \
                        where it has a blank: `\"road 3\"`; nothing was entered";
            return Err(CliError::new(format!("nothing is called `{}`", args.place)).help(help));
        };
        let mut draft = desk.draft(kind, Some(subject), &at.hand, at.time.clone());
        draft.typed = plain_minus(&args.words.join(" "));
        let kept = append(at, desk, vec![draft])?;
        say(&format!(
            "{}: {}: {}",
            kind.word(),
            desk.called(subject),
            kept.first().map_or("", |e| e.says.typed.as_str())
        ))?;
        if kind == EntryKind::Repair {
            let tests: Vec<usize> = desk.tests_of(subject).into_iter().map(|test| desk.tests()[test].number).collect();
            if !tests.is_empty() {
                say_behind(
                    "  ",
                    &format!(
                        "earlier readings no longer count for test {}: read again",
                        schedule::counts_in_runs(tests)
                    ),
                )?;
            }
        }
        kept_as(&kept)?;
        if kind == EntryKind::Symptom {
            let hunt = format!("gapwright hunt {} finds what is wrong, reading by reading", at.shown());
            crate::exit::print(&crate::check::next(&hunt))?;
        }
        Ok(true)
    })
}

/// Enters the air.
pub fn air(at: &At, typed: &str) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let typed = plain_minus(typed);
        let celsius = desk.air(&typed).map_err(|why| not_entered(at, "air")(DeskError::Typed(why)))?;
        let kept = keep_air(at, desk, &typed, celsius)?;
        say(&format!("the air is {}; that holds for readings of the next 12 hours", shown_air(desk, celsius)))?;
        kept_as(&kept)?;
        Ok(true)
    })
}

pub fn keep_air(at: &At, desk: &mut Desk<'_, '_>, typed: &str, celsius: f64) -> Result<Vec<Entry>, CliError> {
    let mut draft = desk.draft(EntryKind::Air, None, &at.hand, at.moment());
    (draft.typed, draft.value, draft.unit, draft.air) =
        (typed.to_owned(), Some(celsius), "°C".to_owned(), Some(celsius));
    append(at, desk, vec![draft])
}

pub fn shown_air(desk: &Desk<'_, '_>, celsius: f64) -> String {
    desk.job().choices.units.temperature(handbook::quantity::Celsius(celsius))
}

/// Enters a meter.
pub fn instrument(at: &At, args: &InstrumentArgs) -> Result<bool, CliError> {
    let wrong = |why: NotTyped| not_entered(at, "instrument")(DeskError::Typed(why));
    let ohms = |text: &String| match typed(text) {
        Ok(Typed::Ohms(ohms) | Typed::Bare(ohms)) => Ok(ohms),
        Ok(_) => {
            Err(wrong(NotTyped { what: format!("`{text}` is no resistance"), help: "write it as `10 ohm`".to_owned() }))
        }
        Err(why) => Err(wrong(why)),
    };
    let words =
        [Some(&args.resolution), args.accuracy.as_ref()].into_iter().flatten().cloned().collect::<Vec<_>>().join("; ");
    let (mut meter, reads) = Instrument::parse(&words).map_err(wrong)?;
    meter.lead_zero = args.leads.as_ref().map(ohms).transpose()?.unwrap_or(0.0);
    if let (Some(known), Some(read)) = (&args.known, &args.reads) {
        let (known, read) = (ohms(known)?, ohms(read)?);
        meter.factor = factor_from(known, read, meter.lead_zero).ok_or_else(|| {
            let help = "check which resistor it was, and the range; nothing was entered";
            CliError::new(format!("a meter that reads {read} Ω of {known} Ω cannot be put right by a factor"))
                .help(help)
        })?;
    }
    with_desk(at, |desk| {
        let mut draft = desk.draft(EntryKind::Instrument, None, &at.hand, at.time.clone());
        (draft.instrument, draft.typed) = (args.name.clone(), meter.words(reads));
        let kept = append(at, desk, vec![draft])?;
        say(&format!("meter {}: {}", args.name, meter.words(reads)))?;
        let step = meter.resolution_uncertainty();
        say_behind(
            "  ",
            &format!("its steps alone make a reading uncertain by {step:.2} times its unit (standard uncertainty)"),
        )?;
        kept_as(&kept)?;
        Ok(true)
    })
}

/// Enters a remark.
pub fn remark(at: &At, words: &str) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let mut draft = desk.draft(EntryKind::Remark, None, &at.hand, at.time.clone());
        draft.typed = plain_minus(words);
        let kept = append(at, desk, vec![draft])?;
        kept_as(&kept)?;
        Ok(true)
    })
}

/// A minus sign as a keyboard has it: that of arguments was made one that is no option.
pub fn plain_minus(words: &str) -> String {
    words.replace('\u{2212}', "-")
}

/// Where the probes go, or what is done; what is set.
pub fn how_to(test: &commissioning::Test) -> String {
    let set: Vec<String> = test.set.iter().map(|(control, position)| format!("{control} {position}")).collect();
    let set = if set.is_empty() { String::new() } else { format!("; set {}", set.join(", ")) };
    format!("{}{set}", places(test))
}
