//! What was typed is never lost and never lands in another plan: whatever stands in the way, it is given back.

use super::client::{Served, Told, demo, encoded, serve, serve_at, serve_folder};
use std::path::PathBuf;

/// Numbers that look random and are the same at every run (xorshift, Marsaglia 2003).
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % most
    }
}

/// A page with the text, as a browser holds it.
struct Tab {
    plan: usize,
    token: String,
    id: String,
    based_on: String,
    text: String,
}

const PLANS: [&str; 2] = ["/of/east.toml", "/of/west.toml"];

fn look(served: &Served, plan: usize) -> Tab {
    let page = served.get(&format!("{}/plan", PLANS[plan])).expect(200);
    Tab {
        plan,
        token: page.hidden("token"),
        id: page.hidden("plan"),
        based_on: page.hidden("based-on"),
        text: text_of(&page.body),
    }
}

/// The text that a page holds to be changed, as it stands in the file.
fn text_of(page: &str) -> String {
    let (_, rest) = page.split_once("<textarea").unwrap_or_else(|| panic!("no text in {page}"));
    let text = rest.split_once('>').expect("its start").1.split_once("</textarea>").expect("its end").0;
    let text = text.strip_prefix('\n').unwrap_or(text);
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

fn send(served: &Served, to: usize, tab: &Tab, text: &str) -> Told {
    let fields = [("token", tab.token.as_str()), ("plan", &tab.id), ("based-on", &tab.based_on), ("text", text)];
    served.post(&format!("{}/save", PLANS[to]), &fields)
}

/// Two tabs, two plans that are alike byte by byte, a thousand edits in random order: each is in its own file or told, none in the
/// other file, whatever address it was sent to.
#[test]
fn a_thousand_edits_of_two_plans_in_two_tabs_stay_apart() {
    let served = serve_folder();
    let files: [PathBuf; 2] = ["east.toml", "west.toml"].map(|name| served.folder.path().join(name));
    for file in &files {
        std::fs::write(file, "# start\n").expect("written");
    }
    let mut chance = Chance(0x5eed_cafe);
    let mut tabs = [look(&served, 0), look(&served, 1)];
    let (mut saved, mut told, mut strays) = ([0, 0], 0, 0);
    for edit in 0..1000 {
        let at = chance.below(2) as usize;
        match chance.below(10) {
            // The tab goes to one of both plans.
            0..3 => tabs[at] = look(&served, chance.below(2) as usize),
            // A form that is sent to the other plan's address, as a page of another server on this port would.
            3 => {
                let (tab, text) = (&tabs[at], format!("# stray {edit}\n"));
                let answer = send(&served, 1 - tab.plan, tab, &text).expect(409);
                assert_eq!(text_of(&answer.body), text, "it is given back");
                strays += 1;
            }
            _ => {
                let tab = &tabs[at];
                let text = format!("{}# plan {} edit {edit}\n", tab.text, tab.plan);
                let answer = send(&served, tab.plan, tab, &text);
                match answer.status {
                    303 => saved[tab.plan] += 1,
                    409 => {
                        assert_eq!(text_of(&answer.body), text, "it is given back");
                        told += 1;
                    }
                    other => panic!("{other}: {}", answer.body),
                }
                tabs[at] = look(&served, tab.plan);
            }
        }
    }
    for (plan, file) in files.iter().enumerate() {
        let text = std::fs::read_to_string(file).expect("readable");
        let wrong = text.lines().filter(|line| *line != "# start" && !line.starts_with(&format!("# plan {plan} ")));
        assert_eq!(wrong.count(), 0, "{text}");
        assert_eq!(text.lines().count(), saved[plan] + 1, "each saved edit once");
    }
    assert!(saved.iter().all(|count| *count > 100) && told > 20 && strays > 50, "{saved:?} {told} {strays}");
}

#[test]
fn each_plan_has_its_own_undo_on_every_page() {
    let served = serve_folder();
    for name in ["east.toml", "west.toml"] {
        std::fs::write(served.folder.path().join(name), demo("thistle-dock")).expect("written");
    }
    served.save_at(PLANS[0], "# changed\n", &served.form_at(PLANS[0])).expect(303);
    for page in
        ["/", "/findings", "/routes", "/papers", "/change", "/plan", "/lines", "/place?at=dock+1", "/bench", "/hunt"]
    {
        let [east, west] = PLANS.map(|plan| served.get(&format!("{plan}{page}")).body);
        assert!(east.contains("action=\"/of/east.toml/undo\""), "{page}");
        assert!(!west.contains("Undo the last change"), "{page}");
        assert!(
            east.contains("east.toml</span>") && west.contains("west.toml</span>"),
            "{page} says which file it is of"
        );
    }
    let page = served.get(&format!("{}/findings", PLANS[0]));
    let fields = ["token", "based-on"].map(|name| (name, page.hidden(name)));
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    served.post("/of/west.toml/undo", &fields);
    served.post("/of/east.toml/undo", &fields).expect(303);
    for name in ["east.toml", "west.toml"] {
        let text = std::fs::read_to_string(served.folder.path().join(name)).expect("readable");
        assert_eq!(text, demo("thistle-dock"), "{name}");
    }
}

/// Words that no page holds by itself.
const TYPED: &str = "# three evenings of work: 5 < 6 & \"quoted\"\n";

fn given_back(told: &Told, says: &str) {
    assert!(told.status >= 400, "{}", told.head);
    assert_eq!(text_of(&told.body), TYPED, "what was typed is in the form again");
    assert!(told.body.contains(says), "{says:?} is not in {}", told.body);
}

#[test]
fn a_vanished_plan_gives_the_text_back_and_can_be_written_anew() {
    let served = serve(demo("thistle-dock"));
    let form = served.form();
    std::fs::remove_file(&served.path).expect("removed");
    let told = served.save(TYPED, &form);
    given_back(&told, "The plan file is gone");
    assert!(!served.path.exists(), "nothing is written by itself");
    assert!(served.get("/findings").body.contains("The plan file is gone"), "every page tells it");
    let (token, based_on) = (told.hidden("token"), told.hidden("based-on"));
    let anew = [("token", token.as_str()), ("based-on", &based_on), ("text", TYPED), ("anew", "yes")];
    served.post("/save", &anew).expect(303);
    assert_eq!(served.on_disk(), TYPED);
    given_back(&served.post("/save", &anew), "cannot be written");
}

#[test]
fn a_read_only_plan_is_refused_and_gives_the_text_back() {
    let served = serve(demo("thistle-dock"));
    let form = served.form();
    let allowed = std::fs::metadata(&served.path).expect("there").permissions();
    let mut read_only = allowed.clone();
    read_only.set_readonly(true);
    std::fs::set_permissions(&served.path, read_only).expect("set");
    let told = served.save(TYPED, &form);
    given_back(&told, "The plan file is read-only");
    assert!(served.get("/plan").body.contains("it can be looked at, and not changed"));
    assert_eq!(served.on_disk(), demo("thistle-dock"));
    std::fs::set_permissions(&served.path, allowed).expect("set");
    served.save(TYPED, &(told.hidden("token"), told.hidden("based-on"))).expect(303);
    assert_eq!(served.on_disk(), TYPED);
}

#[test]
fn a_server_started_anew_gives_the_text_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.toml");
    std::fs::write(&plan, demo("thistle-dock")).expect("written");
    let served = serve_at(&plan, 0);
    let (form, port) = (served.form(), served.address.port());
    let id = served.plan_of("");
    drop(served);
    // The same port, another secret: the page in the browser is the old one.
    let served = serve_at(&plan, port);
    assert_eq!(served.plan_of(""), id, "it is known as the same plan");
    let told = served.save(TYPED, &form);
    given_back(&told, "started anew");
    assert_eq!(told.hidden("based-on"), form.1, "what it was based on is kept, so that a conflict is told");
    served.save(TYPED, &(told.hidden("token"), told.hidden("based-on"))).expect(303);
    assert_eq!(served.on_disk(), TYPED);
}

