//! `GET /v1/problems`: every problem there is.

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::page::{PAGE_PARAMETERS, Page, PageParams, Paging, link_next};
use crate::api::problem::{Code, Entry, Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;

/// Every problem that an answer may name.
///
/// Codes never change their meaning; new ones may come. Sorted by code.
#[utoipa::path(
    get,
    path = "/v1/problems",
    tag = "reference",
    params(PageParams),
    responses(
        (status = 200, description = "A page of problems.", body = Page<Entry>),
        (status = 304, description = "It is the page that `If-None-Match` names."),
        (status = 422, description = "A parameter cannot be used.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn problems(
    request: HttpRequest,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    let query = Query::read(request.query_string(), &PAGE_PARAMETERS)?;
    let paging = Paging::read(&query, "problems")?;
    conditional(&request, &of_request(&request, &state), || {
        let mut entries: Vec<Entry> = Code::ALL.iter().map(|code| code.entry()).collect();
        entries.sort_unstable_by_key(|entry| entry.code);
        let page = paging.cut(entries, |entry| entry.code);
        let mut answer = HttpResponse::Ok().json(&page);
        link_next(&mut answer, &request, page.next_cursor.as_deref());
        Ok(answer)
    })
}
