//! What is said of a refused kit, against every way to seat it.

use super::*;
use crate::domain::channel::Stack;
use crate::domain::finding::{Severity, State};
use crate::domain::outcome;
use crate::domain::population::{Occupant, Origin, Population};
use crate::domain::rules::{self, BoardView, RuleSet, index_of};
use crate::domain::setup::Setup;
use crate::domain::validate::{Answer, all_conflict_ids, conflict_ids};

/// The blockers that every way to seat the modules breaks, each set once.
fn broken_sets(case: &Case) -> Vec<RuleSet> {
    let board = Board::checked(case.board.clone()).unwrap();
    let setup = Setup::new(&board, &case.request, Some(0)).unwrap();
    let mut sets = Vec::new();
    every_seating(&board, &case.request, &mut |seated| {
        let set = broken(&setup, seated);
        if !sets.contains(&set) {
            sets.push(set);
        }
    });
    sets
}

fn broken(setup: &Setup<'_>, seated: &[Option<PartIx>]) -> RuleSet {
    let mut population = Population::empty(setup.board);
    for (slot, part) in seated.iter().enumerate() {
        if let Some(part) = *part {
            let origin = Origin::Kit(0);
            population.seat(SlotIx(slot as u16), Occupant { part, origin });
        }
    }
    broken_by(setup, &population)
}

fn broken_by(setup: &Setup<'_>, population: &Population) -> RuleSet {
    let channels = setup.board.all_channels();
    let stacks: Vec<Stack> = channels
        .map(|c| Stack::of(population.on_channel(setup.board, c)))
        .collect();
    let outcome = outcome::compute(setup, &stacks);
    let view = BoardView::new(setup, population, &stacks, &outcome, &[]);
    let findings = rules::check(&view);
    let blockers = findings
        .iter()
        .filter(|f| f.severity == Severity::Blocker && f.state == State::Broken);
    RuleSet::of(blockers.filter_map(|f| index_of(f.rule.id)))
}

/// Whether every way to seat the modules breaks one of these rules.
fn cannot_hold(sets: &[RuleSet], rules: &RuleSet) -> bool {
    sets.iter()
        .all(|set| rules.iter().any(|rule| set.has(rule)))
}

fn check_conflicts(answer: &Answer, sets: &[RuleSet]) -> Result<(), TestCaseError> {
    let further = answer.further_conflicts.iter();
    let conflicts: Vec<RuleSet> = std::iter::once(&answer.conflict)
        .chain(further)
        .map(|rules| RuleSet::of(rules.iter().copied()))
        .collect();
    for conflict in &conflicts {
        prop_assert!(
            cannot_hold(sets, conflict),
            "{conflict:?} can hold together"
        );
        for rule in conflict.iter() {
            prop_assert!(
                !cannot_hold(sets, &conflict.without(rule)),
                "{rule} is not needed in {conflict:?}"
            );
        }
    }
    let all = conflicts.into_iter().fold(RuleSet::none(), RuleSet::and);
    prop_assert!(
        !cannot_hold(sets, &all.complement()),
        "more stands in the way than {all:?}"
    );
    Ok(())
}

/// Whether a seating breaks some of these rules, not all, and no other.
fn is_nearer(set: &RuleSet, than: RuleSet) -> bool {
    *set != than && set.and(than) == than
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, max_shrink_iters: 400, ..ProptestConfig::default() })]

    #[test]
    fn a_refused_kit_names_minimal_sets_of_rules_and_the_nearest_placement(draw in draw()) {
        let case = draw.case();
        let answer = answer(&case);
        if answer.verdict != Verdict::DoesNotFit {
            return Ok(());
        }
        prop_assert!(!answer.conflict.is_empty());
        prop_assert!(answer.conflict_proven);
        let sets = broken_sets(&case);
        if sets.is_empty() {
            prop_assert!(all_conflict_ids(&answer).contains(&"more-modules-than-slots"));
            return Ok(());
        }
        check_conflicts(&answer, &sets)?;
        let board = Board::checked(case.board.clone()).unwrap();
        let setup = Setup::new(&board, &case.request, Some(0)).unwrap();
        let nearest = broken_by(&setup, &answer.population);
        prop_assert!(sets.contains(&nearest), "the nearest placement is no seating of all modules");
        prop_assert!(!sets.iter().any(|set| is_nearer(set, nearest)), "{nearest:?} is not nearest in {sets:?}");
    }
}

#[test]
fn more_modules_than_slots_are_a_conflict_of_their_own() {
    let answer = answer(&Case::on(board(Generation::Ddr3, 1, 2, 1)).kit(rdimm(8, 1), 5));
    assert_eq!(conflict_ids(&answer), ["more-modules-than-slots"]);
    assert!(answer.conflict_proven && answer.further_conflicts.is_empty());
}

#[test]
fn several_rules_that_would_each_do_are_all_named() {
    let mut board = board(Generation::Ddr3, 1, 2, 2);
    board.rank_budget = Limit::Is(4);
    board.accepts[0].positions = Some(vec![1]);
    let answer = answer(&Case::on(board).kit(rdimm(32, 4), 3));
    assert_eq!(conflict_ids(&answer), ["rank-budget-exceeded"]);
    assert_eq!(
        all_conflict_ids(&answer),
        ["rank-budget-exceeded", "rank-position-not-allowed"]
    );
}

#[test]
fn a_kit_of_too_many_modules_is_trimmed_whatever_the_order_of_its_lines() {
    let facts = || board(Generation::Ddr3, 1, 2, 1);
    let one = answer(&Case::on(facts()).kit(rdimm(8, 1), 2).kit(rdimm(16, 1), 2));
    let other = answer(&Case::on(facts()).kit(rdimm(16, 1), 2).kit(rdimm(8, 1), 2));
    assert_eq!(
        one.outcome.installed,
        Some(crate::domain::units::Mib::gib(32))
    );
    assert_eq!(one.outcome.installed, other.outcome.installed);
}
