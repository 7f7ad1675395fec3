//! A kit that somebody names in place of the best one: what it costs, where it goes best, and which
//! demands it does not meet.
//!
//! The modules of the kit are put to the search as installed ones that have no slot yet: so all of
//! them must be seated, where they are worth most by the preference, and nothing else is bought.

use super::super::channel::Stack;
use super::super::module::{Module, ModuleFacts};
use super::super::outcome::Outcome;
use super::super::population::{Occupant, Origin, Population};
use super::super::request::{Balance, InstalledPolicy, KitLine, PartIx, Request, Seated};
use super::super::rules::index_of;
use super::super::setup::Setup;
use super::super::units::{MegabytesPerSecond, Money};
use super::build::{Build, Builds, Runs, currency, offer};
use super::conflict::Demand;
use super::model::{Cost, Limits, Line, Plan, Status, Task, Values};
use super::purchase::buy;
use super::scene;
use super::variant::copy;
use super::{Battery, solve};

/// A part of which not enough is for sale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shortage {
    /// Which.
    pub part: PartIx,
    /// How many are wanted.
    pub wanted: u32,
    /// How many can be had.
    pub sold: u32,
}

/// The cheapest way to buy these modules, whole packs each; or of what not enough is for sale.
///
/// # Errors
/// Every part that cannot be had in that number.
pub fn buy_kit(task: &Task<'_>, kit: &[(PartIx, u32)]) -> Result<Vec<Line>, Vec<Shortage>> {
    let bare = scene::bare(task);
    let models = scene::models(task);
    let setup = models
        .first()
        .and_then(|model| Setup::new(task.board, &bare, *model));
    let (mut lines, mut short) = (Vec::new(), Vec::new());
    for (part, wanted) in kit {
        match setup
            .as_ref()
            .map(|setup| of_part(task, setup, *part, *wanted))
        {
            Some(Ok(own)) => lines.extend(own),
            Some(Err(sold)) => short.push(Shortage {
                part: *part,
                wanted: *wanted,
                sold,
            }),
            None => {}
        }
    }
    lines.sort_by_key(|line: &Line| line.part);
    if short.is_empty() {
        Ok(lines)
    } else {
        Err(short)
    }
}

/// The lines for one part; else how many can be had.
fn of_part(
    task: &Task<'_>,
    setup: &Setup<'_>,
    part: PartIx,
    wanted: u32,
) -> Result<Vec<Line>, u32> {
    let currency = currency(task);
    let same = |other: &&PartIx| is_same(&task.request, part, **other);
    let offers = task.for_sale.iter().filter(same).filter_map(|other| {
        let mut own = offer(setup, *other, currency)?;
        own.runs = Runs {
            rating: u32::MAX,
            supplies: u16::MAX,
        };
        Some(own)
    });
    let build = Build {
        part,
        mib: 0,
        capacity: 0,
        ranks: 0,
        power: 0,
        offers: offers.collect(),
        installed: Vec::new(),
    };
    let all = build.offers.iter();
    let sold = all.fold(0u32, |sum, o| {
        sum.saturating_add(o.packs.saturating_mul(o.pack))
    });
    let bought = buy(&build, 0, 0, wanted as usize).ok_or(sold)?;
    let mut left = wanted;
    let mut lines = Vec::new();
    for (index, packs) in bought {
        let (Some(own), Some(currency)) = (build.offers.get(index), currency) else {
            return Err(sold);
        };
        let quantity = packs.saturating_mul(own.pack);
        let seated = quantity.min(left);
        left -= seated;
        lines.push(Line {
            part: own.part,
            quantity,
            seated,
            cost: Money {
                minor: own.pack_price.saturating_mul(i64::from(packs)),
                currency,
            },
        });
    }
    Ok(lines)
}

/// Whether two parts are the same module but for what it is sold for.
fn is_same(request: &Request, one: PartIx, other: PartIx) -> bool {
    let bare = |part: PartIx| {
        let mut facts = ModuleFacts::clone(request.part(part)?);
        (facts.price, facts.stock, facts.pack) = (None, None, None);
        Module::checked(facts).ok()
    };
    one == other || bare(one).is_some_and(|one| Some(one) == bare(other))
}

