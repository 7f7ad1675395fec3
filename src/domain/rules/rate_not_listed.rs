//! A population that the board's maker lists no rate for.

use super::super::channel::{Told, has_rate, layout};
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::setup::Setup;
use super::fitting::{build_words, holds_foreign};
use super::{BoardView, ChannelView, Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rate-not-listed",
    group: Group::Load,
    severity: Severity::Blocker,
    title: "The maker lists no rate for what a channel holds",
    doc: "Makers list the rate of a channel by the number, kind and ranks of its modules and by voltage. Where the list is \
          complete, what is not listed is not supported, and firmware switches the channel off. All channels run at one \
          voltage, so each must be listed at the same one.",
    source: "published guide P1, section 2.8.9.5.8; published firmware source F1, mpmaxfreq.c disables a channel without a row",
    reads: &[
        Fact::Kind,
        Fact::PackageRanks,
        Fact::StackHeight,
        Fact::Supply,
        Fact::Firmware,
    ],
    message: "{ $place }: this board's maker lists no rate for { $stack } at any one supply voltage that all modules share ({ $voltages }). What is not listed is not supported.",
    asks: "whether the maker lists a rate for what a channel holds",
    checks: &[Check::Channel(alone), Check::Board(together)],
    breaks: r#"{"board": "brook", "population": [{"slot": "A1", "module": "ERW-5R64-2x4"}, {"slot": "A2", "module": "ERW-5R32-1x4"}]}"#,
    meets: r#"{"board": "brook", "population": [{"slot": "A1", "module": "ERW-5R64-2x4"}, {"slot": "A2", "module": "ERW-5R64-2x4"}]}"#,
};

/// What the supply voltages give.
#[derive(Default)]
struct Seen {
    /// At some voltage there is a rate.
    some: bool,
    /// At some voltage there is none.
    lacks: bool,
    /// At some voltage it is open.
    open: bool,
}

impl Seen {
    fn of(states: impl Iterator<Item = Told>) -> Self {
        states.fold(Self::default(), |mut seen, told| {
            match told {
                Told::Yes => seen.some = true,
                Told::No => seen.lacks = true,
                Told::Open(_) => seen.open = true,
            }
            seen
        })
    }
}

/// One channel: a rate at one of the voltages at least.
fn alone(view: &ChannelView<'_>, hits: &mut Hits) {
    let setup = view.setup;
    let seen = at_each(view);
    if seen.some {
        let everywhere = !seen.lacks && !seen.open;
        return if everywhere || setup.supply_open().next().is_none() {
            hits.met();
        } else {
            hits.undecided(&untold_supplies(setup));
        };
    }
    // Without a common voltage that is the cause, and so is a module that does not belong here, or
    // a pattern that is not listed: as long as that blocks.
    let board = view.board();
    let no_voltage = setup.supplies().is_empty() && !board.lowers("supply-voltage-not-common");
    let no_pattern = layout(view) == Some(Told::No) && !board.lowers("layout-not-listed");
    if no_voltage || no_pattern || holds_foreign(view) {
        return;
    }
    if seen.open {
        hits.undecided(&missing(view));
    } else {
        hits.broken(|draft| {
            let draft = told(setup, vec![words(view)], draft).slots(view.occupied_slots());
            match relief(view) {
                Some(fix) => draft.fix(fix),
                None => draft,
            }
        });
    }
}

/// All channels: one voltage at which each has a rate.
fn together(view: &BoardView<'_>, hits: &mut Hits) {
    let setup = view.setup;
    if setup.supplies().len() < 2 {
        return;
    }
    let mut open = false;
    for supply in setup.supplies() {
        let seen = Seen::of(unlike(view).map(|channel| has_rate(&channel, *supply)));
        if !seen.lacks && !seen.open {
            return;
        }
        open |= !seen.lacks;
    }
    // A channel without a sure rate at any voltage has been reported for itself.
    if unlike(view).any(|channel| !at_each(&channel).some) {
        return;
    }
    if open {
        let all: Vec<Missing> = unlike(view).flat_map(|channel| missing(&channel)).collect();
        return hits.undecided(&all);
    }
    hits.broken(|draft| {
        let mut stacks = Vec::new();
        let mut draft = draft;
        for channel in view.channels().filter(|c| c.stack.count() > 0) {
            let stack = words(&channel);
            if !stacks.contains(&stack) {
                stacks.push(stack);
            }
            draft = draft
                .channel(channel.channel)
                .slots(channel.occupied_slots());
        }
        told(setup, stacks, draft)
    });
}

/// Populated channels, without those that hold the same as the one before.
fn unlike<'a>(view: &BoardView<'a>) -> impl Iterator<Item = ChannelView<'a>> + use<'a> {
    let mut before = None;
    view.channels().filter(move |channel| {
        let own = Some((channel.stack, channel.board().wired(channel.channel)));
        channel.stack.count() > 0 && std::mem::replace(&mut before, own) != own
    })
}

fn at_each(view: &ChannelView<'_>) -> Seen {
    let supplies = view.setup.supplies().iter();
    Seen::of(supplies.map(|supply| has_rate(view, *supply)))
}

/// The facts that a rate at some voltage depends on.
fn missing(view: &ChannelView<'_>) -> Vec<Missing> {
    let supplies = view.setup.supplies().iter();
    supplies
        .filter_map(|supply| match has_rate(view, *supply) {
            Told::Open(missing) => Some(missing),
            Told::Yes | Told::No => None,
        })
        .flatten()
        .collect()
}

