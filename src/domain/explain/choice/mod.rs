//! Why the optimiser preferred its kit to one that somebody names: the rule that refuses that one, the
//! wish that it does not meet, or the first thing that is preferred in which the two differ.

mod consider;
mod worth;

use std::cmp::Ordering;

use super::super::finding::{Value, Verdict};
use super::super::optimise::{
    Conflict, Cut, Demand, Key, Plan, Preference, Status, Task, currency,
};
use super::super::population::Origin;
use super::super::request::{KitLine, Request, Seated};
use super::super::stop::Stop;
use super::Case;
use super::cause::Judged;
use super::ground::add_finding;
use super::reduce::share_causes;
use super::tree::{About, Basis, Explanation, Node, NodeIx, Params, Says, Standing};
use super::verdict::add_verdict;
use consider::{Fate, Placed, Stands, consider};
use worth::{Side, TIES};

/// A kit that somebody names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// One of the optimiser's own, by index.
    Plan(usize),
    /// Modules without slots.
    Kit(Vec<KitLine>),
    /// Modules with slots.
    Population(Vec<Seated>),
}

/// What the optimiser found.
#[derive(Clone, Copy, Debug)]
pub struct Kits<'a> {
    /// How sure it is.
    pub status: Status,
    /// Kits, the best first.
    pub plans: &'a [Plan],
    /// How much lower the first score may still be.
    pub gap: Option<i128>,
    /// Whether kits were passed over because a fact is missing.
    pub open: bool,
    /// What ended the search early.
    pub cut: Option<Cut>,
    /// Demands that cannot hold together, where there is no kit.
    pub conflict: Option<&'a Conflict>,
}

/// A task, what was found for it, and what was named.
pub struct Choice<'a> {
    /// The task.
    pub task: &'a Task<'a>,
    /// What the optimiser found.
    pub found: Kits<'a>,
    /// What somebody names.
    pub named: &'a Named,
    /// Ends searches early. What comes out then is no explanation.
    pub stop: &'a Stop,
}

impl Choice<'_> {
    /// The task's request with the named kit in it. Slots and modules of the explanation are this
    /// one's.
    pub fn named_request(&self) -> Request {
        let mut request = self.task.hard_request();
        match self.named {
            Named::Kit(kit) => request.kit.clone_from(kit),
            Named::Population(seats) => request.population.clone_from(seats),
            Named::Plan(index) => {
                let plan = self.found.plans.get(*index);
                request.kit = plan.map_or_else(Vec::new, Plan::kit);
            }
        }
        request
    }
}

/// Explains why a named kit was not the first choice. `None` only where a check gives no answer.
pub fn choice(choice: &Choice<'_>) -> Option<Explanation> {
    let fate = consider(choice)?;
    let mut explanation = Explanation::new(About::Choice, verdict_of(&fate));
    match &fate {
        Fate::Refused(own) => judged_by_rules(&mut explanation, choice, "choice-refused", own),
        Fate::Open(own) => {
            explanation.standing = Standing::FindOutFirst;
            judged_by_rules(&mut explanation, choice, "choice-open", own);
        }
        Fate::NotForSale(_, short) => {
            let mut root = Node::message("choice-not-for-sale", Params::new(), Basis::Concluded);
            for own in short {
                let params = vec![
                    ("part", Value::Part(own.part)),
                    ("wanted", Value::Count(own.wanted.into())),
                    ("sold", Value::Count(own.sold.into())),
                ];
                let below = Node::message("choice-shortage", params, Basis::Given);
                root.because.extend(explanation.add(below));
            }
            explanation.add_root(root);
        }
        Fate::Stands(stands) => add_stands(&mut explanation, choice, stands),
    }
    add_chosen(&mut explanation, choice);
    share_causes(&mut explanation);
    Some(explanation)
}

const fn verdict_of(fate: &Fate) -> Verdict {
    match fate {
        Fate::Refused(own) | Fate::Open(own) => own.1.verdict,
        Fate::NotForSale(verdict, _) => *verdict,
        Fate::Stands(stands) => stands.answer.verdict,
    }
}

