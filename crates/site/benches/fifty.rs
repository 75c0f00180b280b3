//! Fifty people with phones look and edit for a minute (or as many seconds as are named): whether an edit is lost, and how
//! long answers take.
//!
//! `cargo bench -p site --bench fifty -- 60`

use std::collections::BTreeSet;
use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

fn ask(address: SocketAddr, head: &str, body: &str) -> String {
    let mut stream = TcpStream::connect(address).expect("connected");
    let length = body.len();
    write!(stream, "{head} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{body}")
        .expect("sent");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    answer
}

fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    text.split_once(from).and_then(|t| t.1.split_once(to)).map_or("", |t| t.0)
}

#[derive(Default)]
struct Counts {
    saved: Vec<String>,
    conflicts: usize,
    looks: usize,
    longest: Duration,
}

fn person(address: SocketAddr, number: usize, until: Instant) -> Counts {
    let mut counts = Counts::default();
    let mut round = 0;
    while Instant::now() < until {
        let start = Instant::now();
        let looked = ask(address, "GET /?T1=diverging", "");
        assert!(looked.starts_with("HTTP/1.1 200"), "{looked}");
        let page = ask(address, "GET /plan", "");
        counts.looks += 2;
        let fields =
            ["token", "plan", "based-on"].map(|f| between(&page, &format!("name=\"{f}\" value=\""), "\"").to_owned());
        let text = between(&page, "<textarea", "</textarea>");
        let text = text.split_once('>').map_or("", |t| t.1).trim_start_matches('\n');
        let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
        let line = format!("# person {number} round {round}\n");
        let form: String = form_urlencoded::Serializer::new(String::new())
            .extend_pairs([
                ("token", fields[0].as_str()),
                ("plan", &fields[1]),
                ("based-on", &fields[2]),
                ("text", &(text + &line)),
            ])
            .finish();
        let told = ask(address, "POST /save", &form);
        match told.split(' ').nth(1) {
            Some("303") => {
                counts.saved.push(line);
                round += 1;
            }
            Some("409") => counts.conflicts += 1,
            _ => panic!("{told}"),
        }
        counts.longest = counts.longest.max(start.elapsed() / 3);
    }
    counts
}

fn main() {
    let seconds = std::env::args().nth(1).and_then(|s| s.parse().ok()).unwrap_or(60);
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plan.toml");
    let demo = site::demos::DEMOS.iter().find(|d| d.name == "thistle-dock").expect("a demo plan").text;
    std::fs::write(&path, demo).expect("written");
    let bound = site::bind(&site::Options { plan: Some(path.clone()), ..site::Options::default() }).expect("bound");
    let address = bound.address();
    std::thread::spawn(move || bound.serve());
    let until = Instant::now() + Duration::from_secs(seconds);
    let people: Vec<_> = (0..50).map(|number| std::thread::spawn(move || person(address, number, until))).collect();
    let counts: Vec<Counts> =
        people.into_iter().map(|p| p.join().expect("no error other than told conflicts")).collect();
    let text = std::fs::read_to_string(&path).expect("readable");
    let there: BTreeSet<&str> = text.lines().filter(|l| l.starts_with("# person")).collect();
    let saved: usize = counts.iter().map(|c| c.saved.len()).sum();
    let lost = counts.iter().flat_map(|c| &c.saved).filter(|line| !there.contains(line.trim_end())).count();
    println!(
        "{seconds} s, 50 people: {} pages looked at, {saved} edits saved, {} conflicts told, {lost} edits lost, {} lines there; longest answer {:.2} s",
        counts.iter().map(|c| c.looks).sum::<usize>(),
        counts.iter().map(|c| c.conflicts).sum::<usize>(),
        there.len(),
        counts.iter().map(|c| c.longest).max().unwrap_or_default().as_secs_f64()
    );
    assert_eq!((lost, there.len()), (0, saved));
}
