//! The passes that keep an explanation short. Three are named here; the fourth, which drops every
//! fact that does not bear on the conclusion, is [`super::cause`]'s.
//!
//! * [`merge_alike`]: slots that hold the same become one node.
//! * [`share_causes`]: equal nodes become one, so that a shared cause is told once.
//! * [`drop_unused`]: what nothing refers to any more is left out.

use super::super::board::SlotIx;
use super::super::population::Population;
use super::super::request::PartIx;
use super::premise::Premise;
use super::tree::{Basis, Explanation, Node, NodeIx, Says};

/// Which slots hold which module, and which are empty.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Alike {
    /// Modules with the slots that hold them, in the order in which they are met.
    pub seats: Vec<(PartIx, Vec<SlotIx>)>,
    /// Empty slots.
    pub empty: Vec<SlotIx>,
}

/// Slots that hold the same, together.
pub fn merge_alike(premises: &[Premise], population: &Population) -> Alike {
    let mut alike = Alike::default();
    for premise in premises {
        match *premise {
            Premise::Seat(slot) => {
                let Some(occupant) = population.at(slot) else {
                    continue;
                };
                let mut known = alike.seats.iter_mut();
                match known.find(|(part, _)| *part == occupant.part) {
                    Some((_, slots)) => slots.push(slot),
                    None => alike.seats.push((occupant.part, vec![slot])),
                }
            }
            Premise::Empty(slot) => alike.empty.push(slot),
            _ => {}
        }
    }
    alike
}

/// Equal nodes become one. Nodes below others are made first, so one pass over the arena in which
/// each node's grounds stand before it would do; here grounds may stand anywhere, and passes are
/// repeated until nothing changes.
pub fn share_causes(explanation: &mut Explanation) {
    loop {
        let count = explanation.nodes.len();
        let mut first: Vec<NodeIx> = Vec::with_capacity(count);
        for (index, node) in (0u32..).zip(&explanation.nodes) {
            let earlier = (0u32..index).zip(&explanation.nodes);
            let same = earlier
                .filter(|(_, other)| is_same(other, node))
                .map(|(at, _)| NodeIx(at));
            first.push(same.min().unwrap_or(NodeIx(index)));
        }
        let changed = (0u32..).zip(&first).any(|(index, to)| to.0 != index);
        let target = |old: &NodeIx| first.get(old.0 as usize).copied().unwrap_or(*old);
        let mut moved = false;
        for list in lists(explanation) {
            for index in list.iter_mut() {
                let new = target(index);
                moved |= new != *index;
                *index = new;
            }
            let mut seen = Vec::new();
            list.retain(|index| {
                !seen.contains(index) && {
                    seen.push(*index);
                    true
                }
            });
        }
        if !(changed && moved) {
            break;
        }
    }
    drop_unused(explanation);
}

fn lists(explanation: &mut Explanation) -> impl Iterator<Item = &mut Vec<NodeIx>> {
    let grounds = explanation.nodes.iter_mut().map(|node| &mut node.because);
    std::iter::once(&mut explanation.roots).chain(grounds)
}

fn is_same(one: &Node, other: &Node) -> bool {
    let says = match (&one.says, &other.says) {
        (
            Says::Message { id, params },
            Says::Message {
                id: id2,
                params: params2,
            },
        ) => id == id2 && params == params2,
        (
            Says::ModuleFacts { part, facts },
            Says::ModuleFacts {
                part: part2,
                facts: facts2,
            },
        ) => part == part2 && facts == facts2,
        (Says::Missing(missing), Says::Missing(missing2)) => missing == missing2,
        (Says::Fix(fix), Says::Fix(fix2)) => fix == fix2,
        (
            Says::Demands { id, demands, .. },
            Says::Demands {
                id: id2,
                demands: demands2,
                ..
            },
        ) => id == id2 && demands == demands2,
        // A rule's findings are merged where they are made.
        _ => false,
    };
    says && one.basis == other.basis
        && one.slots == other.slots
        && one.channels == other.channels
        && one.sockets == other.sockets
        && one.because == other.because
}

/// Leaves out the nodes that no root leads to, and numbers the others in the order of telling.
pub fn drop_unused(explanation: &mut Explanation) {
    let order: Vec<NodeIx> = explanation
        .walk()
        .into_iter()
        .filter(|visit| !visit.again)
        .map(|visit| visit.node)
        .collect();
    let place = |old: &NodeIx| {
        let place = order.iter().position(|index| index == old)?;
        u32::try_from(place).ok().map(NodeIx)
    };
    let mut nodes: Vec<Node> = Vec::with_capacity(order.len());
    for index in &order {
        let blank = Node::message("", Vec::new(), Basis::Concluded);
        let Some(slot) = explanation.nodes.get_mut(index.0 as usize) else {
            continue;
        };
        let mut node = std::mem::replace(slot, blank);
        node.because = node.because.iter().filter_map(place).collect();
        nodes.push(node);
    }
    explanation.roots = explanation.roots.iter().filter_map(place).collect();
    explanation.nodes = nodes;
}

#[cfg(test)]
mod tests {
    use super::super::tree::About;
    use super::*;
    use crate::domain::finding::Verdict;

    fn node(id: &'static str, because: &[u32]) -> Node {
        Node {
            because: because.iter().map(|index| NodeIx(*index)).collect(),
            ..Node::message(id, Vec::new(), Basis::Concluded)
        }
    }

    #[test]
    fn a_shared_cause_becomes_one_node_and_stays_below_both() {
        let mut explanation = Explanation::new(About::Verdict, Verdict::Fits);
        explanation.add_root(node("a", &[2]));
        explanation.add_root(node("b", &[3]));
        explanation.add(node("same", &[]));
        explanation.add(node("same", &[]));
        explanation.add(node("unused", &[]));
        share_causes(&mut explanation);
        assert_eq!(explanation.nodes.len(), 3);
        let grounds: Vec<_> = explanation
            .roots
            .iter()
            .map(|root| explanation.node(*root).unwrap().because.clone())
            .collect();
        assert_eq!(grounds[0], grounds[1]);
    }

    #[test]
    fn equal_nodes_over_equal_nodes_become_one_as_well() {
        let mut explanation = Explanation::new(About::Verdict, Verdict::Fits);
        explanation.add_root(node("top", &[1, 2]));
        explanation.add(node("middle", &[3]));
        explanation.add(node("middle", &[4]));
        explanation.add(node("low", &[]));
        explanation.add(node("low", &[]));
        share_causes(&mut explanation);
        assert_eq!(explanation.nodes.len(), 3);
    }
}
