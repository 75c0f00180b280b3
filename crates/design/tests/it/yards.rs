//! Every combination that is offered passes the review of its own plan.

use design::{Answers, QUESTIONS, propose};

fn question(name: &str) -> &'static design::Question {
    QUESTIONS.iter().find(|q| q.name == name).expect("a question of that name")
}

/// Every set of answers in which these questions take each of their choices, the others as they are.
fn every(start: &Answers, names: &[&str]) -> Vec<Answers> {
    let Some((first, rest)) = names.split_first() else { return vec![start.clone()] };
    let choices = question(first).choices(start);
    let words: Vec<String> = if choices.is_empty() {
        match *first {
            "contacts" => (1..=3).map(|n| n.to_string()).collect(),
            "roads" => ["2", "3", "5", "8"].map(str::to_owned).to_vec(),
            "number" => ["4", "8", "12"].map(str::to_owned).to_vec(),
            other => panic!("{other} has no choices"),
        }
    } else {
        choices.iter().map(|c| c.word.to_owned()).collect()
    };
    let mut all = Vec::new();
    for word in words {
        let mut answers = start.clone();
        answers.set(first, &word).unwrap_or_else(|e| panic!("{first} = {word}: {e}"));
        all.extend(every(&answers, rest));
    }
    all
}

fn said(answers: &Answers) -> String {
    QUESTIONS.iter().map(|q| format!("{} = {}", q.name, q.answer(answers))).collect::<Vec<_>>().join(", ")
}

/// Those of these answers for which no plan passes, with the reason.
fn without_plan(all: &[Answers]) -> Vec<(String, String)> {
    let mut failed = Vec::new();
    for answers in all {
        match propose(answers) {
            Ok(text) => {
                let review = review::review(&text);
                assert!(!review.has_errors(), "{}", said(answers));
            }
            Err(why) => failed.push((why.to_string(), said(answers))),
        }
    }
    failed
}

fn check(all: &[Answers]) {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let failed: Vec<(String, String)> = std::thread::scope(|scope| {
        let parts = all.chunks(all.len().div_ceil(cores)).map(|part| scope.spawn(|| without_plan(part)));
        let parts: Vec<_> = parts.collect();
        parts.into_iter().flat_map(|part| part.join().expect("a plan that is reviewed")).collect()
    });
    let mut told = failed.clone();
    told.dedup_by_key(|f| f.0.rsplit('[').next().map(str::to_owned));
    let told: Vec<String> = told.into_iter().map(|(why, said)| format!("{why}\n    {said}")).collect();
    assert!(failed.is_empty(), "{} of {} have no plan, such as:\n{}", failed.len(), all.len(), told.join("\n"));
}

