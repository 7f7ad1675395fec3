//! Log lines: text or JSON, to standard error, filtered by the variable `KITPROOF_LOG`.

use tracing_subscriber::EnvFilter;
use tracing_subscriber::util::TryInitError;
use tracing_subscriber::{Layer, Registry, fmt, layer::SubscriberExt, util::SubscriberInitExt};

use crate::settings::LogFormat;

/// The variable that says which events are logged, for example `info` or `kitproof=debug`.
pub const FILTER_VARIABLE: &str = "KITPROOF_LOG";

/// Starts logging for the whole process.
///
/// # Errors
/// When it was started before.
pub fn start(format: LogFormat) -> Result<(), TryInitError> {
    let filter =
        EnvFilter::try_from_env(FILTER_VARIABLE).unwrap_or_else(|_| EnvFilter::new("info"));
    let lines: Box<dyn Layer<Registry> + Send + Sync> = match format {
        LogFormat::Text => fmt::layer()
            .with_writer(std::io::stderr)
            .with_ansi(false)
            .boxed(),
        LogFormat::Json => fmt::layer()
            .json()
            .flatten_event(true)
            .with_writer(std::io::stderr)
            .boxed(),
    };
    tracing_subscriber::registry()
        .with(lines.with_filter(filter))
        .try_init()
}
