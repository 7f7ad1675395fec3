//! What happens to every request, whatever its path.
//!
//! [`envelope`] is the outer layer: it gives the request its [`request_id`], [`route`], [`trace`] and
//! [`span`], counts it, turns a panic and any failure of the framework into a problem, adds the [`headers`]
//! that all answers have and writes the one log line. [`access`] is the inner one: it asks for the caller's
//! key, counts its requests and adds what [`cors`] lets web pages read.

pub mod access;
pub mod cors;
pub mod envelope;
pub mod headers;
pub mod request_id;
pub mod route;
pub mod span;
pub mod trace;
