//! The one table of problems, and the answer that each gives (RFC 9457 problem details).
//!
//! A row has four things that are kept apart: the stable code, the HTTP status, the words for the
//! caller and the advice on the code's own page (`GET /v1/problems/{code}`). [`Code`] is made from
//! the rows, so a problem without a row does not compile.

use std::fmt;

use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderName, HeaderValue};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use utoipa::ToSchema;

use crate::wirecheck::fault::{ParameterPlace, quoted};
use crate::wirecheck::{Fault, FaultCode, Faults};

/// The media type of every problem.
pub const PROBLEM_JSON: &str = "application/problem+json";

/// A row of the table: everything about a problem that is the same each time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = ProblemPage)]
pub struct Entry {
    /// The stable code; it never changes its meaning.
    #[schema(example = "invalid-body")]
    pub code: &'static str,
    /// The HTTP status that goes with it.
    #[schema(example = 422, minimum = 400, maximum = 599)]
    pub status: u16,
    /// One line, the same each time.
    #[schema(example = "The body does not have the expected shape")]
    pub title: &'static str,
    /// True when the same request may succeed later.
    pub retryable: bool,
    /// What happened.
    pub meaning: &'static str,
    /// What the caller can do about it.
    pub remedy: &'static str,
}

macro_rules! problems {
    ($($name:ident = $code:literal, $status:literal, $title:literal, $retry:ident,
        $meaning:literal, $remedy:literal;)+) => {
        /// The problems that the service can answer with.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Code { $(#[doc = $title] $name),+ }

        impl Code {
            /// Every problem, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The row of this problem.
            pub fn entry(self) -> Entry {
                match self {
                    $(Self::$name => Entry {
                        code: $code, status: $status, title: $title,
                        retryable: problems!(@ $retry), meaning: $meaning, remedy: $remedy,
                    }),+
                }
            }
        }
    };
    (@ retry) => { true };
    (@ never) => { false };
}

problems! {
    MalformedJson = "malformed-json", 400, "The body cannot be read as JSON", never,
        "The body breaks the grammar of JSON (RFC 8259), or is not UTF-8, or starts with a byte order mark.",
        "Correct the text at the line, column and byte that the answer names.";
    DuplicateMember = "duplicate-member", 400, "A name stands twice in one object", never,
        "Two members of one object have the same name, so readers would differ on which one counts.",
        "Send each name once. The answer points at the second one.";
    NestingTooDeep = "nesting-too-deep", 400, "The body is nested too deep", never,
        "Lists and objects stand within each other deeper than any request needs.",
        "Send at most 32 levels.";
    TooManyValues = "too-many-values", 400, "The body has too many values", never,
        "The body has more numbers, strings, lists and objects than any request needs.",
        "Split the request, or send many through the bulk endpoint.";
    KeyNeeded = "key-needed", 401, "A key is needed", never,
        "The service asks every caller for a key, and none was sent, or it is not known or no longer good.",
        "Send `Authorization: Bearer KEY` with a key that the operator of the service made for you.";
    ScopeNeeded = "scope-needed", 403, "The key does not open this", never,
        "The key is good, but not for this part of the service. `WWW-Authenticate` names the scope that is missing.",
        "Ask the operator of the service for a key with that scope.";
    UnknownPath = "unknown-path", 404, "Nothing is at this path", never,
        "The path is none of those that this service has. Paths are exact: case and a slash at the end count.",
        "Compare the path with /openapi.json; near paths are named in the answer.";
    UnknownName = "unknown-name", 404, "Nothing has this name", never,
        "The path asks for one thing by its name, and there is no such thing in the catalogue revision in use.",
        "Take the name from the list one level up; near names are given in the answer.";
    MethodNotAllowed = "method-not-allowed", 405, "The method does not apply here", never,
        "The path is right, but it does not take this HTTP method.",
        "Use one of the methods in the `Allow` header.";
    NotAcceptable = "not-acceptable", 406, "No acceptable form of the answer exists", never,
        "The `Accept` header leaves out every media type that this endpoint can answer with.",
        "Accept one of the types that the answer names, or leave the header out.";
    RequestTimeout = "request-timeout", 408, "The body took too long to arrive", retry,
        "The body was not complete within the time allowed for it.",
        "Send the request again over a better connection, or make it smaller.";
    BodyTooLarge = "body-too-large", 413, "The body is too large", never,
        "The body is larger than the limit that the answer names.",
        "Split the request, or send many through the bulk endpoint.";
    UnsupportedMediaType = "unsupported-media-type", 415, "The body is of a type that is not read here", never,
        "The `Content-Type` header is missing, names another type than the endpoint reads, or a charset other than UTF-8.",
        "Send one of the types that the `Accept` header of the answer names, mostly `application/json`, in UTF-8.";
    UnsupportedEncoding = "unsupported-encoding", 415, "The body is compressed in a way that is not read here", never,
        "The `Content-Encoding` header names a coding that the service does not undo.",
        "Send the body as it is. The `Accept-Encoding` header of the answer names what is read.";
    InvalidBody = "invalid-body", 422, "The body does not have the expected shape", never,
        "The body is good JSON, but members are missing, unknown, of a wrong type or out of range.",
        "Correct every place that `faults` points at; all of them are listed at once.";
    NothingReadable = "nothing-readable", 422, "Nothing can be read from the body", never,
        "The body is neither a label, an image nor a report of the kinds that this endpoint reads, or it is damaged beyond use.",
        "Send the text or the bytes as they are. `faults` says what was noted.";
    InvalidQuery = "invalid-query", 422, "The query has a parameter that cannot be used", never,
        "A query parameter is unknown, given twice or holds a value that it cannot have.",
        "Correct the parameters that `faults` names. A cursor is only good for the list that gave it.";
    TooOften = "too-often", 429, "Too many requests", retry,
        "The caller has made as many requests as it may in this time. `RateLimit-Policy` tells how many, `RateLimit` what is left.",
        "Wait as long as `Retry-After` says, and add some random delay.";
    Internal = "internal-error", 500, "The service failed", retry,
        "A fault of the service, not of the request. It has been logged under the request id of the answer.",
        "Try again once; if it fails again, report the `X-Request-ID` of the answer.";
    Overloaded = "overloaded", 503, "The service is busy", retry,
        "More computations are under way than the service takes on at once. It has not looked at this request.",
        "Try again after the seconds in `Retry-After`, with some random delay added.";
    OutOfTime = "out-of-time", 503, "The answer took too long", retry,
        "The answer was not computed within the time allowed for it: it is hard to find, or the service is busy.",
        "Try again once after the seconds in `Retry-After`; if it fails again, ask for less at once: fewer kinds of module, or told processors.";
    NotReady = "not-ready", 503, "The service does not take requests now", retry,
        "The service is starting or stopping.",
        "Send the request to another instance, or try again after the seconds in `Retry-After`.";
}

