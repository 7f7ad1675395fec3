//! The pure core: words, records, rules and computations. No I/O, clock, environment or wire format.
//!
//! Reading order: [`units`] and [`module`] (what a module is) → [`board`] (what a board allows) →
//! [`request`] (what is asked) → [`setup`] (the request bound to a board) → [`channel`] and
//! [`outcome`] (the computations) → [`finding`] and [`rules`] (what is wrong and why) →
//! [`placement`] (which slot each module takes) → [`validate`] (all of it together) → [`explain`] (why)
//! → [`optimise`] (the best kit).
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod board;
pub mod channel;
pub mod explain;
pub mod finding;
pub mod fits;
pub mod module;
pub mod optimise;
pub mod outcome;
pub mod placement;
pub mod population;
pub mod request;
pub mod reseat;
pub mod rules;
pub mod setup;
pub mod stop;
pub mod tally;
#[cfg(test)]
pub(crate) mod testing;
pub mod timing;
pub mod units;
pub mod validate;
pub mod verify;
