//! The home page: the drawing, or what stands in its place.

use super::asking::{Answer, Asking};
use crate::opened::Needs;
use crate::pages::home::{self, Home};

/// The drawing; of a plan that is not understood, the last one that was.
pub(super) async fn page(asking: &Asking) -> Answer {
    let fields = asking.fields.clone();
    let (unread, told) = tokio::sync::oneshot::channel();
    let answer = asking
        .ask(Needs::Drawing, move |opened| match home::home(opened, &fields) {
            Home::Page(page) => Answer::Page(page),
            Home::To(address) => Answer::To(address),
            Home::Unread => {
                let _ = unread.send(());
                Answer::Part(String::new())
            }
        })
        .await;
    if told.await.is_err() {
        return answer;
    }
    let fields = asking.fields.clone();
    let past = match asking.open.as_ref().and_then(|(open, _)| open.earlier()) {
        Some(earlier) => earlier.ask(Needs::Drawing, move |opened| home::past(opened, &fields)).await.ok().flatten(),
        None => None,
    };
    asking.ask(Needs::Review, move |opened| Answer::Page(home::unread(opened, past.as_ref()))).await
}
