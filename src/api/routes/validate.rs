//! `POST /v1/validate`: will this work?

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::decide::decide_until;
use crate::api::extract::StrictText;
use crate::api::extras::{Answered, Extras, Parcel};
use crate::api::form::Form;
use crate::api::in_use::InUse;
use crate::api::language::Language;
use crate::api::metrics::Metrics;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::state::AppState;
use crate::api::wire::answer::AnswerBody;
use crate::api::wire::request::ValidateRequest;
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;

/// A search of so many steps stays on the worker, where it takes less than handing it over to another
/// thread would cost; a longer one begins anew on the pool. The whole budget of 3,000,000 steps takes
/// about a second, so these take about a millisecond at most.
const INLINE_STEPS: u64 = 2_000;

/// Will these modules work in this board?
///
/// A kit that does not work is a 200 with a `verdict` and findings: the request was read and
/// decided. A kit sends quantities; the answer says which slot each module takes, and the kit fits
/// if some placement breaks no rule that can block. Facts that nobody told leave rules undecided;
/// the answer names them and where to read them off. `Accept` chooses JSON, text, Markdown for a
/// ticket, a page to print or a drawing of the board; `Accept-Language` English or German. Equal
/// requests at one catalogue revision give equal bytes.
#[utoipa::path(
    post,
    path = "/v1/validate",
    tag = "decide",
    request_body = ValidateRequest,
    responses(
        (status = 200, description = "The verdict.", content(
            (AnswerBody = "application/json"),
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
pub async fn validate(
    catalogue: InUse,
    state: Data<AppState>,
    language: Language,
    head: HttpRequest,
    body: StrictText<ValidateRequest>,
) -> Result<HttpResponse, Problem> {
    let manner = (Form::wished(head.headers())?, language);
    let mut request = body.value;
    let extras = Extras::take(&mut request, &body.text, &head, &state)?;
    if request.is_usual() {
        let stop = Stop::after(INLINE_STEPS);
        let answered = answer(&request, manner, &catalogue, &extras, &state.metrics, &stop);
        if !stop.is_asked() {
            return Ok(extras.finish(manner.0, answered?, &state).await);
        }
    }
    let shared = state.clone();
    let work = move |stop: &Stop| {
        let metrics = &shared.metrics;
        let answered = answer(&request, manner, &catalogue, &extras, metrics, stop);
        answered.map(|answered| (answered, extras))
    };
    let (answered, extras) = state.compute(work).await??;
    Ok(extras.finish(manner.0, answered, &state).await)
}

fn answer(
    request: &ValidateRequest,
    (form, language): (Form, Language),
    catalogue: &Catalogue,
    extras: &Extras,
    metrics: &Metrics,
    stop: &Stop,
) -> Result<Answered, Problem> {
    let decided = decide_until(request, catalogue, stop).map_err(Problem::invalid_body)?;
    if !stop.is_asked() {
        metrics.decided(decided.answer());
    }
    // A receipt stands in JSON only: the other forms are for reading.
    let bytes = match form {
        Form::Json => {
            let mut body = decided.body(language.0);
            // A search that was stopped decided nothing, and is answered with a problem in the end.
            body.receipt = extras.receipt(&decided)?;
            serde_json::to_vec(&body).map_err(|_| Problem::internal())?
        }
        _ => form.write(&decided, language.0)?,
    };
    Ok(Answered {
        bytes,
        parcel: extras.parcel(|| Parcel::verdict(&decided, language.0)),
    })
}
