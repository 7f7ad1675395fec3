//! Named kits: their best place against trying every slot, and what is said of them against the
//! scores.

use super::brute::{Brute, Filling};
use super::draw::{Case, Draw, case};
use kitproof::domain::explain::{Choice, Explanation, Kits, Named, Says, choice};
use kitproof::domain::finding::{Value, Verdict};
use kitproof::domain::optimise::{
    Answer, Key, Placing, Preference, Task, buy_kit, place_best, solve,
};
use kitproof::domain::request::{InstalledPolicy, KitLine, PartIx};
use kitproof::domain::stop::Stop;
use kitproof::domain::validate::validate;
use std::collections::BTreeMap;

/// The kit that a filling buys where everything installed stays, or comes out.
fn kit_of(filling: &Filling, task: &Task<'_>) -> Option<Vec<KitLine>> {
    let request = &task.request;
    let mut kit = Vec::new();
    for part in 0..request.parts.len() as u16 {
        let part = PartIx(part);
        let seated = filling.iter().flatten().filter(|own| **own == part).count();
        let stays = match request.installed_policy {
            InstalledPolicy::Replace => 0,
            _ => request
                .installed
                .iter()
                .filter(|entry| entry.part == part)
                .count(),
        };
        let quantity = seated.checked_sub(stays)? as u32;
        if quantity > 0 {
            kit.push(KitLine { part, quantity });
        }
    }
    Some(kit)
}

/// The best score of each kit, by trying every filling.
fn best_of_each(
    brute: &Brute<'_, '_>,
    task: &Task<'_>,
) -> BTreeMap<Vec<(u16, u32)>, Option<Vec<i128>>> {
    let mut best: BTreeMap<Vec<(u16, u32)>, Option<Vec<i128>>> = BTreeMap::new();
    for filling in brute.fillings() {
        let Some(kit) = kit_of(&filling, task) else {
            continue;
        };
        let key = kit
            .iter()
            .map(|line| (line.part.0, line.quantity))
            .collect();
        let entry = best.entry(key).or_default();
        let Some((score, request)) = brute.score(&filling) else {
            continue;
        };
        if entry.as_ref().is_some_and(|known| *known <= score) {
            continue;
        }
        if validate(task.board, &request).unwrap().verdict <= Verdict::FitsWithWarnings {
            *entry = Some(score);
        }
    }
    best
}

/// What the first sentence is, and the key that it names.
fn conclusion(explanation: &Explanation) -> (&'static str, Option<&'static str>) {
    let root = explanation.node(explanation.roots[0]).unwrap();
    let Says::Message { id, params } = &root.says else {
        panic!("{root:?}");
    };
    let key = params.iter().find_map(|(name, value)| match value {
        Value::Message(id) if *name == "key" => Some(*id),
        _ => None,
    });
    (*id, key)
}

fn explained(task: &Task<'_>, answer: &Answer, named: &Named) -> Explanation {
    let found = Kits {
        status: answer.status,
        plans: &answer.plans,
        gap: answer.gap(task),
        open: answer.open,
        cut: None,
        conflict: None,
    };
    let stop = Stop::never();
    choice(&Choice {
        task,
        found,
        named,
        stop: &stop,
    })
    .unwrap()
}

/// The key of an order in which two scores differ first.
fn first_differing(keys: &[Key], one: &[i128], other: &[i128]) -> Option<&'static str> {
    let pairs = one.iter().zip(other);
    let differ = pairs.zip(keys).find(|((a, b), _)| a != b);
    differ.map(|(_, key)| key.message())
}

