//! The `Accept` header: which form of the answer the caller takes (RFC 9110, section 12.5.1).

use actix_web::http::header::{ACCEPT, HeaderMap};

use super::problem::{Code, Problem};

/// The media type of most answers.
pub const JSON: &str = "application/json";

/// The offered type that the caller likes best, the first of equals.
///
/// # Errors
/// A `not-acceptable` problem when the caller takes none of them.
pub fn choose<'o>(headers: &HeaderMap, offered: &[&'o str]) -> Result<&'o str, Problem> {
    let wishes: Vec<&str> = headers
        .get_all(ACCEPT)
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(str::trim)
        .filter(|wish| !wish.is_empty())
        .collect();
    let best = offered
        .iter()
        .rev()
        .map(|kind| (quality(&wishes, kind), *kind))
        .max_by_key(|(quality, _)| *quality);
    match best {
        Some((quality, kind)) if quality > 0 => Ok(kind),
        _ => Err(not_acceptable(offered)),
    }
}

fn not_acceptable(offered: &[&str]) -> Problem {
    let kinds: Vec<String> = offered.iter().map(|kind| format!("`{kind}`")).collect();
    let detail = format!("this endpoint answers with {}", kinds.join(", "));
    Problem::new(Code::NotAcceptable, detail)
}

/// How much a caller likes a type, in thousandths; the most specific wish decides.
fn quality(wishes: &[&str], kind: &str) -> u16 {
    if wishes.is_empty() {
        return 1000;
    }
    let family = kind.split('/').next().unwrap_or_default();
    let fitting = wishes.iter().filter_map(|wish| {
        let mut parts = wish.split(';').map(str::trim);
        let range = parts.next()?.to_ascii_lowercase();
        let weight = parts.find_map(|part| part.strip_prefix("q=").or(part.strip_prefix("Q=")));
        let specific = match range.split_once('/')? {
            ("*", "*") => 0,
            (wished, "*") if wished == family => 1,
            _ if range == kind => 2,
            _ => return None,
        };
        Some((specific, thousandths(weight)))
    });
    fitting
        .max_by_key(|(specific, _)| *specific)
        .map_or(0, |(_, quality)| quality)
}

/// The weight of a wish, `q=0.5`, in thousandths.
pub fn thousandths(weight: Option<&str>) -> u16 {
    let weight: f32 = weight.and_then(|w| w.parse().ok()).unwrap_or(1.0);
    (weight.clamp(0.0, 1.0) * 1000.0) as u16
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header::HeaderValue;

    fn chosen<'o>(accept: &'static str, offered: &[&'o str]) -> Option<&'o str> {
        let mut headers = HeaderMap::new();
        headers.insert(ACCEPT, HeaderValue::from_static(accept));
        choose(&headers, offered).ok()
    }

    #[test]
    fn takes_the_first_offer_when_the_caller_does_not_mind() {
        assert_eq!(
            choose(&HeaderMap::new(), &[JSON, "text/plain"]).unwrap(),
            JSON
        );
        assert_eq!(chosen("*/*", &[JSON, "text/plain"]), Some(JSON));
        assert_eq!(chosen("application/*", &[JSON]), Some(JSON));
        assert_eq!(chosen("", &[JSON]), Some(JSON));
    }

    #[test]
    fn follows_the_weights_and_the_most_specific_wish() {
        let both = [JSON, "text/markdown"];
        assert_eq!(
            chosen("text/markdown, application/json;q=0.5", &both),
            Some("text/markdown")
        );
        assert_eq!(
            chosen("*/*;q=0.9, application/json;q=0.1", &both),
            Some("text/markdown")
        );
        assert_eq!(chosen("*/*, application/json;q=0", &[JSON]), None);
    }

    #[test]
    fn refuses_when_nothing_is_acceptable() {
        assert_eq!(chosen("application/xml", &[JSON]), None);
        assert_eq!(chosen("text/*, nonsense", &[JSON]), None);
    }
}
