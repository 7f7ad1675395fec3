//! What can be had for what: every plan that no other one beats in all of two or three things.
//!
//! The points are found one by one. A *zone* is a corner: all plans that are better than it in each
//! key. The search gives the best plan of a zone, by the first key, then the second, then the third.
//! No plan at all is as good in every key and better in one: it would lie in the same zone and come
//! first there. So each plan that is found is a point of the front. What is not beaten by it is better
//! in some key, so each zone that holds it is cut into one zone for each key, with that key's edge
//! moved to the point. The zone in which it was found has nothing better in the first key, so that
//! part of it is known to be empty. When no zone is left every point has been found.

use super::model::{Answer, Counts, Key, Plan, Status, Task};
use super::solve;
use super::variant::{ENDLESS_POWER, copy, demand_at_most, preferring};

/// Keys that a front may be asked over.
pub const FRONT_KEYS: [Key; 6] = [
    Key::Cost,
    Key::Usable,
    Key::Rate,
    Key::Peak,
    Key::Uniform,
    Key::Power,
];

/// Points that no plan beats.
#[derive(Clone, Debug)]
pub struct Front {
    /// The keys, in the order in which points are sorted: that of [`FRONT_KEYS`].
    pub keys: Vec<Key>,
    /// A plan for each point, best in the first key first. Every key of a point is known, and above
    /// zero where more is better.
    pub plans: Vec<Plan>,
    /// Whether these are all points, to the unit of each key. There may be plans and no point: those
    /// without memory are none.
    pub complete: bool,
    /// Whether the search was cut, rather than the number of points.
    pub cut: bool,
    /// Whether plans were passed over because a fact that could block them is missing.
    pub open: bool,
    /// What all searches did together.
    pub counts: Counts,
}

/// A corner, in signed values (smaller is better); `i64::MAX` where a key has no edge.
type Corner = Vec<i64>;

/// The front over two or three keys with at most so many points. Keys that are no front keys, and
/// repeated ones, are passed over.
///
/// All searches together take at most the steps of the task, and each ends when the task's stop says
/// so. Which points are found first is fixed, so equal tasks get equal fronts.
pub fn front(task: &Task<'_>, keys: &[Key], most: usize) -> Front {
    let keys: Vec<Key> = FRONT_KEYS
        .into_iter()
        .filter(|k| keys.contains(k))
        .collect();
    let mut hunt = Hunt {
        front: Front {
            keys: keys.clone(),
            plans: Vec::new(),
            complete: true,
            cut: false,
            open: false,
            counts: Counts::default(),
        },
        open: vec![vec![i64::MAX; keys.len()]],
        empty: Vec::new(),
    };
    let base = base(task, &keys);
    while let Some(zone) = hunt.open.first().cloned() {
        if hunt.front.plans.len() >= most {
            hunt.front.complete = false;
            break;
        }
        if !hunt.look(&base, zone) {
            break;
        }
    }
    let mut front = hunt.front;
    front.plans.sort_by_key(|plan| signed(plan, &keys));
    front
}

/// The task that asks for the known values of all keys.
fn base<'a>(task: &Task<'a>, keys: &[Key]) -> Task<'a> {
    let mut base = preferring(task, keys);
    for key in keys {
        match key {
            Key::Cost => {}
            Key::Power => {
                demand_at_most(&mut base, Key::Power, ENDLESS_POWER as i64);
            }
            more => {
                demand_at_most(&mut base, *more, -1);
            }
        }
    }
    base
}

fn signed(plan: &Plan, keys: &[Key]) -> Vec<i64> {
    let of = |key: &Key| key.sign() as i64 * plan.values.of(*key);
    keys.iter().map(of).collect()
}

struct Hunt {
    front: Front,
    /// Zones that may hold a point.
    open: Vec<Corner>,
    /// Zones that hold none.
    empty: Vec<Corner>,
}

impl Hunt {
    /// Looks for a point in a zone; false once there is no more to spend.
    fn look(&mut self, base: &Task<'_>, zone: Corner) -> bool {
        let mut task = copy(base);
        task.steps = base.steps.saturating_sub(self.front.counts.nodes);
        let edges = self.front.keys.iter().zip(&zone);
        let mut possible = true;
        for (key, edge) in edges.filter(|(_, edge)| **edge < i64::MAX) {
            possible &= demand_at_most(&mut task, *key, edge.saturating_sub(1));
        }
        if !possible {
            self.close(&zone);
            return true;
        }
        let mut answer = solve(&task);
        self.front.counts.add(&answer.counts);
        self.front.open |= answer.open;
        // A point is one whatever plan of it is the cheapest.
        self.front.cut |= answer.loose;
        match (answer.status, answer.plans.is_empty()) {
            (Status::Proven, false) => self.found(answer.plans.swap_remove(0), &zone),
            (Status::Infeasible, _) => self.close(&zone),
            _ if was_cut(&answer, &task) => {
                self.front.complete = false;
                self.front.cut = true;
                return false;
            }
            // Everything in it hangs on a missing fact.
            _ => self.close(&zone),
        }
        true
    }

    fn close(&mut self, zone: &Corner) {
        self.open.retain(|other| !lies_in(other, zone));
        self.empty.push(zone.clone());
    }

    fn found(&mut self, plan: Plan, zone: &Corner) {
        let point = signed(&plan, &self.front.keys);
        if !beats(&point, zone) {
            // A plan that does not keep what was demanded would be met for ever.
            self.front.complete = false;
            return self.close(zone);
        }
        self.front.plans.push(plan);
        let mut nothing = zone.clone();
        if let (Some(edge), Some(value)) = (nothing.first_mut(), point.first()) {
            *edge = *value;
        }
        self.empty.push(nothing);
        let (hit, mut kept): (Vec<Corner>, Vec<Corner>) = std::mem::take(&mut self.open)
            .into_iter()
            .partition(|zone| beats(&point, zone));
        for zone in hit {
            for (index, value) in point.iter().enumerate() {
                let mut part = zone.clone();
                if let Some(edge) = part.get_mut(index) {
                    *edge = *value;
                }
                let known = kept.iter().chain(&self.empty);
                if !known.into_iter().any(|other| lies_in(&part, other)) {
                    kept.retain(|other| !lies_in(other, &part));
                    kept.push(part);
                }
            }
        }
        self.open = kept;
    }
}

/// Whether a point lies in a zone.
fn beats(point: &[i64], zone: &Corner) -> bool {
    point.iter().zip(zone).all(|(value, edge)| value < edge)
}

impl Counts {
    /// Adds what another search did.
    pub const fn add(&mut self, other: &Self) {
        self.jobs += other.jobs;
        self.closed_by_bound += other.closed_by_bound;
        self.columns += other.columns;
        self.nodes += other.nodes;
        self.leaves += other.leaves;
        self.refused += other.refused;
    }
}

/// Whether one zone is a part of another.
fn lies_in(one: &Corner, other: &Corner) -> bool {
    one.iter().zip(other).all(|(own, edge)| own <= edge)
}

/// Whether a search without a proven end was cut, and did not just lack facts.
pub fn was_cut(answer: &Answer, task: &Task<'_>) -> bool {
    match answer.status {
        Status::Proven | Status::Infeasible => false,
        Status::BestFound => true,
        Status::Undecided => !answer.open || answer.counts.nodes > task.steps || (task.stop)(),
    }
}
