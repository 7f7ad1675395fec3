//! `POST /v1/validate`: will this work?

use actix_web::HttpResponse;
use actix_web::http::header;
use actix_web::web::Data;

use crate::api::accept::JSON;
use crate::api::decide::decide_until;
use crate::api::extract::Strict;
use crate::api::in_use::InUse;
use crate::api::language::Language;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::state::AppState;
use crate::api::wire::answer::AnswerBody;
use crate::api::wire::request::ValidateRequest;
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;

/// Will these modules work in this board?
///
/// A kit that does not work is a 200 with a `verdict` and findings: the request was read and
/// decided. A kit sends quantities; the answer says which slot each module takes, and the kit fits
/// if some placement breaks no rule that can block. Facts that nobody told leave rules undecided;
/// the answer names them and where to read them off. Equal requests at one catalogue revision give
/// equal bytes.
#[utoipa::path(
    post,
    path = "/v1/validate",
    tag = "decide",
    request_body = ValidateRequest,
    responses(
        (status = 200, description = "The verdict.", body = AnswerBody),
        (status = 422, description = "The request names something that does not exist, or has the wrong shape.",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 503, description = "The service is busy.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn validate(
    catalogue: InUse,
    state: Data<AppState>,
    language: Language,
    body: Strict<ValidateRequest>,
) -> Result<HttpResponse, Problem> {
    let request = body.0;
    // Checking given slots takes microseconds; a search may take much longer and must not hold a
    // worker that others wait for.
    let bytes = if request.searches() {
        state
            .compute(move |stop| answer(&request, language, &catalogue, stop))
            .await?
    } else {
        answer(&request, language, &catalogue, &Stop::never())
    }?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, JSON))
        .body(bytes))
}

fn answer(
    request: &ValidateRequest,
    language: Language,
    catalogue: &Catalogue,
    stop: &Stop,
) -> Result<Vec<u8>, Problem> {
    let decided = decide_until(request, catalogue, stop).map_err(Problem::invalid_body)?;
    serde_json::to_vec(&decided.body(language.0)).map_err(|_| Problem::internal())
}
