//! Small cases in which a shortcut of the search would lose the only kit, or the best one.

use super::{Answer, Key, Limits, Preference, Status, Task, solve};
use crate::domain::board::groups::SlotGroup;
use crate::domain::board::policy::{
    Identity, InterleaveSet, Mix, MixPolicy, Protection, ProtectionOffer, Scope,
};
use crate::domain::board::{Board, BoardFacts, Limit};
use crate::domain::finding::{Severity, Verdict};
use crate::domain::module::{Generation, Kind, ModuleFacts, Width};
use crate::domain::request::{Balance, InstalledPolicy, PartIx, Request, VoltagePolicy, Wish};
use crate::domain::rules::RuleSet;
use crate::domain::testing::{Case, board, offer_of, rate, rdimm};
use crate::domain::units::{Currency, MegabytesPerSecond, Mib, Millivolts, Money, Mts};
use crate::domain::validate::validate;

/// A two-rank module for sale under a part number.
fn sold(number: &str, gib: u64, minor: i64, stock: u32) -> ModuleFacts {
    ModuleFacts {
        name: number.into(),
        part_number: Some(number.into()),
        price: Some(Money {
            minor,
            currency: Currency::new("EUR").unwrap(),
        }),
        stock: Some(stock),
        ..rdimm(gib, 2)
    }
}

fn must<T>(value: T) -> Option<Wish<T>> {
    Some(Wish { value, must: true })
}

fn plain(channels: u8, positions: u8) -> BoardFacts {
    board(Generation::Ddr3, 1, channels, positions)
}

/// A case with these modules for sale and at least so much memory wished.
fn case(facts: BoardFacts, parts: &[ModuleFacts], gib: u64) -> Case {
    let mut case = Case::on(facts);
    for part in parts {
        case.part(part.clone());
    }
    case.with(|request| request.wishes.capacity_at_least = must(Mib::gib(gib)))
}

/// What else is asked.
#[derive(Default)]
struct Ask {
    limits: Limits,
    keys: Vec<Key>,
}

/// The answer; a plan is one that a check allows where it sits.
fn ask(case: Case, ask: Ask) -> Answer {
    let Case { board, request } = case;
    let board = Board::checked(board).unwrap();
    let for_sale = (0..request.parts.len() as u16).map(PartIx);
    let task = Task {
        board: &board,
        for_sale: for_sale.collect(),
        request,
        handling: 0,
        limits: ask.limits,
        preference: Preference::Ordered(if ask.keys.is_empty() {
            vec![Key::Cost]
        } else {
            ask.keys
        }),
        plans: 1,
        ignored: RuleSet::none(),
        steps: 1_000_000,
        stop: &|| false,
    };
    let answer = solve(&task);
    if let Some(plan) = answer.plans.first() {
        let seated = validate(&board, &plan.seated(&task)).unwrap();
        assert!(seated.verdict <= Verdict::FitsWithWarnings);
    }
    answer
}

/// What the proven best plan costs.
fn proven_cost(case: Case, limits: Limits, keys: &[Key]) -> Option<i64> {
    let keys = keys.to_vec();
    let answer = ask(case, Ask { limits, keys });
    let cost = answer.plans.first().map(|plan| plan.values.cost);
    cost.filter(|_| answer.status == Status::Proven)
}

fn cheapest(case: Case) -> Option<i64> {
    proven_cost(case, Limits::default(), &[])
}

fn bank(seats: &[(u8, u8)], identical: &[Identity]) -> Limit<Vec<SlotGroup>> {
    Limit::Is(vec![SlotGroup {
        name: "bank 1".into(),
        seats: seats.to_vec(),
        identical: identical.to_vec(),
        shared_reset: false,
    }])
}

#[test]
fn a_bank_of_slots_over_channels_keeps_the_order_that_suits_it() {
    // One of 16 GiB and three of 8: only with the large one in the second bank are the first two alike.
    let large = sold("large", 16, 1500, 1);
    let small = sold("small", 8, 1000, 3);
    for parts in [[large.clone(), small.clone()], [small, large]] {
        let facts = BoardFacts {
            slot_groups: bank(&[(1, 1), (2, 1)], &[Identity::Capacity]),
            ..plain(2, 2)
        };
        assert_eq!(cheapest(case(facts, &parts, 40)), Some(4500));
    }
}

