//! One file for each endpoint; a handler extracts, converts, calls and converts back.

pub mod docs;
pub mod health_live;
pub mod health_ready;
pub mod openapi;
pub mod problem;
pub mod problems;
