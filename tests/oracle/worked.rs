//! Worked cases of the trade. Common practice: a third module on a channel lowers the rate, so fewer,
//! larger modules win where the rate comes first, and more, smaller ones where the cost does.

use kitproof::catalogue::embedded::catalogue;
use kitproof::domain::finding::Verdict;
use kitproof::domain::module::Kind;
use kitproof::domain::optimise::{Key, Limits, Plan, Preference, Status, Task, solve};
use kitproof::domain::request::{PartIx, Request, SocketState, Wish};
use kitproof::domain::rules::RuleSet;
use kitproof::domain::units::Mib;
use kitproof::domain::validate::validate;

/// The best kit of some kinds for board `tarn` (2 sockets of 4 channels of 3 slots).
fn best(kind: Kind, gib: u64, keys: &[Key]) -> Plan {
    let found = catalogue();
    let board = &found.board("tarn").expect("a demo board").board;
    let modules = found.modules().map(|entry| &entry.module);
    let parts = modules.filter(|module| module.kind == Some(kind)).cloned();
    let parts: Vec<_> = parts.collect();
    let mut request = Request {
        sockets: Some(vec![SocketState::Fitted(Some(0)); 2]),
        parts,
        ..Request::default()
    };
    request.wishes.capacity_at_least = Some(Wish {
        value: Mib::gib(gib),
        must: true,
    });
    let never = || false;
    let task = Task {
        board,
        for_sale: (0..request.parts.len() as u16).map(PartIx).collect(),
        request,
        handling: 0,
        limits: Limits::default(),
        preference: Preference::Ordered(keys.to_vec()),
        plans: 1,
        ignored: RuleSet::none(),
        steps: 10_000_000,
        stop: &never,
    };
    let answer = solve(&task);
    assert_eq!(answer.status, Status::Proven);
    let plan = answer.plans.into_iter().next().expect("a kit");
    let verdict = validate(board, &plan.request(&task))
        .expect("a filling row")
        .verdict;
    assert!(verdict <= Verdict::FitsWithWarnings, "{verdict:?}");
    plan
}

#[test]
fn the_cheapest_768_gib_of_load_reduced_modules() {
    let plan = best(Kind::Lrdimm, 768, &[Key::Cost, Key::Rate]);
    // No kit of fewer than 12 modules of 64 GiB or 24 of 32 GiB reaches it.
    assert!(plan.values.usable >= 768 * 1024);
    let cheapest = plan.values.cost;
    let fast = best(Kind::Lrdimm, 768, &[Key::Rate, Key::Cost]);
    assert!(fast.values.rate >= plan.values.rate);
    assert!(fast.values.cost >= cheapest);
}

#[test]
fn fewer_larger_modules_win_where_the_rate_comes_first_and_lose_where_the_cost_does() {
    let fast = best(Kind::Rdimm, 256, &[Key::Rate, Key::Cost]);
    let cheap = best(Kind::Rdimm, 256, &[Key::Cost, Key::Rate]);
    assert!(fast.values.rate > cheap.values.rate);
    assert!(fast.values.cost > cheap.values.cost);
    let largest = |plan: &Plan| plan.stacks.iter().map(|stack| stack.count()).max();
    assert!(largest(&fast) <= largest(&cheap));
}
