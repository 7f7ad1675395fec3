//! The best kit: which modules to buy, which installed ones to keep, and where all of them go.
//!
//! Exact and deterministic. Modules that no rule tells apart are one *build* ([`build`]); what the
//! rules of a channel allow on it becomes a *column* ([`columns`]); channels and sockets that are
//! alike are counted, not permuted. Each rate level and supply voltage is a subproblem ([`job`]) over
//! counts of columns, which [`search`] walks within a bound from [`price`]. A set of counts becomes a
//! plan in [`leaf`], where every rule that a check would ask is asked again: a plan that a rule
//! refuses is none, and the search goes on.

mod alternatives;
mod barred;
mod build;
mod columns;
mod conflict;
#[cfg(test)]
mod edge_tests;
#[cfg(test)]
mod exact_tests;
mod exchange;
mod front;
mod hulls;
mod job;
mod layers;
mod leaf;
mod model;
mod named;
mod part;
mod price;
mod purchase;
mod queue;
mod relax;
mod scene;
mod search;
mod sight;
mod simplex;
mod small;
#[cfg(test)]
mod tests;
mod ties;
mod variant;

pub use build::currency;
pub use conflict::{Conflict, Demand};
pub use front::{FRONT_KEYS, Front, front};
pub use model::{
    Answer, Cost, Counts, Cut, Key, Limits, Line, Plan, Preference, Status, Task, Values,
};
pub use named::{Placing, Shortage, buy_kit, place_best, seated, unmet, without_wishes};
pub use relax::{Change, Diagnosis, Relaxation, diagnose};

use super::request::Request;
use super::rules::{Battery, Standing};
use alternatives::Only;
use build::Builds;
use columns::{Grounds, Opened};
use leaf::Level;
use queue::Queue;
use scene::Scene;
use search::{Meter, Pool};
use sight::Sight;

/// Finds the best plans, and decides among those with equal scores.
pub fn solve(task: &Task<'_>) -> Answer {
    let mut meter = meter(task);
    let mut found = best(&ties::along(task), &mut meter);
    ties::forgive(task, &mut found);
    if let Some(left) = ties::left(task, &found) {
        let again = search_for(&left, &found.plans, None, &mut meter);
        found.loose = again.status != Status::Proven;
        if !again.plans.is_empty() {
            found.plans = again.plans;
        }
    }
    if task.plans > 1 && found.status == Status::Proven && !tells_each_part(task) {
        let decided = ties::decided(task);
        let one = Task {
            plans: 1,
            ..decided
        };
        found = alternatives::among(task, found, &mut meter, |only, meter| {
            search_for(&one, &[], Some(only), meter)
        });
    }
    counted(found, &meter)
}

/// Finds the best plans; of those with equal scores any will do.
fn decide(task: &Task<'_>) -> Answer {
    let mut meter = meter(task);
    let found = best(task, &mut meter);
    counted(found, &meter)
}

fn meter<'m>(task: &Task<'m>) -> Meter<'m> {
    let mut meter = Meter::new(task.steps, task.stop);
    if task.preference != Preference::Ordered(vec![Key::Cost]) {
        meter.patience = PATIENCE;
    }
    meter
}

fn counted(found: Answer, meter: &Meter<'_>) -> Answer {
    Answer {
        counts: Counts {
            nodes: meter.steps,
            ..meter.counts
        },
        ..found
    }
}

fn best(task: &Task<'_>, meter: &mut Meter<'_>) -> Answer {
    let mut found = layers::decide(task, None, meter);
    if found.plans.is_empty() && meter.has_lost_patience() {
        found = from_any(task, meter);
    }
    let hopeless = found.status == Status::Undecided && found.open && is_hopeless(task, meter);
    if hopeless {
        nothing(Status::Infeasible)
    } else {
        found
    }
}

/// Whether every part is a build of its own.
fn tells_each_part(task: &Task<'_>) -> bool {
    task.limits.one_part || task.preference.weighs(Key::Parts)
}

