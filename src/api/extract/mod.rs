//! Request bodies: [`Strict`] reads JSON into a typed value and names every fault; [`Sent`] takes JSON
//! or what people have in hand as it is.
//!
//! `json` reads the text; here stands what the head of a request decides, and how its body is gathered.

mod json;

pub use json::{Body, Refusal, read, read_json, read_known, shapes_of};

use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;

use actix_web::dev::Payload;
use actix_web::http::header::{self, HeaderMap, HeaderName};
use actix_web::web::{Bytes, BytesMut, Data};
use actix_web::{FromRequest, HttpMessage, HttpRequest};
use futures_util::StreamExt;
use tokio::sync::OwnedSemaphorePermit;

use super::accept::JSON;
use super::in_use::InUse;
use super::problem::{Code, Problem};
use super::query::Query;
use super::state::AppState;
use crate::settings::SMALL_BODY;

/// A JSON body of type `T`, read within the limits of the settings.
#[derive(Debug, Clone)]
pub struct Strict<T>(pub T);

impl<T: Body> FromRequest for Strict<T> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let read = StrictText::from_request(request, payload);
        Box::pin(async move { read.await.map(|body| Self(body.value)) })
    }
}

/// The same with its text, for who needs to know how it was written.
#[derive(Debug, Clone)]
pub struct StrictText<T> {
    /// What it says.
    pub value: T,
    /// As it came.
    pub text: Bytes,
}

impl<T: Body> FromRequest for StrictText<T> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let payload = payload.take();
        let checked = check_json_head(request);
        let request = request.clone();
        Box::pin(async move {
            let state = checked?;
            let text = collect(payload, &state, &request).await?.freeze();
            let value = read_known(&text, &InUse::of(&request, &state))?;
            Ok(Self { value, text })
        })
    }
}

/// What [`Sent`] reads.
const SENT: [&str; 3] = [JSON, "text/plain", "application/octet-stream"];

/// A JSON body of type `T`, or a label, a dump or a report as it is.
#[derive(Debug, Clone)]
pub enum Sent<T> {
    /// JSON.
    Json(T),
    /// Text or bytes.
    Raw(Vec<u8>),
}

impl<T: Body> FromRequest for Sent<T> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let payload = payload.take();
        let checked = check_head(request, &SENT);
        let request = request.clone();
        Box::pin(async move {
            let (state, kind) = checked?;
            let bytes = collect(payload, &state, &request).await?;
            match kind {
                JSON => read(&bytes).map(Self::Json),
                _ => Ok(Self::Raw(bytes.to_vec())),
            }
        })
    }
}

/// The same for an endpoint that reads JSON alone and has no query parameters.
fn check_json_head(request: &HttpRequest) -> Result<Data<AppState>, Problem> {
    Query::read(request.query_string(), &[])?;
    check_head(request, &[JSON]).map(|(state, _)| state)
}

/// Whatever the headers alone decide; gives the state and the type of the body.
fn check_head(
    request: &HttpRequest,
    expected: &'static [&'static str],
) -> Result<(Data<AppState>, &'static str), Problem> {
    let state = request.app_data::<Data<AppState>>().cloned();
    let state = state.ok_or_else(Problem::internal)?;
    check_encoding(request.headers())?;
    let kind = check_content_type(request.headers(), expected)?;
    let length = request.headers().get(header::CONTENT_LENGTH);
    let length = length.and_then(|length| length.to_str().ok()?.parse::<u64>().ok());
    if length.is_some_and(|length| length > state.settings.body_limit as u64) {
        return Err(too_large(state.settings.body_limit));
    }
    Ok((state, kind))
}

/// Refuses a compressed body.
///
/// # Errors
/// An `unsupported-encoding` problem.
pub fn check_encoding(headers: &HeaderMap) -> Result<(), Problem> {
    let codings = headers.get_all(header::CONTENT_ENCODING);
    let plain = |value: &header::HeaderValue| value.as_bytes().eq_ignore_ascii_case(b"identity");
    if codings.into_iter().all(plain) {
        return Ok(());
    }
    let problem = Problem::new(Code::UnsupportedEncoding, "the body must come uncompressed");
    Err(problem.header(header::ACCEPT_ENCODING, "identity"))
}