/// What the rules say of the named kit, wishes aside.
fn judged_by_rules(
    explanation: &mut Explanation,
    choice: &Choice<'_>,
    id: &'static str,
    (request, answer): &(Request, super::super::validate::Answer),
) {
    explanation.add_root(Node::message(id, Params::new(), Basis::Concluded));
    let case = Case {
        board: choice.task.board,
        request,
        answer,
        stop: choice.stop,
    };
    add_verdict(explanation, case);
}

/// The named kit can be put on the board: what it does not meet, or how it compares.
fn add_stands(explanation: &mut Explanation, choice: &Choice<'_>, stands: &Stands) {
    explanation.population = Some(stands.plan.population.clone());
    match (choice.found.plans.first(), stands.meets_all()) {
        (_, false) => add_unmet(explanation, choice, stands),
        (None, true) => {
            let root = Node::message("choice-none-found", Params::new(), Basis::Concluded);
            explanation.add_root(root);
        }
        (Some(chosen), true) => add_comparison(explanation, choice.task, chosen, &stands.plan),
    }
    let mut root = Node::message("choice-named", Params::new(), Basis::Concluded);
    root.because = add_plan(explanation, choice.task, &stands.plan);
    let unsure = matches!(stands.placed, Placed::Unsure | Placed::AsChecked);
    let placed = match stands.placed {
        Placed::Given => None,
        Placed::Best => Some("choice-placed-best"),
        Placed::BestOfSome => Some("choice-placed-best-of-some"),
        Placed::Unsure => Some("choice-placed-unsure"),
        Placed::AsChecked => Some("choice-placed-as-checked"),
    };
    let perhaps = (unsure && !stands.meets_all()).then_some("choice-perhaps-met");
    for id in placed.into_iter().chain(perhaps) {
        let note = Node::message(id, Params::new(), Basis::Concluded);
        root.because.extend(explanation.add(note));
    }
    explanation.add_root(root);
    if let (Some(chosen), false) = (choice.found.plans.first(), stands.meets_all()) {
        let table = worth::table(chosen, &stands.plan, choice.task, None);
        explanation.tables.push(table);
    }
}

/// Demands that the named kit does not meet: the rules' own sentences, and limits.
fn add_unmet(explanation: &mut Explanation, choice: &Choice<'_>, stands: &Stands) {
    let (task, plan) = (choice.task, &stands.plan);
    let judged = Judged {
        board: task.board,
        request: &stands.request,
        population: &stands.answer.population,
        model: stands.answer.model,
    };
    let mut root = Node::message("choice-unmet", Params::new(), Basis::Concluded);
    for finding in stands.blockers() {
        root.because
            .extend(add_finding(explanation, &judged, finding));
    }
    for demand in &stands.unmet {
        let says = Says::Demands {
            id: "choice-unmet-demand",
            demands: vec![*demand],
            limits: task.limits,
        };
        let mut node = Node::new(says, Basis::Given);
        node.because = key_of(*demand)
            .and_then(|key| worth::add_side(explanation, Side::Named, key, plan, task))
            .into_iter()
            .collect();
        root.because.extend(explanation.add(node));
    }
    explanation.add_root(root);
}

/// What a demand limits.
const fn key_of(demand: Demand) -> Option<Key> {
    match demand {
        Demand::Budget => Some(Key::Cost),
        Demand::Peak => Some(Key::Peak),
        Demand::Uniform => Some(Key::Uniform),
        Demand::OnePart => Some(Key::Parts),
        Demand::Moved => Some(Key::Moved),
        _ => None,
    }
}

/// Two kits that both meet everything.
fn add_comparison(explanation: &mut Explanation, task: &Task<'_>, chosen: &Plan, named: &Plan) {
    match &task.preference {
        Preference::Ordered(keys) => add_by_order(explanation, task, keys, chosen, named),
        Preference::Weighted(weights) => add_by_weight(explanation, task, weights, chosen, named),
    }
}

