//! How long the server takes to show the drawing with one more turnout thrown, on long plans.
//!
//! `cargo bench -p site --bench throwing`

use oracle::ladders::{LadderShape, plan};
use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

fn get(address: SocketAddr, path: &str) -> (String, Duration) {
    let start = Instant::now();
    let mut stream = TcpStream::connect(address).expect("connected");
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").expect("sent");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 200"), "{path}: {answer}");
    (answer, start.elapsed())
}

fn main() {
    for (shape, turnouts) in [(LadderShape::Ladder, 200), (LadderShape::Yards, 198), (LadderShape::DoubleEnded, 200)] {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("plan.toml");
        let text = plan(shape, turnouts);
        std::fs::write(&path, &text).expect("written");
        let bound = site::bind(&site::Options { plan: Some(path), ..site::Options::default() }).expect("bound");
        let address = bound.address();
        std::thread::spawn(move || bound.serve());
        let start = Instant::now();
        let (_, reviewed) = get(address, "/findings");
        let page = loop {
            let (page, _) = get(address, "/");
            if page.contains("<svg") {
                break page;
            }
        };
        let opening = start.elapsed();
        // Every link of a turnout in the list throws it.
        let links: Vec<String> = page
            .match_indices("data-key=\"listed")
            .filter_map(|(at, _)| {
                page[..at].rsplit_once("href=\"").map(|l| l.1.split('"').next().unwrap_or_default().to_owned())
            })
            .collect();
        for layer in ["phase", "volts", "fault"] {
            let mut took: Vec<Duration> = links
                .iter()
                .step_by(links.len().div_ceil(60).max(1))
                .map(|link| get(address, &format!("{link}&layer={layer}").replace("&amp;", "&")).1)
                .collect();
            took.sort();
            println!(
                "{shape:?}, {} turnouts, {layer}: {} throws, median {:.1} ms, longest {:.1} ms; reviewed in {:.0} ms, drawing laid out in {:.0} ms; page {} kB",
                links.len(),
                took.len(),
                took[took.len() / 2].as_secs_f64() * 1e3,
                took[took.len() - 1].as_secs_f64() * 1e3,
                reviewed.as_secs_f64() * 1e3,
                opening.as_secs_f64() * 1e3,
                page.len() / 1000
            );
        }
    }
}
