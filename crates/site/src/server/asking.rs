//! What is asked and what it comes to: below all that make answers.

use super::Site;
use crate::address::Fields;
use crate::open_plan::OpenPlan;
use crate::opened::{Needs, NoAnswer, VersionView};
use crate::pages::{Page, shell, start};
use crate::shelf;
use crate::store::StoredPlan;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use std::sync::Arc;

/// A picture by itself carries its own styles.
const PICTURE_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'";

/// What a request comes to.
pub(super) enum RequestAnswer {
    Page(Page),
    /// A part of a page, for the script.
    Part(String),
    /// Another page of the plan shows what came of it.
    To(String),
    /// A page that is none of this plan.
    Away(String),
    Raw(Response),
}

/// A plan that is shown, and what it holds.
pub(super) type ShownPlan = (Arc<OpenPlan>, StoredPlan);

/// All that an answer is made from.
pub(super) struct RequestContext {
    pub site: Arc<Site>,
    pub path: String,
    pub fields: Fields,
    /// The plan that is shown, and what it holds.
    pub open: Option<ShownPlan>,
}

/// The plans to choose from.
pub(super) fn plans(asking: &RequestContext) -> RequestAnswer {
    let Some(folder) = &asking.site.shelf.folder else {
        return RequestAnswer::Page(Page::sorry(
            StatusCode::NOT_FOUND,
            "There is no such page",
            "Nothing is at this address.",
        ));
    };
    RequestAnswer::Page(start::plans(&shelf::plans_in(folder)))
}

/// A picture by itself.
pub(super) fn picture(svg: String) -> Response {
    let policy = (header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(PICTURE_POLICY));
    ([(header::CONTENT_TYPE, HeaderValue::from_static("image/svg+xml")), policy], svg).into_response()
}

/// Makes a page that needs to know what stands around it.
pub(super) fn with_shell(asking: &RequestContext, page: impl Fn(&shell::PageShell<'_>) -> Page) -> RequestAnswer {
    RequestAnswer::Page(asking.shell_maker()(&|around| page(around)))
}

type PageOf<'f> = &'f dyn Fn(&shell::PageShell<'_>) -> Page;

impl RequestContext {
    /// Asks the version that is shown.
    pub async fn ask(
        &self,
        needs: Needs,
        question: impl FnOnce(&VersionView<'_>) -> RequestAnswer + Send + 'static,
    ) -> RequestAnswer {
        let Some((open, content)) = &self.open else { return plans(self) };
        let asked = match open.session(content) {
            Ok(asked) => asked.ask(needs, question).await,
            Err(error) => Err(error.into()),
        };
        match asked {
            Ok(answer) => answer,
            Err(NoAnswer::NotYet) => RequestAnswer::Raw(self.not_yet().await),
            Err(error) => {
                open.forget();
                RequestAnswer::Page(trouble(&error.to_string()))
            }
        }
    }

    /// What stands in front of the addresses of the plan's pages.
    pub fn base(&self) -> &str {
        self.open.as_ref().map_or("", |(open, _)| open.face.base.as_str())
    }

    /// A page that asks again by itself, also without script.
    pub async fn not_yet(&self) -> Response {
        let body = maud::html! {
            h1 { "One moment" }
            p role="status" { "The plan is long, and this is still being worked out. The page comes by itself." }
        };
        let mut answer = Box::pin(finish(RequestAnswer::Page(Page::new("One moment", body)), self)).await;
        answer.headers_mut().insert(header::REFRESH, HeaderValue::from_static("2"));
        answer
    }

    /// Gives what stands around to what makes a page of it; can go to another thread.
    pub fn shell_maker(&self) -> impl Fn(PageOf<'_>) -> Page + Send + 'static {
        let (site, open) = (Arc::clone(&self.site), self.open.clone());
        move |page| page(&around(&site, open.as_ref(), ""))
    }
}

/// What stands around a page of a plan, or of none.
fn around<'a>(site: &'a Site, open: Option<&'a ShownPlan>, name: &'a str) -> shell::PageShell<'a> {
    shell::PageShell {
        name,
        face: open.map(|(open, _)| &open.face),
        content: open.map(|(_, content)| content),
        many: site.shelf.folder.is_some(),
        only_looked_at: open.is_some_and(|(open, _)| open.store().is_none()),
        barrier: open.and_then(|(open, _)| open.store()?.barrier()),
        token: &site.gate.token,
    }
}

/// A page for what is no fault of whoever asked.
pub(super) fn trouble(words: &str) -> Page {
    Page::sorry(StatusCode::INTERNAL_SERVER_ERROR, "That went wrong", words)
}

/// The response to an answer, its page with what stands around it.
pub(super) async fn finish(answer: RequestAnswer, asking: &RequestContext) -> Response {
    let page = match answer {
        RequestAnswer::Raw(response) => return response,
        RequestAnswer::To(address) => return redirect(&format!("{}{address}", asking.base())),
        RequestAnswer::Away(address) => return redirect(&address),
        RequestAnswer::Part(html) => {
            let html = mounted(html, asking.base());
            return ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], html).into_response();
        }
        RequestAnswer::Page(page) => page,
    };
    let name = match &asking.open {
        Some((open, content)) => match open.session(content) {
            Ok(asked) => {
                asked.ask(Needs::Review, |opened| opened.review.summary.name.clone()).await.unwrap_or_default()
            }
            Err(_) => String::new(),
        },
        None => String::new(),
    };
    let around = around(&asking.site, asking.open.as_ref(), &name);
    let html = mounted(shell::whole(&page, &around, &asking.path).into_string(), asking.base());
    (page.status, [(header::CONTENT_TYPE, "text/html; charset=utf-8")], html).into_response()
}

/// Attributes of a page that hold addresses of this server.
const ADDRESSES: [&str; 4] = [" href=\"/", " action=\"/", " formaction=\"/", " src=\"/"];

/// Puts what stands in front of the addresses of a plan's pages into a page.
///
/// Pages name addresses as a server of one plan has them. Words of a plan cannot look like an attribute: what makes pages of them
/// writes their quotation marks as `&quot;`.
fn mounted(html: String, base: &str) -> String {
    if base.is_empty() {
        return html;
    }
    ADDRESSES.iter().fold(html, |html, attribute| {
        let with_base = attribute.replacen('/', &format!("{base}/"), 1);
        html.replace(attribute, &with_base)
    })
}

/// To another page, which is then looked at.
pub(super) fn redirect(to: &str) -> Response {
    let to = HeaderValue::from_str(to).unwrap_or(HeaderValue::from_static("/"));
    (StatusCode::SEE_OTHER, [(header::LOCATION, to)]).into_response()
}

/// A file to keep, under a name.
pub(super) fn file(kind: &'static str, name: &str, content: impl Into<axum::body::Body>) -> RequestAnswer {
    // Names of files go into headers, where not every letter may stand.
    let plain: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() || "-_.".contains(c) { c } else { '-' }).collect();
    let kept = HeaderValue::from_str(&format!("attachment; filename=\"{plain}\""));
    let mut response: Response = ([(header::CONTENT_TYPE, kind)], content.into()).into_response();
    if let Ok(kept) = kept {
        response.headers_mut().insert(header::CONTENT_DISPOSITION, kept);
    }
    RequestAnswer::Raw(response)
}
