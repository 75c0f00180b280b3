//! The bench and the hunt: shown, and entries taken into the logbook.

use super::asking::{RequestAnswer, RequestContext, file, trouble};
use crate::address::Fields;
use crate::bench_session::{BenchView, NoBench};
use crate::logged::{Desk, DeskError, EarlierThings, Hand, ReadingAsked, Subject};
use crate::opened::NoAnswer;
use crate::pages::{Page, bench, hunt};
use axum::http::StatusCode;
use logbook::{Draft, EntryId, EntryKind, LogbookError, Moment};
use papers::file_names::safe;
use papers::pdf;
use std::time::Duration;

/// How long a page waits until tests and jobs are worked out, before it says that it comes by itself.
const PATIENCE: Duration = Duration::from_secs(3);
/// How long an entry waits: it should be kept rather than sent again.
const ENTRY_PATIENCE: Duration = Duration::from_secs(20);
/// Bytes that somebody types into one field.
const LONGEST: usize = 4000;

/// A page of the bench or the hunt.
pub(super) async fn shown(asking: &RequestContext) -> RequestAnswer {
    let (fields, maker, path) = (asking.fields.clone(), asking.shell_maker(), asking.path.clone());
    let page = ask(asking, PATIENCE, move |bench| match bench {
        Ok(view) => {
            let page = maker(&|around| match path.as_str() {
                "/hunt" => hunt::hunt(view, around, &fields),
                _ => bench::bench(view, around, &fields),
            });
            (page, Some(view.desk.things()))
        }
        Err(why) => (bench::none(why), None),
    });
    match page.await {
        Ok((page, things)) => {
            // A phone that fills a form in of this page may send it when the plan is another.
            if let (Some((open, _)), Some(things)) = (&asking.open, things) {
                open.remember_things(things);
            }
            RequestAnswer::Page(page)
        }
        Err(NoAnswer::NotYet) => RequestAnswer::Raw(asking.not_yet().await),
        Err(why) => RequestAnswer::Page(trouble(&why.to_string())),
    }
}

/// The record as a PDF document.
pub(super) async fn record(asking: &RequestContext) -> RequestAnswer {
    let made = ask(asking, ENTRY_PATIENCE, |bench| match bench {
        Ok(view) => {
            let now = Moment::now();
            let record = view.desk.record(now.year(), now.day());
            Ok((safe(&record.layout), pdf::pdf(&record)))
        }
        Err(why) => Err(bench::none(why)),
    });
    match made.await {
        Ok(Ok((layout, Ok(pdf)))) => file("application/pdf", &format!("{layout}-record.pdf"), pdf),
        Ok(Ok((_, Err(why)))) => RequestAnswer::Page(trouble(&why.to_string())),
        Ok(Err(page)) => RequestAnswer::Page(page),
        Err(NoAnswer::NotYet) => RequestAnswer::Raw(asking.not_yet().await),
        Err(why) => RequestAnswer::Page(trouble(&why.to_string())),
    }
}

async fn ask<T: Send + 'static>(
    asking: &RequestContext,
    patience: Duration,
    question: impl FnOnce(Result<&BenchView<'_, '_>, &NoBench>) -> T + Send + 'static,
) -> Result<T, NoAnswer> {
    let Some((open, content)) = &asking.open else { return Err(NoAnswer::FellOver) };
    let answered = open.bench(content)?.ask(patience, move |bench| question(bench.map(|view| &*view))).await;
    if matches!(answered, Err(NoAnswer::FellOver)) {
        open.forget();
    }
    answered
}

/// Why an entry was not taken.
enum NotTaken {
    /// What was typed is nothing that can be entered; what would be.
    Typed(String, String),
    /// There is no bench, or the logbook refuses; it may later.
    Later(String),
}

impl From<LogbookError> for NotTaken {
    fn from(error: LogbookError) -> NotTaken {
        NotTaken::Later(format!("{error}: {}", error.help()))
    }
}

impl From<DeskError> for NotTaken {
    fn from(error: DeskError) -> NotTaken {
        match error {
            DeskError::Logbook(error) => error.into(),
            DeskError::Typed(why) => NotTaken::Typed(why.what, why.help),
        }
    }
}

/// Takes an entry. When this says so, it is on the disk.
pub(super) async fn log(asking: &RequestContext) -> RequestAnswer {
    let Some((open, content)) = asking.open.clone() else { return super::asking::plans(asking) };
    if open.store().is_none() {
        let why = "A demo plan has no logbook. Keep the plan under a name of your own first; nothing was entered.";
        return RequestAnswer::Page(Page::sorry(StatusCode::CONFLICT, "That was not entered", why));
    }
    let fields = asking.fields.clone();
    let session = match open.bench(&content) {
        Ok(session) => session,
        Err(error) => return later(&format!("the system refuses: {error}")),
    };
    let earlier = open.earlier_things();
    let is_part = fields.get("part").is_some();
    let taken = session.ask(ENTRY_PATIENCE, move |bench| match bench {
        Ok(view) => take(&mut view.desk, &fields, &earlier).map(|(id, told)| (id, told, view.desk.things())),
        Err(why) => Err(NotTaken::Later(why.to_string())),
    });
    match taken.await {
        Ok(Ok((id, told, things))) => {
            open.remember_things(things);
            open.tell_of_entries();
            if is_part {
                return RequestAnswer::Part(told);
            }
            RequestAnswer::To(back(asking.fields.get("back"), id))
        }
        Ok(Err(NotTaken::Typed(what, help))) => {
            let help = if help.contains('`') { help } else { format!("write `{help}`") };
            let why = format!("{what}; nothing was entered. Please {help}.");
            RequestAnswer::Page(Page::in_words(StatusCode::UNPROCESSABLE_ENTITY, "That was not entered", &why))
        }
        Ok(Err(NotTaken::Later(why))) => later(&why),
        Err(why) => {
            open.forget();
            later(&why.to_string())
        }
    }
}

