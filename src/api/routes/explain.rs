//! `POST /v1/explain`: why, how many at most, and how to do the work.

use actix_web::http::header;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::accept::{self, JSON};
use crate::api::explain::{Explained, explain_until as explained};
use crate::api::extract::Strict;
use crate::api::in_use::InUse;
use crate::api::language::Language;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::state::AppState;
use crate::api::wire::explain::{ExplainRequest, ExplanationBody};
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;
use crate::render::words::Words;

/// Plain text.
const TEXT: &str = "text/plain";

/// What it can answer with, the usual one first.
pub const FORMS: &[&str] = &[JSON, TEXT];

/// Why?
///
/// Takes the answer to a request apart into facts, each given by the request, read from the board's
/// record or computed with its arithmetic, and what follows from them. Ask with `Accept: text/plain`
/// for something to read. Whatever cannot be given (a worksheet for a kit that does not fit) is a 200
/// whose `standing` says so and whose nodes say why.
#[utoipa::path(
    post,
    path = "/v1/explain",
    tag = "decide",
    request_body = ExplainRequest,
    responses(
        (status = 200, description = "The explanation.", content(
            (ExplanationBody = "application/json"),
            (String = "text/plain"),
        )),
        (status = 422, description = "The request names something that does not exist, or has the wrong shape.",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 503, description = "The service is busy.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn explain(
    catalogue: InUse,
    state: Data<AppState>,
    language: Language,
    head: HttpRequest,
    body: Strict<ExplainRequest>,
) -> Result<HttpResponse, Problem> {
    let form = accept::choose(head.headers(), FORMS)?;
    let request = body.0;
    // Why and how many take several searches, which must not hold a worker that others wait for.
    let bytes = state
        .compute(move |stop| answer(&request, &catalogue, language, form, stop))
        .await??;
    let kind = match form {
        JSON => JSON,
        _ => "text/plain; charset=utf-8",
    };
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, kind))
        .body(bytes))
}

fn answer(
    request: &ExplainRequest,
    catalogue: &Catalogue,
    language: Language,
    form: &str,
    stop: &Stop,
) -> Result<Vec<u8>, Problem> {
    let made = explained(request, catalogue, stop).map_err(Problem::invalid_body)?;
    written(&made, language.0, form)
}

fn written(made: &Explained<'_>, words: &Words, form: &str) -> Result<Vec<u8>, Problem> {
    match form {
        JSON => serde_json::to_vec(&made.body(words)).map_err(|_| Problem::internal()),
        _ => Ok(made.text(words).into_bytes()),
    }
}