#[test]
fn forms_that_are_refused_give_all_their_fields_back() {
    let served = serve(demo("thistle-dock"));
    let (token, based_on) = served.form();
    // The plan was changed meanwhile: what the form chose from may be another thing now.
    served.save(&format!("{}# more\n", demo("thistle-dock")), &served.form()).expect(303);
    let length =
        [("token", token.as_str()), ("based-on", &based_on), ("act", "length"), ("of", "dock 1"), ("length", "3.33 m")];
    let told = served.post("/act", &length).expect(409);
    for field in ["value=\"3.33 m\"", "value=\"length\"", "value=\"dock 1\""] {
        assert!(told.body.contains(field), "{field} is not in {}", told.body);
    }
    let form = served.form();
    let symptom = [
        ("token", form.0.as_str()),
        ("id", "0190a0b0-0000-7000-8000-000000000001"),
        ("kind", "symptom"),
        ("place", "nowhere"),
        ("typed", "stalls & <dims>"),
    ];
    let told = served.post("/log", &symptom).expect(422);
    assert!(told.body.contains("value=\"stalls &amp; &lt;dims&gt;\""), "{}", told.body);
}

#[test]
fn a_form_of_no_plan_and_one_of_another_write_nothing() {
    let served = serve(demo("thistle-dock"));
    let (token, based_on) = served.form();
    for plan in ["", "x", "demo-wye"] {
        let body = encoded(&[("token", &token), ("plan", plan), ("based-on", &based_on), ("text", TYPED)]);
        let told = served.send("POST", "/save", &[], &body);
        given_back(&told, "another plan");
    }
    let body = encoded(&[("token", &token), ("based-on", &based_on), ("text", TYPED)]);
    given_back(&served.send("POST", "/save", &[], &body), "another plan");
    assert_eq!(served.on_disk(), demo("thistle-dock"));
}

