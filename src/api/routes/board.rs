//! `GET /v1/boards/{id}`: one board as its author wrote it.

use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::in_use::InUse;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::catalogue::record::BoardRecord;

/// One board by its id.
///
/// The whole record: slots, limits, rates and policies, each with the sources named in `sources`.
#[utoipa::path(
    get,
    path = "/v1/boards/{id}",
    tag = "catalogue",
    params(("id" = String, Path, description = "The id of the board.", example = "tarn",
        max_length = 100)),
    responses(
        (status = 200, description = "The board.", body = BoardRecord),
        (status = 304, description = "It is the one that `If-None-Match` names."),
        (status = 404, description = "There is no such board.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn board(
    request: HttpRequest,
    id: Path<String>,
    catalogue: InUse,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    let unknown = || Problem::unknown_name("board", "id", &id, catalogue.boards_near(&id));
    let found = catalogue
        .board(&id)
        .map(|entry| &entry.record)
        .ok_or_else(unknown)?;
    conditional(&request, &of_request(&request, &state), || {
        Ok(HttpResponse::Ok().json(found))
    })
}
