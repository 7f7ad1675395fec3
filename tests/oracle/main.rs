//! The optimiser against answers from outside: instances whose optimum two independent
//! general-purpose solvers proved, trying everything on small random cases, worked cases of the
//! trade, and the check itself. `README.md` beside this file says how to run the long ones and the
//! comparison with a general-purpose solver.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stderr,
    reason = "a test may fail"
)]

mod allowed;
mod brute;
mod draw;
mod instance;
mod named;
mod placed;
mod proven;
mod wide;
mod worked;
