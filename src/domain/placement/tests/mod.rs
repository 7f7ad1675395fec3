//! The search against the slow obvious way: try every module in every slot.

mod conflict;

use super::{Aim, Asked, Budget, Sought};
use crate::domain::board::policy::{Mix, MixPolicy, Protection, Scope};
use crate::domain::board::rates::{RankMatch, RateRow};
use crate::domain::board::{Board, BoardFacts, Limit, SlotIx};
use crate::domain::finding::Verdict;
use crate::domain::module::{Generation, Kind, ModuleFacts};
use crate::domain::request::{InstalledPolicy, PartIx, Request, Seated};
use crate::domain::rules::{RuleSet, Standing};
use crate::domain::testing::{Case, board, offer_of, rate, rdimm};
use crate::domain::units::{Millivolts, Mts};
use crate::domain::validate::validate;
use proptest::prelude::*;

fn answer(case: &Case) -> crate::domain::validate::Answer {
    let board = Board::checked(case.board.clone()).unwrap();
    validate(&board, &case.request).unwrap()
}

#[test]
fn sixteen_quad_rank_modules_fit_a_board_of_three_positions_and_seventeen_do_not() {
    // Common practice: 8 seen ranks a channel, so two quad-rank modules on each of 8 channels.
    let kit = |count| Case::on(board(Generation::Ddr3, 2, 4, 3)).kit(rdimm(32, 4), count);
    let sixteen = answer(&kit(16));
    // Two or three on a channel run slower than one: a warning, whatever the placement.
    let verdict = Verdict::FitsWithWarnings;
    assert_eq!(sixteen.verdict, verdict, "{:?}", sixteen.findings);
    let seventeen = answer(&kit(17));
    assert_eq!(seventeen.verdict, Verdict::DoesNotFit);
    assert_eq!(
        crate::domain::validate::conflict_ids(&seventeen),
        ["rank-budget-exceeded"]
    );
    assert_eq!(seventeen.largest, [Some(16)]);
    assert_eq!(
        answer(&Case::on(board(Generation::Ddr3, 2, 4, 3)).kit(rdimm(16, 2), 24)).verdict,
        verdict
    );
}

#[test]
fn more_modules_than_slots_leave_some_over() {
    let answer = answer(&Case::on(board(Generation::Ddr3, 1, 2, 1)).kit(rdimm(8, 1), 5));
    assert_eq!(
        (answer.verdict, answer.left_over.as_slice()),
        (Verdict::DoesNotFit, &[(PartIx(0), 3)][..])
    );
    assert_eq!(answer.largest, [Some(2)]);
}

#[test]
fn installed_modules_stay_where_the_policy_says() {
    let case = |policy| {
        Case::on(board(Generation::Ddr3, 1, 2, 2))
            .installed(rdimm(8, 1), &["A1", "A2"])
            .kit(rdimm(8, 1), 2)
            .with(|request| request.installed_policy = policy)
    };
    let in_place = answer(&case(InstalledPolicy::InPlace));
    assert_eq!((in_place.moved, in_place.population.count()), (0, 4));
    let replace = answer(&case(InstalledPolicy::Replace));
    assert_eq!((replace.removed.len(), replace.population.count()), (2, 2));
}

#[test]
fn a_module_stays_in_its_slot_where_moving_it_gains_nothing() {
    // The other socket holds 8 GiB on one channel, so one channel of 4 + 4 GiB is no slower.
    let slow = |gib| ModuleFacts {
        rate: Some(Mts(1066)),
        ..rdimm(gib, 1)
    };
    let case = Case::on(board(Generation::Ddr3, 2, 2, 2))
        .installed(slow(4), &["A2"])
        .kit(slow(4), 1)
        .kit(slow(8), 1)
        .with(|request| request.installed_policy = InstalledPolicy::Keep);
    assert_eq!(answer(&case).moved, 0);
}

/// A random small board, modules, and what is installed.
#[derive(Clone, Debug)]
struct Draw {
    board: BoardFacts,
    parts: Vec<ModuleFacts>,
    kit: Vec<u32>,
    installed: Vec<(usize, usize)>,
    policy: InstalledPolicy,
}

