//! Tests of the whole answer: models that nobody told, and installed modules that may come out.

use super::super::board::rates::RateRow;
use super::super::board::{Board, Limit, Processor};
use super::super::finding::{Fact, Missing, State, Verdict};
use super::super::module::{Generation, Kind, ModuleFacts};
use super::super::request::InstalledPolicy;
use super::super::testing::{Case, board, module, rdimm};
use super::super::units::Mib;
use super::{Answer, validate};
use crate::domain::board::policy::{Mix, MixPolicy};
use proptest::prelude::*;

fn answer(case: &Case) -> Answer {
    let board = Board::checked(case.board.clone()).unwrap();
    validate(&board, &case.request).unwrap()
}

#[test]
fn a_model_that_is_refused_beside_one_that_is_open_leaves_it_undecided() {
    let mut facts = board(Generation::Ddr3, 1, 2, 2);
    facts.processors.push(Processor {
        id: "half".into(),
        name: "Half".into(),
        rate: Limit::None,
        capacity: Limit::None,
        channels: Some(vec![1]),
    });
    let case = |module: ModuleFacts| Case::on(facts.clone()).seat(module, &["A1", "B1"]);
    // With all told, one model works and the other does not reach channel B.
    assert_eq!(answer(&case(rdimm(8, 2))).verdict, Verdict::Undecided);
    let untold = ModuleFacts {
        package_ranks: None,
        ..rdimm(8, 2)
    };
    let open = answer(&case(untold));
    assert_eq!(open.verdict, Verdict::Undecided);
    assert!(
        open.missing()
            .contains(&Missing::general(Fact::ProcessorModel))
    );
}

/// Twelve different modules are installed, the first of them smaller than the others; there is room
/// for eleven more modules once eleven have come out.
fn crowded(kit: ModuleFacts) -> Case {
    let mut case = Case::on(board(Generation::Ddr3, 1, 12, 1));
    for (index, letter) in (b'A'..=b'L').enumerate() {
        let own = ModuleFacts {
            part_number: Some(format!("T-{index}")),
            ..rdimm(if index == 0 { 4 } else { 8 }, 2)
        };
        case = case.installed(own, &[&format!("{}1", char::from(letter))]);
    }
    case.kit(kit, 11)
        .with(|request| request.installed_policy = InstalledPolicy::MayRemove)
}

#[test]
fn choices_of_modules_to_take_out_that_were_not_all_tried_leave_it_undecided() {
    // Only the smallest may stay, and choices that leave it in are the last to be tried.
    let wished = Some(crate::domain::request::Wish {
        value: Mib::gib(11 * 8 + 4),
        must: true,
    });
    let case = crowded(rdimm(8, 2)).with(|request| {
        request.wishes.capacity_at_least = wished;
        request.wishes.capacity_at_most = wished;
    });
    assert_ne!(answer(&case).verdict, Verdict::DoesNotFit);
}

#[test]
fn a_module_that_the_board_never_takes_is_refused_whatever_comes_out() {
    let foreign = module(Generation::Ddr4, crate::domain::module::Kind::Rdimm, 8, 2);
    assert_eq!(answer(&crowded(foreign)).verdict, Verdict::DoesNotFit);
}

#[test]
fn a_search_that_was_cut_reports_nothing_of_slots_that_it_did_not_fill() {
    // Twenty-four different modules for twenty-four slots.
    let kit = (0..24).fold(Case::on(board(Generation::Ddr3, 2, 4, 3)), |case, index| {
        let own = ModuleFacts {
            part_number: Some(format!("T-{index}")),
            ..rdimm(8, 2)
        };
        case.kit(own, 1)
    });
    let cut = answer(&kit);
    assert_eq!(
        (cut.verdict, cut.proven_best),
        (Verdict::Undecided, Some(false))
    );
    assert!(cut.missing().contains(&Missing::general(Fact::Placement)));
    assert!(
        cut.findings
            .iter()
            .all(|f| f.state != State::Broken || !f.blocks())
    );
}

fn untold(gib: u64) -> ModuleFacts {
    ModuleFacts {
        package_ranks: None,
        part_number: Some("untold".to_owned()),
        ..rdimm(gib, 2)
    }
}

