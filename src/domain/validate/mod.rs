//! The whole answer: placement, findings, outcome and verdict, over all processor models that the
//! request leaves open.

mod common;
mod models;
mod rearrange;
mod refused;
mod safe;
#[cfg(test)]
mod tests;

use super::board::Board;
use super::channel::Stack;
use super::finding::{self, Fact, Finding, Missing, State, Subject, Verdict};
use super::outcome::{self, Outcome};
use super::placement::{self, Aim, Asked, Budget, Placed, Sought, Task};
use super::population::Population;
use super::request::{PartIx, Request, SocketState};
use super::rules::{self, BoardView, Check, RULES, RuleSet};
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
    /// See [`Placed::steady_above`].
    steady_above: Option<Mts>,
    /// Whether the findings are there, or only the verdict that follows from them.
    told: Tell,
    /// Installed modules that move.
    pub moved: u32,
    /// Installed modules (by index) that come out.
    pub removed: Vec<u32>,
    /// Modules that found no slot.
    pub left_over: Vec<(PartIx, u32)>,
    /// Rules (by index into [`RULES`]) that cannot hold together, when no placement fits: without any
    /// one of them the rest can. Empty where the slots were given.
    pub conflict: Vec<usize>,
    /// What stands in the way of the kit besides: further such sets, none with a rule in common.
    pub further_conflicts: Vec<Vec<usize>>,
    /// Whether these sets are known to be minimal and all there are; false if a search for them was
    /// cut, so that one may name a rule too many, or one may be lacking.
    pub conflict_proven: bool,
    /// Whether the search was cut before it found a placement, so that the verdict is undecided.
    pub cut: bool,
    /// For each kit line of a kit that does not fit, the largest smaller quantity that would: 0 if
    /// none would, `None` if the search was cut before that was known.
    pub largest: Vec<Option<u32>>,
    /// What each processor model gives, when the request does not tell the model.
    pub models: Vec<ModelVerdict>,
    /// The processor model (by index) that the findings and the outcome are for.
    pub model: Option<usize>,
    /// Whether it fits with each model but in no slots that suit all, so that the verdict is undecided.
    pub slots_by_model: bool,
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
    let mut answer = answered(board, request, Offers::All, stop)?;
    safe::confirm(&mut answer, board, request, stop);
    Some(answer)
}

/// Which fixes are offered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Offers {
    /// Those of the rules, and a legal order of all modules, which takes a search.
    All,
    /// Those of the rules.
    Rules,
}

/// How much of what the rules report is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tell {
    /// The findings.
    Findings,
    /// The verdict. Of several processor models the findings of only one are answered.
    Verdict,
}

fn answered(board: &Board, request: &Request, offers: Offers, stop: &Stop) -> Option<Answer> {
    let untold = match &request.sockets {
        None => true,
        Some(sockets) => sockets.contains(&SocketState::Fitted(None)),
    };
    if !untold {
        let answer = judge(board, request, None, Tell::Findings, stop)?;
        return answer.told(board, request, offers, stop);
    }
    let models = distinct_models(board, request.sockets.as_deref());
    let mut unlike: Vec<usize> = Vec::with_capacity(models.len());
    let mut alike: Vec<(usize, usize)> = Vec::with_capacity(models.len());
    for model in models {
        let same = |other: &&usize| models::same_for(board, request, **other, model);
        let stands_for = unlike.iter().find(same).copied();
        alike.push((model, stands_for.unwrap_or(model)));
        if stands_for.is_none() {
            unlike.push(model);
        }
    }
    // A placement that is best with a fast processor is best with a slower one that runs it as fast.
    unlike.sort_by_key(|model| std::cmp::Reverse(models::ceiling(board, *model)));
    let slowest = unlike.last().copied();
    let mut answers: Vec<(usize, Answer)> = Vec::with_capacity(unlike.len());
    for model in unlike {
        // The slowest is mostly the worst, of which the findings are answered.
        let tell = match Some(model) == slowest {
            true => Tell::Findings,
            false => Tell::Verdict,
        };
        let answer = match placed_alike(board, request, &answers, model, tell) {
            Some(answer) => answer,
            None => judge(board, request, Some(model), tell, stop)?,
        };
        answers.push((model, answer));
    }
    answers.sort_by_key(|(model, _)| *model);
    let shared = common::share(board, request, &mut answers);
    let answer = combine(answers, &alike)?;
    let mut answer = answer.told(board, request, offers, stop)?;
    answer.slots_by_model = !shared;
    if !shared || !models_agree(&answer.models) {
        answer.verdict = Verdict::Undecided;
    }
    Some(answer)
}