fn draw() -> impl Strategy<Value = Draw> {
    let shape = prop_oneof![
        Just((1u8, 2u8, 2u8)),
        Just((2, 2, 1)),
        Just((1, 1, 3)),
        Just((2, 1, 2)),
        Just((1, 3, 1)),
        Just((1, 2, 3)),
        Just((2, 2, 2)),
        Just((3, 1, 1))
    ];
    let parts = proptest::collection::vec((1u8..=4, 2u32..=4, 0usize..3), 1..=3);
    let flags = (0u8..=15, any::<bool>(), 2u8..=9, 0u8..4, 0u8..3);
    (
        shape,
        parts,
        proptest::collection::vec(0u32..=4, 3),
        flags,
        proptest::collection::vec((0usize..8, 0usize..3), 0..=3),
        0u8..3,
    )
        .prop_map(|(shape, parts, kit, flags, installed, policy)| {
            assemble(shape, &parts, &kit, flags, &installed, policy)
        })
}

type Flags = (u8, bool, u8, u8, u8);

fn assemble(
    shape: (u8, u8, u8),
    parts: &[(u8, u32, usize)],
    kit: &[u32],
    flags: Flags,
    installed: &[(usize, usize)],
    policy: u8,
) -> Draw {
    let (sockets, channels, positions) = shape;
    let mut board = board(Generation::Ddr3, sockets, channels, positions);
    let (mixing, rank_order, budget, counts, levelling) = flags;
    board.rank_budget = Limit::Is(budget);
    board.filling[0].rank_order = rank_order;
    if mixing & 1 != 0 {
        board.mixing.ranks = MixPolicy {
            channel: Mix::Forbidden,
            socket: Mix::Allowed,
            board: Mix::Allowed,
        };
    }
    if mixing & 2 != 0 {
        board.mixing.capacities = MixPolicy {
            channel: Mix::Allowed,
            socket: Mix::Forbidden,
            board: Mix::Allowed,
        };
    }
    if mixing & 4 != 0 && positions > 1 {
        board.rates.push(rate(&[Kind::Rdimm], 2, 1600));
        board.rates.last_mut().unwrap().ranks = RankMatch::AtMost(1);
    }
    if mixing & 8 != 0 {
        // One module of a channel is fast at the higher voltage only, more are alike at both.
        board.rates.push(row(1, &[1350], 1066));
        board.rates[0].supply = Some(vec![Millivolts(1500)]);
    }
    if counts > 0 {
        board.filling[0].module_counts = Some(vec![counts, counts * 2]);
    }
    board.levelling = [Scope::Board, Scope::Socket, Scope::Channel][usize::from(levelling)];
    let parts: Vec<ModuleFacts> = parts
        .iter()
        .map(|(ranks, size, speed)| {
            let ranks = if *ranks == 3 { 4 } else { *ranks };
            ModuleFacts {
                rate: Some(Mts([1066, 1333, 1600][*speed])),
                ..rdimm(u64::from(ranks) << size, ranks)
            }
        })
        .collect();
    let policy = [
        InstalledPolicy::InPlace,
        InstalledPolicy::Keep,
        InstalledPolicy::Replace,
    ][usize::from(policy)];
    let mut installed: Vec<(usize, usize)> = installed
        .iter()
        .map(|(slot, part)| (slot % board.slots.len(), part % parts.len()))
        .collect();
    installed.sort_unstable();
    installed.dedup_by_key(|(slot, _)| *slot);
    // At most one module more than there are slots, and at least one.
    let mut room = (board.slots.len() + 1)
        .saturating_sub(installed.len())
        .max(1) as u32;
    let mut kit: Vec<u32> = kit[..parts.len()]
        .iter()
        .map(|wanted| {
            let quantity = (*wanted).min(room);
            room -= quantity;
            quantity
        })
        .collect();
    if kit.iter().all(|quantity| *quantity == 0) {
        kit[0] = 1;
    }
    Draw {
        kit,
        parts,
        board,
        installed,
        policy,
    }
}

impl Draw {
    fn case(&self) -> Case {
        let mut case = Case::on(self.board.clone());
        for (slot, part) in &self.installed {
            let label = self.board.slots[*slot].label.clone();
            case = case.installed(self.parts[*part].clone(), &[&label]);
        }
        for (part, quantity) in self
            .parts
            .iter()
            .zip(&self.kit)
            .filter(|(_, quantity)| **quantity > 0)
        {
            case = case.kit(part.clone(), *quantity);
        }
        let policy = self.policy;
        case.with(|request| request.installed_policy = policy)
    }
}

/// What a placement is compared by: rate, bandwidth, modules left in their slots; more is better.
type Worth = (Option<Mts>, Option<u64>, i64);

/// Every way to seat the modules, judged by all rules as given slots.
fn brute_force(case: &Case) -> Option<Worth> {
    let board = Board::checked(case.board.clone()).unwrap();
    let mut best = None;
    every_seating(&board, &case.request, &mut |seated| {
        best = best.max(judged(&board, &case.request, seated));
    });
    best
}

