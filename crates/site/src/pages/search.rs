//! What somebody types to find something: a name, a number, a place, tolerant of case, blanks and hyphens.

use super::Page;
use crate::address::{Fields, Shown, address};
use crate::opened::{Drawn, VersionView};
use axum::http::StatusCode;
use maud::html;
use schedule::Number;
use text::escape_control_chars;

/// Things that are offered where nothing is called as was typed.
const MOST_OFFERED: usize = 20;

/// The address of the page that is meant, where what was typed is not its very name; none where it is, or nothing fits.
pub(crate) fn elsewhere(opened: &VersionView<'_>, fields: &Fields) -> Option<String> {
    let drawn = opened.drawn.as_ref()?;
    let typed = fields.get("at")?;
    let meant = meant(drawn, typed)?;
    if let Meant::Test(number) = meant {
        return Some(address("/bench", &[("test", &number.to_string())]));
    }
    let Meant::Place(place) = meant else { return None };
    // What pages link to is written as it is called, and stays.
    if place == typed {
        return None;
    }
    let all: Vec<(&str, &str)> =
        fields.all().map(|(name, value)| if name == "at" { (name, place.as_str()) } else { (name, value) }).collect();
    Some(address("/place", &all))
}

#[derive(Debug, PartialEq, Eq)]
enum Meant {
    Place(String),
    Test(usize),
}

fn meant(drawn: &Drawn<'_>, typed: &str) -> Option<Meant> {
    let typed = typed.trim();
    let names = all_names(drawn);
    if names.contains(&typed) {
        return Some(Meant::Place(typed.to_owned()));
    }
    if let Some((head, place)) = typed.split_once('@') {
        let (name, rest) = with_rest(&names, head.trim())?;
        return Some(Meant::Place(format!("{name}{} @ {}", ports(rest), with_points(place.trim()))));
    }
    if let Some((name, rest)) = with_rest(&names, typed) {
        return Some(Meant::Place(format!("{name}{}", ports(rest))));
    }
    if let Some(number) = test_number(typed) {
        return Some(Meant::Test(number));
    }
    number_of(typed).map(|number| Meant::Place(number.to_string()))
}

/// All names of the plan and of its trackwork.
fn all_names<'d>(drawn: &'d Drawn<'_>) -> Vec<&'d str> {
    let plan = plan::names::each_name(drawn.job.facts.plan).map(|(_, _, name)| name.value.as_str());
    let mut all: Vec<&str> = plan.chain(drawn.above.works.iter().map(|work| work.name.as_str())).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The name that is meant by what was typed, as the plan writes it, and what stands behind it (`.left`, `.frog`).
fn with_rest<'n, 't>(names: &[&'n str], typed: &'t str) -> Option<(&'n str, &'t str)> {
    let whole = std::iter::once(typed.len());
    let cuts = whole.chain(typed.rmatch_indices('.').map(|(at, _)| at));
    cuts.into_iter().find_map(|cut| named(names, &typed[..cut]).map(|name| (name, &typed[cut..])))
}

/// What stands behind a name as plans write it: `.RIGHT` is `.right`, and the poles of a bus are `.A` and `.B`.
fn ports(rest: &str) -> String {
    let one = |part: &str| if part.len() == 1 { part.to_uppercase() } else { part.to_lowercase() };
    rest.split('.').map(|part| one(part.trim())).collect::<Vec<_>>().join(".")
}

/// The one name that is the same without case, blanks and hyphens.
fn named<'n>(names: &[&'n str], typed: &str) -> Option<&'n str> {
    if let Some(same) = names.iter().find(|name| **name == typed) {
        return Some(same);
    }
    let plain = plain(typed);
    let mut alike = names.iter().filter(|name| !plain.is_empty() && self::plain(name) == plain);
    // Two that differ in nothing else are both offered.
    alike.next().filter(|_| alike.next().is_none()).copied()
}

