//! Tests of the optimiser.

use super::variant::copy;
use super::{Key, Limits, Preference, Status, Task, layers, meter, solve};
use crate::domain::board::Board;
use crate::domain::finding::Verdict;
use crate::domain::module::{Generation, ModuleFacts};
use crate::domain::request::{InstalledPolicy, PartIx, Request, Wish};
use crate::domain::rules::RuleSet;
use crate::domain::testing::{Case, board, rdimm};
use crate::domain::units::{Currency, Mib, Money};
use crate::domain::validate::validate;

/// A module for sale.
fn sold(gib: u64, ranks: u8, minor: i64, pack: u32, stock: u32) -> ModuleFacts {
    ModuleFacts {
        price: Some(Money {
            minor,
            currency: Currency::new("EUR").unwrap(),
        }),
        pack: Some(pack),
        stock: Some(stock),
        ..rdimm(gib, ranks)
    }
}

fn must<T>(value: T) -> Option<Wish<T>> {
    Some(Wish { value, must: true })
}

fn task<'a>(board: &'a Board, request: Request, stop: &'a dyn Fn() -> bool) -> Task<'a> {
    Task {
        board,
        for_sale: (0..request.parts.len() as u16).map(PartIx).collect(),
        request,
        handling: 0,
        limits: Limits::default(),
        preference: Preference::Ordered(vec![Key::Cost]),
        plans: 1,
        ignored: RuleSet::none(),
        steps: 1_000_000,
        stop,
    }
}

fn case(parts: &[ModuleFacts]) -> Case {
    let mut case = Case::on(board(Generation::Ddr3, 1, 4, 2));
    for part in parts {
        case.part(part.clone());
    }
    case
}

#[test]
fn the_cheapest_kit_reaches_the_wish_and_a_check_allows_it() {
    let case = case(&[sold(8, 2, 1000, 1, 8), sold(16, 2, 1900, 1, 8)]).with(|request| {
        request.wishes.capacity_at_least = must(Mib::gib(64));
    });
    let board = Board::checked(case.board).unwrap();
    let task = task(&board, case.request, &|| false);
    let answer = solve(&task);
    assert_eq!(answer.status, Status::Proven);
    let plan = &answer.plans[0];
    assert_eq!((plan.values.cost, plan.values.usable), (7600, 65536));
    assert_eq!((answer.bound, answer.gap(&task)), (Some(7600), Some(0)));
    let checked = validate(&board, &plan.request(&task)).unwrap();
    assert!(checked.verdict <= Verdict::FitsWithWarnings);
}

#[test]
fn packs_leave_modules_over_and_stock_runs_out() {
    let case = case(&[sold(16, 2, 1000, 2, 3), sold(16, 2, 1500, 1, 8)]).with(|request| {
        request.wishes.capacity_at_least = must(Mib::gib(48));
    });
    let board = Board::checked(case.board).unwrap();
    let task = task(&board, case.request, &|| false);
    let plan = solve(&task).plans.remove(0);
    // One pack of two is in stock; the third module is bought alone.
    assert_eq!(plan.values.cost, 3500);
    assert!(plan.left_over().is_empty());
}

#[test]
fn installed_modules_are_used_before_any_is_bought() {
    let case = case(&[sold(16, 2, 1000, 1, 8)])
        .installed(sold(16, 2, 1000, 1, 8), &["A1", "B1"])
        .with(|request| {
            request.installed_policy = InstalledPolicy::MayRemove;
            request.wishes.capacity_at_least = must(Mib::gib(64));
        });
    let board = Board::checked(case.board).unwrap();
    let task = Task {
        handling: 10,
        ..task(&board, case.request, &|| false)
    };
    let plan = solve(&task).plans.remove(0);
    assert_eq!(plan.values.cost, 2000);
    assert_eq!(
        (plan.kept, plan.moved.len(), plan.removed.len()),
        (vec![0, 1], 0, 0)
    );
}

#[test]
fn what_no_kit_reaches_is_infeasible() {
    let case = case(&[sold(8, 2, 1000, 1, 3)]).with(|request| {
        request.wishes.capacity_at_least = must(Mib::gib(32));
    });
    let board = Board::checked(case.board).unwrap();
    let answer = solve(&task(&board, case.request, &|| false));
    assert_eq!(answer.status, Status::Infeasible);
    assert!(answer.plans.is_empty());
}

#[test]
fn a_search_that_is_told_to_stop_claims_nothing() {
    let case = case(&[sold(8, 2, 1000, 1, 8)]).with(|request| {
        request.wishes.capacity_at_least = must(Mib::gib(32));
    });
    let board = Board::checked(case.board).unwrap();
    let answer = solve(&task(&board, case.request, &|| true));
    assert_eq!(answer.status, Status::Undecided);
}

