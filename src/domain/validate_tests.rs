//! Tests of the whole answer: models that nobody told, and installed modules that may come out.

use super::board::{Board, Limit, Processor};
use super::finding::{Fact, Missing, State, Verdict};
use super::module::{Generation, ModuleFacts};
use super::request::InstalledPolicy;
use super::testing::{Case, board, module, rdimm};
use super::units::Mib;
use super::validate::{Answer, validate};

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
    let wished = Some(super::request::Wish {
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
    let foreign = module(Generation::Ddr4, super::module::Kind::Rdimm, 8, 2);
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
    assert!(
        cut.findings
            .iter()
            .all(|f| f.state != State::Broken || !f.blocks())
    );
}
