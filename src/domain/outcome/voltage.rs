//! Which supply voltage is set, and what each would give.

use super::super::finding::Missing;
use super::super::request::VoltagePolicy;
use super::super::rules::ChannelView;
use super::super::setup::Setup;
use super::super::timing::faster;
use super::super::units::{Millivolts, Mts};
use super::Outcome;
use super::rate::{Table, apply};

/// What a supply voltage would give.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SupplyOption {
    /// The voltage.
    pub supply: Millivolts,
    /// The rate of the slowest channel; `None` if a fact is missing or a channel has no listed rate.
    pub rate: Option<Mts>,
    /// Whether some channel has no listed rate at this voltage.
    pub unsupported: bool,
}

pub(super) fn fill(views: &[ChannelView<'_>], outcome: &mut Outcome) {
    let Some(setup) = views.first().map(|view| view.setup) else {
        return;
    };
    if !outcome.channels.iter().any(super::ChannelOutcome::runs) {
        return;
    }
    let mut tables: Vec<Table> = setup
        .supplies()
        .iter()
        .map(|mv| Table::at(*mv, views, &outcome.channels))
        .collect();
    outcome.supply_options = tables.iter().map(Table::option).collect();
    let choice = match refused_unknowingly(setup, &tables) {
        Some(missing) => Choice::Open(missing),
        None => choose(&tables, setup.request.voltage_policy),
    };
    match choice {
        Choice::Open(missing) => outcome.rate_missing = missing,
        Choice::Table {
            index,
            supply_known,
        } if index < tables.len() => {
            let table = tables.swap_remove(index);
            outcome.rate_missing.clone_from(&table.missing);
            let told = || setup.supply_open().next().is_none();
            outcome.supply = (tables.is_empty() || supply_known && told()).then_some(table.supply);
            apply(&table, views, outcome);
        }
        Choice::Table { .. } | Choice::Nothing => {}
    }
    outcome.rate_missing.sort_unstable();
    outcome.rate_missing.dedup();
    let missing = outcome.rate_missing.iter().copied();
    outcome.missing.extend(missing);
}

/// Modules of which it is open at which voltages they run may refuse any of them: nothing can be chosen
/// unless all give the same.
fn refused_unknowingly(setup: &Setup<'_>, tables: &[Table]) -> Option<Vec<Missing>> {
    let (first, others) = tables.split_first()?;
    if others.iter().all(|table| first.gives_the_same(table)) {
        return None;
    }
    let open = setup.supply_open();
    let missing: Vec<Missing> = open.flat_map(|part| setup.supply_facts(part)).collect();
    (!missing.is_empty()).then_some(missing)
}

/// What the policy says.
enum Choice {
    /// This table; its voltage may still hang on a missing fact when another gives the same rate.
    Table { index: usize, supply_known: bool },
    /// It depends on these facts.
    Open(Vec<Missing>),
    /// No voltage suits all modules.
    Nothing,
}

/// The voltage that the policy sets among those, ascending, that support the population.
fn choose(tables: &[Table], policy: VoltagePolicy) -> Choice {
    let supported: Vec<(usize, &Table)> = tables
        .iter()
        .enumerate()
        .filter(|(_, table)| !table.unsupported)
        .collect();
    match (supported.as_slice(), policy) {
        ([], _) if tables.is_empty() => Choice::Nothing,
        // The rule for populations without a rate says so; the other channels' rates are told.
        ([], _) => Choice::Table {
            index: 0,
            supply_known: false,
        },
        ([(index, _)], _) => Choice::Table {
            index: *index,
            supply_known: true,
        },
        ([(index, lowest), ..], VoltagePolicy::Lowest) if !lowest.listing_open => Choice::Table {
            index: *index,
            supply_known: true,
        },
        (open, VoltagePolicy::Lowest) => Choice::Open(all_missing(open)),
        (options, VoltagePolicy::Fastest) => fastest(options),
    }
}

/// The fastest; on a tie the first, lower one. A voltage of unknown rate leaves the choice open
/// where it may win.
fn fastest(options: &[(usize, &Table)]) -> Choice {
    let best = options
        .iter()
        .filter_map(|(index, table)| Some((*index, table.slowest()?)))
        .reduce(|best, next| if faster(next.1, best.1) { next } else { best });
    let Some((index, rate)) = best else {
        return Choice::Open(all_missing(options));
    };
    let open = || {
        options
            .iter()
            .filter(|(_, table)| table.slowest().is_none())
    };
    if open().any(|(_, table)| table.at_best().is_none_or(|most| faster(most, rate))) {
        return Choice::Open(all_missing(options));
    }
    Choice::Table {
        index,
        // A lower voltage would win a tie.
        supply_known: open().all(|(other, table)| {
            *other > index || table.at_best().is_some_and(|most| faster(rate, most))
        }),
    }
}

fn all_missing(options: &[(usize, &Table)]) -> Vec<Missing> {
    let missing = options.iter().flat_map(|(_, table)| &table.missing);
    missing.copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::rates::{RankMatch, RateRow, Unlisted};
    use crate::domain::board::{Board, BoardFacts, Limit};
    use crate::domain::finding::Fact;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::outcome::{Ceiling, Outcome};
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, rate, rdimm};
    use crate::domain::units::Version;

    fn row(modules: u8, mv: &[u16], mts: u32) -> RateRow {
        RateRow {
            supply: Some(mv.iter().copied().map(Millivolts).collect()),
            ..rate(&[Kind::Rdimm], modules, mts)
        }
    }

    /// Published tables F1 (mid 2011), registered, large package: two modules of a channel
    /// run 1333 at 1.35 V and 1600 at 1.5 V, one runs 1600 at either on a channel of three slots.
    fn g34() -> BoardFacts {
        BoardFacts {
            rates: vec![
                row(1, &[1350, 1500], 1600),
                row(2, &[1350], 1333),
                row(2, &[1500], 1600),
                row(3, &[1500], 1066),
            ],
            ..board(Generation::Ddr3, 2, 4, 3)
        }
    }

    fn outcome(board: BoardFacts, slots: &[&str], policy: VoltagePolicy) -> Outcome {
        let case = Case::on(board).seat(rdimm(8, 2), slots);
        let case = case.with(|request| request.voltage_policy = policy);
        case.check().outcome
    }

    fn set(outcome: &Outcome) -> (Option<u16>, Option<u32>) {
        (
            outcome.supply.map(|mv| mv.0),
            outcome.rate.map(|rate| rate.0),
        )
    }

    #[test]
    fn one_population_has_two_right_answers() {
        // Published firmware source F1 mflvddr3.c: the policies "performance" and "power".
        let two = |policy| set(&outcome(g34(), &["A1", "A2"], policy));
        assert_eq!(two(VoltagePolicy::Fastest), (Some(1500), Some(1600)));
        assert_eq!(two(VoltagePolicy::Lowest), (Some(1350), Some(1333)));
    }

    #[test]
    fn a_tie_goes_to_the_lower_voltage() {
        // Published firmware source F1 mflvddr3.c.
        let one = outcome(g34(), &["A1"], VoltagePolicy::Fastest);
        assert_eq!(set(&one), (Some(1350), Some(1600)));
        assert_eq!(one.supply_options.len(), 2);
    }

    #[test]
    fn a_voltage_without_a_listed_rate_is_not_set() {
        let three = outcome(g34(), &["A1", "A2", "A3"], VoltagePolicy::Lowest);
        assert_eq!(set(&three), (Some(1500), Some(1066)));
        assert!(three.supply_options[0].unsupported);
    }

    #[test]
    fn where_no_voltage_is_listed_none_is_named() {
        let mut board = g34();
        board.rates.truncate(3);
        let three = outcome(board, &["A1", "A2", "A3", "B1"], VoltagePolicy::Fastest);
        assert_eq!(set(&three), (None, None));
        assert!(three.rate_missing.is_empty());
        // The other channels' listed rates are still told.
        assert_eq!(three.channels[1].listed, Some(Mts(1600)));
    }

    #[test]
    fn a_module_of_unknown_voltage_leaves_the_choice_open_unless_all_are_alike() {
        let unknown = ModuleFacts {
            supply: None,
            ..rdimm(8, 2)
        };
        let found = |slots| Case::on(g34()).seat(unknown.clone(), slots).check().outcome;
        let two = found(&["A1", "A2"]);
        assert_eq!(set(&two), (None, None));
        assert_eq!(two.rate_missing.len(), 1);
        assert_eq!(two.rate_missing[0].fact, Fact::Supply);
        let one = found(&["A1"]);
        assert_eq!(set(&one), (None, Some(1600)));
        assert!(one.rate_missing.is_empty());
    }

    #[test]
    fn a_module_for_the_higher_voltage_only_forces_it() {
        let old = ModuleFacts {
            supply: Some(vec![Millivolts(1500)]),
            ..rdimm(8, 1)
        };
        let outcome = Case::on(g34())
            .seat(rdimm(8, 2), &["A1"])
            .seat(old, &["B1"])
            .with(|request| request.voltage_policy = VoltagePolicy::Lowest)
            .check()
            .outcome;
        assert_eq!(set(&outcome), (Some(1500), Some(1600)));
    }

    #[test]
    fn a_row_that_hangs_on_the_firmware_opens_the_choice_only_where_it_may_win() {
        let newer = |mv, mts| {
            let mut board = g34();
            board.rates.push(RateRow {
                firmware: Version::new("2.0"),
                ..row(2, mv, mts)
            });
            outcome(board, &["A1", "A2"], VoltagePolicy::Fastest)
        };
        // At 1.35 V a newer firmware may reach 1600 as well: the rate is sure, the voltage is not.
        assert_eq!(set(&newer(&[1350], 1600)), (None, Some(1600)));
        // A row that is no faster than the sure one changes nothing.
        assert_eq!(set(&newer(&[1350], 1066)), (Some(1500), Some(1600)));
        let mut board = g34();
        board.rates[2].firmware = Version::new("2.0");
        let open = outcome(board, &["A1", "A2"], VoltagePolicy::Fastest);
        assert_eq!(set(&open), (None, None));
        assert_eq!(open.rate_missing, [Missing::general(Fact::Firmware)]);
    }

    #[test]
    fn an_incomplete_table_leaves_the_rate_open() {
        let board = BoardFacts {
            unlisted_rate: Unlisted::Unknown,
            rates: vec![row(1, &[1350, 1500], 1600)],
            ..g34()
        };
        let two = outcome(board, &["A1", "A2"], VoltagePolicy::Fastest);
        assert_eq!(set(&two), (None, None));
        assert_eq!(two.rate_missing, [Missing::general(Fact::RateRow)]);
    }

    #[test]
    fn all_channels_run_at_the_slowest_of_them() {
        // Published guide P2: seven modules of 3200 and one of 2666 all run 2666.
        let fast = || crate::domain::testing::module(Generation::Ddr4, Kind::Rdimm, 32, 2);
        let slow = ModuleFacts {
            rate: Some(Mts(2667)),
            ..fast()
        };
        let slots = ["A1", "B1", "C1", "D1", "E1", "F1", "G1"];
        let case = Case::on(board(Generation::Ddr4, 1, 8, 1))
            .seat(fast(), &slots)
            .seat(slow, &["H1"]);
        let outcome = case.check().outcome;
        assert!(outcome.channels.iter().all(|c| c.rate == Some(Mts(2667))));
        let [Ceiling::Module(part)] = outcome.binding[..] else {
            panic!("{:?}", outcome.binding)
        };
        assert_eq!(case.request.part(part).unwrap().rate, Some(Mts(2667)));
    }

    #[test]
    fn every_ceiling_that_binds_is_named() {
        // Published tables R1 (twelve channels, DDR5): a 5600 module in a one-slot channel (5200) behind a processor of 4800 runs 4800.
        let mut record = board(Generation::Ddr5, 1, 12, 1);
        record.rates = vec![RateRow {
            ranks: RankMatch::Exactly(vec![2]),
            ..rate(&[Kind::Rdimm], 1, 5200)
        }];
        record.processors[0].rate = Limit::Is(Mts(4800));
        let module = crate::domain::testing::module(Generation::Ddr5, Kind::Rdimm, 64, 2);
        let found = |record: &BoardFacts| {
            let case = Case::on(record.clone()).seat(module.clone(), &["A1"]);
            case.check().outcome
        };
        let outcome = found(&record);
        assert_eq!(outcome.rate, Some(Mts(4800)));
        assert_eq!(outcome.binding, [Ceiling::Processor(0)]);
        record.processors[0].rate = Limit::Is(Mts(5200));
        assert_eq!(found(&record).binding.len(), 2);
    }

    #[test]
    fn memory_that_is_not_reached_slows_nothing() {
        let slow = ModuleFacts {
            rate: Some(Mts(800)),
            ..rdimm(4, 1)
        };
        let sockets = vec![SocketState::Fitted(None), SocketState::Empty];
        let outcome = Case::on(g34())
            .with(|request| request.sockets = Some(sockets))
            .seat(rdimm(8, 2), &["A1"])
            .seat(slow, &["E1"])
            .check()
            .outcome;
        assert_eq!(outcome.rate, Some(Mts(1600)));
        assert_eq!(outcome.peak.map(|peak| peak.0), Some(12_800));
        assert_eq!(outcome.channels[4].rate, None);
    }

    #[test]
    fn a_processor_that_nobody_told_decides_only_where_models_differ() {
        let mut record = g34();
        let mut slow = record.processors[0].clone();
        (slow.id, slow.rate) = ("slow".into(), Limit::Is(Mts(1333)));
        record.processors[0].rate = Limit::Is(Mts(1600));
        let case = Case::on(record.clone()).seat(rdimm(8, 2), &["A1"]);
        let told = |record: &BoardFacts, model| {
            let board = Board::checked(record.clone()).unwrap();
            let setup = Setup::new(&board, &case.request, model).unwrap();
            let first = crate::domain::channel::Stack::default()
                .with(1, Some(case.request.population[0].part));
            let mut stacks = vec![crate::domain::channel::Stack::default(); 8];
            stacks[0] = first;
            crate::domain::outcome::compute(&setup, &stacks)
        };
        let alike = told(&record, None);
        assert_eq!(alike.rate, Some(Mts(1600)));
        assert!(alike.binding.contains(&Ceiling::Processor(0)));
        record.processors.push(slow);
        assert_eq!(told(&record, Some(1)).rate, Some(Mts(1333)));
        let open = told(&record, None);
        assert_eq!(open.rate, None);
        assert_eq!(open.rate_missing, [Missing::general(Fact::ProcessorModel)]);
    }
}
