//! How the service is, as JSON.

use std::time::SystemTime;

use serde::Serialize;
use utoipa::ToSchema;

use crate::api::pool::Pool;
use crate::api::state::{AppState, ENGINE};
use crate::catalogue::Catalogue;
use crate::catalogue::live::Refusal;

/// How an instance is.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Status)]
pub struct StatusBody {
    /// The version of the program.
    #[schema(example = "0.1.0")]
    pub version: &'static str,
    /// Whether new requests should be sent here.
    pub ready: bool,
    /// Seconds since it began.
    #[schema(example = 86_400)]
    pub up_seconds: u64,
    /// The catalogue in use.
    pub catalogue: CatalogueStatus,
    /// Requests being answered, this one too.
    #[schema(example = 1)]
    pub requests_in_flight: i64,
    /// Computations.
    pub computations: PoolStatus,
    /// Bulk streams.
    pub streams: PoolStatus,
}

/// The catalogue in use, and what became of newer ones.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CatalogueStatus {
    /// Its revision.
    #[schema(example = "5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef")]
    pub revision: String,
    /// Its boards.
    #[schema(example = 8)]
    pub boards: usize,
    /// Its modules.
    #[schema(example = 92)]
    pub modules: usize,
    /// Seconds since it came into use.
    #[schema(example = 86_400)]
    pub age_seconds: u64,
    /// Seconds since any of its sources was last found in order; `refused` names those that are not.
    #[schema(example = 12)]
    pub confirmed_seconds_ago: u64,
    /// How often another one came into use.
    pub switches: u64,
    /// How often one was offered that cannot be used.
    pub refusals: u64,
    /// Sources whose last word could not be used.
    pub refused: Vec<RefusedStatus>,
}

/// A source of the catalogue whose last word could not be used. What came before from it is still in
/// use.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RefusedStatus {
    /// The source.
    #[schema(example = "folder")]
    pub source: String,
    /// What is wrong, in a few lines.
    pub why: String,
    /// Seconds since then.
    #[schema(example = 12)]
    pub seconds_ago: u64,
}

/// Places for work.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct PoolStatus {
    /// Places that are taken.
    pub taken: usize,
    /// Places in all. Beyond them callers are turned away.
    #[schema(example = 16)]
    pub places: usize,
}

impl StatusBody {
    /// How the service is now.
    pub fn of(state: &AppState, catalogue: &Catalogue) -> Self {
        let history = state.live.history();
        let refused = |refusal: Refusal| RefusedStatus {
            source: refusal.source,
            why: refusal.why,
            seconds_ago: ago(refusal.at),
        };
        Self {
            version: ENGINE,
            ready: state.is_ready(),
            up_seconds: state.begun.elapsed().as_secs(),
            catalogue: CatalogueStatus {
                revision: catalogue.revision().to_owned(),
                boards: catalogue.boards().len(),
                modules: catalogue.modules().len(),
                age_seconds: ago(history.since),
                confirmed_seconds_ago: ago(history.confirmed),
                switches: history.switches,
                refusals: history.refusals,
                refused: history.refused.into_iter().map(refused).collect(),
            },
            requests_in_flight: state.metrics.in_flight(),
            computations: PoolStatus::of(&state.pool),
            streams: PoolStatus::of(&state.bulk),
        }
    }
}

impl PoolStatus {
    fn of(pool: &Pool) -> Self {
        Self {
            taken: pool.taken(),
            places: pool.places(),
        }
    }
}

fn ago(then: SystemTime) -> u64 {
    let passed = SystemTime::now().duration_since(then);
    passed.unwrap_or_default().as_secs()
}
