//! The pages that the program serves, at the laptop and on the phones that joined.
//!
//! A request passes [`guard`], a page asks the [`shelf`] for a rig and the record for the job, and answers with what [`frame`] puts
//! around it. What changed is told to every open page by [`news`]; the script then fetches the same address again.

mod alerts;
mod assets;
mod frame;
mod gate;
mod guard;
mod job;
mod kept;
mod news;
mod page;
mod shelf;
mod state;
mod strip;
mod wire;
pub mod within;
mod works;

use crate::io::{Io, Stop};
use crate::notebook::{Clock, Which};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::get;
use gate::Gate;
use news::News;
use state::Station;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use tower_http::compression::CompressionLayer;

/// Bytes that may be sent to a page, a photo apart.
const BODY: usize = 256 << 10;

/// Serves until it is ended.
pub(crate) fn serve(
    folder: PathBuf,
    record: PathBuf,
    clock: Clock,
    at: SocketAddr,
    io: &mut Io<'_>,
) -> Result<(), Stop> {
    let gate = Gate::new().map_err(|_| Stop::bad("this machine gives no random numbers", ""))?;
    let run = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    run.block_on(async {
        let listener = tokio::net::TcpListener::bind(at).await.map_err(|e| {
            Stop::bad(
                format!("cannot listen on {at}: {e}"),
                "another program may have the port: name another with --port, or 0 for any that is free",
            )
        })?;
        let at = listener.local_addr()?;
        let key = gate.key().to_owned();
        let here =
            if at.ip().is_unspecified() { SocketAddr::new([127, 0, 0, 1].into(), at.port()) } else { at };
        let which = Which { record, job: None, clock };
        let station = Arc::new(Station::new(folder, which, at, gate));
        writeln!(io.out, "Open http://{here}/open/{key}")?;
        if at.ip().is_loopback() {
            writeln!(io.out, "On this laptop alone; --listen 0.0.0.0 lets phones join.")?;
        } else {
            writeln!(io.out, "Phones on the network join by the code on the page \"Phones\".")?;
        }
        io.out.flush()?;
        tokio::spawn(alerts::keep_watch(Arc::clone(&station)));
        wire::answer(listener, router(&station), async {
            let _ = tokio::signal::ctrl_c().await;
            // An open stream of news would keep it waiting.
            station.tell(News::End);
        })
        .await;
        Ok(())
    })
}

/// Every address.
fn router(station: &Arc<Station>) -> Router {
    Router::new()
        .merge(page::routes())
        .route("/news", get(news::stream_of))
        .route("/assets/{name}", get(assets::file))
        .fallback(page::lost)
        .layer(DefaultBodyLimit::max(BODY))
        .layer(middleware::from_fn_with_state(Arc::clone(station), guard::at_the_door))
        .layer(CompressionLayer::new())
        .with_state(Arc::clone(station))
}
