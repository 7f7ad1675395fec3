//! Readers of whole machines: against real reports outside the repository, against the project's
//! own invented reports, trap by trap, and against damaged input.

#![allow(
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "helpers of tests; the configured exemption reaches test functions only"
)]

#[path = "../common/show.rs"]
mod show;
#[path = "../common/watch.rs"]
mod watch;

mod damaged;
mod expected;
mod invented;
mod notes;
mod outside;
mod table;
mod traps;
