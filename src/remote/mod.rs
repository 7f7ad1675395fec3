//! Whatever reaches out over the network; nothing else in the program does.

pub mod client;
pub mod deliver;
pub mod feed;
pub mod guard;
pub mod settings;
