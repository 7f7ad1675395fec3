//! So many modules on a channel that the board runs them slower than fewer.

use super::super::board::ChannelIx;
use super::super::channel::{Listed, Stack, listed_rate};
use super::super::finding::{Fact, Fix, Severity, Value};
use super::super::module::Module;
use super::super::outcome::ChannelOutcome;
use super::super::population::Origin;
use super::super::request::PartIx;
use super::super::timing::{faster, same_clock};
use super::super::units::{Mib, Millivolts, Mts};
use super::{BoardView, ChannelView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rate-lowered-by-count",
    group: Group::Rate,
    severity: Severity::Warning,
    title: "The number of modules on a channel lowers the rate",
    doc: "Every module on a channel loads its wires, so boards run two or three of them slower than one, and the slowest \
          channel sets the rate of those that level with it. Where modules are added to installed ones, the installed \
          ones alone are what is compared with. Fewer, larger modules keep the higher rate.",
    source: "published guide P1, 2.8.9.5.8, tables by modules on a channel; the rates themselves are the board record's",
    reads: &[Fact::Kind, Fact::PackageRanks, Fact::Rate],
    message: "{ $channels }: with { $modules } modules on a channel the memory runs at { $rate }; with { $fewer } it would \
              run at { $faster }.",
    asks: "whether fewer modules on a channel would run faster",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R16-2x4"},
        {"slot": "A2", "module": "ERW-3R16-2x4"}, {"slot": "A3", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R8-2x4-15V"},
        {"slot": "A2", "module": {"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192, "package_ranks": 2,
         "stack_height": 1, "width": "x4", "rate_mts": 800, "supply_mv": [1350, 1500]}}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let outcome = view.outcome;
    let (Some(rate), Some(_)) = (outcome.rate, outcome.supply) else {
        return;
    };
    if !outcome.running(view).any(|(_, run)| run.modules > 1) {
        return;
    }
    match view.thinner() {
        Some(thin) if faster(thin.rate, rate) => hits.broken(|draft| {
            let draft = draft
                .param("modules", Value::Count(u64::from(thin.now)))
                .param("rate", Value::Rate(rate))
                .param("fewer", Value::Count(u64::from(thin.fewer)))
                .param("faster", Value::Rate(thin.rate));
            let draft = thin
                .channels
                .iter()
                .fold(draft, |draft, c| draft.channel(*c));
            match thin.larger(view) {
                Some((part, capacity)) => draft.part(part).fix(Fix::ChooseOther {
                    part,
                    needs: vec![(Fact::Capacity, Value::Capacity(capacity))],
                }),
                None => draft,
            }
        }),
        _ => hits.met(),
    }
}

/// The rate that fewer modules on a channel would give, if that is higher.
pub(super) fn rate_with_fewer(view: &BoardView<'_>) -> Option<Mts> {
    let (rate, thin) = view.outcome.rate.zip(view.thinner())?;
    faster(thin.rate, rate).then_some(thin.rate)
}

/// What the board would run with fewer modules on the channels that hold it back.
pub(super) struct Thinner {
    /// The rate of its slowest channel then.
    rate: Mts,
    /// The channels that hold it back now.
    channels: Vec<ChannelIx>,
    /// The most modules on one of them now.
    now: u8,
    /// The most modules on one of them then.
    fewer: u8,
}

/// Whether two channels give the same when thinned; where something is installed, only a channel
/// and itself.
fn alike(view: &BoardView<'_>, one: &ChannelView<'_>, other: &ChannelView<'_>) -> bool {
    view.request().installed.is_empty() && one.likeness() == other.likeness()
}

/// Whether the channel's own population row is what the board runs at.
fn held_by_row(run: &ChannelOutcome, rate: Mts) -> bool {
    run.listed.is_some_and(|listed| same_clock(listed, rate))
}

/// The rates of a channel with some of its modules, each with how many are left; where some are
/// installed and some added, with the installed ones only.
fn thinned(view: &BoardView<'_>, channel: &ChannelView<'_>, supply: Millivolts) -> Vec<(Mts, u8)> {
    let ratings = channel.modules().filter_map(|on| on.fit.rating());
    let ceiling = view.setup.rate_ceiling(channel.socket).ok().flatten();
    let Some(most) = ratings.chain(ceiling).min() else {
        return Vec::new();
    };
    let (mut all, mut installed) = (0u8, 0u8);
    for on in channel.modules() {
        let bit = 1 << (on.position - 1);
        all |= bit;
        let origin = view.population.at(on.slot).map(|occupant| occupant.origin);
        if matches!(origin, Some(Origin::Installed(_))) {
            installed |= bit;
        }
    }
    let some_added = installed != 0 && installed != all;
    // Position patterns apart, the rate hangs on which modules are left and not on where they sit.
    let by_place = !view.board().layouts.is_empty();
    let rated = |stack: Stack| match listed_rate(&ChannelView { stack, ..*channel }, supply) {
        Listed::Rate(listed) => Some((listed.min(most), stack.count())),
        Listed::Unsupported | Listed::Open(_) => None,
    };
    if let Some(only) = only_part(&channel.stack).filter(|_| !by_place && !some_added) {
        let fewer = 1..channel.stack.count();
        let first = |count: u8| (1..=count).fold(Stack::default(), |s, at| s.with(at, Some(only)));
        return fewer.filter_map(|count| rated(first(count))).collect();
    }
    let mut tried: Vec<Stack> = Vec::new();
    (1..all)
        .filter(|some| some & !all == 0 && (!some_added || *some == installed))
        .filter_map(|some| {
            let stays = |position: &u8| some & 1 << (position - 1) != 0;
            let seats = (1..=4).map(|p| channel.stack.at(p).filter(|_| stays(&p)));
            let stack = Stack::of(seats);
            let kind = if by_place { stack } else { stack.packed() };
            if tried.contains(&kind) {
                return None;
            }
            tried.push(kind);
            rated(stack)
        })
        .collect()
}

/// The part that all modules of a stack are of.
fn only_part(stack: &Stack) -> Option<PartIx> {
    let mut parts = stack.parts();
    let first = parts.next()?;
    parts.all(|part| part == first).then_some(first)
}

impl Thinner {
    /// What the board would run then; `None` where its rate is not known or nothing can be thinned.
    pub(super) fn of(view: &BoardView<'_>) -> Option<Self> {
        let (rate, supply) = view.outcome.rate.zip(view.outcome.supply)?;
        let mut channels: Vec<ChannelIx> = Vec::new();
        // Alike channels, as most are, are tried once.
        let mut tried: Vec<(ChannelView<'_>, Vec<(Mts, u8)>)> = Vec::new();
        let (mut best, mut now): (Option<Mts>, u8) = (None, 0);
        for (channel, run) in view.outcome.running(view) {
            let reached = if held_by_row(run, rate) {
                channels.push(channel.channel);
                now = now.max(channel.stack.count());
                let known = tried
                    .iter()
                    .position(|(other, _)| alike(view, other, &channel));
                let known = known.unwrap_or_else(|| {
                    tried.push((channel, thinned(view, &channel, supply)));
                    tried.len() - 1
                });
                let (_, ways) = tried.get(known)?;
                ways.iter().map(|(rate, _)| *rate).max()?
            } else {
                run.alone?
            };
            best = Some(best.map_or(reached, |best| best.min(reached)));
        }
        let best = best?;
        let enough = |ways: &Vec<(Mts, u8)>| {
            let ways = ways.iter().filter(|(rate, _)| *rate >= best);
            ways.map(|(_, count)| *count).max()
        };
        Some(Self {
            rate: best,
            channels,
            now,
            fewer: tried.iter().filter_map(|(_, ways)| enough(ways)).max()?,
        })
    }

    /// The part that fills these channels alone, if it is being bought, and the capacity that fewer
    /// of it would need for the same memory, if the board takes modules of that.
    fn larger(&self, view: &BoardView<'_>) -> Option<(PartIx, Mib)> {
        let mut parts = view
            .channels()
            .filter(|channel| self.channels.contains(&channel.channel))
            .flat_map(|channel| channel.modules());
        let part = parts.next()?.part;
        let alone = parts.all(|on| on.part == part);
        let bought = view.request().kit.iter().any(|line| line.part == part);
        let module = view.request().part(part)?;
        let capacity = module.main_memory()?.0 * u64::from(self.now);
        let fewer = u64::from(self.fewer);
        let each = Mib(capacity / fewer);
        let whole = capacity.is_multiple_of(fewer);
        (alone && bought && whole && is_taken(view, module, each)).then_some((part, each))
    }
}

/// Whether the board takes modules of that kind and capacity, and such are made: powers of two.
fn is_taken(view: &BoardView<'_>, module: &Module, capacity: Mib) -> bool {
    let mut rows = view.board().accepts.iter();
    let listed = rows.any(|row| {
        let sizes = row.capacities.as_ref();
        Some(row.kind) == module.kind && sizes.is_none_or(|sizes| sizes.contains(&capacity))
    });
    listed && capacity.0.is_power_of_two()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::board::Limit;
    use crate::domain::board::policy::Scope;
    use crate::domain::board::rates::{RankMatch, RateRow};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, module, rate, rdimm};

    const ID: &str = "rate-lowered-by-count";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    /// Modules now, rate now, modules then, rate then.
    fn numbers(checked: &Checked) -> Option<(u64, u32, u64, u32)> {
        let finding = checked.finding(ID)?;
        match finding
            .params
            .iter()
            .map(|(_, value)| value)
            .collect::<Vec<_>>()[..]
        {
            [
                Value::Count(now),
                Value::Rate(slow),
                Value::Count(fewer),
                Value::Rate(fast),
            ] => Some((*now, slow.0, *fewer, fast.0)),
            _ => None,
        }
    }

    #[test]
    fn three_on_a_channel_run_slower_than_one() {
        let checked = tarn().seat(rdimm(8, 2), &["A1", "A2", "A3", "B1"]).check();
        assert_eq!(numbers(&checked), Some((3, 1066, 1, 1600)));
        assert_eq!(checked.finding(ID).unwrap().channels, [ChannelIx(0)]);
        assert!(
            tarn()
                .seat(rdimm(8, 2), &["A1", "B1"])
                .check()
                .finding(ID)
                .is_none()
        );
    }

    #[test]
    fn two_at_full_speed_are_no_loss() {
        // Published tables R1 (eight channels, DDR4), channels of two slots: one RDIMM 3200, two 2933.
        let mut record = board(Generation::Ddr4, 1, 8, 2);
        record.rates = vec![rate(&[Kind::Rdimm], 1, 3200), rate(&[Kind::Rdimm], 2, 2933)];
        let pair = |mts| ModuleFacts {
            rate: Some(Mts(mts)),
            ..module(Generation::Ddr4, Kind::Rdimm, 32, 2)
        };
        let found = |mts| {
            let case = Case::on(record.clone()).seat(pair(mts), &["A1", "A2"]);
            numbers(&case.check())
        };
        assert_eq!(found(3200), Some((2, 2933, 1, 3200)));
        // Modules that are rated no faster lose nothing.
        assert_eq!((found(2933), found(2934), found(2666)), (None, None, None));
    }

    #[test]
    fn fewer_may_mean_another_mix_of_ranks() {
        // Published tables R1 (twelve channels, DDR5): two single-rank 4000, a single and a dual rank 3600.
        let ranks = |list: &[u8], mts| RateRow {
            ranks: RankMatch::Exactly(list.to_vec()),
            ..rate(&[Kind::Rdimm], list.len() as u8, mts)
        };
        let record = BoardFacts {
            rates: vec![ranks(&[1], 4800), ranks(&[2], 4800), ranks(&[1, 2], 3600)],
            ..board(Generation::Ddr5, 1, 12, 2)
        };
        let of = |gib, ranks| module(Generation::Ddr5, Kind::Rdimm, gib, ranks);
        let case = Case::on(record)
            .seat(of(64, 2), &["A1"])
            .seat(of(32, 1), &["A2"]);
        assert_eq!(numbers(&case.check()), Some((2, 3600, 1, 4800)));
    }

    #[test]
    fn added_modules_are_compared_with_the_installed_ones() {
        let checked = tarn()
            .installed(rdimm(8, 2), &["A1", "A2"])
            .seat(rdimm(8, 2), &["A3"])
            .check();
        assert_eq!(numbers(&checked), Some((3, 1066, 2, 1333)));
    }

    #[test]
    fn another_ceiling_at_the_same_rate_makes_fewer_no_faster() {
        let mut case = tarn().seat(rdimm(8, 2), &["A1", "A2"]);
        case.board.processors[0].rate = Limit::Is(Mts(1333));
        assert!(!case.check().breaks(ID));
        let slow = ModuleFacts {
            rate: Some(Mts(1066)),
            ..rdimm(8, 1)
        };
        let beside = tarn()
            .seat(rdimm(8, 2), &["A1", "A2", "A3"])
            .seat(slow, &["E1"]);
        assert!(!beside.check().breaks(ID));
    }

    #[test]
    fn channels_that_level_apart_are_judged_apart() {
        let mut case = tarn().seat(rdimm(8, 2), &["A1", "A2", "E1", "E2", "E3"]);
        case.board.levelling = Scope::Socket;
        // Socket 1 runs 1333 then, so two modules are few enough.
        assert_eq!(numbers(&case.check()), Some((3, 1066, 2, 1333)));
    }

    #[test]
    fn nothing_is_said_while_the_rate_is_not_known() {
        let unknown = ModuleFacts {
            rate: None,
            ..rdimm(8, 2)
        };
        assert!(
            tarn()
                .seat(unknown, &["A1", "A2"])
                .check()
                .finding(ID)
                .is_none()
        );
    }

    #[test]
    fn a_size_that_is_not_made_is_not_offered() {
        // Three of 16 GiB would be two of 24 GiB.
        let checked = tarn()
            .kit(rdimm(16, 2), 3)
            .seat(rdimm(16, 2), &["A1", "A2", "A3"])
            .check();
        assert!(checked.finding(ID).unwrap().fixes.is_empty());
    }

    #[test]
    fn a_kit_is_offered_larger_modules() {
        let checked = tarn()
            .kit(rdimm(8, 2), 2)
            .seat(rdimm(8, 2), &["A1", "A2"])
            .check();
        let needs = vec![(Fact::Capacity, Value::Capacity(Mib::gib(16)))];
        let fix = &checked.finding(ID).unwrap().fixes[0].fix;
        assert_eq!(
            fix,
            &Fix::ChooseOther {
                part: PartIx(0),
                needs
            }
        );
    }
}
