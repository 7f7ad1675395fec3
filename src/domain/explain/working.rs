//! The arithmetic behind a finding or a figure of the outcome.

use super::super::board::{ChannelIx, Limit};
use super::super::channel::Stack;
use super::super::finding::{Finding, Value};
use super::super::outcome::Outcome;
use super::super::rules::probe::Place;
use super::super::rules::{ChannelView, OnChannel};
use super::super::setup::Setup;
use super::super::units::{Mib, Milliwatts, Money, Mts};
use super::cause::Judged;
use super::tree::{Basis, Bound, Explanation, Node, NodeIx, Operator, Term, Working};

/// Equal neighbours among the operands become one that stands several times.
pub fn terms(values: impl IntoIterator<Item = (u32, Value)>) -> Vec<Term> {
    let mut terms: Vec<Term> = Vec::new();
    for (times, value) in values.into_iter().filter(|(times, _)| *times > 0) {
        match terms.last_mut() {
            Some(last) if last.value == value => last.times += times,
            _ => terms.push(Term { times, value }),
        }
    }
    terms
}

/// A sum that may be at most so much.
pub fn sum(values: impl IntoIterator<Item = (u32, Value)>, result: Value, most: Value) -> Working {
    Working {
        terms: terms(values),
        operator: Operator::Sum,
        result,
        bound: Some(Bound::AtMost(most)),
    }
}

/// The arithmetic of a broken rule, where it says more than the rule's sentence: the message that
/// introduces it, and the figures.
pub fn of_finding(
    finding: &Finding,
    place: Place,
    judged: &Judged<'_>,
    setup: &Setup<'_>,
) -> Option<(&'static str, Working)> {
    let param = |name: &str| {
        let mut params = finding.params.iter();
        params.find(|(own, _)| *own == name).map(|(_, v)| v.clone())
    };
    match finding.rule.id {
        "rank-budget-exceeded" => {
            let Place::Channel(channel) = place else {
                return None;
            };
            let view = channel_view(judged, setup, channel);
            let ranks = seen_terms(&view);
            Some((
                "working-ranks",
                sum(ranks, param("seen")?, param("budget")?),
            ))
        }
        "capacity-over-processor" | "capacity-over-socket" => {
            let Place::Socket(socket) = place else {
                return None;
            };
            let capacities = capacities_of(judged, setup, socket);
            Some((
                "working-capacity",
                sum(capacities, param("held")?, param("ceiling")?),
            ))
        }
        "capacity-over-board" => {
            let all = capacities(setup);
            Some((
                "working-capacity",
                sum(all, param("held")?, param("ceiling")?),
            ))
        }
        "more-modules-than-slots" => {
            let amounts = setup.staying().map(|(_, n)| (1, Value::Count(n.into())));
            let (modules, slots) = (param("modules")?, param("slots_that_work")?);
            Some(("working-slots", sum(amounts, modules, slots)))
        }
        "budget-wish" => {
            let prices = prices(setup)?;
            Some((
                "working-price",
                sum(prices, param("total")?, param("budget")?),
            ))
        }
        "power-wish" => {
            let powers = powers(setup)?;
            Some((
                "working-power",
                sum(powers, param("power")?, param("wished")?),
            ))
        }
        "free-slots-wish" => free_slots(judged, setup, param("free")?, param("wished")?),
        _ => None,
    }
    // Terms of which some are not known do not add up to what the rule found.
    .filter(|(_, working)| adds_up(working))
}

/// Whether the operands give the result.
pub fn adds_up(working: &Working) -> bool {
    let number = |value: &Value| match value {
        Value::Count(n) => i64::try_from(*n).ok(),
        Value::Capacity(Mib(n)) => i64::try_from(*n).ok(),
        Value::Power(Milliwatts(n)) => i64::try_from(*n).ok(),
        Value::Money(money) => Some(money.minor),
        Value::Rate(Mts(n)) => Some(i64::from(*n)),
        Value::Whole(n) => Some(*n),
        _ => None,
    };
    let each: Option<Vec<(i64, i64)>> = working
        .terms
        .iter()
        .map(|term| Some((i64::from(term.times), number(&term.value)?)))
        .collect();
    let Some(each) = each else { return false };
    let total = each.iter().map(|(times, value)| times * value).sum::<i64>();
    let values = || each.iter().map(|(_, value)| *value);
    let expected = match working.operator {
        Operator::Sum => Some(total),
        Operator::Difference => values().next().map(|first| 2 * first - total),
        Operator::Product => Some(values().product()),
        Operator::Quotient => match each.as_slice() {
            [(_, whole), (_, by)] if *by != 0 => Some(whole / by),
            _ => None,
        },
        Operator::Least => values().min(),
        Operator::Greatest => values().max(),
    };
    expected.is_some() && expected == number(&working.result)
}

