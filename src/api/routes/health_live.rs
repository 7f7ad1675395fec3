//! `GET /health/live`: the process answers.

use actix_web::HttpRequest;
use actix_web::web::Json;
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::problem::Problem;
use crate::api::query::Query;

/// The state of the service in one word.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Health {
    /// The word.
    #[schema(example = "live")]
    pub status: &'static str,
}

/// Is the process alive?
///
/// Answers as long as the process runs, whether it takes other requests or not. For the supervisor
/// that restarts it.
#[utoipa::path(
    get,
    path = "/health/live",
    tag = "service",
    responses((status = 200, description = "It is alive.", body = Health))
)]
pub async fn health_live(request: HttpRequest) -> Result<Json<Health>, Problem> {
    Query::read(request.query_string(), &[])?;
    Ok(Json(Health { status: "live" }))
}
