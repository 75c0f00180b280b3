//! What was typed into a form that was refused, given back with the reason.

use super::shell::PageShell;
use crate::address::Fields;
use crate::store::Barrier;
use maud::{Markup, html};
use text::escape_control_chars;

/// Whether the form can be sent again as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SentAgain {
    Yes,
    /// It was made for something else.
    No,
}

/// Fields that pages fill themselves, anew each time.
const CARRIED: [&str; 3] = ["token", "plan", "based-on"];
/// Fields that say what a form is about, and that nobody types.
const ABOUT: [&str; 7] = ["act", "of", "feeder", "n", "sure", "id", "anew"];
/// Fields of entries of the logbook that somebody types; all others say what the entry is about.
const TYPED: [&str; 8] = ["place", "typed", "who", "air", "note", "with", "range", "zero"];
/// Forms into which nothing is typed.
const BUTTONS: [&str; 3] = ["/mend", "/undo", "/redo"];

/// The form again with all that was in it; nothing where nothing was typed.
pub(crate) fn given_back(around: &PageShell<'_>, path: &str, fields: &Fields, again: SentAgain) -> Markup {
    let is_typed = |name: &str| if path == "/log" { TYPED.contains(&name) } else { !ABOUT.contains(&name) };
    let sent = || fields.all().filter(|(name, _)| !CARRIED.contains(name));
    let typed = || sent().filter(|(name, _)| is_typed(name));
    if BUTTONS.contains(&path) || typed().next().is_none() {
        return html! {};
    }
    let based_on = fields.get("based-on").unwrap_or_default();
    let is_gone = around.barrier == Some(Barrier::Gone);
    html! {
        section.given-back aria-labelledby="typed" {
            h2 id="typed" { "What you typed" }
            p { "It is not saved yet. Nothing of it is lost as long as this page is open." }
            form method="post" action=(path) {
                input type="hidden" name="token" value=(around.token);
                @if let Some(face) = around.face { input type="hidden" name="plan" value=(face.id); }
                // What it was based on stays, so that a change of somebody else's meanwhile is told.
                input type="hidden" name="based-on" value=(based_on);
                @for (name, value) in sent().filter(|(name, _)| !is_typed(name) && !["anew", "part"].contains(name)) {
                    input type="hidden" name=(escape_control_chars(name)) value=(value);
                }
                @for (index, (name, value)) in typed().enumerate() {
                    @let id = format!("typed-{index}");
                    div.question {
                        label for=(id) { (says(name)) }
                        @if name == "text" {
                            textarea id=(id) name="text" rows="20" spellcheck="false" autocomplete="off" { "\n" (value) }
                        } @else {
                            input id=(id) name=(escape_control_chars(name)) value=(value) autocomplete="off";
                        }
                    }
                }
                p {
                    @if again == SentAgain::Yes {
                        button type="submit" { "Send it again" } " "
                        @if is_gone && path == "/save" {
                            button.second type="submit" name="anew" value="yes" { "Write it into a new file of that name" } " "
                        }
                    }
                }
                @if around.many && path == "/save" {
                    p {
                        label for="typed-file" { "Or keep it in a new file named" } " "
                        input id="typed-file" name="file" value="kept.toml" autocomplete="off";
                        " " button.second type="submit" formaction="/keep" { "Keep it" }
                    }
                }
            }
        }
    }
}

/// The name of a field as a label: `new-length` is `New length`.
fn says(name: &str) -> String {
    if name == "typed" {
        return "What was read or seen".to_owned();
    }
    let plain = escape_control_chars(name).replace('-', " ");
    let mut letters = plain.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}
