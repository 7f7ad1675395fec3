//! Installed and usable capacity, under each protection.

use super::super::board::Limit;
use super::super::board::policy::{Protection, ProtectionOffer};
use super::super::channel::Stack;
use super::super::finding::{Fact, Missing};
use super::super::module::{Kind, Module};
use super::super::rules::{ChannelView, untold};
use super::super::units::Mib;
use super::{ChannelOutcome, Outcome, grouped, ranks};

pub(super) fn fill(views: &[ChannelView<'_>], outcome: &mut Outcome) {
    outcome.installed = outcome
        .channels
        .iter()
        .try_fold(Mib(0), |sum, c| Some(Mib(sum.0 + c.capacity?.0)));
    let Some(first) = views.first() else { return };
    let protection = first.setup.request.protection;
    let offer = first
        .board()
        .protections
        .iter()
        .find(|offer| offer.protection == protection);
    (outcome.usable, outcome.independent_channels) = match (protection, offer) {
        (Protection::None, _) => (sum(views, outcome, whole), working(outcome)),
        (Protection::RankSpare, Some(_)) => (sum(views, outcome, less_spare), working(outcome)),
        (Protection::Mirrored, Some(offer)) => grouped(views, outcome, offer, 2),
        (Protection::Lockstep, Some(offer)) => grouped(views, outcome, offer, 1),
        // Not offered: the rule says so, and there is nothing to compute.
        (_, None) => (None, 0),
    };
    let missing = missing(views, outcome, protection);
    outcome.missing.extend(missing);
}

/// Facts that keep a capacity from being known.
fn missing(views: &[ChannelView<'_>], outcome: &Outcome, protection: Protection) -> Vec<Missing> {
    let mut missing = Vec::new();
    let mut before = None;
    for (view, channel) in views.iter().zip(&outcome.channels) {
        if channel.modules > 0 && channel.works.is_none() {
            missing.push(Missing::general(Fact::ProcessorModel));
        }
        // What sits on the channel before as well is told already.
        if before.replace(view.stack) == Some(view.stack) {
            continue;
        }
        for on in view.modules() {
            let fact = match on.module.main_memory() {
                None => Some(Fact::Capacity),
                Some(_) if protection == Protection::RankSpare => rank_size(on.module).err(),
                Some(_) => None,
            };
            missing.extend(fact.map(|fact| Missing::of(on.part, fact)));
        }
    }
    missing.extend(missing_of_offer(views));
    missing
}

/// What keeps it open how much a protection leaves: whether a group is left out, and whether ranks
/// interleave beside a spare.
fn missing_of_offer(views: &[ChannelView<'_>]) -> Vec<Missing> {
    let Some(first) = views.first() else {
        return Vec::new();
    };
    let (setup, board) = (first.setup, first.board());
    let Some(offer) = setup.offer() else {
        return Vec::new();
    };
    let mut missing = Vec::new();
    let asked = setup.request.wishes.rank_interleave.is_some();
    let open = board.rank_interleave == Limit::Unknown || offer.rank_interleave == Limit::Unknown;
    if offer.protection == Protection::RankSpare && asked && open {
        missing.push(Missing::general(Fact::BoardLimit));
    }
    for socket in setup.fitted_sockets() {
        for group in &offer.groups {
            let own = grouped::indexes(board, socket, group);
            let stacks: Vec<Stack> = own.filter_map(|at| Some(views.get(at)?.stack)).collect();
            if grouped::is_left_out(setup, offer, stacks.iter().copied()).is_none() {
                missing.extend(untold(setup.request, &offer.identical, &stacks));
            }
        }
    }
    missing
}

/// Populated channels that work.
fn working(outcome: &Outcome) -> u16 {
    let populated = outcome.populated();
    populated.filter(|c| c.works == Some(true)).count() as u16
}

/// Sums what each populated channel gives; memory that is not reached gives nothing.
fn sum(
    views: &[ChannelView<'_>],
    outcome: &Outcome,
    give: fn(&ChannelView<'_>, &ChannelOutcome) -> Option<Mib>,
) -> Option<Mib> {
    views
        .iter()
        .zip(&outcome.channels)
        .filter(|(view, _)| view.stack.count() > 0)
        .try_fold(Mib(0), |sum, (view, channel)| match channel.works? {
            true => Some(Mib(sum.0 + give(view, channel)?.0)),
            false => Some(sum),
        })
}

fn whole(_: &ChannelView<'_>, channel: &ChannelOutcome) -> Option<Mib> {
    channel.capacity
}

/// A rank of the channel is held back, and more where ranks are to interleave.
fn less_spare(view: &ChannelView<'_>, channel: &ChannelOutcome) -> Option<Mib> {
    let aside = ranks::set_aside(view.setup, view.modules().map(|on| on.module))?;
    Some(Mib(channel.capacity?.0.saturating_sub(aside.0)))
}

/// A rank is capacity ÷ logical ranks; the buffer of an LRDIMM shows package ranks.
///
/// # Errors
/// The fact that keeps it from being known.
pub fn rank_size(module: &Module) -> Result<Mib, Fact> {
    let capacity = module.capacity.ok_or(Fact::Capacity)?;
    let package = module.package_ranks.ok_or(Fact::PackageRanks)?;
    let ranks = match (module.kind, module.logical_ranks()) {
        (Some(Kind::Lrdimm), _) => package,
        // Flat: both counts are the same, whatever the kind.
        (_, Some(logical)) if logical == package => package,
        (Some(_), Some(logical)) => logical,
        (_, None) => return Err(Fact::StackHeight),
        (None, _) => return Err(Fact::Kind),
    };
    capacity
        .0
        .checked_div(u64::from(ranks))
        .map(Mib)
        .ok_or(Fact::PackageRanks)
}

/// Channels of a group give as much as its smallest member each, divided by `copies`; channels of
/// no group, or of a group that is not wholly populated or that firmware leaves out, are lost.
fn grouped(
    views: &[ChannelView<'_>],
    outcome: &Outcome,
    offer: &ProtectionOffer,
    copies: u64,
) -> (Option<Mib>, u16) {
    let Some(first) = views.first() else {
        return (Some(Mib(0)), 0);
    };
    let (board, setup) = (first.board(), first.setup);
    let (mut total, mut groups) = (Some(0), 0);
    for socket in setup.fitted_sockets() {
        for group in &offer.groups {
            let own = grouped::indexes(board, socket, group);
            let members = own.clone().filter_map(|at| outcome.channels.get(at));
            let smallest = smallest_member(members.map(reached));
            let filled = own.filter_map(|at| Some(views.get(at)?.stack));
            let smallest = match grouped::is_left_out(setup, offer, filled) {
                Some(true) => Some(0),
                Some(false) => smallest,
                None => smallest.filter(|least| *least == 0),
            };
            let given = smallest.map(|least| least * group.len() as u64 / copies);
            total = total.zip(given).map(|(total, given)| total + given);
            groups += u16::from(smallest != Some(0));
        }
    }
    (total.map(Mib), groups)
}

/// What the processor reaches of a channel in MiB; `None` if a fact is missing.
fn reached(channel: &ChannelOutcome) -> Option<u64> {
    match (channel.works, channel.modules) {
        (Some(false), _) | (_, 0) => Some(0),
        (Some(true), _) => channel.capacity.map(|capacity| capacity.0),
        (None, _) => None,
    }
}

/// One empty member makes the group empty, whatever is not known of the others.
fn smallest_member(members: impl Iterator<Item = Option<u64>>) -> Option<u64> {
    let (mut smallest, mut known) = (u64::MAX, true);
    for member in members {
        known &= member.is_some();
        smallest = smallest.min(member.unwrap_or(u64::MAX));
    }
    match smallest {
        0 => Some(0),
        u64::MAX => known.then_some(0),
        least => known.then_some(least),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::{Board, BoardFacts, Processor};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::SocketState;
    use crate::domain::setup::Setup;
    use crate::domain::testing::{Case, board, module, offer_of, rdimm};
    use crate::domain::units::Gigabits;

    fn offering(protection: Protection, groups: &[&[u8]]) -> Case {
        let offer = offer_of(protection, groups);
        let board = BoardFacts {
            protections: vec![offer],
            ..board(Generation::Ddr3, 2, 4, 3)
        };
        Case::on(board).with(|request| request.protection = protection)
    }

    fn gib(case: Case) -> (Option<u64>, Option<u64>, u16) {
        let outcome = case.check().outcome;
        let gib = |mib: Option<Mib>| mib.map(|mib| mib.0 / 1024);
        (
            gib(outcome.installed),
            gib(outcome.usable),
            outcome.independent_channels,
        )
    }

    #[test]
    fn a_spare_rank_costs_the_largest_rank_of_its_channel() {
        // Published firmware source F1, mndct.c (the biggest rank becomes the spare) and mfspr.c: two dual-rank
        // modules of 8 GB leave 12 of 16; dual-rank 16 GB with single-rank 4 GB leaves 12 of 20.
        let spare = || offering(Protection::RankSpare, &[]);
        let twins = spare().seat(rdimm(8, 2), &["A1", "A2"]);
        assert_eq!(gib(twins), (Some(16), Some(12), 1));
        let unlike = spare()
            .seat(rdimm(16, 2), &["A1"])
            .seat(rdimm(4, 1), &["A2"]);
        assert_eq!(gib(unlike), (Some(20), Some(12), 1));
        let channels = spare().seat(rdimm(8, 2), &["A1", "B1", "E1"]);
        assert_eq!(gib(channels), (Some(24), Some(12), 3));
        // One rank can't be its own spare: nothing is left (mfspr.c needs two chip selects).
        assert_eq!(
            gib(spare().seat(rdimm(8, 1), &["A1"])),
            (Some(8), Some(0), 1)
        );
    }

    #[test]
    fn a_rank_of_an_lrdimm_is_a_package_rank_and_of_a_stack_a_logical_one() {
        let checked = |facts| Module::checked(facts).unwrap();
        let lrdimm = checked(module(Generation::Ddr3, Kind::Lrdimm, 64, 8));
        assert_eq!(rank_size(&lrdimm), Ok(Mib::gib(8)));
        let stacked = ModuleFacts {
            stack_height: Some(4),
            ..module(Generation::Ddr4, Kind::Rdimm, 128, 2)
        };
        assert_eq!(rank_size(&checked(stacked.clone())), Ok(Mib::gib(16)));
        let unknown = ModuleFacts {
            stack_height: None,
            ..stacked
        };
        assert_eq!(rank_size(&checked(unknown)), Err(Fact::StackHeight));
        let flat = ModuleFacts {
            kind: None,
            die_density: Some(Gigabits(4)),
            ..rdimm(16, 2)
        };
        assert_eq!(rank_size(&checked(flat)), Ok(Mib::gib(8)));
    }

    #[test]
    fn mirroring_halves_each_group_and_loses_what_stands_outside() {
        // memory mirroring (published firmware source F2): half of each group of equal controllers; one that has
        // no equal is not mirrored.
        let mirrored = || offering(Protection::Mirrored, &[&[1, 2], &[3, 4]]);
        let full = mirrored().seat(rdimm(8, 2), &["A1", "B1", "C1", "D1"]);
        assert_eq!(gib(full), (Some(32), Some(16), 2));
        let odd = mirrored().seat(rdimm(8, 2), &["A1", "B1", "C1"]);
        assert_eq!(gib(odd), (Some(24), Some(8), 1));
        let unequal = mirrored()
            .seat(rdimm(8, 2), &["A1"])
            .seat(rdimm(16, 2), &["B1"]);
        assert_eq!(gib(unequal), (Some(24), Some(8), 1));
    }

    #[test]
    fn lockstep_keeps_the_capacity_and_halves_the_channels() {
        let pairs: [&[u8]; 2] = [&[1, 2], &[3, 4]];
        let case =
            offering(Protection::Lockstep, &pairs).seat(rdimm(8, 2), &["A1", "B1", "E1", "F1"]);
        assert_eq!(gib(case), (Some(32), Some(32), 2));
    }

    #[test]
    fn a_protection_that_is_not_offered_gives_no_capacity() {
        for protection in [
            Protection::Mirrored,
            Protection::RankSpare,
            Protection::Lockstep,
        ] {
            let case = Case::on(board(Generation::Ddr3, 2, 4, 3))
                .with(|request| request.protection = protection)
                .seat(rdimm(8, 2), &["A1", "B1"]);
            assert_eq!(gib(case), (Some(16), None, 0));
        }
    }

    #[test]
    fn memory_of_an_empty_socket_is_installed_but_not_usable() {
        let case = Case::on(board(Generation::Ddr3, 2, 4, 3))
            .with(|request| {
                request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
            })
            .seat(rdimm(8, 2), &["A1", "E1"]);
        assert_eq!(gib(case), (Some(16), Some(8), 1));
    }

    #[test]
    fn channels_that_depend_on_the_processor_model_leave_the_capacity_open() {
        let mut record = board(Generation::Ddr3, 1, 4, 1);
        record.processors.push(Processor {
            id: "half".into(),
            channels: Some(vec![1, 2]),
            ..record.processors[0].clone()
        });
        let case = Case::on(record.clone()).seat(rdimm(8, 2), &["A1"]);
        let part = case.request.population[0].part;
        let board = Board::checked(record).unwrap();
        let usable = |model, channels: usize| {
            let setup = Setup::new(&board, &case.request, model).unwrap();
            let stack = |index| Stack::default().with(1, (index < channels).then_some(part));
            let stacks: Vec<Stack> = (0..4).map(stack).collect();
            let outcome = crate::domain::outcome::compute(&setup, &stacks);
            let asks = outcome
                .missing
                .contains(&Missing::general(Fact::ProcessorModel));
            (outcome.usable, asks, outcome.free_slots)
        };
        assert_eq!(usable(Some(1), 3), (Some(Mib::gib(16)), false, 0));
        assert_eq!(usable(Some(0), 3), (Some(Mib::gib(24)), false, 1));
        assert_eq!(usable(None, 3), (None, true, 1));
        assert_eq!(usable(None, 2), (Some(Mib::gib(16)), false, 2));
    }

    #[test]
    fn an_unknown_capacity_is_named() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(8, 2)
        };
        let case = Case::on(board(Generation::Ddr3, 2, 4, 3))
            .seat(rdimm(8, 2), &["A1"])
            .seat(unknown, &["B1"]);
        let outcome = case.check().outcome;
        assert_eq!((outcome.installed, outcome.usable), (None, None));
        assert_eq!(outcome.missing.len(), 1);
        assert_eq!(outcome.missing[0].fact, Fact::Capacity);
    }

    #[test]
    fn an_empty_member_empties_its_group_whatever_the_others_hold() {
        assert_eq!(smallest_member([None, Some(0)].into_iter()), Some(0));
        assert_eq!(smallest_member([None, Some(4)].into_iter()), None);
        assert_eq!(smallest_member([Some(8), Some(4)].into_iter()), Some(4));
        assert_eq!(smallest_member(std::iter::empty()), Some(0));
    }
}
