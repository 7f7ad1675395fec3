//! The rules that stop a request: each by itself, or the fewest that do together.

use super::super::board::Board;
use super::super::finding::{Finding, Value};
use super::super::placement::{Aim, Asked, Sought};
use super::super::population::Population;
use super::super::request::Request;
use super::super::rules::{RULES, RuleSet};
use super::super::stop::Stop;
use super::cause::Judged;
use super::ground::add_finding;
use super::probe::{all_but, found_by, models, seek};
use super::tree::{Basis, Explanation, Node, Params};

/// Rules that stop a request.
pub struct Layer {
    /// By index into [`RULES`].
    pub rules: Vec<usize>,
    /// Whether each stops it alone; otherwise they stop it together, and without any one of them the
    /// others do not.
    pub each_alone: bool,
    /// What each finds, with the placement in which it does and the request as it is with what comes out
    /// for it.
    found: Vec<(Finding, Population, Request)>,
    model: Option<usize>,
}

impl Layer {
    /// What stops a request with some rules aside; `None` if nothing does, or a search was cut.
    pub fn of(board: &Board, request: &Request, aside: &RuleSet, stop: &Stop) -> Option<Self> {
        let (asked, blamed) = models(board, request).into_iter().find_map(|model| {
            let asked = Asked {
                board,
                request,
                model,
            };
            match seek(&asked, aside, Aim::Any, stop) {
                Sought::None(blamed) => Some((asked, blamed)),
                Sought::Placed { .. } | Sought::NoRoom | Sought::Cut => None,
            }
        })?;
        let impossible = |rules: &[usize]| {
            matches!(
                seek(&asked, &all_but(rules), Aim::Any, stop),
                Sought::None(_)
            )
        };
        let alone: Vec<usize> = blamed.iter().filter(|rule| impossible(&[*rule])).collect();
        let each_alone = !alone.is_empty();
        let rules = match each_alone {
            true => alone,
            false => fewest(&asked, aside, &blamed, stop, &impossible),
        };
        let found = rules.iter().filter_map(|rule| {
            // Where it breaks while the others are kept; else where as few as can be are not.
            let kept = (!each_alone).then(|| RuleSet::of(aside.iter().chain([*rule])));
            let all_off = RuleSet::of(rules.iter().copied().chain(aside.iter()));
            let every = RuleSet::of(0..RULES.len());
            let ways = kept.into_iter().chain([all_off, every]);
            ways.into_iter()
                .find_map(|off| found_by(&asked, &off, *rule, stop))
        });
        Some(Self {
            found: found.collect(),
            rules,
            each_alone,
            model: asked.model,
        })
    }

    /// Adds the rules as a root: the first id where each stops it alone, the second where they do so
    /// together. `$rules` is their number.
    pub fn add(
        &self,
        explanation: &mut Explanation,
        board: &Board,
        [alone, together]: [&'static str; 2],
        mut params: Params,
    ) {
        let mut because = Vec::new();
        for (finding, population, request) in &self.found {
            let judged = Judged {
                board,
                request,
                population,
                model: self.model,
            };
            because.extend(add_finding(explanation, &judged, finding));
        }
        params.push(("rules", Value::Count(self.rules.len() as u64)));
        let id = if self.each_alone { alone } else { together };
        let mut root = Node::message(id, params, Basis::Concluded);
        root.because = because;
        if root.because.is_empty() {
            let ids = self.rules.iter().filter_map(|rule| RULES.get(*rule));
            let names = Value::Words(ids.map(|rule| rule.id.to_owned()).collect());
            let below = Node::message("explain-rules", vec![("rules", names)], Basis::Concluded);
            root.because.extend(explanation.add(below));
        }
        explanation.add_root(root);
    }
}

/// The fewest of these rules that stop it together. Rules that only stand in the way once others
/// don't count join first.
fn fewest(
    asked: &Asked<'_>,
    aside: &RuleSet,
    blamed: &RuleSet,
    stop: &Stop,
    impossible: &impl Fn(&[usize]) -> bool,
) -> Vec<usize> {
    let mut kept: Vec<usize> = blamed.iter().collect();
    while !impossible(&kept) {
        let off = RuleSet::of(kept.iter().copied().chain(aside.iter()));
        let Sought::None(more) = seek(asked, &off, Aim::Any, stop) else {
            break;
        };
        let before = kept.len();
        kept.extend(
            more.iter()
                .filter(|rule| !blamed.has(*rule))
                .collect::<Vec<_>>(),
        );
        kept.sort_unstable();
        kept.dedup();
        if kept.len() == before {
            break;
        }
    }
    for rule in kept.clone() {
        let rest: Vec<usize> = kept
            .iter()
            .copied()
            .filter(|other| *other != rule)
            .collect();
        if impossible(&rest) {
            kept = rest;
        }
    }
    kept
}
