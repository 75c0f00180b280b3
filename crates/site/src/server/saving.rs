//! Changes written to the plan file, each on top of the version that its form was made from.

use super::asking::{RequestAnswer, RequestContext, trouble, with_shell};
use crate::numbers::NotKept;
use crate::pages::{Page, text};
use crate::store::{HistoryStep, Saved, Store, StoreError, StoredPlan, Version};
use axum::http::StatusCode;

/// Does something to the plan file, away from the threads that answer.
async fn on_disk(
    asking: &RequestContext,
    work: impl FnOnce(&Store) -> Result<Saved, StoreError> + Send + 'static,
) -> Result<(Saved, Option<NotKept>), Page> {
    let Some((open, _)) = asking.open.clone() else {
        return Err(Page::sorry(StatusCode::CONFLICT, "No plan is open", "Choose one first."));
    };
    if open.store().is_none() {
        let why = "Keep it under a name of your own first; the page with its text does that.";
        return Err(Page::sorry(StatusCode::CONFLICT, "A demo plan cannot be changed", why));
    }
    let done = tokio::task::spawn_blocking(move || {
        let done = open.store().map(|store| -> Result<(Saved, Option<NotKept>), StoreError> {
            let before = store.content().bytes;
            let done = work(store)?;
            // The change stands, whatever becomes of the numbers.
            let lost = match &done {
                Saved::Done(now) => crate::numbers::keep(store.path(), &before, &now.bytes).err(),
                _ => None,
            };
            Ok((done, lost))
        });
        open.tell();
        done
    });
    match done.await {
        Ok(Some(Ok(saved))) => Ok(saved),
        Ok(Some(Err(error))) => Err(not_written(&error)),
        Ok(None) | Err(_) => Err(trouble("the plan file could not be reached")),
    }
}

/// Why nothing was written, and what to do about it.
fn not_written(error: &StoreError) -> Page {
    let (status, title) = match error {
        StoreError::Gone => (StatusCode::CONFLICT, "The plan file is gone"),
        StoreError::ReadOnly => (StatusCode::FORBIDDEN, "The plan file is read-only"),
        StoreError::Full => (StatusCode::INSUFFICIENT_STORAGE, "The disk is full"),
        StoreError::Reading(_) | StoreError::Writing(_) => (StatusCode::INTERNAL_SERVER_ERROR, "That went wrong"),
    };
    Page::sorry(status, title, &format!("Nothing was written: {error}. {}", error.help()))
}

fn based_on(asking: &RequestContext) -> Version {
    Version::from_untrusted(asking.fields.get("based-on").unwrap_or_default())
}

/// Puts a text in the place of the version that its form was based on.
pub(super) async fn save(asking: &mut RequestContext, text: String, then: &str) -> RequestAnswer {
    if text.len() > plan::LARGEST_PLAN {
        let why = format!("A plan has {} MB at most. Nothing was written.", plan::LARGEST_PLAN >> 20);
        return RequestAnswer::Page(Page::sorry(StatusCode::PAYLOAD_TOO_LARGE, "That is too much", &why));
    }
    let based_on = based_on(asking);
    let saved = on_disk(asking, move |store| store.save(text.as_bytes(), &based_on)).await;
    answer_after_saving(asking, saved, then)
}

/// Writes a text into a new file of the plan's name, where the file is gone.
pub(super) async fn save_again(asking: &mut RequestContext, text: String, then: &str) -> RequestAnswer {
    let saved = on_disk(asking, move |store| store.write_again(text.as_bytes()).map(Saved::Done)).await;
    answer_after_saving(asking, saved, then)
}

/// Goes to the text before the last change, or back to the one behind it.
pub(super) async fn step(asking: &mut RequestContext, step: HistoryStep, then: &str) -> RequestAnswer {
    let based_on = based_on(asking);
    let saved = on_disk(asking, move |store| store.step(step, &based_on)).await;
    answer_after_saving(asking, saved, then)
}

fn answer_after_saving(
    asking: &mut RequestContext,
    saved: Result<(Saved, Option<NotKept>), Page>,
    then: &str,
) -> RequestAnswer {
    match saved {
        Ok((Saved::Done(_), None)) => RequestAnswer::To(then.to_owned()),
        Ok((Saved::Done(_), Some(lost))) => {
            let why = format!(
                "Wires, gaps, joints and tests may have other numbers now than on your papers: {lost}. Move that file away or make \
                 room for it, and compare the papers before you go on building."
            );
            let why = ::text::escape_control_chars(&why);
            RequestAnswer::Page(Page::sorry(StatusCode::OK, "The plan is written, but its numbers are not kept", &why))
        }
        Ok((Saved::Nothing(_), _)) => RequestAnswer::Page(Page::sorry(
            StatusCode::CONFLICT,
            "There is nothing to undo",
            "The plan is as it was first read.",
        )),
        Ok((Saved::Conflict { mine, theirs }, _)) => conflict(asking, &mine, theirs),
        Err(page) => RequestAnswer::Page(page),
    }
}

/// Shows both texts; the form then is based on the one that is in the file.
fn conflict(asking: &mut RequestContext, mine: &[u8], theirs: StoredPlan) -> RequestAnswer {
    if let Some((_, content)) = &mut asking.open {
        *content = theirs.clone();
    }
    let mine = String::from_utf8_lossy(mine).into_owned();
    with_shell(asking, |around| text::conflict(around, &mine, &theirs))
}

/// Holds that a form was made from the version that is shown: what it changes was chosen by what stood there.
pub(super) fn current(asking: &RequestContext) -> Result<(), Page> {
    if asking.open.as_ref().is_some_and(|o| o.1.version == based_on(asking)) {
        return Ok(());
    }
    let why = "The plan was changed since this page was shown, and nothing was written. Look at it as it is now, and change it then.";
    Err(Page::sorry(StatusCode::CONFLICT, "The plan has changed meanwhile", why))
}
