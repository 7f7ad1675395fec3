//! How a board fills: orders, counts and exact position patterns.

use super::super::module::Kind;
use super::super::units::{Mib, Millivolts, Mts};
use super::Limit;

/// The filling rules for some numbers of sockets fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filling {
    /// The numbers of sockets fitted that the row is for.
    pub sockets_fitted: Vec<u8>,
    /// Positions of a channel in the order in which they fill.
    pub position_order: Vec<u8>,
    /// Channels of a socket in the order in which they fill; `None` when it does not matter.
    pub channel_order: Option<Vec<u8>>,
    /// Module counts of one socket that the maker supports; `None` for all.
    pub module_counts: Option<Vec<u8>>,
    /// Whether a channel's modules must be ordered by rank, most ranks in the position that fills
    /// first.
    pub rank_order: bool,
    /// The fewest modules of a socket that the maker advises.
    pub advised_modules: Limit<u8>,
    /// The most memory of the whole board.
    pub board_capacity: Limit<Mib>,
}

/// A position pattern that the maker lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LayoutRow {
    /// Kinds that all modules of the channel must be of.
    pub kinds: Vec<Kind>,
    /// Numbers of sockets fitted that the row is for; `None` for any.
    pub sockets_fitted: Option<Vec<u8>>,
    /// What sits in each position, position 1 (the farthest) first. Its length is the number of
    /// positions wired.
    pub pattern: Vec<Seat>,
    /// Rates of this pattern by supply voltage; empty when the rate rows tell.
    pub rates: Vec<(Millivolts, Mts)>,
}

/// What a position of a pattern holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Seat {
    /// Nothing.
    Empty,
    /// A module with one of these package rank counts.
    Ranks(Vec<u8>),
    /// Any module of the row's kinds.
    Module,
}
