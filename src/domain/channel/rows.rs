//! Whether a rate row speaks for what sits on a channel.

use super::super::board::rates::{RankMatch, RankMeasure, RateRow, StackMatch};
use super::super::finding::{Fact, Missing};
use super::super::request::PartIx;
use super::super::rules::{ChannelView, OnChannel};
use super::super::units::Millivolts;
use super::Told;
use std::cell::OnceCell;

/// What sits on a channel, looked up once for all rate rows.
pub struct Populated<'a> {
    view: &'a ChannelView<'a>,
    supply: Millivolts,
    wired: u8,
    /// Modules on the channel.
    pub count: u8,
    modules: [Option<OnChannel<'a>>; 4],
    /// The kinds of all modules as a mask; `None` where one is not told.
    kinds: Option<u16>,
    /// Whether any is flat and whether any is stacked; `None` where one is not told.
    stacks: Option<(bool, bool)>,
    /// The ranks of all modules by measure; `None` where one is not told.
    ranks: [OnceCell<Option<Ranks>>; 3],
}

/// The ranks of the modules of a channel.
#[derive(Clone, Copy)]
struct Ranks {
    most: u8,
    /// How many modules have each number of ranks, four bits each.
    counts: u64,
}

impl Ranks {
    /// `None` where a number is not told, or there is no room for one.
    fn of(mut ranks: impl Iterator<Item = Option<u8>>) -> Option<Self> {
        let none = Self { most: 0, counts: 0 };
        ranks.try_fold(none, |own, count| {
            let count = count.filter(|count| *count < 16)?;
            Some(Self {
                most: own.most.max(count),
                counts: own.counts + (1 << (4 * count)),
            })
        })
    }
}

impl<'a> Populated<'a> {
    /// Of a channel at a supply voltage.
    pub fn of(view: &'a ChannelView<'a>, supply: Millivolts) -> Self {
        let mut modules = [None; 4];
        for (seat, on) in modules.iter_mut().zip(view.modules()) {
            *seat = Some(on);
        }
        let all = || modules.iter().flatten().map(|on| on.module);
        let mut kinds = all().map(|module| module.kind.map(|kind| 1u16 << kind as u16));
        let mut stacks = all().map(|module| module.is_stacked());
        Self {
            view,
            supply,
            wired: view.board().wired(view.channel),
            count: view.stack.count(),
            kinds: kinds.try_fold(0, |mask, kind| Some(mask | kind?)),
            stacks: stacks.try_fold((false, false), |(flat, stacked), own| {
                let own = own?;
                Some((flat || !own, stacked || own))
            }),
            modules,
            ranks: Default::default(),
        }
    }

    fn ranks(&self, measure: RankMeasure) -> Option<Ranks> {
        let known = self.ranks.get(measure as usize)?;
        *known.get_or_init(|| {
            let all = self.modules.iter().flatten();
            Ranks::of(all.map(|on| measured(measure, on, self.wired).ok()))
        })
    }

    /// Whether a row is for these modules, where they tell all that it looks at.
    fn surely_match(&self, row: &RateRow) -> Option<bool> {
        let meant = row
            .kinds
            .iter()
            .fold(0u16, |mask, kind| mask | 1 << *kind as u16);
        if self.kinds? & !meant != 0 {
            return Some(false);
        }
        let fits = match row.stack {
            StackMatch::Any => true,
            StackMatch::Flat => !self.stacks?.1,
            StackMatch::Stacked => !self.stacks?.0,
        };
        Some(
            fits && match &row.ranks {
                RankMatch::Any => true,
                RankMatch::AtMost(most) => self.ranks(row.measure)?.most <= *most,
                RankMatch::Exactly(wanted) => {
                    let own = self.ranks(row.measure)?;
                    let wanted = wanted.iter().copied().map(Some);
                    wanted.len() == usize::from(self.count)
                        && Ranks::of(wanted)?.counts == own.counts
                }
            },
        )
    }

    /// Whether a row speaks for the channel.
    pub fn matches(&self, row: &RateRow) -> Told {
        if !row
            .positions_wired
            .as_ref()
            .is_none_or(|list| list.contains(&self.wired))
            || !row
                .supply
                .as_ref()
                .is_none_or(|list| list.contains(&self.supply))
        {
            return Told::No;
        }
        // Most modules tell everything.
        if let (None, Some(matches)) = (&row.firmware, self.surely_match(row)) {
            return if matches { Told::Yes } else { Told::No };
        }
        let mut missing = Vec::new();
        match (&row.firmware, &self.view.setup.request.firmware) {
            (Some(needed), Some(told)) if !told.reaches(needed) => return Told::No,
            (Some(_), None) => missing.push(Missing::general(Fact::Firmware)),
            _ => {}
        }
        match self.modules_match(row, &mut missing) {
            false => Told::No,
            true if missing.is_empty() => Told::Yes,
            true => Told::Open(missing),
        }
    }

