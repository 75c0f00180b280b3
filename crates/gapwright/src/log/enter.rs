//! Entering one thing.

use super::{At, append, not_entered, say, say_behind, with_desk};
use crate::exit::CliError;
use commissioning::{How, TestKind, places};
use logbook::entry::WITHDRAWN;
use logbook::instrument::{Instrument, factor_from};
use logbook::typed::{NotTyped, Typed, typed};
use logbook::{Draft, Entry, EntryKind};
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
    note: Option<String>,
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

/// What is put right.
#[derive(clap::Args)]
pub struct CorrectArgs {
    /// The number of a test, for its last reading; or an entry's sign, as `gapwright log PLAN list` shows it
    entry: String,
    /// What is right; `withdrawn` takes the entry back
    #[arg(required = true)]
    reading: Vec<String>,
    #[command(flatten)]
    with: WithArgs,
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
    let line = format!("`gapwright tests {}` lists them; nothing was entered", at.plan.display());
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
        for caution in cautions(desk, index) {
            say_behind("  CAUTION: ", caution)?;
        }
    }
    kept_as(&kept)?;
    Ok(judged.verdict != Verdict::Fails)
}

/// Says by what sign an entry can be named again.
pub fn kept_as(kept: &[Entry]) -> Result<(), CliError> {
    let signs: Vec<String> = kept.iter().map(|entry| entry.id.short()).collect();
    let shown = if signs.len() > 3 { format!("{} entries", signs.len()) } else { signs.join(", ") };
    say_behind("  ", &format!("kept as {shown}"))
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

/// What to beware of at a test.
pub fn cautions(desk: &Desk<'_, '_>, index: usize) -> Vec<&'static str> {
    let test = desk.tests()[index];
    match (test.kind, test.how) {
        (TestKind::Cold, How::Millivolts) => vec![UNPLUG, CLIPPED, MAINS],
        (TestKind::Cold, _) => vec![UNPLUG, MAINS],
        (TestKind::Hot, How::Coin) => vec![COLD_FIRST, COIN, MAINS],
        (TestKind::Hot, _) => vec![COLD_FIRST, MAINS],
    }
}

const UNPLUG: &str =
    "cold tests are read with every supply, booster, breaker, driver and decoder unplugged and the track empty";
const CLIPPED: &str = "set the bench supply to 1 A and no more than 3 V before you clip it on";
const COLD_FIRST: &str = "power goes on only when every cold test reads well";
const COIN: &str = "lift the coin after a second if nothing trips; it sparks, so hold it with insulated pliers";
const MAINS: &str = "low-voltage side only; nothing here is on the mains side";

/// Ticks jobs.
pub fn tick(at: &At, words: &str) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let orders = orders_of(at, desk, words)?;
        tick_orders(at, desk, &orders)
    })
}

/// Ticks jobs by their indices, and says what can be tested now.
pub fn tick_orders(at: &At, desk: &mut Desk<'_, '_>, orders: &[usize]) -> Result<bool, CliError> {
    let mut drafts = Vec::new();
    for &order in orders {
        let subject = Subject::Task(order);
        if let Some(before) = desk.about(subject, EntryKind::Tick).last() {
            say(&format!("{} was ticked on {} already", desk.called(subject), before.says.time.day()))?;
            continue;
        }
        let mut draft = desk.draft(EntryKind::Tick, Some(subject), &at.hand, at.moment());
        draft.typed = "done".to_owned();
        drafts.push(draft);
    }
    if drafts.is_empty() {
        return Ok(true);
    }
    let kept = append(at, desk, drafts)?;
    let progress = desk.progress(at.time.year());
    for &order in orders {
        say(&format!("ticked: {}", desk.called(Subject::Task(order))))?;
        let before = |before: &&usize| {
            !matches!(progress.jobs[**before], logbook::progress::JobState::Done | logbook::progress::JobState::Fails)
        };
        if let Some(first) = desk.before(order).iter().find(before) {
            say_behind("  ", &format!("before it comes {}, which is not ticked", desk.called(Subject::Task(*first))))?;
        }
        let now: Vec<usize> =
            desk.tests_of(Subject::Task(order)).into_iter().map(|test| desk.tests()[test].number).collect();
        if !now.is_empty() {
            say_behind("  ", &format!("now read test {}", schedule::counts_in_runs(now)))?;
        }
    }
    kept_as(&kept)?;
    Ok(true)
}

