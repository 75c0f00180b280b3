//! The common acts, from a form to the plan file, and what the last change did.

use super::asking::{RequestAnswer, RequestContext, trouble};
use super::saving::{current, save};
use crate::address::address;
use crate::opened::{Needs, NoAnswer, PlanSession};
use crate::pages::acts::{self, FormAction};
use crate::pages::changed::{self, Before};
use crate::pages::{Page, findings};
use axum::http::StatusCode;
use plan::acts::Acted;
use std::sync::Arc;

/// Does what a form asks for: looked at first, and then saved like any other text.
pub(super) async fn act(asking: &mut RequestContext) -> RequestAnswer {
    let Some(doing) = asking.fields.get("act").and_then(FormAction::from_word) else {
        let why = "This form asks for nothing that is known here. Nothing was written.";
        return RequestAnswer::Page(Page::sorry(StatusCode::BAD_REQUEST, "There is no such change", why));
    };
    if let Err(gone) = current(asking) {
        return RequestAnswer::Page(gone);
    }
    let (tried, telling) = tokio::sync::oneshot::channel();
    let (fields, maker) = (asking.fields.clone(), asking.shell_maker());
    let asked = asking
        .ask(Needs::Review, move |opened| {
            let done = match plan::acts::perform(opened.text, &doing.with(&fields)) {
                Err(why) => Err(maker(&|around| acts::refused(opened, around, doing, &fields, &why))),
                Ok(_) if std::str::from_utf8(opened.bytes).is_err() => {
                    Err(trouble("the file holds bytes that are no text"))
                }
                Ok(acted) => Ok(acted),
            };
            let _ = tried.send(done);
            RequestAnswer::Part(String::new())
        })
        .await;
    let Acted { text, edits, of } = match (telling.await, asked) {
        (Ok(Ok(acted)), _) => acted,
        (Ok(Err(page)), _) => return RequestAnswer::Page(page),
        (Err(_), other) => return other,
    };
    if asking.fields.get("sure").is_none()
        && let Some(warned) = warned(asking, doing, &text, edits).await
    {
        return warned;
    }
    save(asking, text, &address("/changed", &[("of", &of)])).await
}

/// What is shown first where the plan would not be understood after an act.
async fn warned(
    asking: &RequestContext,
    doing: FormAction,
    text: &str,
    edits: Vec<finding::Edit>,
) -> Option<RequestAnswer> {
    let then = seen(asking, text.as_bytes().into(), |opened| {
        (!opened.review.summary.understood).then(|| findings::of_another_text(opened))
    });
    let found = match then.await {
        Ok(found) => found?,
        // A plan that is too long to look at now is saved; what comes of it is shown as after any other change.
        Err(NoAnswer::NotYet) => return None,
        Err(error) => return Some(RequestAnswer::Page(trouble(&error.to_string()))),
    };
    let (fields, maker) = (asking.fields.clone(), asking.shell_maker());
    let page = asking.ask(Needs::Review, move |opened| {
        RequestAnswer::Page(maker(&|around| acts::not_understood(opened, around, doing, &fields, &edits, &found)))
    });
    Some(page.await)
}

/// Asks a text that is not the one shown; some at once at most.
async fn seen<T: Send + 'static>(
    asking: &RequestContext,
    bytes: Arc<[u8]>,
    question: impl FnOnce(&crate::opened::VersionView<'_>) -> T + Send + 'static,
) -> Result<T, NoAnswer> {
    let _turn = asking.site.checks.acquire().await;
    PlanSession::open(bytes, None)?.ask(Needs::Review, question).await
}

/// The page of the last change, whoever made it.
pub(super) async fn last(asking: &RequestContext) -> RequestAnswer {
    let before = asking.open.as_ref().and_then(|(open, _)| open.store()?.before());
    let Some(before) = before else { return RequestAnswer::Page(changed::none()) };
    let before = match seen(asking, before, Before::from_view).await {
        Ok(before) => Some(before),
        Err(NoAnswer::NotYet) => None,
        Err(error) => return RequestAnswer::Page(trouble(&error.to_string())),
    };
    let of = asking.fields.get("of").map(str::to_owned);
    let page = asking.ask(Needs::Review, move |opened| {
        RequestAnswer::Page(changed::changed(opened, before.as_ref(), of.as_deref()))
    });
    page.await
}
