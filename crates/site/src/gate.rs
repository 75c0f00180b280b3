//! Who may ask, and from where.
//!
//! A page elsewhere on the web must not reach the plan through the builder's own browser. So the host that was asked for
//! must be this server's own name (a name elsewhere can be made to point here), a change must come from one of this
//! server's pages (the browser tells the origin, and the form brings back a secret), and other machines of the
//! local network are let in only when asked for, each after it told the code that the terminal shows.

use axum::http::{HeaderMap, Method, StatusCode, Uri, header};
use std::io;
use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::time::Duration;

/// Wrong codes after which no device is paired any more until the pages are started anew.
const MOST_TRIES: u32 = 30;
/// How long a wrong code takes; others wait meanwhile.
const WRONG_TAKES: Duration = Duration::from_secs(1);

pub(crate) struct Gate {
    port: u16,
    lan: Option<Lan>,
    /// What forms bring back.
    pub token: String,
}

struct Lan {
    address: IpAddr,
    code: String,
    cookie: String,
    tries: tokio::sync::Mutex<u32>,
}

/// What a device that wants to be paired is reported.
pub(crate) enum Paired {
    /// It is paired; the cookie to keep.
    Cookie(String),
    Wrong,
    /// There were too many wrong codes.
    Closed,
}

/// A request that is turned away, and why.
#[derive(Debug)]
pub(crate) struct RefusedRequest {
    pub status: StatusCode,
    pub why: &'static str,
    /// Whether pairing would help.
    pub pair: bool,
}

fn refused(status: StatusCode, why: &'static str) -> RefusedRequest {
    RefusedRequest { status, why, pair: false }
}

fn random<const N: usize>() -> io::Result<[u8; N]> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|e| io::Error::other(e.to_string()))?;
    Ok(bytes)
}

fn secret() -> io::Result<String> {
    Ok(random::<16>()?.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// The address by which other machines of the local network reach this one. Joining such a socket sends nothing; the address is
/// one of those kept for documents (RFC 5737).
fn own_address() -> io::Result<IpAddr> {
    let socket = UdpSocket::bind(("0.0.0.0", 0))?;
    socket.connect(("192.0.2.1", 9))?;
    Ok(socket.local_addr()?.ip())
}

/// Compares without telling by its time how much was right.
fn same(left: &str, right: &str) -> bool {
    left.len() == right.len() && left.bytes().zip(right.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

impl Gate {
    pub fn new(port: u16, lan: bool) -> io::Result<Gate> {
        let lan = if lan {
            let code = u64::from_le_bytes(random::<8>()?) % 100_000_000;
            let (address, cookie) = (own_address()?, secret()?);
            Some(Lan { address, code: format!("{code:08}"), cookie, tries: tokio::sync::Mutex::new(0) })
        } else {
            None
        };
        Ok(Gate { port, lan, token: secret()? })
    }

    /// The address for other machines, and the code they are asked for.
    pub fn pairing(&self) -> Option<(SocketAddr, &str)> {
        self.lan.as_ref().map(|lan| (SocketAddr::new(lan.address, self.port), lan.code.as_str()))
    }

    /// Turns away what does not come from where it must.
    pub fn check(
        &self,
        peer: SocketAddr,
        method: &Method,
        uri: &Uri,
        headers: &HeaderMap,
    ) -> Result<(), RefusedRequest> {
        let mut hosts = headers.get_all(header::HOST).iter();
        let (Some(host), None) = (hosts.next().and_then(|h| h.to_str().ok()), hosts.next()) else {
            return Err(refused(StatusCode::BAD_REQUEST, "The request does not say which host it is for."));
        };
        let own = |host: &str| self.hosts().iter().any(|h| h.eq_ignore_ascii_case(host));
        if !own(host) || uri.authority().is_some_and(|a| !own(a.as_str())) {
            let why =
                "The request is for another host. These pages answer only under the address that the terminal shows.";
            return Err(refused(StatusCode::MISDIRECTED_REQUEST, why));
        }
        if method == Method::POST {
            from_here(host, headers)?;
        }
        // Who sits at this machine started the pages.
        let Some(lan) = self.lan.as_ref().filter(|_| !peer.ip().to_canonical().is_loopback()) else { return Ok(()) };
        let name = self.cookie_name();
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok()).flat_map(|c| c.split(';'));
        let paired = cookies.filter_map(|c| c.trim().split_once('=')).any(|(n, v)| n == name && same(v, &lan.cookie));
        if paired {
            return Ok(());
        }
        Err(RefusedRequest { status: StatusCode::FORBIDDEN, why: "This device is not paired yet.", pair: true })
    }

    /// Whether a form brought the secret back that this server put into it.
    pub fn knows(&self, token: Option<&str>) -> bool {
        token.is_some_and(|token| same(token, &self.token))
    }

    /// Takes a code from a device. A wrong one takes its time, and one is looked at after the other.
    pub async fn pair(&self, code: &str) -> Paired {
        let Some(lan) = &self.lan else { return Paired::Closed };
        let mut tries = lan.tries.lock().await;
        if *tries >= MOST_TRIES {
            return Paired::Closed;
        }
        let code: String = code.chars().filter(char::is_ascii_digit).collect();
        if same(&code, &lan.code) {
            let name = self.cookie_name();
            return Paired::Cookie(format!("{name}={}; HttpOnly; SameSite=Strict; Path=/", lan.cookie));
        }
        *tries += 1;
        tokio::time::sleep(WRONG_TAKES).await;
        Paired::Wrong
    }

    /// Browsers keep cookies by host and not by port.
    fn cookie_name(&self) -> String {
        format!("gapwright-{}", self.port)
    }

    fn hosts(&self) -> Vec<String> {
        let mut names = vec!["localhost".to_owned(), "127.0.0.1".to_owned(), "[::1]".to_owned()];
        names.extend(self.lan.iter().map(|lan| lan.address.to_string()));
        let with_port: Vec<String> = names.iter().map(|name| format!("{name}:{}", self.port)).collect();
        if self.port == 80 { [names, with_port].concat() } else { with_port }
    }
}

/// Turns away what a page of somebody else sends through the builder's browser.
///
/// A browser that was reported to send no referrer calls the origin of a form `null`, and one that is not sure of the way here says
/// nothing of the site; then the secret in the form alone decides.
fn from_here(host: &str, headers: &HeaderMap) -> Result<(), RefusedRequest> {
    let why = "The request comes from a page elsewhere, and changes can be made only from these pages.";
    let elsewhere = || refused(StatusCode::FORBIDDEN, why);
    if headers.get("sec-fetch-site").is_some_and(|site| site != "same-origin") {
        return Err(elsewhere());
    }
    if let Some(origin) = headers.get(header::ORIGIN) {
        let own = format!("http://{host}");
        if origin != "null" && !origin.to_str().is_ok_and(|o| o.eq_ignore_ascii_case(&own)) {
            return Err(elsewhere());
        }
    }
    Ok(())
}
