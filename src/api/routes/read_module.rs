//! `POST /v1/read/module`: a label or an SPD image as a module record.

use actix_web::{HttpRequest, HttpResponse};

use crate::api::extract::Sent;
use crate::api::language::Language;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::read_module::{read, read_raw};
use crate::api::wire::note;
use crate::api::wire::read_module::{ModuleReadingBody, ReadModuleRequest};

/// What module is this?
///
/// Reads the label of a module or the bytes of its SPD device: a record that a request takes as it
/// is, how sure each fact is, and what was noted. A label that is misread here and there is answered
/// with what was probably meant; whatever hangs on that is assumed and not in the record. Instead of
/// JSON, send a label or a hexadecimal dump as `text/plain`, or the bytes of an SPD device as
/// `application/octet-stream`.
#[utoipa::path(
    post,
    path = "/v1/read/module",
    tag = "read",
    request_body(content(
        (ReadModuleRequest = "application/json"),
        (String = "text/plain"),
        (Vec<u8> = "application/octet-stream"),
    )),
    responses(
        (status = 200, description = "What was read.", body = ModuleReadingBody),
        (status = 415, description = "The body is of none of the three types.", body = ProblemBody,
            content_type = "application/problem+json"),
        (status = 422, description = "Nothing of a module can be read, or the JSON has the wrong shape.",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
pub async fn read_module(
    head: HttpRequest,
    language: Language,
    body: Sent<ReadModuleRequest>,
) -> Result<HttpResponse, Problem> {
    Query::read(head.query_string(), &[])?;
    let mut reading = match body {
        Sent::Json(request) => read(&request),
        Sent::Raw(body) => read_raw(&body),
    }?;
    reading.notes = note::in_language(&reading.notes, language.0);
    Ok(HttpResponse::Ok().json(reading))
}
