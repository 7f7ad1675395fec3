//! Random cases of middling size: what the optimiser finds is never refused by a check.

use super::draw::{Draw, case};
use kitproof::domain::finding::Verdict;
use kitproof::domain::optimise::solve;
use kitproof::domain::validate::validate;

/// Shapes of boards: sockets, channels, positions.
const SHAPES: [(u8, u8, u8); 5] = [(1, 4, 2), (2, 2, 3), (2, 4, 2), (1, 6, 1), (4, 2, 2)];

fn run(cases: std::ops::Range<u64>) {
    let never = || false;
    let (mut found, mut cut) = (0u64, 0u64);
    for seed in cases.clone() {
        let case = case(&mut Draw::new(seed + (1 << 40)), &SHAPES, 6);
        let task = case.task(20_000, &never);
        let Some(plan) = solve(&task).plans.into_iter().next() else {
            continue;
        };
        found += 1;
        let seated = validate(&case.board, &plan.seated(&task)).expect("a filling row");
        assert!(
            seated.verdict <= Verdict::FitsWithWarnings,
            "seed {seed}: in its slots {:?}: {:?}",
            seated.verdict,
            seated
                .findings
                .iter()
                .map(|f| f.rule.id)
                .collect::<Vec<_>>()
        );
        // The check looks for slots itself; a search that it cut short decides nothing.
        let kit = validate(&case.board, &plan.request(&task)).expect("a filling row");
        let is_cut = kit.verdict == Verdict::Undecided && kit.missing().is_empty();
        cut += u64::from(is_cut);
        assert!(
            kit.verdict <= Verdict::FitsWithWarnings || is_cut,
            "seed {seed}: the kit {:?}",
            kit.verdict
        );
    }
    let count = cases.end - cases.start;
    eprintln!("{count} cases, {found} kits, {cut} checks cut");
    assert!(found * 4 > count, "only {found} of {count} gave a kit");
}

#[test]
fn a_found_kit_is_never_refused() {
    run(0..400);
}

#[test]
#[ignore = "for a release build"]
fn of_100_000_cases_no_found_kit_is_refused() {
    run(0..100_000);
}