/// What was wrong with a named kit.
fn faults(
    case: &Case,
    task: &Task<'_>,
    answer: &Answer,
    kit: &[KitLine],
    best: Option<&Vec<i128>>,
) -> Vec<String> {
    let mut faults = Vec::new();
    let amounts: Vec<(PartIx, u32)> = kit.iter().map(|line| (line.part, line.quantity)).collect();
    let score = match buy_kit(task, &amounts) {
        Err(_) => None,
        Ok(lines) => match place_best(task, kit, &lines, &[]) {
            Placing::Best(plan) => {
                let verdict = validate(&case.board, &plan.seated(task)).unwrap().verdict;
                if verdict > Verdict::FitsWithWarnings {
                    faults.push(format!("its place is {verdict:?}"));
                }
                Some(task.preference.score(&plan.values))
            }
            Placing::None => None,
            Placing::Found(_) | Placing::Unknown => {
                faults.push("its place is unknown".to_owned());
                None
            }
        },
    };
    if score.as_ref() != best {
        faults.push(format!("{score:?} in place of {best:?}"));
    }
    let (said, key) = conclusion(&explained(task, answer, &Named::Kit(kit.to_vec())));
    let chosen = answer
        .plans
        .first()
        .map(|plan| task.preference.score(&plan.values));
    let refused = [
        "choice-refused",
        "choice-unmet",
        "choice-not-for-sale",
        "choice-open",
    ];
    let agrees = match (&chosen, best) {
        (_, None) => refused.contains(&said),
        (None, Some(_)) => false,
        (Some(chosen), Some(best)) if chosen == best => {
            said == "choice-same" || said.starts_with("choice-tie")
        }
        (Some(chosen), Some(best)) => match &task.preference {
            Preference::Ordered(keys) => {
                said == "choice-preferred" && key == first_differing(keys, chosen, best)
            }
            Preference::Weighted(_) => said == "choice-preferred-sum" && chosen < best,
        },
    };
    if !agrees {
        faults.push(format!("{said} ({key:?}) of {best:?} beside {chosen:?}"));
    }
    faults
}

#[test]
fn named_kits_go_where_trying_everything_puts_them_and_the_key_that_decides_is_named() {
    let never = || false;
    let (mut tried, mut allowed, mut wrong) = (0, 0, Vec::new());
    for number in 0..400 {
        let mut draw = Draw::new(number + 1_000_000);
        let case = case(&mut draw, &[(1, 2, 2), (2, 2, 1), (2, 1, 2), (1, 3, 1)], 2);
        let task = case.task(2_000_000, &never);
        if task.request.installed_policy == InstalledPolicy::MayRemove {
            continue;
        }
        let answer = solve(&task);
        let brute = Brute {
            case: &case,
            task: &task,
        };
        let all: Vec<_> = best_of_each(&brute, &task).into_iter().collect();
        if all.is_empty() {
            continue;
        }
        // One at random, and some that are allowed.
        let any = all.get(draw.below(all.len() as u64) as usize);
        let good = all.iter().filter(|(_, best)| best.is_some()).take(3);
        for (kit, best) in any.into_iter().chain(good) {
            let line = |(part, quantity): &(u16, u32)| KitLine {
                part: PartIx(*part),
                quantity: *quantity,
            };
            let kit: Vec<KitLine> = kit.iter().map(line).collect();
            tried += 1;
            allowed += u32::from(best.is_some());
            for fault in faults(&case, &task, &answer, &kit, best.as_ref()) {
                wrong.push(format!(
                    "case {number}, {kit:?}: {fault}; {:?}",
                    task.preference
                ));
            }
        }
    }
    println!("{tried} named kits, {allowed} of them allowed");
    assert!(
        wrong.is_empty(),
        "{}: {:#?}",
        wrong.len(),
        &wrong[..wrong.len().min(12)]
    );
    assert!(
        allowed * 3 > tried && allowed > 100,
        "only {allowed} of {tried} allowed"
    );
}

/// Where installed modules may come out, no kit that is named may beat a proven one.
#[test]
fn nothing_that_is_named_beats_what_is_proven_and_its_own_kit_is_as_good() {
    let never = || false;
    let (mut tried, mut same, mut wrong) = (0, 0, Vec::new());
    for number in 0..600 {
        let mut draw = Draw::new(number + 2_000_000);
        let case = case(&mut draw, &[(1, 2, 2), (2, 2, 1), (2, 1, 2), (1, 3, 1)], 2);
        let task = case.task(2_000_000, &never);
        let answer = solve(&task);
        let Some(best) = answer.plans.first() else {
            continue;
        };
        let parts = task.request.parts.len() as u64;
        let drawn = KitLine {
            part: PartIx(draw.below(parts) as u16),
            quantity: 1 + draw.below(3) as u32,
        };
        for kit in [best.kit(), vec![drawn]] {
            let own = kit == best.kit();
            let (said, _) = conclusion(&explained(&task, &answer, &Named::Kit(kit.clone())));
            tried += 1;
            same += u32::from(said == "choice-same");
            let is_fault = said.starts_with("choice-better")
                || own && said != "choice-same" && !said.starts_with("choice-tie");
            if is_fault {
                wrong.push(format!(
                    "case {number}, {kit:?}: {said}, {:?}",
                    task.preference
                ));
            }
        }
    }
    println!("{tried} named kits, {same} the optimiser's own");
    assert!(
        wrong.is_empty(),
        "{}: {:#?}",
        wrong.len(),
        &wrong[..wrong.len().min(12)]
    );
    assert!(same > 50, "{same}");
}