/// The type of a body, which must be one of `expected`, in UTF-8.
///
/// # Errors
/// An `unsupported-media-type` problem.
pub fn check_content_type(
    headers: &HeaderMap,
    expected: &[&'static str],
) -> Result<&'static str, Problem> {
    let refuse = |detail: String| {
        let problem = Problem::new(Code::UnsupportedMediaType, detail);
        Err(problem.header(HeaderName::from_static("accept"), &expected.join(", ")))
    };
    let names = || {
        let names: Vec<String> = expected.iter().map(|kind| format!("`{kind}`")).collect();
        names.join(", ")
    };
    let mut given = headers.get_all(header::CONTENT_TYPE);
    let (Some(value), None) = (given.next(), given.next()) else {
        return refuse(format!("send exactly one `Content-Type`: {}", names()));
    };
    let value = value.to_str().unwrap_or_default().to_ascii_lowercase();
    let mut parts = value.split(';').map(str::trim);
    let first = parts.next().unwrap_or_default();
    let Some(kind) = expected.iter().find(|kind| **kind == first) else {
        return refuse(format!("this endpoint reads {}", names()));
    };
    let charset = parts.find_map(|part| part.strip_prefix("charset="));
    match charset.map(|name| name.trim_matches('"')) {
        None | Some("utf-8" | "utf8") => Ok(kind),
        Some(_) => refuse("this endpoint reads UTF-8 only".to_owned()),
    }
}

fn too_large(limit: usize) -> Problem {
    // What is left of the body is not worth reading to keep the connection.
    Problem::new(Code::BodyTooLarge, format!("the limit is {limit} bytes")).close()
}

/// Reads the whole body within the limits of size, time and memory. The memory is given back with the
/// request.
async fn collect(
    payload: Payload,
    state: &AppState,
    request: &HttpRequest,
) -> Result<BytesMut, Problem> {
    let within = state.settings.body_timeout;
    match tokio::time::timeout(within, gather(payload, state, request)).await {
        Ok(result) => result,
        Err(_) => {
            let detail = format!("the body was not complete after {} ms", within.as_millis());
            Err(Problem::new(Code::RequestTimeout, detail).close())
        }
    }
}

async fn gather(
    mut payload: Payload,
    state: &AppState,
    request: &HttpRequest,
) -> Result<BytesMut, Problem> {
    let limit = state.settings.body_limit;
    let mut bytes = BytesMut::new();
    let mut memory: Option<OwnedSemaphorePermit> = None;
    while let Some(chunk) = payload.next().await {
        let chunk = chunk.map_err(|_| Problem::new(Code::MalformedJson, "the body broke off"))?;
        if bytes.len() + chunk.len() > limit {
            return Err(too_large(limit));
        }
        bytes.extend_from_slice(&chunk);
        if bytes.len() > SMALL_BODY {
            hold(&mut memory, bytes.len(), state)?;
        }
    }
    if let Some(memory) = memory {
        request.extensions_mut().insert(memory);
    }
    Ok(bytes)
}

/// Takes what a body of this length lacks of the memory for large ones.
fn hold(
    memory: &mut Option<OwnedSemaphorePermit>,
    length: usize,
    state: &AppState,
) -> Result<(), Problem> {
    let held = memory.as_ref().map_or(0, OwnedSemaphorePermit::num_permits);
    let lacking = length.div_ceil(1024).saturating_sub(held);
    let more = u32::try_from(lacking).unwrap_or(u32::MAX);
    let Ok(more) = Arc::clone(&state.bodies).try_acquire_many_owned(more) else {
        state.metrics.shed.bodies.one();
        let busy = Problem::new(Code::Overloaded, "the memory for large bodies is taken");
        return Err(busy.retry_after(1).close());
    };
    match memory {
        Some(memory) => memory.merge(more),
        None => *memory = Some(more),
    }
    Ok(())
}
