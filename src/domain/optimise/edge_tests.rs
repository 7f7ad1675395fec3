//! Fronts and conflicts on random small boards, against trying everything.

use super::conflict::{Conflict, Feasible, Purse};
use super::relax::board_with;
use super::variant::{copy, on};
use super::{
    Change, Demand, FRONT_KEYS, Key, Limits, Preference, Relaxation, Status, Task, Values,
    diagnose, front, solve,
};
use crate::domain::board::{Board, Limit, SlotIx};
use crate::domain::finding::Verdict;
use crate::domain::module::{Generation, Module, ModuleFacts};
use crate::domain::request::{InstalledPolicy, PartIx, Request, Seated, Wish};
use crate::domain::rules::{RULES, RuleSet};
use crate::domain::testing::{board, rdimm};
use crate::domain::units::{Currency, Mib, Milliwatts, Money, Mts};
use crate::domain::validate::validate;
use std::sync::Arc;

/// Numbers that look random (SplitMix64, from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, most: u64) -> u64 {
        self.next() % most
    }

    fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len() as u64) as usize]
    }

    fn one_in(&mut self, most: u64) -> bool {
        self.below(most) == 0
    }
}

fn small_board(dice: &mut Dice, sockets: u8) -> Board {
    let mut facts = board(Generation::Ddr3, sockets, 2, 2);
    facts.rank_budget = dice.of(&[Limit::None, Limit::Is(4), Limit::Is(6), Limit::Is(8)]);
    facts.mixing.capacities_per_board = dice.of(&[Limit::None, Limit::Is(1), Limit::Is(2)]);
    Board::checked(facts).unwrap()
}

fn part(dice: &mut Dice) -> ModuleFacts {
    let gib = dice.of(&[4, 8, 16]);
    ModuleFacts {
        rate: Some(Mts(dice.of(&[1066, 1333, 1600]))),
        peak_power: Some(Milliwatts(3000 + 500 * dice.below(6))),
        price: Some(Money {
            minor: (gib * 100) as i64 + dice.below(300) as i64,
            currency: Currency::new("EUR").unwrap(),
        }),
        pack: Some(dice.of(&[1, 1, 2])),
        stock: dice.of(&[None, Some(1), Some(3), Some(8)]),
        ..rdimm(
            gib,
            if gib > 4 {
                dice.of(&[1, 2, 4])
            } else {
                dice.of(&[1, 2])
            },
        )
    }
}

fn parts(dice: &mut Dice, most: u64) -> Vec<Arc<Module>> {
    let mut parts: Vec<Arc<Module>> = Vec::new();
    for _ in 0..=dice.below(most) {
        let module = Arc::new(Module::checked(part(dice)).unwrap());
        if !parts.contains(&module) {
            parts.push(module);
        }
    }
    parts
}

const NEVER: &dyn Fn() -> bool = &|| false;

fn task(board: &Board, request: Request) -> Task<'_> {
    Task {
        board,
        for_sale: (0..request.parts.len() as u16).map(PartIx).collect(),
        request,
        handling: 0,
        limits: Limits::default(),
        preference: Preference::Ordered(vec![Key::Cost]),
        plans: 1,
        ignored: RuleSet::none(),
        steps: 20_000_000,
        stop: NEVER,
    }
}

fn must<T>(value: T) -> Option<Wish<T>> {
    Some(Wish { value, must: true })
}

/// Every way to fill the slots that a check allows, with its values. What it costs is worked out
/// anew: packs of each part, within its stock.
fn everything(task: &Task<'_>) -> Vec<Values> {
    let slots = task.board.slots.len() as u32;
    let kinds = task.for_sale.len() as u64 + 1;
    let fill = |code: u64| -> Vec<Seated> {
        let digits = (0..slots).map(|slot| (slot, code / kinds.pow(slot) % kinds));
        let taken = digits.filter(|(_, digit)| *digit > 0);
        let seat = |(slot, digit)| Seated {
            part: PartIx(digit as u16 - 1),
            slot: Some(SlotIx(slot as u16)),
        };
        taken.map(seat).collect()
    };
    (0..kinds.pow(slots))
        .map(fill)
        .filter_map(|population| judged(task, population))
        .collect()
}

