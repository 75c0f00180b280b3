//! Who may ask, and from where.
//!
//! A page elsewhere on the web must not reach the plan through the builder's own browser. So the host that was asked for
//! must be this server's own name (a name elsewhere can be made to point here), a change must come from one of this
//! server's pages (the browser tells the origin, and the form brings back a secret), and other machines of the
//! local network are let in only when asked for, each after it told the code that the terminal shows.

use axum::http::{HeaderMap, Method, StatusCode, Uri, header};
use std::collections::BTreeMap;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Wrong codes after which a device has to wait. Others are not kept waiting.
const MOST_TRIES: u32 = 10;
/// How long it waits.
const WAITS: Duration = Duration::from_secs(600);
/// Devices whose tries are counted; more than a hall has. Together they try some four codes a second of a hundred million.
const MOST_DEVICES: usize = 256;
/// How long a wrong code takes.
const WRONG_TAKES: Duration = Duration::from_millis(if cfg!(test) { 20 } else { 1000 });

pub(crate) struct Gate {
    port: u16,
    lan: Option<Lan>,
    /// What forms bring back.
    pub token: String,
}

struct Lan {
    code: String,
    cookie: String,
    tries: Mutex<BTreeMap<IpAddr, Arc<tokio::sync::Mutex<Tries>>>>,
}

/// The wrong codes of one device.
struct Tries {
    wrong: u32,
    last: Instant,
}

/// Where a request came from, and to which address of this machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Ends {
    pub peer: SocketAddr,
    pub own: SocketAddr,
}

