//! `GET /health/ready`: the instance takes requests.

use actix_web::HttpRequest;
use actix_web::web::{Data, Json};
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::in_use::InUse;
use crate::api::problem::{Code, Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;

/// That it takes requests, and what from.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Ready {
    /// The word.
    #[schema(example = "ready")]
    pub status: &'static str,
    /// Revision of the catalogue in use.
    pub catalogue_revision: String,
    /// Sources of the catalogue whose last word could not be used; what they gave before is in use.
    /// The log tells why.
    #[schema(example = json!([]), max_items = 100)]
    pub refused_sources: Vec<String>,
}

/// Does this instance take requests?
///
/// Says no before the catalogue is loaded and once a stop was asked for. For the balancer that
/// shares requests out.
#[utoipa::path(
    get,
    path = "/health/ready",
    tag = "service",
    responses(
        (status = 200, description = "It takes requests.", body = Ready),
        (status = 503, description = "It takes none now.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn health_ready(
    request: HttpRequest,
    catalogue: InUse,
    state: Data<AppState>,
) -> Result<Json<Ready>, Problem> {
    Query::read(request.query_string(), &[])?;
    if state.is_ready() {
        let refused = state.live.history().refused.into_iter();
        Ok(Json(Ready {
            status: "ready",
            catalogue_revision: catalogue.revision().to_owned(),
            refused_sources: refused.map(|refusal| refusal.source).collect(),
        }))
    } else if !state.live.is_complete() {
        let detail = "the catalogue is not complete: a source has not given anything yet";
        Err(Problem::new(Code::NotReady, detail).retry_after(2))
    } else {
        Err(Problem::new(Code::NotReady, "the instance is starting or stopping").retry_after(2))
    }
}
