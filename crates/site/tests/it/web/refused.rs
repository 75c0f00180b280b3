//! What is turned away, with a page that says why, and nothing written.

use super::client::{Served, demo, encoded, serve, serve_folder};

/// A request that must be refused, and how.
struct Bad<'a> {
    method: &'a str,
    path: &'a str,
    lines: Vec<&'a str>,
    status: u16,
    says: &'a str,
}

#[test]
fn what_comes_from_elsewhere_is_turned_away() {
    let text = demo("thistle-dock");
    let served = serve(text);
    let (token, based_on) = served.form();
    let body = encoded(&[("token", &token), ("based-on", &based_on), ("text", "[layout]\nname = \"taken over\"\n")]);
    let port = served.address.port();
    let [named, dotted] = [format!("Host: layout.example:{port}"), format!("Host: 127.0.0.1.example:{port}")];
    let own = format!("Host: 127.0.0.1:{port}");
    let other_port = format!("Origin: http://127.0.0.1:{}", port.wrapping_add(1));
    let bad = |method, path, lines, status, says| Bad { method, path, lines, status, says };
    let cases = [
        bad("GET", "/", vec![named.as_str()], 421, "another host"),
        bad("POST", "/save", vec![named.as_str()], 421, "another host"),
        bad("GET", "/", vec![dotted.as_str()], 421, "another host"),
        bad("GET", "/", vec!["Host: 127.0.0.1"], 421, "another host"),
        bad("GET", "/", vec!["Host: "], 421, "another host"),
        bad("GET", "/", vec![own.as_str(), named.as_str()], 400, "which host"),
        bad("GET", "http://layout.example/", vec![own.as_str()], 421, "another host"),
        bad("POST", "/save", vec!["Origin: https://layout.example"], 403, "page elsewhere"),
        bad("POST", "/save", vec![other_port.as_str()], 403, "page elsewhere"),
        bad("POST", "/save", vec!["Sec-Fetch-Site: cross-site"], 403, "page elsewhere"),
        bad("POST", "/save", vec!["Sec-Fetch-Site: same-site"], 403, "page elsewhere"),
        bad("POST", "/save", vec!["Origin: null", "Sec-Fetch-Site: cross-site"], 403, "page elsewhere"),
        bad("PUT", "/save", vec![], 405, "only takes what a form sends"),
        bad("GET", "/save", vec![], 405, "only takes what a form sends"),
        bad("DELETE", "/plan", vec![], 405, "only be looked at"),
        bad("POST", "/plan", vec![], 405, "only be looked at"),
        bad("OPTIONS", "/", vec![], 405, "only be looked at"),
        bad("TRACE", "/", vec![], 405, "only be looked at"),
        bad("GET", "/../../etc/passwd", vec![], 404, "no such page"),
        bad("GET", "/%2e%2e/%2e%2e/etc/passwd", vec![], 404, "no such page"),
        bad("GET", "/plan/..%2fplan.toml", vec![], 404, "no such page"),
        bad("GET", "//plan.toml", vec![], 404, "no such page"),
        bad("GET", "/plan.toml", vec![], 404, "no such page"),
        bad("POST", "/open", vec![], 404, "no such page"),
        bad("POST", "/new", vec![], 404, "no such page"),
        bad("GET", "/pair", vec![], 404, "no pairing"),
        bad("GET", "/?T1=sideways", vec![], 400, "no position"),
        bad("GET", "/?T9=through", vec![], 400, "nothing named"),
        bad("GET", "/?layer=gold", vec![], 400, "no layer"),
        bad("GET", "/?view=inside", vec![], 400, "no view"),
        bad("GET", "/?way=99", vec![], 400, "no such route"),
        bad("GET", "/place?at=dock+9", vec![], 404, "no such place"),
        bad("GET", "/place?at=F-999", vec![], 404, "no such place"),
        bad("GET", "/bench?test=999", vec![], 404, "no test"),
        bad("GET", "/bench?order=0", vec![], 404, "no order"),
        bad("GET", "/log", vec![], 405, "only takes what a form sends"),
        bad("GET", "/of/plan.toml/", vec![], 404, "no such page"),
        bad("GET", "/finding?name=short-circuit&n=7", vec![], 404, "no such finding"),
        bad("GET", "/explain?name=nonsense", vec![], 404, "no such finding"),
    ];
    for Bad { method, path, lines, status, says } in cases {
        let told = served.send(method, path, &lines, if method == "POST" { &body } else { "" });
        let case = format!("{method} {path} {lines:?}");
        assert_eq!(told.status, status, "{case}\n{}", told.body);
        assert!(told.body.contains(says), "{case} says\n{}", told.body);
        hardened(&told, &case);
    }
    assert_eq!(served.on_disk(), text);
}

