//! `GET /openapi.json`: the description of this service.

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::accept::JSON;
use crate::api::etag::conditional;
use crate::api::problem::Problem;
use crate::api::query::Query;
use crate::api::state::AppState;

/// The OpenAPI document.
///
/// The same text as `openapi/openapi.json` in the source. Its schemas are JSON Schemas
/// (2020-12), and requests are held against exactly those.
#[utoipa::path(
    get,
    path = "/openapi.json",
    tag = "service",
    responses(
        (status = 200, description = "The document, OpenAPI 3.1.", body = Object),
        (status = 304, description = "It is the one that `If-None-Match` names."),
    )
)]
pub async fn openapi(request: HttpRequest, state: Data<AppState>) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    let tag = format!("\"{}\"", state.document.tag());
    conditional(&request, &tag, || {
        let text = state.document.text().to_owned();
        Ok(HttpResponse::Ok().content_type(JSON).body(text))
    })
}
