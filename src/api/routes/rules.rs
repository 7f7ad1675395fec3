//! `GET /v1/rules`: every rule.

use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::{conditional, of_request};
use crate::api::language::Language;
use crate::api::page::{PAGE_PARAMETERS, Page, PageParams, Paging, link_next};
use crate::api::problem::{Problem, ProblemBody};
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::api::wire::catalogue::RuleItem;
use crate::domain::rules::RULES;
use crate::render::words::Words;

/// Every rule that a finding may name.
///
/// Sorted by id. Ids never change their meaning; new rules may come.
#[utoipa::path(
    get,
    path = "/v1/rules",
    tag = "reference",
    params(PageParams),
    responses(
        (status = 200, description = "A page.", body = Page<RuleItem>),
        (status = 304, description = "It is the page that `If-None-Match` names."),
        (status = 422, description = "A parameter cannot be used.", body = ProblemBody,
            content_type = "application/problem+json"),
    )
)]
pub async fn rules(
    request: HttpRequest,
    state: Data<AppState>,
    language: Language,
) -> Result<HttpResponse, Problem> {
    let query = Query::read(request.query_string(), &PAGE_PARAMETERS)?;
    let paging = Paging::read(&query, "rules")?;
    conditional(&request, &of_request(&request, &state), || {
        let page = paging.cut(sorted(language.0), |item| item.id);
        let mut answer = HttpResponse::Ok().json(&page);
        link_next(&mut answer, &request, page.next_cursor.as_deref());
        Ok(answer)
    })
}

fn sorted(words: &Words) -> Vec<RuleItem> {
    let mut items: Vec<RuleItem> = RULES
        .iter()
        .map(|rule| RuleItem::new(rule, words))
        .collect();
    items.sort_unstable_by_key(|item| item.id);
    items
}
