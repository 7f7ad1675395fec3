//! Worked cases of the trade. Common practice: a third module on a channel lowers the rate, so fewer,
//! larger modules win where the rate comes first, and more, smaller ones where the cost does.

use kitproof::catalogue::embedded::catalogue;
use kitproof::domain::finding::Verdict;
use kitproof::domain::module::{Kind, Module, ModuleFacts};
use kitproof::domain::optimise::{Key, Limits, Plan, Preference, Status, Task, solve};
use kitproof::domain::request::{PartIx, Request, SocketState, Wish};
use kitproof::domain::rules::RuleSet;
use kitproof::domain::units::{Currency, Mib, Money};
use kitproof::domain::validate::validate;
use std::sync::Arc;

/// Modules of the demo catalogue.
fn modules(wanted: impl Fn(&Module) -> bool) -> Vec<Arc<Module>> {
    let all = catalogue().modules().map(|entry| &entry.module);
    all.filter(|module| wanted(module)).cloned().collect()
}

/// The best kit for board `tarn` (2 sockets of 4 channels of 3 slots).
fn best(parts: Vec<Arc<Module>>, gib: u64, keys: &[Key]) -> Plan {
    let found = catalogue();
    let board = &found.board("tarn").expect("a demo board").board;
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
    let parts = || modules(|module| module.kind == Some(Kind::Lrdimm));
    let plan = best(parts(), 768, &[Key::Cost, Key::Rate]);
    // No kit of fewer than 12 modules of 64 GiB or 24 of 32 GiB reaches it.
    assert!(plan.values.usable >= 768 * 1024);
    let cheapest = plan.values.cost;
    let fast = best(parts(), 768, &[Key::Rate, Key::Cost]);
    assert!(fast.values.rate >= plan.values.rate);
    assert!(fast.values.cost >= cheapest);
}

/// A module of the demo catalogue at another price.
fn at_price(id: &str, minor: i64) -> Arc<Module> {
    let found = catalogue();
    let module = &found.module(id).expect("a demo module").module;
    let facts = ModuleFacts {
        price: Some(Money {
            minor,
            currency: Currency::new("EUR").expect("a currency"),
        }),
        stock: None,
        ..(***module).clone()
    };
    Arc::new(Module::checked(facts).expect("a module"))
}

#[test]
fn fewer_larger_modules_win_where_the_rate_comes_first_and_lose_where_the_cost_does() {
    // Small modules are the cheaper ones by the GiB, but 192 GiB of them fill every slot.
    let parts = || vec![at_price("ERW-3R8-2x4", 900), at_price("ERW-3R16-2x4", 2200)];
    let fast = best(parts(), 192, &[Key::Rate, Key::Cost]);
    let cheap = best(parts(), 192, &[Key::Cost, Key::Rate]);
    assert_eq!((cheap.values.modules, cheap.values.cost), (24, 24 * 900));
    let mixed = 8 * 900 + 8 * 2200;
    assert_eq!((fast.values.modules, fast.values.cost), (16, mixed));
    assert_eq!((cheap.values.rate, fast.values.rate), (1066, 1600));
    let deepest = |plan: &Plan| plan.stacks.iter().map(|stack| stack.count()).max();
    assert_eq!((deepest(&cheap), deepest(&fast)), (Some(3), Some(2)));
}
