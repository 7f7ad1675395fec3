//! A finding with the facts below it.

use super::super::board::{ChannelIx, SlotIx};
use super::super::finding::{Fact, Finding, State, Value};
use super::super::population::Origin;
use super::super::request::{PartIx, SocketState};
use super::super::rules::probe::Place;
use super::super::setup::Setup;
use super::cause::{Cause, Judged};
use super::premise::{Member, Premise, module_fact};
use super::reduce::merge_alike;
use super::tree::{Basis, Explanation, Node, NodeIx, Says};
use super::working::{add_multiplied, channel_view, of_finding};

/// Adds a finding with what it rests on.
pub fn add_finding(
    explanation: &mut Explanation,
    judged: &Judged<'_>,
    finding: &Finding,
) -> Option<NodeIx> {
    let mut node = Node::new(Says::Finding(Box::new(finding.clone())), Basis::Concluded);
    node.slots = finding.slots.clone();
    node.channels = finding.channels.clone();
    node.sockets = finding.sockets.clone();
    if finding.state == State::Broken && finding.blocks() {
        node.because = grounds(explanation, judged, finding);
    }
    explanation.add(node)
}

/// The facts below a broken finding, and the arithmetic between them where there is one.
fn grounds(explanation: &mut Explanation, judged: &Judged<'_>, finding: &Finding) -> Vec<NodeIx> {
    let Some(cause) = judged.cause(finding) else {
        return Vec::new();
    };
    let Some(setup) = Setup::new(judged.board, judged.request, judged.model) else {
        return Vec::new();
    };
    let facts = facts(&cause, finding, judged, &setup);
    let facts: Vec<NodeIx> = facts
        .into_iter()
        .filter_map(|node| explanation.add(node))
        .collect();
    let Some((id, working)) = of_finding(finding, cause.place, judged, &setup) else {
        return facts;
    };
    let mut node = Node::message(id, Vec::new(), Basis::Computed(working));
    if let Place::Channel(channel) = cause.place {
        node.channels = vec![channel];
        let view = channel_view(judged, &setup, channel);
        node.because = add_multiplied(explanation, &view);
    }
    if let Place::Socket(socket) = cause.place {
        node.sockets = vec![socket];
    }
    node.because.extend(facts);
    explanation.add(node).into_iter().collect()
}

/// One node for each thing that is known.
fn facts(cause: &Cause, finding: &Finding, judged: &Judged<'_>, setup: &Setup<'_>) -> Vec<Node> {
    let mut nodes = Vec::new();
    let alike = merge_alike(&cause.premises, judged.population);
    for (part, slots) in alike.seats {
        let whole = whole_channels(&slots, judged);
        let several = slots.len() > 3 && !whole.is_empty();
        let id = if several {
            "explain-holds-all"
        } else {
            "explain-holds"
        };
        let mut node = message(id, vec![("part", Value::Part(part))]);
        node.slots = slots;
        node.channels = whole;
        nodes.push(node);
    }
    if !alike.empty.is_empty() {
        let mut node = message("explain-empty", Vec::new());
        node.slots = alike.empty;
        nodes.push(node);
    }
    nodes.extend(module_facts(cause, judged));
    let singles = cause.premises.iter();
    nodes.extend(singles.filter_map(|premise| single(*premise, judged, setup)));
    nodes.extend(record(finding, judged, setup));
    nodes
}

/// The channels that these slots fill, if they fill whole channels only.
fn whole_channels(slots: &[SlotIx], judged: &Judged<'_>) -> Vec<ChannelIx> {
    let board = judged.board;
    let mut channels: Vec<ChannelIx> = slots.iter().map(|s| board.channel_of(*s)).collect();
    channels.dedup();
    let all = channels.iter().flat_map(|channel| board.slots_of(*channel));
    if all.count() == slots.len() {
        channels
    } else {
        Vec::new()
    }
}

fn message(id: &'static str, params: super::tree::Params) -> Node {
    Node::message(id, params, Basis::Given)
}

