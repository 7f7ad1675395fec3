//! `GET /v1/boards/{id}/fits`: what fits a board, module by module.

use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::in_use::InUse;
use crate::api::page::{PAGE_PARAMETERS, Page, PageParams, Paging, link_next};
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::api::wire::fits::ModuleFitBody;
use crate::catalogue::{Catalogue, ModuleEntry};
use crate::domain::board::Board;
use crate::domain::fits::module_fit;
use crate::domain::stop::Stop;

/// What fits a board, module by module.
///
/// For each module of the catalogue of the board's generation: the largest count that fits alone
/// with every socket fitted, what stands in the way of one more, and capacity and rate at each fill.
/// For product pages: ask once for each catalogue revision and keep the answer by its ETag.
#[utoipa::path(
    get,
    path = "/v1/boards/{id}/fits",
    tag = "catalogue",
    params(
        ("id" = String, Path, description = "The id of the board.", example = "tarn", max_length = 100),
        PageParams,
    ),
    responses(
        (status = 200, description = "A page.", body = Page<ModuleFitBody>),
        (status = 304, description = "It is the page that `If-None-Match` names."),
        (status = 404, description = "There is no such board.", body = ProblemBody,
            content_type = "application/problem+json"),
        (status = 422, description = "A parameter cannot be used.", body = ProblemBody,
            content_type = "application/problem+json"),
        (status = 503, description = "The service is busy.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn board_fits(
    request: HttpRequest,
    id: Path<String>,
    catalogue: InUse,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    let query = Query::read(request.query_string(), &PAGE_PARAMETERS)?;
    let paging = Paging::read(&query, &format!("fits of {id}"))?;
    let unknown = || Problem::unknown_name("board", "id", &id, catalogue.boards_near(&id));
    catalogue.board(&id).ok_or_else(unknown)?;
    let known = conditional(&request, &of_request(&request, &state), || {
        Ok::<_, Problem>(HttpResponse::Ok().finish())
    })?;
    if known.status() == actix_web::http::StatusCode::NOT_MODIFIED {
        return Ok(known);
    }
    let page = state
        .compute(move |stop| fits(&catalogue, &id, &paging, stop))
        .await?
        .ok_or_else(Problem::internal)?;
    conditional(&request, &of_request(&request, &state), || {
        let mut answer = HttpResponse::Ok().json(&page);
        link_next(&mut answer, &request, page.next_cursor.as_deref());
        Ok(answer)
    })
}

/// A page of what fits a board of the catalogue.
fn fits(
    catalogue: &Catalogue,
    id: &str,
    paging: &Paging,
    stop: &Stop,
) -> Option<Page<ModuleFitBody>> {
    let board = &catalogue.board(id)?.board;
    let page = paging.cut(of_generation(catalogue, board), |entry| entry.id.as_str());
    let items = page.items.into_iter().take_while(|_| !stop.is_asked());
    Some(Page {
        items: items.map(|entry| body(board, entry)).collect(),
        next_cursor: page.next_cursor,
    })
}

/// Modules of another generation never fit, so a list of them tells nothing.
fn of_generation<'a>(
    catalogue: &'a Catalogue,
    board: &'a Board,
) -> impl Iterator<Item = &'a ModuleEntry> {
    catalogue
        .modules()
        .filter(|entry| entry.module.generation == Some(board.generation))
}

fn body(board: &Board, entry: &ModuleEntry) -> ModuleFitBody {
    ModuleFitBody::new(&entry.id, module_fit(board, &entry.module))
}
