//! Plans that differ only in which parts are bought.
//!
//! The search has the best plan of each *family*: plans that hold the same number of modules of each
//! build. Another part of a build, at another price or rate, makes another plan of the family. It is an
//! alternative if it leaves out at least one part that each better plan of the family buys: a second
//! supplier's part in place of the first one's, and not one module of it beside them.
//!
//! So the next plan of a family lacks a part of every better one. It is found by leaving parts out: when
//! a plan is taken, one search for each part that it buys looks for the best of the family without that
//! part, and without those that were left out to find it. A plan that is no alternative to one that was
//! taken before is passed over, and the same searches are made from there. Every alternative is in what
//! some of these searches look at, and what they find is no worse, so that none is missed.

use super::super::request::PartIx;
use super::build::Builds;
use super::leaf::rank;
use super::model::{Answer, Plan, Status, Task};
use super::search::Meter;
use super::small::add;
use std::collections::BTreeSet;

/// Keeps a search to a family without some parts.
#[derive(Clone, Copy)]
pub struct Only<'o> {
    like: &'o Plan,
    without: &'o [PartIx],
}

impl Only<'_> {
    /// How many modules of each build there must be; builds of which there are none go.
    pub fn narrow(&self, builds: &mut Builds) -> Vec<u32> {
        let mut counts = vec![0u32; builds.list.len()];
        for part in self.like.stacks.iter().flat_map(|stack| stack.parts()) {
            if let Some(build) = builds.build_of(part) {
                add(&mut counts, build, 1);
            }
        }
        for (build, count) in builds.list.iter_mut().zip(&counts) {
            build
                .offers
                .retain(|offer| *count > 0 && !self.without.contains(&offer.part));
            if *count == 0 {
                build.installed.clear();
            }
        }
        counts
    }
}

/// A plan that may be taken, and how it was found.
struct Candidate {
    family: usize,
    without: Vec<PartIx>,
    plan: Plan,
}

impl Candidate {
    fn buys(&self) -> impl Iterator<Item = PartIx> {
        self.plan.lines.iter().map(|line| line.part)
    }

    /// Whether it is no alternative to another.
    fn is_covered_by(&self, other: &Self) -> bool {
        self.family == other.family && other.buys().all(|part| self.buys().any(|own| own == part))
    }
}

/// The best plans with alternatives within their families. `search` finds the best plan of a family.
pub fn among(
    task: &Task<'_>,
    found: Answer,
    meter: &mut Meter<'_>,
    mut search: impl FnMut(Only<'_>, &mut Meter<'_>) -> Answer,
) -> Answer {
    let families: Vec<Plan> = found.plans.clone();
    let mut waiting: Vec<Candidate> = (0..)
        .zip(&families)
        .map(|(family, plan)| Candidate {
            family,
            without: Vec::new(),
            plan: plan.clone(),
        })
        .collect();
    let mut taken: Vec<Candidate> = Vec::new();
    let mut asked: BTreeSet<(usize, Vec<PartIx>)> = BTreeSet::new();
    let mut own = Answer {
        plans: Vec::new(),
        ..found
    };
    while let Some(next) = take_best(task, &mut waiting) {
        let covered = taken.iter().position(|known| next.is_covered_by(known));
        let (family, without) = (next.family, next.without.clone());
        let place = covered.unwrap_or(taken.len());
        if covered.is_none() {
            taken.push(next);
        }
        if taken.len() >= usize::from(task.plans) {
            break;
        }
        let parts: Vec<PartIx> = taken.get(place).map_or(Vec::new(), |c| c.buys().collect());
        for part in parts {
            let mut without = without.clone();
            without.push(part);
            without.sort_unstable();
            if own.status != Status::Proven || !asked.insert((family, without.clone())) {
                continue;
            }
            let Some(like) = families.get(family) else {
                continue;
            };
            let only = Only {
                like,
                without: &without,
            };
            let mut answer = search(only, meter);
            own.open |= answer.open;
            let known = match answer.status {
                Status::Proven | Status::Infeasible => true,
                Status::Undecided => answer.open && !meter.stopped,
                Status::BestFound => false,
            };
            if !known {
                own.status = Status::BestFound;
            }
            if !answer.plans.is_empty() {
                waiting.push(Candidate {
                    family,
                    without,
                    plan: answer.plans.swap_remove(0),
                });
            }
        }
    }
    own.plans = taken.into_iter().map(|candidate| candidate.plan).collect();
    own
}

/// The best candidate; of equal ones the one that was found first.
fn take_best(task: &Task<'_>, waiting: &mut Vec<Candidate>) -> Option<Candidate> {
    let order = |plan: &Plan| rank(&task.preference.score(&plan.values), &plan.values);
    let best = (0..waiting.len()).min_by_key(|index| {
        let candidate = waiting.get(*index);
        (candidate.map(|candidate| order(&candidate.plan)), *index)
    })?;
    Some(waiting.remove(best))
}
