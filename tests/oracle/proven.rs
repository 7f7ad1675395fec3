//! Every instance of the set: the status and the value must be the proven ones, and a check must
//! allow the kit in the slots that the plan gives it.

use super::instance::{Instance, lines};
use kitproof::domain::finding::Verdict;
use kitproof::domain::optimise::{Answer, Key, Status, front, solve};
use kitproof::domain::validate::validate;
use std::time::{Duration, Instant};

/// What is wrong with an answer, if anything is. A search that was cut may not know the optimum, but
/// must not contradict it.
fn judge(instance: &Instance, answer: &Answer) -> Option<String> {
    let never = || false;
    let task = instance.task(0, &never);
    let name = format!("{} {}", instance.family, instance.id);
    let found = answer.plans.first();
    let score = found.map(|plan| task.preference.score(&plan.values));
    let expected = &instance.expected;
    let wrong = match answer.status {
        Status::Proven => score != *expected,
        Status::Infeasible => expected.is_some(),
        Status::Undecided => false,
        Status::BestFound => {
            let bound = |best: &Vec<i128>| answer.bound.is_none_or(|bound| bound <= best[0]);
            !expected
                .as_ref()
                .is_some_and(|best| score.as_ref() >= Some(best) && bound(best))
        }
    };
    if wrong {
        return Some(format!(
            "{name}: {:?} {score:?}, proven is {expected:?}",
            answer.status
        ));
    }
    let checked = validate(&instance.board, &found?.seated(&task))?;
    let refused = checked.verdict > Verdict::FitsWithWarnings;
    refused.then(|| format!("{name}: the check says {:?}", checked.verdict))
}

/// Runs one in so many of the instances within so many steps each; the number that were not finished.
fn run(one_in: usize, steps: u64) -> usize {
    let never = || false;
    let (mut wrong, mut cut) = (Vec::new(), Vec::new());
    let lines = lines();
    assert_eq!(lines.len(), 594);
    for line in lines.into_iter().step_by(one_in) {
        let instance = Instance::read(&line).expect("every instance is mapped");
        let answer = solve(&instance.task(steps, &never));
        wrong.extend(judge(&instance, &answer));
        if matches!(answer.status, Status::BestFound | Status::Undecided) {
            cut.push(format!("{} {}", instance.family, instance.id));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    eprintln!("not finished within {steps} steps: {cut:?}");
    cut.len()
}

#[test]
fn no_answer_contradicts_a_proven_optimum() {
    let cut = run(12, 20_000);
    assert!(cut <= 3, "{cut} of 50 were cut");
}

#[test]
#[ignore = "for a release build"]
fn every_instance_gives_the_proven_optimum() {
    // The longest takes 890 thousand.
    let cut = run(1, 1_500_000);
    assert_eq!(cut, 0, "of 594");
}

/// Fronts of at most so many points that a general-purpose solver found as well; how many there were.
fn fronts(most: usize) -> usize {
    let never = || false;
    let mut compared = 0;
    for line in lines() {
        let instance = Instance::read(&line).expect("every instance is mapped");
        let Some(mut known) = instance.front.clone().filter(|known| known.len() <= most) else {
            continue;
        };
        known.sort_unstable();
        let keys = [Key::Cost, Key::Usable, Key::Rate];
        let found = front(&instance.task(u64::MAX, &never), &keys, most + 1);
        let values = found.plans.iter().map(|plan| &plan.values);
        let mut points: Vec<[i64; 3]> = values.map(|v| [v.cost, v.usable, v.rate]).collect();
        points.sort_unstable();
        assert!(found.complete, "{}", instance.id);
        assert_eq!(points, known, "{}", instance.id);
        compared += 1;
    }
    compared
}

#[test]
fn short_fronts_are_those_of_a_general_purpose_solver() {
    assert_eq!(fronts(2), 25);
}

#[test]
#[ignore = "for a release build"]
fn every_front_is_that_of_a_general_purpose_solver() {
    assert_eq!(fronts(200), 80);
}

/// The instance and how long after the deadline the search came back, at the best of some tries.
fn overrun(instance: &Instance, limit: Duration) -> (Duration, Answer) {
    let tries = (0..5).map(|_| {
        let start = Instant::now();
        let stop = || start.elapsed() >= limit;
        let answer = solve(&instance.task(u64::MAX, &stop));
        (start.elapsed().saturating_sub(limit), answer)
    });
    tries.min_by_key(|(over, _)| *over).expect("a try")
}

#[test]
fn a_slow_case_stops_soon_after_its_deadline() {
    let slow = ["hard-huge-016", "hard-large-008", "huge-015"];
    for line in lines()
        .iter()
        .filter(|line| slow.iter().any(|id| line.contains(id)))
    {
        let instance = Instance::read(line).expect("every instance is mapped");
        let (over, answer) = overrun(&instance, Duration::from_millis(100));
        assert!(
            over < Duration::from_millis(20),
            "{}: {over:?}",
            instance.id
        );
        assert_ne!(answer.status, Status::Infeasible);
    }
}
