//! The whole answer: placement, findings, outcome and verdict, over all processor models that the
//! request leaves open.

use super::board::{Board, SlotIx};
use super::channel::Stack;
use super::finding::{self, Fact, Finding, Fix, Missing, Offer, State, Verdict};
use super::outcome::{self, Outcome};
use super::placement::{self, Budget, Found, Placed, Task};
use super::population::{Origin, Population};
use super::request::{InstalledPolicy, PartIx, Request, Seated, SocketState};
use super::rules::{self, BoardView, Check, Group, RULES, RuleSet};
use super::setup::Setup;
use super::stop::Stop;
use super::units::Mts;

/// The answer to "will this work".
#[derive(Clone, Debug)]
pub struct Answer {
    /// The verdict.
    pub verdict: Verdict,
    /// Findings, worst first, then in the order of the rules.
    pub findings: Vec<Finding>,
    /// What comes out.
    pub outcome: Outcome,
    /// Which module sits in which slot: as given, as placed, or the placement that comes nearest.
    pub population: Population,
    /// Whether the request gave the slots.
    pub given: bool,
    /// Whether the placement is known to be the best one; `None` where the slots were given or no
    /// placement fits.
    pub proven_best: Option<bool>,
    /// Installed modules that move.
    pub moved: u32,
    /// Installed modules (by index) that come out.
    pub removed: Vec<u32>,
    /// Modules that found no slot.
    pub left_over: Vec<(PartIx, u32)>,
    /// Rules (by index into [`RULES`]) that cannot hold together, when no placement fits.
    pub conflict: Vec<usize>,
    /// For each kit line of a kit that does not fit, the largest smaller quantity that would: 0 if
    /// none would, `None` if the search was cut before that was known.
    pub largest: Vec<Option<u32>>,
    /// What each processor model gives, when the request does not tell the model.
    pub models: Vec<ModelVerdict>,
    /// The processor model (by index) that the findings and the outcome are for.
    pub model: Option<usize>,
}

/// What a processor model gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ModelVerdict {
    /// The model, by index among the board's.
    pub model: usize,
    /// The verdict with it.
    pub verdict: Verdict,
    /// The rate with it.
    pub rate: Option<Mts>,
}

/// Checks a request against a board. `None` only for a board without a filling row, which a checked
/// board never is.
pub fn validate(board: &Board, request: &Request) -> Option<Answer> {
    validate_until(board, request, &Stop::never())
}

/// The same, ended early when a stop is asked for. What it gives then is no answer.
pub fn validate_until(board: &Board, request: &Request, stop: &Stop) -> Option<Answer> {
    let untold = match &request.sockets {
        None => true,
        Some(sockets) => sockets.contains(&SocketState::Fitted(None)),
    };
    if !untold {
        return judge(board, request, None, stop);
    }
    let models = distinct_models(board);
    let mut answers: Vec<(usize, Answer)> = Vec::with_capacity(models.len());
    for model in models {
        answers.push((model, judge(board, request, Some(model), stop)?));
    }
    combine(answers)
}

/// Models with the same limits give the same answer: one of each is judged.
fn distinct_models(board: &Board) -> Vec<usize> {
    let same = |a: usize, b: usize| match (board.processors.get(a), board.processors.get(b)) {
        (Some(a), Some(b)) => {
            (a.rate, a.capacity, &a.channels) == (b.rate, b.capacity, &b.channels)
        }
        _ => false,
    };
    (0..board.processors.len())
        .filter(|model| !(0..*model).any(|earlier| same(earlier, *model)))
        .collect()
}

/// Whether the models decide alike: it works with each, with none, or is open with each.
fn models_agree(models: &[ModelVerdict]) -> bool {
    let standing = |verdict: Verdict| verdict.max(Verdict::FitsWithWarnings);
    let mut standings = models.iter().map(|model| standing(model.verdict));
    let first = standings.next();
    standings.all(|standing| Some(standing) == first)
}

/// The answer of the worst model stands for all. Models that disagree on whether it works leave the
/// verdict undecided, as does one that is refused beside one that is open: that one may work.
fn combine(mut answers: Vec<(usize, Answer)>) -> Option<Answer> {
    let verdicts: Vec<ModelVerdict> = answers
        .iter()
        .map(|(model, answer)| ModelVerdict {
            model: *model,
            verdict: answer.verdict,
            rate: answer.outcome.rate,
        })
        .collect();
    let split = !models_agree(&verdicts);
    let worst = (0..answers.len()).min_by_key(|index| {
        answers
            .get(*index)
            .map(|(_, answer)| (std::cmp::Reverse(answer.verdict), answer.outcome.rate))
    })?;
    let (model, mut answer) = answers.swap_remove(worst);
    if verdicts.len() > 1 {
        answer.models = verdicts;
        if split {
            answer.verdict = Verdict::Undecided;
        }
    }
    answer.model = Some(model);
    Some(answer)
}

