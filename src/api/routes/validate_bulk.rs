//! `POST /v1/validate/bulk`: many requests in one stream.

use actix_web::http::header;
use actix_web::web::{Data, Payload};
use actix_web::{HttpRequest, HttpResponse};

use crate::api::bulk::NDJSON;
use crate::api::bulk::stream::{Answers, Begin};
use crate::api::extract::{check_content_type, check_encoding};
use crate::api::in_use::InUse;
use crate::api::language::Language;
use crate::api::problem::{Code, Problem, ProblemBody};
use crate::api::query::{Query, fault};
use crate::api::state::AppState;
use crate::api::wire::bulk::LineBody;
use crate::api::wire::request::ValidateRequest;

/// Will each of these work?
///
/// Newline-delimited JSON: every line of the body is a request as for `/v1/validate`, every line of
/// the answer holds the number of its line and either the same `answer` that a single request would
/// have got, or the `problem` of that line; the others are not touched by it. Answers come in order
/// while the body still comes: read while you send, or the stream stalls and is cut. The last line
/// has `complete` and the counts; an answer without it was cut, and `first_line` with the next number
/// goes on. One catalogue revision decides the whole stream. Empty lines are counted and not
/// answered.
#[utoipa::path(
    post,
    path = "/v1/validate/bulk",
    tag = "decide",
    params(
        ("first_line" = Option<u64>, Query, minimum = 1, maximum = 9_000_000_000_000_000_u64,
            description = "The number of the first line that is sent, 1 if not given.", example = 1),
    ),
    request_body(content = ValidateRequest, content_type = "application/x-ndjson",
        description = "One such request on each line.",
        example = json!({"reference": "cart-1", "board": "tarn",
            "kit": [{"module": "ERW-3R16-2x4", "quantity": 16}]})),
    responses(
        (status = 200, description = "Such lines, the last with `complete`.", body = LineBody,
            content_type = "application/x-ndjson",
            example = json!({"summary": {"lines": 1, "answered": 1, "problems": 0, "allowed": 1,
                "verdicts": {"fits": 1, "fits_with_warnings": 0, "undecided": 0, "does_not_fit": 0}},
                "catalogue_revision": "5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef", "next_line": 2, "complete": true})),
        (status = 415, description = "The body is of another type, or compressed.",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 422, description = "The query cannot be used.", body = ProblemBody,
            content_type = "application/problem+json"),
        (status = 503, description = "The service has as many streams as it takes.",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
pub async fn validate_bulk(
    request: HttpRequest,
    catalogue: InUse,
    state: Data<AppState>,
    language: Language,
    payload: Payload,
) -> Result<HttpResponse, Problem> {
    check_encoding(request.headers()).map_err(Problem::close)?;
    check_content_type(request.headers(), &[NDJSON]).map_err(Problem::close)?;
    let first = first_line(request.query_string()).map_err(Problem::close)?;
    let place = state.bulk.place().ok_or_else(|| {
        state.metrics.shed.streams.one();
        let busy = Problem::new(Code::Overloaded, "there are as many streams as may be");
        busy.retry_after(5).close()
    })?;
    let answers = Answers::new(Begin {
        payload: payload.into_inner(),
        place,
        catalogue,
        words: language.0,
        first,
        state,
    });
    Ok(HttpResponse::Ok()
        .insert_header((header::CONTENT_TYPE, NDJSON))
        .streaming(answers))
}

fn first_line(query: &str) -> Result<u64, Problem> {
    const NAME: &str = "first_line";
    /// The lines after it can still be counted in what every reader of JSON holds exactly: up to 2^53
    /// (RFC 7493, section 2.2).
    const LARGEST: u64 = 9_000_000_000_000_000;
    let query = Query::read(query, &[NAME])?;
    let Some(given) = query.get(NAME) else {
        return Ok(1);
    };
    let number = given.parse().ok().filter(|n| (1..=LARGEST).contains(n));
    number.ok_or_else(|| {
        Problem::invalid_query(fault(NAME, "a line's number is a whole number from 1"))
    })
}
