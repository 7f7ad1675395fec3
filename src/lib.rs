//! Kitproof tells whether a set of memory modules works in a server board.
//!
//! Modules in reading order: [`domain`] holds the rules and the computations and knows nothing of
//! the others.

pub mod domain;
pub mod wirecheck;
