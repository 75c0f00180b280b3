//! Connections: each is given its answers, and closed where what it asks comes too slowly.

use super::strict::Strict;
use super::{LAST_ANSWERS, Site, answer};
use crate::gate::Ends;
use axum::body::Body;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use std::convert::Infallible;
use std::future::Future;
use std::io;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;

/// How long the head of a request may take, and how long a connection may wait for the next one. What has been answered is
/// not meant: a stream of events goes on for ever.
const HEAD: Duration = Duration::from_secs(10);
/// How long to wait where the system has no room for one more connection.
const NO_ROOM: Duration = Duration::from_secs(1);

/// Takes connections until something ends, and then lets answers that have begun come to theirs, but not for ever.
pub(super) async fn serve(listener: TcpListener, site: Arc<Site>, ends: impl Future<Output = ()>) {
    let open = GracefulShutdown::new();
    tokio::select! {
        never = take(&listener, &site, &open) => match never {},
        () = ends => {}
    }
    drop(listener);
    let _ = tokio::time::timeout(LAST_ANSWERS, open.shutdown()).await;
}

async fn take(listener: &TcpListener, site: &Arc<Site>, open: &GracefulShutdown) -> Infallible {
    let mut protocol = http1::Builder::new();
    protocol.timer(TokioTimer::new()).header_read_timeout(HEAD);
    loop {
        let (stream, peer) = match listener.accept().await {
            Ok(taken) => taken,
            // Whoever asked is gone again.
            Err(error) if is_theirs(&error) => continue,
            Err(_) => {
                tokio::time::sleep(NO_ROOM).await;
                continue;
            }
        };
        let Ok(own) = stream.local_addr() else { continue };
        let (site, ends) = (Arc::clone(site), Ends { peer, own });
        let answers = service_fn(move |request: hyper::Request<Incoming>| {
            let site = Arc::clone(&site);
            async move { Ok::<_, Infallible>(answer::answer(site, ends, request.map(Body::new)).await) }
        });
        let answered = open.watch(protocol.serve_connection(TokioIo::new(Strict::new(stream)), answers));
        // A connection that breaks off, or is closed for being slow, is nobody else's concern.
        tokio::spawn(async move { drop(answered.await) });
    }
}

fn is_theirs(error: &io::Error) -> bool {
    use io::ErrorKind::{ConnectionAborted, ConnectionRefused, ConnectionReset};
    [ConnectionAborted, ConnectionRefused, ConnectionReset].contains(&error.kind())
}