impl Code {
    /// The HTTP status.
    pub fn status(self) -> StatusCode {
        StatusCode::from_u16(self.entry().status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    /// The problem that fits an HTTP status best, for failures that the framework found.
    pub fn for_status(status: StatusCode) -> Self {
        let same = |code: &&Self| code.entry().status == status.as_u16();
        Self::ALL.iter().find(same).copied().unwrap_or({
            if status.is_client_error() {
                Self::MalformedJson
            } else {
                Self::Internal
            }
        })
    }
}

/// A failed request: what its answer will say.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Which problem it is.
    pub code: Code,
    /// What happened this time, in one sentence.
    pub detail: String,
    /// Every fault found, if they can be pointed at.
    pub faults: Faults,
    /// Headers that the status asks for, such as `Allow`.
    pub headers: Vec<(HeaderName, HeaderValue)>,
    /// True when the connection ends with the answer, because what is left of the body is not read.
    pub closes: bool,
}

impl Problem {
    /// A problem without faults.
    pub fn new(code: Code, detail: impl Into<String>) -> Self {
        Self {
            code,
            detail: detail.into(),
            faults: Faults::default(),
            headers: Vec::new(),
            closes: false,
        }
    }

    /// A fault of the service. What went wrong inside belongs into the log, not here.
    pub fn internal() -> Self {
        Self::new(Code::Internal, "the request could not be answered")
    }

    /// A name in the path that nothing has, with the names that may have been meant.
    ///
    /// `what` is the thing in words, `parameter` the name of the path parameter.
    pub fn unknown_name(what: &str, parameter: &str, given: &str, near: Vec<String>) -> Self {
        let detail = format!("there is no {what} {}", quoted(given));
        let (place, code) = (ParameterPlace::Path, FaultCode::UnknownName);
        let fault = Fault::of_address(place, Some(parameter), code, &detail);
        Self::new(Code::UnknownName, detail).faults(fault.close_matches(near))
    }

    /// Query parameters that cannot be used.
    pub fn invalid_query(faults: impl Into<Faults>) -> Self {
        let faults = faults.into();
        Self::new(Code::InvalidQuery, count(&faults, "query parameter")).faults(faults)
    }

