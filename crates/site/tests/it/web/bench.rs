//! The bench and the hunt: entries go through the pages into the logbook that the command reads, each once, whatever is cut off.

use super::client::{Served, Told, demo, encoded, serve};
use logbook::{EntryId, EntryKind, Logbook, Moment};
use std::collections::BTreeSet;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

fn book(served: &Served) -> Vec<logbook::Entry> {
    Logbook::read(&logbook::file_beside(&served.path)).expect("a logbook")
}

/// The fields of the first form on a page that enters something of a kind.
fn entry_form(page: &Told, kind: &str) -> Vec<(String, String)> {
    let of_kind = format!("name=\"kind\" value=\"{kind}\"");
    let form = page.body.split("<form").find(|form| form.contains(&of_kind)).unwrap_or_else(|| panic!("{}", page.body));
    let form = form.split("</form>").next().unwrap_or_default();
    let inputs = form.match_indices("<input type=\"hidden\"").map(|(at, _)| &form[at..]);
    let value = |input: &str, name: &str| {
        let start = format!(" {name}=\"");
        let rest = input.split('>').next().unwrap_or_default().split_once(&start).map_or("", |r| r.1);
        rest.split('"').next().unwrap_or_default().replace("&quot;", "\"").replace("&amp;", "&")
    };
    inputs.map(|input| (value(input, "name"), value(input, "value"))).collect()
}

fn with<'f>(form: &'f [(String, String)], more: &[(&'f str, &'f str)]) -> Vec<(&'f str, &'f str)> {
    let kept = form.iter().filter(|(name, _)| !more.iter().any(|m| m.0 == name));
    kept.map(|(n, v)| (n.as_str(), v.as_str())).chain(more.iter().copied()).collect()
}

#[test]
fn a_job_is_ticked_and_a_reading_is_judged_at_once() {
    let served = serve(demo("thistle-dock-mended"));
    let page = served.get("/bench").expect(200);
    assert!(page.body.contains("0 of ") && page.body.contains("Tick order 1"), "{}", page.body);
    assert!(!logbook::file_beside(&served.path).exists(), "looking makes no logbook");
    let form = entry_form(&page, "tick");
    let told = served.post("/log", &with(&form, &[("who", "Ann")])).expect(303);
    let to = told.header("location").expect("an address").to_owned();
    let page = served.get(&to).expect(200);
    assert!(page.body.contains("Ticked: </b>order 1") && page.body.contains("1 of "), "{}", page.body);
    // The same form once more is the same tick.
    served.post("/log", &with(&form, &[("who", "Ann")])).expect(303);
    let ticks: Vec<_> = book(&served).into_iter().filter(|e| e.says.kind == EntryKind::Tick).collect();
    assert_eq!(ticks.len(), 1);
    assert_eq!((ticks[0].says.who.as_str(), ticks[0].says.typed.as_str()), ("Ann", "done"));

    let test = served.get("/bench?test=2").expect(200);
    let form = entry_form(&test, "reading");
    let told = served.post("/log", &with(&form, &[("typed", "0.1 ohm"), ("part", "yes")])).expect(200);
    assert!(told.body.contains("FAIL</b> test 2") && told.body.contains("It may mean"), "{}", told.body);
    let again = served.get("/bench?test=2").expect(200);
    assert!(again.body.contains("Not well") && again.body.contains("0.1 ohm"), "{}", again.body);
    let form = entry_form(&again, "reading");
    let told = served.post("/log", &with(&form, &[("typed", "OL"), ("part", "yes")])).expect(200);
    assert!(told.body.contains("PASS</b> test 2"), "{}", told.body);
    let wrong = served.post("/log", &with(&entry_form(&again, "reading"), &[("typed", "seven bananas")])).expect(422);
    assert!(wrong.body.contains("value=\"seven bananas\""), "what was typed is given back: {}", wrong.body);
}