#[test]
fn a_choice_that_works_wins_over_one_that_is_undecided_with_fewer_modules_out() {
    // Beside modules of unknown ranks, eight seen ranks may or may not be exceeded.
    let case = Case::on(board(Generation::Ddr3, 1, 1, 3))
        .installed(untold(4), &["A1"])
        .installed(rdimm(8, 4), &["A2"])
        .kit(rdimm(16, 4), 1)
        .with(|request| request.installed_policy = InstalledPolicy::MayRemove);
    let found = answer(&case);
    assert!(
        found.verdict <= Verdict::FitsWithWarnings,
        "{:?}",
        found.findings
    );
    assert_eq!(found.removed, [0]);
}

#[test]
fn a_module_that_the_board_never_takes_comes_out() {
    let foreign = module(Generation::Ddr4, crate::domain::module::Kind::Rdimm, 8, 2);
    let case = Case::on(board(Generation::Ddr3, 1, 2, 2))
        .installed(rdimm(4, 1), &["A1"])
        .installed(foreign, &["B1"])
        .kit(rdimm(8, 1), 2)
        .with(|request| request.installed_policy = InstalledPolicy::MayRemove);
    let found = answer(&case);
    assert!(
        found.verdict <= Verdict::FitsWithWarnings,
        "{:?}",
        found.findings
    );
    assert_eq!(found.removed, [1]);
}

#[test]
fn a_refusal_with_modules_that_may_come_out_names_what_refuses_the_kit_without_them() {
    let case = Case::on(board(Generation::Ddr3, 1, 2, 2))
        .installed(rdimm(4, 1), &["A1", "B1"])
        .kit(rdimm(32, 4), 5)
        .with(|request| request.installed_policy = InstalledPolicy::MayRemove);
    let refused = answer(&case);
    assert_eq!(refused.verdict, Verdict::DoesNotFit);
    assert_eq!(super::conflict_ids(&refused), ["more-modules-than-slots"]);
    assert_eq!(refused.largest, [Some(4)]);
}

/// Whatever may come out, by asking about every set of installed modules that stay.
fn by_every_choice(case: &Case) -> (Verdict, Option<usize>) {
    let count = case.request.installed.len() as u32;
    let mut best = (Verdict::DoesNotFit, None);
    for mask in 0..1u32 << count {
        let removed: Vec<u32> = (0..count)
            .filter(|index| mask & (1 << index) != 0)
            .collect();
        let out = removed.len();
        let request = super::super::request::Request {
            removed,
            installed_policy: InstalledPolicy::Keep,
            ..case.request.clone()
        };
        let board = Board::checked(case.board.clone()).unwrap();
        let verdict = validate(&board, &request)
            .unwrap()
            .verdict
            .max(Verdict::FitsWithWarnings);
        if verdict < best.0 || (verdict == best.0 && Some(out) < best.1) {
            best = (verdict, Some(out));
        }
    }
    best
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, max_shrink_iters: 200, ..ProptestConfig::default() })]

    #[test]
    fn what_comes_out_agrees_with_asking_about_every_choice(
        installed in proptest::collection::vec(0usize..6, 1..=4), kit in (0usize..6, 1u32..=4), budget in 2u8..=8, odd in 0u8..=2,
    ) {
        let parts = [rdimm(4, 1), rdimm(8, 2), rdimm(32, 4), untold(8),
            module(Generation::Ddr4, crate::domain::module::Kind::Rdimm, 8, 2), module(Generation::Ddr3, crate::domain::module::Kind::EccUdimm, 4, 2)];
        let mut facts = board(Generation::Ddr3, 1, 2, 2);
        facts.rank_budget = Limit::Is(budget);
        if odd > 0 {
            facts.filling[0].module_counts = Some(vec![odd, odd + 2]);
            facts.mixing.kinds = MixPolicy::everywhere(Mix::Forbidden);
        }
        let labels = ["A1", "B1", "A2", "B2"];
        let seat = |case: Case, (part, label): (&usize, &&str)| case.installed(parts[*part].clone(), &[*label]);
        let case = installed.iter().zip(&labels).fold(Case::on(facts), seat);
        let case = case.kit(parts[kit.0].clone(), kit.1).with(|request| request.installed_policy = InstalledPolicy::MayRemove);
        let found = answer(&case);
        let (verdict, out) = by_every_choice(&case);
        prop_assert_eq!(found.verdict.max(Verdict::FitsWithWarnings), verdict, "{:?} {:?}", found.findings, found.conflict);
        if verdict < Verdict::DoesNotFit {
            prop_assert_eq!(Some(found.removed.len()), out);
        }
    }
}