impl Answer {
    /// Facts of the request that would decide an undecided verdict.
    pub fn missing(&self) -> Vec<Missing> {
        let mut missing: Vec<Missing> = self
            .findings
            .iter()
            .filter(|f| f.blocks())
            .filter_map(|f| match &f.state {
                State::Undecided(missing) => Some(missing),
                State::Broken => None,
            })
            .flatten()
            .copied()
            .collect();
        if !models_agree(&self.models) {
            missing.push(Missing::general(Fact::ProcessorModel));
        }
        missing.sort_unstable();
        missing.dedup();
        missing
    }
}

fn judge(board: &Board, request: &Request, model: Option<usize>, stop: &Stop) -> Option<Answer> {
    let setup = Setup::new(board, request, model)?;
    let task = Task::of(&setup);
    if task.loads.is_empty() {
        return Some(with_rearrangement(
            as_given(&setup, &task),
            board,
            request,
            model,
            stop,
        ));
    }
    let mut budget = Budget::default().until(stop);
    match placement::place(&setup, &task, &RuleSet::none(), &mut budget) {
        Found::Placed(placed) => Some(answer(&setup, *placed, Vec::new())),
        Found::None(blamed) => match without_some(board, request, model, &mut budget) {
            Removal::Some(answer) => Some(*answer),
            Removal::Unknown => Some(cut(&setup, &task)),
            Removal::None => Some(refused(&setup, &task, model, &blamed, &mut budget)),
        },
        Found::Cut => Some(cut(&setup, &task)),
    }
}

/// Everything has its slot already.
fn as_given(setup: &Setup<'_>, task: &Task) -> Answer {
    let population = placement::given(setup);
    let mut answer = examine(setup, population, &task.fixed, Vec::new());
    answer.given = true;
    answer
}

/// Computes what comes out of a population and runs the rules over it.
fn examine(
    setup: &Setup<'_>,
    population: Population,
    stacks: &[Stack],
    left_over: Vec<(PartIx, u32)>,
) -> Answer {
    let outcome = outcome::compute(setup, stacks);
    judged(setup, population, stacks, outcome, left_over)
}

/// Runs the rules over a population whose outcome is known.
fn judged(
    setup: &Setup<'_>,
    population: Population,
    stacks: &[Stack],
    outcome: Outcome,
    left_over: Vec<(PartIx, u32)>,
) -> Answer {
    let view = BoardView {
        setup,
        population: &population,
        stacks,
        outcome: &outcome,
        left_over: &left_over,
    };
    let findings = rules::check(&view);
    let removed = setup.request.installed.len();
    let stays: Vec<u32> = setup.request.staying().map(|(index, _)| index).collect();
    Answer {
        verdict: finding::verdict(&findings),
        findings,
        outcome,
        population,
        given: false,
        proven_best: None,
        moved: 0,
        removed: (0..removed as u32)
            .filter(|index| !stays.contains(index))
            .collect(),
        left_over,
        conflict: Vec::new(),
        largest: Vec::new(),
        models: Vec::new(),
        model: None,
    }
}

fn answer(setup: &Setup<'_>, placed: Placed, left_over: Vec<(PartIx, u32)>) -> Answer {
    let Placed {
        population,
        stacks,
        outcome,
        ..
    } = placed;
    let mut answer = judged(setup, population, &stacks, outcome, left_over);
    answer.moved = placed.moved;
    answer.proven_best = Some(placed.proven_best);
    answer
}

/// The most steps of the search for each set of modules to take out.
const STEPS: u64 = 200_000;

/// What taking installed modules out gives.
enum Removal {
    /// It works, or may work, without some of them.
    Some(Box<Answer>),
    /// None may be taken out, or it works without none of them.
    None,
    /// Not every choice could be tried to its end.
    Unknown,
}

/// Under `may_remove`: the fewest installed modules that have to come out, the smallest first.
fn without_some(
    board: &Board,
    request: &Request,
    model: Option<usize>,
    budget: &mut Budget,
) -> Removal {
    let may = request.installed_policy == InstalledPolicy::MayRemove;
    if !may || is_refused_alone(board, request, model) {
        return Removal::None;
    }
    let mut order: Vec<u32> = (0u32..).take(request.installed.len()).collect();
    order.sort_by_key(|index| {
        let entry = request.installed.get(*index as usize);
        entry
            .and_then(|entry| request.part(entry.part))
            .and_then(|module| module.capacity)
    });
    let mut tried_all = true;
    for count in 1..=order.len() {
        let (subsets, complete) = subsets(request, &order, count);
        tried_all &= complete;
        for removed in subsets {
            match without(board, request, model, removed, budget) {
                Removal::Some(answer) => return Removal::Some(answer),
                Removal::Unknown => tried_all = false,
                Removal::None => {}
            }
        }
    }
    if tried_all {
        Removal::None
    } else {
        Removal::Unknown
    }
}

