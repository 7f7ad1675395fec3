//! Records of boards and modules as they are written in JSON, and their way into the domain.
//!
//! In reading order: [`value`] (numbers with units, "a value or a word"), [`words`] (the trade's
//! names), [`module`], [`line`] (a module in a list), [`board`] with its [`rows`], [`groups`] and
//! [`policy`], and [`schema`] (their JSON Schemas). Unknown members are faults everywhere; limits and
//! lists of what is taken must be told.

pub mod board;
mod collect;
pub mod groups;
pub mod line;
pub mod module;
pub mod policy;
pub mod rows;
pub mod schema;
pub mod value;
pub mod words;

pub use board::BoardRecord;
pub use line::{BoardsFile, ModuleLine};
pub use module::{ModuleRecord, ModulesFile, MoneyRecord};
