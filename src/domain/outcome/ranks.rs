//! Interleave of the ranks of one channel, and what a spare rank costs.

use super::super::board::Limit;
use super::super::board::policy::{Protection, RankInterleave};
use super::super::finding::Fact;
use super::super::module::Module;
use super::super::rules::ChannelView;
use super::super::setup::Setup;
use super::super::units::Mib;
use super::capacity::rank_size;

/// How many ranks of a channel interleave; 1 where none do, `None` where it can't be told.
pub fn ways(view: &ChannelView<'_>) -> Option<u16> {
    if view.stack.count() == 0 {
        return None;
    }
    match view.board().rank_interleave {
        Limit::Is(RankInterleave::EqualRanks) => {}
        Limit::None => return Some(1),
        Limit::Unknown => return None,
    }
    let modules = || view.modules().map(|on| on.module);
    match view.setup.request.protection {
        Protection::RankSpare => beside_spare(view.setup, modules()),
        Protection::None | Protection::Mirrored | Protection::Lockstep => {
            let ranks = Ranks::of(modules())?;
            Some(ranks.interleaved(ranks.count))
        }
    }
}

/// The facts of a module without which its ranks can't be counted.
pub fn untold(module: &Module) -> Option<Fact> {
    rank_size(module).err()
}

/// Memory that rank sparing holds back on a channel: its largest rank; and where its ranks are to
/// interleave, as many more as leave a power of two, since address bits choose among them.
pub fn set_aside<'m>(
    setup: &Setup<'_>,
    modules: impl Iterator<Item = &'m Module> + Clone,
) -> Option<Mib> {
    let ranks = Ranks::of(modules.clone())?;
    let spare = ranks.largest;
    if setup.request.wishes.rank_interleave.is_none() {
        return Some(spare);
    }
    let ways = match setup.board.rank_interleave {
        Limit::Is(RankInterleave::EqualRanks) => beside_spare(setup, modules)?,
        Limit::None => 1,
        Limit::Unknown => return None,
    };
    let active = ranks.count.saturating_sub(1);
    let marked = if ways > 1 { active - ways } else { 0 };
    Some(Mib(spare.0 * u64::from(1 + marked)))
}

/// How many ranks interleave beside a spare one. Where that is not asked for, none is given up for it.
fn beside_spare<'m>(
    setup: &Setup<'_>,
    modules: impl Iterator<Item = &'m Module> + Clone,
) -> Option<u16> {
    let ranks = Ranks::of(modules.clone())?;
    let mut each = Vec::new();
    for module in running(modules) {
        each.push(module.package_ranks?);
    }
    each.sort_unstable();
    let limit = setup.offer().map(|offer| &offer.rank_interleave);
    match limit {
        None | Some(Limit::None) => {}
        Some(Limit::Unknown) => return None,
        Some(Limit::Is(list)) => {
            let same = |ranks: &Vec<u8>| {
                let mut ranks = ranks.clone();
                ranks.sort_unstable();
                ranks == each
            };
            if !list.iter().any(same) {
                return Some(1);
            }
        }
    }
    let active = ranks.count.saturating_sub(1);
    let asked = setup.request.wishes.rank_interleave.is_some();
    let kept = match active.checked_ilog2() {
        Some(bits) if asked => 1 << bits,
        _ => active,
    };
    Some(ranks.interleaved(kept))
}

/// Whether the ranks of a module hold main memory.
pub fn holds_memory(module: &Module) -> bool {
    !module.switched_off && module.is_main_memory()
}

/// Modules whose ranks hold main memory.
fn running<'m>(modules: impl Iterator<Item = &'m Module>) -> impl Iterator<Item = &'m Module> {
    modules.filter(|module| holds_memory(module))
}

/// The ranks of a channel that hold memory.
struct Ranks {
    count: u16,
    equal: bool,
    largest: Mib,
}

impl Ranks {
    fn of<'m>(modules: impl Iterator<Item = &'m Module>) -> Option<Self> {
        let (mut count, mut first, mut equal) = (0, None, true);
        let mut largest = Mib(0);
        for module in running(modules) {
            let size = rank_size(module).ok()?;
            let ranks = module.capacity?.0.checked_div(size.0)?;
            count += u16::try_from(ranks).ok()?;
            equal &= *first.get_or_insert(size) == size;
            largest = largest.max(size);
        }
        Some(Self {
            count,
            equal,
            largest,
        })
    }

    /// So many of them, if they can interleave: they must be of one size and a power of two in number.
    fn interleaved(&self, count: u16) -> u16 {
        if self.equal && count.is_power_of_two() {
            count
        } else {
            1
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    fn ways(modules: Vec<ModuleFacts>) -> Option<u16> {
        let record = BoardFacts {
            rank_interleave: Limit::Is(RankInterleave::EqualRanks),
            ..board(Generation::Ddr3, 1, 2, 3)
        };
        let seats = modules.into_iter().zip(["A1", "A2", "A3"]);
        let case = seats.fold(Case::on(record), |case, (module, slot)| {
            case.seat(module, &[slot])
        });
        case.check().outcome.channels[0].rank_ways
    }

    #[test]
    fn equal_ranks_interleave_when_their_number_is_a_power_of_two() {
        assert_eq!(ways(vec![rdimm(8, 2)]), Some(2));
        assert_eq!(ways(vec![rdimm(8, 2), rdimm(16, 4), rdimm(8, 2)]), Some(8));
        assert_eq!(ways(vec![rdimm(4, 1), rdimm(4, 1), rdimm(4, 1)]), Some(1));
        assert_eq!(ways(vec![rdimm(8, 2), rdimm(4, 2)]), Some(1));
    }

    #[test]
    fn an_unknown_rank_count_leaves_it_open() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(8, 2)
        };
        assert_eq!(ways(vec![rdimm(8, 2), unknown]), None);
        assert_eq!(ways(Vec::new()), None);
    }
}
