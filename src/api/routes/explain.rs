//! `POST /v1/explain`: why, why not another kit, how many at most, and how to do the work.

use std::time::Instant;

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::explain::explain_until as explained;
use crate::api::extract::Strict;
use crate::api::extras::{Answered, Extras, Parcel};
use crate::api::form::Form;
use crate::api::in_use::InUse;
use crate::api::language::Language;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::state::AppState;
use crate::api::wire::explain::{ExplainRequest, ExplanationBody};
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;

/// Why?
///
/// Takes the answer to a request apart into facts, each given by the request, read from the board's
/// record or computed with its arithmetic, and what follows from them. `choice` takes a request to the
/// optimiser instead, and the kit that somebody would rather have. `Accept` chooses JSON,
/// text, Markdown for a ticket, a page to print or a drawing of the board; `Accept-Language` English or
/// German. Whatever cannot be given (a worksheet for a kit that does not fit) is a 200
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
            (String = "text/markdown"),
            (String = "text/html"),
            (String = "image/svg+xml"),
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
    let form = Form::wished(head.headers())?;
    let mut request = body.0;
    let came = Instant::now();
    let extras = Extras::delivery(request.deliver_to.take(), &head, &state)?;
    // Why and how many take several searches, which must not hold a worker that others wait for.
    let work = move |stop: &Stop| {
        let answered = answer(
            &request,
            &catalogue,
            (form, language),
            &extras,
            (came, stop),
        );
        answered.map(|answered| (answered, extras))
    };
    let (answered, extras) = state.compute(work).await??;
    Ok(extras.finish(form, answered, &state).await)
}

fn answer(
    request: &ExplainRequest,
    catalogue: &Catalogue,
    (form, language): (Form, Language),
    extras: &Extras,
    (came, stop): (Instant, &Stop),
) -> Result<Answered, Problem> {
    let made = explained(request, catalogue, came, stop).map_err(Problem::invalid_body)?;
    Ok(Answered {
        bytes: form.write(&made, language.0)?,
        parcel: extras.parcel(|| Parcel::explanation(&made, language.0)),
    })
}