/// How a plan was decided on: by which key, and for whom.
fn decided_by(keys: &[Key], chosen: &Plan, named: &Plan) -> Option<(Key, Ordering)> {
    let orders = keys
        .iter()
        .map(|key| (*key, worth::order(*key, chosen, named)));
    orders.into_iter().find(|(_, order)| order.is_ne())
}

fn add_by_order(
    explanation: &mut Explanation,
    task: &Task<'_>,
    keys: &[Key],
    chosen: &Plan,
    named: &Plan,
) {
    let decided = decided_by(keys, chosen, named);
    let mut root = match decided {
        None => tie(task, chosen, named),
        Some((key, order)) => {
            let id = match order {
                Ordering::Greater => "choice-better",
                _ => "choice-preferred",
            };
            Node::message(id, versus(key, task, chosen, named), Basis::Concluded)
        }
    };
    let before = keys
        .iter()
        .take_while(|key| decided.map(|(own, _)| own) != Some(**key));
    for key in before {
        root.because
            .extend(worth::add_same(explanation, *key, chosen, task));
    }
    if let Some((key, _)) = decided {
        for (side, plan) in [(Side::Chosen, chosen), (Side::Named, named)] {
            root.because
                .extend(worth::add_side(explanation, side, key, plan, task));
        }
    }
    explanation.add_root(root);
    let deciding = decided.map(|(key, _)| key);
    explanation
        .tables
        .push(worth::table(chosen, named, task, deciding));
}

fn versus(key: Key, task: &Task<'_>, chosen: &Plan, named: &Plan) -> Params {
    vec![
        ("key", Value::Message(key.message())),
        ("chosen", worth::value(key, chosen, task)),
        ("named", worth::value(key, named, task)),
    ]
}

/// Equal in all that is preferred: the same kit, or the one that ties are broken for.
fn tie(task: &Task<'_>, chosen: &Plan, named: &Plan) -> Node {
    let plain = |id| Node::message(id, Params::new(), Basis::Concluded);
    if same_modules(chosen, named) {
        return plain("choice-same");
    }
    match decided_by(&TIES, chosen, named) {
        None => plain("choice-tie-first-met"),
        Some((key, order)) => {
            let id = match order {
                Ordering::Greater => "choice-tie-named",
                _ => "choice-tie",
            };
            Node::message(id, versus(key, task, chosen, named), Basis::Concluded)
        }
    }
}

/// Whether two plans buy, keep and take out the same.
fn same_modules(one: &Plan, other: &Plan) -> bool {
    let held = |plan: &Plan| {
        let mut held: Vec<_> = plan
            .population
            .occupied()
            .map(|(_, occupant)| {
                (
                    occupant.part,
                    matches!(occupant.origin, Origin::Installed(_)),
                )
            })
            .collect();
        held.sort_unstable();
        held
    };
    held(one) == held(other) && one.lines == other.lines
}

fn add_by_weight(
    explanation: &mut Explanation,
    task: &Task<'_>,
    weights: &[(Key, u32)],
    chosen: &Plan,
    named: &Plan,
) {
    let score = |plan: &Plan| task.preference.score(&plan.values);
    let sums = [(Side::Chosen, chosen), (Side::Named, named)].map(|(side, plan)| {
        let id = match side {
            Side::Chosen => "choice-sum-chosen",
            Side::Named => "choice-sum-named",
        };
        let working = worth::sum(plan, weights);
        (
            working.result.clone(),
            Node::message(id, Params::new(), Basis::Computed(working)),
        )
    });
    let order = score(chosen).cmp(&score(named));
    let [(of_chosen, one), (of_named, other)] = sums;
    let mut root = match order {
        Ordering::Equal => tie(task, chosen, named),
        order => {
            let id = match order {
                Ordering::Greater => "choice-better-sum",
                _ => "choice-preferred-sum",
            };
            let params = vec![("chosen", of_chosen), ("named", of_named)];
            Node::message(id, params, Basis::Concluded)
        }
    };
    for node in [one, other] {
        root.because.extend(explanation.add(node));
    }
    explanation.add_root(root);
    explanation
        .tables
        .push(worth::table(chosen, named, task, None));
}

