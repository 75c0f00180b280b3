//! Requests of no sense at all: never an error of the server, never a changed file.

use super::client::{Served, demo, encoded, serve};
use proptest::prelude::*;

fn path() -> impl Strategy<Value = String> {
    let known = prop::sample::select(vec![
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
        "/save",
        "/check",
        "/mend",
        "/undo",
        "/redo",
        "/new",
        "/log",
        "/bench",
        "/hunt",
        "/thrown",
        "/keep",
        "/pair",
        "/style.css",
        "/act",
        "/change",
        "/changed",
        "/papers",
        "/paper",
        "/table.csv",
        "/drawing.svg",
    ]);
    let odd = "[a-z./%\\\\~]{0,24}".prop_map(|words| format!("/{words}"));
    let name = prop_oneof![
        prop::sample::select(vec![
            "at", "way", "layer", "view", "name", "n", "T1", "M1", "done", "", "T1+T1", "of", "marks", "page", "units",
            "large"
        ])
        .prop_map(str::to_owned),
        "\\PC{0,6}",
    ];
    let value = prop_oneof![
        prop::sample::select(vec![
            "T1",
            "dock 1",
            "dock 1 @ 1 m",
            "F-1",
            "G-1",
            "diverging",
            "through",
            "phase",
            "below",
            "0",
            "1",
            "-1",
            "99999999999999999999",
            "dock 1 @ 1e308 m",
            "dock 1.left @ -0 m",
            "T1.frog",
            "M1.1.common",
            "W1.left"
        ])
        .prop_map(str::to_owned),
        "\\PC{0,20}",
    ];
    let query = prop::collection::vec((name, value), 0..4);
    (prop_oneof![3 => known.prop_map(str::to_owned), 1 => odd], query).prop_map(|(path, query)| {
        let query: Vec<(&str, &str)> = query.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        if query.is_empty() { path } else { format!("{path}?{}", encoded(&query)) }
    })
}

fn unharmed(served: &Served, text: &str, told: Option<super::client::Told>, case: &str) -> Result<(), TestCaseError> {
    if let Some(told) = told {
        prop_assert!(told.status < 500, "{} gave {}", case, told.status);
        prop_assert!(!told.body.contains("root:"), "{}", case);
    }
    prop_assert_eq!(served.on_disk(), text);
    Ok(())
}

#[test]
fn nonsense_changes_nothing() {
    let text = demo("thistle-dock");
    let served = serve(text);
    let method = prop::sample::select(vec!["GET", "GET", "GET", "HEAD", "POST", "PUT", "DELETE", "PATCH", "BREW"]);
    let line = prop_oneof![
        Just("Origin: null".to_owned()),
        "[A-Za-z-]{1,12}".prop_flat_map(|name| "[ -~]{0,30}".prop_map(move |value| format!("X-{name}: {value}"))),
        Just("Sec-Fetch-Site: same-origin".to_owned()),
        Just("Accept-Encoding: gzip".to_owned()),
    ];
    let strategy = (method, path(), prop::collection::vec(line, 0..4), "\\PC{0,60}");
    proptest!(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() }, |((method, path, lines, body) in strategy)| {
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let told = served.send(method, &path, &lines, &body);
        unharmed(&served, text, Some(told), &format!("{method} {path}"))?;
    });
    served.get("/").expect(200);
}

/// Forms that carry the secret, with fields that make no sense, on an old version.
#[test]
fn forms_of_no_sense_change_nothing() {
    let text = demo("thistle-dock");
    let served = serve(text);
    let (token, _) = served.form();
    let action = prop::sample::select(vec!["/save", "/check", "/mend", "/undo", "/redo", "/act"]);
    let field = prop::sample::select(vec![
        "based-on", "text", "name", "n", "file", "plan", "demo", "roads", "act", "of", "feeder", "sure",
    ]);
    let strategy = (action, prop::collection::vec((field, "\\PC{0,40}"), 0..6));
    proptest!(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() }, |((action, fields) in strategy)| {
        let mut all = vec![("token", token.as_str())];
        all.extend(fields.iter().map(|(name, value)| (*name, value.as_str())));
        let told = served.post(action, &all);
        unharmed(&served, text, Some(told), &format!("{action} {fields:?}"))?;
    });
    served.get("/").expect(200);
}

/// Bytes that are no requests.
#[test]
fn bytes_of_no_sense_change_nothing() {
    let text = demo("thistle-dock");
    let served = serve(text);
    let strategy = prop::collection::vec(any::<u8>(), 0..200);
    proptest!(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() }, |(bytes in strategy)| {
        let mut bytes = bytes;
        // Ends what might be a head, so that the server does not wait for more of it.
        bytes.extend_from_slice(b"\r\n\r\n");
        let told = served.raw(&bytes);
        unharmed(&served, text, told, "bytes")?;
    });
    served.get("/").expect(200);
}
