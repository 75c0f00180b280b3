//! What stands around every page.

use super::Page;
use crate::store::StoredPlan;
use maud::{DOCTYPE, Markup, html};
use text::escape_control_chars;

/// What a frame knows beside its page.
pub(crate) struct PageShell<'a> {
    /// The layout's name; empty where no plan is open.
    pub name: &'a str,
    /// What the plan file holds; none where no plan is open.
    pub content: Option<&'a StoredPlan>,
    /// Whether plans can be opened and begun here.
    pub many: bool,
    /// Whether the plan can be looked at only.
    pub only_looked_at: bool,
    /// The secret that forms bring back.
    pub token: &'a str,
}

impl PageShell<'_> {
    /// What every form that changes something carries.
    pub fn carried(&self) -> Markup {
        html! {
            input type="hidden" name="token" value=(self.token);
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

/// The whole page.
pub(crate) fn whole(page: &Page, around: &PageShell<'_>, path: &str) -> Markup {
    let name = escape_control_chars(around.name);
    let open = around.content.is_some();
    let title = if name.is_empty() { page.title.clone() } else { format!("{}: {name}", page.title) };
    let links: [(&str, &str, bool); 8] = [
        ("/", "Drawing", open),
        ("/findings", "Findings", open),
        ("/routes", "Routes", open),
        ("/papers", "Papers", open),
        ("/change", "Change", open),
        ("/plan", "Plan", open),
        ("/new", "New yard", around.many),
        ("/plans", "Plans", around.many),
    ];
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
            }
            body data-version=[around.content.map(|c| &c.version)] {
                a.skip href="#main" { "Skip to the page" }
                header {
                    p.layout-name {
                        @if name.is_empty() { "Gapwright" } @else { (name) }
                        @if around.only_looked_at { span.quiet { " (a demo plan)" } }
                    }
                    nav aria-label="Pages" {
                        ul {
                            @for (to, words, there) in links {
                                @if there {
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
                p #notice role="status" aria-live="polite" {}
                main id="main" { (page.body) }
                footer {
                    p.quiet { "Low-voltage wiring only. Leave mains work to a licensed electrician." }
                }
            }
        }
    }
}