    /// A body that reads well and cannot be used.
    pub fn invalid_body(faults: impl Into<Faults>) -> Self {
        let faults = faults.into();
        Self::new(Code::InvalidBody, count(&faults, "place")).faults(faults)
    }

    /// Adds the faults found.
    #[must_use]
    pub fn faults(mut self, faults: impl Into<Faults>) -> Self {
        self.faults = faults.into();
        self
    }

    /// Adds a header; a value that no header can have is left out.
    #[must_use]
    pub fn header(mut self, name: HeaderName, value: &str) -> Self {
        if let Ok(value) = HeaderValue::from_str(value) {
            self.headers.push((name, value));
        }
        self
    }

    /// Says after how many seconds to try again.
    #[must_use]
    pub fn retry_after(self, seconds: u32) -> Self {
        self.header(header::RETRY_AFTER, &seconds.to_string())
    }

    /// Ends the connection with the answer.
    #[must_use]
    pub fn close(mut self) -> Self {
        self.closes = true;
        self
    }

    /// The body of the answer.
    pub fn body(&self) -> ProblemBody {
        let entry = self.code.entry();
        ProblemBody {
            r#type: format!("/v1/problems/{}", entry.code),
            title: entry.title,
            status: entry.status,
            detail: self.detail.clone(),
            code: entry.code,
            retryable: entry.retryable,
            faults: self.faults.list.clone(),
            truncated: self.faults.truncated,
        }
    }
}

fn count(faults: &Faults, what: &str) -> String {
    match (faults.list.len(), faults.truncated) {
        (1, false) => format!("1 {what} needs attention"),
        (n, false) => format!("{n} {what}s need attention"),
        (n, true) => format!("more than {n} {what}s need attention"),
    }
}

/// Problem details (RFC 9457).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct ProblemBody {
    /// The page of this problem, relative to the service.
    #[schema(example = "/v1/problems/invalid-body")]
    pub r#type: String,
    /// One line, the same for every problem of this type.
    #[schema(example = "The body does not have the expected shape")]
    pub title: &'static str,
    /// The HTTP status of the answer.
    #[schema(example = 422, minimum = 400, maximum = 599)]
    pub status: u16,
    /// What happened this time.
    #[schema(example = "1 place needs attention")]
    pub detail: String,
    /// The stable code of this type.
    #[schema(example = "invalid-body")]
    pub code: &'static str,
    /// True when the same request may succeed later.
    pub retryable: bool,
    /// Every fault that was found: those of the shape, then names that nobody knows, each in the order
    /// of the request.
    #[schema(max_items = 100)]
    pub faults: Vec<Fault>,
    /// True when there were more faults than are listed.
    pub truncated: bool,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.code.entry().code, self.detail)
    }
}

impl std::error::Error for Problem {}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        self.code.status()
    }

    fn error_response(&self) -> HttpResponse {
        let mut answer = HttpResponse::build(self.status_code());
        answer.content_type(PROBLEM_JSON);
        if self.closes {
            answer.force_close();
        }
        for (name, value) in &self.headers {
            answer.insert_header((name, value));
        }
        // Strings, numbers and booleans only: this cannot fail.
        answer.body(serde_json::to_vec(&self.body()).unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_are_unique_and_in_kebab_case() {
        let codes: BTreeSet<&str> = Code::ALL.iter().map(|code| code.entry().code).collect();
        assert_eq!(codes.len(), Code::ALL.len());
        for code in codes {
            assert!(
                code.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'),
                "{code}"
            );
        }
    }

    #[test]
    fn every_row_says_what_it_means_and_what_to_do() {
        for code in Code::ALL {
            let entry = code.entry();
            assert!((400..600).contains(&entry.status), "{entry:?}");
            assert!(
                !entry.title.ends_with('.') && entry.title.len() < 70,
                "{entry:?}"
            );
            assert!(
                entry.meaning.ends_with('.') && entry.remedy.ends_with('.'),
                "{entry:?}"
            );
        }
    }

    #[test]
    fn the_answer_has_the_status_that_its_body_names() {
        for code in Code::ALL {
            let problem = Problem::new(*code, "x").retry_after(1);
            assert_eq!(
                problem.error_response().status().as_u16(),
                problem.body().status
            );
        }
    }

    #[test]
    fn what_the_framework_finds_becomes_a_problem_of_the_same_status() {
        assert_eq!(Code::for_status(StatusCode::NOT_FOUND), Code::UnknownPath);
        assert_eq!(
            Code::for_status(StatusCode::PAYLOAD_TOO_LARGE),
            Code::BodyTooLarge
        );
        assert_eq!(Code::for_status(StatusCode::BAD_GATEWAY), Code::Internal);
    }
}
