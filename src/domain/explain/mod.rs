//! Why: an answer taken apart into facts and what follows from them. No words: `render` has those.
//!
//! Start at [`tree`]: an [`Explanation`] is an arena of nodes, each with its grounds below it, with
//! [`table`]s of numbers beside it and, where work is to be done, a [`worksheet`].

mod cause;
mod choice;
mod compare;
mod conflict;
mod ground;
mod layer;
mod limit;
mod mend;
pub mod premise;
mod probe;
pub mod reduce;
pub mod table;
pub mod tree;
mod verdict;
mod work;
mod working;
pub mod worksheet;

pub use cause::{Cause, Judged};
pub use choice::{Choice, Kits, Named, choice};
pub use compare::compare;
pub use conflict::conflict;
pub use limit::limit;
pub use table::{Cell, Row, Table};
pub use tree::{
    About, Basis, Bound, Explanation, Node, NodeIx, Operator, Params, Says, Standing, Term, Visit,
    Working,
};
pub use verdict::{finding, verdict, verdict_id};
pub use work::worksheet;
pub use worksheet::{Phase, Step, Worksheet};

use super::board::Board;
use super::request::Request;
use super::stop::Stop;
use super::validate::Answer;

/// A request with its answer: what every explanation begins with.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The board.
    pub board: &'a Board,
    /// The request.
    pub request: &'a Request,
    /// The answer to it.
    pub answer: &'a Answer,
    /// Ends searches early. What comes out then is no explanation.
    pub stop: &'a Stop,
}