/// The steps after which a search that has no plan yet looks for any first.
const PATIENCE: u64 = 20_000;

/// Where an order of preference ties many plans, the search may wander among counts that the rules
/// refuse: then the cheapest plan, which is mostly found soon, is what it starts from, so that there is
/// one to show when time is up.
fn from_any(task: &Task<'_>, meter: &mut Meter<'_>) -> Answer {
    let most = meter.most;
    meter.resume(meter.steps + (most - meter.steps.min(most)) / 2);
    let cheapest = variant::preferring(task, &[Key::Cost]);
    let any = search_for(&cheapest, &[], None, meter);
    if any.status == Status::Infeasible || (meter.stop)() {
        return any;
    }
    meter.resume(most);
    layers::decide(task, any.plans.first(), meter)
}

fn nothing(status: Status) -> Answer {
    Answer {
        status,
        plans: Vec::new(),
        loose: false,
        bound: None,
        open: false,
        counts: Counts::default(),
    }
}

/// Whether no plan exists however the missing facts turn out: none does even without the rules that
/// they leave open, at the best rates that may be. What modules give must be told.
fn is_hopeless(task: &Task<'_>, meter: &mut Meter<'_>) -> bool {
    let mut free = variant::preferring(task, &[Key::Cost]);
    free.limits.at_best = true;
    loop {
        let open = meter.open.rules;
        if meter.stopped || open.iter().all(|rule| free.ignored.has(rule)) {
            return false;
        }
        free.ignored = free.ignored.and(open);
        let answer = search_for(&free, &[], None, meter);
        match answer.status {
            Status::Infeasible => return !meter.open.worth,
            Status::Undecided if answer.open => {}
            Status::Undecided | Status::Proven | Status::BestFound => return false,
        }
    }
}

/// A search, with plans that are known already, and within a family if told.
fn search_for(
    task: &Task<'_>,
    plans: &[Plan],
    only: Option<Only<'_>>,
    meter: &mut Meter<'_>,
) -> Answer {
    let mut pool = Pool::new(usize::from(task.plans.max(1)));
    let found = on_scene(task, only, meter, |scene, meter| {
        start_from(plans, scene, &mut pool);
        run(scene, &mut pool, meter)
    });
    match found {
        Ok(known) | Err(known) => answer(pool, known),
    }
}

/// What the search knows at its end.
struct Known {
    /// No plan's first score is below this; `None` if nothing is known.
    bound: Option<i128>,
    /// Whether everything was looked at.
    complete: bool,
    /// Whether something hung on a missing fact.
    open: bool,
}

/// Puts plans that are known in the pool.
fn start_from(plans: &[Plan], scene: &Scene<'_, '_>, pool: &mut Pool) {
    pool.cap = scene.cap();
    for plan in plans {
        scene.take(plan, pool);
    }
}

/// Searches a scene.
fn run(scene: &Scene<'_, '_>, pool: &mut Pool, meter: &mut Meter<'_>) -> Known {
    let bound = Queue::new(scene, levels(scene)).run(pool, meter);
    let bound = [bound, meter.unsure].into_iter().flatten().min();
    let hidden = |floor: i128| pool.last().is_none_or(|known| known > floor);
    Known {
        bound: bound.map(|bound| scene.weights.first_of(&scene.task.preference, bound)),
        complete: !meter.stopped && !meter.unsure.is_some_and(hidden),
        open: !meter.open.rules.is_empty(),
    }
}

