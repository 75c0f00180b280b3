//! What forms ask for: the only things that write.

use super::acting;
use super::answer::{Answer, Asking, trouble, with_around};
use crate::opened::{Needs, NoAnswer, Opened};
use crate::pages::{Page, findings, fresh, text};
use crate::shelf::{self, Open};
use crate::store::{Content, Saved, Step, Store, StoreError, Version};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse as _;
use std::sync::Arc;

pub(super) async fn changed(asking: &mut Asking) -> Answer {
    match asking.path.as_str() {
        "/check" => check(asking).await,
        "/save" => {
            let before = asking.open.as_ref().map(|o| Arc::clone(&o.1.bytes)).unwrap_or_default();
            match asking.fields.get("text") {
                Some(sent) => {
                    let text = text::as_in_file(sent, &before);
                    save(asking, text, "/plan?done=saved").await
                }
                None => no_text(),
            }
        }
        "/mend" => mend(asking).await,
        "/act" => acting::act(asking).await,
        "/undo" => step(asking, Step::Undo, "/findings?done=undone").await,
        "/redo" => step(asking, Step::Redo, "/findings?done=redone").await,
        "/open" => open(asking).await,
        "/keep" => match asking.fields.get("text") {
            Some(sent) => {
                let text = text::as_in_file(sent, b"");
                written(asking, text).await
            }
            None => no_text(),
        },
        _ => new(asking).await,
    }
}

fn no_text() -> Answer {
    Answer::Page(Page::sorry(StatusCode::BAD_REQUEST, "There is no text in this form", "Nothing was written."))
}