/// What the optimiser found, and how sure it is.
fn add_chosen(explanation: &mut Explanation, choice: &Choice<'_>) {
    let found = &choice.found;
    let mut notes = vec![status(choice)];
    notes.extend(found.cut.map(|cut| match cut {
        Cut::Time => Node::message("plan-cut-time", Params::new(), Basis::Concluded),
        Cut::Steps => Node::message("plan-cut-steps", Params::new(), Basis::Concluded),
    }));
    if found.open && found.status != Status::Undecided {
        notes.push(Node::message("plan-open", Params::new(), Basis::Concluded));
    }
    if let Some(conflict) = found.conflict {
        let says = Says::Demands {
            id: conflict.message(),
            demands: conflict.demands.clone(),
            limits: choice.task.limits,
        };
        notes.push(Node::new(says, Basis::Concluded));
    }
    let Some(plan) = found.plans.first() else {
        for note in notes {
            explanation.add_root(note);
        }
        return;
    };
    let mut root = Node::message("choice-chosen", Params::new(), Basis::Concluded);
    root.because = add_plan(explanation, choice.task, plan);
    root.because
        .extend(notes.into_iter().filter_map(|note| explanation.add(note)));
    explanation.add_root(root);
}

fn status(choice: &Choice<'_>) -> Node {
    let found = &choice.found;
    let plain = |id| Node::message(id, Params::new(), Basis::Concluded);
    match found.status {
        Status::Proven => {
            let params = vec![("count", Value::Count(found.plans.len() as u64))];
            Node::message("plan-proven", params, Basis::Concluded)
        }
        Status::Infeasible => plain("plan-infeasible"),
        Status::Undecided if found.cut.is_none() => plain("plan-undecided-open"),
        Status::Undecided => plain("plan-undecided-cut"),
        Status::BestFound => match (&choice.task.preference, found.gap) {
            (Preference::Ordered(keys), Some(gap)) if !keys.is_empty() => {
                let gap = i64::try_from(gap).unwrap_or(i64::MAX);
                let key = keys.first().copied().unwrap_or(Key::Cost);
                let params = vec![
                    ("gap", key.measured(gap, currency(choice.task))),
                    ("key", Value::Message(key.message())),
                ];
                Node::message("plan-best-found-within", params, Basis::Concluded)
            }
            _ => plain("plan-best-found"),
        },
    }
}

/// What a plan buys and what it does with installed modules.
fn add_plan(explanation: &mut Explanation, task: &Task<'_>, plan: &Plan) -> Vec<NodeIx> {
    let mut nodes: Vec<Node> = Vec::new();
    let mut say = |id, params| nodes.push(Node::message(id, params, Basis::Concluded));
    if plan.lines.is_empty() {
        say("plan-buy-nothing", Params::new());
    }
    for line in &plan.lines {
        let over = line.quantity.saturating_sub(line.seated);
        let params = vec![
            ("quantity", Value::Count(line.quantity.into())),
            ("part", Value::Part(line.part)),
            ("cost", Value::Money(line.cost)),
            ("over", Value::Count(over.into())),
        ];
        say("plan-buy", params);
    }
    if plan.cost.handling > 0 {
        let cost = Key::Cost.measured(plan.cost.handling, currency(task));
        say("plan-handling", vec![("cost", cost)]);
    }
    let counts = [
        ("plan-kept", plan.kept.len()),
        ("choice-moved", plan.moved.len()),
        ("choice-removed", plan.removed.len()),
    ];
    for (id, count) in counts.into_iter().filter(|(_, count)| *count > 0) {
        say(id, vec![("count", Value::Count(count as u64))]);
    }
    nodes
        .into_iter()
        .filter_map(|node| explanation.add(node))
        .collect()
}
