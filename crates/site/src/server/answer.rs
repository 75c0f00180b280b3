//! From a request to an answer.

use super::asking::{RequestAnswer, RequestContext, ShownPlan, finish, picture, plans, redirect, with_shell};
use super::{Site, acting, bench, change, drawing, papers, squeezed};
use crate::address::Fields;
use crate::events;
use crate::gate::{Ends, Paired, RefusedRequest};
use crate::opened::Needs;
use crate::pages::given_back::SentAgain;
use crate::pages::{Page, acts, findings, fresh, place, search, start, text, thrown, ways};
use crate::shelf::Located;
use axum::body::Body;
use axum::extract::Request;
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use futures_util::StreamExt as _;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;
use tokio::time::{Instant, timeout_at};

/// A form holds a plan, of which each byte may take three, and a few fields.
const MOST_FORM: usize = 3 * plan::LARGEST_PLAN + (64 << 10);

/// How long a form may take to arrive,
const FORM: Duration = Duration::from_secs(10);
/// with a second more for each so many bytes of it that have.
const SLOWEST: usize = 8 << 10;

/// Only what this server sends, and nothing inside pages but what stands in files of its own.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
const ICON: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 32 32\"><rect width=\"32\" height=\"32\" rx=\"6\" \
                    fill=\"#fbfaf6\"/><path d=\"M3 12h11M18 12h11M3 21h26\" stroke=\"#1b1b1a\" stroke-width=\"2.6\"/></svg>";

pub(super) async fn answer(site: Arc<Site>, ends: Ends, request: Request) -> Response {
    let accepts = squeezed::accepts_gzip(request.headers());
    let response = answer_whole(site, ends, request).await;
    if accepts { squeezed::gzipped(response).await } else { response }
}

async fn answer_whole(site: Arc<Site>, ends: Ends, request: Request) -> Response {
    let (parts, body) = request.into_parts();
    let path = parts.uri.path().to_owned();
    let method = if parts.method == Method::HEAD { Method::GET } else { parts.method.clone() };
    let checked = site.gate.check(ends, &method, &parts.uri, &parts.headers);
    let query = Fields::read(parts.uri.query().unwrap_or_default().as_bytes());
    let answered = match checked {
        Err(refused) if refused.pair => unpaired(&site, ends.peer.ip(), (&method, &path, &query), body).await,
        Err(RefusedRequest { status, why, .. }) => RequestAnswer::Page(Page::sorry(status, "Turned away", why)),
        Ok(()) => match own_file(&site, &method, &path) {
            Some(file) => RequestAnswer::Raw(file),
            None => {
                let (page, open, missing) = located(&site, &path);
                let mut asking = RequestContext { site: Arc::clone(&site), path: page, fields: query, open };
                let answered = match missing {
                    Some(page) => RequestAnswer::Page(page),
                    // The address of a plan without its last stroke.
                    None if asking.path.is_empty() => RequestAnswer::To("/".to_owned()),
                    None => match own_file(&site, &method, &asking.path) {
                        Some(file) => RequestAnswer::Raw(file),
                        None => route(&mut asking, &method, body).await,
                    },
                };
                return with_security_headers(finish(answered, &asking).await, ends.peer);
            }
        },
    };
    let asking = RequestContext { site, path, fields: Fields::default(), open: None };
    with_security_headers(finish(answered, &asking).await, ends.peer)
}

/// The address of a page among those of its plan, the plan, and why there is none.
fn located(site: &Site, path: &str) -> (String, Option<ShownPlan>, Option<Page>) {
    match site.shelf.locate(path) {
        Located::Plan(open, page) => {
            let content = open.content();
            (page, Some((open, content)), None)
        }
        Located::Elsewhere => (path.to_owned(), None, None),
        Located::Missing => {
            let why = "No plan of this name is here. The list of plans shows what is there.";
            (path.to_owned(), None, Some(Page::sorry(StatusCode::NOT_FOUND, "There is no such plan", why)))
        }
        Located::Unreadable(error) => {
            let why = format!("Nothing can be shown: {error}. {}", error.help());
            (path.to_owned(), None, Some(Page::sorry(StatusCode::NOT_FOUND, "The plan cannot be read", &why)))
        }
    }
}

/// Style, script and sign: the same for everybody.
fn own_file(site: &Site, method: &Method, path: &str) -> Option<Response> {
    let (kind, content) = match path {
        "/style.css" => ("text/css; charset=utf-8", site.style.clone()),
        "/site.js" => ("text/javascript; charset=utf-8", include_str!("../site.js").to_owned()),
        "/drawing.js" => ("text/javascript; charset=utf-8", include_str!("../drawing.js").to_owned()),
        "/kept.js" => ("text/javascript; charset=utf-8", include_str!("../kept.js").to_owned()),
        "/bench.js" => ("text/javascript; charset=utf-8", include_str!("../bench.js").to_owned()),
        "/icon.svg" => ("image/svg+xml", ICON.to_owned()),
        _ => return None,
    };
    (method == Method::GET).then(|| ([(header::CONTENT_TYPE, kind)], content).into_response())
}

