//! Connections: not too many at once, none that trickles, and an end that waits for what is under way.

use axum::extract::ConnectInfo;
use axum::{Extension, Router};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::future::Future;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tower_http::timeout::RequestBodyTimeoutLayer;

/// Connections at once: thirty phones with six each, and room.
const CONNECTIONS: usize = 512;
/// The head of a request must be there by then.
const HEAD: Duration = Duration::from_secs(10);
/// A body that stops for this long is given up.
const BODY: Duration = Duration::from_secs(20);
/// How long the end waits for requests under way.
const END: Duration = Duration::from_secs(5);

/// Answers until `end`.
pub(super) async fn answer(listener: TcpListener, router: Router, end: impl Future<Output = ()>) {
    let mut end = std::pin::pin!(end);
    let router = router.layer(RequestBodyTimeoutLayer::new(BODY));
    let room = Arc::new(Semaphore::new(CONNECTIONS));
    let graceful = GracefulShutdown::new();
    loop {
        let place = tokio::select! {
            place = Arc::clone(&room).acquire_owned() => place,
            () = &mut end => break,
        };
        let Ok(place) = place else { break };
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut end => break,
        };
        let Ok((stream, from)) = accepted else {
            // Out of file handles, or a connection that was gone before it was taken.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        // What is dragged shall not wait to be put together with more.
        let _ = stream.set_nodelay(true);
        let service = TowerToHyperService::new(router.clone().layer(Extension(ConnectInfo(from))));
        let connection = hyper::server::conn::http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(HEAD)
            .serve_connection(TokioIo::new(stream), service);
        let watched = graceful.watch(connection);
        tokio::spawn(async move {
            // A connection that breaks off is the other side's to mend.
            let _ = watched.await;
            drop(place);
        });
    }
    drop(listener);
    tokio::select! {
        () = graceful.shutdown() => {}
        () = tokio::time::sleep(END) => {}
    }
}