#[test]
fn alternatives_differ_in_what_is_on_the_board() {
    let case = case(&[sold(8, 2, 1000, 1, 8), sold(16, 2, 1900, 1, 8)]).with(|request| {
        request.wishes.capacity_at_least = must(Mib::gib(32));
    });
    let board = Board::checked(case.board).unwrap();
    let task = Task {
        plans: 3,
        ..task(&board, case.request, &|| false)
    };
    let answer = solve(&task);
    let costs: Vec<i64> = answer.plans.iter().map(|plan| plan.values.cost).collect();
    assert_eq!(costs, [3800, 3900, 4000]);
}

#[test]
fn of_equal_plans_the_cheapest_then_the_one_that_moves_least_stands_first() {
    // Two modules in any two slots are as few as two others; the cheapest of them need not be moved.
    let part = sold(8, 2, 1000, 1, 8);
    let case = case(&[sold(16, 2, 900, 1, 8)])
        .installed(part, &["A1", "A2"])
        .with(|request| request.installed_policy = InstalledPolicy::Keep);
    let board = Board::checked(case.board).unwrap();
    for preference in [
        Preference::Ordered(vec![Key::Modules]),
        Preference::Weighted(vec![(Key::Modules, 3)]),
    ] {
        let own = Task {
            preference,
            ..task(&board, case.request.clone(), &|| false)
        };
        let found = solve(&own);
        let values = &found.plans[0].values;
        assert_eq!((found.status, found.loose), (Status::Proven, false));
        assert_eq!((values.modules, values.cost, values.moved), (2, 0, 0));
    }
}

#[test]
fn a_plan_that_is_known_hides_no_better_one_where_moves_count() {
    let case = case(&[sold(8, 2, 1000, 1, 8), sold(16, 2, 1900, 1, 8)])
        .installed(sold(8, 2, 1000, 1, 8), &["A1", "B1", "C1"])
        .with(|request| {
            request.installed_policy = InstalledPolicy::MayRemove;
            request.wishes.capacity_at_least = must(Mib::gib(64));
        });
    let board = Board::checked(case.board).unwrap();
    let mut own = task(&board, case.request, &|| false);
    let dearest = Task {
        preference: Preference::Ordered(vec![Key::Usable]),
        ..copy(&own)
    };
    let dearest = solve(&dearest).plans.swap_remove(0);
    let orders: [&[Key]; 2] = [&[Key::Cost, Key::Moved], &[Key::Moved, Key::Cost]];
    for (keys, handling) in orders.into_iter().flat_map(|keys| [(keys, 0), (keys, 300)]) {
        (own.preference, own.handling) = (Preference::Ordered(keys.to_vec()), handling);
        let decided = |known| layers::decide(&own, known, &mut meter(&own));
        let (alone, beside) = (decided(None), decided(Some(&dearest)));
        assert_eq!(alone.status, Status::Proven);
        assert_eq!(beside.status, Status::Proven);
        assert_eq!(
            alone.plans[0].values, beside.plans[0].values,
            "{keys:?} {handling}"
        );
        assert!(dearest.values.cost > alone.plans[0].values.cost);
    }
}

#[test]
fn a_plan_whose_ties_were_not_decided_is_proven_and_says_so() {
    let case = case(&[sold(8, 2, 1000, 1, 8), sold(16, 2, 1900, 1, 8)])
        .with(|request| request.wishes.capacity_at_least = must(Mib::gib(32)));
    let board = Board::checked(case.board).unwrap();
    let within = |steps: u64| Task {
        preference: Preference::Ordered(vec![Key::Rate]),
        steps,
        ..task(&board, case.request.clone(), &|| false)
    };
    let loose = (1..200).map(|steps| solve(&within(steps)));
    let loose: Vec<_> = loose.filter(|found| found.loose).collect();
    assert!(!loose.is_empty());
    for found in loose {
        assert_eq!(found.status, Status::Proven);
        assert_eq!(found.plans[0].values.rate, 1600);
    }
    let whole = solve(&within(1_000_000));
    assert!(!whole.loose);
    assert_eq!(whole.plans[0].values.cost, 3800);
}

