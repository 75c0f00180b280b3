//! Tells pages that are open that the plan has another version.

use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse as _, Response};
use futures_util::stream;
use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use tokio::sync::watch;

/// Pages that are reported at once; one more is asked to try later.
const MOST_OPEN: usize = 200;

/// One of the open streams; counted as long as it is held.
struct Held(Arc<AtomicUsize>);

impl Drop for Held {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// A stream of versions, the one that is now first, and of counts that go up with entries of the logbook; none where too many
/// are open.
pub(crate) fn stream(
    newest: watch::Receiver<String>,
    book: watch::Receiver<u64>,
    open: &Arc<AtomicUsize>,
) -> Option<Response> {
    let held = Held(Arc::clone(open));
    if open.fetch_add(1, Ordering::Relaxed) >= MOST_OPEN {
        return None;
    }
    let versions = stream::unfold((newest, held, true), |(mut newest, held, first)| async move {
        if !first {
            newest.changed().await.ok()?;
        }
        let version = newest.borrow_and_update().clone();
        Some((Ok::<_, Infallible>(Event::default().data(version)), (newest, held, false)))
    });
    let entries = stream::unfold(book, |mut book| async move {
        book.changed().await.ok()?;
        let count = *book.borrow_and_update();
        Some((Ok::<_, Infallible>(Event::default().event("book").data(count.to_string())), book))
    });
    Some(Sse::new(stream::select(versions, entries)).keep_alive(KeepAlive::new()).into_response())
}