    /// Whether the row may be for these modules; facts that leave it open are added.
    fn modules_match(&self, row: &RateRow, missing: &mut Vec<Missing>) -> bool {
        let mut ranks = [0u8; 4];
        let mut ranks_known = true;
        // The part before and its ranks, if all is known of it: the next of the same is no other.
        let mut before: Option<(PartIx, u8)> = None;
        for (slot, on) in ranks.iter_mut().zip(self.modules.iter().flatten()) {
            if let Some((_, count)) = before.filter(|(part, _)| *part == on.part) {
                *slot = count;
                continue;
            }
            match on.module.kind {
                Some(kind) if !row.kinds.contains(&kind) => return false,
                None => missing.push(Missing::of(on.part, Fact::Kind)),
                Some(_) => {}
            }
            match (row.stack, on.module.is_stacked()) {
                (StackMatch::Any, _)
                | (StackMatch::Flat, Some(false))
                | (StackMatch::Stacked, Some(true)) => {}
                (_, None) => missing.push(Missing::of(on.part, Fact::StackHeight)),
                _ => return false,
            }
            if row.ranks == RankMatch::Any {
                before = missing.is_empty().then_some((on.part, 0));
                continue;
            }
            match measured(row.measure, on, self.wired) {
                Ok(count) if matches!(row.ranks, RankMatch::AtMost(most) if count > most) => {
                    return false;
                }
                Ok(count) => {
                    *slot = count;
                    before = missing.is_empty().then_some((on.part, count));
                }
                Err(fact) => {
                    ranks_known = false;
                    missing.push(Missing::of(on.part, fact));
                }
            }
        }
        match &row.ranks {
            RankMatch::Exactly(wanted) if ranks_known => {
                same_counts(wanted, ranks.get(..usize::from(row.modules)).unwrap_or(&[]))
            }
            _ => true,
        }
    }
}

fn measured(measure: RankMeasure, on: &OnChannel<'_>, wired: u8) -> Result<u8, Fact> {
    match measure {
        RankMeasure::Package => on.module.package_ranks.ok_or(Fact::PackageRanks),
        RankMeasure::Logical => match (on.module.package_ranks, on.module.logical_ranks()) {
            (_, Some(ranks)) => Ok(ranks),
            (None, None) => Err(Fact::PackageRanks),
            (Some(_), None) => Err(Fact::StackHeight),
        },
        RankMeasure::Seen => {
            let seen = on.fit.seen(wired);
            if seen.exact {
                u8::try_from(seen.at_least).map_err(|_| Fact::PackageRanks)
            } else {
                Err(Fact::PackageRanks)
            }
        }
    }
}

/// Whether two short lists hold the same numbers in any order.
fn same_counts(wanted: &[u8], found: &[u8]) -> bool {
    let count = |list: &[u8], value: u8| list.iter().filter(|v| **v == value).count();
    wanted.len() == found.len()
        && wanted
            .iter()
            .all(|value| count(wanted, *value) == count(found, *value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::Generation;
    use crate::domain::module::{Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module, rate};
    use crate::domain::units::Version;

    /// Modules that tell everything, and some that leave out what a row may look at.
    fn modules() -> Vec<ModuleFacts> {
        let of = |ranks| module(Generation::Ddr4, Kind::Rdimm, 16, ranks);
        let stacked = ModuleFacts {
            stack_height: Some(2),
            ..of(2)
        };
        let no_ranks = ModuleFacts {
            package_ranks: None,
            ..of(2)
        };
        let no_stack = ModuleFacts {
            stack_height: None,
            ..of(2)
        };
        let other = module(Generation::Ddr4, Kind::Lrdimm, 32, 4);
        vec![of(1), of(2), of(4), stacked, no_ranks, no_stack, other]
    }

    fn rows() -> Vec<RateRow> {
        let mut rows = Vec::new();
        let exactly = |list: &[u8]| RankMatch::Exactly(list.to_vec());
        let ranks = [
            RankMatch::Any,
            RankMatch::AtMost(2),
            exactly(&[1, 2]),
            exactly(&[2, 2]),
            exactly(&[4, 2]),
            exactly(&[4, 4]),
        ];
        for stack in [StackMatch::Any, StackMatch::Flat, StackMatch::Stacked] {
            for measure in [
                RankMeasure::Package,
                RankMeasure::Logical,
                RankMeasure::Seen,
            ] {
                rows.extend(ranks.iter().cloned().map(|ranks| RateRow {
                    stack,
                    measure,
                    ranks,
                    ..rate(&[Kind::Rdimm], 2, 2133)
                }));
            }
        }
        rows
    }

    #[test]
    fn rows_for_modules_that_tell_everything_match_like_any_others() {
        let (mut yes, mut no) = (0, 0);
        for row in rows() {
            for one in modules() {
                for other in modules() {
                    let came = |firmware: Option<Version>| {
                        let mut facts = board(Generation::Ddr4, 1, 1, 2);
                        let row = RateRow {
                            firmware,
                            ..row.clone()
                        };
                        facts.rates = vec![row, rate(&[Kind::Lrdimm], 2, 1866)];
                        let case = Case::on(facts).seat(one.clone(), &["A1"]);
                        let case = case.seat(other.clone(), &["A2"]);
                        // A row that asks for a firmware is compared fact by fact.
                        let checked = case.with(|own| own.firmware = Version::new("2.0")).check();
                        let findings = checked.findings.iter();
                        let missing: Vec<_> =
                            findings.map(|f| (f.rule.id, f.state.clone())).collect();
                        (checked.outcome.rate, checked.verdict, missing)
                    };
                    let quick = came(None);
                    assert_eq!(
                        quick,
                        came(Version::new("1.0")),
                        "{row:?} {one:?} {other:?}"
                    );
                    match quick.0 {
                        Some(_) => yes += 1,
                        None => no += 1,
                    }
                }
            }
        }
        assert!(yes > 300 && no > 300, "{yes} {no}");
    }
}