/// Two models with other ceilings, each out of reach or in the way.
fn two_models(rates: [u32; 2], capacities: [Limit<Mib>; 2]) -> super::super::board::BoardFacts {
    let mut facts = board(Generation::Ddr3, 2, 2, 2);
    let model = |index: usize| Processor {
        id: format!("p{index}"),
        name: format!("P{index}"),
        rate: Limit::Is(super::super::units::Mts(rates[index])),
        capacity: capacities[index],
        channels: None,
    };
    facts.processors = vec![model(0), model(1)];
    facts
}

#[test]
fn a_model_whose_limits_are_out_of_reach_gives_what_it_gives_alone() {
    let limits = [
        Limit::None,
        Limit::Is(Mib::gib(32)),
        Limit::Is(Mib::gib(64)),
    ];
    let mut shared = 0;
    for rates in [[1600, 1866], [1866, 2133], [1333, 1866]] {
        for (one, other) in [(0, 0), (0, 1), (0, 2), (1, 2)] {
            for quantity in [2, 4, 9] {
                let facts = two_models(rates, [limits[one], limits[other]]);
                let case = Case::on(facts).kit(rdimm(8, 2), quantity);
                let board = Board::checked(case.board.clone()).unwrap();
                shared += u32::from(super::models::same_for(&board, &case.request, 0, 1));
                let both = validate(&board, &case.request).unwrap();
                for (index, said) in both.models.iter().enumerate() {
                    let told = super::super::request::SocketState::Fitted(Some(index));
                    let request = super::super::request::Request {
                        sockets: Some(vec![told, told]),
                        ..case.request.clone()
                    };
                    let alone = validate(&board, &request).unwrap();
                    assert_eq!(
                        (said.verdict, said.rate),
                        (alone.verdict, alone.outcome.rate)
                    );
                    if both.model == Some(index) {
                        assert_eq!(both.outcome, alone.outcome);
                    }
                }
            }
        }
    }
    assert!(shared > 5, "{shared}");
}

/// A board whose processors have these ceilings, which levels its rates in a scope.
fn with_ceilings(ceilings: &[u32], scope: crate::domain::board::policy::Scope) -> Case {
    let mut facts = board(Generation::Ddr3, 2, 3, 2);
    // The lower voltage is slower with two modules.
    let low = vec![crate::domain::units::Millivolts(1350)];
    let slow = crate::domain::testing::rate(&[Kind::Rdimm], 2, 1066);
    facts.rates.retain(|row| row.modules != 2);
    facts.rates.push(RateRow {
        supply: Some(low),
        ..slow.clone()
    });
    let high = vec![crate::domain::units::Millivolts(1500)];
    facts.rates.push(RateRow {
        supply: Some(high),
        rate: crate::domain::units::Mts(1333),
        ..slow
    });
    facts.levelling = scope;
    facts.processors = (0..)
        .zip(ceilings)
        .map(|(index, mts)| Processor {
            id: format!("p{index}"),
            name: format!("P{index}"),
            rate: Limit::Is(crate::domain::units::Mts(*mts)),
            capacity: Limit::None,
            channels: None,
        })
        .collect();
    Case::on(facts)
}

