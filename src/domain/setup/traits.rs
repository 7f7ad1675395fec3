//! What rate rows look at of a module, in a form that adds up over the modules of a channel.

use super::super::board::ranks::Ranks;
use super::super::board::rates::{RankMeasure, kinds_of};
use super::super::module::Module;
use super::fit::Seen;

/// What rate rows look at of a module.
#[derive(Clone, Copy, Debug)]
pub struct Traits {
    /// Its kind as a bit; none where it is not told.
    pub kinds: u16,
    /// Whether it is stacked.
    pub stacked: Option<bool>,
    package: Option<Ranks>,
    logical: Option<Ranks>,
    /// By positions wired (1 to 4).
    seen: [Option<Ranks>; 4],
}

impl Traits {
    /// Of a module with the ranks that count against a budget, by positions wired.
    pub fn of(module: &Module, seen: &[Seen; 4]) -> Self {
        let exact = |seen: Seen| u8::try_from(seen.at_least).ok().filter(|_| seen.exact);
        Self {
            kinds: kinds_of(module.kind.into_iter()),
            stacked: module.is_stacked(),
            package: module.package_ranks.and_then(Ranks::one),
            logical: module.logical_ranks().and_then(Ranks::one),
            seen: seen.map(|seen| exact(seen).and_then(Ranks::one)),
        }
    }

    /// Its ranks; `None` where they are not told, or far too many.
    pub fn ranks(&self, measure: RankMeasure, wired: u8) -> Option<Ranks> {
        match measure {
            RankMeasure::Package => self.package,
            RankMeasure::Logical => self.logical,
            RankMeasure::Seen => {
                let index = usize::from(wired.clamp(1, 4)) - 1;
                self.seen.get(index).copied().flatten()
            }
        }
    }
}
