//! Tests of the optimiser.

use super::{Key, Limits, Preference, Status, Task, solve};
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