/// Whether the board refuses a module of the kit as such: then nothing that comes out helps.
fn is_refused_alone(board: &Board, request: &Request, model: Option<usize>) -> bool {
    let request = Request {
        installed_policy: InstalledPolicy::Replace,
        ..request.clone()
    };
    let of_parts = |rule: &rules::Rule| {
        let mut checks = rule.checks.iter();
        checks.all(|check| matches!(check, Check::Part(_)))
    };
    let others =
        (0..RULES.len()).filter(|rule| RULES.get(*rule).is_none_or(|rule| !of_parts(rule)));
    Setup::new(board, &request, model).is_some_and(|setup| {
        let battery = rules::Battery::new(board, &RuleSet::of(others));
        battery.kit(&setup, &mut RuleSet::none()) == rules::Standing::Blocked
    })
}

/// Takes these installed modules (by index) out.
fn without(
    board: &Board,
    request: &Request,
    model: Option<usize>,
    removed: Vec<u32>,
    budget: &mut Budget,
) -> Removal {
    let request = Request {
        removed,
        ..request.clone()
    };
    let Some(setup) = Setup::new(board, &request, model) else {
        return Removal::None;
    };
    let task = Task::of(&setup);
    let search = |budget: &mut Budget| placement::place(&setup, &task, &RuleSet::none(), budget);
    match budget.within(STEPS, search) {
        Found::Placed(placed) => Removal::Some(Box::new(answer(&setup, *placed, Vec::new()))),
        Found::None(_) => Removal::None,
        Found::Cut => Removal::Unknown,
    }
}

/// The most subsets of installed modules that are tried for one size.
const MOST_SUBSETS: usize = 64;

/// Subsets of a size that differ in their modules, not only in which of alike modules they take; and
/// whether these are all.
fn subsets(request: &Request, order: &[u32], count: usize) -> (Vec<Vec<u32>>, bool) {
    let part = |index: u32| {
        request
            .installed
            .get(index as usize)
            .map(|entry| entry.part)
    };
    let mut kinds: Vec<(Option<PartIx>, Vec<u32>)> = Vec::new();
    for index in order {
        match kinds.iter_mut().find(|(known, _)| *known == part(*index)) {
            Some((_, list)) => list.push(*index),
            None => kinds.push((part(*index), vec![*index])),
        }
    }
    let mut subsets: Vec<Vec<u32>> = vec![Vec::new()];
    let mut complete = true;
    for (_, list) in &kinds {
        let grown = subsets.iter().flat_map(|chosen| {
            (0..=list.len().min(count - chosen.len()))
                .rev()
                .map(|take| [chosen.as_slice(), list.get(..take).unwrap_or(&[])].concat())
        });
        subsets = grown.collect();
        complete &= subsets.len() <= MOST_SUBSETS * 8;
        subsets.truncate(MOST_SUBSETS * 8);
    }
    subsets.retain(|chosen| chosen.len() == count);
    complete &= subsets.len() <= MOST_SUBSETS;
    subsets.truncate(MOST_SUBSETS);
    (subsets, complete)
}

/// No placement fits: the nearest one, the rules in conflict, and what quantity would fit.
fn refused(
    setup: &Setup<'_>,
    task: &Task,
    model: Option<usize>,
    blamed: &RuleSet,
    budget: &mut Budget,
) -> Answer {
    let refusal = placement::explain_refusal(setup, task, blamed, budget);
    let mut answer = match refusal.nearest {
        Some((placed, left_over)) => {
            let mut near = answer(setup, placed, left_over);
            near.proven_best = None;
            near
        }
        None => examine(
            setup,
            placement::given(setup),
            &task.fixed,
            task.loads.clone(),
        ),
    };
    // The nearest placement may meet every rule of its own while modules are left over.
    answer.verdict = Verdict::DoesNotFit;
    answer.conflict = refusal.conflict;
    answer.largest = (0..setup.request.kit.len())
        .map(|line| placement::largest_quantity(setup, model, line, budget))
        .collect();
    offer_quantities(&mut answer);
    answer
}

