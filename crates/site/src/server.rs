//! The server: binds, answers, notices what changes on the disk, stops.

mod acting;
mod answer;
mod asking;
mod bench;
mod change;
mod connections;
mod drawing;
mod papers;
mod saving;
mod squeezed;
mod strict;

use crate::gate::Gate;
use crate::open_plan::OpenPlan;
use crate::shelf::Shelf;
use crate::store::StoreError;
use std::future::Future;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicUsize;
use std::time::Duration;

/// How often the plan file is looked at.
const LOOKS: Duration = Duration::from_secs(1);
/// Texts that are looked at at once while they are written.
const CHECKS: usize = 2;
/// Binders and their files that are made at once.
const BINDERS: usize = 2;
/// How long answers that have begun may take when the server stops. Streams of events never end by themselves.
const LAST_ANSWERS: Duration = Duration::from_millis(800);

/// What to serve, and to whom.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The plan; where it is left out, pages to choose one, from `folder` and the demo plans.
    pub plan: Option<PathBuf>,
    /// Where plans are looked for and new ones written; none where only `plan` is shown.
    pub folder: Option<PathBuf>,
    /// The port; 0 for any that is free.
    pub port: u16,
    /// Whether other machines of the local network may ask, once they are paired.
    pub lan: bool,
}

/// What keeps the server from starting.
#[derive(Debug, thiserror::Error)]
pub enum SiteError {
    /// The plan file.
    #[error(transparent)]
    Plan(#[from] StoreError),
    /// The port.
    #[error("port {0} cannot be used: {1}")]
    Port(u16, io::Error),
    /// Anything else of the system.
    #[error("the pages cannot be served: {0}")]
    System(#[from] io::Error),
}

/// What all answers share.
pub(crate) struct Site {
    gate: Gate,
    shelf: Shelf,
    streams: Arc<AtomicUsize>,
    /// Texts that are looked at while they are written, as many at once as this lets through.
    checks: tokio::sync::Semaphore,
    /// Binders and their files, the same.
    binders: Arc<tokio::sync::Semaphore>,
    style: String,
}

/// A server that has its port.
pub struct BoundServer {
    site: Arc<Site>,
    listener: TcpListener,
    address: SocketAddr,
}

/// Takes the port and opens the plan.
///
/// # Errors
/// Where the plan cannot be read, or the port is taken.
pub fn bind(options: &Options) -> Result<BoundServer, SiteError> {
    let only = options.plan.as_deref().map(|path| OpenPlan::file(path, String::new())).transpose()?;
    let ip = if options.lan { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let listener = TcpListener::bind((ip, options.port)).map_err(|e| SiteError::Port(options.port, e))?;
    let address = listener.local_addr()?;
    let site = Site {
        gate: Gate::new(address.port(), options.lan)?,
        shelf: Shelf::new(only, options.folder.clone()),
        streams: Arc::default(),
        checks: tokio::sync::Semaphore::new(CHECKS),
        binders: Arc::new(tokio::sync::Semaphore::new(BINDERS)),
        style: format!("{}{}", include_str!("style.css"), crate::drawn::layer_rules()),
    };
    Ok(BoundServer { site: Arc::new(site), listener, address })
}

impl BoundServer {
    /// The address to open on this machine.
    pub fn address(&self) -> SocketAddr {
        SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), self.address.port())
    }

    /// The addresses for other machines and the code they are asked for; none where they may not ask. There is no address as long as this
    /// machine is on no network.
    pub fn pairing(&self) -> Option<(Vec<SocketAddr>, &str)> {
        self.site.gate.pairing()
    }

    /// Serves until somebody interrupts the program with Ctrl-C.
    ///
    /// # Errors
    /// Those of the system.
    pub fn serve(self) -> io::Result<()> {
        self.serve_until(async {
            // Where the signal cannot be heard, only the end of the program ends this.
            if tokio::signal::ctrl_c().await.is_err() {
                std::future::pending::<()>().await;
            }
        })
    }

    /// Serves until something ends.
    ///
    /// # Errors
    /// Those of the system.
    pub fn serve_until(self, ends: impl Future<Output = ()> + Send + 'static) -> io::Result<()> {
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
        let served = runtime.block_on(served(self, ends));
        runtime.shutdown_timeout(LAST_ANSWERS);
        served
    }
}

async fn served(bound: BoundServer, ends: impl Future<Output = ()> + Send + 'static) -> io::Result<()> {
    let BoundServer { site, listener, .. } = bound;
    listener.set_nonblocking(true)?;
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let looking = tokio::spawn(look(Arc::clone(&site)));
    connections::serve(listener, site, ends).await;
    looking.abort();
    Ok(())
}

/// Looks at the plan files again and again, and tells pages of what changed outside.
async fn look(site: Arc<Site>) {
    let mut clock = tokio::time::interval(LOOKS);
    clock.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    loop {
        clock.tick().await;
        let site = Arc::clone(&site);
        let looked = tokio::task::spawn_blocking(move || site.shelf.all().iter().for_each(|open| open.look()));
        let _ = looked.await;
    }
}