/// The jobs of some words: numbers, `2 to 14`, `2-14`, or a name.
fn orders_of(at: &At, desk: &Desk<'_, '_>, words: &str) -> Result<Vec<usize>, CliError> {
    let tasks = &desk.work().tasks;
    let wrong = |what: String| {
        let help = format!(
            "write `gapwright log {} tick 12` or `tick 2 to 14`; `gapwright orders` lists them",
            at.plan.display()
        );
        CliError::new(format!("{what}; nothing was entered")).help(help)
    };
    let plain = words.trim().trim_start_matches("order").trim();
    if let Some(index) = tasks.iter().position(|task| task.name.to_lowercase() == words.trim().to_lowercase()) {
        return Ok(vec![index]);
    }
    let one = |word: &str| -> Result<usize, CliError> {
        let number: usize = word.trim().parse().map_err(|_| wrong(format!("`{}` is no order", word.trim())))?;
        if number == 0 || number > tasks.len() {
            return Err(wrong(format!("there is no order {number}; they go from 1 to {}", tasks.len())));
        }
        Ok(number - 1)
    };
    let mut found = Vec::new();
    for part in plain.split(',') {
        match part.split_once(" to ").or_else(|| part.split_once(['-', '–'])) {
            Some((from, to)) => {
                let (from, to) = (one(from)?, one(to)?);
                if from > to {
                    return Err(wrong(format!("`{}` goes backwards", part.trim())));
                }
                found.extend(from..=to);
            }
            None => {
                for word in part.split_whitespace() {
                    found.push(one(word)?);
                }
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    if found.is_empty() { Err(wrong("no order was named".to_owned())) } else { Ok(found) }
}

/// Enters a symptom or a repair.
pub fn about(at: &At, kind: EntryKind, args: &AboutArgs) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let Some(subject) = desk.subject(&args.place) else {
            let help = "name a number of the papers, such as `F-12`, the number of a test, or a name of the plan; nothing was entered";
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

/// Puts an entry right by one that stands in its place.
pub fn correct(at: &At, args: &CorrectArgs) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let (subject, old) = named(at, desk, &args.entry)?;
        let right = plain_minus(&args.reading.join(" "));
        if right.trim() == WITHDRAWN {
            let draft = Draft { typed: WITHDRAWN.to_owned(), value: None, ..again(at, &old) };
            let kept = append(at, desk, vec![draft])?;
            say(&format!("taken back: {} of {}: {}", old.says.kind.word(), old.says.time.minute(), old.says.typed))?;
            kept_as(&kept)?;
            return Ok(true);
        }
        if let (Some(Subject::Test(index)), EntryKind::Reading) = (subject, old.says.kind) {
            let mut asked = args.with.asked(&right);
            // What is not said anew is as it was.
            let was = |said: &str| Some(said.to_owned()).filter(|said| !said.is_empty());
            asked.instrument = asked.instrument.or_else(|| was(&old.says.instrument));
            asked.range = asked.range.or_else(|| was(&old.says.range));
            asked.note = asked.note.or_else(|| was(&old.says.note));
            asked.lead_zero = asked.lead_zero.or_else(|| old.says.lead_zero.map(|zero| format!("{zero} ohm")));
            asked.air = asked.air.or_else(|| old.says.air.map(|air| format!("{air} °C")));
            let time = if at.given { at.time.clone() } else { old.says.time.clone() };
            let entered = desk.reading(index, &asked, &at.hand, time).map_err(not_entered(at, "correct"))?;
            say(&format!("in place of {}, read {}:", old.says.typed, old.says.time.minute()))?;
            return keep_reading(at, desk, index, entered, Some(&old), false);
        }
        let value = match old.says.kind {
            EntryKind::Air => Some(desk.air(&right).map_err(|why| not_entered(at, "correct")(DeskError::Typed(why)))?),
            EntryKind::Instrument => {
                Instrument::parse(&right).map_err(|why| not_entered(at, "correct")(DeskError::Typed(why)))?;
                None
            }
            EntryKind::Tick | EntryKind::Things => {
                let help = format!("write `gapwright log {} correct {} withdrawn`", at.plan.display(), args.entry);
                return Err(CliError::new(format!(
                    "a {} can only be taken back; nothing was entered",
                    old.says.kind.word()
                ))
                .help(help));
            }
            _ => None,
        };
        let air = if old.says.kind == EntryKind::Air { value } else { old.says.air };
        let draft =
            Draft { typed: right, value, air, note: args.with.note.clone().unwrap_or_default(), ..again(at, &old) };
        let kept = append(at, desk, vec![draft])?;
        say(&format!("in place of `{}`, {}", old.says.typed, old.says.time.minute()))?;
        kept_as(&kept)?;
        Ok(true)
    })
}

/// A draft that says the same again, in place of it.
fn again(at: &At, old: &Entry) -> Draft {
    let (who, device) = (at.hand.who.clone(), at.hand.device.clone());
    Draft { supersedes: Some(old.id), who, device, judged: String::new(), ..old.says.clone() }
}

/// The entry of a sign, or the last reading of a test.
fn named(at: &At, desk: &Desk<'_, '_>, words: &str) -> Result<(Option<Subject>, Entry), CliError> {
    let words = words.trim().to_lowercase();
    let long = words.len() >= 6;
    let of_sign: Vec<(Option<Subject>, &Entry)> =
        desk.current().filter(|(_, entry)| long && entry.id.to_string().ends_with(&words)).collect();
    match of_sign.as_slice() {
        [(subject, entry)] => return Ok((*subject, (*entry).clone())),
        [] => {}
        _ => {
            return Err(CliError::new(format!("several entries end in `{words}`; nothing was entered"))
                .help("write more of the sign"));
        }
    }
    let index = test_of(at, desk, &words)?;
    let last = desk.readings(index).into_iter().max_by_key(|entry| entry.id).cloned();
    let none = || {
        CliError::new(format!("test {words} has no reading yet; nothing was entered"))
            .help("`list` shows all entries with their signs")
    };
    Ok((Some(Subject::Test(index)), last.ok_or_else(none)?))
}

/// A minus sign as a keyboard has it: that of arguments was made one that is no option.
fn plain_minus(words: &str) -> String {
    words.replace('\u{2212}', "-")
}

/// Where the probes go, or what is done; what is set.
pub fn how_to(test: &commissioning::Test) -> String {
    let set: Vec<String> = test.set.iter().map(|(control, position)| format!("{control} {position}")).collect();
    let set = if set.is_empty() { String::new() } else { format!("; set {}", set.join(", ")) };
    format!("{}{set}", places(test))
}