/// A channel of a judged case.
pub fn channel_view<'a>(
    judged: &Judged<'_>,
    setup: &'a Setup<'a>,
    channel: ChannelIx,
) -> ChannelView<'a> {
    ChannelView {
        setup,
        socket: judged.board.address(channel).0,
        channel,
        stack: Stack::of(judged.population.on_channel(judged.board, channel)),
    }
}

/// The ranks that count of each module of a channel.
pub fn seen_terms(view: &ChannelView<'_>) -> Vec<(u32, Value)> {
    let wired = view.board().wired(view.channel);
    let seen = |on: OnChannel<'_>| (1, Value::Count(on.fit.seen(wired).at_least.into()));
    view.modules().map(seen).collect()
}

/// How a module's ranks come to count as fewer: package ranks ÷ factor.
fn multiplied(view: &ChannelView<'_>) -> Vec<(super::super::request::PartIx, Working)> {
    let wired = view.board().wired(view.channel);
    let mut known = Vec::new();
    for on in view.modules() {
        let seen = on.fit.seen(wired);
        let ranks = u64::from(on.module.package_ranks.unwrap_or(0));
        let counted = u64::from(seen.at_least);
        let several = seen.exact && counted > 0 && ranks > counted && ranks.is_multiple_of(counted);
        if several && known.iter().all(|(part, _)| *part != on.part) {
            let count = |n: u64| (1, Value::Count(n));
            let working = Working {
                terms: terms([count(ranks), count(ranks / counted)]),
                operator: Operator::Quotient,
                result: Value::Count(counted),
                bound: None,
            };
            known.push((on.part, working));
        }
    }
    known
}

/// The same as nodes.
pub fn add_multiplied(explanation: &mut Explanation, view: &ChannelView<'_>) -> Vec<NodeIx> {
    let node = |(part, working)| {
        let params = vec![("part", Value::Part(part))];
        explanation.add(Node::message(
            "working-multiplied",
            params,
            Basis::Computed(working),
        ))
    };
    multiplied(view).into_iter().filter_map(node).collect()
}

fn capacities_of(judged: &Judged<'_>, setup: &Setup<'_>, socket: u8) -> Vec<(u32, Value)> {
    let channels = judged.board.channels_of(socket);
    let held = channels.flat_map(|channel| judged.population.on_channel(judged.board, channel));
    let mut parts: Vec<_> = held.flatten().collect();
    parts.sort_unstable();
    let capacity = |part| setup.request.part(part).and_then(|module| module.capacity);
    parts
        .into_iter()
        .filter_map(|part| Some((1, Value::Capacity(capacity(part)?))))
        .collect()
}

fn capacities(setup: &Setup<'_>) -> Vec<(u32, Value)> {
    setup
        .staying()
        .filter_map(|(part, count)| {
            let capacity = setup.request.part(part)?.capacity?;
            Some((count, Value::Capacity(capacity)))
        })
        .collect()
}

fn prices(setup: &Setup<'_>) -> Option<Vec<(u32, Value)>> {
    let price = |part| setup.request.part(part)?.price;
    let lines = setup.request.kit.iter();
    lines
        .map(|line| Some((line.quantity, Value::Money(price(line.part)?))))
        .collect()
}

fn powers(setup: &Setup<'_>) -> Option<Vec<(u32, Value)>> {
    let power = |part| setup.request.part(part)?.peak_power;
    let all = setup.staying();
    all.map(|(part, count)| Some((count, Value::Power(power(part)?))))
        .collect()
}

fn free_slots(
    judged: &Judged<'_>,
    setup: &Setup<'_>,
    free: Value,
    wished: Value,
) -> Option<(&'static str, Working)> {
    let modules = judged.population.count() as u64;
    let count = |n: u64| Term {
        times: 1,
        value: Value::Count(n),
    };
    let working = Working {
        terms: vec![count(setup.working_slots()), count(modules)],
        operator: Operator::Difference,
        result: free,
        bound: Some(Bound::AtLeast(wished)),
    };
    Some(("working-free_slots", working))
}