/// What a device that wants to be paired is reported.
pub(crate) enum Paired {
    /// It is paired; the cookie to keep.
    Cookie(String),
    Wrong,
    /// There were too many wrong codes of this device.
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

/// The addresses by which other machines reach this one, those of home and hall networks first (RFC 1918), then those that machines
/// give themselves where nobody gives them one (RFC 3927). A network without a way out has them too; there may be none yet.
fn own_addresses() -> Vec<Ipv4Addr> {
    let all = if_addrs::get_if_addrs().unwrap_or_default();
    let mut found: Vec<Ipv4Addr> = all
        .into_iter()
        .filter_map(|one| match one.ip() {
            IpAddr::V4(ip) if !ip.is_loopback() && !ip.is_unspecified() => Some(ip),
            _ => None,
        })
        .collect();
    found.sort_by_key(|ip| (!ip.is_private(), ip.is_link_local(), *ip));
    found.dedup();
    found
}

/// Compares without telling by its time how much was right.
fn same(left: &str, right: &str) -> bool {
    left.len() == right.len() && left.bytes().zip(right.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

impl Gate {
    pub fn new(port: u16, lan: bool) -> io::Result<Gate> {
        let lan = if lan {
            let code = u64::from_le_bytes(random::<8>()?) % 100_000_000;
            Some(Lan { code: format!("{code:08}"), cookie: secret()?, tries: Mutex::default() })
        } else {
            None
        };
        Ok(Gate { port, lan, token: secret()? })
    }

    /// The addresses for other machines as they are now, and the code they are asked for.
    pub fn pairing(&self) -> Option<(Vec<SocketAddr>, &str)> {
        let at = |ip: Ipv4Addr| SocketAddr::new(IpAddr::V4(ip), self.port);
        self.lan.as_ref().map(|lan| (own_addresses().into_iter().map(at).collect(), lan.code.as_str()))
    }

    /// Turns away what does not come from where it must.
    pub fn check(&self, ends: Ends, method: &Method, uri: &Uri, headers: &HeaderMap) -> Result<(), RefusedRequest> {
        let mut hosts = headers.get_all(header::HOST).iter();
        let (Some(host), None) = (hosts.next().and_then(|h| h.to_str().ok()), hosts.next()) else {
            return Err(refused(StatusCode::BAD_REQUEST, "The request does not say which host it is for."));
        };
        let hosts = self.hosts(ends.own.ip().to_canonical());
        let own = |host: &str| hosts.iter().any(|h| h.eq_ignore_ascii_case(host));
        if !own(host) || uri.authority().is_some_and(|a| !own(a.as_str())) {
            let why =
                "The request is for another host. These pages answer only under the address that the terminal shows.";
            return Err(refused(StatusCode::MISDIRECTED_REQUEST, why));
        }
        if method == Method::POST {
            from_here(host, headers)?;
        }
        // Who sits at this machine started the pages.
        let Some(lan) = self.lan.as_ref().filter(|_| !ends.peer.ip().to_canonical().is_loopback()) else {
            return Ok(());
        };
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

    /// Takes a code from a device. A wrong one takes its time, and of one device one is looked at after the other.
    pub async fn pair(&self, device: IpAddr, code: &str) -> Paired {
        let Some(lan) = &self.lan else { return Paired::Closed };
        let Some(tries) = lan.tries_of(device) else { return Paired::Closed };
        let mut tries = tries.lock().await;
        if tries.last.elapsed() > WAITS {
            tries.wrong = 0;
        }
        if tries.wrong >= MOST_TRIES {
            return Paired::Closed;
        }
        let code: String = code.chars().filter(char::is_ascii_digit).collect();
        if same(&code, &lan.code) {
            let name = self.cookie_name();
            return Paired::Cookie(format!("{name}={}; HttpOnly; SameSite=Strict; Path=/", lan.cookie));
        }
        (tries.wrong, tries.last) = (tries.wrong + 1, Instant::now());
        tokio::time::sleep(WRONG_TAKES).await;
        Paired::Wrong
    }

    /// Browsers keep cookies by host and not by port.
    fn cookie_name(&self) -> String {
        format!("gapwright-{}", self.port)
    }

    /// Names that these pages answer to. The address that a request came in by is one, as long as it is asked for by that very number:
    /// a name elsewhere that was made to point here is none.
    fn hosts(&self, own: IpAddr) -> Vec<String> {
        let mut names = vec!["localhost".to_owned(), "127.0.0.1".to_owned(), "[::1]".to_owned()];
        names.extend(self.lan.iter().map(|_| own.to_string()));
        let with_port: Vec<String> = names.iter().map(|name| format!("{name}:{}", self.port)).collect();
        if self.port == 80 { [names, with_port].concat() } else { with_port }
    }
}

impl Lan {
    /// The tries of a device; none where there are too many devices to count.
    fn tries_of(&self, device: IpAddr) -> Option<Arc<tokio::sync::Mutex<Tries>>> {
        let mut all = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        if all.len() >= MOST_DEVICES && !all.contains_key(&device) {
            // Those that have waited long enough begin anew.
            all.retain(|_, tries| tries.try_lock().is_ok_and(|tries| tries.wrong > 0 && tries.last.elapsed() <= WAITS));
            if all.len() >= MOST_DEVICES {
                return None;
            }
        }
        let new = || Arc::new(tokio::sync::Mutex::new(Tries { wrong: 0, last: Instant::now() }));
        Some(Arc::clone(all.entry(device).or_insert_with(new)))
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{Gate, MOST_TRIES, Paired};
    use std::net::IpAddr;

    fn in_time(test: impl Future<Output = ()>) {
        tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap().block_on(test);
    }

    #[test]
    fn wrong_codes_of_one_device_do_not_lock_out_the_others() {
        in_time(one_guesses());
    }

    async fn one_guesses() {
        let gate = Gate::new(4747, true).unwrap();
        let code = gate.pairing().unwrap().1.to_owned();
        let wrong = if code == "00000000" { "00000001" } else { "00000000" };
        let [guesser, phone]: [IpAddr; 2] = ["192.168.7.9", "192.168.7.10"].map(|ip| ip.parse().unwrap());
        for _ in 0..MOST_TRIES {
            assert!(matches!(gate.pair(guesser, wrong).await, Paired::Wrong));
        }
        assert!(matches!(gate.pair(guesser, &code).await, Paired::Closed), "also with the right one now");
        assert!(matches!(gate.pair(phone, &code).await, Paired::Cookie(_)));
        // While one waits for its wrong code another is not kept waiting.
        let before = tokio::time::Instant::now();
        let waits = gate.pair("192.168.7.11".parse().unwrap(), wrong);
        let at_once = async {
            assert!(matches!(gate.pair("192.168.7.12".parse().unwrap(), &code).await, Paired::Cookie(_)));
            before.elapsed()
        };
        let (_, took) = tokio::join!(waits, at_once);
        assert!(took < super::WRONG_TAKES, "{took:?}");
    }

    #[test]
    fn many_devices_are_counted_and_not_more() {
        in_time(many_guess());
    }

    async fn many_guess() {
        let gate = Gate::new(4747, true).unwrap();
        let code = gate.pairing().unwrap().1.to_owned();
        let wrong = if code == "00000000" { "00000001" } else { "00000000" };
        for device in 0..super::MOST_DEVICES {
            let ip: IpAddr = [10, 0, (device / 250) as u8, (device % 250) as u8].into();
            assert!(matches!(gate.pair(ip, wrong).await, Paired::Wrong));
        }
        assert!(matches!(gate.pair([10, 1, 0, 1].into(), wrong).await, Paired::Closed));
        assert!(matches!(gate.pair([10, 0, 0, 1].into(), &code).await, Paired::Cookie(_)), "who was counted goes on");
    }
}
