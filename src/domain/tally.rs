//! Sums over the modules of a request, whatever slots they take.

use super::board::policy::{Protection, ProtectionOffer};
use super::board::{ChannelIx, SlotIx};
use super::finding::{Fact, Fix, Missing, Value};
use super::module::Module;
use super::request::{KitLine, PartIx};
use super::setup::Setup;
use super::units::Mib;

/// A sum of which only a lower bound may be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Total {
    /// At least this much.
    pub at_least: u64,
    /// Whether it is exactly that much.
    pub exact: bool,
}

impl Total {
    /// Adds amounts, each taken so many times; an unknown one leaves a lower bound.
    pub fn of(amounts: impl IntoIterator<Item = (Option<u64>, u32)>) -> Self {
        let nothing = Self {
            at_least: 0,
            exact: true,
        };
        amounts
            .into_iter()
            .fold(nothing, |sum, (amount, times)| Self {
                at_least: sum
                    .at_least
                    .saturating_add(amount.unwrap_or(0).saturating_mul(u64::from(times))),
                exact: sum.exact && amount.is_some(),
            })
    }

    /// With another.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self {
            at_least: self.at_least.saturating_add(other.at_least),
            exact: self.exact && other.exact,
        }
    }

    /// Whether it stays within a ceiling; `None` if that depends on what is not known.
    pub fn within(self, most: u64) -> Option<bool> {
        if self.at_least > most {
            Some(false)
        } else {
            self.exact.then_some(true)
        }
    }

    /// Whether it comes up to a floor; `None` if that depends on what is not known.
    pub fn reaches(self, least: u64) -> Option<bool> {
        if self.at_least >= least {
            Some(true)
        } else {
            self.exact.then_some(false)
        }
    }
}

impl<'a> Setup<'a> {
    /// Modules that end up on the board, with their number: the kit, the population, and installed
    /// modules that stay.
    pub fn staying(&self) -> impl Iterator<Item = (PartIx, u32)> + use<'a> {
        let request = self.request;
        let kit = request.kit.iter().map(|line| (line.part, line.quantity));
        let seated = request.population.iter().map(|entry| (entry.part, 1));
        let installed = request.staying().map(|(_, entry)| (entry.part, 1));
        kit.chain(seated).chain(installed)
    }

    /// How many modules end up on the board.
    pub fn staying_count(&self) -> u64 {
        self.staying().map(|(_, count)| u64::from(count)).sum()
    }

    /// Sums a fact over the modules that end up on the board.
    pub fn total(&self, fact: impl Fn(&Module) -> Option<u64>) -> Total {
        let amount = |part| self.request.part(part).and_then(&fact);
        Total::of(self.staying().map(|(part, count)| (amount(part), count)))
    }

    /// Capacity of the modules that end up on the board, in MiB.
    pub fn total_capacity(&self) -> Total {
        self.total(|module| module.capacity.map(|capacity| capacity.0))
    }

    /// What of that is main memory.
    pub fn total_main_memory(&self) -> Total {
        self.total(|module| module.main_memory().map(|capacity| capacity.0))
    }

    /// Slots on channels that work, or may work.
    pub fn working_slots(&self) -> u64 {
        self.slots_where(|works| works != Some(false))
    }

    /// Slots of the channels of which it is told so whether they work.
    pub fn slots_where(&self, counts: impl Fn(Option<bool>) -> bool) -> u64 {
        let here = |channel: &ChannelIx| counts(self.works_at(*channel));
        let channels = self.board.all_channels().filter(here);
        channels
            .map(|channel| u64::from(self.board.wired(channel)))
            .sum()
    }

    /// Whether every module surely sits, or will be placed, on a channel that works.
    pub fn reaches_all(&self) -> bool {
        let works = |slot: SlotIx| self.works_at(self.board.channel_of(slot)) == Some(true);
        let population = self.request.population.iter().map(|entry| entry.slot);
        let installed = self.request.staying().map(|(_, entry)| entry.slot);
        let mut channels = self.board.all_channels();
        let told = channels.all(|channel| self.works_at(channel).is_some());
        told && population.chain(installed).flatten().all(works)
    }

    /// Whether all capacity is usable wherever the modules sit: nothing is held back or unreached.
    pub fn all_is_usable(&self) -> bool {
        self.request.protection == Protection::None && self.reaches_all()
    }

    /// The seated modules for which a fact is not known.
    pub fn unknown(&self, fact: Fact, known: impl Fn(&Module) -> bool) -> Vec<Missing> {
        self.seated()
            .iter()
            .filter(|part| self.request.part(**part).is_some_and(|m| !known(m)))
            .map(|part| Missing::of(*part, fact))
            .collect()
    }

    /// What the board offers for the protection that was asked for.
    pub fn offer(&self) -> Option<&'a ProtectionOffer> {
        let asked = self.request.protection;
        self.board
            .protections
            .iter()
            .find(|offer| asked != Protection::None && offer.protection == asked)
    }

    /// The kit's line if it has just one.
    pub fn sole_line(&self) -> Option<KitLine> {
        match self.request.kit.as_slice() {
            [line] => Some(*line),
            _ => None,
        }
    }
}