/// The answer with a model for which the placement of another is known to be the best as well.
fn placed_alike(
    board: &Board,
    request: &Request,
    known: &[(usize, Answer)],
    model: usize,
    tell: Tell,
) -> Option<Answer> {
    let alike = |(other, answer): &&(usize, Answer)| {
        models::places_alike(board, request, *other, answer, model)
    };
    let (_, other) = known.iter().find(alike)?;
    let setup = Setup::new(board, request, Some(model))?;
    let stacks = stacks_of(board, &other.population);
    let outcome = outcome::compute(&setup, &stacks);
    let population = other.population.clone();
    let mut answer = judged(&setup, population, &stacks, outcome, Vec::new(), tell);
    answer.moved = other.moved;
    answer.proven_best = other.proven_best;
    answer.steady_above = other.steady_above;
    let holds = answer.verdict <= Verdict::FitsWithWarnings;
    let rate = other.outcome.rate.min(models::ceiling(board, model));
    (holds && answer.outcome.rate == rate).then_some(answer)
}

/// What sits on each channel.
fn stacks_of(board: &Board, population: &Population) -> Vec<Stack> {
    let on = |channel| Stack::of(population.on_channel(board, channel));
    board.all_channels().map(on).collect()
}

/// Models with the same limits give the same answer: one of each is judged. Beside a model that is
/// told it also matters whether another is the same.
pub fn distinct_models(board: &Board, sockets: Option<&[SocketState]>) -> Vec<usize> {
    let told = |model: usize| {
        let mut sockets = sockets.into_iter().flatten();
        sockets.any(|state| *state == SocketState::Fitted(Some(model)))
    };
    let same = |a: usize, b: usize| match (board.processors.get(a), board.processors.get(b)) {
        (Some(x), Some(y)) => {
            (x.rate, x.capacity, &x.channels, told(a)) == (y.rate, y.capacity, &y.channels, told(b))
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
///
/// `alike` names every model in order, each with the one among the answers that stands for it.
fn combine(mut answers: Vec<(usize, Answer)>, alike: &[(usize, usize)]) -> Option<Answer> {
    let verdict_of = |(model, judged): &(usize, usize)| {
        let (_, answer) = answers.iter().find(|(own, _)| own == judged)?;
        Some(ModelVerdict {
            model: *model,
            verdict: answer.verdict,
            rate: answer.outcome.rate,
        })
    };
    let verdicts: Vec<ModelVerdict> = alike.iter().filter_map(verdict_of).collect();
    let worst = (0..answers.len()).min_by_key(|index| {
        answers
            .get(*index)
            .map(|(_, answer)| (std::cmp::Reverse(answer.verdict), answer.outcome.rate))
    })?;
    let (model, mut answer) = answers.swap_remove(worst);
    if verdicts.len() > 1 {
        answer.models = verdicts;
    }
    answer.model = Some(model);
    Some(answer)
}

impl Answer {
    /// The same with its findings, if only the verdict was told, and with what is offered beside those
    /// of the rules.
    fn told(
        mut self,
        board: &Board,
        request: &Request,
        offers: Offers,
        stop: &Stop,
    ) -> Option<Self> {
        let model = self.model;
        if self.told == Tell::Verdict {
            let setup = Setup::new(board, request, model)?;
            let stacks = stacks_of(board, &self.population);
            let (outcome, left_over) = (&self.outcome, &self.left_over);
            let view = BoardView::new(&setup, &self.population, &stacks, outcome, left_over);
            self.findings = rules::check(&view);
            self.told = Tell::Findings;
            debug_assert_eq!(self.verdict, finding::verdict(&self.findings));
        }
        let asked = Asked {
            board,
            request,
            model,
        };
        Some(match (self.given, offers) {
            (true, Offers::All) => rearrange::offered(self, &asked, stop),
            _ => self,
        })
    }

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
        if self.slots_by_model || !models_agree(&self.models) {
            missing.push(Missing::general(Fact::ProcessorModel));
        }
        if self.cut {
            missing.push(Missing::general(Fact::Placement));
        }
        missing.sort_unstable();
        missing.dedup();
        missing
    }
}

fn judge(
    board: &Board,
    request: &Request,
    model: Option<usize>,
    tell: Tell,
    stop: &Stop,
) -> Option<Answer> {
    let setup = Setup::new(board, request, model)?;
    let task = Task::of(&setup);
    let asked = Asked {
        board,
        request,
        model,
    };
    if task.loads.is_empty() {
        return Some(as_given(&setup, &task, tell));
    }
    let mut budget = Budget::default().until(stop);
    let sought = asked.seek_bound(&setup, &task, &RuleSet::none(), Aim::Best, &mut budget);
    Some(match sought {
        Sought::Placed { removed, placed } if removed.is_empty() => {
            answer(&setup, *placed, Vec::new(), tell)
        }
        Sought::Placed { removed, placed } => found(&asked, &removed, *placed, Vec::new())?,
        Sought::None(blamed) => refused::answer(&asked, &setup, &task, &blamed, &mut budget)?,
        Sought::NoRoom | Sought::Cut => cut(&asked, &setup, &task),
    })
}

/// The answer to a placement for which these installed modules come out.
fn found(
    asked: &Asked<'_>,
    removed: &[u32],
    placed: Placed,
    left_over: Vec<(PartIx, u32)>,
) -> Option<Answer> {
    let request = asked.without(removed);
    let setup = Setup::new(asked.board, &request, asked.model)?;
    Some(answer(&setup, placed, left_over, Tell::Findings))
}

/// Everything has its slot already.
fn as_given(setup: &Setup<'_>, task: &Task, tell: Tell) -> Answer {
    let population = placement::given(setup);
    let outcome = outcome::compute(setup, &task.fixed);
    let mut answer = judged(setup, population, &task.fixed, outcome, Vec::new(), tell);
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
    judged(
        setup,
        population,
        stacks,
        outcome,
        left_over,
        Tell::Findings,
    )
}

/// Runs the rules over a population whose outcome is known.
fn judged(
    setup: &Setup<'_>,
    population: Population,
    stacks: &[Stack],
    outcome: Outcome,
    left_over: Vec<(PartIx, u32)>,
    tell: Tell,
) -> Answer {
    let view = BoardView::new(setup, &population, stacks, &outcome, &left_over);
    let (verdict, findings) = match tell {
        Tell::Findings => {
            let findings = rules::check(&view);
            (finding::verdict(&findings), findings)
        }
        Tell::Verdict => (rules::verdict(&view), Vec::new()),
    };
    let removed = setup.request.installed.len();
    let stays: Vec<u32> = setup.request.staying().map(|(index, _)| index).collect();
    Answer {
        verdict,
        findings,
        outcome,
        population,
        given: false,
        proven_best: None,
        steady_above: None,
        told: tell,
        moved: 0,
        removed: (0..removed as u32)
            .filter(|index| !stays.contains(index))
            .collect(),
        left_over,
        conflict: Vec::new(),
        further_conflicts: Vec::new(),
        conflict_proven: true,
        cut: false,
        largest: Vec::new(),
        models: Vec::new(),
        model: None,
        slots_by_model: false,
    }
}

fn answer(setup: &Setup<'_>, placed: Placed, left_over: Vec<(PartIx, u32)>, tell: Tell) -> Answer {
    let Placed {
        population,
        stacks,
        outcome,
        ..
    } = placed;
    let mut answer = judged(setup, population, &stacks, outcome, left_over, tell);
    answer.moved = placed.moved;
    answer.proven_best = Some(placed.proven_best);
    answer.steady_above = placed.steady_above;
    answer
}

/// The search was cut: nothing is known for certain.
fn cut(asked: &Asked<'_>, setup: &Setup<'_>, task: &Task) -> Answer {
    let population = placement::given(setup);
    let mut answer = examine(setup, population, &task.fixed, task.loads.clone());
    // Nothing is seated: what depends on the slots was not really found. Nor was what hangs on
    // modules that may come out.
    let kept = asked.without(&asked.removable());
    let is_kept = |part: &PartIx| kept.quantity(*part) > 0;
    let whatever_the_slots = |check: &Check| match check {
        Check::Part(_) => true,
        Check::Kit(_) => kept.removed.len() == asked.request.removed.len(),
        _ => false,
    };
    let about_kept = |finding: &Finding| {
        let mut subjects = finding.subjects.iter();
        subjects.all(|subject| !matches!(subject, Subject::Part(part) if !is_kept(part)))
    };
    answer.findings.retain(|finding| {
        finding.rule.checks.iter().all(whatever_the_slots) && about_kept(finding)
    });
    answer.verdict = Verdict::Undecided;
    answer.cut = true;
    answer.proven_best = Some(false);
    answer
}

/// How each rule of [`RULES`] came out in an answer.
pub fn rule_states(board: &Board, request: &Request, answer: &Answer) -> Option<Vec<rules::Came>> {
    let request = Request {
        removed: answer.removed.clone(),
        ..request.clone()
    };
    let setup = Setup::new(board, &request, answer.model)?;
    let stacks = stacks_of(board, &answer.population);
    let outcome = outcome::compute(&setup, &stacks);
    let (population, left_over) = (&answer.population, answer.left_over.as_slice());
    Some(rules::states(&BoardView::new(
        &setup, population, &stacks, &outcome, left_over,
    )))
}

/// Names of the rules in conflict.
pub fn conflict_ids(answer: &Answer) -> Vec<&'static str> {
    ids(&answer.conflict)
}

/// Names of all rules that stand in the way, in the order of the rules.
pub fn all_conflict_ids(answer: &Answer) -> Vec<&'static str> {
    let further = answer.further_conflicts.iter().flatten();
    let all = RuleSet::of(answer.conflict.iter().chain(further).copied());
    ids(&all.iter().collect::<Vec<_>>())
}

/// Names of rules.
pub fn ids(rules: &[usize]) -> Vec<&'static str> {
    let rules = rules.iter().filter_map(|rule| RULES.get(*rule));
    rules.map(|rule| rule.id).collect()
}