async fn unpaired(
    site: &Arc<Site>,
    device: IpAddr,
    (method, path, query): (&Method, &str, &Fields),
    body: Body,
) -> RequestAnswer {
    if let Some(file) = own_file(site, method, path) {
        return RequestAnswer::Raw(file);
    }
    if method != Method::POST {
        let page = start::pair(query.get("code").unwrap_or_default(), false);
        return RequestAnswer::Page(if path == "/pair" { page } else { page.status(StatusCode::FORBIDDEN) });
    }
    let fields = match form(body, 1 << 10).await {
        Ok(fields) if path == "/pair" => fields,
        _ => return RequestAnswer::Page(start::pair("", false).status(StatusCode::FORBIDDEN)),
    };
    match site.gate.pair(device, fields.get("code").unwrap_or_default()).await {
        Paired::Cookie(cookie) => {
            let mut to = redirect("/");
            if let Ok(cookie) = HeaderValue::from_str(&cookie) {
                to.headers_mut().insert(header::SET_COOKIE, cookie);
            }
            RequestAnswer::Raw(to)
        }
        Paired::Wrong => RequestAnswer::Page(start::pair("", true)),
        Paired::Closed => {
            let why = "There were too many wrong codes from this device. Wait ten minutes, and look at the code in the terminal again.";
            RequestAnswer::Page(Page::sorry(StatusCode::TOO_MANY_REQUESTS, "This device has to wait", why))
        }
    }
}

/// The fields of a form that is not longer than it may be, and does not come too slowly.
async fn form(body: Body, most: usize) -> Result<Fields, Page> {
    let begun = Instant::now();
    let mut parts = body.into_data_stream();
    let mut bytes = Vec::new();
    loop {
        let until = begun + FORM + Duration::from_secs((bytes.len() / SLOWEST) as u64);
        match timeout_at(until, parts.next()).await {
            Ok(None) => return Ok(Fields::read(&bytes)),
            Ok(Some(Ok(part))) if bytes.len() + part.len() <= most => bytes.extend_from_slice(&part),
            Ok(Some(Ok(_))) => {
                let why = format!("A plan has {} MB at most. Nothing was written.", plan::LARGEST_PLAN >> 20);
                return Err(Page::sorry(StatusCode::PAYLOAD_TOO_LARGE, "That is too much", &why));
            }
            Ok(Some(Err(_))) => {
                let why = "The connection broke off. Nothing was written.";
                return Err(Page::sorry(StatusCode::BAD_REQUEST, "The form did not arrive", why));
            }
            Err(_) => {
                let why = "The connection is too slow. Nothing was written; go back, and send it again.";
                return Err(Page::sorry(StatusCode::REQUEST_TIMEOUT, "The form did not arrive", why));
            }
        }
    }
}

async fn route(asking: &mut RequestContext, method: &Method, body: Body) -> RequestAnswer {
    let many = asking.site.shelf.folder.is_some();
    let gets = [
        "/",
        "/place",
        "/findings",
        "/finding",
        "/explain",
        "/routes",
        "/profile",
        "/profile.svg",
        "/plan",
        "/lines",
        "/events",
        "/change",
        "/changed",
        "/bench",
        "/hunt",
        "/record.pdf",
        "/thrown",
    ];
    let posts = ["/save", "/check", "/mend", "/undo", "/redo", "/act", "/log"];
    let path = asking.path.clone();
    let path = path.as_str();
    let known = |list: &[&str], more: &[&str]| list.contains(&path) || (many && more.contains(&path));
    let (get, post) =
        (known(&gets, &["/new", "/plans"]) || papers::PATHS.contains(&path), known(&posts, &["/new", "/keep"]));
    if !get && !post {
        let why = if path == "/pair" { "This device needs no pairing." } else { "Nothing is at this address." };
        return RequestAnswer::Page(Page::sorry(StatusCode::NOT_FOUND, "There is no such page", why));
    }
    match *method {
        Method::GET if get => shown(asking).await,
        Method::POST if post => match form(body, MOST_FORM).await {
            Err(page) => RequestAnswer::Page(page),
            Ok(fields) => {
                let known = asking.site.gate.knows(fields.get("token"));
                asking.fields = fields;
                if known {
                    return change::changed(asking).await;
                }
                let why = "The pages were started anew since this form was made, or it is none of theirs. Nothing was written.";
                let page = Page::sorry(StatusCode::FORBIDDEN, "Turned away", why);
                change::give_back(asking, RequestAnswer::Page(page), SentAgain::Yes)
            }
        },
        _ => {
            let why =
                if get { "This address can only be looked at." } else { "This address only takes what a form sends." };
            let mut answer = finish(
                RequestAnswer::Page(Page::sorry(StatusCode::METHOD_NOT_ALLOWED, "That cannot be done here", why)),
                asking,
            )
            .await;
            let allow = match (get, post) {
                (true, true) => "GET, HEAD, POST",
                (true, false) => "GET, HEAD",
                _ => "POST",
            };
            answer.headers_mut().insert(header::ALLOW, HeaderValue::from_static(allow));
            RequestAnswer::Raw(answer)
        }
    }
}