/// The command of the same plan reads what pages entered, and pages show what it entered.
#[test]
fn pages_and_command_share_one_book() {
    let served = serve(demo("thistle-dock-mended"));
    let form = entry_form(&served.get("/bench?order=1").expect(200), "tick");
    served.post("/log", &form.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect::<Vec<_>>()).expect(303);
    let text = demo("thistle-dock-mended");
    let reading = plan::read(text);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let job = schedule::Job::new(facts, schedule::Choices::usual(&reading.plan));
    let work = commissioning::work(&job, commissioning::TestLoad::default()).expect("worked out");
    let mut desk = site::logged::Desk::open(&served.path, &job, &work).expect("opened");
    let progress = desk.progress(2026);
    assert_eq!(progress.jobs[0], logbook::progress::JobState::Done);
    let hand = site::logged::Hand { who: "Ben".to_owned(), device: "desk".to_owned() };
    let mut draft = desk.draft(EntryKind::Tick, Some(site::logged::Subject::Task(1)), &hand, Moment::now());
    draft.typed = "done".to_owned();
    desk.append(vec![draft]).expect("added");
    let page = served.get("/bench?order=2").expect(200);
    assert!(page.body.contains(" by Ben."), "{}", page.body);
}

#[test]
fn what_is_taken_back_is_kept_and_counts_no_more() {
    let served = serve(demo("thistle-dock-mended"));
    let form = entry_form(&served.get("/bench?order=1").expect(200), "tick");
    served.post("/log", &with(&form, &[])).expect(303);
    let list = served.get("/bench?show=book").expect(200);
    assert!(list.body.contains("href=\"/record.pdf\""), "{}", list.body);
    assert!(served.get("/record.pdf").expect(200).body.starts_with("%PDF-"));
    let form = entry_form(&list, "tick");
    assert!(form.iter().any(|(name, _)| name == "supersedes"), "{form:?}");
    served.post("/log", &with(&form, &[])).expect(303);
    assert!(served.get("/bench").expect(200).body.contains("0 of "));
    assert_eq!(book(&served).iter().filter(|e| e.says.kind == EntryKind::Tick).count(), 2, "nothing is deleted");
}

/// A phone that was away while a track was renamed sends a tick of the page it still shows.
#[test]
fn an_entry_of_an_earlier_text_finds_what_it_is_about() {
    let served = serve(demo("thistle-dock-mended"));
    let tasks = served.get("/bench?show=jobs").expect(200).body;
    let (before, _) = tasks.split_once("feeders dock 1").expect("an order");
    let order = before.rsplit_once("order=").expect("its link").1.split('"').next().expect("a number").to_owned();
    let form = entry_form(&served.get(&format!("/bench?order={order}")).expect(200), "tick");
    let renamed = demo("thistle-dock-mended").replace("dock 1", "pier road");
    served.save(&renamed, &served.form()).expect(303);
    let told = served.post("/log", &with(&form, &[("part", "yes")])).expect(200);
    assert!(told.body.contains("feeders pier road"), "{}", told.body);
    // What is in the plan no more is kept all the same, and said so.
    let form = entry_form(&served.get("/bench?order=1").expect(200), "tick");
    let gone = with(&form, &[("what", "order nothing,gone,left,1"), ("part", "yes")]);
    let told = served.post("/log", &gone).expect(200);
    assert!(told.body.contains("not in it any more"), "{}", told.body);
    assert_eq!(book(&served).iter().filter(|e| e.says.kind == EntryKind::Tick).count(), 2);
}

