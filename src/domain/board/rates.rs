//! Rate rows: how fast a channel runs with what sits on it.
//!
//! Of the rows that match a channel, the one with the highest rate holds: makers print several
//! rows for one population and mean the best (published guide P1, 2.8.9.5.8 reads so).

use super::super::module::Kind;
use super::super::units::{Millivolts, Mts, Version};
use super::ranks::Ranks;

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

/// The rate rows for one number of modules on a channel.
#[derive(Clone, Debug, Default)]
pub struct RateRows {
    /// In the order of the record.
    pub listed: Vec<RowMask>,
    /// The fastest first.
    pub by_rate: Vec<RowMask>,
    /// Whether some ask for a firmware.
    pub have_firmware: bool,
}

impl RateRows {
    /// The rows by how many modules a channel holds.
    pub fn by_modules(rates: &[RateRow]) -> Vec<Self> {
        let most = rates.iter().map(|row| usize::from(row.modules)).max();
        let mut lists = vec![Self::default(); most.map_or(0, |most| most + 1)];
        for (row, index) in rates.iter().zip(0u16..) {
            if let Some(list) = lists.get_mut(usize::from(row.modules)) {
                list.listed.push(RowMask::of(row, index));
                list.have_firmware |= row.firmware.is_some();
            }
        }
        for list in &mut lists {
            list.by_rate = list.listed.clone();
            list.by_rate.sort_by_key(|row| std::cmp::Reverse(row.rate));
        }
        lists
    }
}

/// A rate row by what is compared first.
#[derive(Clone, Copy, Debug)]
pub struct RowMask {
    /// Its index in the record.
    pub row: u16,
    /// Its rate.
    pub rate: Mts,
    /// Its kinds: a bit for each.
    kinds: u16,
    /// Its numbers of positions wired: a bit for each.
    wired: u32,
    /// Whether it holds at some voltages only.
    pub has_supplies: bool,
    /// Its modules.
    pub stack: StackMatch,
    /// Which ranks it counts.
    pub measure: RankMeasure,
    /// Their ranks.
    pub ranks: RankMask,
}

/// How ranks are matched, as a mask.
#[derive(Clone, Copy, Debug)]
pub enum RankMask {
    /// Exactly these.
    Exactly(Ranks),
    /// None above this.
    AtMost(u8),
    /// Whatever they are.
    Any,
    /// No modules have as many as are listed.
    Never,
}

impl RankMask {
    fn of(row: &RateRow) -> Self {
        match &row.ranks {
            RankMatch::Any => Self::Any,
            RankMatch::AtMost(most) => Self::AtMost(*most),
            RankMatch::Exactly(list) if list.len() == usize::from(row.modules) => {
                Ranks::of(list).map_or(Self::Never, Self::Exactly)
            }
            RankMatch::Exactly(_) => Self::Never,
        }
    }
}

impl RowMask {
    fn of(row: &RateRow, index: u16) -> Self {
        let bits = |list: &Vec<u8>| list.iter().fold(0, |bits, wired| bits | bit(*wired));
        Self {
            row: index,
            rate: row.rate,
            kinds: kinds_of(row.kinds.iter().copied()),
            wired: row.positions_wired.as_ref().map_or(u32::MAX, bits),
            has_supplies: row.supply.is_some(),
            stack: row.stack,
            measure: row.measure,
            ranks: RankMask::of(row),
        }
    }

    /// Whether it may speak for a channel with so many positions wired that holds modules of these kinds.
    pub fn may_match(&self, wired: u8, kinds: u16) -> bool {
        kinds & !self.kinds == 0 && self.wired & bit(wired) != 0
    }
}

/// Kinds as a mask.
pub fn kinds_of(kinds: impl Iterator<Item = Kind>) -> u16 {
    kinds.fold(0, |mask, kind| mask | 1 << kind as u16)
}

/// Boards have far fewer positions.
fn bit(wired: u8) -> u32 {
    1 << wired.min(31)
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

impl RankMeasure {
    /// All.
    pub const ALL: [Self; 3] = [Self::Package, Self::Logical, Self::Seen];
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