/// Does something with the scene of a task, or says why there is none.
fn on_scene<T>(
    task: &Task<'_>,
    only: Option<Only<'_>>,
    meter: &mut Meter<'_>,
    act: impl FnOnce(&mut Scene<'_, '_>, &mut Meter<'_>) -> T,
) -> Result<T, Known> {
    let cut = Known {
        bound: None,
        complete: false,
        open: false,
    };
    meter.unsure = None;
    meter.open = Opened::default();
    let bare = scene::bare(task);
    let models = scene::models(task);
    let setups = scene::setups(task, &bare, &models);
    let battery = Battery::new(task.board, &task.ignored);
    if !barred::blamed(&setups, &battery).is_empty() {
        return Err(Known {
            complete: true,
            ..cut
        });
    }
    let mixing = scene::mixing_rules(task);
    let mut builds = Builds::of(task, &setups, &battery, tells_each_part(task));
    let only = only.map(|only| only.narrow(&mut builds));
    meter.open.rules = builds.open;
    meter.open.worth = builds.untold;
    if let Some(standing) = builds.stuck {
        return Err(Known {
            open: standing == Standing::Open,
            complete: true,
            ..cut
        });
    }
    let sight = setups
        .first()
        .map(|setup| Sight::of(task, setup, &battery, &builds))
        .unwrap_or_default();
    let mut grounds = Grounds {
        task,
        setups: &setups,
        models: &models,
        battery: &battery,
        mixing: &mixing,
        builds: &builds,
        friends: &[],
        sight: &sight,
    };
    let friends = scene::friends(&grounds, &mut meter.open.rules);
    grounds.friends = &friends;
    let Some(classes) = grounds.classes(meter) else {
        return Err(cut);
    };
    meter.open.add(classes.open);
    let columns = classes.list.iter().map(|class| class.columns.len() as u64);
    meter.counts.columns += columns.sum::<u64>();
    let request: Request = model::hard(&task.request);
    let mut scene = Scene::new(&request, &grounds, &models, &classes.list, &friends);
    scene.only = only;
    scene.capacities = scene::most_capacities(&grounds, &mut meter.open.rules);
    Ok(act(&mut scene, meter))
}

/// The levels: every rate that a column or a module runs at, at each voltage.
fn levels(scene: &Scene<'_, '_>) -> Vec<Level> {
    let mut levels = Vec::new();
    for supply in 0..scene.task.board.supply.len() {
        let columns = scene.classes.iter().flat_map(|class| &class.columns);
        let filled = columns.filter(|column| column.modules > 0);
        let rates: Vec<u32> = filled
            .filter_map(|column| small::at(&column.rates, supply))
            .collect();
        let fastest = rates.iter().copied().max().unwrap_or(0);
        let builds = scene.builds.list.iter();
        let runs = builds.flat_map(|build| {
            let offers = build.offers.iter().map(|offer| offer.runs);
            offers.chain(build.installed.iter().map(|one| one.runs))
        });
        let ratings = runs.map(|runs| runs.rating.min(fastest));
        let mut own: Vec<u32> = rates.iter().copied().chain(ratings).collect();
        // With nothing at all on the board any rate will do.
        own.push(scene.bounds.rate);
        own.retain(|rate| *rate >= scene.bounds.rate);
        own.sort_unstable();
        own.dedup();
        // Where the rate is worth nothing, the slowest level holds the solutions of all.
        if !scene.values_rate() {
            own.truncate(1);
        }
        levels.extend(own.into_iter().map(|rate| Level { rate, supply }));
    }
    levels
}

fn answer(pool: Pool, known: Known) -> Answer {
    let status = match (known.complete, pool.plans.is_empty()) {
        (true, false) => Status::Proven,
        (true, true) if !known.open => Status::Infeasible,
        (_, true) => Status::Undecided,
        (false, false) => Status::BestFound,
    };
    let best = pool
        .plans
        .first()
        .and_then(|(_, judged)| judged.score.first());
    let bound = match (status, best, known.bound) {
        (Status::Proven, best, _) => best.copied(),
        // What is left to search for a second plan may all be worse than the first.
        (_, Some(best), Some(bound)) => Some(bound.min(*best)),
        (_, _, bound) => bound,
    };
    let plans = pool.plans.into_iter().map(|(_, judged)| judged.plan);
    Answer {
        status,
        plans: plans.collect(),
        loose: false,
        bound,
        open: known.open,
        counts: Counts::default(),
    }
}