/// Findings of a text that is still being written.
async fn check(asking: &Asking) -> Answer {
    let Some(sent) = asking.fields.get("text") else { return no_text() };
    let bytes: Arc<[u8]> = sent.as_bytes().into();
    let _turn = asking.site.checks.acquire().await;
    let asked = match crate::opened::Asked::open(bytes, None) {
        Ok(asked) => asked,
        Err(error) => return Answer::Page(trouble(&format!("the system refuses: {error}"))),
    };
    let found = asked.ask(Needs::Review, |opened: &Opened<'_>| findings::grouped(opened).into_string()).await;
    match found {
        Ok(html) => Answer::Part(html),
        Err(NoAnswer::NotYet) => {
            let waits = "The plan is too long to be looked at while it is written; save it to see what is found.";
            let kind = [(header::CONTENT_TYPE, "text/html; charset=utf-8")];
            // The script asks again a few times: the machine may only be busy.
            Answer::Raw((StatusCode::ACCEPTED, kind, maud::html! { p { (waits) } }.into_string()).into_response())
        }
        Err(error) => Answer::Page(trouble(&error.to_string())),
    }
}

/// Does something to the plan file, away from the threads that answer.
async fn on_disk(
    asking: &Asking,
    work: impl FnOnce(&Store) -> Result<Saved, StoreError> + Send + 'static,
) -> Result<Saved, Page> {
    let Some((open, _)) = asking.open.clone() else {
        return Err(Page::sorry(StatusCode::CONFLICT, "No plan is open", "Choose one first."));
    };
    if open.store().is_none() {
        let why = "Keep it under a name of your own first; the page with its text does that.";
        return Err(Page::sorry(StatusCode::CONFLICT, "A demo plan cannot be changed", why));
    }
    let site = Arc::clone(&asking.site);
    let done = tokio::task::spawn_blocking(move || {
        let done = open.store().map(work);
        site.tell(open.content().version.to_string());
        done
    });
    match done.await {
        Ok(Some(Ok(saved))) => Ok(saved),
        Ok(Some(Err(error))) => Err(trouble(&error.to_string())),
        Ok(None) | Err(_) => Err(trouble("the plan file could not be reached")),
    }
}

fn based_on(asking: &Asking) -> Version {
    Version::told(asking.fields.get("based-on").unwrap_or_default())
}

/// Puts a text in the place of the version that its form was based on.
pub(super) async fn save(asking: &mut Asking, text: String, then: &str) -> Answer {
    if text.len() > plan::LARGEST_PLAN {
        let why = format!("A plan has {} MB at most. Nothing was written.", plan::LARGEST_PLAN >> 20);
        return Answer::Page(Page::sorry(StatusCode::PAYLOAD_TOO_LARGE, "That is too much", &why));
    }
    let based_on = based_on(asking);
    let saved = on_disk(asking, move |store| store.save(text.as_bytes(), &based_on)).await;
    told(asking, saved, then)
}

async fn step(asking: &mut Asking, step: Step, then: &str) -> Answer {
    let based_on = based_on(asking);
    let saved = on_disk(asking, move |store| store.step(step, &based_on)).await;
    told(asking, saved, then)
}

fn told(asking: &mut Asking, saved: Result<Saved, Page>, then: &str) -> Answer {
    match saved {
        Ok(Saved::Done(_)) => Answer::To(then.to_owned()),
        Ok(Saved::Nothing(_)) => Answer::Page(Page::sorry(
            StatusCode::CONFLICT,
            "There is nothing to undo",
            "The plan is as it was first read.",
        )),
        Ok(Saved::Conflict { mine, theirs }) => conflict(asking, &mine, theirs),
        Err(page) => Answer::Page(page),
    }
}

/// Shows both texts; the form then is based on the one that is in the file.
fn conflict(asking: &mut Asking, mine: &[u8], theirs: Content) -> Answer {
    if let Some((_, content)) = &mut asking.open {
        *content = theirs.clone();
    }
    let mine = String::from_utf8_lossy(mine).into_owned();
    with_around(asking, |around| text::conflict(around, &mine, &theirs))
}

/// Holds that a form was made from the version that is shown: what it changes was chosen by what stood there.
pub(super) fn current(asking: &Asking) -> Result<(), Page> {
    if asking.open.as_ref().is_some_and(|o| o.1.version == based_on(asking)) {
        return Ok(());
    }
    let why = "The plan was changed since this page was shown, and nothing was written. Look at it as it is now, and change it then.";
    Err(Page::sorry(StatusCode::CONFLICT, "The plan has changed meanwhile", why))
}

/// Makes the edit that a finding proposes, in the text in which it was found.
async fn mend(asking: &mut Asking) -> Answer {
    let [name, number] = ["name", "n"].map(|f| asking.fields.get(f).unwrap_or_default().to_owned());
    if let Err(gone) = current(asking) {
        return Answer::Page(gone);
    }
    let edited = asking
        .ask(Needs::Review, move |opened| {
            let proposal = findings::named(opened, &name, &number).and_then(|f| f.proposal.as_ref());
            match proposal.map(|p| finding::apply(opened.text, &p.edits)) {
                Some(Ok(text)) if std::str::from_utf8(opened.bytes).is_ok() => Answer::Part(text),
                Some(_) => Answer::Page(trouble("the proposed edit does not fit the text")),
                None => {
                    let why = "It may be mended already; the list shows what is found now.";
                    Answer::Page(Page::sorry(StatusCode::NOT_FOUND, "There is no such proposal in this plan", why))
                }
            }
        })
        .await;
    match edited {
        Answer::Part(text) => save(asking, text, "/findings?done=mended").await,
        other => other,
    }
}

/// Shows another plan, on every device.
async fn open(asking: &mut Asking) -> Answer {
    let opened = match (asking.fields.get("demo"), asking.fields.get("plan"), &asking.site.folder) {
        (Some(demo), _, _) => Open::demo(demo),
        // Only what the folder lists is opened, so a name cannot lead out of it.
        (None, Some(name), Some(folder)) if shelf::plans_in(folder).iter().any(|n| n == name) => {
            match Open::file(&folder.join(name)) {
                Ok(open) => Some(open),
                Err(error) => return Answer::Page(trouble(&error.to_string())),
            }
        }
        _ => None,
    };
    match opened {
        Some(open) => {
            asking.site.show(open);
            Answer::To("/".to_owned())
        }
        None => {
            Answer::Page(Page::sorry(StatusCode::NOT_FOUND, "There is no such plan", "The list shows what is there."))
        }
    }
}

/// Writes a text in a new file and shows it.
async fn written(asking: &mut Asking, text: String) -> Answer {
    match write_and_show(asking, text) {
        Ok(()) => Answer::To("/".to_owned()),
        Err(why) => Answer::Page(Page::sorry(StatusCode::UNPROCESSABLE_ENTITY, "Nothing was written", &why)),
    }
}

fn write_and_show(asking: &Asking, text: String) -> Result<(), String> {
    if text.len() > plan::LARGEST_PLAN {
        return Err(format!("a plan has {} MB at most", plan::LARGEST_PLAN >> 20));
    }
    let folder = asking.site.folder.as_deref().ok_or("new plans are not written here")?;
    let path = shelf::write_plan(folder, asking.fields.get("file").unwrap_or_default(), &text)?;
    let open = Open::file(&path).map_err(|e| e.to_string())?;
    asking.site.show(open);
    Ok(())
}

/// A new yard from answers.
async fn new(asking: &mut Asking) -> Answer {
    let fields = asking.fields.clone();
    let again =
        |asking: &Asking, why: Option<&str>| with_around(asking, |around| fresh::questions(around, &fields, why));
    if fields.get("only").is_some() {
        return again(asking, None);
    }
    let (answers, wrong) = fresh::answers(&fields);
    if !wrong.is_empty() {
        return again(asking, Some("Some answers do not fit; nothing was written."));
    }
    let text = match design::propose(&answers) {
        Ok(text) => text,
        Err(why) => return again(asking, Some(&format!("{why}; nothing was written"))),
    };
    match write_and_show(asking, text) {
        Ok(()) => Answer::To("/".to_owned()),
        Err(why) => again(asking, Some(&why)),
    }
}
