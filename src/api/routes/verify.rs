//! `POST /v1/verify`: was the work done as planned?

use actix_web::HttpResponse;
use actix_web::http::header;
use actix_web::web::Data;

use crate::api::InUse;
use crate::api::accept::JSON;
use crate::api::extract::Strict;
use crate::api::language::Language;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::state::AppState;
use crate::api::verify::verify_until;
use crate::api::wire::verify::{VerifyBody, VerifyRequest};
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;

/// Was the work done as planned?
///
/// Compares a plan (a request to validate, with slots or as a kit) with what a machine reports after
/// the work. Each difference names its cause rather than its consequences, and says what to try first:
/// a module that is not seen is mostly not fully seated. What the report does not tell is neither a
/// difference nor agreement: then the result is `cannot_tell`. A difference is a 200 with findings.
#[utoipa::path(
    post,
    path = "/v1/verify",
    tag = "decide",
    request_body = VerifyRequest,
    responses(
        (status = 200, description = "The comparison.", body = VerifyBody),
        (status = 422, description = "The request names something that does not exist, the plan has no placement, what was found is no report, or the JSON has the wrong shape.",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 503, description = "The service is busy.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn verify(
    catalogue: InUse,
    state: Data<AppState>,
    language: Language,
    body: Strict<VerifyRequest>,
) -> Result<HttpResponse, Problem> {
    let request = body.0;
    // A kit is placed, and a report may be long: neither must hold a worker that others wait for.
    let bytes = state
        .compute(move |stop| answer(&request, language, &catalogue, stop))
        .await??;
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, JSON))
        .body(bytes))
}

fn answer(
    request: &VerifyRequest,
    language: Language,
    catalogue: &Catalogue,
    stop: &Stop,
) -> Result<Vec<u8>, Problem> {
    let verified = verify_until(request, catalogue, stop).map_err(Problem::invalid_body)?;
    serde_json::to_vec(&verified.body(language.0)).map_err(|_| Problem::internal())
}