#[test]
fn a_form_without_its_secret_changes_nothing() {
    let text = demo("thistle-dock");
    let served = serve(text);
    let (token, based_on) = served.form();
    let forged = token.replace(|c| c != 'f', "f");
    for wrong in ["", "x", &forged, &token[1..]] {
        for path in ["/save", "/check", "/mend", "/undo", "/redo", "/act", "/log"] {
            let told = served.post(path, &[("token", wrong), ("based-on", &based_on), ("text", "x")]);
            assert_eq!(told.status, 403, "{path} with {wrong:?}");
        }
    }
    assert_eq!(served.on_disk(), text);
}

/// A head's lines end in CR LF (RFC 9112, 2.2), and pages send no bodies of unknown length.
#[test]
fn requests_that_are_not_in_form_are_refused() {
    let text = demo("thistle-dock");
    let served = serve(text);
    let host = format!("Host: {}", served.address);
    for request in [
        format!("GET / HTTP/1.1\n{host}\n\n"),
        format!("GET / HTTP/1.1\r\n{host}\nConnection: close\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{host}\r\n\n"),
        format!("POST /save HTTP/1.1\r\n{host}\r\nTransfer-Encoding: chunked\r\n\r\n1\r\na\r\n0\r\n\r\n"),
    ] {
        let told = served.raw(request.as_bytes()).unwrap_or_else(|| panic!("no answer to {request:?}"));
        assert_eq!(told.status, 400, "{request:?}");
        assert!(!told.body.contains("Thistle"), "{request:?}");
    }
    // Several in one connection, with a body in between that has bare line feeds.
    let body = "token=x&text=a\nb\n";
    let first = format!("POST /save HTTP/1.1\r\n{host}\r\nContent-Length: {}\r\n\r\n{body}", body.len());
    let mut stream = std::net::TcpStream::connect(served.address).expect("connected");
    let both = format!("{first}GET /lines HTTP/1.1\r\n{host}\r\nConnection: close\r\n\r\n");
    std::io::Write::write_all(&mut stream, both.as_bytes()).expect("sent");
    let mut told = String::new();
    std::io::Read::read_to_string(&mut stream, &mut told).expect("answers");
    assert!(told.starts_with("HTTP/1.1 403") && told.contains("HTTP/1.1 200 OK"), "{told}");
    assert_eq!(served.on_disk(), text);
}

#[test]
fn what_is_too_long_is_turned_away() {
    let text = demo("thistle-dock");
    let served = serve(text);
    let form = served.form();
    let limit = plan::LARGEST_PLAN;
    served.save(&"#".repeat(limit + 1), &form).expect(413);
    // Announced and never sent: refused by what is announced, or by what comes.
    let head = format!("POST /save HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Length: ", served.address);
    let told = served.raw(format!("{head}99999999\r\n\r\n{}", "a".repeat(3 * limit + (80 << 10))).as_bytes());
    assert!(told.is_none_or(|t| t.status == 413));
    assert_eq!(served.on_disk(), text);
    served.get("/").expect(200);
}

#[test]
fn new_files_stay_in_their_folder_and_overwrite_nothing() {
    let served = serve_folder();
    std::fs::write(served.folder.path().join("mine.toml"), "precious").expect("written");
    let token = served.get("/new").expect(200).hidden("token");
    for name in ["../out", "/out", "a/b", ".hidden", "", "mine", "mine.toml", "..\\out", "a\r\nb"] {
        served.post("/new", &[("token", &token), ("file", name)]).expect(422);
        served.post("/keep", &[("token", &token), ("file", name), ("text", "x")]).expect(422);
    }
    for nothing in ["/of/..%2Fplan.toml/", "/of/%2e%2e/", "/of/other.toml/", "/of/", "/demo/nothing/", "/of//plan"] {
        served.get(nothing).expect(404);
    }
    let there: Vec<_> =
        std::fs::read_dir(served.folder.path()).expect("readable").map(|e| e.expect("read").file_name()).collect();
    assert_eq!(there, ["mine.toml"]);
    assert_eq!(std::fs::read_to_string(served.folder.path().join("mine.toml")).expect("readable"), "precious");
}

