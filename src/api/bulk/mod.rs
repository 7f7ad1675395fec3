//! Many requests in one stream: newline-delimited JSON in, the same out, in order.
//!
//! [`lines`] cuts a text of any length into blocks of whole lines, [`block`] answers one block,
//! [`tally`] counts, and [`stream`] joins them to a request's body and its answer: blocks are answered
//! on threads of their own, some at once, and no more is read than is taken by the reader. So the
//! memory of a stream is bounded whatever its length. The command line uses the first three.

pub mod block;
pub mod lines;
pub mod stream;
pub mod tally;

/// The media type of newline-delimited JSON.
pub const NDJSON: &str = "application/x-ndjson";
