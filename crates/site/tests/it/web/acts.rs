//! The forms for the common acts.

use super::client::{Served, Told, demo, serve, serve_folder};

/// Sends the form of an act as it stands on a page, with answers put in.
fn act(served: &Served, page: &str, act: &str, answers: &[(&str, &str)]) -> Told {
    let page = served.get(page).expect(200);
    let (token, based_on) = (page.hidden("token"), page.hidden("based-on"));
    assert!(page.body.contains(&format!("name=\"act\" value=\"{act}\"")), "no form to {act} in {}", page.body);
    let mut fields = vec![("token", token.as_str()), ("based-on", based_on.as_str()), ("act", act)];
    fields.extend(answers);
    served.post("/act", &fields)
}

#[test]
fn a_change_is_made_shown_and_undone() {
    let before = demo("thistle-dock-mended");
    let served = serve(before);
    let page = "/place?at=dock+1";
    assert!(served.get(page).expect(200).body.contains("value=\"2.4 m\""), "today's length stands in the form");
    for (what, answers, gone, came) in [
        ("length", vec![("length", "2.5 m")], "length = \"2.4 m\"", "length = \"2.5 m\""),
        ("wire", vec![("wire", "0.75 mm²")], "", "feeder_wire = \"0.75 mm²\""),
        ("add-gap", vec![("at", "1.9 m"), ("rail", "left")], "", "{ at = \"1.9 m\", rail = \"left\" }"),
        ("add-feeder", vec![("at", "2.2 m"), ("rail", "left"), ("to", "")], "", "{ at = \"2.2 m\", rail = \"left\" }"),
    ] {
        let answers: Vec<(&str, &str)> = [("of", "dock 1")].into_iter().chain(answers).collect();
        let told = act(&served, page, what, &answers).expect(303);
        assert_eq!(told.header("location"), Some("/changed?of=dock+1"), "{what}");
        let now = served.on_disk();
        assert!(now.contains(came) && now.len() > before.len() - gone.len(), "{what}: {now}");
        let told = served.get("/changed?of=dock+1").expect(200);
        assert!(told.body.contains("<ins>") && told.body.contains("Undo the last change"), "{what}: {}", told.body);
        assert!(told.body.contains("finding") && told.body.contains("href=\"/place?at=dock+1\""), "{}", told.body);
        served.post("/undo", &[("token", &told.hidden("token")), ("based-on", &told.hidden("based-on"))]).expect(303);
        assert_eq!(served.on_disk(), before, "{what}");
    }
}

#[test]
fn findings_that_come_and_go_are_told() {
    let served = serve(demo("thistle-dock-mended"));
    act(&served, "/place?at=main+bus", "wire", &[("of", "main bus"), ("wire", "30 AWG")]).expect(303);
    let told = served.get("/changed?of=main+bus").expect(200).body;
    assert!(told.contains(" came</h3>"), "a bus of hair comes to something: {told}");
    act(&served, "/place?at=main+bus", "wire", &[("of", "main bus"), ("wire", "2.5 mm²")]).expect(303);
    assert!(served.get("/changed?of=main+bus").expect(200).body.contains(" went</h3>"));
    assert_eq!(served.on_disk(), demo("thistle-dock-mended"));
}

#[test]
fn a_track_and_a_turnout_are_added() {
    let served = serve(demo("thistle-dock"));
    let answers = [
        ("name", "T2"),
        ("hand", "right"),
        ("wiring", "insulated-bonded"),
        ("number", "5"),
        ("joins", "dock 2.to"),
        ("by", "points"),
    ];
    let told = act(&served, "/change", "add-turnout", &answers).expect(303);
    assert_eq!(told.header("location"), Some("/changed?of=T2"));
    let place = served.get("/place?at=T2").expect(200).body;
    assert!(place.contains("joins nothing yet") && place.contains("href=\"/change?from=T2.diverging\""), "{place}");
    let begun = served.get("/change?from=T2.diverging").expect(200).body;
    assert!(begun.contains("<option value=\"T2.diverging\" selected"), "{begun}");
    let change = served.get("/change").expect(200).body;
    assert!(change.contains("T2.diverging: nothing joins it yet"), "{change}");
    let track = [
        ("name", "spur"),
        ("from", "T2.diverging"),
        ("to", "buffer"),
        ("length", "60 cm"),
        ("left", "main bus.A"),
        ("right", ""),
    ];
    act(&served, "/change", "add-track", &track).expect(303);
    let text = served.on_disk();
    assert!(plan::read(&text).understood(), "{text}");
    assert!(
        text.contains("to     = \"T2.points\"") && text.contains("name   = \"spur\"\nfrom   = \"T2.diverging\""),
        "{text}"
    );
    assert!(served.get("/").expect(200).body.contains("spur"));
}

#[test]
fn one_feeder_of_a_list_gets_another_wire() {
    let served = serve(demo("thistle-dock"));
    let page = served.get("/place?at=F-3").expect(200);
    assert!(page.body.contains("Change the wire of this feeder"));
    act(&served, "/place?at=F-3", "wire", &[("of", "approach"), ("feeder", "2"), ("wire", "18 AWG")]).expect(303);
    assert!(
        served.on_disk().contains("feeders = [\"0.3 m\", { at = \"1.8 m\", wire = \"18 AWG\" }]"),
        "{}",
        served.on_disk()
    );
}

