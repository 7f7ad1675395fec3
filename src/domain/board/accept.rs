//! Acceptance rows: which modules a board takes, and what follows for those of a row.
//!
//! A module is taken if some row matches it. Where several match, the first in the record's order
//! holds, so special rows stand before general ones.

use super::super::module::{Kind, Width};
use super::super::units::{Gigabits, Mib, Millivolts, Version};

/// One row. Every matcher that is `None` takes anything.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AcceptRow {
    /// The kind.
    pub kind: Kind,
    /// Capacities.
    pub capacities: Option<Vec<Mib>>,
    /// Package ranks.
    pub ranks: Option<Vec<u8>>,
    /// Device widths.
    pub widths: Option<Vec<Width>>,
    /// Die densities.
    pub die_densities: Option<Vec<Gigabits>>,
    /// Stack heights; 1 is flat.
    pub stacks: Option<Vec<u8>>,
    /// ECC bits on the bus.
    pub ecc_bits: Option<Vec<u8>>,
    /// Supply voltages at which modules of this row are taken; a module needs one of them.
    pub supply: Option<Vec<Millivolts>>,
    /// The most modules of this row on one channel.
    pub per_channel: super::Limit<u8>,
    /// The positions that modules of this row may sit in; `None` for all.
    pub positions: Option<Vec<u8>>,
    /// How its ranks count against the channel's budget.
    pub seen_ranks: SeenRanks,
    /// The oldest firmware that knows modules of this row; `None` when every version does.
    pub firmware: Option<Version>,
}

/// How a module's ranks count against the channel's rank budget.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SeenRanks {
    /// Package ranks.
    Package,
    /// Logical ranks: package ranks times stack height.
    Logical,
    /// Package ranks divided by the factor of the first row that matches; without one the module
    /// can't be counted.
    Multiplied(Vec<Multiplication>),
}

/// A row of rank multiplication: a buffer shows several package ranks as one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Multiplication {
    /// Package ranks of the module.
    pub ranks: Vec<u8>,
    /// Positions wired on the channel; `None` for any.
    pub positions_wired: Option<Vec<u8>>,
    /// The densest die that the row holds for; `None` for any.
    pub die_at_most: Option<Gigabits>,
    /// Package ranks that count as one.
    pub factor: u8,
}
