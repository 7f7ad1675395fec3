//! The catalogue.

pub mod record;
