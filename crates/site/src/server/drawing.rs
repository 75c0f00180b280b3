//! The home page: the drawing, or what stands in its place.

use super::asking::{RequestAnswer, RequestContext};
use crate::opened::Needs;
use crate::pages::home::{self, Home};

/// The drawing; of a plan that is not understood, the last one that was.
pub(super) async fn page(asking: &RequestContext) -> RequestAnswer {
    let fields = asking.fields.clone();
    let (unread, newest) = tokio::sync::oneshot::channel();
    let answer = asking
        .ask(Needs::Drawing, move |opened| match home::home(opened, &fields) {
            Home::Page(page) => RequestAnswer::Page(page),
            Home::To(address) => RequestAnswer::To(address),
            Home::Unread => {
                let _ = unread.send(());
                RequestAnswer::Part(String::new())
            }
        })
        .await;
    if newest.await.is_err() {
        return answer;
    }
    let fields = asking.fields.clone();
    let past = match asking.open.as_ref().and_then(|(open, _)| open.earlier()) {
        Some(earlier) => earlier.ask(Needs::Drawing, move |opened| home::past(opened, &fields)).await.ok().flatten(),
        None => None,
    };
    asking.ask(Needs::Review, move |opened| RequestAnswer::Page(home::unread(opened, past.as_ref()))).await
}
