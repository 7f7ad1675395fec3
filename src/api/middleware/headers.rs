//! Headers that every answer has.

use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};

use super::request_id::REQUEST_ID;
use crate::api::in_use::InUse;
use crate::api::state::ENGINE;

/// The revision of the catalogue that an answer was made from.
pub const CATALOGUE: HeaderName = HeaderName::from_static("kitproof-catalogue");
/// The version of the program that made it.
pub const ENGINE_HEADER: HeaderName = HeaderName::from_static("kitproof-engine");

/// Headers that an answer gets unless its handler set them.
const DEFAULTS: [(HeaderName, &str); 5] = [
    (header::CACHE_CONTROL, "no-store"),
    (
        header::CONTENT_SECURITY_POLICY,
        "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
    ),
    (header::REFERRER_POLICY, "no-referrer"),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    // Pages of the origins that the operator lists read answers by CORS, which this does not touch.
    (header::CROSS_ORIGIN_RESOURCE_POLICY, "same-origin"),
];

/// Adds them.
pub fn add(headers: &mut HeaderMap, id: HeaderValue, catalogue: Option<&InUse>) {
    for (name, value) in DEFAULTS {
        if !headers.contains_key(&name) {
            headers.insert(name, HeaderValue::from_static(value));
        }
    }
    headers.insert(REQUEST_ID, id);
    headers.insert(ENGINE_HEADER, HeaderValue::from_static(ENGINE));
    if let Some(catalogue) = catalogue {
        headers.insert(CATALOGUE, catalogue.header());
    }
}