/// What carries a population that works: the fullest channel's ranks, the slots, the capacity and
/// the rate, each held against its limit.
pub fn headroom(
    explanation: &mut Explanation,
    judged: &Judged<'_>,
    setup: &Setup<'_>,
    outcome: &Outcome,
) -> Vec<NodeIx> {
    let mut nodes: Vec<Node> = Vec::new();
    nodes.extend(rank_room(explanation, judged, setup, outcome));
    nodes.extend(capacity_room(setup, outcome));
    nodes.extend(rate(judged, setup, outcome));
    nodes
        .into_iter()
        .filter_map(|node| explanation.add(node))
        .collect()
}

/// The channel that sees the most ranks, held against the budget.
fn rank_room(
    explanation: &mut Explanation,
    judged: &Judged<'_>,
    setup: &Setup<'_>,
    outcome: &Outcome,
) -> Option<Node> {
    let Limit::Is(budget) = judged.board.rank_budget else {
        return None;
    };
    let most = outcome
        .populated()
        .map(|channel| channel.seen.at_least)
        .max()?;
    let mut fullest = outcome.populated();
    let fullest = fullest.find(|channel| channel.seen.exact && channel.seen.at_least == most)?;
    let view = channel_view(judged, setup, fullest.channel);
    let count = |n: u64| Value::Count(n);
    let working = sum(seen_terms(&view), count(most.into()), count(budget.into()));
    let mut node = Node::message("working-ranks", Vec::new(), Basis::Computed(working));
    let alike = outcome
        .populated()
        .filter(|other| other.seen == fullest.seen);
    node.channels = alike.map(|other| other.channel).collect();
    node.because = add_multiplied(explanation, &view);
    Some(node)
}

fn capacity_room(setup: &Setup<'_>, outcome: &Outcome) -> Option<Node> {
    let installed = outcome.installed.filter(|installed| installed.0 > 0)?;
    let ceiling = setup.filling.board_capacity.value();
    let working = Working {
        terms: terms(capacities(setup)),
        operator: Operator::Sum,
        result: Value::Capacity(installed),
        bound: ceiling.map(|ceiling| Bound::AtMost(Value::Capacity(ceiling))),
    };
    let node = Node::message(
        "working-capacity",
        Vec::new(),
        Basis::Computed(working.clone()),
    );
    adds_up(&working).then_some(node)
}

/// The rate as the lowest of its ceilings, on the channel that is slowest by itself.
pub fn rate(judged: &Judged<'_>, setup: &Setup<'_>, outcome: &Outcome) -> Option<Node> {
    let rate = outcome.rate?;
    let mut running = outcome.channels.iter().filter(|channel| channel.runs());
    let slowest = running.find(|channel| channel.alone == Some(rate))?;
    let view = channel_view(judged, setup, slowest.channel);
    let rated = view.modules().filter_map(|on| on.module.rating()).min();
    let ceiling = setup.rate_ceiling(view.socket).ok().flatten();
    let figures = [rated, ceiling, slowest.listed];
    let names = ["rated", "ceiling", "listed"].into_iter().zip(figures);
    let told = names.filter_map(|(name, rate)| Some((name, Value::Rate(rate?))));
    let params = std::iter::once(("rate", Value::Rate(rate)))
        .chain(told)
        .collect();
    let working = Working {
        terms: terms(
            figures
                .into_iter()
                .flatten()
                .map(|rate| (1, Value::Rate(rate))),
        ),
        operator: Operator::Least,
        result: Value::Rate(rate),
        bound: None,
    };
    let id = match (rated, ceiling, slowest.listed) {
        (Some(_), Some(_), Some(_)) => "working-rate",
        (Some(_), None, Some(_)) => "working-rate-no-processor",
        _ => return None,
    };
    let node = Node::message(id, params, Basis::Computed(working.clone()));
    adds_up(&working).then_some(node)
}

/// What several modules of one price cost.
pub fn money_times(price: Money, count: u64) -> Option<Money> {
    let count = i64::try_from(count).ok()?;
    Some(Money {
        minor: price.minor.checked_mul(count)?,
        currency: price.currency,
    })
}
