//! Which plastic frogs of crossings and slips metal wheels bridge. From the places where rails cross (NMRA RP-12 for the widths; which
//! rails meet where: common practice, no source): where both tracks have their left rails on one pole, the acute frogs part
//! unlike poles and the obtuse ones like poles; where one track is the other way round, it is the obtuse ones.

fn plan(kind: &str, more: &str, second: [&str; 2], insulation: &str) -> String {
    let mut text = format!(
        "[layout]\nname = \"crossing\"\nscale = \"HO\"\nrail = \"code 100 nickel silver\"\n\n[[supply]]\nname = \"booster\"\n\
         voltage = \"15 V\"\ntrips = {{ at = \"4.5 A\" }}\n\n[[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\n\
         length = \"3 m\"\n\n[[{kind}]]\nname = \"X, 1\"\nnumber = 6\nfrogs = \"insulated\"\ninsulation = \"{insulation}\"\n{more}\n"
    );
    for (number, [left, right]) in [(1, ["A", "B"]), (2, second)] {
        text += &format!(
            "[[track]]\nname = \"west {number}\"\nfrom = \"beyond\"\nto = \"X, 1.west {number}\"\nlength = \"1 m\"\n\
             left = \"bus.{left}\"\nright = \"bus.{right}\"\nfeeders = [\"0.5 m\"]\n\n\
             [[track]]\nname = \"east {number}\"\nfrom = \"X, 1.east {number}\"\nto = \"beyond\"\nlength = \"1 m\"\n\n"
        );
    }
    text
}

fn bridged(text: &str) -> Vec<String> {
    let review = review::review(text);
    assert!(review.summary.understood, "{:#?}", review.findings);
    let found = review.findings.into_iter().filter(|f| f.name == "wheel-bridges-frog");
    found.map(|f| f.message).collect()
}

#[test]
fn where_poles_are_unlike_and_rails_begin_too_near() {
    let acute = ["metal wheels join the two rails behind the frogs west and east of `X, 1` as they cross it"];
    let obtuse = ["metal wheels join the two rails behind the frogs north and south of `X, 1` as they cross it"];
    assert_eq!(bridged(&plan("crossing", "", ["A", "B"], "8 mm")), acute);
    assert_eq!(bridged(&plan("crossing", "phases = \"opposite\"", ["B", "A"], "8 mm")), obtuse);
    assert_eq!(bridged(&plan("slip", "kind = \"double\"", ["A", "B"], "0.5 in")), acute);
    // (2.032 mm tread + 1.143 mm head) × 6 = 19.05 mm.
    assert_eq!(bridged(&plan("crossing", "", ["A", "B"], "19.0 mm")), acute);
    assert_eq!(bridged(&plan("crossing", "", ["A", "B"], "19.1 mm")), [""; 0]);
}
