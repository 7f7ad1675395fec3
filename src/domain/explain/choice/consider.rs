//! What becomes of a named kit: refused, open, not for sale, or a plan that can be compared.

use super::super::super::finding::{Finding, State, Verdict};
use super::super::super::optimise::{
    Demand, Line, Placing, Plan, Shortage, Task, buy_kit, place_best, seated, unmet, without_wishes,
};
use super::super::super::request::{InstalledPolicy, KitLine, PartIx, Request, Wishes};
use super::super::super::validate::{Answer, validate_until};
use super::{Choice, Named};

/// The most steps of all searches for the best place of a kit: they have one kit to place, and no
/// choice of others.
const STEPS: u64 = 200_000;

/// How a kit came to its slots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Placed {
    /// They were named, or are the optimiser's own.
    Given,
    /// No others are worth more by the preference.
    Best,
    /// The same, with as few installed modules out as it takes, those that the optimiser's kit takes
    /// out, or all of them.
    BestOfSome,
    /// A better place may exist: a search for it was cut.
    Unsure,
    /// As a check places it; a better place may exist.
    AsChecked,
}

/// A named kit on the board.
#[derive(Debug)]
pub struct Stands {
    /// What it comes to.
    pub plan: Plan,
    /// How it came to its slots.
    pub placed: Placed,
    /// The request with each module in its slot and every wish as one that must be met.
    pub request: Request,
    /// The answer to that.
    pub answer: Answer,
    /// Demands that it does not meet and no rule speaks of.
    pub unmet: Vec<Demand>,
}

impl Stands {
    /// Wishes that it does not meet, as rules say it.
    pub fn blockers(&self) -> impl Iterator<Item = &Finding> {
        let findings = self.answer.findings.iter();
        findings.filter(|finding| finding.blocks() && finding.state == State::Broken)
    }

    /// Whether it does what was asked.
    pub fn meets_all(&self) -> bool {
        self.unmet.is_empty() && self.answer.verdict <= Verdict::FitsWithWarnings
    }
}

/// What becomes of a named kit.
#[derive(Debug)]
pub enum Fate {
    /// Rules refuse it, whatever is wished. With the request, wishes aside.
    Refused(Box<(Request, Answer)>),
    /// It hangs on a fact that is not known, or the search for its slots was cut.
    Open(Box<(Request, Answer)>),
    /// The rules allow it with this verdict, but not all of it is for sale.
    NotForSale(Verdict, Vec<Shortage>),
    /// It can be put on the board.
    Stands(Box<Stands>),
}

/// Looks at what was named. `None` only where a check gives no answer.
pub fn consider(choice: &Choice<'_>) -> Option<Fate> {
    if let Named::Plan(index) = choice.named {
        let plan = choice.found.plans.get(*index)?.clone();
        return judge(choice, plan, Placed::Given);
    }
    let task = choice.task;
    let request = Request {
        wishes: Wishes::default(),
        ..choice.named_request()
    };
    let answer = validate_until(task.board, &request, choice.stop)?;
    match answer.verdict {
        Verdict::DoesNotFit => return Some(Fate::Refused(Box::new((request, answer)))),
        Verdict::Undecided => return Some(Fate::Open(Box::new((request, answer)))),
        Verdict::Fits | Verdict::FitsWithWarnings => {}
    }
    let lines = match buy_kit(task, &amounts(&request)) {
        Ok(lines) => lines,
        Err(short) => return Some(Fate::NotForSale(answer.verdict, short)),
    };
    let (plan, placed) = place(choice, &answer, &lines);
    judge(choice, plan, placed)
}

/// How many of each module a kit or a population has.
fn amounts(request: &Request) -> Vec<(PartIx, u32)> {
    let lines = request.kit.iter().map(|line| (line.part, line.quantity));
    let seats = request.population.iter().map(|entry| (entry.part, 1));
    let mut amounts: Vec<(PartIx, u32)> = Vec::new();
    for (part, count) in lines.chain(seats) {
        match amounts.iter_mut().find(|(known, _)| *known == part) {
            Some((_, sum)) => *sum += count,
            None => amounts.push((part, count)),
        }
    }
    amounts
}

/// Puts a kit where it is worth most; a population sits where it was said.
fn place(choice: &Choice<'_>, answer: &Answer, lines: &[Line]) -> (Plan, Placed) {
    let as_checked = |placed| {
        let population = answer.population.clone();
        let outcome = answer.outcome.clone();
        (
            seated(choice.task, population, outcome, answer.model, lines),
            placed,
        )
    };
    let Named::Kit(kit) = choice.named else {
        return as_checked(Placed::Given);
    };
    let outs = outs(choice, answer);
    let steps = STEPS / outs.len().max(1) as u64;
    let search = |task: Task<'_>| {
        let steps = task.steps.min(steps);
        best(&Task { steps, ..task }, kit, lines, &outs)
    };
    // Where it meets every wish; else where it would be worth most without them.
    let (mut plan, mut sure) = search(choice.task.copy());
    if plan.is_none() {
        let (relaxed, sure_of_it) = search(without_wishes(choice.task));
        (plan, sure) = (relaxed, sure && sure_of_it);
    }
    let may_remove = choice.task.request.installed_policy == InstalledPolicy::MayRemove;
    match plan {
        None => as_checked(Placed::AsChecked),
        Some(plan) if !sure => (plan, Placed::Unsure),
        Some(plan) if may_remove => (plan, Placed::BestOfSome),
        Some(plan) => (plan, Placed::Best),
    }
}

/// The best place with any of these sets of installed modules out, and whether none was cut.
fn best(
    task: &Task<'_>,
    kit: &[KitLine],
    lines: &[Line],
    outs: &[Vec<u32>],
) -> (Option<Plan>, bool) {
    let mut sure = true;
    let mut plans: Vec<Plan> = Vec::new();
    for out in outs {
        match place_best(task, kit, lines, out) {
            Placing::Best(plan) => plans.push(*plan),
            Placing::Found(plan) => {
                plans.push(*plan);
                sure = false;
            }
            Placing::None => {}
            Placing::Unknown => sure = false,
        }
    }
    let score = |plan: &Plan| task.preference.score(&plan.values);
    (plans.into_iter().min_by_key(score), sure)
}

/// Which installed modules come out, where they may: as few as a check takes out, those that the
/// optimiser's kit takes out, or all.
fn outs(choice: &Choice<'_>, answer: &Answer) -> Vec<Vec<u32>> {
    let request = &choice.task.request;
    let mut outs = vec![answer.removed.clone()];
    if request.installed_policy == InstalledPolicy::MayRemove {
        outs.extend(choice.found.plans.first().map(|plan| plan.removed.clone()));
        outs.push((0..request.installed.len() as u32).collect());
        outs.sort();
        outs.dedup();
    }
    outs
}

/// Holds a plan against every wish.
fn judge(choice: &Choice<'_>, plan: Plan, placed: Placed) -> Option<Fate> {
    let task = choice.task;
    let request = plan.seated(task);
    let answer = validate_until(task.board, &request, choice.stop)?;
    if answer.verdict == Verdict::Undecided {
        return Some(Fate::Open(Box::new((request, answer))));
    }
    Some(Fate::Stands(Box::new(Stands {
        unmet: unmet(task, &plan),
        plan,
        placed,
        request,
        answer,
    })))
}
