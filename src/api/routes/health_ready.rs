//! `GET /health/ready`: the instance takes requests.

use actix_web::HttpRequest;
use actix_web::web::{Data, Json};

use super::health_live::Health;
use crate::api::problem::{Code, Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;

/// Does this instance take requests?
///
/// Says no before the catalogue is loaded and once a stop was asked for. For the balancer that
/// shares requests out.
#[utoipa::path(
    get,
    path = "/health/ready",
    tag = "service",
    responses(
        (status = 200, description = "It takes requests.", body = Health),
        (status = 503, description = "It takes none now.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn health_ready(
    request: HttpRequest,
    state: Data<AppState>,
) -> Result<Json<Health>, Problem> {
    Query::read(request.query_string(), &[])?;
    if state.is_ready() {
        Ok(Json(Health { status: "ready" }))
    } else {
        Err(Problem::new(Code::NotReady, "the instance is starting or stopping").retry_after(2))
    }
}
