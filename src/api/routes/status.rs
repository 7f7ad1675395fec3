//! `GET /v1/status`: how the service is.

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::in_use::InUse;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::api::wire::status::StatusBody;

/// How the service is.
///
/// For people and dashboards: version, the catalogue in use and what became of newer ones, what is
/// under way. A balancer asks `/health/ready`.
#[utoipa::path(
    get,
    path = "/v1/status",
    tag = "service",
    responses(
        (status = 200, description = "State of this instance.", body = StatusBody,
        example = json!({"version": "0.1.0", "ready": true, "up_seconds": 86400,
            "catalogue": {"revision": "5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef",
                "boards": 8, "modules": 92, "age_seconds": 86400, "confirmed_seconds_ago": 12,
                "switches": 0, "refusals": 0, "refused": []},
            "requests_in_flight": 1,
            "computations": {"taken": 0, "places": 16}, "streams": {"taken": 0, "places": 4}})),
        (status = 422, description = "A parameter cannot be used.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn status(
    request: HttpRequest,
    catalogue: InUse,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    Ok(HttpResponse::Ok().json(StatusBody::of(&state, &catalogue)))
}
