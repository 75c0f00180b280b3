//! A builder changes the plan: saves, fixes, undoes, begins anew.

use super::client::{demo, serve, serve_folder};

#[test]
fn a_saved_text_is_in_the_file_byte_by_byte() {
    let served = serve(demo("thistle-dock"));
    let text = demo("thistle-dock").replace("2.4 m", "2.5 m") + "\n# größer\n";
    // As browsers send it.
    let told = served.save(&text.replace('\n', "\r\n"), &served.form()).expect(303);
    assert_eq!(told.header("location"), Some("/plan?done=saved"));
    assert_eq!(served.on_disk(), text);
}

#[test]
fn a_finding_is_mended_and_undone() {
    let before = demo("thistle-dock");
    let served = serve(before);
    let list = served.get("/findings").expect(200).body;
    let mut links: Vec<String> = list
        .match_indices("/finding?")
        .map(|(at, _)| list[at..].split('"').next().unwrap_or_default().replace("&amp;", "&"))
        .collect();
    links.dedup();
    let page = links.iter().map(|link| served.get(link).expect(200)).find(|page| page.body.contains("Make this edit"));
    let page = page.expect("a finding with a proposed edit");
    let fields = ["token", "based-on", "name", "n"].map(|f| (f, page.hidden(f)));
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    served.post("/mend", &fields).expect(303);
    let mended = served.on_disk();
    assert_ne!(mended, before);
    // The same page sent again is about a plan that is no more.
    served.post("/mend", &fields).expect(409);
    let found = served.get("/findings?done=mended").expect(200);
    assert!(found.body.contains("Undo the last change"));
    let (token, based_on) = (found.hidden("token"), found.hidden("based-on"));
    served.post("/undo", &[("token", &token), ("based-on", &based_on)]).expect(303);
    assert_eq!(served.on_disk(), before);
    let (token, based_on) = served.form();
    served.post("/redo", &[("token", &token), ("based-on", &based_on)]).expect(303);
    assert_eq!(served.on_disk(), mended);
}

#[test]
fn two_browsers_are_told_of_each_other() {
    let served = serve(demo("thistle-dock"));
    let (first, second) = (served.form(), served.form());
    served.save("# first\n", &first).expect(303);
    let told = served.save("# second\n", &second).expect(409);
    assert!(told.body.contains("# first") && told.body.contains("# second"), "both texts are shown");
    for line in ["<del>file  − # first</del>", "<ins>yours + # second</ins>"] {
        assert!(told.body.contains(line), "{line} is not in {}", told.body);
    }
    assert_eq!(served.on_disk(), "# first\n");
    // The page of the conflict can save over what it has shown.
    served.save("# second\n", &(told.hidden("token"), told.hidden("based-on"))).expect(303);
    assert_eq!(served.on_disk(), "# second\n");
}

#[test]
fn an_editor_on_the_disk_is_seen_by_itself() {
    use std::io::{Read as _, Write as _};
    let served = serve("# one\n");
    let mut stream = std::net::TcpStream::connect(served.address).expect("connected");
    stream.set_read_timeout(Some(std::time::Duration::from_secs(20))).expect("set");
    write!(stream, "GET /events HTTP/1.1\r\nHost: {}\r\n\r\n", served.address).expect("sent");
    let form = served.form();
    std::fs::write(&served.path, "# two\n").expect("written");
    let version = site::store::Version::from_content(b"# two\n").to_string();
    let mut heard = String::new();
    while !heard.contains(&version) {
        let mut part = [0; 1024];
        let read = stream.read(&mut part).expect("an event within the time");
        assert!(read > 0, "closed after {heard}");
        heard.push_str(&String::from_utf8_lossy(&part[..read]));
    }
    served.save("# three\n", &form).expect(409);
    assert!(served.get("/lines").expect(200).body.contains("# two"));
}

#[test]
fn a_text_is_checked_without_being_saved() {
    let served = serve(demo("thistle-dock"));
    let (token, _) = served.form();
    let told = served.post("/check", &[("token", &token), ("text", "[layout]\nnmae = \"x\"\n")]).expect(200);
    assert!(told.body.contains("nmae"), "{}", told.body);
    assert_eq!(served.on_disk(), demo("thistle-dock"));
}

#[test]
fn bytes_that_are_no_text_are_left_alone() {
    let served = serve("# one\n");
    std::fs::write(&served.path, b"# \xff\xfe\n").expect("written");
    std::thread::sleep(std::time::Duration::from_millis(2_500));
    let page = served.get("/plan").expect(200);
    assert!(page.body.contains("bytes that are no text") && !page.body.contains("<textarea"));
}

#[test]
fn a_new_yard_is_written_and_shown() {
    let served = serve_folder();
    let form = served.get("/new").expect(200);
    let token = form.hidden("token");
    let wrong = served.post("/new", &[("token", &token), ("roads", "many"), ("file", "yard")]).expect(422);
    assert!(wrong.body.contains("nothing was written"));
    let told = served.post("/new", &[("token", &token), ("roads", "3"), ("name", "Quarry End"), ("file", "yard")]);
    assert_eq!(told.expect(303).header("location"), Some("/of/yard.toml/"));
    let text = std::fs::read_to_string(served.folder.path().join("yard.toml")).expect("written");
    assert!(text.contains("Quarry End"));
    let home = served.get("/of/yard.toml/").expect(200);
    assert!(home.body.contains("Quarry End") && home.body.contains("<svg"));
    assert!(!review::review(&text).has_errors(), "it passes its own review");
    served.post("/new", &[("token", &token), ("file", "yard")]).expect(422);
}

#[test]
fn a_demo_plan_is_kept_under_a_new_name() {
    let served = serve_folder();
    let page = served.get("/demo/wye/plan").expect(200);
    let token = page.hidden("token");
    let told = served.save_at("/demo/wye", "# x\n", &(token.clone(), page.hidden("based-on"))).expect(409);
    assert!(told.body.contains("# x\n</textarea>"), "what was typed is given back: {}", told.body);
    let keep = [("token", token.as_str()), ("text", demo("wye")), ("file", "my wye")];
    let told = served.post("/demo/wye/keep", &keep).expect(303);
    assert_eq!(told.header("location"), Some("/of/my+wye.toml/"));
    let kept = std::fs::read_to_string(served.folder.path().join("my wye.toml")).expect("written");
    assert_eq!(kept, demo("wye"));
    served.save_at("/of/my+wye.toml", "# mine now\n", &served.form_at("/of/my+wye.toml")).expect(303);
    assert_eq!(std::fs::read_to_string(served.folder.path().join("my wye.toml")).expect("there"), "# mine now\n");
}
