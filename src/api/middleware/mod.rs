//! What happens to every request, whatever its path.
//!
//! [`envelope`] is the only layer: it gives the request its [`request_id`], turns a panic and any
//! failure of the framework into a problem, adds the [`headers`] that all answers have and writes
//! the one log line.

pub mod envelope;
pub mod headers;
pub mod request_id;
