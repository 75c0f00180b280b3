//! What comes too slowly is closed, and nobody else notices.

use super::client::{demo, serve};
use std::io::{ErrorKind, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

/// Beyond this a slow connection was left open.
const LONG: Duration = Duration::from_secs(30);

/// Sends a beginning, then a byte a second; gives what was answered until the server closed.
fn drip(to: SocketAddr, beginning: &str) -> String {
    let mut stream = TcpStream::connect(to).expect("connected");
    stream.set_read_timeout(Some(Duration::from_secs(1))).expect("set");
    stream.write_all(beginning.as_bytes()).expect("sent");
    let (begun, mut heard, mut part) = (Instant::now(), Vec::new(), [0; 4096]);
    loop {
        assert!(begun.elapsed() < LONG, "{beginning:?} was left open; answered: {}", String::from_utf8_lossy(&heard));
        match stream.read(&mut part) {
            Ok(0) => break,
            Ok(read) => heard.extend_from_slice(&part[..read]),
            // Nothing was said within the second.
            Err(error) if [ErrorKind::WouldBlock, ErrorKind::TimedOut].contains(&error.kind()) => {
                if stream.write_all(b"a").is_err() {
                    break;
                }
            }
            Err(_) => break,
        }
    }
    assert!(begun.elapsed() > Duration::from_secs(3), "{beginning:?} was closed at once");
    String::from_utf8_lossy(&heard).into_owned()
}

#[test]
fn a_byte_a_second_is_closed_and_events_go_on() {
    let served = serve(demo("thistle-dock"));
    let to = served.address;
    let mut listening = TcpStream::connect(to).expect("connected");
    listening.set_read_timeout(Some(LONG)).expect("set");
    write!(listening, "GET /events HTTP/1.1\r\nHost: {to}\r\n\r\n").expect("sent");
    let (token, based_on) = served.form();
    let fields = [("token", token.as_str()), ("based-on", &based_on), ("text", "# slow")];
    let form = super::client::encoded(&fields);
    let length = form.len() + 1000;
    let head = format!("GET / HTTP/1.1\r\nHost: {to}\r\nX-Slow: ");
    let body = format!(
        "POST /save HTTP/1.1\r\nHost: {to}\r\nOrigin: http://{to}\r\nContent-Length: {length}\r\n\
         Content-Type: application/x-www-form-urlencoded\r\n\r\n{form}"
    );
    std::thread::scope(|scope| {
        scope.spawn(|| assert_eq!(drip(to, &head), "", "half a head is no request"));
        scope.spawn(|| {
            let told = drip(to, &body);
            assert!(told.starts_with("HTTP/1.1 408 "), "{told}");
            assert!(told.contains("Nothing was written"), "{told}");
        });
        scope.spawn(|| {
            // Others are answered meanwhile.
            for _ in 0..5 {
                std::thread::sleep(Duration::from_secs(1));
                let begun = Instant::now();
                served.get("/findings").expect(200);
                assert!(begun.elapsed() < Duration::from_secs(5));
            }
        });
    });
    assert_eq!(served.on_disk(), demo("thistle-dock"), "nothing was written");
    // The stream of events is older than the slow ones became, and still tells of changes.
    served.save("# quick\n", &served.form()).expect(303);
    let version = site::store::Version::from_content(b"# quick\n").to_string();
    let (mut heard, mut part) = (String::new(), [0; 1024]);
    while !heard.contains(&version) {
        let read = listening.read(&mut part).expect("an event within the time");
        assert!(read > 0, "closed after {heard}");
        heard.push_str(&String::from_utf8_lossy(&part[..read]));
    }
}
