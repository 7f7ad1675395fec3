//! Lists in pages: a limit, an opaque cursor and where the next page is.
//!
//! The cursor holds the key of the last item, not a number of items, so that pages stay right when
//! the list grows or shrinks between two requests.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::Serialize;
use utoipa::{IntoParams, ToSchema};

use super::problem::Problem;
use super::query::{Query, fault};
use crate::wirecheck::fault::quoted;

/// Names of the paging parameters, for [`Query::read`].
pub const PAGE_PARAMETERS: [&str; 2] = ["limit", "cursor"];
/// Items of a page when the caller does not say.
pub const DEFAULT_LIMIT: usize = 50;
/// The most items of a page.
pub const LARGEST_LIMIT: usize = 200;

/// The paging parameters, for the OpenAPI document.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct PageParams {
    /// The most items to answer with.
    #[param(minimum = 1, maximum = 200, default = 50)]
    #[allow(dead_code, reason = "describes a parameter")]
    limit: Option<u16>,
    /// Where to go on: `next_cursor` of the page before, sent back as it was given.
    #[param(max_length = 400)]
    #[allow(dead_code, reason = "describes a parameter")]
    cursor: Option<String>,
}

/// One page of a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Page<T> {
    /// The items, in a fixed order.
    #[schema(max_items = 200)]
    pub items: Vec<T>,
    /// The cursor of the next page; absent on the last one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub next_cursor: Option<String>,
}

/// What a caller asked of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paging {
    limit: usize,
    after: Option<String>,
    scope: String,
}

impl Paging {
    /// Reads the paging parameters. `list` is the list's name; all other parameters of the query
    /// are its filters, and a cursor is only good for the same list with the same filters.
    ///
    /// # Errors
    /// An `invalid-query` problem that names every parameter that cannot be used.
    pub fn read(query: &Query, list: &str) -> Result<Self, Problem> {
        let scope = scope(query, list);
        let mut faults = Vec::new();
        let limit = query.get("limit").map_or(Some(DEFAULT_LIMIT), limit);
        if limit.is_none() {
            let given = quoted(query.get("limit").unwrap_or_default());
            let fault = fault("limit", format!("{given} is no limit for a page"));
            faults.push(fault.hint(format!("allowed: 1 to {LARGEST_LIMIT}")));
        }
        let after = query.get("cursor").map(|cursor| decode(cursor, &scope));
        if after == Some(None) {
            let fault = fault("cursor", "the cursor is not from this list");
            faults.push(fault.hint("take `next_cursor` of a page with the same filters"));
        }
        match limit {
            Some(limit) if faults.is_empty() => Ok(Self {
                limit,
                after: after.flatten(),
                scope,
            }),
            _ => Err(Problem::invalid_query(faults)),
        }
    }

    /// Cuts the page out of a list that is sorted by `key`.
    pub fn cut<T>(&self, items: impl IntoIterator<Item = T>, key: impl Fn(&T) -> &str) -> Page<T> {
        let after = self.after.as_deref();
        let later = |item: &T| after.is_none_or(|after| key(item) > after);
        let mut rest = items.into_iter().filter(later);
        let page: Vec<T> = rest.by_ref().take(self.limit).collect();
        let more = rest.next().is_some();
        let last = page.last().filter(|_| more);
        Page {
            next_cursor: last.map(|item| encode(key(item), &self.scope)),
            items: page,
        }
    }
}

/// Points to the next page in a header as well (RFC 8288).
pub fn link_next(answer: &mut HttpResponse, request: &HttpRequest, cursor: Option<&str>) {
    let Some(cursor) = cursor else { return };
    let others = request
        .query_string()
        .split('&')
        .filter(|pair| !pair.is_empty() && !pair.starts_with("cursor="));
    let mut query: Vec<&str> = others.collect();
    let next = format!("cursor={cursor}");
    query.push(&next);
    let link = format!("<{}?{}>; rel=\"next\"", request.path(), query.join("&"));
    if let Ok(link) = header::HeaderValue::from_str(&link) {
        answer.headers_mut().insert(header::LINK, link);
    }
}

fn limit(text: &str) -> Option<usize> {
    let digits = text.bytes().all(|b| b.is_ascii_digit());
    let limit = text.parse().ok().filter(|_| digits)?;
    (1..=LARGEST_LIMIT).contains(&limit).then_some(limit)
}

/// The list's name and its filters.
fn scope(query: &Query, list: &str) -> String {
    let mut filters: Vec<(&str, &str)> = query
        .pairs()
        .filter(|(name, _)| !PAGE_PARAMETERS.contains(name))
        .collect();
    filters.sort_unstable();
    format!("{list}{filters:?}")
}

/// Separates the scope's digest from the key within a cursor.
const SEPARATOR: char = '\n';

fn encode(key: &str, scope: &str) -> String {
    URL_SAFE_NO_PAD.encode(format!(
        "{}{SEPARATOR}{key}",
        super::etag::digest(&[scope.as_bytes()])
    ))
}

fn decode(cursor: &str, scope: &str) -> Option<String> {
    let bytes = URL_SAFE_NO_PAD.decode(cursor).ok()?;
    let text = String::from_utf8(bytes).ok()?;
    let (digest, key) = text.split_once(SEPARATOR)?;
    (digest == super::etag::digest(&[scope.as_bytes()])).then(|| key.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paging(text: &str) -> Result<Paging, Problem> {
        let query = Query::read(text, &["limit", "cursor", "kind"])?;
        Paging::read(&query, "letters")
    }

    #[test]
    fn pages_join_up_to_the_whole_list() {
        let letters: Vec<String> = ('a'..='z').map(String::from).collect();
        for limit in [1, 7, 13, 26, 200] {
            let mut all = Vec::new();
            let mut query = format!("limit={limit}");
            loop {
                let page = paging(&query)
                    .unwrap()
                    .cut(letters.clone(), |letter| letter);
                all.extend(page.items);
                let Some(cursor) = page.next_cursor else {
                    break;
                };
                query = format!("limit={limit}&cursor={cursor}");
            }
            assert_eq!(all, letters, "limit {limit}");
        }
    }

    /// The parameter of the first fault.
    fn first_named(query: &str) -> String {
        let first = paging(query).unwrap_err().faults.list.remove(0);
        first.parameter.unwrap().name.unwrap()
    }

    #[test]
    fn refuses_limits_and_cursors_that_cannot_be() {
        for bad in [
            "limit=0",
            "limit=201",
            "limit=-1",
            "limit=%2B5",
            "limit=",
            "limit=1e1",
        ] {
            assert_eq!(first_named(bad), "limit", "{bad}");
        }
        for bad in ["cursor=", "cursor=xyz", "cursor=%00"] {
            assert_eq!(first_named(bad), "cursor", "{bad}");
        }
        assert_eq!(paging("limit=0&cursor=x").unwrap_err().faults.list.len(), 2);
    }

    #[test]
    fn a_cursor_is_good_for_the_same_filters_only() {
        let page = paging("limit=1&kind=x")
            .unwrap()
            .cut(["a", "b"], |letter| letter);
        let cursor = page.next_cursor.unwrap();
        assert!(paging(&format!("kind=x&cursor={cursor}")).is_ok());
        assert!(paging(&format!("kind=y&cursor={cursor}")).is_err());
    }
}
