//! Sends a span of each request to the collector that the operator named (OTLP over HTTP).
//!
//! Requests never wait for it: an ended span goes into a queue of limited length, and a thread of its own
//! sends what is in there every few seconds. What does not fit, or is not taken, is lost; only the log
//! says so.

use std::time::Duration;

use opentelemetry::KeyValue;
use opentelemetry::trace::TracerProvider;
use opentelemetry_otlp::{Protocol, SpanExporter, WithExportConfig, WithHttpConfig};
use opentelemetry_sdk::Resource;
use opentelemetry_sdk::trace::{Sampler, SdkTracerProvider};
use tracing::level_filters::LevelFilter;
use tracing_subscriber::Layer;
use tracing_subscriber::filter::Targets;

use super::collector::{Post, WITHIN};
use super::settings::Collector;
use crate::telemetry::{SPANS, Spans};

/// How long the end of the process may wait for the last spans to be taken: shorter than whoever ended it
/// has patience after the drain.
const LAST: Duration = Duration::from_secs(2);

/// What sends traces elsewhere, if the operator named a collector.
#[derive(Debug)]
pub struct Traces {
    provider: Option<SdkTracerProvider>,
}

impl Traces {
    /// Gets ready to send; nothing is sent yet.
    ///
    /// # Errors
    /// In words for the operator.
    pub fn new(collector: Option<&Collector>) -> Result<Self, String> {
        let provider = collector.map(provider).transpose();
        let provider = provider.map_err(|why| format!("traces cannot be sent: {why}"))?;
        Ok(Self { provider })
    }

    /// What takes the spans of requests.
    pub fn spans(&self) -> Option<Spans> {
        let tracer = self.provider.as_ref()?.tracer(env!("CARGO_PKG_NAME"));
        // What is told of a span is what `middleware::span` says, and nothing about this program's inside.
        let layer = tracing_opentelemetry::layer()
            .with_tracer(tracer)
            .with_location(false)
            .with_threads(false)
            .with_target(false)
            .with_tracked_inactivity(false);
        let only_spans = Targets::new().with_target(SPANS, LevelFilter::INFO);
        Some(layer.with_filter(only_spans).boxed())
    }

    /// Sends what is left, within a limited time.
    pub fn finish(self) {
        if let Some(provider) = self.provider
            && provider.shutdown_with_timeout(LAST).is_err()
        {
            tracing::warn!("the last traces were not taken");
        }
    }
}

fn provider(collector: &Collector) -> Result<SdkTracerProvider, String> {
    let post = Post::new(collector)?;
    // All that matters is said here, so that no variable of the environment can send spans elsewhere.
    let exporter = SpanExporter::builder()
        .with_http()
        .with_endpoint(post.address())
        .with_protocol(Protocol::HttpBinary)
        .with_timeout(WITHIN)
        .with_http_client(post)
        .build();
    let exporter = exporter.map_err(|error| error.to_string())?;
    let resource = Resource::builder()
        .with_service_name(env!("CARGO_PKG_NAME"))
        .with_attribute(KeyValue::new("service.version", env!("CARGO_PKG_VERSION")))
        .build();
    Ok(SdkTracerProvider::builder()
        // Whoever began a trace decides whether it is kept.
        .with_sampler(Sampler::ParentBased(Box::new(Sampler::AlwaysOn)))
        .with_resource(resource)
        .with_batch_exporter(exporter)
        .build())
}
