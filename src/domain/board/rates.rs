//! Rate rows: how fast a channel runs with what sits on it.
//!
//! Of the rows that match a channel, the one with the highest rate holds: makers print several
//! rows for one population and mean the best (published guide P1, 2.8.9.5.8 reads so).

use super::super::module::Kind;
use super::super::units::{Millivolts, Mts, Version};

/// One row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RateRow {
    /// Kinds that all modules of the channel must be of.
    pub kinds: Vec<Kind>,
    /// Whether the row is for flat modules, stacked ones or both.
    pub stack: StackMatch,
    /// Which ranks the row counts.
    pub measure: RankMeasure,
    /// The ranks of the channel's modules.
    pub ranks: RankMatch,
    /// Modules on the channel.
    pub modules: u8,
    /// Positions wired on the channel; `None` for any.
    pub positions_wired: Option<Vec<u8>>,
    /// Supply voltages that the row holds at; `None` for all.
    pub supply: Option<Vec<Millivolts>>,
    /// The oldest firmware that the row holds for; `None` for any.
    pub firmware: Option<Version>,
    /// The rate.
    pub rate: Mts,
}

/// A rate that the firmware takes a module of an odd rate for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RateStep {
    /// The lowest rate of a module that the step is for.
    pub from: Mts,
    /// The rate that such a module is taken for.
    pub runs: Mts,
}

/// The rate that the firmware takes a module for: the highest step that it reaches. A module below
/// all steps, and every module where there are none, is taken for what it is.
pub fn stepped(steps: &[RateStep], rating: Mts) -> Mts {
    let reached = steps.iter().filter(|step| step.from <= rating);
    reached.map(|step| step.runs).max().unwrap_or(rating)
}

/// Which modules a row is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StackMatch {
    /// Both.
    Any,
    /// Flat modules only.
    Flat,
    /// Stacked modules (3DS) only.
    Stacked,
}

/// Which ranks are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RankMeasure {
    /// Package ranks.
    Package,
    /// Logical ranks.
    Logical,
    /// Ranks as the budget sees them.
    Seen,
}

/// How the ranks of a channel's modules are matched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RankMatch {
    /// Exactly these, in any order.
    Exactly(Vec<u8>),
    /// None above this.
    AtMost(u8),
    /// Whatever they are.
    Any,
}

/// What it means that no row matches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unlisted {
    /// The maker supports only what is listed.
    Unsupported,
    /// The list is known to be incomplete: the answer is not known.
    Unknown,
}
