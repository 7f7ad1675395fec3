//! What the commands are given, and those that are more than a call: each gives the text to print.

pub mod arguments;
pub mod input;
pub mod key;
pub mod many;
pub mod operate;
pub mod receipt;
