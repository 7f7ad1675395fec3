//! The catalogue from outside: the demo catalogue, faults of records and folders, the mirror between
//! record and domain, the revision, the schemas.

#![recursion_limit = "256"]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of tests may stop a test"
)]

mod demo;
mod exercised;
mod faults;
mod folder;
mod guide;
mod mirror;
mod revision;
mod schemas;
mod support;
