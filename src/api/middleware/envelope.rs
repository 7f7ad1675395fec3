//! The one layer around every request.

use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::time::{Duration, Instant};

use actix_web::Error;
use actix_web::ResponseError;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::error::InternalError;
use actix_web::http::ConnectionType;
use actix_web::http::header::{self, HeaderMap, HeaderValue};
use actix_web::http::{Method, StatusCode};
use actix_web::middleware::Next;
use actix_web::web::Data;
use futures_util::FutureExt;

use super::route::Route;
use super::trace::Trace;
use super::{headers, request_id, span};
use crate::api::connections::{self, Watch};
use crate::api::in_use::InUse;
use crate::api::metrics::NO_ROUTE;
use crate::api::problem::{Code, PROBLEM_JSON, Problem};
use crate::api::state::AppState;

/// What is kept of a request while it is worked on; the request itself must not be held.
struct Kept {
    id: HeaderValue,
    trace: Trace,
    span: tracing::Span,
    method: Method,
    route: Route,
    under_way: Option<UnderWay>,
    catalogue: Option<InUse>,
    watch: Option<Arc<Watch>>,
    started: Instant,
}

impl Kept {
    /// True when the connection should end with this answer, since the service is about to stop.
    fn is_last(&self) -> bool {
        let under_way = self.under_way.as_ref();
        under_way.is_some_and(|under_way| !under_way.state.is_ready())
    }
}

/// A request that is being answered.
struct UnderWay {
    state: Data<AppState>,
    answered: bool,
}

impl Drop for UnderWay {
    fn drop(&mut self) {
        let metrics = &self.state.metrics;
        metrics.end();
        if !self.answered {
            metrics.abandoned.one();
        }
    }
}

/// Gives every answer its headers and every request its log line, and turns panics and failures of
/// the framework into problems.
///
/// # Errors
/// Only such that carry a finished answer.
pub async fn envelope(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let state = request.app_data::<Data<AppState>>();
    let id = request_id::of(request.headers());
    let route = Route::of(&request);
    let mut trace = Trace::of(request.headers());
    let span = span::begin(
        known_method(request.method()),
        route.pattern(),
        text(&id),
        &mut trace,
    );
    let mut kept = Kept {
        id,
        trace,
        span,
        route,
        under_way: state.map(under_way),
        method: request.method().clone(),
        catalogue: state.map(|state| InUse::of(&request, state)),
        watch: connections::of(request.request()),
        started: Instant::now(),
    };
    if let Some(watch) = &kept.watch {
        watch.work();
    }
    let call = AssertUnwindSafe(async { next.call(request).await });
    match call.catch_unwind().await {
        Ok(Ok(answer)) => Ok(finish(answer.map_into_boxed_body(), &mut kept)),
        Ok(Err(error)) => Err(finish_error(&error, &mut kept)),
        Err(_) => {
            tracing::error!(request_id = text(&kept.id), "a request panicked");
            if let Some(under_way) = &kept.under_way {
                under_way.state.metrics.panics.one();
            }
            Err(finish_error(&Problem::internal().into(), &mut kept))
        }
    }
}

fn under_way(state: &Data<AppState>) -> UnderWay {
    state.metrics.begin();
    UnderWay {
        state: state.clone(),
        answered: false,
    }
}

fn finish(answer: ServiceResponse<BoxBody>, kept: &mut Kept) -> ServiceResponse<BoxBody> {
    let mut answer = if is_foreign_failure(answer.status(), answer.headers()) {
        let problem = foreign(answer.status()).error_response();
        answer.into_response(problem)
    } else {
        answer
    };
    headers::add(
        answer.headers_mut(),
        kept.id.clone(),
        kept.catalogue.as_ref(),
    );
    if kept.is_last() {
        answer
            .response_mut()
            .head_mut()
            .set_connection_type(ConnectionType::Close);
    }
    record(kept, answer.status());
    answer.map_body(|_, body| connections::watched(body, kept.watch.clone()))
}

fn finish_error(error: &Error, kept: &mut Kept) -> Error {
    let mut answer = error.error_response();
    if is_foreign_failure(answer.status(), answer.headers()) {
        answer = foreign(answer.status()).error_response();
    }
    headers::add(
        answer.headers_mut(),
        kept.id.clone(),
        kept.catalogue.as_ref(),
    );
    if kept.is_last() {
        answer.head_mut().set_connection_type(ConnectionType::Close);
    }
    record(kept, answer.status());
    if let Some(watch) = &kept.watch {
        watch.rest();
    }
    InternalError::from_response("", answer).into()
}

/// True for a failure that is not told as a problem.
fn is_foreign_failure(status: StatusCode, headers: &HeaderMap) -> bool {
    let is_problem = headers
        .get(header::CONTENT_TYPE)
        .is_some_and(|kind| kind.as_bytes().starts_with(PROBLEM_JSON.as_bytes()));
    (status.is_client_error() || status.is_server_error()) && !is_problem
}

fn foreign(status: StatusCode) -> Problem {
    let code = Code::for_status(status);
    Problem::new(code, code.entry().meaning)
}

/// Counts the answer and writes its line. The route and not the path: a path is the caller's text.
fn record(kept: &mut Kept, status: StatusCode) {
    let took = kept.started.elapsed();
    if let Some(under_way) = &mut kept.under_way {
        under_way.answered = true;
        let metrics = &under_way.state.metrics;
        metrics.answered(kept.route.pattern(), status.as_u16(), took);
    }
    span::answered(&kept.span, status.as_u16());
    tracing::info!(
        request_id = text(&kept.id),
        trace_id = %kept.trace.trace_text(),
        span_id = %kept.trace.span_text(),
        method = known_method(&kept.method),
        route = kept.route.pattern().unwrap_or(NO_ROUTE),
        status = status.as_u16(),
        micros = micros(took),
        "request"
    );
}

fn text(value: &HeaderValue) -> &str {
    value.to_str().unwrap_or_default()
}

fn micros(time: Duration) -> u64 {
    u64::try_from(time.as_micros()).unwrap_or(u64::MAX)
}

/// A method's name, unless the caller made it up.
fn known_method(method: &Method) -> &str {
    match method.as_str() {
        name @ ("GET" | "HEAD" | "POST" | "PUT" | "DELETE" | "OPTIONS" | "PATCH") => name,
        _ => "other",
    }
}