#[test]
fn what_does_not_fit_is_said_beside_its_field_and_nothing_is_written() {
    let served = serve(demo("thistle-dock"));
    let told = act(&served, "/place?at=dock+1", "add-gap", &[("of", "dock 1"), ("at", "7 bananas"), ("rail", "right")]);
    let body = told.expect(422).body;
    assert!(body.contains("aria-invalid=\"true\"") && body.contains("value=\"7 bananas\""), "{body}");
    assert!(body.contains("<option value=\"right\" selected"), "what was said is still there: {body}");
    assert!(
        body.contains("aria-describedby=\"add-gap-at-why add-gap-at-wrong\"")
            && body.contains("id=\"add-gap-at-wrong\"")
    );
    act(&served, "/place?at=dock+1", "add-gap", &[("of", "no such track")]).expect(422);
    let form = served.form();
    served.post("/act", &[("token", &form.0), ("based-on", &form.1), ("act", "burn it")]).expect(400);
    served.post("/act", &[("based-on", &form.1), ("act", "length"), ("of", "dock 1"), ("length", "1 m")]).expect(403);
    assert_eq!(served.on_disk(), demo("thistle-dock"));
}

#[test]
fn an_act_after_which_the_plan_is_not_understood_is_shown_first() {
    let served = serve(demo("thistle-dock"));
    served.get("/").expect(200);
    let short = [("of", "dock 1"), ("length", "35 mm")];
    let shown = act(&served, "/place?at=dock+1", "length", &short).expect(200);
    assert_eq!(served.on_disk(), demo("thistle-dock"), "nothing is written yet");
    for words in [
        "would not be understood",
        "place is not on it",
        "line 90: ",
        "Write it all the same",
        "<ins>",
        "/place?at=dock+1",
    ] {
        assert!(shown.body.contains(words), "no {words:?} in {}", shown.body);
    }
    let fields = ["token", "based-on", "act", "of", "length", "sure"].map(|f| (f, shown.hidden(f)));
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    served.post("/act", &fields).expect(303);
    assert!(served.on_disk().contains("35 mm"));
    let told = served.get("/changed?of=dock+1").expect(200).body;
    assert!(told.contains("not understood any more"), "{told}");
    // Forms cannot work on what is not understood, and say so.
    let change = served.get("/change").expect(200).body;
    assert!(change.contains("not understood") && !change.contains("name=\"act\""), "{change}");
}

#[test]
fn an_act_on_a_text_that_is_no_more_is_turned_away() {
    let served = serve(demo("thistle-dock"));
    let old = served.form();
    served.save(&(demo("thistle-dock").to_owned() + "# more\n"), &served.form()).expect(303);
    let fields =
        [("token", old.0.as_str()), ("based-on", &old.1), ("act", "length"), ("of", "dock 1"), ("length", "3.33 m")];
    served.post("/act", &fields).expect(409);
    assert!(served.on_disk().ends_with("# more\n") && !served.on_disk().contains("3.33 m"));
}

#[test]
fn a_demo_plan_offers_no_forms_and_takes_no_acts() {
    let served = serve_folder();
    let change = served.get("/demo/wye/change").expect(200).body;
    let token = served.get("/new").expect(200).hidden("token");
    assert!(change.contains("Keep it under a name of your own") && !change.contains("/act\""));
    let based_on = site::store::Version::from_content(demo("wye").as_bytes()).to_string();
    let wire =
        [("token", token.as_str()), ("based-on", &based_on), ("act", "wire"), ("of", "main bus"), ("wire", "4 mm²")];
    assert!([409, 422].contains(&served.post("/demo/wye/act", &wire).status));
}

#[test]
fn the_last_drawing_that_was_understood_is_shown_as_what_it_is() {
    let broken = "[layout\nname = 3";
    let served = serve(demo("thistle-dock"));
    assert!(served.get("/?T1=diverging").expect(200).body.contains("<svg"));
    served.save(broken, &served.form()).expect(303);
    let home = served.get("/?T1=diverging").expect(200).body;
    assert!(
        home.contains("class=\"drawing past\"") && home.contains("<svg") && home.contains("of an earlier text"),
        "{home}"
    );
    assert!(home.find("Mend the text").expect("the way to mend it") < home.find("<svg").expect("a drawing"));
    assert!(!home.contains("class=\"throw\""), "nothing can be thrown on what is no more");
    // A second broken text still has it; a plan that never was understood in this run has none.
    served.save("[", &served.form()).expect(303);
    assert!(served.get("/").expect(200).body.contains("class=\"drawing past\""));
    served.save(demo("thistle-dock"), &served.form()).expect(303);
    assert!(!served.get("/").expect(200).body.contains("drawing past"));
    let fresh = serve(broken);
    let home = fresh.get("/").expect(200).body;
    assert!(!home.contains("<svg") && home.contains("There is no drawing now"));
}

#[test]
fn findings_are_marked_on_the_drawing_and_can_be_hidden() {
    let served = serve(demo("thistle-dock"));
    let home = served.get("/").expect(200).body;
    let links: Vec<&str> = home.match_indices("<a class=\"mark ").map(|(at, _)| &home[at..]).collect();
    assert!(!links.is_empty(), "the dock that is live when it must not be has a place");
    assert!(links[0].contains("href=\"/finding?name=") && links[0].contains("aria-label=\"1, error: "), "{}", links[0]);
    assert!(home.contains("Marked on the drawing") && home.contains("marks=none"));
    let hidden = served.get("/?marks=none").expect(200).body;
    assert!(!hidden.contains("<a class=\"mark ") && hidden.contains("mark the findings"));
    assert!(hidden.contains("marks=none\" data-key"), "what is thrown there keeps them hidden");
    assert_eq!(served.get("/?marks=some").status, 400);
    let none = serve(demo("thistle-dock-mended")).get("/").expect(200).body;
    assert!(!none.contains("<a class=\"mark "));
}