/// What every answer carries, so that a browser holds to it (Content Security Policy Level 3; Fetch, nosniff).
pub fn hardened(told: &super::client::Told, case: &str) {
    let policy = told.header("content-security-policy").unwrap_or_else(|| panic!("{case} has no policy"));
    assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"), "{case}: {policy}");
    assert!(!policy.contains("unsafe") || told.header("content-type") == Some("image/svg+xml"), "{case}: {policy}");
    assert_eq!(told.header("x-content-type-options"), Some("nosniff"), "{case}");
    assert_eq!(told.header("referrer-policy"), Some("no-referrer"), "{case}");
}

#[test]
fn every_page_is_hardened_and_asks_nobody_else() {
    let served = serve(demo("thistle-dock"));
    for path in super::looks::PAGES {
        let told = served.get(path);
        hardened(&told, path);
        asks_nobody(&served, path, &told.body);
    }
}

/// No page names another host, carries styles or script inside, or has handlers as attributes.
fn asks_nobody(served: &Served, path: &str, body: &str) {
    let body = body.replace("http://www.w3.org/2000/svg", "").replace(&format!("http://{}", served.address), "");
    for bad in ["http://", "https://", "style=\"", " onclick", " onload", "javascript:", "src=\"//", "href=\"//"] {
        assert!(!body.contains(bad), "{path} has {bad}");
    }
    if !path.starts_with("/profile.svg") {
        assert!(!body.contains("<style"), "{path} carries styles inside");
    }
    let own =
        ["site", "drawing", "kept", "bench"].map(|name| body.matches(&format!("<script src=\"/{name}.js\"")).count());
    assert_eq!(body.matches("<script").count(), own.iter().sum::<usize>(), "{path}");
}

/// From the address for other machines nothing is shown before the code is reported. A request to it from this very machine
/// comes from that address too, and so is a stranger's.
#[test]
fn another_machine_is_let_in_by_the_code_alone() {
    let served = super::client::serve_lan(demo("thistle-dock"));
    let (address, code) = served.pairing.clone().expect("an address for other machines");
    assert!(!address.ip().is_loopback(), "this machine has no network, so pairing cannot be tried");
    let there = |method: &str, path: &str, lines: &[&str], body: &str| {
        let host = format!("Host: {address}");
        let lines: Vec<&str> = [&[host.as_str()], lines].concat();
        served.send_to(address, method, path, &lines, body)
    };
    for path in ["/", "/plan", "/findings", "/events", "/pair", "/nonsense"] {
        let told = there("GET", path, &[], "");
        assert_eq!(told.status, if path == "/pair" { 200 } else { 403 }, "{path}");
        assert!(told.body.contains("Pair this device") && !told.body.contains("Thistle"), "{path}");
        assert!(!told.body.contains("name=\"token\""), "{path} gives the secret away");
        hardened(&told, path);
    }
    let form = served.form();
    let save = encoded(&[("token", &form.0), ("based-on", &form.1), ("text", "x")]);
    assert_eq!(there("POST", "/save", &[], &save).status, 403);
    let wrong = if code == "00000000" { "00000001" } else { "00000000" };
    let before = std::time::Instant::now();
    assert_eq!(there("POST", "/pair", &[], &encoded(&[("code", wrong)])).status, 403);
    assert!(before.elapsed().as_millis() >= 900, "a wrong code takes its time");
    let spaced = format!("{} {}", &code[..4], &code[4..]);
    let paired = there("POST", "/pair", &[], &encoded(&[("code", &spaced)])).expect(303);
    let cookie = paired.header("set-cookie").expect("a cookie").to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let cookie = format!("Cookie: other=1; {}", cookie.split(';').next().unwrap_or_default());
    assert!(there("GET", "/", &[&cookie], "").expect(200).body.contains("Thistle Dock"));
    let forged = format!("{}0", &cookie[..cookie.len() - 1]);
    let other = format!("{}1", &cookie[..cookie.len() - 1]);
    let let_in = [forged, other].iter().filter(|c| there("GET", "/", &[c], "").status == 200).count();
    assert!(let_in <= 1, "only the very cookie is let in");
    assert_eq!(served.on_disk(), demo("thistle-dock"));
}

#[test]
fn the_server_stops_while_pages_listen() {
    use std::io::{Read as _, Write as _};
    let served = serve(demo("thistle-dock"));
    let mut listening = std::net::TcpStream::connect(served.address).expect("connected");
    write!(listening, "GET /events HTTP/1.1\r\nHost: {}\r\n\r\n", served.address).expect("sent");
    let mut first = [0; 512];
    let read = listening.read(&mut first).expect("read");
    assert!(String::from_utf8_lossy(&first[..read]).starts_with("HTTP/1.1 200"));
    let before = std::time::Instant::now();
    drop(served);
    assert!(before.elapsed().as_secs() < 10, "it hung");
}