fn judged(task: &Task<'_>, population: Vec<Seated>) -> Option<Values> {
    let mut cost = 0;
    for part in &task.for_sale {
        let module = task.request.part(*part)?;
        let need = population.iter().filter(|seat| seat.part == *part).count() as u32;
        let pack = module.pack.unwrap_or(1);
        let bought = need.div_ceil(pack) * pack;
        if module.stock.is_some_and(|stock| bought > stock) {
            return None;
        }
        cost += i64::from(bought) * module.price?.minor;
    }
    let mut request = task.request.clone();
    let budget = request.wishes.budget.take();
    if budget.is_some_and(|budget| cost > budget.value.minor) {
        return None;
    }
    request.population = population;
    let answer = validate(task.board, &request)?;
    if answer.verdict > Verdict::FitsWithWarnings {
        return None;
    }
    let outcome = answer.outcome;
    Some(Values {
        cost,
        usable: outcome.usable?.0 as i64,
        rate: i64::from(outcome.rate?.0),
        peak: outcome.peak?.0 as i64,
        uniform: outcome.uniform?.0 as i64,
        power: outcome.peak_power?.0 as i64,
        ..Values::default()
    })
}

/// The points that no other beats, by comparing each with each.
fn unbeaten(all: &[Values], keys: &[Key]) -> Vec<Vec<i64>> {
    let signed = |values: &Values| -> Vec<i64> {
        keys.iter()
            .map(|key| key.sign() as i64 * values.of(*key))
            .collect()
    };
    let mut points: Vec<Vec<i64>> = all.iter().map(signed).collect();
    points.sort_unstable();
    points.dedup();
    let beaten = |point: &Vec<i64>| {
        points
            .iter()
            .any(|other| other != point && other.iter().zip(point).all(|(a, b)| a <= b))
    };
    points.iter().filter(|p| !beaten(p)).cloned().collect()
}

#[test]
fn fronts_equal_those_of_trying_everything_on_300_random_boards() {
    let mut dice = Dice(5);
    let (mut points, mut empty) = (0, 0);
    for case in 0..300 {
        let board = small_board(&mut dice, 1);
        let mut request = Request {
            parts: parts(&mut dice, 3),
            ..Request::default()
        };
        if dice.one_in(2) {
            request.wishes.capacity_at_least = must(Mib::gib(dice.of(&[8, 16, 24])));
        }
        if dice.one_in(4) {
            request.wishes.rate_at_least = must(Mts(1066));
        }
        let task = task(&board, request);
        let mut keys = FRONT_KEYS.to_vec();
        while keys.len() > if dice.one_in(3) { 2 } else { 3 } {
            keys.remove(dice.below(keys.len() as u64) as usize);
        }
        let found = front(&task, &keys, usize::MAX);
        assert!(found.complete && !found.cut, "case {case}: {found:?}");
        let own: Vec<Values> = found.plans.iter().map(|plan| plan.values).collect();
        let signed = |values: &Values| -> Vec<i64> {
            keys.iter()
                .map(|key| key.sign() as i64 * values.of(*key))
                .collect()
        };
        let own: Vec<Vec<i64>> = own.iter().map(signed).collect();
        let expected = unbeaten(&everything(&task), &keys);
        assert_eq!(own, expected, "case {case}: {keys:?}");
        points += own.len();
        empty += usize::from(own.is_empty());
    }
    assert!(points > 500, "only {points} points");
    assert!(empty < 100, "{empty} fronts are empty");
}

#[test]
fn a_front_that_is_cut_says_so_and_keeps_the_points_that_it_found() {
    let mut dice = Dice(11);
    let board = small_board(&mut dice, 1);
    let request = Request {
        parts: [(4, 400), (8, 900), (16, 2000)]
            .map(|(gib, minor)| {
                let price = Money {
                    minor,
                    currency: Currency::new("EUR").unwrap(),
                };
                let facts = ModuleFacts {
                    price: Some(price),
                    ..rdimm(gib, 1)
                };
                Arc::new(Module::checked(facts).unwrap())
            })
            .to_vec(),
        ..Request::default()
    };
    let task = task(&board, request);
    let keys = [Key::Cost, Key::Usable];
    let whole = front(&task, &keys, usize::MAX);
    assert!(whole.complete && whole.plans.len() > 3);
    let some = front(&task, &keys, 2);
    assert!(!some.complete && !some.cut && some.plans.len() == 2);
    let short = Task {
        steps: 0,
        ..copy(&task)
    };
    let none = front(&short, &keys, usize::MAX);
    assert!(!none.complete && none.cut);
}

