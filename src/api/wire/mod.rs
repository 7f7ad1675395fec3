//! The JSON of requests and answers. These types stay at the edge: the core knows nothing of them.

pub mod answer;
pub mod bulk;
pub mod catalogue;
pub mod explain;
pub mod finding;
pub mod fits;
pub mod labels;
pub mod note;
pub mod optimise;
pub mod outcome;
pub mod patch;
pub mod pointer;
pub mod read_inventory;
pub mod read_module;
pub mod reference;
pub mod reported;
pub mod request;
pub mod resolve;
pub mod status;
pub mod verify;
