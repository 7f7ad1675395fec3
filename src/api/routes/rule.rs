//! `GET /v1/rules/{id}`: one rule.

use actix_web::web::{Data, Path};
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::language::Language;
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::api::wire::catalogue::RuleItem;
use crate::domain::rules::RULES;
use crate::wirecheck::near::close_matches;

/// One rule by its id.
///
/// What it means, what it rests on, and two requests: one that breaks it and one that meets it.
#[utoipa::path(
    get,
    path = "/v1/rules/{id}",
    tag = "reference",
    params(("id" = String, Path, description = "The id of the rule.", example = "rank-budget-exceeded",
        max_length = 100)),
    responses(
        (status = 200, description = "The rule.", body = RuleItem),
        (status = 304, description = "It is the one that `If-None-Match` names."),
        (status = 404, description = "There is no such rule.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn rule(
    request: HttpRequest,
    id: Path<String>,
    state: Data<AppState>,
    language: Language,
) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    let unknown = || {
        Problem::unknown_name(
            "rule",
            "id",
            &id,
            close_matches(&id, RULES.iter().map(|rule| rule.id)),
        )
    };
    let found = RULES
        .iter()
        .find(|rule| rule.id == id.as_str())
        .map(|rule| RuleItem::new(rule, language.0))
        .ok_or_else(unknown)?;
    conditional(&request, &of_request(&request, &state), || {
        Ok(HttpResponse::Ok().json(found))
    })
}