/// Every broken blocker offers first the quantity that would fit, since nothing is broken then. A
/// kit's module is in no slot yet, so there is none to take out.
fn offer_quantities(answer: &mut Answer) {
    let population = &answer.population;
    let is_seated = |offer: &Offer| {
        let Fix::Remove { slot } = offer.fix else {
            return true;
        };
        let occupant = population.at(slot);
        !occupant.is_some_and(|occupant| matches!(occupant.origin, Origin::Kit(_)))
    };
    let offers: Vec<Offer> = (0u32..)
        .zip(&answer.largest)
        .filter_map(|(line, quantity)| {
            // A line of none would be no line: dropping it is the caller's choice.
            let quantity = quantity.filter(|quantity| *quantity > 0)?;
            Some(Offer {
                fix: Fix::SetQuantity { line, quantity },
                machine_safe: false,
            })
        })
        .collect();
    let broken = |f: &&mut Finding| f.blocks() && f.state == State::Broken;
    for finding in answer.findings.iter_mut().filter(broken) {
        let own = std::mem::take(&mut finding.fixes);
        let own = own.into_iter().filter(is_seated);
        finding.fixes = offers.iter().cloned().chain(own).collect();
        let mut known = Vec::new();
        finding.fixes.retain(|offer| {
            let new = !known.contains(&offer.fix);
            known.push(offer.fix.clone());
            new
        });
    }
}

/// The search was cut: nothing is known for certain.
fn cut(setup: &Setup<'_>, task: &Task) -> Answer {
    let mut answer = examine(
        setup,
        placement::given(setup),
        &task.fixed,
        task.loads.clone(),
    );
    // Nothing is seated: what depends on the slots was not really found.
    let whatever_the_slots = |check: &Check| matches!(check, Check::Part(_) | Check::Kit(_));
    answer
        .findings
        .retain(|finding| finding.rule.checks.iter().all(whatever_the_slots));
    answer.verdict = Verdict::Undecided;
    answer.proven_best = Some(false);
    answer
}

/// Where given slots break rules of place or load, the legal re-order of the same modules is
/// offered, if there is one.
fn with_rearrangement(
    mut answer: Answer,
    board: &Board,
    request: &Request,
    model: Option<usize>,
    stop: &Stop,
) -> Answer {
    let mendable = |f: &Finding| {
        f.state == State::Broken
            && matches!(f.rule.group, Group::Place | Group::Load | Group::Balance)
    };
    if request.population.is_empty() || !answer.findings.iter().any(mendable) {
        return answer;
    }
    let loose = request
        .population
        .iter()
        .map(|entry| Seated {
            slot: None,
            ..*entry
        })
        .collect();
    let free = Request {
        population: loose,
        ..request.clone()
    };
    let Some(setup) = Setup::new(board, &free, model) else {
        return answer;
    };
    let task = Task::of(&setup);
    let mut budget = Budget::default().until(stop);
    let Found::Placed(placed) = placement::place(&setup, &task, &RuleSet::none(), &mut budget)
    else {
        return answer;
    };
    let seats: Vec<(SlotIx, PartIx)> = new_seats(&setup, &placed);
    let stacks = placed.stacks.clone();
    let better = examine(&setup, placed.population, &stacks, Vec::new());
    let clean = |id: &str| {
        !better
            .findings
            .iter()
            .any(|f| f.rule.id == id && f.state == State::Broken)
    };
    let fewer = better.verdict <= answer.verdict;
    for finding in answer
        .findings
        .iter_mut()
        .filter(|f| mendable(f) && fewer && clean(f.rule.id))
    {
        finding.fixes.insert(
            0,
            Offer {
                fix: Fix::Rearrange(seats.clone()),
                machine_safe: true,
            },
        );
    }
    answer
}

/// The slots of the modules that are not installed already.
fn new_seats(setup: &Setup<'_>, placed: &Placed) -> Vec<(SlotIx, PartIx)> {
    let fixed = placement::given(setup);
    placed
        .population
        .occupied()
        .filter(|(slot, _)| fixed.at(*slot).is_none())
        .map(|(slot, occupant)| (slot, occupant.part))
        .collect()
}

/// How each rule of [`RULES`] came out in an answer.
pub fn rule_states(board: &Board, request: &Request, answer: &Answer) -> Option<Vec<rules::Came>> {
    let request = Request {
        removed: answer.removed.clone(),
        ..request.clone()
    };
    let setup = Setup::new(board, &request, answer.model)?;
    let stacks: Vec<Stack> = board
        .all_channels()
        .map(|c| Stack::of(answer.population.on_channel(board, c)))
        .collect();
    let outcome = outcome::compute(&setup, &stacks);
    let (population, left_over) = (&answer.population, answer.left_over.as_slice());
    Some(rules::states(&BoardView {
        setup: &setup,
        population,
        stacks: &stacks,
        outcome: &outcome,
        left_over,
    }))
}

/// Names of the rules in conflict.
pub fn conflict_ids(answer: &Answer) -> Vec<&'static str> {
    answer
        .conflict
        .iter()
        .filter_map(|rule| RULES.get(*rule))
        .map(|rule| rule.id)
        .collect()
}
