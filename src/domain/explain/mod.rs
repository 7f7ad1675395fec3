//! Why: an answer taken apart into facts and what follows from them. No words: `render` has those.
//!
//! Start at [`tree`]: an [`Explanation`] is an arena of nodes, each with its grounds below it, with
//! [`table`]s of numbers beside it and, where work is to be done, a [`worksheet`].

pub mod table;
pub mod tree;
mod verdict;
pub mod worksheet;

pub use table::{Cell, Row, Table};
pub use tree::{
    About, Basis, Bound, Explanation, Node, NodeIx, Operator, Params, Says, Standing, Term, Visit,
    Working,
};
pub use verdict::{verdict, verdict_id};
pub use worksheet::{Phase, Step, Worksheet};
