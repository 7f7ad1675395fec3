//! `GET /v1/modules/{id}`: one module of the catalogue.

use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::in_use::InUse;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::api::wire::catalogue::ModuleItem;

/// One module by its id.
///
/// What is known of it; facts that nobody told are left out.
#[utoipa::path(
    get,
    path = "/v1/modules/{id}",
    tag = "catalogue",
    params(("id" = String, Path, description = "The id of the module.", example = "ERW-3R32-4x4",
        max_length = 100)),
    responses(
        (status = 200, description = "The module.", body = ModuleItem),
        (status = 304, description = "It is the one that `If-None-Match` names."),
        (status = 404, description = "There is no such module.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn module(
    request: HttpRequest,
    id: Path<String>,
    catalogue: InUse,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    let unknown = || Problem::unknown_name("module", "id", &id, catalogue.modules_near(&id));
    let found = catalogue
        .module(&id)
        .map(ModuleItem::from)
        .ok_or_else(unknown)?;
    conditional(&request, &of_request(&request, &state), || {
        Ok(HttpResponse::Ok().json(found))
    })
}