#[test]
fn every_policy_and_wiring() {
    check(&every(&Answers::default(), &["kind", "live", "wiring"]));
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn every_wiring_policy_and_loop() {
    check(&every(&Answers::default(), &["kind", "live", "wiring", "turning", "contacts", "hand"]));
}

#[test]
fn every_room_and_base() {
    check(&every(&Answers::default(), &["room", "base", "kind"]));
}

#[test]
fn every_scale_unit_and_motor() {
    check(&every(&Answers::default(), &["scale", "units", "motor", "kind"]));
}

#[test]
fn every_size() {
    check(&every(&Answers::default(), &["roads", "kind", "live"]));
}

#[test]
fn a_long_row_of_contacts_gets_a_breaker_of_its_own() {
    let mut answers = Answers::default();
    answers.set("roads", "30").expect("30 roads");
    let text = propose(&answers).expect("a plan");
    assert!(text.contains("yard breaker"));
    assert!(!review::review(&text).has_errors());
}

#[test]
fn what_cannot_be_is_said_in_words() {
    let said = |given: &[(&str, &str)]| {
        let mut answers = Answers::default();
        for (question, answer) in given {
            answers.set(question, answer).expect("an answer that fits its question");
        }
        propose(&answers).expect_err("no plan").to_string()
    };
    let near = said(&[("centres", "30 mm")]);
    assert!(near.contains("the least is 48 mm"), "NEM 102 keeps 48 mm clear in H0: {near}");
    // Behind flat frogs roads part late.
    let short = said(&[("number", "12"), ("length", "300 mm")]);
    assert!(short.contains("too short"), "{short}");
}

#[test]
fn answers_that_do_not_fit_change_nothing() {
    let mut answers = Answers::default();
    let before = said(&answers);
    for (question, answer) in [
        ("roads", "1"),
        ("roads", "2.5"),
        ("length", "2"),
        ("length", "2 kg"),
        ("live", "both ends agree"),
        ("x", "y"),
        ("name", ""),
    ] {
        assert!(answers.set(question, answer).is_err(), "{question} = {answer}");
    }
    assert_eq!(said(&answers), before);
    // What is answered now can be answered again, and changes nothing.
    for question in &QUESTIONS {
        let now = question.answer(&answers);
        answers.set(question.name, &now).unwrap_or_else(|e| panic!("{} = {now}: {e}", question.name));
    }
    assert_eq!(said(&answers), before);
}

#[test]
fn roads_have_their_own_lengths() {
    let mut answers = Answers::default();
    answers.set("length", "3 × 2.4 m, 2x 2.1 m, 1.9 m").expect("six lengths");
    assert_eq!((answers.roads, answers.lengths.len()), (6, 6));
    assert_eq!(question("length").answer(&answers), "3 × 2.4 m, 2 × 2.1 m, 1.9 m");
    for (name, said) in [
        ("last", "on"),
        ("feeders", "1.2 m"),
        ("bus", "4 mm²"),
        ("feeder", "0.75"),
        ("air", "18 °C 55 %, 4 °C 64 %, 33 °C 46 %"),
    ] {
        answers.set(name, said).unwrap_or_else(|why| panic!("{name} = {said}: {why}"));
    }
    let text = propose(&answers).expect("a plan");
    let found = review::findings(&text);
    assert!(found.iter().all(|f| f.severity == finding::Severity::Note), "{found:#?}");
    for wanted in [
        "length  = \"2.1 m\"",
        "length  = \"1.9 m\"",
        "wire   = \"4 mm²\"",
        "feeder_wire = \"0.75 mm²\"",
        "temperature = \"33 °C\"",
    ] {
        assert!(text.contains(wanted), "{wanted} is not in\n{text}");
    }
    assert_eq!(text.matches("\"beyond\"").count(), 2, "the lead and the last road go on:\n{text}");
    // Nothing that was typed is lost where more or fewer roads are asked for.
    let shown = |answers: &Answers| question("length").answer(answers);
    answers.set("roads", "8").expect("a number");
    assert_eq!(shown(&answers), "3 × 2.4 m, 2 × 2.1 m, 3 × 1.9 m");
    answers.set("roads", "4").expect("a number");
    assert_eq!(shown(&answers), "3 × 2.4 m, 2.1 m");
    answers.set("roads", "3").expect("a number");
    assert!(answers.lengths.is_empty() && shown(&answers) == "2.4 m");
    let mut feet = Answers::default();
    feet.set("units", "2").expect("the second choice");
    feet.set("length", "2 × 6'6\", 8 ft").expect("lengths in feet");
    assert_eq!(question("length").answer(&feet), "2 × 6 ft 6 in, 8 ft");
    assert!(propose(&feet).is_ok());
}

#[test]
fn choices_are_taken_by_number_and_by_how_they_begin() {
    let mut answers = Answers::default();
    for (name, said, is) in [
        ("kind", "2", "double-ended"),
        ("kind", "st", "stub"),
        ("wiring", "live-b", "live-bonded"),
        ("room", "Cel", "cellar"),
        ("scale", "n", "N"),
    ] {
        answers.set(name, said).unwrap_or_else(|why| panic!("{name} = {said}: {why}"));
        assert_eq!(question(name).answer(&answers), is, "{name} = {said}");
    }
    // What may mean two things is met with the choices.
    let why = answers.set("wiring", "live").expect_err("two begin so").to_string();
    assert!(why.contains("4 live-routed, 5 live-bonded"), "{why}");
    for (name, said) in
        [("length", "1 × 2 m"), ("length", "2 × 2"), ("air", "warm"), ("feeders", "often"), ("bus", "9"), ("kind", "0")]
    {
        assert!(answers.set(name, said).is_err(), "{name} = {said}");
    }
}
