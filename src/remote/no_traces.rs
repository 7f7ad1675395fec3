//! A build that cannot send traces: it says so instead of leaving a setting unheard.

use super::settings::Collector;
use crate::telemetry::Spans;

/// What sends traces elsewhere; nothing here.
#[derive(Debug)]
pub struct Traces;

impl Traces {
    /// Takes no collector.
    ///
    /// # Errors
    /// When the operator named one.
    pub fn new(collector: Option<&Collector>) -> Result<Self, String> {
        match collector {
            None => Ok(Self),
            Some(_) => Err(
                "the file of `--outbound` names a collector in `traces`, but this program was built \
                 without what sends traces: build it with `cargo build --release --features otlp`, or \
                 take `traces` out of the file"
                    .to_owned(),
            ),
        }
    }

    /// Nobody takes spans.
    pub fn spans(&self) -> Option<Spans> {
        None
    }

    /// There is nothing to finish.
    pub fn finish(self) {}
}