#[test]
fn a_hunt_is_played_from_a_symptom_to_the_fault() {
    let served = serve(demo("thistle-dock-mended"));
    let page = served.get("/hunt?kit=bench").expect(200);
    assert!(
        page.body.contains("Suspects before anything was read")
            && page.body.contains("Measure next")
            && !page.body.contains("mark suspect"),
        "{}",
        page.body
    );
    let seen = entry_form(&page, "symptom");
    served.post("/log", &with(&seen, &[("typed", "dock 1 dead when T1 is diverging")])).expect(303);
    let page = served.get("/hunt?kit=bench").expect(200);
    assert!(page.body.contains("dock 1 dead when T1 is diverging"), "{}", page.body);
    let (_, suspects) = page.body.split_once("class=\"suspects\"").expect("suspects");
    let first = suspects.split("</li>").next().expect("the first");
    assert!(first.contains("does not conduct"), "{first}");
    // Each suspect has its number in the list, and where it has a place, on the drawing.
    for (address, other) in
        [("/hunt?kit=bench", "See it from below"), ("/hunt?kit=bench&seen=below", "See it from above")]
    {
        let seen = served.get(address).expect(200).body;
        let marks: Vec<&str> = seen.split("class=\"mark suspect\"").skip(1).collect();
        assert!(seen.contains(other) && !marks.is_empty(), "{seen}");
        for mark in marks {
            let says = mark.split_once("aria-label=\"").expect("words").1.split('"').next().expect("words");
            let (number, thing) = says.split_once(", suspect: ").expect("a number");
            let listed = format!("class=\"which\">{number}</span> ");
            let (_, line) = suspects.split_once(&listed).expect("in the list");
            assert!(line.starts_with(thing.split(',').next().expect("its name")), "{says}");
        }
    }
    let form = entry_form(&page, "reading");
    served.post("/log", &with(&form, &[("typed", "OL")])).expect(303);
    let wrong = served.post("/log", &with(&form, &[("typed", "a lot")])).expect(422);
    assert!(wrong.body.contains("value=\"a lot\""));
    let page = served.get("/hunt?kit=bench").expect(200);
    assert!(page.body.contains(": OL"), "{}", page.body);
    let over = entry_form(&page, "remark");
    served.post("/log", &with(&over, &[])).expect(303);
    assert!(served.get("/hunt").expect(200).body.contains("Suspects before anything was read"));
}

/// A request of which only a part is sent, or whose answer nobody waits for.
fn cut_off(served: &Served, request: &[u8], sent: usize) {
    let Ok(mut stream) = TcpStream::connect(served.address) else { return };
    let _ = stream.write_all(&request[..sent]);
    // Closed without reading: what was kept is not acknowledged.
}

/// Sends an entry until it is acknowledged; `chance` cuts connections.
fn until_kept(served: &Served, body: &str, chance: &mut u64) -> usize {
    let head = format!(
        "POST /log HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Length: {}\r\n\r\n",
        served.address,
        body.len()
    );
    let request = format!("{head}{body}").into_bytes();
    let mut below = |most: usize| {
        *chance ^= *chance << 13;
        *chance ^= *chance >> 7;
        *chance ^= *chance << 17;
        (*chance % most as u64) as usize
    };
    for cuts in 0.. {
        match below(3) {
            0 => {
                let sent = if below(2) == 0 { request.len() } else { below(request.len()) };
                cut_off(served, &request, sent);
                continue;
            }
            1 => {
                // Sent whole, and cut while the answer is on its way.
                if let Ok(mut stream) = TcpStream::connect(served.address) {
                    let _ = stream.write_all(&request);
                    let _ = stream.set_read_timeout(Some(Duration::from_millis(1 + below(40) as u64)));
                    let _ = stream.read(&mut [0; 16]);
                }
                continue;
            }
            _ => {}
        }
        let mut answer = String::new();
        let Ok(mut stream) = TcpStream::connect(served.address) else { continue };
        let _ = stream.set_read_timeout(Some(Duration::from_secs(60)));
        if stream.write_all(&request).is_ok()
            && stream.read_to_string(&mut answer).is_ok()
            && answer.starts_with("HTTP/1.1 200")
        {
            return cuts;
        }
        assert!(!answer.starts_with("HTTP/1.1 4"), "{answer}");
    }
    0
}

