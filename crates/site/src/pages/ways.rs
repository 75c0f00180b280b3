//! The ways a train can be lined, what it gets on each, and which storage tracks are live then.

use super::Page;
use crate::address::{Fields, address};
use crate::opened::VersionView;
use analysis::WayError;
use analysis::way_profile::{WantedProfile, WayProfile};
use analysis::ways_table::{StorageTable, WayRow, WaysTable};
use axum::http::StatusCode;
use handbook::quantity::{Amps, Units, Volts, show_amps, show_volts};
use maud::{Markup, html};
use proof::StorageStanding;
use text::escape_control_chars;

/// Ways that are listed.
const MOST_WAYS: usize = 500;

pub(crate) fn ways(opened: &VersionView<'_>) -> Page {
    let Some(facts) = opened.analysis() else {
        let why = "the plan has errors; its routes would not be true";
        return Page::sorry(StatusCode::OK, "The routes cannot be listed now", why);
    };
    let ways = facts.all_ways();
    let listed = &ways.ways[..ways.ways.len().min(MOST_WAYS)];
    let body = html! {
        h1 { "Routes" }
        p {
            (super::count(ways.found, "route", "routes"))
            @if !ways.complete { "; there are too many to list, but every track is on one of these" }
            @if let Some((amps, from)) = &ways.train {
                "; volts are the least with " (show_amps(Amps(*amps))) " (" (super::words(from)) ")"
            }
        }
        div.scrolls tabindex="0" role="region" aria-label="Routes" {
            table.stack {
                thead { tr {
                    th scope="col" { "Route" } th scope="col" { "Set" } th scope="col" { "Length" }
                    th scope="col" { "Volts" } th scope="col" { "Aged" } th scope="col" { "A short, aged" } th scope="col" { "Plot" }
                } }
                tbody { @for (index, way) in listed.iter().enumerate() { (row(ways.units, index + 1, way)) } }
            }
        }
        @if let Some(storage) = &ways.storage { (stored(&ways, storage)) }
    };
    Page::new("Routes", body)
}

fn row(units: Units, number: usize, way: &WayRow) -> Markup {
    let number = number.to_string();
    let set: Vec<String> = way.set.iter().map(|(c, p)| format!("{c} {p}")).collect();
    html! {
        tr {
            th scope="row" { a href=(address("/", &pairs(&way.set))) { (number) ". " (escape_control_chars(&way.name)) } }
            td data-label="Set" { @if set.is_empty() { "nothing" } @else { (escape_control_chars(&set.join(", "))) } }
            td.figure data-label="Length" { (units.metres(way.length)) }
            @match &way.numbers {
                Some(line) => {
                    td.figure data-label="Volts" { (show_volts(Volts(line.volts.typical))) }
                    td.figure data-label="Aged" { (show_volts(Volts(line.volts.low))) }
                    td.figure data-label="A short, aged" { (show_amps(Amps(line.fault_amps.low))) }
                },
                None => td colspan="3" data-label="Volts" { "not powered" },
            }
            td { a href=(address("/profile", &[("way", &number)])) aria-label={ "Plot of route " (number) } { "plot" } }
        }
    }
}

/// The positions of a way, for an address. Its number is not for that: tables and pickers count ways differently.
fn pairs(set: &[(String, String)]) -> Vec<(&str, &str)> {
    set.iter().map(|(control, position)| (control.as_str(), position.as_str())).collect()
}

fn stored(ways: &WaysTable, storage: &StorageTable) -> Markup {
    html! {
        h2 { "Storage tracks: which are live on which route" }
        p { "They are meant to be live: " b { (storage.policy) } "." }
        @if storage.live.iter().all(Vec::is_empty) {
            p { "Nothing could be proved of them." }
        } @else {
            div.scrolls tabindex="0" role="region" aria-label="Storage tracks" {
                table.truth.stack {
                    thead { tr { th scope="col" { "Route" } @for track in &storage.tracks { th scope="col" { (escape_control_chars(track)) } } } }
                    tbody {
                        @for (way, live) in ways.ways.iter().zip(&storage.live).take(MOST_WAYS) {
                            tr {
                                th scope="row" { (escape_control_chars(&way.name)) }
                                @for (standing, track) in live.iter().zip(&storage.tracks) {
                                    @let track = escape_control_chars(track);
                                    @match standing {
                                        StorageStanding::Always => td.live data-label=(track) { "live" },
                                        StorageStanding::Never => td.dead data-label=(track) { "dead" },
                                        StorageStanding::Depends => td data-label=(track) { "depends" },
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Why there is no profile.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub(crate) enum NoProfile {
    /// The plan is not understood.
    #[error("the plan has errors; a profile of it would not be true")]
    Unread,
    /// There is no such way, or nothing can be said along it.
    #[error(transparent)]
    Way(#[from] WayError),
}

/// The profile of the way that an address names.
pub(crate) fn profile_of(opened: &VersionView<'_>, fields: &Fields) -> Result<WayProfile, NoProfile> {
    let wanted = WantedProfile { way: fields.get("way").map(str::to_owned), ..WantedProfile::default() };
    Ok(opened.analysis().ok_or(NoProfile::Unread)?.way_profile(&wanted)?)
}

pub(crate) fn profile(opened: &VersionView<'_>, fields: &Fields) -> Page {
    let profile = match profile_of(opened, fields) {
        Ok(profile) => profile,
        Err(why) => {
            return Page::sorry(
                StatusCode::NOT_FOUND,
                "There is no such plot",
                &escape_control_chars(&why.to_string()),
            );
        }
    };
    let way: Vec<(&str, &str)> = fields.get("way").map(|way| ("way", way)).into_iter().collect();
    let body = html! {
        h1 { (escape_control_chars(&profile.name)) }
        div.scrolls.plot tabindex="0" role="region" aria-label="The plot; it scrolls sideways" {
            img src=(address("/profile.svg", &way)) width="1123" height="794"
                alt={ "Volts and current of a short along " (escape_control_chars(&profile.name)) "; the same in words below" };
        }
        details {
            summary { "The same in words" }
            pre tabindex="0" { (report::profile_print::render(&profile, 100)) }
        }
        p { a href=(address("/", &pairs(&profile.set))) { "Set this way on the drawing" } }
        p { a href="/routes" { "All routes" } }
    };
    Page::new(format!("Plot of {}", escape_control_chars(&profile.name)), body)
}
