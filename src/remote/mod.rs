//! Whatever reaches out over the network; nothing else in the program does.

pub mod client;
#[cfg(feature = "otlp")]
mod collector;
pub mod deliver;
pub mod feed;
pub mod guard;
pub mod settings;
#[cfg(feature = "otlp")]
pub mod traces;
// The same words with nothing behind them, so that only this place knows of the two.
#[cfg(not(feature = "otlp"))]
#[path = "no_traces.rs"]
pub mod traces;
