//! The pure core.
