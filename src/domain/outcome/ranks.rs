//! Interleave of the ranks of one channel.

use super::super::board::Limit;
use super::super::board::policy::RankInterleave;
use super::super::rules::ChannelView;
use super::capacity::rank_size;

/// How many ranks of a channel interleave; 1 where none do, `None` where it can't be told.
pub(super) fn ways(view: &ChannelView<'_>) -> Option<u16> {
    if view.stack.count() == 0 {
        return None;
    }
    match view.board().rank_interleave {
        Limit::Is(RankInterleave::EqualRanks) => equal_ranks(view),
        Limit::None => Some(1),
        Limit::Unknown => None,
    }
}

/// Address bits choose among ranks, so they must be of one size and a power of two in number.
fn equal_ranks(view: &ChannelView<'_>) -> Option<u16> {
    let (mut total, mut first, mut equal) = (0, None, true);
    for on in view.modules().filter(|on| !on.module.switched_off) {
        let size = rank_size(on.module).ok()?;
        let ranks = on.module.capacity?.0.checked_div(size.0)?;
        total += u16::try_from(ranks).ok()?;
        equal &= *first.get_or_insert(size) == size;
    }
    Some(if equal && total.is_power_of_two() {
        total
    } else {
        1
    })
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