#[test]
fn a_bank_of_some_channels_leaves_the_others_their_own_order() {
    // The modules of the bank must be alike in capacity, those of the other two channels need not.
    let facts = BoardFacts {
        slot_groups: bank(&[(3, 1), (4, 1)], &[Identity::Capacity]),
        ..plain(4, 2)
    };
    let parts = [sold("large", 16, 1500, 3), sold("small", 8, 1000, 5)];
    assert_eq!(cheapest(case(facts, &parts, 88)), Some(9500));
}

#[test]
fn channels_in_lockstep_are_balanced_by_what_each_of_them_holds() {
    // Two x4 and two x8 of one capacity: both channels alike only as x4 + x8 each.
    let wide = ModuleFacts {
        width: Some(Width::X8),
        ..sold("wide", 8, 1000, 2)
    };
    let narrow = sold("narrow", 8, 1000, 2);
    for parts in [[wide.clone(), narrow.clone()], [narrow, wide]] {
        let facts = BoardFacts {
            protections: vec![ProtectionOffer {
                identical: vec![Identity::Capacity, Identity::Ranks],
                ..offer_of(Protection::Lockstep, &[&[1, 2]])
            }],
            ..plain(2, 2)
        };
        let case = case(facts, &parts, 32).with(|request| {
            request.protection = Protection::Lockstep;
            request.wishes.balance = must(Balance::Channels);
        });
        assert_eq!(cheapest(case), Some(4000));
    }
}

#[test]
fn a_limit_of_capacities_does_not_part_widths_that_may_be_mixed() {
    let mut facts = plain(2, 2);
    facts.mixing.capacities_per_board = Limit::Is(1);
    facts.mixing.widths = MixPolicy::everywhere(Mix::Discouraged);
    let wide = ModuleFacts {
        width: Some(Width::X8),
        ..sold("wide", 8, 1000, 2)
    };
    let parts = [sold("large", 16, 1500, 1), sold("narrow", 8, 1000, 2), wide];
    assert_eq!(cheapest(case(facts, &parts, 32)), Some(4000));
}

/// Channels with rates of their own, one slot each; two modules that differ in nothing but rating.
fn apart() -> Case {
    let facts = BoardFacts {
        levelling: Scope::Channel,
        ..plain(2, 1)
    };
    let slow = ModuleFacts {
        rate: Some(Mts(1066)),
        ..sold("slow", 8, 1000, 2)
    };
    case(facts, &[slow, sold("fast", 8, 1700, 1)], 16)
}

#[test]
fn a_faster_module_of_the_same_build_counts_where_channels_run_apart() {
    let peak = ask(
        apart(),
        Ask {
            keys: vec![Key::Peak],
            ..Ask::default()
        },
    );
    // 8 bytes at 1066 and at 1600 MT/s.
    assert_eq!((peak.status, peak.bound), (Status::Proven, Some(-21_328)));
    assert_eq!(peak.plans[0].values.peak, 21_328);
    let limits = Limits {
        peak_at_least: Some(MegabytesPerSecond(20_000)),
        ..Limits::default()
    };
    assert_eq!(proven_cost(apart(), limits, &[]), Some(2700));
    assert_eq!(cheapest(apart()), Some(2000));
}

#[test]
fn part_numbers_of_a_bank_tell_modules_apart() {
    let parts = [sold("one", 8, 1000, 1), sold("two", 8, 1500, 2)];
    let told = bank(&[(1, 1), (2, 1)], &[Identity::PartNumber]);
    for slot_groups in [told, Limit::Unknown] {
        let facts = BoardFacts {
            slot_groups,
            ..plain(2, 1)
        };
        assert_eq!(cheapest(case(facts, &parts, 16)), Some(3000));
    }
}