/// A task with many demands, so that often no plan meets them all.
fn demanding<'b>(board: &'b Board, dice: &mut Dice) -> Task<'b> {
    let mut request = Request {
        parts: parts(dice, 3),
        ..Request::default()
    };
    let wishes = &mut request.wishes;
    wishes.capacity_at_least = must(Mib::gib(dice.of(&[16, 24, 32, 48, 64])));
    if dice.one_in(2) {
        wishes.budget = must(Money {
            minor: 1000 + dice.below(5000) as i64,
            currency: Currency::new("EUR").unwrap(),
        });
    }
    if dice.one_in(2) {
        wishes.rate_at_least = must(Mts(dice.of(&[1333, 1600])));
    }
    if dice.one_in(4) {
        wishes.capacity_at_most = must(Mib::gib(dice.of(&[20, 32, 40])));
    }
    if dice.one_in(4) {
        wishes.power_at_most = must(Milliwatts(5000 + 1000 * dice.below(10)));
    }
    if dice.one_in(4) {
        wishes.free_slots = must(dice.of(&[1, 2]));
    }
    if dice.one_in(3) {
        let policies = [
            InstalledPolicy::InPlace,
            InstalledPolicy::Keep,
            InstalledPolicy::MayRemove,
        ];
        request.installed_policy = dice.of(&policies);
        let part = PartIx(dice.below(request.parts.len() as u64) as u16);
        let slot = Some(SlotIx(dice.of(&[0, 2])));
        request.installed = vec![Seated { part, slot }];
    }
    let mut task = task(board, request);
    task.limits.one_part = dice.one_in(4);
    task.limits.builds_at_most = dice.one_in(4).then_some(1);
    task.handling = dice.of(&[0, 200]);
    task
}

fn is_feasible(task: &Task<'_>) -> Option<bool> {
    match Purse::of(task).feasible(task) {
        Feasible::Yes(_) => Some(true),
        Feasible::No => Some(false),
        Feasible::Unknown => None,
    }
}

/// The task with these demands only.
fn only<'b>(task: &Task<'b>, demands: &[Demand]) -> Task<'b> {
    let mut own = copy(task);
    let rules = (0..RULES.len()).map(Demand::Rule);
    for demand in Demand::WISHES.into_iter().chain(rules) {
        if demand.is_made(task) && !demands.contains(&demand) {
            demand.drop_from(&mut own);
        }
    }
    own
}

/// One step less of a change; `None` where there is none.
fn one_step_less(task: &Task<'_>, change: Change) -> Option<Change> {
    let fewer = match change {
        Change::Budget(minor) => Change::Budget(minor - 1),
        Change::CapacityAtLeast(mib) => Change::CapacityAtLeast(Mib(mib.0 + 1)),
        Change::CapacityAtMost(mib) => Change::CapacityAtMost(Mib(mib.0 - 1)),
        Change::Licence(mib) => Change::Licence(Mib(mib.0 - 1)),
        Change::RateAtLeast(rate) => Change::RateAtLeast(Mts(rate.0 + 1)),
        Change::Power(power) => Change::Power(Milliwatts(power.0 - 1)),
        Change::FreeSlots(count) => Change::FreeSlots(count + 1),
        Change::Builds(count) => Change::Builds(count - 1),
        Change::Moved(count) => Change::Moved(count.checked_sub(1)?),
        Change::Stock(part, count) => {
            let pack = task.request.part(part)?.pack.unwrap_or(1);
            Change::Stock(part, count.checked_sub(pack)?)
        }
        Change::CapacitiesOfBoard(count) => Change::CapacitiesOfBoard(count - 1),
        Change::Installed(InstalledPolicy::MayRemove)
            if task.request.installed_policy == InstalledPolicy::InPlace =>
        {
            Change::Installed(InstalledPolicy::Keep)
        }
        _ => return None,
    };
    Some(fewer)
}

