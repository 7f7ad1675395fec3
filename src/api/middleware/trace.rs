//! The trace that a request belongs to: the caller's, if it names one, or a new one (W3C Trace
//! Context, level 1).

use std::fmt;
use std::hash::{BuildHasher, RandomState};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};

use actix_web::http::header::{HeaderMap, HeaderName};

/// The header that names the caller's trace.
pub const TRACEPARENT: HeaderName = HeaderName::from_static("traceparent");

/// Where a request stands in a trace.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trace {
    /// The trace.
    pub trace: u128,
    /// The caller's step, if the caller named one.
    pub parent: Option<u64>,
    /// This request's own step.
    pub span: u64,
    /// Whether the caller keeps the trace.
    pub sampled: bool,
}

impl Trace {
    /// The trace of a request with these headers.
    pub fn of(headers: &HeaderMap) -> Self {
        let mut given = headers.get_all(TRACEPARENT);
        // Two of them say two things, which is to say nothing.
        let parsed = match (given.next(), given.next()) {
            (Some(one), None) => parse(one.as_bytes()),
            _ => None,
        };
        let span = number(0);
        match parsed {
            Some((trace, parent, sampled)) => Self {
                trace,
                parent: Some(parent),
                span,
                sampled,
            },
            None => Self {
                trace: (u128::from(number(1)) << 64) | u128::from(number(2)),
                parent: None,
                span,
                sampled: false,
            },
        }
    }

    /// The trace as its header writes it.
    pub fn trace_text(&self) -> impl fmt::Display + use<> {
        Hex(self.trace, 32)
    }

    /// The step as its header writes it.
    pub fn span_text(&self) -> impl fmt::Display + use<> {
        Hex(self.span.into(), 16)
    }
}

struct Hex(u128, usize);

impl fmt::Display for Hex {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:0width$x}", self.0, width = self.1)
    }
}

/// Trace, parent and flag of a header's value; section 3.2.2 of the standard. A later version may
/// be longer and is read as far as it is known.
fn parse(value: &[u8]) -> Option<(u128, u64, bool)> {
    let text = std::str::from_utf8(value).ok()?;
    let version = hex(text.get(..2)?)?;
    let rest = text.get(55..)?;
    let length_fits = rest.is_empty() || (version > 0 && rest.starts_with('-'));
    let dashes = [2, 35, 52]
        .iter()
        .all(|place| value.get(*place) == Some(&b'-'));
    if version == 0xff || !length_fits || !dashes {
        return None;
    }
    let trace = hex(text.get(3..35)?)?;
    let parent = u64::try_from(hex(text.get(36..52)?)?).ok()?;
    let flags = hex(text.get(53..55)?)?;
    (trace != 0 && parent != 0).then_some((trace, parent, flags & 1 == 1))
}

/// Lower-case hexadecimal digits only.
fn hex(text: &str) -> Option<u128> {
    let digit = |byte: u8| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte);
    let all = text.bytes().all(digit);
    all.then(|| u128::from_str_radix(text, 16).ok())?
}

/// A number that nobody else is likely to make, never 0.
fn number(kind: u8) -> u64 {
    static KEYS: OnceLock<[RandomState; 3]> = OnceLock::new();
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let keys = KEYS.get_or_init(Default::default);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let key = keys.get(usize::from(kind));
    key.map_or(1, |key| key.hash_one(count)).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header::HeaderValue;

    const GOOD: &str = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01";

    fn of(values: &[&str]) -> Trace {
        let mut headers = HeaderMap::new();
        for value in values {
            headers.append(TRACEPARENT, HeaderValue::from_str(value).unwrap());
        }
        Trace::of(&headers)
    }

    /// The examples of the standard (W3C Trace Context, level 1, section 3.2.3).
    #[test]
    fn goes_on_with_the_trace_of_the_caller() {
        let trace = of(&[GOOD]);
        assert_eq!(
            trace.trace_text().to_string(),
            "0af7651916cd43dd8448eb211c80319c"
        );
        assert_eq!(trace.parent, Some(0xb7ad_6b71_6920_3331));
        assert!(trace.sampled);
        assert_ne!(Some(trace.span), trace.parent);
        let not_kept = GOOD.replace("-01", "-00");
        assert!(!of(&[&not_kept]).sampled);
    }

    /// Sections 3.2.2 and 3.2.4, and the cases of its test suite (w3c/trace-context, from memory).
    #[test]
    fn begins_a_new_trace_when_the_header_cannot_be_used() {
        let long = format!("{GOOD}-what");
        let bad = [
            "",
            "00",
            "ff-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01",
            "00-00000000000000000000000000000000-b7ad6b7169203331-01",
            "00-0af7651916cd43dd8448eb211c80319c-0000000000000000-01",
            "00-0AF7651916CD43DD8448EB211C80319C-b7ad6b7169203331-01",
            "00-0af7651916cd43dd8448eb211c80319c-b7ad6b716920333-01",
            "0-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01",
            "00_0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01",
            "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-0x",
            "00-+af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01",
            long.as_str(),
        ];
        for value in bad {
            assert_eq!(of(&[value]).parent, None, "{value}");
        }
        assert_eq!(of(&[GOOD, GOOD]).parent, None);
        assert_ne!(of(&[]).trace, of(&[]).trace);
    }

    #[test]
    fn a_later_version_is_read_as_far_as_it_is_known() {
        let later = GOOD.replacen("00", "cc", 1);
        assert!(of(&[&later]).parent.is_some());
        assert!(
            of(&[&format!("{later}-what-the-future-brings")])
                .parent
                .is_some()
        );
        assert!(of(&[&format!("{later}.what")]).parent.is_none());
    }
}