/// Calls `visit` with every way to seat all modules.
fn every_seating(board: &Board, request: &Request, visit: &mut dyn FnMut(&[Option<PartIx>])) {
    let mut seated: Vec<Option<PartIx>> = vec![None; board.slots.len()];
    let mut loose: Vec<PartIx> = request
        .kit
        .iter()
        .flat_map(|line| (0..line.quantity).map(|_| line.part))
        .collect();
    for (_, entry) in request.staying() {
        match request.installed_policy {
            InstalledPolicy::InPlace => {
                seated[usize::from(entry.slot.unwrap().0)] = Some(entry.part)
            }
            _ => loose.push(entry.part),
        }
    }
    loose.sort_unstable();
    seat_all(&mut seated, &loose, 0, visit);
}

fn seat_all(
    seated: &mut Vec<Option<PartIx>>,
    loose: &[PartIx],
    from: usize,
    visit: &mut dyn FnMut(&[Option<PartIx>]),
) {
    let Some((first, rest)) = loose.split_first() else {
        visit(seated);
        return;
    };
    for slot in from..seated.len() {
        if seated[slot].is_none() {
            seated[slot] = Some(*first);
            let next = if rest.first() == Some(first) {
                slot + 1
            } else {
                0
            };
            seat_all(seated, rest, next, visit);
            seated[slot] = None;
        }
    }
}

fn judged(board: &Board, request: &Request, seated: &[Option<PartIx>]) -> Option<Worth> {
    let population = seated.iter().enumerate().filter_map(|(slot, part)| {
        Some(Seated {
            part: (*part)?,
            slot: Some(SlotIx(slot as u16)),
        })
    });
    let given = Request {
        population: population.collect(),
        installed: Vec::new(),
        kit: Vec::new(),
        ..request.clone()
    };
    let answer = validate(board, &given)?;
    let works = matches!(answer.verdict, Verdict::Fits | Verdict::FitsWithWarnings);
    let home = |entry: &Seated| seated[usize::from(entry.slot.unwrap().0)] == Some(entry.part);
    let kept = request.staying().filter(|(_, entry)| home(entry)).count() as i64;
    works.then_some((
        answer.outcome.rate,
        answer.outcome.uniform.map(|u| u.0),
        kept,
    ))
}

#[test]
fn of_arrangements_that_are_as_fast_the_one_that_moves_least_is_taken() {
    // 16 + 16 beside 4 + 4, and 16 + 4 twice: read evenly, both take as long. Rounded for each region,
    // the second seemed faster.
    let mut record = board(Generation::Ddr3, 2, 2, 1);
    record.levelling = Scope::Channel;
    let slow = |gib| ModuleFacts {
        rate: Some(Mts(1333)),
        ..rdimm(gib, 1)
    };
    let case = Case::on(record)
        .installed(slow(16), &["A1", "B1"])
        .kit(slow(4), 2)
        .with(|request| request.installed_policy = InstalledPolicy::Keep);
    assert_eq!(answer(&case).moved, 0);
}

/// So many modules of a channel run at a rate at these voltages.
fn row(modules: u8, mv: &[u16], mts: u32) -> RateRow {
    RateRow {
        supply: Some(mv.iter().copied().map(Millivolts).collect()),
        ..rate(&[Kind::Rdimm], modules, mts)
    }
}

#[test]
fn where_two_voltages_give_the_rate_the_better_spread_is_taken() {
    // One module of a channel runs 1600 at 1.5 V only, two run it at either.
    let mut record = board(Generation::Ddr3, 1, 2, 2);
    record.rates = vec![
        row(1, &[1350], 1066),
        row(1, &[1500], 1600),
        row(2, &[1350, 1500], 1600),
    ];
    let found = answer(&Case::on(record).kit(rdimm(8, 2), 2));
    assert_eq!(found.outcome.rate, Some(Mts(1600)));
    assert_eq!(found.outcome.uniform.map(|rate| rate.0), Some(25_600));
    assert_eq!(found.verdict, Verdict::Fits);
}

