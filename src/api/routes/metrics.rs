//! `GET /metrics`: what happened so far, for a scraper.

use actix_web::http::header;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::metrics::text;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;

/// The media type that is offered.
pub const PLAIN: &str = "text/plain";

/// What happened so far, in numbers.
///
/// Prometheus text format: requests and durations by route, what was refused because the service was
/// busy, panics, verdicts, findings by rule, revision and age of the catalogue. The number of series
/// is bounded: no text of a caller becomes a label.
#[utoipa::path(
    get,
    path = "/metrics",
    tag = "service",
    responses(
        (status = 200, description = "The numbers.", body = String, content_type = "text/plain",
            example = "kitproof_verdicts_total{verdict=\"fits\"} 7\n"),
        (status = 422, description = "A parameter cannot be used.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn metrics(request: HttpRequest, state: Data<AppState>) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, text::TEXT))
        .body(text::all(&state)))
}
