//! What a blocker rests on can lose no fact: without any one of them the rest no longer implies it.

use crate::draw::{Draw, draws};
use kitproof::api::extract::read_json;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::domain::explain::Judged;
use kitproof::domain::explain::premise::{Member, Premise};
use kitproof::domain::finding::State;
use kitproof::domain::request::Request;
use kitproof::domain::validate::validate;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::collections::BTreeMap;

/// What was tried.
#[derive(Default)]
struct Tally {
    /// Blockers by rule, with the number of facts that they rest on.
    by_rule: BTreeMap<&'static str, (u32, usize)>,
    /// Blockers of which the rule alone could not be asked again.
    without: Vec<String>,
    facts: u32,
    faults: Vec<String>,
}

/// Rows of a record cannot be held back, so nothing can be asked without them.
fn can_be_held_back(premise: &Premise) -> bool {
    match premise {
        Premise::Limit(member) => Member::may_be_unknown(*member),
        _ => true,
    }
}

fn try_all(draw: &Draw, tally: &mut Tally) {
    let body = draw.request();
    let parsed = read_json::<ValidateRequest>(body.to_string().as_bytes());
    let Ok(parsed) = parsed else { return };
    let catalogue = kitproof::catalogue::embedded::catalogue();
    let Ok(resolved) = parsed.resolve(catalogue) else {
        return;
    };
    let board = resolved.board.board();
    let Some(answer) = validate(board, &resolved.request) else {
        return;
    };
    let request = Request {
        removed: answer.removed.clone(),
        ..resolved.request.clone()
    };
    let judged = Judged {
        board,
        request: &request,
        population: &answer.population,
        model: answer.model,
    };
    let broken = |f: &&kitproof::domain::finding::Finding| f.blocks() && f.state == State::Broken;
    for finding in answer.findings.iter().filter(broken) {
        let id = finding.rule.id;
        let Some(cause) = judged.cause(finding) else {
            tally.without.push(id.to_owned());
            continue;
        };
        let entry = tally.by_rule.entry(id).or_default();
        entry.0 += 1;
        entry.1 = entry.1.max(cause.premises.len());
        if judged.implies(&cause.premises, finding) != Some(true) {
            tally.faults.push(format!(
                "{id}: {:?} do not imply it\n{body}",
                cause.premises
            ));
        }
        for (index, premise) in cause.premises.iter().enumerate() {
            if !can_be_held_back(premise) {
                continue;
            }
            let mut rest = cause.premises.clone();
            rest.remove(index);
            tally.facts += 1;
            if judged.implies(&rest, finding) != Some(false) {
                tally
                    .faults
                    .push(format!("{id}: {premise:?} is not needed\n{body}"));
            }
        }
    }
}

#[test]
fn no_fact_of_what_a_blocker_rests_on_can_be_left_out() {
    let config = Config {
        rng_seed: RngSeed::Fixed(23),
        ..Config::default()
    };
    let mut runner = TestRunner::new(config);
    let mut tally = Tally::default();
    let done = |tally: &Tally| tally.by_rule.values().map(|(count, _)| count).sum::<u32>();
    let strategies = [draws(false).boxed(), draws(true).boxed()];
    for round in 0..4_000 {
        if done(&tally) >= 500 && round >= 200 {
            break;
        }
        // Kits are searched for, which takes longer: one in eight.
        let strategy = &strategies[usize::from(round % 8 == 7)];
        try_all(
            &strategy.new_tree(&mut runner).unwrap().current(),
            &mut tally,
        );
    }
    crate::show::show(&format!(
        "{} blockers of {} rules rest on {} facts, none of which can be left out; {} could not be asked again: {:?}\n{:?}",
        done(&tally),
        tally.by_rule.len(),
        tally.facts,
        tally.without.len(),
        tally.without,
        tally.by_rule
    ));
    assert!(
        tally.faults.is_empty(),
        "{}",
        tally.faults[..tally.faults.len().min(5)].join("\n\n")
    );
    assert!(done(&tally) >= 500, "{}", done(&tally));
}
