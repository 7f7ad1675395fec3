//! The `Accept-Language` header: the language that the caller likes best (RFC 9110, section
//! 12.5.4), found by the look-up of RFC 4647, section 3.4.

use std::cmp::Reverse;
use std::convert::Infallible;
use std::future::{Ready, ready};

use actix_web::body::MessageBody;
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::http::header::{self, ACCEPT_LANGUAGE, HeaderMap, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, FromRequest, HttpRequest};

use super::accept::thousandths;
use crate::render::words::Words;

/// The words to answer with, taken from the request's headers. The endpoint says `speaks()` in the
/// list, so that the answer's headers tell it.
#[derive(Clone, Copy)]
pub struct Language(pub &'static Words);

impl std::fmt::Debug for Language {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.0.tag)
    }
}

impl std::str::FromStr for Language {
    type Err = String;

    fn from_str(tag: &str) -> Result<Self, String> {
        let found = looked_up(&tag.to_ascii_lowercase(), Words::all().into_iter());
        let tags = Words::all().map(|words| format!("`{}`", words.tag));
        let unknown = || format!("no such language here; there are {}", tags.join(", "));
        found.map(Self).ok_or_else(unknown)
    }
}

impl FromRequest for Language {
    type Error = Infallible;
    type Future = Ready<Result<Self, Infallible>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(Self(wished(request.headers()))))
    }
}

/// Most wishes of a header that are looked at: a longer list is no browser's.
const MOST_WISHES: usize = 32;

/// The language that the caller likes best of those that are spoken; the usual one if none.
pub fn wished(headers: &HeaderMap) -> &'static Words {
    let values = headers.get_all(ACCEPT_LANGUAGE);
    let texts = values.filter_map(|value| value.to_str().ok());
    let wishes = texts.flat_map(|text| text.split(',')).take(MOST_WISHES);
    let mut ranges: Vec<(u16, String)> = wishes.filter_map(range).collect();
    ranges.sort_by_key(|(weight, _)| Reverse(*weight));
    let refused = |words: &Words| {
        let mut ranges = ranges.iter();
        ranges.any(|(weight, range)| *weight == 0 && range == words.tag)
    };
    let liked = ranges.iter().filter(|(weight, _)| *weight > 0);
    let spoken = || Words::all().into_iter().filter(|words| !refused(words));
    let found = liked
        .filter_map(|(_, range)| looked_up(range, spoken()))
        .next();
    let usual = || spoken().next().unwrap_or(Words::english());
    found.unwrap_or_else(usual)
}

/// A range in lower case with its weight in thousandths.
fn range(wish: &str) -> Option<(u16, String)> {
    let mut parts = wish.split(';').map(str::trim);
    let range = parts.next().filter(|range| !range.is_empty())?;
    let weight = parts.find_map(|part| part.strip_prefix("q=").or(part.strip_prefix("Q=")));
    Some((thousandths(weight), range.to_ascii_lowercase()))
}

/// The language of a range: the range is cut from its end until it names one. `*` names none.
fn looked_up(
    range: &str,
    spoken: impl Iterator<Item = &'static Words> + Clone,
) -> Option<&'static Words> {
    let mut rest = range;
    loop {
        if let Some(words) = spoken.clone().find(|words| words.tag == rest) {
            return Some(words);
        }
        rest = rest.rsplit_once('-')?.0;
        // A lone letter or digit, as in `x-private`, goes with what it introduces.
        while let Some((before, last)) = rest.rsplit_once('-')
            && last.len() == 1
        {
            rest = before;
        }
    }
}

/// Says in the headers of an answer which language it is in, and that the wish decided it.
/// Problems are written for the caller's developers, in English.
///
/// # Errors
/// Those of the handler.
pub async fn tell_language(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let words = wished(request.headers());
    let mut answer = next.call(request).await?;
    let spoken = if answer.status().is_success() {
        words.tag
    } else {
        Words::english().tag
    };
    let headers = answer.headers_mut();
    headers.insert(header::CONTENT_LANGUAGE, HeaderValue::from_static(spoken));
    vary(headers);
    Ok(answer)
}

/// Adds what the answer depends on beside the body.
fn vary(headers: &mut HeaderMap) {
    let told = headers.get(header::VARY);
    let told = told.and_then(|value| value.to_str().ok()).unwrap_or("");
    let names = ["Accept", "Accept-Language"];
    let has = |name: &str| {
        told.split(',')
            .any(|told| told.trim().eq_ignore_ascii_case(name))
    };
    let mut all: Vec<&str> = told
        .split(',')
        .map(str::trim)
        .filter(|name| !name.is_empty())
        .collect();
    all.extend(names.into_iter().filter(|name| !has(name)));
    if let Ok(value) = HeaderValue::from_str(&all.join(", ")) {
        headers.insert(header::VARY, value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tag(wish: &'static str) -> &'static str {
        let mut headers = HeaderMap::new();
        headers.insert(ACCEPT_LANGUAGE, HeaderValue::from_static(wish));
        wished(&headers).tag
    }

    #[test]
    fn a_range_is_cut_from_its_end_until_it_names_a_language() {
        // RFC 4647, section 3.4: zh-Hant-CN-x-private1-private2 is tried as zh-Hant-CN-x-private1,
        // zh-Hant-CN, zh-Hant, zh.
        assert_eq!(tag("de-Latn-CH-x-private1-private2"), "de");
        assert_eq!(tag("de-AT-1996"), "de");
        assert_eq!(tag("DE"), "de");
        // A language whose tag begins alike is another one.
        assert_eq!(tag("den"), "en");
    }

    #[test]
    fn the_heaviest_range_that_names_a_language_decides() {
        assert_eq!(tag("fr, de;q=0.7, en;q=0.5"), "de");
        assert_eq!(tag("en;q=0.4, de-CH;q=0.6"), "de");
        assert_eq!(tag("de;q=0.4, en-GB;q=0.6"), "en");
        // Equal weights: the order of the list.
        assert_eq!(tag("de, en"), "de");
    }

    #[test]
    fn the_usual_language_answers_when_nothing_is_named() {
        assert_eq!(wished(&HeaderMap::new()).tag, "en");
        for wish in [
            "",
            "*",
            "fr",
            "fr-CA, *;q=0.1",
            ";;,,",
            "x-klingon",
            "-",
            "de;q=0",
        ] {
            assert_eq!(tag(wish), "en", "{wish}");
        }
        // The star says nothing of which, so a language that follows it is found first.
        assert_eq!(tag("*, de;q=0.5"), "de");
    }

    #[test]
    fn a_refused_language_is_not_spoken() {
        assert_eq!(tag("en;q=0"), "de");
        assert_eq!(tag("en;q=0, de;q=0"), "en", "an answer beats none");
    }

    #[test]
    fn what_an_answer_depends_on_is_added_once() {
        let mut headers = HeaderMap::new();
        headers.insert(header::VARY, HeaderValue::from_static("Origin, accept"));
        vary(&mut headers);
        vary(&mut headers);
        assert_eq!(
            headers.get(header::VARY).unwrap(),
            "Origin, accept, Accept-Language"
        );
    }
}
