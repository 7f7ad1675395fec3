//! Which web pages may read answers: those of the origins that the operator listed, and no others.
//!
//! Off by default. An origin is compared as a whole and never reflected unseen; cookies and other
//! credentials of the browser are never asked for. Source: Fetch standard, "HTTP CORS protocol".

use actix_web::http::Method;
use actix_web::http::header::{self, HeaderMap, HeaderValue};

/// Headers of an answer that a page may read beside the usual ones.
const READABLE: &str = "etag, kitproof-catalogue, kitproof-engine, link, ratelimit, \
                        ratelimit-policy, retry-after, x-request-id";

/// Headers that a page may send beside the usual ones.
const SENDABLE: &str = "authorization, content-type, if-none-match, x-request-id";

/// Methods that a page may use.
const METHODS: &str = "GET, HEAD, POST";

/// Seconds for which a browser may keep the answer to its question.
const KEPT: &str = "600";

/// What a page's request gets.
#[derive(Debug, Clone, Default)]
pub struct Cors {
    origin: Option<HeaderValue>,
    asks_first: bool,
    /// Whether origins are listed at all, so that answers differ by origin.
    varies: bool,
}

impl Cors {
    /// Of a request, with the origins that are let in.
    pub fn of(method: &Method, headers: &HeaderMap, allowed: &[String]) -> Self {
        let origin = headers.get(header::ORIGIN);
        let listed = |origin: &&HeaderValue| {
            allowed
                .iter()
                .any(|one| one.as_bytes() == origin.as_bytes())
        };
        let origin = origin.filter(listed).cloned();
        let asks = headers.contains_key(header::ACCESS_CONTROL_REQUEST_METHOD);
        Self {
            asks_first: origin.is_some() && method == Method::OPTIONS && asks,
            origin,
            varies: !allowed.is_empty(),
        }
    }

    /// Adds what the page's browser looks for.
    pub fn add(&self, headers: &mut HeaderMap) {
        if self.varies {
            headers.append(header::VARY, HeaderValue::from_static("Origin"));
        }
        let Some(origin) = &self.origin else { return };
        headers.insert(header::ACCESS_CONTROL_ALLOW_ORIGIN, origin.clone());
        let mut add = |name, value| headers.insert(name, HeaderValue::from_static(value));
        if self.asks_first {
            add(header::ACCESS_CONTROL_ALLOW_METHODS, METHODS);
            add(header::ACCESS_CONTROL_ALLOW_HEADERS, SENDABLE);
            add(header::ACCESS_CONTROL_MAX_AGE, KEPT);
        } else {
            add(header::ACCESS_CONTROL_EXPOSE_HEADERS, READABLE);
        }
    }
}