fn untold_supplies(setup: &Setup<'_>) -> Vec<Missing> {
    let open = setup.supply_open();
    open.flat_map(|part| setup.supply_facts(part)).collect()
}

fn told(setup: &Setup<'_>, stacks: Vec<String>, draft: Draft) -> Draft {
    let voltages = setup.supplies().iter().copied().map(Value::Voltage);
    draft
        .param("stack", Value::Words(stacks))
        .param("voltages", Value::List(voltages.collect()))
}

/// `2R RDIMM + 1R RDIMM`.
fn words(view: &ChannelView<'_>) -> String {
    let each: Vec<String> = view.modules().map(|on| build_words(on.module)).collect();
    each.join(" + ")
}

/// A module without which the channel has a rate, from the near end on.
fn relief(view: &ChannelView<'_>) -> Option<Fix> {
    let modules: Vec<_> = view.modules().collect();
    modules.into_iter().rev().find_map(|on| {
        let stack = view.stack.with(on.position, None);
        let rest = ChannelView { stack, ..*view };
        let helps = stack.count() > 0 && at_each(&rest).some && layout(&rest) != Some(Told::No);
        helps.then_some(Fix::Remove { slot: on.slot })
    })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::SlotIx;
    use crate::domain::board::rates::{RankMatch, RateRow, Unlisted};
    use crate::domain::finding::Fix;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module, rate, rdimm};
    use crate::domain::units::{Millivolts, Version};

    const ID: &str = "rate-not-listed";

    fn exactly(ranks: &[u8], mts: u32) -> RateRow {
        RateRow {
            ranks: RankMatch::Exactly(ranks.to_vec()),
            ..rate(&[Kind::Rdimm], ranks.len() as u8, mts)
        }
    }

    /// A two-slot channel whose table has no row for 1R with 2R, as in the newest published DDR5
    /// tables (facts: published tables R1, newest rows; 1R + 1R 4400, 2R + 2R 4000).
    fn case(unlisted: Unlisted) -> Case {
        let mut board = board(Generation::Ddr5, 1, 2, 2);
        board.rates = vec![
            exactly(&[1], 5200),
            exactly(&[2], 5200),
            exactly(&[1, 1], 4400),
            exactly(&[2, 2], 4000),
        ];
        board.unlisted_rate = unlisted;
        Case::on(board)
    }

    fn of(ranks: u8) -> ModuleFacts {
        module(Generation::Ddr5, Kind::Rdimm, 32 * u64::from(ranks), ranks)
    }

    #[test]
    fn refuses_single_with_dual_rank_where_no_row_lists_them() {
        let case = || case(Unlisted::Unsupported);
        let checked = case().seat(of(2), &["A1"]).seat(of(1), &["A2"]).check();
        assert!(checked.breaks(ID));
        let finding = checked.finding(ID).expect("a finding");
        assert_eq!(finding.fixes[0].fix, Fix::Remove { slot: SlotIx(1) });
        let alike = case().seat(of(2), &["A1", "A2"]).check();
        assert!(alike.silent(ID));
    }

    #[test]
    fn an_incomplete_list_leaves_it_undecided() {
        let checked = case(Unlisted::Unknown)
            .seat(of(2), &["A1"])
            .seat(of(1), &["A2"])
            .check();
        assert!(checked.leaves_open(ID));
    }

    #[test]
    fn an_untold_rank_count_is_undecided_where_a_row_may_match() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..of(1)
        };
        let case = || case(Unlisted::Unsupported).seat(of(2), &["A1"]);
        assert!(case().seat(unknown, &["A2"]).check().leaves_open(ID));
    }

    #[test]
    fn an_untold_firmware_is_no_matter_where_an_older_row_matches() {
        let mut case = case(Unlisted::Unsupported);
        case.board.rates.push(RateRow {
            firmware: Version::new("2.0"),
            ..exactly(&[2, 2], 4400)
        });
        assert!(case.seat(of(2), &["A1", "A2"]).check().silent(ID));
    }

    /// 1R at 1.35 V only, 2R at 1.5 V only.
    fn by_voltage() -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 1);
        let at = |mv, row| RateRow {
            supply: Some(vec![Millivolts(mv)]),
            ..row
        };
        board.rates = vec![at(1350, exactly(&[1], 1333)), at(1500, exactly(&[2], 1333))];
        Case::on(board)
    }

    #[test]
    fn refuses_channels_that_are_listed_at_different_voltages_only() {
        let alone = by_voltage().seat(rdimm(8, 1), &["A1"]).check();
        assert!(alone.silent(ID), "{:?}", alone.findings);
        let both = by_voltage()
            .seat(rdimm(8, 1), &["A1"])
            .seat(rdimm(16, 2), &["B1"])
            .check();
        assert!(both.breaks(ID));
        assert_eq!(both.finding(ID).expect("a finding").channels.len(), 2);
    }

    #[test]
    fn a_rate_at_one_voltage_only_needs_the_modules_voltages() {
        let untold = ModuleFacts {
            supply: None,
            ..rdimm(8, 1)
        };
        let checked = by_voltage().seat(untold, &["A1"]).check();
        assert!(checked.leaves_open(ID));
        let high = ModuleFacts {
            supply: Some(vec![Millivolts(1500)]),
            ..rdimm(8, 1)
        };
        assert!(by_voltage().seat(high, &["A1"]).check().breaks(ID));
    }
}
