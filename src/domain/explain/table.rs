//! Tables of numbers beside an explanation.

use super::super::finding::Value;
use super::tree::Params;

/// A table. Its title is the message `id`, the head of each column the message of the column's id.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Id of the message that is its title.
    pub id: &'static str,
    /// Parameters of the title.
    pub params: Params,
    /// Ids of the messages that head the columns.
    pub columns: Vec<&'static str>,
    /// The rows, each with as many cells as there are columns.
    pub rows: Vec<Row>,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Its cells.
    pub cells: Vec<Cell>,
    /// Whether it is the one that the explanation is about, such as the largest count.
    pub marked: bool,
}

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// A value.
    Value(Value),
    /// Nobody told what it takes to know it: message `not-known`.
    Unknown,
    /// There is nothing to say.
    Empty,
    /// A message of the locale.
    Message {
        /// Its id.
        id: &'static str,
        /// Its parameters.
        params: Params,
    },
}

impl Cell {
    /// A value that may not be known.
    pub fn or_unknown(value: Option<Value>) -> Self {
        value.map_or(Self::Unknown, Self::Value)
    }
}