/// Names of files as people have them: blanks, signs, other scripts.
#[test]
fn a_plan_file_may_be_called_anything() {
    let served = serve_folder();
    for name in
        ["Größe + 1.toml", "a & b=c.toml", "100 %.toml", "it's \"mine\" <now>.toml", "東.toml", "of.toml", "x?y#z.toml"]
    {
        let path = served.folder.path().join(name);
        // Not every disk takes every name.
        if std::fs::write(&path, demo("thistle-dock")).is_err() {
            continue;
        }
        let list = served.get("/").expect(200).body;
        let shown = maud_escaped(name);
        let before = list.split(&format!(">{shown}</a>")).next().unwrap_or_default();
        assert!(before.len() < list.len(), "{name} is listed as {shown}: {list}");
        let base = before.rsplit_once("href=\"").expect("a link").1.split('"').next().expect("its address");
        let base = base.trim_end_matches('/').to_owned();
        let home = served.get(&format!("{base}/")).expect(200).body;
        assert!(home.contains(&format!("href=\"{base}/findings\"")), "{name}");
        served.save_at(&base, TYPED, &served.form_at(&base)).expect(303);
        assert_eq!(std::fs::read_to_string(&path).expect("readable"), TYPED, "{name}");
    }
    let to = served.get("/of/of.toml").expect(303);
    assert_eq!(to.header("location"), Some("/of/of.toml/"));
}

fn maud_escaped(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// More plans than stay reviewed: what was asked long ago is read again, and its undo is still there.
#[test]
fn many_plans_are_open_side_by_side() {
    let served = serve_folder();
    let bases: Vec<String> = (0..12).map(|n| format!("/of/yard-{n}.toml")).collect();
    for n in 0..12 {
        std::fs::write(served.folder.path().join(format!("yard-{n}.toml")), demo("thistle-dock")).expect("written");
    }
    for base in &bases {
        served.save_at(base, &demo("thistle-dock").replace("Thistle Dock", base), &served.form_at(base)).expect(303);
    }
    for base in bases.iter().chain(&bases) {
        let page = served.get(&format!("{base}/findings")).expect(200).body;
        assert!(page.contains(base.as_str()) && page.contains("Undo the last change"), "{base}");
    }
}

#[test]
fn leftovers_of_killed_saves_are_swept() {
    let served = serve_folder();
    std::fs::write(served.folder.path().join("east.toml"), "# east\n").expect("written");
    let left = served.folder.path().join(".gapwright-aB3xYz");
    std::fs::write(&left, "half a te").expect("written");
    let old = std::time::SystemTime::now() - std::time::Duration::from_secs(600);
    std::fs::File::options().write(true).open(&left).expect("opened").set_modified(old).expect("set");
    served.get("/of/east.toml/plan").expect(200);
    assert!(!left.exists(), "what nobody writes any more is gone");
}

#[cfg(unix)]
#[test]
fn other_names_of_a_plan_file_keep_its_content() {
    let served = serve("# one\n");
    let other = served.folder.path().join("other-name.toml");
    std::fs::hard_link(&served.path, &other).expect("linked");
    served.save("# two, longer\n", &served.form()).expect(303);
    served.save("# 3\n", &served.form()).expect(303);
    assert_eq!(std::fs::read_to_string(&other).expect("readable"), "# 3\n");
    let names = std::fs::read_dir(served.folder.path()).expect("readable").count();
    assert_eq!(names, 2, "nothing is left beside it");
}