/// Words without case, blanks, hyphens and underscores.
fn plain(words: &str) -> String {
    words
        .chars()
        .filter(|c| !c.is_whitespace() && !['-', '_', '\u{2010}', '\u{2011}'].contains(c))
        .flat_map(char::to_lowercase)
        .collect()
}

/// The number of a wire, gap or joint: `f 12`, `F12`, `f-12`.
fn number_of(typed: &str) -> Option<Number> {
    let plain = plain(typed).to_uppercase();
    let digits = plain.find(|c: char| c.is_ascii_digit())?;
    let (letters, digits) = plain.split_at(digits);
    format!("{letters}-{digits}").parse().ok()
}

/// The number of a test: `test 12`, `12`.
fn test_number(typed: &str) -> Option<usize> {
    let plain = plain(typed);
    plain.strip_prefix("test").unwrap_or(&plain).parse().ok().filter(|number| *number > 0)
}

/// `1,2 m` as `1.2 m`: half the world writes it so.
fn with_points(place: &str) -> String {
    let all: Vec<char> = place.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| all.get(at)).is_some_and(char::is_ascii_digit);
    let point = |(at, c): (usize, &char)| {
        if *c == ',' && digit(at.checked_sub(1)) && digit(Some(at + 1)) { '.' } else { *c }
    };
    all.iter().enumerate().map(point).collect()
}

/// The page where nothing is called as was typed; `why` in words. What has the typed words in its name is offered.
pub(crate) fn none(drawn: &Drawn<'_>, shown: &Shown, typed: &str, why: &str) -> Page {
    let wanted = plain(typed.split(['@', '.']).next().unwrap_or_default());
    let names = all_names(drawn);
    let like: Vec<&str> =
        names.into_iter().filter(|name| !wanted.is_empty() && plain(name).contains(&wanted)).collect();
    let body = html! {
        h1 { "There is no such place" }
        p { (super::words(why)) }
        @if !like.is_empty() {
            h2 { "Perhaps you mean" }
            ul.places {
                @for name in like.iter().take(MOST_OFFERED) {
                    li { a href=(shown.address(drawn.circuit(), "/place", &[("at", name)])) { (escape_control_chars(name)) } }
                }
            }
            @if like.len() > MOST_OFFERED { p.quiet { "And " (like.len() - MOST_OFFERED) " more: type more of the name." } }
        }
        p { "Search takes names of the plan, numbers of the papers such as F-12 or test 12, and places such as "
            code { "dock 1.right @ 1 m" } "." }
        p { a href="/" { "Back to the drawing" } }
    };
    Page::new("There is no such place", body).status(StatusCode::NOT_FOUND)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{named, number_of, test_number, with_points, with_rest};

    #[test]
    fn names_are_found_as_people_type_them() {
        let names = ["dock 1", "dock 10", "Yard-Lead", "T1", "a.b", "X 1", "x1"];
        for (typed, found) in [
            ("dock 1", Some("dock 1")),
            ("DOCK1", Some("dock 1")),
            ("  dock   10", Some("dock 10")),
            ("yard lead", Some("Yard-Lead")),
            ("t1", Some("T1")),
            ("dock", None),
            ("X1", None),
            ("x1", Some("x1")),
            ("", None),
        ] {
            assert_eq!(named(&names, typed), found, "{typed:?}");
        }
        assert_eq!(with_rest(&names, "Dock 1.right"), Some(("dock 1", ".right")));
        assert_eq!(with_rest(&names, "A.B.left"), Some(("a.b", ".left")));
    }

    #[test]
    fn numbers_are_found_as_people_type_them() {
        for typed in ["F-12", "f12", "f 12", " F - 12 "] {
            assert_eq!(number_of(typed).unwrap().to_string(), "F-12", "{typed:?}");
        }
        assert_eq!(number_of("Q7").map(|n| n.to_string()), None);
        assert_eq!([test_number("Test 12"), test_number("12"), test_number("T12")], [Some(12), Some(12), None]);
        assert_eq!(with_points("1,25 m"), "1.25 m");
    }
}
