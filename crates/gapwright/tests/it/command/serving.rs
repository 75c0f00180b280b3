//! `gapwright serve`: says where, answers there, ends on Ctrl-C.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A server that is ended with the test, however that ends.
struct Serving(Child);

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[cfg(unix)]
#[test]
fn it_serves_until_it_is_interrupted() {
    let mut serving = Serving(
        Command::new(env!("CARGO_BIN_EXE_gapwright"))
            .arg("serve")
            .arg(super::demo("thistle-dock"))
            .args(["--port", "0"])
            .stdout(Stdio::piped())
            .spawn()
            .expect("the command starts"),
    );
    let mut first = String::new();
    let out = serving.0.stdout.take().expect("its output");
    BufReader::new(out).read_line(&mut first).expect("a line");
    let address = first.trim().strip_prefix("open http://").expect("an address").to_owned();
    assert!(address.starts_with("127.0.0.1:"), "{address}");
    let mut stream = TcpStream::connect(&address).expect("connected");
    write!(stream, "GET / HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").expect("sent");
    let mut page = String::new();
    stream.read_to_string(&mut page).expect("a page");
    assert!(page.starts_with("HTTP/1.1 200") && page.contains("Thistle Dock"), "{page}");
    let id = serving.0.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().expect("a signal is sent").success());
    let until = Instant::now() + Duration::from_secs(20);
    while Instant::now() < until {
        if let Some(ended) = serving.0.try_wait().expect("it can be asked") {
            assert_eq!(ended.code(), Some(0));
            return;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    panic!("it did not end");
}

#[test]
fn a_plan_that_is_not_there_is_told() {
    let ended = super::run(&["serve", "no-such-plan.toml", "--port", "0"]);
    assert_eq!(ended.status, 2);
    assert!(ended.err().contains("the plan file cannot be read"), "{}", ended.err());
}
