//! What stands around every page.

use super::Page;
use crate::open_plan::PlanFace;
use crate::store::{Barrier, StoredPlan};
use maud::{DOCTYPE, Markup, html};
use text::escape_control_chars;

/// What a frame knows beside its page.
pub(crate) struct PageShell<'a> {
    /// The layout's name; empty where no plan is open.
    pub name: &'a str,
    /// Which plan; none where none is open.
    pub face: Option<&'a PlanFace>,
    /// What the plan file holds; none where no plan is open.
    pub content: Option<&'a StoredPlan>,
    /// Whether plans can be opened and begun here.
    pub many: bool,
    /// Whether the plan can be looked at only.
    pub only_looked_at: bool,
    /// What keeps it from being changed now.
    pub barrier: Option<Barrier>,
    /// The secret that forms bring back.
    pub token: &'a str,
}

impl PageShell<'_> {
    /// What every form that changes something carries.
    pub fn carried(&self) -> Markup {
        html! {
            input type="hidden" name="token" value=(self.token);
            @if let Some(face) = self.face { input type="hidden" name="plan" value=(face.id); }
            @if let Some(content) = self.content {
                input type="hidden" name="based-on" value=(content.version);
            }
        }
    }

    /// A button that does one thing.
    pub fn button(&self, action: &str, words: &str, more: &[(&str, &str)]) -> Markup {
        html! {
            form.inline method="post" action=(action) {
                (self.carried())
                @for (name, value) in more {
                    input type="hidden" name=(name) value=(value);
                }
                button type="submit" { (words) }
            }
        }
    }

    /// Buttons to undo the last change, and to make it again, where there is one.
    pub fn steps(&self) -> Markup {
        let [undo, redo] = self.content.map_or([false, false], |c| c.can);
        html! {
            @if undo || redo {
                // A form cannot stand in a paragraph.
                div.steps {
                    @if undo { (self.button("/undo", "Undo the last change", &[])) }
                    @if redo { (self.button("/redo", "Make it again", &[])) }
                }
            }
        }
    }
}

/// The pages of a plan, and those of all plans.
const PAGES: [(&str, &str); 8] = [
    ("/", "Drawing"),
    ("/bench", "Bench"),
    ("/hunt", "Hunt"),
    ("/findings", "Findings"),
    ("/routes", "Routes"),
    ("/papers", "Papers"),
    ("/change", "Change"),
    ("/plan", "Plan"),
];

/// The whole page.
pub(crate) fn whole(page: &Page, around: &PageShell<'_>, path: &str) -> Markup {
    let name = escape_control_chars(around.name);
    let title = if name.is_empty() { page.title.clone() } else { format!("{}: {name}", page.title) };
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                link rel="stylesheet" href="/style.css";
                link rel="icon" href="/icon.svg" type="image/svg+xml";
                script src="/site.js" defer {}
                script src="/drawing.js" defer {}
                script src="/kept.js" defer {}
                script src="/bench.js" defer {}
            }
            body data-version=[around.content.map(|c| &c.version)] data-plan=[around.face.map(|f| &f.id)]
                data-base=[around.face.map(|f| &f.base)] {
                a.skip href="#main" { "Skip to the page" }
                (header(around, &name, path))
                p #notice role="status" aria-live="polite" {}
                @match around.barrier {
                    Some(Barrier::Gone) => p.warning { "The plan file is gone. This is what it last held. "
                        "Put it back, or save its text into a new file on the page of the plan." },
                    Some(Barrier::ReadOnly) => p.warning { "The plan file is read-only: it can be looked at, and not changed." },
                    None => {},
                }
                main id="main" {
                    (around.steps())
                    (page.body)
                }
                footer {
                    p.quiet { "Low-voltage wiring only. Leave mains work to a licensed electrician." }
                }
            }
        }
    }
}

fn header(around: &PageShell<'_>, name: &str, path: &str) -> Markup {
    let pages = PAGES.iter().filter(|_| around.content.is_some()).copied();
    let all = [("/new", "New yard"), ("/plans", "Plans")];
    let links = pages.chain(all.into_iter().filter(|_| around.many));
    html! {
        header {
            p.layout-name {
                @if name.is_empty() { "Gapwright" } @else { (name) }
                @if around.only_looked_at { span.quiet { " (a demo plan)" } }
                @else if let Some(face) = around.face { " " span.quiet.file { (escape_control_chars(&face.file)) } }
            }
            @if around.content.is_some() {
                form.search role="search" method="get" action="/place" {
                    label.unseen for="search" { "Search: a name, a number or a place" }
                    input #search name="at" type="search" placeholder="Search" required autocomplete="off";
                    button.second type="submit" { "Go" }
                }
            }
            nav aria-label="Pages" {
                ul {
                    @for (to, words) in links {
                        li {
                            @if to == path {
                                a href=(to) aria-current="page" { (words) }
                            } @else {
                                a href=(to) { (words) }
                            }
                        }
                    }
                }
            }
        }
    }
}
