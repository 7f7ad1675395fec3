//! `POST /v1/optimise`: what should be bought?

use std::time::Instant;

use actix_web::http::header;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::accept::{self, JSON};
use crate::api::extract::Strict;
use crate::api::in_use::InUse;
use crate::api::language::Language;
use crate::api::optimise::{Optimised, optimise_until};
use crate::api::problem::{Problem, ProblemBody};
use crate::api::state::AppState;
use crate::api::wire::optimise::OptimiseRequest;
use crate::api::wire::optimise::answer::OptimiseBody;

/// Plain text.
const TEXT: &str = "text/plain";

/// What it can answer with, the usual one first.
pub const FORMS: &[&str] = &[JSON, TEXT];

/// What should be bought?
///
/// Finds the best kit for a board among what is for sale, beside what is installed: which modules to
/// buy, which installed ones to keep, move or take out, and where all of them go. Every plan is one that
/// `/v1/validate` allows, and `proven` means that no better one exists. When no kit meets every wish,
/// that is a 200 with `infeasible`, the wishes and rules that cannot hold together, and the smallest
/// change of each that would help. A search that takes too long answers with the best that it found.
/// Equal requests at one catalogue revision give equal bytes, unless `cut_by` is `time`. Ask with
/// `Accept: text/plain` for something to read.
#[utoipa::path(
    post,
    path = "/v1/optimise",
    tag = "decide",
    request_body = OptimiseRequest,
    responses(
        (status = 200, description = "The plans, or why there is none.", content(
            (OptimiseBody = "application/json"),
            (String = "text/plain"),
        )),
        (status = 422, description = "The request names something that does not exist, or has the wrong shape.",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 503, description = "The service is busy.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn optimise(
    catalogue: InUse,
    state: Data<AppState>,
    language: Language,
    head: HttpRequest,
    body: Strict<OptimiseRequest>,
) -> Result<HttpResponse, Problem> {
    let form = accept::choose(head.headers(), FORMS)?;
    let request = body.0;
    let came = Instant::now();
    let bytes = state
        .compute(move |stop| {
            let found = optimise_until(&request, &catalogue, came, stop);
            written(&found.map_err(Problem::invalid_body)?, form, language)
        })
        .await??;
    let kind = match form {
        JSON => JSON,
        _ => "text/plain; charset=utf-8",
    };
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, kind))
        .body(bytes))
}

fn written(found: &Optimised<'_>, form: &str, language: Language) -> Result<Vec<u8>, Problem> {
    match form {
        JSON => serde_json::to_vec(&found.body(language.0)).map_err(|_| Problem::internal()),
        _ => Ok(found.report(language.0).into_bytes()),
    }
}
