//! One file for each endpoint; a handler extracts, converts, calls and converts back.

pub mod board;
pub mod board_fits;
pub mod boards;
pub mod docs;
pub mod explain;
pub mod health_live;
pub mod health_ready;
pub mod jwks;
pub mod metrics;
pub mod module;
pub mod modules;
pub mod openapi;
pub mod optimise;
pub mod problem;
pub mod problems;
pub mod read_inventory;
pub mod read_module;
pub mod rule;
pub mod rules;
pub mod status;
pub mod validate;
pub mod validate_bulk;
pub mod verify;
