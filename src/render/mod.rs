//! Words and drawings: findings and answers become sentences and pages. Pure: no I/O.
//!
//! A rule holds its English sentence; [`words`] joins it with the finding's parameters. Everything
//! else that is said lives in `locales/en.ftl`, once.

pub mod escape;
pub mod explanation;
pub mod fixes;
pub mod html;
pub mod lists;
pub mod markdown;
pub mod notes;
pub mod page;
pub mod palette;
pub mod plans;
pub mod svg;
pub mod text;
pub mod values;
pub mod verify;
pub mod words;