/// Where a kit goes best.
#[derive(Clone, Debug)]
pub enum Placing {
    /// Nowhere is it worth more by the preference.
    Best(Box<Plan>),
    /// The best that was found before the search was cut.
    Found(Box<Plan>),
    /// No place meets every demand.
    None,
    /// The search was cut, or something hangs on a missing fact.
    Unknown,
}

/// The best place of a kit by the task's preference, with these installed modules out besides what
/// must come out anyway. The lines say what it costs.
pub fn place_best(task: &Task<'_>, kit: &[KitLine], lines: &[Line], removed: &[u32]) -> Placing {
    let whole = whole_cost(lines);
    let mut own = copy(task);
    own.for_sale = Vec::new();
    let request = &mut own.request;
    let before = request.installed.len();
    request.removed = removed.to_vec();
    if request.installed_policy == InstalledPolicy::Replace {
        request.removed = (0..before as u32).collect();
    }
    for line in kit {
        let seat = Seated {
            part: line.part,
            slot: None,
        };
        let entries = std::iter::repeat_n(seat, line.quantity as usize);
        request.installed.extend(entries);
    }
    // What stays in place stays there; that the kit has no slot yet leaves nothing open.
    if request.installed_policy != InstalledPolicy::InPlace {
        request.installed_policy = InstalledPolicy::Keep;
    } else if let Some(rule) = index_of("installed-slot-not-told") {
        own.ignored.add(rule);
    }
    if let Some(wish) = &mut own.request.wishes.budget {
        wish.value.minor = wish.value.minor.saturating_sub(whole);
        if wish.value.minor < 0 {
            return Placing::None;
        }
    }
    let mut answer = solve(&own);
    let plan = answer.plans.pop();
    let plan = plan.map(|plan| Box::new(as_bought(task, plan, kit, lines, before)));
    match (answer.status, plan) {
        (Status::Proven, Some(plan)) => Placing::Best(plan),
        (_, Some(plan)) => Placing::Found(plan),
        (Status::Infeasible, None) => Placing::None,
        (_, None) => Placing::Unknown,
    }
}

fn whole_cost(lines: &[Line]) -> i64 {
    let costs = lines.iter().map(|line| line.cost.minor);
    costs.fold(0, i64::saturating_add)
}

/// A plan in which the kit's modules are bought and not installed.
fn as_bought(task: &Task<'_>, plan: Plan, kit: &[KitLine], lines: &[Line], before: usize) -> Plan {
    let mut population = Population::empty(task.board);
    // Which line of the kit the entries past the installed ones are of.
    let line_of = (0u32..).zip(kit);
    let line_of: Vec<u32> = line_of
        .flat_map(|(index, line)| std::iter::repeat_n(index, line.quantity as usize))
        .collect();
    for (slot, occupant) in plan.population.occupied() {
        let origin = match occupant.origin {
            Origin::Installed(index) if index as usize >= before => {
                let line = line_of.get(index as usize - before);
                Origin::Kit(line.copied().unwrap_or(0))
            }
            other => other,
        };
        population.seat(slot, Occupant { origin, ..occupant });
    }
    seated(task, population, plan.outcome, plan.model, lines)
}

/// The plan that a population is, bought in these lines.
pub fn seated(
    task: &Task<'_>,
    population: Population,
    outcome: Outcome,
    model: Option<usize>,
    lines: &[Line],
) -> Plan {
    let stacks: Vec<Stack> = task
        .board
        .all_channels()
        .map(|channel| Stack::of(population.on_channel(task.board, channel)))
        .collect();
    let (mut kept, mut moved, mut removed) = (Vec::new(), Vec::new(), Vec::new());
    for (index, entry) in (0u32..).zip(&task.request.installed) {
        let mut seats = population.occupied();
        let seat = seats.find(|(_, occupant)| occupant.origin == Origin::Installed(index));
        match (seat.map(|(slot, _)| slot), entry.slot) {
            (None, _) => removed.push(index),
            (Some(now), Some(home)) if now == home => kept.push(index),
            (Some(_), Some(_)) => moved.push(index),
            (Some(_), None) => {}
        }
    }
    let changed = moved.len() + removed.len();
    let cost = Cost {
        modules: whole_cost(lines),
        handling: task.handling.saturating_mul(changed as i64),
    };
    Plan {
        values: Values::of_board(&task.request, &stacks, &outcome, cost, changed),
        lines: lines.to_vec(),
        kept,
        moved,
        removed,
        population,
        stacks,
        outcome,
        model,
        cost,
    }
}

