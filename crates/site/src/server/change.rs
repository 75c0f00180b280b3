//! What forms ask for: the only things that write.

use super::asking::{RequestAnswer, RequestContext, trouble, with_shell};
use super::saving::{current, save, save_again, step};
use super::{acting, bench};
use crate::opened::{Needs, NoAnswer, VersionView};
use crate::pages::given_back::{self, SentAgain};
use crate::pages::{Page, findings, fresh, text};
use crate::shelf::{self, NotWritten};
use crate::store::HistoryStep;
use axum::http::{StatusCode, header};
use axum::response::IntoResponse as _;
use std::sync::Arc;

/// Does what a form asks for. Where that was refused, what was typed is given back with the reason.
pub(super) async fn changed(asking: &mut RequestContext) -> RequestAnswer {
    let own = asking.open.as_ref().map(|(open, _)| open.face.id.clone());
    let writes = !["/check", "/new", "/keep"].contains(&asking.path.as_str());
    if writes && own.as_deref() != asking.fields.get("plan") {
        let why = "This form was made for another plan file than the one at this address. Nothing was written.";
        let page = Page::sorry(StatusCode::CONFLICT, "That is another plan", why);
        return give_back(asking, RequestAnswer::Page(page), SentAgain::No);
    }
    let answer = done(asking).await;
    give_back(asking, answer, SentAgain::Yes)
}

/// Puts what was typed on a page that refuses it.
pub(super) fn give_back(asking: &RequestContext, answer: RequestAnswer, again: SentAgain) -> RequestAnswer {
    match answer {
        RequestAnswer::Page(mut page) if !page.status.is_success() && !page.gives_back => {
            let maker = asking.shell_maker();
            page.body = maker(&|around| {
                let back = given_back::given_back(around, &asking.path, &asking.fields, again);
                Page::new("", maud::html! { (page.body) (back) })
            })
            .body;
            RequestAnswer::Page(page)
        }
        other => other,
    }
}

async fn done(asking: &mut RequestContext) -> RequestAnswer {
    match asking.path.as_str() {
        "/check" => check(asking).await,
        "/save" => {
            let before = asking.open.as_ref().map(|o| Arc::clone(&o.1.bytes)).unwrap_or_default();
            match asking.fields.get("text") {
                Some(sent) => {
                    let text = text::as_in_file(sent, &before);
                    if asking.fields.get("anew").is_some() {
                        return save_again(asking, text, "/plan?done=saved").await;
                    }
                    save(asking, text, "/plan?done=saved").await
                }
                None => no_text(),
            }
        }
        "/mend" => fix(asking).await,
        "/act" => acting::act(asking).await,
        "/log" => bench::log(asking).await,
        "/undo" => step(asking, HistoryStep::Undo, "/findings?done=undone").await,
        "/redo" => step(asking, HistoryStep::Redo, "/findings?done=redone").await,
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

fn no_text() -> RequestAnswer {
    RequestAnswer::Page(Page::sorry(StatusCode::BAD_REQUEST, "There is no text in this form", "Nothing was written."))
}

/// Findings of a text that is still being written.
async fn check(asking: &RequestContext) -> RequestAnswer {
    let Some(sent) = asking.fields.get("text") else { return no_text() };
    let bytes: Arc<[u8]> = sent.as_bytes().into();
    let _turn = asking.site.checks.acquire().await;
    let asked = match crate::opened::PlanSession::open(bytes, None) {
        Ok(asked) => asked,
        Err(error) => return RequestAnswer::Page(trouble(&format!("the system refuses: {error}"))),
    };
    let found = asked.ask(Needs::Review, |opened: &VersionView<'_>| findings::grouped(opened).into_string()).await;
    match found {
        Ok(html) => RequestAnswer::Part(html),
        Err(NoAnswer::NotYet) => {
            let waits = "The plan is too long to be looked at while it is written; save it to see what is found.";
            let kind = [(header::CONTENT_TYPE, "text/html; charset=utf-8")];
            // The script asks again a few times: the machine may only be busy.
            RequestAnswer::Raw(
                (StatusCode::ACCEPTED, kind, maud::html! { p { (waits) } }.into_string()).into_response(),
            )
        }
        Err(error) => RequestAnswer::Page(trouble(&error.to_string())),
    }
}

/// Makes the edit that a finding proposes, in the text in which it was found.
async fn fix(asking: &mut RequestContext) -> RequestAnswer {
    let [name, number] = ["name", "n"].map(|f| asking.fields.get(f).unwrap_or_default().to_owned());
    if let Err(gone) = current(asking) {
        return RequestAnswer::Page(gone);
    }
    let edited = asking
        .ask(Needs::Review, move |opened| {
            let proposal = findings::named(opened, &name, &number).and_then(|f| f.proposal.as_ref());
            match proposal.map(|p| finding::apply(opened.text, &p.edits)) {
                Some(Ok(text)) if std::str::from_utf8(opened.bytes).is_ok() => RequestAnswer::Part(text),
                Some(_) => RequestAnswer::Page(trouble("the proposed edit does not fit the text")),
                None => {
                    let why = "It may be fixed already; the list shows what is found now.";
                    RequestAnswer::Page(Page::sorry(
                        StatusCode::NOT_FOUND,
                        "There is no such proposal in this plan",
                        why,
                    ))
                }
            }
        })
        .await;
    match edited {
        RequestAnswer::Part(text) => save(asking, text, "/findings?done=mended").await,
        other => other,
    }
}

/// Writes a text in a new file and shows it.
async fn written(asking: &mut RequestContext, text: String) -> RequestAnswer {
    match write_and_show(asking, text) {
        Ok(to) => RequestAnswer::Away(to),
        Err(why) => {
            RequestAnswer::Page(Page::sorry(StatusCode::UNPROCESSABLE_ENTITY, "Nothing was written", &why.to_string()))
        }
    }
}

/// Writes a text in a new file; gives the address of its pages.
fn write_and_show(asking: &RequestContext, text: String) -> Result<String, NotWritten> {
    if text.len() > plan::LARGEST_PLAN {
        return Err(NotWritten::TooLong);
    }
    let folder = asking.site.shelf.folder.as_deref().ok_or(NotWritten::NotHere)?;
    let path = shelf::write_plan(folder, asking.fields.get("file").unwrap_or_default(), &text)?;
    let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    Ok(shelf::base_of_file(&name) + "/")
}

/// A new yard from answers.
async fn new(asking: &mut RequestContext) -> RequestAnswer {
    let fields = asking.fields.clone();
    let again = |asking: &RequestContext, why: Option<&str>| {
        with_shell(asking, |around| fresh::questions(around, &fields, why))
    };
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
        Ok(to) => RequestAnswer::Away(to),
        Err(why) => again(asking, Some(&why.to_string())),
    }
}
