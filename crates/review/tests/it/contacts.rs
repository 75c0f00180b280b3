//! How many contacts a motor or relay has, and what they can carry.

use finding::{Finding, Harm, Severity};

const DOCK: &str = include_str!("../../../../plans/thistle-dock/plan.toml");

fn found(text: &str, name: &str) -> Vec<Finding> {
    let review = review::review(text);
    let unread: Vec<&Finding> = review.findings.iter().filter(|f| f.harm == Harm::Unclear).collect();
    assert!(unread.is_empty(), "{unread:?}");
    review.findings.into_iter().filter(|f| f.name == name).collect()
}

/// The dock with lines added to its motor, which has two contacts behind a breaker that trips at 4.5 A.
fn dock(lines: &str) -> String {
    let text = DOCK.replace("driver  = \"D1\"\n", &format!("driver  = \"D1\"\n{lines}\n"));
    assert_ne!(text, DOCK);
    text
}

#[test]
fn both_pages_show_their_finding() {
    for name in ["too-few-contacts", "contact-overloaded"] {
        let rule = review::rules::RULES.iter().find(|r| r.page.name == name).expect("a rule of this name");
        let names: Vec<&str> = review::review(rule.page.example).findings.iter().map(|f| f.name).collect();
        assert_eq!(names, [name]);
    }
}

#[test]
fn contacts_are_counted_only_where_the_plan_says_how_many() {
    assert!(found(DOCK, "too-few-contacts").is_empty());
    assert!(found(&dock("contacts = 2"), "too-few-contacts").is_empty());
    let told = found(&dock("contacts = 1"), "too-few-contacts");
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].message, "motor `M1` has 1 contact, and 2 are wired");
    assert_eq!((told[0].severity, told[0].harm), (Severity::Error, Harm::CanStop));
    let text = dock("contacts = 1");
    let at = told[0].at.as_ref().expect("a place").place.span.clone();
    assert!(text[at].contains("dock 1.right"), "the second contact is the one too many");
    assert!(found(&dock("contacts = 0"), "too-few-contacts")[0].message.contains("no contact, and 2 are wired"));
}

#[test]
fn relays_are_counted_too() {
    let relay = |keys: &str| {
        format!(
            "{DOCK}\n[[relay]]\nname = \"R1\"\nfollows = \"M1\"\n{keys}\n\
             contact = [{{ common = \"main bus.B\", through = \"dock 2.right @ 1 m\" }}]\n"
        )
    };
    assert!(found(&relay("contacts = 1"), "too-few-contacts").is_empty());
    assert_eq!(
        found(&relay("contacts = 0"), "too-few-contacts")[0].message,
        "relay `R1` has no contact, and 1 is wired"
    );
    assert_eq!(found(&relay("contact_rating = \"2 A\""), "contact-overloaded").len(), 1);
}

#[test]
fn a_rating_is_held_against_the_trip_current() {
    assert!(found(DOCK, "contact-overloaded").is_empty());
    assert!(found(&dock("contact_rating = \"4.5 A\""), "contact-overloaded").is_empty());
    let told = found(&dock("contact_rating = \"4.4 A\""), "contact-overloaded");
    assert_eq!(told.len(), 1);
    assert_eq!(
        told[0].message,
        "the contacts of motor `M1` may carry 4.4 A; `booster` lets 4.5 A through before it trips"
    );
    assert_eq!((told[0].severity, told[0].harm), (Severity::Warning, Harm::CanBurn));
    assert!(told[0].facts.iter().any(|f| f.contains("M1.1 and M1.2")), "{:?}", told[0].facts);
}

#[test]
fn the_nearest_breaker_counts() {
    // Behind the booster a sub-breaker that trips at 2 A feeds the bus.
    let text = dock("contact_rating = \"3 A\"")
        .replace("supply = \"booster\"\nwire", "supply = \"dock breaker\"\nwire")
        + "\n[[supply]]\nname = \"dock breaker\"\nbehind = \"booster\"\ntrips = { at = \"2 A\" }\n";
    assert!(text.contains("supply = \"dock breaker\""));
    assert!(found(&text, "contact-overloaded").is_empty());
    let weak = text.replace("contact_rating = \"3 A\"", "contact_rating = \"1 A\"");
    assert!(found(&weak, "contact-overloaded")[0].message.contains("`dock breaker` lets 2 A through"));
    // Where the plan does not say what trips it, the booster must.
    let silent = weak.replace("\ntrips = { at = \"2 A\" }", "");
    assert!(found(&silent, "contact-overloaded")[0].message.contains("`booster` lets 4.5 A through"));
}

#[test]
fn a_contact_that_feeds_no_rail_is_left_alone() {
    // A relay whose contact lights a lamp from the bus.
    let text = format!(
        "{DOCK}\n[[relay]]\nname = \"R1\"\nfollows = \"M1\"\ncontact_rating = \"0.5 A\"\n\
         contact = [{{ common = \"main bus.B\" }}]\n"
    );
    assert!(found(&text, "contact-overloaded").is_empty());
}

#[test]
fn numbers_out_of_reason_are_told() {
    for keys in ["contacts = 5000", "contact_rating = \"0 A\"", "contact_rating = \"500 A\""] {
        let review = review::review(&dock(keys));
        assert!(review.findings.iter().any(|f| f.name == "out-of-range"), "{keys}");
    }
}