fn later(why: &str) -> RequestAnswer {
    let why = format!("{why} It is not kept yet. Send it again in a moment.");
    RequestAnswer::Page(Page::in_words(StatusCode::SERVICE_UNAVAILABLE, "That was not entered", &why))
}

/// The page to go to, which tells of the entry.
fn back(asked: Option<&str>, id: EntryId) -> String {
    match asked {
        Some(page) if page.starts_with("/hunt") => page.to_owned(),
        Some(page @ ("/bench?show=jobs" | "/bench?show=book")) => page.to_owned(),
        _ => format!("/bench?kept={id}"),
    }
}

/// Takes what a form holds; gives its id and what to tell of it.
fn take(desk: &mut Desk<'_, '_>, fields: &Fields, earlier: EarlierThings<'_>) -> Result<(EntryId, String), NotTaken> {
    let said = |name: &str| fields.get(name).unwrap_or_default().trim();
    let wrong = |what: &str, help: &str| NotTaken::Typed(what.to_owned(), help.to_owned());
    if fields.all().any(|(_, value)| value.len() > LONGEST) {
        return Err(wrong("a field holds too much", "shorten it"));
    }
    let id = EntryId::parse(said("id")).ok_or_else(|| wrong("the entry has no id", "load the page again"))?;
    let kind = EntryKind::from_word(said("kind")).filter(|kind| !matches!(kind, EntryKind::Things));
    let kind = kind.ok_or_else(|| wrong("this is no kind of entry", "load the page again"))?;
    let time = time(said("time"));
    let device = if said("device").is_empty() { "a page" } else { said("device") };
    let hand = Hand { who: said("who").to_owned(), device: device.to_owned() };
    let typed = said("typed").replace('\u{2212}', "-");
    if typed.is_empty() {
        return Err(wrong("nothing was typed", "type what was seen, done or read"));
    }
    let draft = match EntryId::parse(said("supersedes")) {
        Some(supersedes) => withdrawal(desk, supersedes, &hand, time, typed)?,
        None => draft(desk, kind, fields, (&hand, time, typed), earlier)?,
    };
    let taken = desk.take(id, draft, earlier)?;
    let told = bench::kept(desk, &taken.entry).into_string();
    Ok((taken.entry.id, told))
}

/// When it was so: what the browser says, where that is no time to come.
fn time(said: &str) -> Moment {
    let now = Moment::now();
    Moment::parse(said).filter(|time| *time <= now).unwrap_or(now)
}

fn withdrawal(
    desk: &Desk<'_, '_>,
    supersedes: EntryId,
    hand: &Hand,
    time: Moment,
    typed: String,
) -> Result<Draft, NotTaken> {
    let Some(entry) = desk.entry(supersedes) else {
        return Err(NotTaken::Typed(
            "what it takes back is not in the logbook".to_owned(),
            "load the page again".to_owned(),
        ));
    };
    let (kind, what, plan) = (entry.says.kind, entry.says.what.clone(), entry.says.plan.clone());
    let says = Draft { what, plan, typed, supersedes: Some(supersedes), ..Draft::new(kind, time) };
    Ok(Draft { who: hand.who.clone(), device: hand.device.clone(), ..says })
}

fn draft(
    desk: &Desk<'_, '_>,
    kind: EntryKind,
    fields: &Fields,
    (hand, time, typed): (&Hand, Moment, String),
    earlier: EarlierThings<'_>,
) -> Result<Draft, NotTaken> {
    let said = |name: &str| fields.get(name).unwrap_or_default().trim();
    let some = |name: &str| Some(said(name).to_owned()).filter(|said| !said.is_empty());
    if let Some(row) = hunt::row_of(fields) {
        // A reading of a hunt is about no test; the places are in its note, as `gapwright hunt --readings` takes them.
        let mut draft = desk.draft(EntryKind::Reading, None, hand, time);
        hunt::check_row(desk, &row)
            .map_err(|why| NotTaken::Typed(why.to_string(), "type what the meter shows".to_owned()))?;
        (draft.typed, draft.setting, draft.note) = (typed, row.setting.clone(), hunt::note_of(&row));
        return Ok(draft);
    }
    let (what, revision) = (said("what"), said("revision"));
    let about = if !what.is_empty() {
        desk.subject_of(what, revision, earlier)
    } else if !said("place").is_empty() {
        let named = desk.subject(said("place"));
        let help = "name a number of the papers, such as `F-12`, the number of a test, or a name of the plan";
        Some(named.ok_or_else(|| NotTaken::Typed(format!("nothing is called `{}`", said("place")), help.to_owned()))?)
    } else {
        None
    };
    if let (EntryKind::Reading, Some(Subject::Test(index))) = (kind, about) {
        let asked = ReadingAsked {
            typed,
            instrument: some("with"),
            range: some("range"),
            lead_zero: some("zero"),
            air: some("air"),
            note: some("note"),
        };
        return Ok(desk.reading(index, &asked, hand, time)?.draft);
    }
    let mut draft = desk.draft(kind, about, hand, time);
    if about.is_none() && !what.is_empty() {
        // What it is about is not in the plan any more. It is kept as it was said, and never lost.
        (draft.what, draft.plan) = (what.to_owned(), revision.to_owned());
    }
    (draft.typed, draft.note) = (typed, said("note").to_owned());
    if let Some(air) = some("air") {
        draft.air = Some(desk.air(&air).map_err(|why| NotTaken::Typed(why.what, why.help))?);
    }
    Ok(draft)
}
