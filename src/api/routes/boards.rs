//! `GET /v1/boards`: every board of the catalogue.

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::in_use::InUse;
use crate::api::page::{PAGE_PARAMETERS, Page, PageParams, Paging, link_next};
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::api::wire::catalogue::BoardItem;

/// Every board of the catalogue.
///
/// Sorted by id. A request names a board by its id.
#[utoipa::path(
    get,
    path = "/v1/boards",
    tag = "catalogue",
    params(PageParams),
    responses(
        (status = 200, description = "A page.", body = Page<BoardItem>),
        (status = 304, description = "It is the page that `If-None-Match` names."),
        (status = 422, description = "A parameter cannot be used.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn boards(
    request: HttpRequest,
    catalogue: InUse,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    let query = Query::read(request.query_string(), &PAGE_PARAMETERS)?;
    let paging = Paging::read(&query, "boards")?;
    conditional(&request, &of_request(&request, &state), || {
        let page = paging.cut(catalogue.boards().map(BoardItem::from), |item| item.id);
        let mut answer = HttpResponse::Ok().json(&page);
        link_next(&mut answer, &request, page.next_cursor.as_deref());
        Ok(answer)
    })
}
