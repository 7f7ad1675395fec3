//! `GET /v1/problems/{code}`: what one problem means and what to do about it.

use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::problem::{Code, Entry, Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::wirecheck::near::close_matches;

/// One problem by its code.
///
/// This is where the `type` of every problem leads.
#[utoipa::path(
    get,
    path = "/v1/problems/{code}",
    tag = "reference",
    params(("code" = String, Path, description = "The code of the problem.", example = "invalid-body",
        max_length = 60)),
    responses(
        (status = 200, description = "The problem.", body = Entry),
        (status = 304, description = "It is the one that `If-None-Match` names."),
        (status = 404, description = "There is no such problem.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn problem(
    request: HttpRequest,
    code: Path<String>,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    let entry = find(&code)?;
    conditional(&request, &of_request(&request, &state), || {
        Ok(HttpResponse::Ok().json(entry))
    })
}

fn find(code: &str) -> Result<Entry, Problem> {
    let entries = Code::ALL.iter().map(|code| code.entry());
    entries
        .clone()
        .find(|entry| entry.code == code)
        .ok_or_else(|| {
            let near = close_matches(code, entries.map(|entry| entry.code));
            Problem::unknown_name("problem", "code", code, near)
        })
}