/// The alternatives by trying every way to fill three slots: the best first, and none of which a better
/// one of the same builds buys no other part.
fn alternatives_by_force(task: &Task<'_>, wish: u64) -> Vec<i64> {
    let price = |part: u16| task.request.parts[usize::from(part)].price.unwrap().minor;
    let gib = |part: u16| task.request.parts[usize::from(part)].capacity.unwrap().0 / 1024;
    let stock = |part: u16| task.request.parts[usize::from(part)].stock.unwrap();
    let parts = task.for_sale.len() as u16;
    let mut all: Vec<(i64, Vec<u64>, Vec<u16>)> = Vec::new();
    for code in 0..(parts + 1).pow(3) {
        let digits = (0..3).map(|slot| code / (parts + 1).pow(slot) % (parts + 1));
        let mut own: Vec<u16> = digits.filter_map(|digit| digit.checked_sub(1)).collect();
        own.sort_unstable();
        let count = |part: u16| own.iter().filter(|other| **other == part).count() as u32;
        let in_stock = own.iter().all(|part| count(*part) <= stock(*part));
        if own.is_empty() || !in_stock || own.iter().map(|p| gib(*p)).sum::<u64>() < wish {
            continue;
        }
        let mut builds: Vec<u64> = own.iter().map(|part| gib(*part)).collect();
        builds.sort_unstable();
        let cost = own.iter().map(|part| price(*part)).sum();
        own.dedup();
        all.push((cost, builds, own));
    }
    all.sort();
    let mut taken: Vec<(i64, Vec<u64>, Vec<u16>)> = Vec::new();
    for own in all {
        let covers = |better: &(i64, Vec<u64>, Vec<u16>)| {
            better.1 == own.1 && better.2.iter().all(|part| own.2.contains(part))
        };
        if taken.len() < usize::from(task.plans) && !taken.iter().any(covers) {
            taken.push(own);
        }
    }
    taken.into_iter().map(|(cost, ..)| cost).collect()
}

#[test]
fn alternatives_leave_out_a_part_of_every_better_one_of_the_same_builds() {
    let stocks = [[1, 1, 1, 3], [2, 3, 1, 1], [3, 3, 3, 3], [1, 2, 2, 0]];
    let mut several = 0;
    for (stock, wish) in stocks
        .iter()
        .flat_map(|own| [8, 16, 24].map(|wish| (own, wish)))
    {
        // Sums of these prices tell which parts are in them.
        let prices = [1000, 1001, 1010, 2100];
        let mut case = Case::on(board(Generation::Ddr3, 1, 3, 1));
        for (index, (stock, minor)) in stock.iter().zip(prices).enumerate() {
            case.part(ModuleFacts {
                name: format!("m{index}"),
                part_number: Some(format!("p{index}")),
                ..sold(if index < 3 { 8 } else { 16 }, 2, minor, 1, *stock)
            });
        }
        case.request.wishes.capacity_at_least = must(Mib::gib(wish));
        let board = Board::checked(case.board).unwrap();
        for plans in [2, 3, 8, 40] {
            let own = Task {
                plans,
                ..task(&board, case.request.clone(), &|| false)
            };
            let found = solve(&own);
            let costs: Vec<i64> = found.plans.iter().map(|plan| plan.values.cost).collect();
            assert_eq!(costs, alternatives_by_force(&own, wish), "{stock:?} {wish}");
            assert_eq!(found.status, Status::Proven);
            several += usize::from(costs.len() > 3);
        }
    }
    assert!(several > 10, "{several}");
}

#[test]
fn a_plan_holds_no_more_modules_than_a_check_takes() {
    let mut facts = board(Generation::Ddr3, 1, 1, 4);
    let (slot, sockets, channels) = (facts.slots[0].clone(), 9u8, 32u8);
    (facts.sockets, facts.channels) = (sockets, channels);
    facts.slots.clear();
    for socket in 1..=sockets {
        for (channel, position) in (1..=channels).flat_map(|c| (1..=4).map(move |p| (c, p))) {
            let mut own = slot.clone();
            own.label = format!("{socket}.{channel}.{position}");
            (own.place.socket, own.place.channel) = (socket, channel);
            own.place.position = position;
            facts.slots.push(own);
        }
    }
    facts.nodes = vec![1; usize::from(channels)];
    facts.socket_order = (1..=sockets).collect();
    facts.filling[0].sockets_fitted = (1..=sockets).collect();
    facts.rank_budget = crate::domain::board::Limit::None;
    facts.rates.push(crate::domain::testing::rate(
        &[crate::domain::module::Kind::Rdimm],
        4,
        1066,
    ));
    let mut case = Case::on(facts);
    case.part(sold(8, 1, 1000, 1, 5000));
    let board = Board::checked(case.board).unwrap();
    // The slots would hold 1152 of them.
    let found = |modules: u64| {
        let mut request = case.request.clone();
        request.wishes.capacity_at_least = must(Mib::gib(8 * modules));
        solve(&task(&board, request, &|| false))
    };
    assert_eq!(found(1025).status, Status::Infeasible);
    assert_eq!(found(1024).plans[0].values.modules, 1024);
}
