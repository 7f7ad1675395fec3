//! Log lines: text or JSON, to standard error, filtered by the variable `KITPROOF_LOG`; and whatever
//! else wants to know of the spans of requests.

use tracing::level_filters::LevelFilter;
use tracing_subscriber::filter::Targets;
use tracing_subscriber::util::TryInitError;
use tracing_subscriber::{Layer, Registry, fmt, layer::SubscriberExt, util::SubscriberInitExt};

use crate::settings::LogFormat;

/// The variable that says which events are logged, for example `info` or `kitproof=debug`.
pub const FILTER_VARIABLE: &str = "KITPROOF_LOG";

/// The target of the spans of requests. Nothing else has it, so that log lines can do without them.
pub const SPANS: &str = "kitproof::spans";

/// Whatever takes the spans of requests.
pub type Spans = Box<dyn Layer<Registry> + Send + Sync>;

/// Starts logging for the whole process, and gives the spans of requests to whoever takes them. Where
/// nobody does, none are made.
///
/// # Errors
/// When it was started before.
pub fn start(format: LogFormat, spans: Option<Spans>) -> Result<(), TryInitError> {
    let filter = wanted(std::env::var(FILTER_VARIABLE).ok().as_deref());
    // A line of a request says all that its span does.
    let filter = filter.with_target(SPANS, LevelFilter::OFF);
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
    let lines = lines.with_filter(filter).boxed();
    let layers: Vec<_> = spans.into_iter().chain([lines]).collect();
    tracing_subscriber::registry().with(layers).try_init()
}

/// The variable's targets and levels; `info` for everything where it says nothing that can be read.
fn wanted(variable: Option<&str>) -> Targets {
    variable
        .filter(|text| !text.trim().is_empty())
        .and_then(|text| text.parse().ok())
        .unwrap_or_else(|| Targets::new().with_default(LevelFilter::INFO))
}

#[cfg(test)]
mod tests {
    use tracing::Level;

    use super::*;

    #[test]
    fn the_variable_names_targets_and_levels() {
        let both = wanted(Some("warn,kitproof=debug"));
        assert!(both.would_enable("kitproof::api", &Level::DEBUG));
        assert!(!both.would_enable("actix_web", &Level::INFO));
        assert!(both.would_enable("actix_web", &Level::WARN));
    }

    #[test]
    fn information_is_logged_where_the_variable_says_nothing() {
        for nothing in [None, Some(""), Some("kitproof=loudest")] {
            let filter = wanted(nothing);
            assert!(filter.would_enable("kitproof", &Level::INFO), "{nothing:?}");
            assert!(
                !filter.would_enable("kitproof", &Level::DEBUG),
                "{nothing:?}"
            );
        }
    }
}