#[test]
fn a_rule_of_rates_that_blocks_judges_every_module_and_not_one_of_its_build() {
    // The board runs 1333 MT/s: what is rated faster is refused by this record.
    let mut facts = plain(1, 1);
    facts.rates = vec![rate(&[Kind::Rdimm], 1, 1333)];
    facts.severities = vec![("module-faster-than-run".into(), Severity::Blocker)];
    let fitting = ModuleFacts {
        rate: Some(Mts(1333)),
        ..sold("fitting", 8, 1200, 1)
    };
    let parts = [sold("fast", 8, 1000, 1), fitting];
    assert_eq!(cheapest(case(facts, &parts, 8)), Some(1200));
}

#[test]
fn a_module_that_can_do_with_less_voltage_may_bring_the_rate_down() {
    let mut facts = plain(2, 1);
    let at = |mv, mts| crate::domain::board::rates::RateRow {
        supply: Some(vec![Millivolts(mv)]),
        ..rate(&[Kind::Rdimm], 1, mts)
    };
    facts.rates = vec![at(1350, 1066), at(1500, 1600)];
    let high = ModuleFacts {
        supply: Some(vec![Millivolts(1500)]),
        ..sold("high", 8, 1200, 2)
    };
    let case = case(facts, &[sold("low", 8, 1000, 2), high], 16).with(|request| {
        request.voltage_policy = VoltagePolicy::Lowest;
        request.wishes.rate_at_least = must(Mts(1333));
    });
    // One that needs 1.5 V is enough.
    assert_eq!(cheapest(case), Some(2200));
}

#[test]
fn a_module_of_untold_voltage_does_not_stand_for_one_that_tells_it() {
    let untold = ModuleFacts {
        supply: None,
        ..sold("untold", 8, 900, 2)
    };
    for parts in [
        [untold.clone(), sold("told", 8, 1000, 2)],
        [sold("told", 8, 1000, 2), untold],
    ] {
        assert_eq!(cheapest(case(plain(2, 1), &parts, 16)), Some(2000));
    }
}

#[test]
fn preferring_few_parts_changes_no_limit() {
    let parts = [sold("one", 8, 1000, 1), sold("two", 8, 1500, 1)];
    let few = [Key::Cost, Key::Parts];
    let limits = Limits {
        builds_at_most: Some(1),
        ..Limits::default()
    };
    for balance in [None, must(Balance::Channels), must(Balance::Sockets)] {
        for facts in [plain(2, 1), board(Generation::Ddr3, 2, 1, 1)] {
            let case = || {
                let case = case(facts.clone(), &parts, 16);
                case.with(|request| request.wishes.balance = balance)
            };
            assert_eq!(proven_cost(case(), limits, &[Key::Cost]), Some(2500));
            assert_eq!(proven_cost(case(), limits, &few), Some(2500));
        }
    }
}

#[test]
fn less_usable_memory_may_be_read_faster() {
    // Mirrored, and with two modules on each channel only: 16 + 8 on both is more, 16 + 16 beside 8 + 8
    // keeps within the limit of the set and is read from both channels.
    let facts = BoardFacts {
        rates: vec![rate(&[Kind::Rdimm], 2, 1333)],
        interleave: vec![InterleaveSet {
            name: "both".into(),
            channels: vec![1, 2],
            equal: false,
            alone: false,
            channel_at_most: Limit::Is(Mib::gib(16)),
            protections: None,
        }],
        protections: vec![offer_of(Protection::Mirrored, &[&[1, 2]])],
        ..plain(2, 2)
    };
    let parts = [sold("large", 16, 1500, 2), sold("small", 8, 1000, 2)];
    let mirrored = |keys: &[Key]| {
        let case = case(facts.clone(), &parts, 8);
        let case = case.with(|request| request.protection = Protection::Mirrored);
        let keys = keys.to_vec();
        let limits = Limits::default();
        let mut answer = ask(case, Ask { limits, keys });
        assert_eq!(answer.status, Status::Proven);
        answer.plans.remove(0).values
    };
    let (most, best) = (mirrored(&[Key::Usable]), mirrored(&[Key::Uniform]));
    assert_eq!((most.usable, best.usable), (24 << 10, 16 << 10));
    assert!(best.uniform > most.uniform);
    assert_eq!(best.uniform, best.peak);
}