/// Fix for modules that hold too much together: one module of half, a quarter, ... the size, so
/// that as many stay under the ceiling. Nothing if they are not all alike.
pub fn smaller_module(
    modules: impl IntoIterator<Item = (PartIx, u32)>,
    ceiling: Mib,
) -> Option<Fix> {
    let mut modules = modules.into_iter();
    let (part, first) = modules.next()?;
    let mut count = u64::from(first);
    for (other, more) in modules {
        if other != part {
            return None;
        }
        count += u64::from(more);
    }
    let each = ceiling.0.checked_div(count)?;
    let size = 1u64 << each.checked_ilog2()?;
    Some(Fix::ChooseOther {
        part,
        needs: vec![(Fact::Capacity, Value::Capacity(Mib(size)))],
    })
}

#[cfg(test)]
mod tests {
    use super::super::board::Board;
    use super::super::module::Generation;
    use super::super::request::{InstalledPolicy, SocketState};
    use super::super::testing::{Case, board, rdimm};
    use super::*;

    #[test]
    fn an_unknown_amount_leaves_a_lower_bound() {
        let total = Total::of([(Some(3), 2), (None, 1)]);
        assert_eq!((total.at_least, total.exact), (6, false));
        assert_eq!((total.within(5), total.within(6)), (Some(false), None));
        assert_eq!((total.reaches(6), total.reaches(7)), (Some(true), None));
    }

    #[test]
    fn counts_kit_population_and_the_installed_modules_that_stay() {
        let count = |policy| {
            let case = Case::on(board(Generation::Ddr3, 1, 4, 3))
                .installed(rdimm(8, 2), &["A1", "B1"])
                .seat(rdimm(16, 2), &["C1"])
                .kit(rdimm(32, 4), 4)
                .with(|request| request.installed_policy = policy);
            let board = Board::checked(case.board).unwrap();
            let setup = Setup::new(&board, &case.request, Some(0)).unwrap();
            (
                setup.staying_count(),
                setup.total_capacity().at_least / 1024,
            )
        };
        assert_eq!(count(InstalledPolicy::InPlace), (7, 160));
        assert_eq!(count(InstalledPolicy::Keep), (7, 160));
        assert_eq!(count(InstalledPolicy::MayRemove), (7, 160));
        assert_eq!(count(InstalledPolicy::Replace), (5, 144));
    }

    #[test]
    fn memory_at_an_empty_socket_is_not_reached() {
        let all = |slots: &[&str]| {
            let case = Case::on(board(Generation::Ddr3, 2, 4, 3))
                .seat(rdimm(16, 2), slots)
                .with(|request| {
                    request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
                });
            let board = Board::checked(case.board).unwrap();
            let setup = Setup::new(&board, &case.request, Some(0)).unwrap();
            (setup.reaches_all(), setup.all_is_usable())
        };
        assert_eq!(all(&["A1", "B1"]), (true, true));
        assert_eq!(all(&["A1", "E1"]), (false, false));
    }

    #[test]
    fn a_smaller_module_is_of_a_size_that_is_made() {
        let fix = smaller_module([(PartIx(0), 8), (PartIx(0), 4)], Mib::gib(256));
        let needs = vec![(Fact::Capacity, Value::Capacity(Mib::gib(16)))];
        let part = PartIx(0);
        assert_eq!(fix, Some(Fix::ChooseOther { part, needs }));
        assert_eq!(
            smaller_module([(PartIx(0), 8), (PartIx(1), 4)], Mib::gib(256)),
            None
        );
    }
}
