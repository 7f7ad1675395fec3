//! Ends connections on which nothing moves.
//!
//! The HTTP library has a time limit for the head of a connection's first request only. A second
//! head that comes byte by byte, an upload that never ends after it was refused, and a reader that
//! stops reading a long answer would each hold a connection for ever. So every connection has a
//! [`Watch`], and a thread closes those that have stood still for too long. A request that is being
//! worked on is never cut: it has limits of its own.

use std::any::Any;
use std::net::{Shutdown, TcpStream};
use std::os::fd::AsFd;
use std::pin::Pin;
use std::sync::atomic::{AtomicU8, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError, Weak};
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use actix_web::HttpRequest;
use actix_web::body::{BodySize, BoxBody, MessageBody};
use actix_web::dev::Extensions;
use actix_web::web::Bytes;

/// Between two requests, or before the first.
const IDLE: u8 = 0;
/// A request is being worked on, or its answer waits for more to say.
const WORKING: u8 = 1;
/// A part of an answer waits to be taken by the reader.
const SENDING: u8 = 2;

/// Answers up to this size are handed over whole, so no reader can hold them up.
const WHOLE: u64 = 64 * 1024;

/// What one connection is doing, and since when.
#[derive(Debug)]
pub struct Watch {
    socket: TcpStream,
    doing: AtomicU8,
    /// Milliseconds from [`Watch::opened`] to the last change.
    since: AtomicU64,
    opened: Instant,
}

impl Watch {
    fn set(&self, doing: u8) {
        let now = u64::try_from(self.opened.elapsed().as_millis()).unwrap_or(u64::MAX);
        self.since.store(now, Ordering::Relaxed);
        self.doing.store(doing, Ordering::Relaxed);
    }

    /// A request has come.
    pub fn work(&self) {
        self.set(WORKING);
    }

    /// The request is answered.
    pub fn rest(&self) {
        self.set(IDLE);
    }

    fn stands_still_for(&self) -> Duration {
        let since = Duration::from_millis(self.since.load(Ordering::Relaxed));
        self.opened.elapsed().saturating_sub(since)
    }

    fn is_stuck(&self, limits: &StandstillLimits) -> bool {
        let limit = match self.doing.load(Ordering::Relaxed) {
            IDLE => limits.idle,
            SENDING => limits.sending,
            _ => return false,
        };
        self.stands_still_for() > limit
    }
}

/// How long a connection may stand still.
#[derive(Debug, Clone, Copy)]
pub struct StandstillLimits {
    /// Without a complete request.
    pub idle: Duration,
    /// With a part of an answer that the reader does not take.
    pub sending: Duration,
}

/// All open connections.
#[derive(Debug, Default)]
pub struct Connections {
    open: Mutex<Vec<Weak<Watch>>>,
}

impl Connections {
    /// Starts the thread that closes stuck connections and calls `closed` for each; it ends with the
    /// last other owner.
    pub fn guarded(
        limits: StandstillLimits,
        closed: impl Fn() + Send + 'static,
    ) -> std::io::Result<Arc<Self>> {
        let connections = Arc::new(Self::default());
        let weak = Arc::downgrade(&connections);
        let pause = (limits.idle.min(limits.sending) / 4).min(Duration::from_secs(1));
        std::thread::Builder::new()
            .name("connection-guard".to_owned())
            .spawn(move || {
                while let Some(connections) = weak.upgrade() {
                    connections.close_stuck(&limits, &closed);
                    drop(connections);
                    std::thread::sleep(pause);
                }
            })?;
        Ok(connections)
    }

    /// Watches a new connection: for `HttpServer::on_connect`. One that cannot be watched is left
    /// to the library's own limits.
    pub fn watch(&self, io: &dyn Any, data: &mut Extensions) {
        let Some(stream) = io.downcast_ref::<actix_web::rt::net::TcpStream>() else {
            return;
        };
        // A second handle of the same socket; it goes with the connection's data.
        let Ok(socket) = stream.as_fd().try_clone_to_owned() else {
            return;
        };
        let watch = Arc::new(Watch {
            socket: socket.into(),
            doing: AtomicU8::new(IDLE),
            since: AtomicU64::new(0),
            opened: Instant::now(),
        });
        self.list().push(Arc::downgrade(&watch));
        data.insert(watch);
    }

    fn list(&self) -> std::sync::MutexGuard<'_, Vec<Weak<Watch>>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn close_stuck(&self, limits: &StandstillLimits, closed: &impl Fn()) {
        self.list().retain(|weak| {
            let Some(watch) = weak.upgrade() else {
                return false;
            };
            let stuck = watch.is_stuck(limits);
            if stuck {
                tracing::debug!("closed a connection that stood still");
                // It may be closed already, which is as good.
                let _ = watch.socket.shutdown(Shutdown::Both);
                closed();
            }
            !stuck
        });
    }
}

/// The watch of the connection that a request came over.
pub fn of(request: &HttpRequest) -> Option<Arc<Watch>> {
    request.conn_data::<Arc<Watch>>().cloned()
}

/// Keeps watching while an answer is sent.
pub fn watched(body: BoxBody, watch: Option<Arc<Watch>>) -> BoxBody {
    let Some(watch) = watch else { return body };
    match body.size() {
        BodySize::Stream => {}
        BodySize::Sized(size) if size > WHOLE => {}
        BodySize::Sized(_) | BodySize::None => {
            watch.rest();
            return body;
        }
    }
    BoxBody::new(Watched { body, watch })
}

/// A long answer whose reader is watched.
struct Watched {
    body: BoxBody,
    watch: Arc<Watch>,
}

impl MessageBody for Watched {
    type Error = Box<dyn std::error::Error>;

    fn size(&self) -> BodySize {
        self.body.size()
    }

    fn poll_next(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Bytes, Self::Error>>> {
        let next = Pin::new(&mut self.body).poll_next(context);
        // Whoever has nothing to send does not wait for the reader.
        let doing = if next.is_pending() { WORKING } else { SENDING };
        self.watch.set(doing);
        next
    }
}

impl Drop for Watched {
    fn drop(&mut self) {
        self.watch.rest();
    }
}