impl<'a> Task<'a> {
    /// The same task, for one plan.
    pub fn copy(&self) -> Self {
        copy(self)
    }
}

/// The same task with no wish and no limit: what the rules alone allow.
pub fn without_wishes<'a>(task: &Task<'a>) -> Task<'a> {
    let mut own = copy(task);
    own.request.wishes = Default::default();
    own.limits = Limits::default();
    own
}

/// Demands that a plan does not meet and no rule speaks of: the budget, limits, and the balance of
/// builds.
pub fn unmet(task: &Task<'_>, plan: &Plan) -> Vec<Demand> {
    let (limits, values) = (&task.limits, &plan.values);
    let below = |least: Option<MegabytesPerSecond>, value: i64| {
        least.is_some_and(|least| u64::try_from(value).unwrap_or(0) < least.0)
    };
    let budget = task.request.wishes.budget;
    let most_builds = limits.builds_at_most.map(usize::from);
    let most_moved = limits.moved_at_most.map(i64::from);
    let shapes = Shapes::of(task, plan);
    let all = [
        (
            Demand::Budget,
            budget.is_some_and(|wish| values.cost > wish.value.minor),
        ),
        (Demand::Peak, below(limits.peak_at_least, values.peak)),
        (
            Demand::Uniform,
            below(limits.uniform_at_least, values.uniform),
        ),
        (Demand::Balance, shapes.is_uneven(task)),
        (Demand::OnePart, limits.one_part && values.parts > 1),
        (
            Demand::Builds,
            most_builds.is_some_and(|most| shapes.builds > most),
        ),
        (
            Demand::Moved,
            most_moved.is_some_and(|most| values.moved > most),
        ),
    ];
    let broken = all.into_iter().filter(|(_, broken)| *broken);
    broken.map(|(demand, _)| demand).collect()
}

/// Which builds each working channel holds.
struct Shapes {
    /// By socket, one entry for each working channel.
    channels: Vec<(u8, Vec<u16>)>,
    /// Distinct builds on the board.
    builds: usize,
}

impl Shapes {
    fn of(task: &Task<'_>, plan: &Plan) -> Self {
        let bare = scene::bare(task);
        let models = scene::models(task);
        let setups = scene::setups(task, &bare, &models);
        let mut everything = copy(task);
        everything.for_sale = plan.stacks.iter().flat_map(|stack| stack.parts()).collect();
        let battery = Battery::new(task.board, &task.ignored);
        let builds = Builds::of(&everything, &setups, &battery, false);
        let works = |socket: u8, channel: u8| {
            setups.iter().all(|setup| {
                setup.is_fitted(socket) && setup.channel_works(socket, channel) == Some(true)
            })
        };
        let mut channels = Vec::new();
        for (channel, stack) in task.board.all_channels().zip(&plan.stacks) {
            let (socket, number) = task.board.address(channel);
            if works(socket, number) {
                let mut held: Vec<u16> = stack
                    .parts()
                    .filter_map(|part| builds.make_of(part))
                    .collect();
                held.sort_unstable();
                channels.push((socket, held));
            }
        }
        let mut distinct: Vec<u16> = channels.iter().flat_map(|(_, held)| held.clone()).collect();
        distinct.sort_unstable();
        distinct.dedup();
        Self {
            channels,
            builds: distinct.len(),
        }
    }

    /// Whether the balance that the task wishes does not hold.
    fn is_uneven(&self, task: &Task<'_>) -> bool {
        match task.request.wishes.balance.map(|wish| wish.value) {
            None => false,
            Some(Balance::Channels) => self.channels.windows(2).any(|pair| match pair {
                [(_, one), (_, other)] => one != other,
                _ => false,
            }),
            Some(Balance::Sockets) => {
                let mut sockets: Vec<u8> = self.channels.iter().map(|(s, _)| *s).collect();
                sockets.dedup();
                let held = |socket: u8| {
                    let own = self.channels.iter().filter(|(other, _)| *other == socket);
                    let mut own: Vec<&[u16]> = own.map(|(_, held)| held.as_slice()).collect();
                    own.sort_unstable();
                    // Channels that hold nothing do not count.
                    own.retain(|held| !held.is_empty());
                    own
                };
                let mut all = sockets.iter().map(|socket| held(*socket));
                let first = all.next();
                all.any(|other| Some(other) != first)
            }
        }
    }
}