/// Fifty phones, connections cut at random, every tick kept once. In the long set for a minute.
fn fifty_phones(seconds: u64) {
    let served = serve(demo("thistle-dock-mended"));
    let forms: Vec<_> =
        (1..=10).map(|order| entry_form(&served.get(&format!("/bench?order={order}")).expect(200), "tick")).collect();
    let until = Instant::now() + Duration::from_secs(seconds);
    let (kept, cuts) = std::thread::scope(|scope| {
        let phones: Vec<_> = (0..50)
            .map(|phone: usize| {
                let (served, forms) = (&served, &forms);
                scope.spawn(move || {
                    let (mut kept, mut cuts, mut chance) = (Vec::new(), 0, 0x9e37_79b9 + phone as u64 * 7919);
                    while kept.len() < 2 || Instant::now() < until {
                        let id = EntryId::new(&Moment::now()).to_string();
                        let form = &forms[(phone + kept.len()) % forms.len()];
                        let who = format!("phone {phone}");
                        let fields = with(form, &[("id", &id), ("who", &who), ("part", "yes")]);
                        cuts += until_kept(served, &encoded(&fields), &mut chance);
                        kept.push(id);
                    }
                    (kept, cuts)
                })
            })
            .collect();
        let all: Vec<(Vec<String>, usize)> = phones.into_iter().map(|p| p.join().expect("no trouble")).collect();
        let cuts: usize = all.iter().map(|a| a.1).sum();
        (all.into_iter().flat_map(|a| a.0).collect::<Vec<String>>(), cuts)
    });
    let there: Vec<String> =
        book(&served).into_iter().filter(|e| e.says.kind == EntryKind::Tick).map(|e| e.id.to_string()).collect();
    let (acknowledged, once): (BTreeSet<&String>, BTreeSet<&String>) = (kept.iter().collect(), there.iter().collect());
    eprintln!(
        "{seconds} s, 50 phones: {} ticks acknowledged, {cuts} connections cut, {} in the book",
        kept.len(),
        there.len()
    );
    assert_eq!(there.len(), once.len(), "each once");
    assert_eq!(acknowledged, once, "each that was acknowledged, and no other");
    assert!(cuts > 50, "hardly a connection was cut: {cuts}");
}

#[test]
fn fifty_phones_whose_connections_are_cut_keep_every_tick_once() {
    fifty_phones(2);
}

#[test]
#[ignore = "a minute long"]
fn fifty_phones_for_a_minute() {
    fifty_phones(60);
}

#[test]
fn other_pages_hear_of_entries_at_once() {
    let served = serve(demo("thistle-dock-mended"));
    let mut stream = TcpStream::connect(served.address).expect("connected");
    stream.set_read_timeout(Some(Duration::from_secs(20))).expect("set");
    write!(stream, "GET /events HTTP/1.1\r\nHost: {}\r\n\r\n", served.address).expect("sent");
    let form = entry_form(&served.get("/bench?order=1").expect(200), "tick");
    served.post("/log", &with(&form, &[])).expect(303);
    let mut heard = String::new();
    while !heard.contains("event: book") {
        let mut part = [0; 1024];
        let read = stream.read(&mut part).expect("an event within the time");
        assert!(read > 0, "closed after {heard}");
        heard.push_str(&String::from_utf8_lossy(&part[..read]));
    }
}

#[test]
fn a_demo_plan_and_a_broken_plan_take_no_entries_and_say_so() {
    let served = super::client::serve_folder();
    let bench = served.get("/demo/wye/bench").expect(200);
    assert!(bench.body.contains("has no logbook") && !bench.body.contains("data-bench"), "{}", bench.body);
    let token = served.get("/new").expect(200).hidden("token");
    let entry = [
        ("token", token.as_str()),
        ("id", "0190a0b0-0000-7000-8000-000000000001"),
        ("kind", "remark"),
        ("typed", "a loose joiner"),
    ];
    let told = served.post("/demo/wye/log", &entry).expect(409);
    assert!(told.body.contains("a loose joiner"));
    let broken = serve("[layout\n");
    assert!(broken.get("/bench").expect(200).body.contains("not understood"));
    let form = broken.form();
    let entry = [&[("token", form.0.as_str())], &entry[1..]].concat();
    assert!(broken.post("/log", &entry).expect(503).body.contains("a loose joiner"), "kept by whoever sent it");
}
