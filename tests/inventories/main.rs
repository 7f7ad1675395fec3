//! Readers of whole machines: against real reports outside the repository, against the project's
//! own invented reports, trap by trap, and against damaged input.

mod damaged;
mod expected;
mod invented;
mod outside;
mod table;
mod traps;
