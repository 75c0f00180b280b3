//! The pages, each made on the server and whole without script.

pub(crate) mod acts;
pub(crate) mod bench;
pub(crate) mod changed;
pub(crate) mod difference;
pub(crate) mod findings;
pub(crate) mod fresh;
pub(crate) mod given_back;
pub(crate) mod home;
pub(crate) mod hunt;
pub(crate) mod papers;
pub(crate) mod place;
pub(crate) mod search;
pub(crate) mod shell;
pub(crate) mod start;
pub(crate) mod text;
pub(crate) mod thrown;
pub(crate) mod ways;
pub(crate) mod wired;

use axum::http::StatusCode;
use maud::Markup;

/// A page before its frame is put around it.
pub(crate) struct Page {
    pub status: StatusCode,
    pub title: String,
    pub body: Markup,
    /// Whether what a refused form held is on the page already.
    pub gives_back: bool,
}

impl Page {
    pub fn new(title: impl Into<String>, body: Markup) -> Page {
        Page { status: StatusCode::OK, title: title.into(), body, gives_back: false }
    }

    pub fn status(mut self, status: StatusCode) -> Page {
        self.status = status;
        self
    }

    /// A page on which whatever was typed stands again.
    pub fn giving_back(mut self) -> Page {
        self.gives_back = true;
        self
    }

    /// The same as [`Page::sorry`], with quoted words shown as what they are.
    pub fn in_words(status: StatusCode, title: &str, why: &str) -> Page {
        let body = maud::html! {
            h1 { (title) }
            p.warning role="alert" { (words(why)) }
        };
        Page::new(title, body).status(status)
    }

    /// A page that says in words why something was not done, and what to do.
    pub fn sorry(status: StatusCode, title: &str, why: &str) -> Page {
        let body = maud::html! {
            h1 { (title) }
            p { (why) }
            p { a href="/" { "Back to the drawing" } }
        };
        Page::new(title, body).status(status)
    }
}

/// How many, with the word for one or several.
pub(crate) fn count(of: usize, one: &str, many: &str) -> String {
    format!("{of} {}", if of == 1 { one } else { many })
}

/// Words of a finding; what they quote from the plan is shown as the plan has it.
pub(crate) fn words(text: &str) -> Markup {
    let plain = ::text::escape_control_chars(text);
    let parts: Vec<&str> = plain.split('`').collect();
    // An odd quote is a mark like any other.
    if parts.len().is_multiple_of(2) {
        return maud::html! { (plain) };
    }
    maud::html! {
        @for (index, part) in parts.iter().enumerate() {
            @if index % 2 == 1 { code { (part) } } @else { (part) }
        }
    }
}