#[test]
fn a_placement_is_compared_by_its_rates_at_the_voltage_that_is_set() {
    // One module of a channel is faster at 1.5 V, two run 1333 at either. A module of 1066 keeps the
    // board at 1.35 V, where a channel of one is slow whatever sits on it.
    let mut record = board(Generation::Ddr3, 2, 2, 2);
    record.rates = vec![
        row(1, &[1350], 1066),
        row(1, &[1500], 1600),
        row(2, &[1350, 1500], 1333),
    ];
    record.levelling = Scope::Socket;
    let of = |mts| ModuleFacts {
        rate: Some(Mts(mts)),
        ..rdimm(32, 2)
    };
    let case = Case::on(record)
        .installed(of(1066), &["A1", "C1"])
        .installed(of(1333), &["A2"])
        .kit(of(1333), 2)
        .with(|request| request.installed_policy = InstalledPolicy::Keep);
    let found = answer(&case);
    assert_eq!(found.outcome.supply, Some(Millivolts(1350)));
    assert_eq!(found.outcome.rate, Some(Mts(1066)));
    // At 1.5 V it would pay to bring the slow ones together.
    assert_eq!(found.moved, 0);
}

#[test]
fn memory_goes_where_a_protection_does_not_lose_it() {
    // Channel 3 has no partner: two on each of the others are read, though one, one and two would spread.
    let mut record = board(Generation::Ddr3, 1, 3, 2);
    record.protections = vec![offer_of(Protection::Lockstep, &[&[1, 2]])];
    let case = Case::on(record.clone())
        .kit(rdimm(8, 2), 4)
        .with(|request| request.protection = Protection::Lockstep);
    let usable = |case: &Case| answer(case).outcome.usable.map(|mib| mib.0 / 1024);
    assert_eq!(usable(&case), Some(32));
    // Of three one is lost whatever is done: the one that sits there stays.
    let case = Case::on(record)
        .installed(rdimm(8, 2), &["C1"])
        .kit(rdimm(8, 2), 2)
        .with(|request| {
            request.protection = Protection::Lockstep;
            request.installed_policy = InstalledPolicy::Keep;
        });
    assert_eq!((usable(&case), answer(&case).moved), (Some(16), 0));
}

#[test]
fn of_alike_modules_the_one_comes_out_that_lets_the_others_stay() {
    // Three of 8 GiB, one of 16 GiB added, 32 GiB at most: one of 8 GiB comes out, and the two that
    // are read evenly with the new one stay where they are.
    let mut record = board(Generation::Ddr3, 1, 2, 2);
    record.filling[0].board_capacity = Limit::Is(crate::domain::units::Mib::gib(32));
    let case = Case::on(record)
        .installed(rdimm(8, 2), &["A1", "A2", "B1"])
        .kit(rdimm(16, 2), 1)
        .with(|request| request.installed_policy = InstalledPolicy::MayRemove);
    let found = answer(&case);
    assert_eq!((found.moved, found.removed), (0, vec![2]));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, max_shrink_iters: 400, ..ProptestConfig::default() })]

    #[test]
    fn the_search_finds_what_trying_every_slot_finds(draw in draw()) {
        let case = draw.case();
        let answer = answer(&case);
        let works = matches!(answer.verdict, Verdict::Fits | Verdict::FitsWithWarnings);
        let kept = case.request.staying().count() as i64 - i64::from(answer.moved);
        let found = works.then_some((answer.outcome.rate, answer.outcome.uniform.map(|u| u.0), kept));
        prop_assert_eq!(is_placeable(&case), found.is_some());
        prop_assert_eq!(found, brute_force(&case));
    }
}

/// Whether the search that stops at the first placement meets one that is clear.
fn is_placeable(case: &Case) -> bool {
    let board = Board::checked(case.board.clone()).unwrap();
    let asked = Asked {
        board: &board,
        request: &case.request,
        model: None,
    };
    let budget = &mut Budget::of(1_000_000);
    match asked.seek(&RuleSet::none(), Aim::Any, budget) {
        Sought::Placed { placed, .. } => {
            assert!(!placed.proven_best, "it stopped at the first");
            placed.standing == Standing::Clear
        }
        Sought::None(_) | Sought::NoRoom => false,
        Sought::Cut => panic!("the search was cut"),
    }
}

#[test]
fn a_full_channel_with_a_module_of_unknown_capacity_is_not_passed_over() {
    use crate::domain::board::filling::{LayoutRow, Seat};
    // Only a full channel is listed, so the known module never sits alone.
    let mut board = board(Generation::Ddr3, 1, 1, 2);
    board.layouts.push(LayoutRow {
        kinds: vec![Kind::Rdimm],
        sockets_fitted: None,
        pattern: vec![Seat::Module, Seat::Module],
        rates: Vec::new(),
    });
    let unknown = ModuleFacts {
        capacity: None,
        ..rdimm(16, 2)
    };
    let answer = answer(&Case::on(board).kit(rdimm(16, 2), 1).kit(unknown, 1));
    assert_ne!(answer.verdict, Verdict::DoesNotFit, "{:?}", answer.findings);
    assert_eq!(answer.population.count(), 2);
}
