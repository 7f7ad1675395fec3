//! Kitproof tells whether a set of memory modules works in a server board.
//!
//! Modules in reading order: [`domain`] holds the rules and the computations and knows nothing of
//! the others; [`read`] turns a label's text, an SPD image or a report on a whole machine into a
//! record with notes; [`wirecheck`] reads JSON strictly and names every fault of it; [`catalogue`]
//! holds the boards and modules that requests name; [`api`] is the HTTP edge; [`remote`] is all
//! that reaches out; [`settings`] is what
//! an operator can set, [`watch`] sees when a file of it changes, [`command`] holds what the command
//! line takes and its longer commands, [`telemetry`] the log, [`generated`] the files that are made from the code
//! and committed, [`heap`] the allocator.

pub mod api;
pub mod catalogue;
pub mod command;
pub mod domain;
pub mod generated;
pub mod heap;
pub mod read;
pub mod remote;
pub mod render;
pub mod settings;
pub mod telemetry;
pub mod watch;
pub mod wirecheck;
