//! `POST /v1/read/inventory`: a report on a whole machine as module records with their slots.

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::extract::Sent;
use crate::api::in_use::InUse;
use crate::api::language::Language;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::{Query, fault};
use crate::api::read_inventory::{board, read, read_raw};
use crate::api::state::AppState;
use crate::api::wire::note;
use crate::api::wire::read_inventory::{InventoryBody, ReadInventoryRequest};
use crate::catalogue::Catalogue;

/// What is in this machine?
///
/// Reads what a machine says of its own memory: the text of dmidecode, an SMBIOS table or dump, the
/// JSON of lshw, Redfish resources. The answer has every slot with its module as a record, how sure
/// each fact is, and what was noted. With a board, it says which slot of the board each is, and asks
/// where that is not certain. Instead of JSON, send text as `text/plain` or bytes as
/// `application/octet-stream`, with the board as a query parameter. For a verdict on a machine and a
/// cart, send the report as `installed` of `/v1/validate` instead.
#[utoipa::path(
    post,
    path = "/v1/read/inventory",
    tag = "read",
    params(
        ("board" = Option<String>, Query, description = "The board, where the body is no JSON.",
            example = "tarn", max_length = 100),
    ),
    request_body(content(
        (ReadInventoryRequest = "application/json"),
        (String = "text/plain"),
        (Vec<u8> = "application/octet-stream"),
    )),
    responses(
        (status = 200, description = "What was read.", body = InventoryBody),
        (status = 415, description = "The body is of none of the three types.", body = ProblemBody,
            content_type = "application/problem+json"),
        (status = 422, description = "It is no report, names something that does not exist, or the JSON has the wrong shape.",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 503, description = "The service is busy.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn read_inventory(
    request: HttpRequest,
    catalogue: InUse,
    state: Data<AppState>,
    language: Language,
    body: Sent<ReadInventoryRequest>,
) -> Result<HttpResponse, Problem> {
    let query = Query::read(request.query_string(), &["board"])?;
    let id = query.get("board").map(str::to_owned);
    // A report may be long: it must not hold a worker that others wait for.
    let mut answer = state
        .compute(move |_| answer(body, id, &catalogue))
        .await??;
    answer.notes = note::in_language(&answer.notes, language.0);
    Ok(HttpResponse::Ok().json(answer))
}

fn answer(
    body: Sent<ReadInventoryRequest>,
    id: Option<String>,
    catalogue: &Catalogue,
) -> Result<InventoryBody, Problem> {
    let id = id.as_deref();
    match body {
        Sent::Json(_) if id.is_some() => {
            let message = "the board of a JSON body stands in the body";
            Err(Problem::invalid_query(fault("board", message)))
        }
        Sent::Json(request) => read(request, catalogue),
        Sent::Raw(content) => {
            let unknown = |near| {
                let fault = fault("board", "there is no such board in this catalogue");
                Problem::invalid_query(fault.close_matches(near))
            };
            let board = id
                .map(|id| board(id, catalogue))
                .transpose()
                .map_err(unknown)?;
            read_raw(&content, board, catalogue)
        }
    }
}
