//! Stopping without losing a request.
//!
//! A balancer learns only after a while that an instance is about to stop, and until then it sends
//! requests. So there are three steps: first the instance says that it is not ready and ends each
//! connection with its next answer, but answers everything; then, after [`Settings::grace`], it takes
//! no new connection and finishes what it has begun; what is not finished after
//! [`Settings::shutdown_timeout`] is dropped. Whoever asks twice does not want to wait.
//!
//! [`Settings::grace`]: crate::settings::Settings::grace
//! [`Settings::shutdown_timeout`]: crate::settings::Settings::shutdown_timeout

use std::io;
use std::net::SocketAddr;
use std::pin::pin;

use actix_web::dev::Server;
use actix_web::rt::signal::unix::{Signal, SignalKind, signal};
use actix_web::web::Data;
use futures_util::future::{Either, select};

use super::state::AppState;

/// The signals that stop the service.
struct Signals {
    terminate: Signal,
    interrupt: Signal,
}

impl Signals {
    fn new() -> io::Result<Self> {
        Ok(Self {
            terminate: signal(SignalKind::terminate())?,
            interrupt: signal(SignalKind::interrupt())?,
        })
    }

    /// Waits for one; true if it asks for the grace of a balancer, false from a terminal.
    async fn next(&mut self) -> bool {
        let terminate = pin!(self.terminate.recv());
        let interrupt = pin!(self.interrupt.recv());
        matches!(select(terminate, interrupt).await, Either::Left(_))
    }
}

/// Runs the server until a signal stops it, then lets it finish.
///
/// # Errors
/// When signals cannot be heard, or the server fails.
pub async fn run(server: Server, state: Data<AppState>, socket: SocketAddr) -> io::Result<()> {
    let mut signals = Signals::new()?;
    tracing::info!(%socket, "listening");
    let handle = server.handle();
    let served = actix_web::rt::spawn(server);
    let stopping = actix_web::rt::spawn(async move {
        let graceful = signals.next().await;
        state.set_ready(false);
        tracing::info!("stopping: no new requests, please");
        let grace = if graceful {
            state.settings.grace
        } else {
            std::time::Duration::ZERO
        };
        let waited = tokio::time::timeout(grace, signals.next()).await.is_err();
        if !waited {
            return handle.stop(false).await;
        }
        tracing::info!("finishing what has begun");
        let finished = pin!(handle.stop(true));
        if let Either::Right(_) = select(finished, pin!(signals.next())).await {
            handle.stop(false).await;
        }
    });
    let result = served.await.map_err(io::Error::other)?;
    stopping.abort();
    result
}
