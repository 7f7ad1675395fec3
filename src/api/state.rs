//! What every request can see: settings, the catalogue in use, the document, and the pool for
//! heavy computations.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use tokio::sync::Semaphore;

use super::document::Document;
use super::extras::Deliver;
use super::keys::KeyRing;
use super::metrics::Metrics;
use super::pool::{Broken, Pool};
use super::problem::{Code, Problem};
use super::rate::Addresses;
use super::receipt::Signer;
use crate::catalogue::Catalogue;
use crate::catalogue::live::Live;
use crate::domain::stop::Stop;
use crate::settings::Settings;

/// The version of this program, as in the `Kitproof-Engine` header.
pub const ENGINE: &str = env!("CARGO_PKG_VERSION");

/// Shared by all workers behind [`web::Data`].
#[derive(Debug)]
pub struct AppState {
    /// What the operator set.
    pub settings: Settings,
    /// The OpenAPI document.
    pub document: Document,
    /// The catalogue in use now. A handler takes [`super::InUse`] instead, which stays the same for
    /// the whole of its request.
    pub live: Arc<Live>,
    /// The keys that let callers in; everybody is let in where there are none.
    pub keys: Option<Arc<KeyRing>>,
    /// Whatever signs receipts, if the operator set a key for it.
    pub receipts: Option<Arc<Signer>>,
    /// Whatever sends answers to the operator's destinations, if there are any.
    pub deliver: Option<Arc<dyn Deliver>>,
    /// How often each address asked, where callers have no keys.
    pub addresses: Addresses,
    ready: AtomicBool,
    /// What happened so far.
    pub metrics: Metrics,
    /// When the service began.
    pub begun: Instant,
    /// Threads for computations.
    pub pool: Pool,
    /// Memory for large bodies, in KiB.
    pub bodies: Arc<Semaphore>,
    /// Threads for bulk streams; a place is a stream. They give way to everything else.
    pub bulk: Pool,
}

impl AppState {
    /// A state that is ready to serve.
    pub fn new(
        settings: Settings,
        document: Document,
        catalogue: impl Into<Arc<Catalogue>>,
    ) -> Self {
        Self {
            live: Arc::new(Live::new(catalogue)),
            keys: None,
            receipts: None,
            deliver: None,
            addresses: Addresses::default(),
            metrics: Metrics::new(super::ENDPOINTS),
            begun: Instant::now(),
            bodies: Arc::new(Semaphore::new(settings.bodies_kib)),
            pool: Pool::new("compute", settings.workers, settings.computations, || {}),
            bulk: Pool::new("bulk", settings.workers, settings.streams, give_way),
            settings,
            document,
            ready: AtomicBool::new(true),
        }
    }

    /// Whether new requests should be sent to this instance.
    pub fn is_ready(&self) -> bool {
        self.ready.load(Ordering::Relaxed) && self.live.is_complete()
    }

    /// Says whether new requests should be sent to this instance; false before stopping.
    pub fn set_ready(&self, ready: bool) {
        self.ready.store(ready, Ordering::Relaxed);
    }

    /// Runs a computation off the workers, so that they stay free for others.
    ///
    /// It takes one of [`Settings::computations`] places and never waits for one: a caller that is
    /// told at once can go elsewhere. After [`Settings::answer_timeout`], or when the caller has
    /// left, the stop that `work` gets is asked for: give it to whatever takes long
    /// (`Budget::until`), or look at it in loops.
    ///
    /// # Errors
    /// `overloaded` when no place is free, `out-of-time` when it takes too long, `internal-error`
    /// when it panics.
    pub async fn compute<T, F>(&self, work: F) -> Result<T, Problem>
    where
        T: Send + 'static,
        F: FnOnce(&Stop) -> T + Send + 'static,
    {
        let busy = || {
            self.metrics.shed.computations.one();
            Problem::new(Code::Overloaded, "all places are taken").retry_after(1)
        };
        let place = self.pool.place().ok_or_else(busy)?;
        let within = self.settings.answer_timeout;
        match tokio::time::timeout(within, self.pool.run(place, work)).await {
            Ok(Ok(result)) => Ok(result),
            Ok(Err(Broken)) => {
                self.metrics.panics.one();
                tracing::error!("a computation panicked");
                Err(Problem::internal())
            }
            Err(_) => {
                self.metrics.out_of_time.one();
                let detail = format!("no answer within {} ms", within.as_millis());
                Err(Problem::new(Code::OutOfTime, detail).retry_after(1))
            }
        }
    }
}

/// Lets every other thread of the program go first. A bulk stream then takes what they leave.
fn give_way() {
    // Where the system refuses, all are equal.
    let _ = rustix::process::nice(15);
}
