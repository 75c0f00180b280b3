//! Many at once.

use super::client::{Served, serve};
use std::collections::BTreeSet;

/// The text that a page holds to be changed, as it stands in the file.
fn text_of(page: &str) -> String {
    let (_, rest) = page.split_once("<textarea").expect("a text");
    let text = rest.split_once('>').expect("its start").1.split_once("</textarea>").expect("its end").0;
    text.strip_prefix('\n')
        .unwrap_or(text)
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&amp;", "&")
}

/// Adds a line as somebody with a phone does: look, write, save, and once more where somebody else was quicker.
fn add(served: &Served, line: &str) -> usize {
    for conflicts in 0..10_000 {
        let page = served.get("/plan").expect(200);
        let form = (page.hidden("token"), page.hidden("based-on"));
        let told = served.save(&(text_of(&page.body) + line + "\n"), &form);
        match told.status {
            303 => return conflicts,
            409 => continue,
            other => panic!("{other}: {}", told.body),
        }
    }
    panic!("never got through");
}

#[test]
fn fifty_clients_lose_no_edit() {
    let served = serve("# start\n");
    let conflicts: usize = std::thread::scope(|scope| {
        let people: Vec<_> = (0..50)
            .map(|person| {
                let served = &served;
                scope.spawn(move || {
                    served.get("/findings").expect(200);
                    add(served, &format!("# person {person}"))
                })
            })
            .collect();
        people.into_iter().map(|p| p.join().expect("no trouble")).sum()
    });
    let text = served.on_disk();
    let lines: BTreeSet<&str> = text.lines().collect();
    assert_eq!((text.lines().count(), lines.len()), (51, 51), "each edit once:\n{text}");
    assert!(conflicts > 0, "they never met, so nothing was shown");
}
