//! The span of a request, for whoever follows a call through several services. Made only where somebody
//! takes spans; a build without the feature `otlp` has nobody who does.

use tracing::Span;
use tracing::field::Empty;

use super::trace::Trace;
use crate::telemetry::SPANS;

/// Begins the span of a request. It ends when it is dropped, so a request whose caller left has one too.
///
/// Its name and the names of its attributes are those of the standard's semantic conventions for HTTP. The
/// route and not the path: a path is the caller's text.
pub fn begin(method: &str, route: Option<&str>, request_id: &str, trace: &mut Trace) -> Span {
    let span = tracing::info_span!(
        target: SPANS,
        parent: None,
        "request",
        otel.name = route.map_or(method.to_owned(), |route| format!("{method} {route}")),
        otel.kind = "server",
        otel.status_code = Empty,
        http.request.method = method,
        http.route = route,
        http.response.status_code = Empty,
        request_id,
    );
    go_on(&span, trace);
    span
}

/// Says how the request was answered.
pub fn answered(span: &Span, status: u16) {
    span.record("http.response.status_code", i64::from(status));
    // A failure of the caller is none of the service: so say the conventions, too.
    if status >= 500 {
        span.record("otel.status_code", "ERROR");
    }
}

/// Makes the span a step of the caller's trace, and takes its ids over, so that a log line and a span of
/// one request can be found by each other.
#[cfg(feature = "otlp")]
fn go_on(span: &Span, trace: &mut Trace) {
    use opentelemetry::Context;
    use opentelemetry::trace::{
        SpanContext, SpanId, TraceContextExt, TraceFlags, TraceId, TraceState,
    };
    use tracing_opentelemetry::OpenTelemetrySpanExt;

    if span.is_disabled() {
        return;
    }
    if let Some(parent) = trace.parent {
        let caller = SpanContext::new(
            TraceId::from_bytes(trace.trace.to_be_bytes()),
            SpanId::from_bytes(parent.to_be_bytes()),
            TraceFlags::default().with_sampled(trace.sampled),
            true,
            TraceState::default(),
        );
        // It fails only where nobody takes spans.
        let _ = span.set_parent(Context::new().with_remote_span_context(caller));
    }
    let context = span.context();
    let own = context.span().span_context().clone();
    if own.is_valid() {
        trace.trace = u128::from_be_bytes(own.trace_id().to_bytes());
        trace.span = u64::from_be_bytes(own.span_id().to_bytes());
    }
}

/// Nobody takes spans.
#[cfg(not(feature = "otlp"))]
fn go_on(_: &Span, _: &mut Trace) {}
