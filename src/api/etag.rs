//! Entity tags and conditional requests (RFC 9110, sections 8.8.3 and 13.1.2).

use actix_web::http::header::{self, HeaderMap, HeaderValue};
use actix_web::{HttpRequest, HttpResponse};
use sha2::{Digest, Sha256};

use super::in_use::InUse;
use super::state::{AppState, ENGINE};

/// How long an answer from the catalogue may be reused before it is asked for again.
const REVALIDATE: &str = "public, max-age=0, must-revalidate";

/// Sixteen hexadecimal digits that stand for the parts.
pub fn digest(parts: &[&[u8]]) -> String {
    let mut hash = Sha256::new();
    for part in parts {
        // The length keeps `ab` + `c` apart from `a` + `bc`.
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part);
    }
    hash.finalize()
        .iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// The weak tag of what a GET request gives: it changes with the program, with the catalogue and
/// with all that the answer may depend on in the request.
pub fn of_request(request: &HttpRequest, state: &AppState) -> String {
    let wish = |name| {
        request
            .headers()
            .get(name)
            .map_or(&b""[..], HeaderValue::as_bytes)
    };
    let digest = digest(&[
        ENGINE.as_bytes(),
        state.document.tag().as_bytes(),
        InUse::of(request, state).revision().as_bytes(),
        request.uri().to_string().as_bytes(),
        wish(header::ACCEPT),
        wish(header::ACCEPT_LANGUAGE),
    ]);
    format!("W/\"{digest}\"")
}

/// Answers 304 when the caller has the tagged answer already, else makes it.
///
/// # Errors
/// Those of `make`.
pub fn conditional<E>(
    request: &HttpRequest,
    tag: &str,
    make: impl FnOnce() -> Result<HttpResponse, E>,
) -> Result<HttpResponse, E> {
    let mut answer = if is_known(request.headers(), tag) {
        HttpResponse::NotModified().finish()
    } else {
        make()?
    };
    let headers = answer.headers_mut();
    if let Ok(tag) = HeaderValue::from_str(tag) {
        headers.insert(header::ETAG, tag);
    }
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(REVALIDATE));
    headers.insert(
        header::VARY,
        HeaderValue::from_static("Accept, Accept-Language"),
    );
    Ok(answer)
}

/// Whether `If-None-Match` names the tag; weak comparison, as for every GET.
fn is_known(headers: &HeaderMap, tag: &str) -> bool {
    let plain = |tag: &str| tag.trim().trim_start_matches("W/").to_owned();
    let ours = plain(tag);
    headers
        .get_all(header::IF_NONE_MATCH)
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .any(|known| known.trim() == "*" || plain(known) == ours)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(given: &'static str) -> bool {
        let mut headers = HeaderMap::new();
        headers.insert(header::IF_NONE_MATCH, HeaderValue::from_static(given));
        is_known(&headers, "W/\"abc\"")
    }

    #[test]
    fn compares_tags_weakly_and_in_lists() {
        assert!(known("W/\"abc\"") && known("\"abc\"") && known("*"));
        assert!(known("\"x\", W/\"abc\""));
        assert!(!known("\"abcd\"") && !known("abc") && !known(""));
    }

    #[test]
    fn parts_do_not_run_into_each_other() {
        assert_ne!(digest(&[b"ab", b"c"]), digest(&[b"a", b"bc"]));
        assert_eq!(digest(&[b"ab"]).len(), 16);
    }
}
