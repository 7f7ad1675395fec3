//! An explanation: nodes in an arena, each with the nodes that it follows from.
//!
//! A node may hold up several others, so that a shared cause is told once. Every walk keeps its own
//! stack: how deep an explanation is never decides whether it can be shown.

use super::super::board::{ChannelIx, SlotIx};
use super::super::finding::{Fact, Finding, Fix, Missing, Value, Verdict};
use super::super::optimise::{Demand, Limits};
use super::super::population::Population;
use super::super::request::PartIx;
use super::table::Table;
use super::worksheet::Worksheet;

/// What is explained.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// Why this verdict, and the smallest change that mends it.
    Verdict,
    /// How many of a module at most, what binds first, and what would bind next.
    Limit,
    /// Two kits beside each other.
    Compare,
    /// Why the optimiser preferred its kit to a named one.
    Choice,
    /// Why nothing fits: the fewest rules that cannot hold together.
    Conflict,
    /// How to do the work.
    Worksheet,
}

impl About {
    /// All.
    pub const ALL: [Self; 6] = [
        Self::Verdict,
        Self::Limit,
        Self::Compare,
        Self::Choice,
        Self::Conflict,
        Self::Worksheet,
    ];

    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Verdict => "verdict",
            Self::Limit => "limit",
            Self::Compare => "compare",
            Self::Choice => "choice",
            Self::Conflict => "conflict",
            Self::Worksheet => "worksheet",
        }
    }
}

/// Whether what was asked for could be given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It could.
    Explained,
    /// There is nothing of the kind to give, and the nodes say why: a worksheet for a kit that does
    /// not fit, a conflict of a kit that fits.
    Refused,
    /// Facts must be found out first: the nodes name them.
    FindOutFirst,
}

impl Standing {
    /// All.
    pub const ALL: [Self; 3] = [Self::Explained, Self::Refused, Self::FindOutFirst];

    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Explained => "explained",
            Self::Refused => "refused",
            Self::FindOutFirst => "find_out_first",
        }
    }
}

/// The index of a node in [`Explanation::nodes`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeIx(pub u32);

/// The typed parameters of a message, by name.
pub type Params = Vec<(&'static str, Value)>;

/// What a node says. Sentences belong to the rules and to `render`; each variant tells where.
#[derive(Clone, Debug)]
pub enum Says {
    /// What a rule found: the rule's own sentence.
    Finding(Box<Finding>),
    /// A message of the locale with its parameters. Besides its own, a pattern may use `$slots`,
    /// `$channels` and `$sockets` of the node.
    Message {
        /// Id of the message.
        id: &'static str,
        /// Its parameters.
        params: Params,
    },
    /// Facts of a module: message `explain-facts`, with each fact's own words.
    ModuleFacts {
        /// The module.
        part: PartIx,
        /// Each fact and what it is.
        facts: Vec<(Fact, Value)>,
    },
    /// A fact that nobody told: message `missing-fact-of` or `missing-fact`.
    Missing(Missing),
    /// A change that mends it: the words of the fix.
    Fix(Fix),
    /// A message of the locale about demands to the optimiser, which are its `$demands`.
    Demands {
        /// Id of the message.
        id: &'static str,
        /// The demands, each with its own words.
        demands: Vec<Demand>,
        /// Limits beside the wishes of the request, which some of them name.
        limits: Limits,
    },
}

/// How a node is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The request tells it.
    Given,
    /// It stands in the record of the module or of the board.
    Record,
    /// It was worked out, like this.
    Computed(Working),
    /// It follows from the nodes below it.
    Concluded,
}

impl Basis {
    /// The word.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Record => "record",
            Self::Computed(_) => "computed",
            Self::Concluded => "concluded",
        }
    }
}

/// An arithmetic: `4 + 4 + 4 = 12 of 8`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Working {
    /// What is reckoned with, in order.
    pub terms: Vec<Term>,
    /// How.
    pub operator: Operator,
    /// What comes out.
    pub result: Value,
    /// What it is held against.
    pub bound: Option<Bound>,
}

/// An operand, so many times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Term {
    /// How often it stands in the arithmetic; at least 1.
    pub times: u32,
    /// The operand.
    pub value: Value,
}

/// How operands are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operator {
    /// Added up. One term alone is a count or a figure that is only held against a bound.
    Sum,
    /// The first less the others.
    Difference,
    /// Multiplied.
    Product,
    /// The first divided by the second.
    Quotient,
    /// The smallest.
    Least,
    /// The largest.
    Greatest,
}

impl Operator {
    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sum => "sum",
            Self::Difference => "difference",
            Self::Product => "product",
            Self::Quotient => "quotient",
            Self::Least => "least",
            Self::Greatest => "greatest",
        }
    }
}

/// What the result is held against.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Bound {
    /// It may be at most this.
    AtMost(Value),
    /// It must be at least this.
    AtLeast(Value),
    /// It must be one of these.
    OneOf(Vec<Value>),
}

/// A node.
#[derive(Clone, Debug)]
pub struct Node {
    /// What it says.
    pub says: Says,
    /// How it is known.
    pub basis: Basis,
    /// The document that it rests on, where it is a record's: index into the board's `sources`.
    pub source: Option<u16>,
    /// Slots that it speaks of.
    pub slots: Vec<SlotIx>,
    /// Channels that it speaks of.
    pub channels: Vec<ChannelIx>,
    /// Sockets that it speaks of, counted from 1.
    pub sockets: Vec<u8>,
    /// What it follows from.
    pub because: Vec<NodeIx>,
}

