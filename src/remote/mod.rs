//! Whatever reaches out over the network; nothing else in the program does.

pub mod client;
