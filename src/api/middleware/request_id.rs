//! The id of a request: the caller's own, if it is safe to repeat, or a new one.

use std::hash::{BuildHasher, RandomState};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};

use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};

/// The header that carries the id both ways.
pub const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// The longest id that is taken over.
const LONGEST: usize = 64;

/// The id of a request with these headers.
pub fn of(headers: &HeaderMap) -> HeaderValue {
    match headers.get(REQUEST_ID) {
        Some(given) if is_safe(given.as_bytes()) => given.clone(),
        _ => fresh(),
    }
}

/// Letters, digits and `-_.:` only: the id goes into headers and log lines.
fn is_safe(id: &[u8]) -> bool {
    let safe = |byte: &u8| byte.is_ascii_alphanumeric() || b"-_.:".contains(byte);
    !id.is_empty() && id.len() <= LONGEST && id.iter().all(safe)
}

/// A number that differs between processes, then one that differs within this one.
fn fresh() -> HeaderValue {
    static PROCESS: OnceLock<u64> = OnceLock::new();
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let process = PROCESS.get_or_init(|| RandomState::new().hash_one(std::process::id()));
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let id = HeaderValue::from_str(&format!("{process:016x}-{count:x}"));
    id.unwrap_or(HeaderValue::from_static("none"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of_given(given: &[u8]) -> HeaderValue {
        let mut headers = HeaderMap::new();
        headers.insert(REQUEST_ID, HeaderValue::from_bytes(given).unwrap());
        of(&headers)
    }

    #[test]
    fn takes_over_a_safe_id() {
        assert_eq!(of_given(b"order-17:a.b_C"), "order-17:a.b_C");
        assert_eq!(of_given(&[b'a'; 64]).len(), 64);
    }

    #[test]
    fn replaces_an_id_that_could_harm_a_log() {
        for bad in [&b""[..], b"a b", b"a\tb", b"\"", &[b'a'; 65], b"\xc3\xa4"] {
            let id = of_given(bad);
            assert!(is_safe(id.as_bytes()) && id.as_bytes() != bad);
        }
    }

    #[test]
    fn new_ids_differ() {
        assert_ne!(fresh(), fresh());
    }
}