impl Node {
    /// A node that speaks of no place and has nothing below it yet.
    pub const fn new(says: Says, basis: Basis) -> Self {
        Self {
            says,
            basis,
            source: None,
            slots: Vec::new(),
            channels: Vec::new(),
            sockets: Vec::new(),
            because: Vec::new(),
        }
    }

    /// A node that says a message.
    pub const fn message(id: &'static str, params: Params, basis: Basis) -> Self {
        Self::new(Says::Message { id, params }, basis)
    }
}

/// The most nodes of an explanation.
pub const MOST_NODES: usize = 300;

/// A whole explanation. Module indices and slots are those of the request that it explains; what
/// speaks of another request (see [`About::Compare`]) uses no module index and no slot.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// What it is about.
    pub about: About,
    /// Whether what was asked for could be given.
    pub standing: Standing,
    /// The verdict on the request.
    pub verdict: Verdict,
    /// The nodes.
    pub nodes: Vec<Node>,
    /// What is said first, in order.
    pub roots: Vec<NodeIx>,
    /// Numbers beside it.
    pub tables: Vec<Table>,
    /// The work, for [`About::Worksheet`].
    pub worksheet: Option<Worksheet>,
    /// Which module sits in which slot where the explanation speaks of one population: as given, as
    /// placed, or as it comes nearest.
    pub population: Option<Population>,
    /// Whether something was left out because it is too long.
    pub truncated: bool,
}

/// A node on a walk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visit {
    /// The node.
    pub node: NodeIx,
    /// How deep it stands below a root.
    pub depth: usize,
    /// Whether it was told before: then what is below it is not told again.
    pub again: bool,
}

impl Explanation {
    /// Nothing yet.
    pub const fn new(about: About, verdict: Verdict) -> Self {
        Self {
            about,
            standing: Standing::Explained,
            verdict,
            nodes: Vec::new(),
            roots: Vec::new(),
            tables: Vec::new(),
            worksheet: None,
            population: None,
            truncated: false,
        }
    }

    /// A node by its index.
    pub fn node(&self, index: NodeIx) -> Option<&Node> {
        self.nodes.get(index.0 as usize)
    }

    /// Adds a node. Past [`MOST_NODES`] nothing is added, and the explanation says that it was cut.
    pub fn add(&mut self, node: Node) -> Option<NodeIx> {
        if self.nodes.len() >= MOST_NODES {
            self.truncated = true;
            return None;
        }
        let index = u32::try_from(self.nodes.len()).ok()?;
        self.nodes.push(node);
        Some(NodeIx(index))
    }

    /// Adds a node that is said first.
    pub fn add_root(&mut self, node: Node) {
        let index = self.add(node);
        self.roots.extend(index);
    }

    /// Every node in the order of telling: each before what it follows from.
    pub fn walk(&self) -> Vec<Visit> {
        let mut told = vec![false; self.nodes.len()];
        let mut visits = Vec::with_capacity(self.nodes.len());
        let mut open: Vec<(NodeIx, usize)> = self.roots.iter().rev().map(|r| (*r, 0)).collect();
        while let Some((index, depth)) = open.pop() {
            let (Some(node), Some(told)) = (self.node(index), told.get_mut(index.0 as usize))
            else {
                continue;
            };
            let again = std::mem::replace(told, true);
            visits.push(Visit {
                node: index,
                depth,
                again,
            });
            if !again {
                open.extend(node.because.iter().rev().map(|below| (*below, depth + 1)));
            }
        }
        visits
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn node(because: &[u32]) -> Node {
        Node {
            because: because.iter().map(|index| NodeIx(*index)).collect(),
            ..Node::message("x", Vec::new(), Basis::Concluded)
        }
    }

    #[test]
    fn a_walk_tells_a_shared_cause_once() {
        let mut explanation = Explanation::new(About::Verdict, Verdict::DoesNotFit);
        explanation.add_root(node(&[1, 2]));
        explanation.add(node(&[3]));
        explanation.add(node(&[3]));
        explanation.add(node(&[]));
        let walk: Vec<(u32, usize, bool)> = explanation
            .walk()
            .iter()
            .map(|visit| (visit.node.0, visit.depth, visit.again))
            .collect();
        assert_eq!(
            walk,
            [
                (0, 0, false),
                (1, 1, false),
                (3, 2, false),
                (2, 1, false),
                (3, 2, true)
            ]
        );
    }

    #[test]
    fn a_circle_of_nodes_ends() {
        let mut explanation = Explanation::new(About::Verdict, Verdict::DoesNotFit);
        explanation.add_root(node(&[1]));
        explanation.add(node(&[0]));
        assert_eq!(explanation.walk().len(), 3);
    }

    #[test]
    fn nodes_past_the_most_are_left_out_and_it_says_so() {
        let mut explanation = Explanation::new(About::Verdict, Verdict::DoesNotFit);
        for _ in 0..=MOST_NODES {
            explanation.add_root(node(&[]));
        }
        assert_eq!(explanation.roots.len(), MOST_NODES);
        assert!(explanation.truncated);
    }
}