/// The case that the next test is about comes up, and where a slower model's ceiling lets in what was no
/// candidate before the placement is searched for anew.
#[test]
fn a_placement_serves_a_slower_model_that_runs_it_as_fast() {
    let scope = crate::domain::board::policy::Scope::Board;
    let module = |mts| ModuleFacts {
        rate: Some(crate::domain::units::Mts(mts)),
        ..rdimm(8, 2)
    };
    let serves = |mts, ceilings: [u32; 2]| {
        let case = with_ceilings(&ceilings, scope).kit(module(mts), 4);
        let board = Board::checked(case.board.clone()).unwrap();
        let first = super::judge(
            &board,
            &case.request,
            Some(0),
            super::Tell::Findings,
            &super::Stop::never(),
        )
        .unwrap();
        super::placed_alike(
            &board,
            &case.request,
            &[(0, first)],
            1,
            super::Tell::Verdict,
        )
        .is_some()
    };
    assert!(serves(1333, [1600, 1333]));
    assert!(serves(1066, [1333, 1600]), "below both ceilings");
    // Two modules of a channel run 1333.
    assert!(
        serves(1600, [1600, 1400]),
        "slower, and nothing else is let in"
    );
    assert!(
        !serves(1600, [1600, 1333]),
        "two modules of a channel are let in"
    );
    assert!(
        serves(1333, [1600, 1200]),
        "all run 1333, then all run 1200"
    );
    assert!(
        !serves(1333, [1600, 1066]),
        "so does the lower voltage with two modules"
    );
    assert!(
        !serves(1600, [1333, 1600]),
        "something faster was not looked for"
    );
}

proptest! {
    /// What is said with all models open is what is said of each model alone.
    #[test]
    fn a_placement_that_serves_two_models_is_the_one_that_each_would_find(
        ceilings in prop::collection::vec(prop::sample::select(vec![800u32, 1066, 1200, 1333, 1400, 1600, 1866]), 2..4),
        kit in prop::collection::vec(
            (prop::sample::select(vec![4u64, 8, 16]), 1u8..3, prop::sample::select(vec![1066u32, 1333, 1600]), 1u32..5),
            1..4,
        ),
        levels in prop::sample::select(vec![
            crate::domain::board::policy::Scope::Board,
            crate::domain::board::policy::Scope::Socket,
            crate::domain::board::policy::Scope::Channel,
        ]),
    ) {
        let mut case = with_ceilings(&ceilings, levels);
        for (gib, ranks, rate, quantity) in kit {
            let module = ModuleFacts {
                rate: Some(crate::domain::units::Mts(rate)),
                part_number: Some(format!("{gib}-{ranks}-{rate}")),
                ..rdimm(gib, ranks)
            };
            case = case.kit(module, quantity);
        }
        let checked = Board::checked(case.board.clone()).unwrap();
        let open = validate(&checked, &case.request).unwrap();
        let none = super::Stop::never();
        let judged = |model| super::judge(&checked, &case.request, Some(model), super::Tell::Findings, &none).unwrap();
        let alone: Vec<Answer> = open.models.iter().map(|own| judged(own.model)).collect();
        if alone.windows(2).any(|pair| pair[0].population != pair[1].population) {
            let works = |verdict: Verdict| verdict <= Verdict::FitsWithWarnings;
            if alone.iter().all(|own| works(own.verdict)) {
                // They only differ in their ceilings, so that a placement of one suits all: what is said of
                // each is what it gives in the slots that are answered.
                prop_assert!(works(open.verdict) && !open.slots_by_model);
                prop_assert!(alone.iter().any(|own| own.population == open.population));
                let slots = open.population.occupied();
                let seated = slots.map(|(slot, occupant)| crate::domain::request::Seated {
                    part: occupant.part,
                    slot: Some(slot),
                });
                let given = crate::domain::request::Request {
                    kit: Vec::new(),
                    population: seated.collect(),
                    ..case.request.clone()
                };
                for own in &open.models {
                    let there = super::judge(&checked, &given, Some(own.model), super::Tell::Findings, &none).unwrap();
                    prop_assert_eq!((own.verdict, own.rate), (there.verdict, there.outcome.rate));
                }
            }
            return Ok(());
        }
        for (own, alone) in open.models.iter().zip(&alone) {
            prop_assert_eq!((own.verdict, own.rate), (alone.verdict, alone.outcome.rate));
            if Some(own.model) == open.model {
                prop_assert_eq!(&alone.population, &open.population);
                prop_assert_eq!(&alone.outcome, &open.outcome);
            }
        }
    }
}