/// Pages that only show.
async fn shown(asking: &RequestContext) -> RequestAnswer {
    let fields = asking.fields.clone();
    match asking.path.as_str() {
        "/explain" => return RequestAnswer::Page(findings::explain(fields.get("name"))),
        "/new" => return with_shell(asking, move |around| fresh::questions(around, &fields, None)),
        "/plans" => return plans(asking),
        "/events" => {
            let Some((open, _)) = &asking.open else { return plans(asking) };
            let stream = events::stream(open.newest.subscribe(), open.book.subscribe(), &asking.site.streams);
            let many = || Page::sorry(StatusCode::TOO_MANY_REQUESTS, "Too many pages are open", "Close some of them.");
            return stream.map_or_else(|| RequestAnswer::Page(many()), RequestAnswer::Raw);
        }
        _ => {}
    }
    if asking.open.is_none() {
        return plans(asking);
    }
    if asking.path == "/changed" {
        return acting::last(asking).await;
    }
    if papers::PATHS.contains(&asking.path.as_str()) {
        return papers::papers(asking).await;
    }
    if ["/bench", "/hunt"].contains(&asking.path.as_str()) {
        return bench::shown(asking).await;
    }
    if asking.path == "/record.pdf" {
        return bench::record(asking).await;
    }
    if asking.path == "/" {
        return drawing::page(asking).await;
    }
    let path = asking.path.clone();
    let maker = asking.shell_maker();
    let needs = if ["/place", "/thrown"].contains(&path.as_str()) { Needs::Drawing } else { Needs::Review };
    asking
        .ask(needs, move |opened| match path.as_str() {
            "/place" => match search::elsewhere(opened, &fields) {
                Some(to) => RequestAnswer::To(to),
                None => RequestAnswer::Page(maker(&|around| place::place(opened, around, &fields))),
            },
            "/thrown" => match thrown::changes(opened, &fields) {
                Some(changes) => {
                    let kind = [(header::CONTENT_TYPE, "text/plain; charset=utf-8")];
                    RequestAnswer::Raw((kind, changes).into_response())
                }
                None => RequestAnswer::Page(Page::sorry(
                    StatusCode::BAD_REQUEST,
                    "That is no throw",
                    "The page of the drawing shows any setting.",
                )),
            },
            "/findings" => RequestAnswer::Page(findings::list(opened, fields.get("done"))),
            "/finding" => {
                let [name, number] = ["name", "n"].map(|f| fields.get(f).unwrap_or_default());
                RequestAnswer::Page(maker(&|around| findings::one(opened, around, name, number)))
            }
            "/routes" => RequestAnswer::Page(ways::ways(opened)),
            "/profile" => RequestAnswer::Page(ways::profile(opened, &fields)),
            "/profile.svg" => match ways::profile_of(opened, &fields) {
                Ok(profile) => RequestAnswer::Raw(picture(report::profile_plot::to_svg(&profile))),
                Err(why) => RequestAnswer::Page(Page::sorry(
                    StatusCode::NOT_FOUND,
                    "There is no such plot",
                    &::text::escape_control_chars(&why.to_string()),
                )),
            },
            "/change" => RequestAnswer::Page(maker(&|around| acts::changes(opened, around, fields.get("from")))),
            "/lines" => RequestAnswer::Page(text::lines(opened)),
            _ => RequestAnswer::Page(maker(&|around| text::plan(opened, around, fields.get("done") == Some("saved")))),
        })
        .await
}

/// What every answer carries.
fn with_security_headers(mut response: Response, peer: SocketAddr) -> Response {
    let headers = response.headers_mut();
    if !headers.contains_key(header::CONTENT_SECURITY_POLICY) {
        headers.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    }
    for (name, value) in [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (header::X_FRAME_OPTIONS, "DENY"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    let own = HeaderValue::from_static("same-origin");
    headers.insert("cross-origin-resource-policy", own.clone());
    // Of a page from another machine without TLS browsers do not heed this, and say so on every page (HTML, "potentially
    // trustworthy origin").
    if peer.ip().to_canonical().is_loopback() {
        headers.insert("cross-origin-opener-policy", own);
    }
    response
}
