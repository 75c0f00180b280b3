//! A server for a test, and a client that sends whatever it is reported, also what no browser would.

use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::time::Duration;
use tokio::sync::oneshot;

pub struct Served {
    pub address: SocketAddr,
    pub folder: tempfile::TempDir,
    pub path: PathBuf,
    /// The address for other machines, and the code.
    pub pairing: Option<(SocketAddr, String)>,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<std::io::Result<()>>>,
}

/// A demo plan.
pub fn demo(name: &str) -> &'static str {
    site::demos::DEMOS.iter().find(|d| d.name == name).expect("a demo plan").text
}

/// Serves a text as the one plan.
pub fn serve(text: &str) -> Served {
    start(Some(text), false, false)
}

/// The same, for other machines too.
pub fn serve_lan(text: &str) -> Served {
    start(Some(text), false, true)
}

/// Serves a folder of plans, with nothing open.
pub fn serve_folder() -> Served {
    start(None, true, false)
}

/// Serves a plan file that outlives the server, at a port.
pub fn serve_at(path: &std::path::Path, port: u16) -> Served {
    let options = site::Options { plan: Some(path.to_owned()), port, ..site::Options::default() };
    started(&options, tempfile::tempdir().expect("a folder"), path.to_owned())
}

fn start(text: Option<&str>, many: bool, lan: bool) -> Served {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plan.toml");
    if let Some(text) = text {
        std::fs::write(&path, text).expect("written");
    }
    let options = site::Options {
        plan: text.map(|_| path.clone()),
        folder: many.then(|| folder.path().to_owned()),
        port: 0,
        lan,
    };
    started(&options, folder, path)
}

fn started(options: &site::Options, folder: tempfile::TempDir, path: PathBuf) -> Served {
    let bound = site::bind(options).expect("bound");
    let address = bound.address();
    let pairing = bound.pairing().and_then(|(all, code)| Some((*all.first()?, code.to_owned())));
    let (stop, stopped) = oneshot::channel::<()>();
    let thread = std::thread::spawn(move || {
        bound.serve_until(async {
            let _ = stopped.await;
        })
    });
    Served { address, folder, path, pairing, stop: Some(stop), thread: Some(thread) }
}

impl Drop for Served {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

pub struct Told {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Told {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().filter_map(|l| l.split_once(": ")).find(|(n, _)| n.eq_ignore_ascii_case(name)).map(|h| h.1)
    }

    /// The value of a hidden field of the first form that has one.
    pub fn hidden(&self, name: &str) -> String {
        let start = format!("name=\"{name}\" value=\"");
        let (_, rest) = self.body.split_once(&start).unwrap_or_else(|| panic!("no field {name} in {}", self.body));
        rest.split_once('"').expect("a value").0.to_owned()
    }

    pub fn expect(self, status: u16) -> Told {
        assert_eq!(self.status, status, "{}\n{}", self.head, self.body);
        self
    }
}

impl Served {
    pub fn on_disk(&self) -> String {
        std::fs::read_to_string(&self.path).expect("readable")
    }

    /// Sends bytes as they are; none where the server closed without a word.
    pub fn raw(&self, request: &[u8]) -> Option<Told> {
        raw_to(self.address, request, true)
    }

    /// A request with a method, a path, more lines of the head, and a body.
    pub fn send(&self, method: &str, path: &str, lines: &[&str], body: &str) -> Told {
        self.send_to(self.address, method, path, lines, body)
    }

    /// The same, to another of its addresses.
    pub fn send_to(&self, to: SocketAddr, method: &str, path: &str, lines: &[&str], body: &str) -> Told {
        send_to(to, method, path, lines, body)
    }

    pub fn get(&self, path: &str) -> Told {
        self.send("GET", path, &[], "")
    }

    /// Which plan the pages at an address are of, as forms bring it back.
    pub fn plan_of(&self, base: &str) -> String {
        let page = self.get(&format!("{base}/lines")).body;
        let (_, rest) = page.split_once(" data-plan=\"").unwrap_or_default();
        rest.split('"').next().unwrap_or_default().to_owned()
    }

    /// Sends a form as a page of the site would; which plan it was made for is added where it is not said.
    pub fn post(&self, path: &str, fields: &[(&str, &str)]) -> Told {
        let plan = self.plan_of(path.rsplit_once('/').map_or("", |p| p.0));
        let said = fields.iter().any(|f| f.0 == "plan");
        let fields: Vec<(&str, &str)> =
            fields.iter().copied().chain((!said).then_some(("plan", plan.as_str()))).collect();
        let fields = fields.as_slice();
        let origin = format!("Origin: http://{}", self.address);
        let lines = [origin.as_str(), "Sec-Fetch-Site: same-origin", "Content-Type: application/x-www-form-urlencoded"];
        self.send("POST", path, &lines, &encoded(fields))
    }

    /// The secret of the forms, and the version that the plan has now.
    pub fn form(&self) -> (String, String) {
        self.form_at("")
    }

    /// The same of one plan of several.
    pub fn form_at(&self, base: &str) -> (String, String) {
        let page = self.get(&format!("{base}/plan")).expect(200);
        (page.hidden("token"), page.hidden("based-on"))
    }

    pub fn save(&self, text: &str, form: &(String, String)) -> Told {
        self.save_at("", text, form)
    }

    /// The same into one plan of several.
    pub fn save_at(&self, base: &str, text: &str, (token, based_on): &(String, String)) -> Told {
        self.post(&format!("{base}/save"), &[("token", token), ("based-on", based_on), ("text", text)])
    }
}

/// A request to any server.
pub fn send_to(to: SocketAddr, method: &str, path: &str, lines: &[&str], body: &str) -> Told {
    let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\nContent-Length: {}\r\n", body.len());
    if !lines.iter().any(|l| l.starts_with("Host:")) {
        head.push_str(&format!("Host: {to}\r\n"));
    }
    for line in lines {
        head.push_str(line);
        head.push_str("\r\n");
    }
    raw_to(to, format!("{head}\r\n{body}").as_bytes(), false).expect("an answer")
}

/// `hangs_up`: whether to say that no more comes, so that the server does not wait for the rest of what is no request.
fn raw_to(to: SocketAddr, request: &[u8], hangs_up: bool) -> Option<Told> {
    let mut stream = TcpStream::connect(to).expect("connected");
    stream.set_read_timeout(Some(Duration::from_secs(60))).expect("set");
    // A server that has refused already may close before all is sent.
    let _ = stream.write_all(request);
    if hangs_up {
        let _ = stream.shutdown(std::net::Shutdown::Write);
    }
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n")?;
    let status = head.split(' ').nth(1)?.parse().ok()?;
    Some(Told { status, head: head.to_owned(), body: body.to_owned() })
}

pub fn encoded(fields: &[(&str, &str)]) -> String {
    form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish()
}