fn with_change(task: &Task<'_>, change: Change) -> Option<bool> {
    match change {
        Change::CapacitiesOfBoard(count) => {
            let board = board_with(task.board, count).unwrap();
            is_feasible(&on(task, &board))
        }
        other => is_feasible(&other.apply(task)),
    }
}

fn holds_up(task: &Task<'_>, relaxation: &Relaxation) {
    assert!(relaxation.least, "{relaxation:?}");
    assert_eq!(
        with_change(task, relaxation.change),
        Some(true),
        "{relaxation:?}"
    );
    if let Some(less) = one_step_less(task, relaxation.change) {
        assert_eq!(
            with_change(task, less),
            Some(false),
            "{less:?} of {relaxation:?}"
        );
    }
}

#[test]
fn conflicts_are_minimal_and_relaxations_least_on_500_random_cases() {
    let mut dice = Dice(23);
    let (mut cases, mut sizes, mut helped) = (0, [0u32; 8], 0);
    let mut kinds = Vec::new();
    while cases < 500 {
        let board = small_board(&mut dice, 1);
        let task = demanding(&board, &mut dice);
        if solve(&task).status != Status::Infeasible {
            continue;
        }
        cases += 1;
        let diagnosis = diagnose(&task);
        let conflict = &diagnosis.conflict;
        assert!(conflict.undecided.is_empty() && diagnosis.undecided.is_empty());
        let demands = &conflict.demands;
        assert!(!demands.is_empty());
        assert_eq!(
            is_feasible(&only(&task, demands)),
            Some(false),
            "{demands:?}"
        );
        for left_out in demands {
            let rest: Vec<Demand> = demands.iter().filter(|d| *d != left_out).copied().collect();
            assert_eq!(
                is_feasible(&only(&task, &rest)),
                Some(true),
                "{left_out:?} of {demands:?}"
            );
        }
        for relaxation in &diagnosis.relaxations {
            holds_up(&task, relaxation);
            let kind = std::mem::discriminant(&relaxation.change);
            if !kinds.contains(&kind) {
                kinds.push(kind);
            }
            sizes[0] += 1;
        }
        helped += u32::from(!diagnosis.relaxations.is_empty());
        sizes[demands.len().min(7)] += 1;
    }
    assert!(helped > 350, "only {helped} cases have a change that helps");
    assert!(sizes[2] + sizes[3] > 100, "{sizes:?}");
    assert!(kinds.len() > 7, "{} kinds of change", kinds.len());
}

#[test]
fn a_limit_of_builds_does_not_try_every_set_of_many() {
    // 40 builds taken 8 at a time are 77 million sets.
    let modules = (0..40).map(|index| {
        let facts = ModuleFacts {
            peak_power: Some(Milliwatts(3000 + index)),
            price: Some(Money {
                minor: 4000 + 37 * (index as i64 % 11),
                currency: Currency::new("EUR").unwrap(),
            }),
            stock: Some(1),
            ..rdimm(8, 1)
        };
        Arc::new(Module::checked(facts).unwrap())
    });
    let board = Board::checked(board(Generation::Ddr3, 1, 4, 3)).unwrap();
    let mut request = Request {
        parts: modules.collect(),
        ..Request::default()
    };
    request.wishes.capacity_at_least = must(Mib::gib(64));
    let mut own = task(&board, request);
    own.limits.builds_at_most = Some(8);
    own.steps = 300_000;
    let answer = solve(&own);
    let parts = |values: &Values| values.parts;
    assert_eq!(
        answer.plans.first().map(|plan| parts(&plan.values)),
        Some(8)
    );
    own.limits.builds_at_most = Some(7);
    assert!(
        solve(&own).plans.is_empty(),
        "eight modules of eight builds"
    );
}

/// A board of two sockets on which a kit hangs on a limit that nobody told.
fn with_unknown_capacity() -> Board {
    let facts = crate::domain::board::BoardFacts {
        socket_capacity: Limit::Unknown,
        ..board(Generation::Ddr3, 2, 2, 2)
    };
    Board::checked(facts).unwrap()
}