#[test]
fn modules_of_untold_power_are_of_the_build_that_they_are_of() {
    let installed = ModuleFacts {
        peak_power: None,
        typical_power: None,
        price: None,
        ..sold("one", 8, 1, 1)
    };
    let limits = Limits {
        builds_at_most: Some(1),
        ..Limits::default()
    };
    let case = || {
        let case = case(plain(2, 1), &[sold("one", 8, 1500, 2)], 16);
        let case = case.installed(installed.clone(), &["A1"]);
        case.with(|request| request.installed_policy = InstalledPolicy::Keep)
    };
    assert_eq!(proven_cost(case(), limits, &[]), Some(1500));
    let balanced = case().with(|request: &mut Request| {
        request.wishes.balance = must(Balance::Channels);
    });
    assert_eq!(cheapest(balanced), Some(1500));
}

#[test]
fn groups_that_may_differ_are_tried_with_modules_that_do() {
    // This record only warns of a mirrored group whose channels differ.
    let facts = BoardFacts {
        protections: vec![ProtectionOffer {
            identical: vec![Identity::Capacity],
            ..offer_of(Protection::Mirrored, &[&[1, 2]])
        }],
        severities: vec![("protection-groups-differ".into(), Severity::Warning)],
        ..plain(2, 1)
    };
    let parts = [sold("large", 16, 1500, 1), sold("small", 8, 1000, 1)];
    let case = case(facts, &parts, 8);
    let case = case.with(|request| request.protection = Protection::Mirrored);
    assert_eq!(cheapest(case), Some(2500));
}

/// Modules for sale, one of each. Hardly two sets of them are alike in capacity or price.
fn unlike(number: u64) -> Vec<ModuleFacts> {
    let module = |index: u64| {
        let drawn = (number * 100 + index + 2).pow(3);
        let size = 8_192 + drawn % 8_191;
        let price = 1000 + size / 16 + drawn % 31;
        ModuleFacts {
            capacity: Some(Mib(size)),
            width: None,
            die_density: None,
            ..sold(&format!("own {index}"), 8, price as i64, 1)
        }
    };
    (0..18).map(module).collect()
}

#[test]
fn a_pair_that_leaves_a_socket_empty_stands_for_none_that_fills_both() {
    // So many sets come near the capacity that pairs of channels are passed over before one is found. Two
    // modules on one channel are worth as much as one on each of two, and the number of a pair does not know
    // that every socket needs memory: three cases, since the numbers also suit by chance.
    for number in [1, 2, 8] {
        let parts = unlike(number);
        let size = |part: &ModuleFacts| part.capacity.unwrap().0;
        let want: u64 = parts.iter().take(5).map(size).sum();
        let worth = |set: u32| {
            let taken = (0..).zip(&parts).filter(|(bit, _)| set >> bit & 1 == 1);
            taken.fold((0, 0), |(held, cost), (_, part)| {
                (held + size(part), cost + part.price.unwrap().minor)
            })
        };
        // One module for each socket at least, and three of the eight slots stay free.
        let best = (0..1 << parts.len())
            .filter(|set: &u32| matches!(set.count_ones(), 4 | 5))
            .map(worth)
            .filter_map(|(held, cost)| (held == want).then_some(cost))
            .min();
        let facts = BoardFacts {
            rates: [1, 2]
                .map(|modules| rate(&[Kind::Rdimm], modules, 1333))
                .to_vec(),
            ..board(Generation::Ddr3, 4, 1, 2)
        };
        let case = case(facts, &parts, 0).with(|request| {
            request.wishes.capacity_at_least = must(Mib(want));
            request.wishes.capacity_at_most = must(Mib(want));
            request.wishes.free_slots = must(3);
        });
        assert_eq!(cheapest(case), best, "{number}");
    }
}