/// The facts of each module, in one node.
fn module_facts(cause: &Cause, judged: &Judged<'_>) -> Vec<Node> {
    let mut known: Vec<(PartIx, Vec<(Fact, Value)>)> = Vec::new();
    for premise in &cause.premises {
        let Premise::Module(part, fact) = *premise else {
            continue;
        };
        let module = judged.request.part(part);
        let Some(value) = module.and_then(|module| module_fact(module, fact)) else {
            continue;
        };
        match known.iter_mut().find(|(own, _)| *own == part) {
            Some((_, facts)) => facts.push((fact, value)),
            None => known.push((part, vec![(fact, value)])),
        }
    }
    let node = |(part, facts)| Node::new(Says::ModuleFacts { part, facts }, Basis::Given);
    known.into_iter().map(node).collect()
}

/// A premise that is about neither a slot nor a fact of a module. Limits come with [`record`], wishes and protection stand in
/// the rule's sentence, and that a module is there at all with the facts of it.
fn single(premise: Premise, judged: &Judged<'_>, setup: &Setup<'_>) -> Option<Node> {
    match premise {
        Premise::Amount(part) => Some(amount(part, judged)),
        Premise::Model(socket) => Some(model(socket, judged, setup)),
        Premise::Fitted(socket) => {
            let mut node = message(assumed("explain-fitted", judged), Vec::new());
            node.sockets = vec![socket];
            Some(node)
        }
        Premise::Firmware => {
            let version = judged.request.firmware.as_ref()?.text().to_owned();
            Some(message(
                "explain-firmware",
                vec![("version", Value::Text(version))],
            ))
        }
        Premise::Named(_)
        | Premise::Module(..)
        | Premise::Seat(_)
        | Premise::Empty(_)
        | Premise::Limit(_)
        | Premise::Protection
        | Premise::Wish(_) => None,
    }
}

/// Processors that nobody told are taken to be there.
fn assumed(id: &'static str, judged: &Judged<'_>) -> &'static str {
    match judged.request.sockets {
        None => "explain-fitted-assumed",
        Some(_) => id,
    }
}

fn amount(part: PartIx, judged: &Judged<'_>) -> Node {
    let request = judged.request;
    let stays = request
        .staying()
        .filter(|(_, entry)| entry.part == part)
        .count() as u64;
    let all = request.quantity(part);
    let installed = judged.population.occupied().any(|(_, occupant)| {
        occupant.part == part && matches!(occupant.origin, Origin::Installed(_))
    });
    let id = match (all > stays, installed || stays > 0) {
        (true, true) => "explain-amount-beside",
        (false, true) => "explain-amount-installed",
        _ => "explain-amount",
    };
    let params = vec![
        ("part", Value::Part(part)),
        ("count", Value::Count(all - stays)),
        ("installed", Value::Count(stays)),
    ];
    message(id, params)
}

fn model(socket: u8, judged: &Judged<'_>, setup: &Setup<'_>) -> Node {
    let mut node = match (setup.socket(socket), setup.processor(socket)) {
        (SocketState::Empty, _) => message("explain-socket-empty", Vec::new()),
        (_, Some(processor)) => {
            let params = vec![("processor", Value::Text(processor.name.clone()))];
            let told = match &judged.request.sockets {
                Some(told) => !matches!(
                    told.get(usize::from(socket.saturating_sub(1))),
                    Some(SocketState::Fitted(None))
                ),
                None => false,
            };
            message(
                if told {
                    "explain-processor"
                } else {
                    "explain-processor-tried"
                },
                params,
            )
        }
        _ => message(assumed("explain-fitted", judged), Vec::new()),
    };
    node.sockets = vec![socket];
    node
}

/// What the board's record says, with its source.
fn record(finding: &Finding, judged: &Judged<'_>, setup: &Setup<'_>) -> Vec<Node> {
    let say = |member: &Member| {
        let value = member.value(judged.board, setup.filling);
        let params = value.map(|value| ("value", value)).into_iter().collect();
        let mut node = Node::message(member.message(), params, Basis::Record);
        node.source = (!judged.board.sources.is_empty()).then_some(0);
        node
    };
    Member::of_rule(finding.rule.id).iter().map(say).collect()
}