fn for_sale(board: &Board, change: impl FnOnce(&mut Request)) -> Task<'_> {
    let module = ModuleFacts {
        price: Some(Money {
            minor: 1000,
            currency: Currency::new("EUR").unwrap(),
        }),
        ..rdimm(8, 2)
    };
    let mut request = Request {
        parts: vec![Arc::new(Module::checked(module).unwrap())],
        ..Request::default()
    };
    change(&mut request);
    task(board, request)
}

#[test]
fn a_kit_that_only_hangs_on_a_limit_is_not_said_to_be_impossible() {
    let board = with_unknown_capacity();
    let wished = for_sale(&board, |request| {
        request.wishes.capacity_at_least = must(Mib::gib(16));
    });
    let found = solve(&wished);
    assert_eq!((found.status, found.open), (Status::Undecided, true));
}

#[test]
fn what_no_missing_fact_could_make_possible_is_infeasible_and_says_why() {
    let board = with_unknown_capacity();
    let too_much = for_sale(&board, |request| {
        request.wishes.capacity_at_least = must(Mib::gib(1 << 20));
    });
    assert_eq!(solve(&too_much).status, Status::Infeasible);
    let diagnosis = diagnose(&too_much);
    assert!(
        diagnosis
            .conflict
            .demands
            .contains(&Demand::CapacityAtLeast)
    );
}

#[test]
fn a_rate_that_is_not_listed_hides_no_kit_and_makes_none_either() {
    let mut facts = board(Generation::Ddr3, 2, 2, 2);
    facts.unlisted_rate = crate::domain::board::rates::Unlisted::Unknown;
    facts.rates.truncate(1);
    let board = Board::checked(facts).unwrap();
    let status = |gib, mts: Option<u32>| {
        let wished = for_sale(&board, |request| {
            request.wishes.capacity_at_least = must(Mib::gib(gib));
            request.wishes.rate_at_least = mts.and_then(|mts| must(Mts(mts)));
        });
        solve(&wished).status
    };
    assert_eq!(status(32, None), Status::Proven, "one on each channel");
    assert_eq!(status(64, None), Status::Undecided, "two have no row");
    assert_eq!(
        status(65, None),
        Status::Infeasible,
        "more than the slots hold"
    );
    assert_eq!(status(64, Some(1600)), Status::Undecided);
    assert_eq!(
        status(64, Some(1601)),
        Status::Infeasible,
        "no module runs so fast"
    );
}

#[test]
fn a_rate_that_is_wished_for_is_not_met_without_memory() {
    let mut facts = board(Generation::Ddr3, 1, 2, 2);
    let without = crate::domain::rules::index_of("socket-without-memory").unwrap();
    facts.severities = vec![(
        RULES[without].id.to_owned(),
        crate::domain::finding::Severity::Warning,
    )];
    let board = Board::checked(facts).unwrap();
    let fast = for_sale(&board, |request| {
        request.wishes.rate_at_least = must(Mts(1600));
    });
    let found = solve(&fast);
    assert_eq!(found.status, Status::Proven);
    assert_eq!(found.plans[0].values.modules, 1);
}

#[test]
fn a_conflict_only_says_that_each_demand_is_needed_where_that_is_known() {
    let of = |demands: &[Demand], undecided: &[Demand]| Conflict {
        demands: demands.to_vec(),
        undecided: undecided.to_vec(),
    };
    let two = [Demand::CapacityAtLeast, Demand::Budget];
    assert_eq!(of(&two, &[]).message(), "no-kit-together");
    for unsure in [&two[..1], &two] {
        assert_eq!(of(&two, unsure).message(), "no-kit-together-perhaps");
    }
    assert_eq!(of(&two[..1], &[]).message(), "no-kit-alone");
    let rule = |id: &str| Demand::Rule(crate::domain::rules::index_of(id).unwrap());
    let alone = |id: &str| of(&[rule(id)], &[]).message();
    assert_eq!(alone("first-socket-empty"), "no-kit-barred");
    assert_eq!(alone("rank-budget-exceeded"), "no-kit-alone");
    assert_eq!(of(&[], &[]).message(), "no-kit-whatever");
}
