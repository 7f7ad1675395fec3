//! What does not change during a search: the board, its builds and columns, and how plans compare.

use super::super::board::Limit;
use super::super::board::policy::{Identity, MixPolicy};
use super::super::channel::Stack;
use super::super::request::{
    Balance, InstalledPolicy, KitLine, MOST_MODULES, PartIx, Request, SocketState, Wishes,
};
use super::super::rules::{Battery, Group, Matter, RULES, RuleSet, SocketView, Standing, index_of};
use super::super::setup::Setup;
use super::super::validate::distinct_models;
use super::build::{Build, Builds, Installed, is_levelled, values_bandwidth};
use super::columns::{Class, Grounds, home_of, homes_matter};
use super::leaf::{Judged, Level};
use super::model::{Key, Plan, Preference, Task, Values, hard};
use super::search::Pool;
use super::small::{add, at};

/// What does not change during a search.
pub struct Scene<'s, 'a> {
    pub task: &'s Task<'a>,
    /// The request with every wish hard, without kit and population.
    pub request: &'s Request,
    /// One for each processor model that may be fitted, with nothing seated and no wishes.
    pub setups: &'s [Setup<'s>],
    /// The models of `setups`.
    pub models: &'s [Option<usize>],
    pub battery: &'s Battery,
    pub builds: &'s Builds,
    pub classes: &'s [Class],
    /// Which builds go together on a board, as masks.
    pub friends: &'s [u128],
    pub weights: Weights,
    pub bounds: Bounds,
    /// Installed modules that have a slot.
    pub homes: u32,
    /// How many modules of each build there must be, where that is given.
    pub only: Option<Vec<u32>>,
    /// The most different capacities on the board; `None` for any number.
    pub capacities: Option<usize>,
    /// What was installed on each channel, where that decides nothing: plans of equal worth still
    /// leave it where it is. Empty where it decides, or nothing is installed.
    pub settled: Vec<Stack>,
}

/// What counts and usable amounts must keep within.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// Usable MiB at least.
    pub least: u64,
    /// Usable MiB at most.
    pub most: u64,
    /// Modules at most.
    pub modules: u32,
    /// Peak power at most, in mW.
    pub power: u64,
    /// Cost at most.
    pub budget: i64,
    /// Installed modules moved or taken out, at most.
    pub moved: u32,
    /// Rate at least.
    pub rate: u32,
    /// Builds at most.
    pub builds: u32,
    /// Slots of channels that work.
    pub slots: u32,
    /// Units that must hold a module: one for each socket that may not stay empty.
    pub filled: u32,
}

/// Weights of one sum that compares plans like the preference does.
#[derive(Clone, Debug, Default)]
pub struct Weights {
    /// By key, in the order of [`Key::ALL`]; not negative.
    by_key: [i128; 10],
    /// The weight of one of a weighted sum.
    whole: i128,
    /// Whether keys are left that the sum had no room for: equal sums may still differ.
    pub has_tail: bool,
}

/// The sum is scaled by this, so that prices per MiB lose little when they are rounded.
pub const SCALE: i128 = 1 << 16;

impl Weights {
    /// The weight of a key, scaled.
    pub fn of(&self, key: Key) -> i128 {
        at(&self.by_key, key as usize)
    }

    /// The scaled sum.
    pub fn sum(&self, values: &Values) -> i128 {
        let terms = Key::ALL.iter().map(|key| {
            let value = i128::from(values.of(*key));
            key.sign() * value.saturating_mul(self.of(*key))
        });
        terms.sum()
    }

    /// The least first score that a sum of so much allows: the later keys together never reach the
    /// weight of the first.
    pub fn first_of(&self, preference: &Preference, sum: i128) -> i128 {
        let weight = match preference {
            Preference::Weighted(_) => self.whole,
            Preference::Ordered(keys) => keys.first().map_or(SCALE, |key| self.of(*key)),
        };
        sum.div_euclid(weight.max(1))
    }

    /// From a preference, the keys that decide among equals, and the largest value that each key may
    /// have.
    fn new(preference: &Preference, ties: &[Key], most: impl Fn(Key) -> i128) -> Self {
        let mut weights = Self::default();
        let span = |key: Key| most(key).max(0) + 1;
        let mut room: i128 = 1 << 100;
        let mut keys: Vec<Key> = Vec::new();
        match preference {
            Preference::Ordered(own) => keys.extend(own),
            Preference::Weighted(list) => {
                // Nothing is told apart below a sum that leaves no room.
                let terms = list.iter();
                let sum: i128 = terms.map(|(key, by)| i128::from(*by) * span(*key)).sum();
                room /= sum.max(1);
            }
        }
        keys.extend(ties);
        // From the first key on, as far as the sum has room.
        let mut taken: Vec<Key> = Vec::new();
        for key in keys {
            if taken.contains(&key) {
                continue;
            }
            if span(key) > room {
                weights.has_tail = true;
                break;
            }
            room /= span(key);
            taken.push(key);
        }
        let mut weight = SCALE;
        for key in taken.iter().rev() {
            add(&mut weights.by_key, *key as usize, weight);
            weight *= span(*key);
        }
        weights.whole = weight;
        if let Preference::Weighted(list) = preference {
            for (key, by) in list {
                let own = i128::from(*by) * weight;
                add(&mut weights.by_key, *key as usize, own);
            }
        }
        weights
    }
}

/// The processor models that a plan must suit: one of each that differs, where none is told.
pub fn models(task: &Task<'_>) -> Vec<Option<usize>> {
    let untold = match &task.request.sockets {
        None => true,
        Some(sockets) => sockets.contains(&SocketState::Fitted(None)),
    };
    if untold {
        distinct_models(task.board, task.request.sockets.as_deref())
            .into_iter()
            .map(Some)
            .collect()
    } else {
        vec![None]
    }
}

/// The setups of a request for each of these models.
pub fn setups<'r>(
    task: &Task<'r>,
    request: &'r Request,
    models: &[Option<usize>],
) -> Vec<Setup<'r>> {
    let of = |model: &Option<usize>| Setup::new(task.board, request, *model);
    models.iter().filter_map(of).collect()
}

/// The rules of mixing alone: what they say of a kit does not hang on how much of it there is.
pub fn mixing_rules(task: &Task<'_>) -> Battery {
    mixing_rules_but(task, None)
}

/// The same without one.
fn mixing_rules_but(task: &Task<'_>, left_out: Option<usize>) -> Battery {
    let counts = |rule: &usize| {
        let own = RULES.get(*rule);
        own.is_some_and(|own| own.group == Group::Mix)
            && !task.ignored.has(*rule)
            && Some(*rule) != left_out
    };
    let others = (0..RULES.len()).filter(|rule| !counts(rule));
    Battery::new(task.board, &RuleSet::of(others))
}

/// The request that columns are judged with: nothing seated, and of the wishes only those that
/// single modules and channels are judged by.
pub fn bare(task: &Task<'_>) -> Request {
    let mut request = hard(&task.request);
    request.kit = Vec::new();
    request.population = Vec::new();
    request.installed = Vec::new();
    request.removed = Vec::new();
    let Wishes {
        chip_correction,
        rank_interleave,
        ..
    } = request.wishes;
    request.wishes = Wishes {
        chip_correction,
        rank_interleave,
        ..Default::default()
    };
    request
}

/// Which builds go together on the board: the rules of a kit are asked about two modules of each
/// two builds that differ in something that the board's mixing policy speaks of.
/// Rules that leave it open are added.
pub fn friends(grounds: &Grounds<'_, '_>, open: &mut RuleSet) -> Vec<u128> {
    let builds = &grounds.builds.list;
    let mut masks = vec![u128::MAX; builds.len()];
    let Some(setup) = grounds.setups.first().filter(|_| builds.len() <= 128) else {
        return masks;
    };
    // Builds with one signature go together with the same others.
    let mut signatures: Vec<(Vec<u64>, Vec<usize>)> = Vec::new();
    for (index, build) in builds.iter().enumerate() {
        let own = signature(setup, build);
        match signatures.iter_mut().find(|(known, _)| *known == own) {
            Some((_, members)) => members.push(index),
            None => signatures.push((own, vec![index])),
        }
    }
    // The pair that is asked stands for all of two signatures. Where these do not tell capacities, how
    // many of them there may be is no matter of the pair: [`most_capacities`] asks for that.
    let by_capacity = setup.board.mixing.capacities.speaks();
    let plain = (!by_capacity && signatures.len() > 1)
        .then(|| mixing_rules_but(grounds.task, index_of("too-many-capacities")));
    let rules = plain.as_ref().unwrap_or(grounds.mixing);
    for (first, (_, ones)) in signatures.iter().enumerate() {
        // What is left unasked does not matter to a search that ends here.
        if (grounds.task.stop)() {
            break;
        }
        for (_, others) in signatures.iter().skip(first + 1) {
            let (Some(a), Some(b)) = (ones.first(), others.first()) else {
                continue;
            };
            let (Some(one), Some(other)) = (builds.get(*a), builds.get(*b)) else {
                continue;
            };
            if go_together(grounds, rules, &[one.part, other.part], open) {
                continue;
            }
            for (from, to) in [(ones, others), (others, ones)] {
                for index in from {
                    if let Some(mask) = masks.get_mut(*index) {
                        *mask &= !to.iter().fold(0u128, |all, bit| all | 1 << (bit & 127));
                    }
                }
            }
        }
    }
    masks
}

/// What the mixing policy may tell builds apart by; the number of capacities aside.
fn signature(setup: &Setup<'_>, build: &Build) -> Vec<u64> {
    let Some(module) = setup.request.part(build.part) else {
        return Vec::new();
    };
    let mixing = &setup.board.mixing;
    let mut own = Vec::new();
    let mut tell = |policy: MixPolicy, value: Option<u64>| {
        own.push(if policy.speaks() {
            value.map_or(0, |value| value + 1)
        } else {
            0
        });
    };
    let kind = module.kind.map(|kind| kind as u64);
    tell(mixing.kinds, kind);
    tell(mixing.ecc, kind);
    tell(mixing.stacks, module.stack_height.map(u64::from));
    tell(mixing.widths, module.width.map(|width| width.bits()));
    tell(
        mixing.die_densities,
        module.die_density.map(|d| u64::from(d.0)),
    );
    tell(mixing.ecc_bits, module.ecc_bits.map(u64::from));
    tell(mixing.ranks, module.package_ranks.map(u64::from));
    tell(mixing.capacities, module.capacity.map(|mib| mib.0));
    // Names are compared by the part that has them.
    tell(mixing.part_numbers, Some(u64::from(build.part.0)));
    tell(mixing.product_lines, Some(u64::from(build.part.0)));
    tell(mixing.dram_makers, Some(u64::from(build.part.0)));
    own
}

/// The most different capacities that the rules of a kit let on one board; `None` for as many as there
/// are, as where the board has no limit. Asked with builds that go together, of one capacity more each
/// time.
/// Rules that leave it open are added.
pub fn most_capacities(grounds: &Grounds<'_, '_>, open: &mut RuleSet) -> Option<usize> {
    let setup = grounds.setups.first()?;
    if setup.board.mixing.capacities_per_board == Limit::None {
        return None;
    }
    let builds = &grounds.builds.list;
    let mut most = 0;
    let mut all = 0;
    for (index, build) in builds.iter().enumerate().take(128) {
        let friends = at(grounds.friends, index);
        let mut chosen = vec![build];
        let mut mask = 1u128 << index;
        for (other, next) in builds.iter().enumerate().take(128) {
            let fits = friends >> other & 1 == 1 && mask & !at(grounds.friends, other) == 0;
            if fits && chosen.iter().all(|own| own.capacity != next.capacity) {
                chosen.push(next);
                mask |= 1 << other;
            }
        }
        if chosen.len() <= all {
            continue;
        }
        all = chosen.len();
        let parts: Vec<PartIx> = chosen.iter().map(|build| build.part).collect();
        let mut passes = |count: &usize| {
            let some = parts.get(..*count).unwrap_or(&[]);
            go_together(grounds, grounds.mixing, some, open)
        };
        // Two of them may go together only in some order of asking, so the largest counts.
        most = most.max((1..=all).rev().find(|count| passes(count)).unwrap_or(1));
    }
    (most < all).then_some(most)
}

fn go_together(
    grounds: &Grounds<'_, '_>,
    rules: &Battery,
    parts: &[PartIx],
    open: &mut RuleSet,
) -> bool {
    let models = grounds.setups.iter().zip(grounds.models);
    let asked = models.map(|(setup, model)| {
        let own = parts
            .iter()
            .filter_map(|part| setup.request.parts.get(usize::from(part.0)).cloned());
        let own: Vec<_> = own.collect();
        let lines = (0..own.len() as u16).map(|part| KitLine {
            part: PartIx(part),
            quantity: 1,
        });
        let request = Request {
            kit: lines.collect(),
            parts: own,
            sockets: setup.request.sockets.clone(),
            firmware: setup.request.firmware.clone(),
            ..Request::default()
        };
        Setup::new(setup.board, &request, *model).map_or(Standing::Blocked, |kit| {
            let standing = rules.ask(Matter::Kit(&kit));
            if standing == Standing::Open {
                *open = open.and(rules.open(Matter::Kit(&kit)));
            }
            standing
        })
    });
    asked.max() == Some(Standing::Clear)
}

impl<'s, 'a> Scene<'s, 'a> {
    /// Puts it all together.
    pub fn new(
        request: &'s Request,
        grounds: &Grounds<'s, 'a>,
        models: &'s [Option<usize>],
        classes: &'s [Class],
        friends: &'s [u128],
    ) -> Self {
        let task = grounds.task;
        let homes = task.request.installed.iter().filter(|e| e.slot.is_some());
        let bounds = bounds(request, grounds, classes);
        let settled = if homes_matter(task) || task.request.installed.is_empty() {
            Vec::new()
        } else {
            let channels = task.board.all_channels();
            channels.map(|channel| home_of(task, channel)).collect()
        };
        let installed = task.request.installed.len() as u32;
        let weights = weights(task, grounds.builds, &bounds, installed);
        Self {
            task,
            request,
            setups: grounds.setups,
            models,
            battery: grounds.battery,
            builds: grounds.builds,
            classes,
            friends,
            weights,
            bounds,
            homes: homes.count() as u32,
            only: None,
            capacities: None,
            settled,
        }
    }

    /// What no plan within the limits reaches: the first key's limit and one more. The later keys
    /// together never make up for one of the first.
    pub fn cap(&self) -> Option<i128> {
        let Preference::Ordered(keys) = &self.task.preference else {
            return None;
        };
        let key = *keys.first()?;
        let bounds = &self.bounds;
        let most = match key {
            Key::Cost => (bounds.budget < i64::MAX).then_some(i128::from(bounds.budget)),
            Key::Power => (bounds.power < u64::MAX).then_some(i128::from(bounds.power)),
            Key::Modules => Some(i128::from(bounds.modules)),
            Key::Moved => (bounds.moved < u32::MAX).then_some(i128::from(bounds.moved)),
            Key::Usable => Some(-i128::from(bounds.least)),
            Key::Rate => Some(-i128::from(bounds.rate)),
            Key::Peak | Key::Uniform | Key::FreeSlots | Key::Parts => None,
        };
        Some((most? + 1).saturating_mul(self.weights.of(key)))
    }

    /// Whether a plan is known to keep within the limits that a finished one is held to.
    pub fn keeps_limits(&self, plan: &Plan) -> bool {
        let moved = u32::try_from(plan.values.moved).unwrap_or(u32::MAX);
        moved <= self.bounds.moved && plan.values.cost <= self.bounds.budget
    }

    /// Takes a plan that is known already.
    pub fn take(&self, plan: &Plan, pool: &mut Pool) {
        if !self.keeps_limits(plan) {
            return;
        }
        let mut counts = vec![0; self.builds.list.len()];
        for part in plan.stacks.iter().flat_map(Stack::parts) {
            if let Some(build) = self.builds.build_of(part) {
                add(&mut counts, build, 1);
            }
        }
        let mut judged = self.judge(plan.clone());
        if self.task.limits.moves_at_best {
            // Plans are compared by their sums there: this one's with all that it moves.
            judged.score = vec![judged.sum];
        }
        pool.take(counts, judged);
    }

    /// What a plan is compared by.
    pub fn judge(&self, plan: Plan) -> Judged {
        Judged {
            sum: self.weights.sum(&plan.values),
            score: self.task.preference.score(&plan.values),
            plan,
        }
    }

    /// What one installed module that does not stay costs, scaled.
    pub fn moving(&self) -> i128 {
        i128::from(self.task.handling) * self.weights.of(Key::Cost) + self.weights.of(Key::Moved)
    }

    /// How many installed modules of a build count as left in their slots if there are as many on the
    /// board; nothing unless moves count at best.
    pub fn stay_at_best(&self, build: &Build, level: Level) -> u32 {
        if !self.task.limits.moves_at_best {
            return 0;
        }
        let stays = |one: &&Installed| {
            let entry = self.request.installed.get(one.index as usize);
            one.runs.serves(level.rate, level.supply)
                && entry.is_some_and(|entry| entry.slot.is_some())
        };
        build.installed.iter().filter(stays).count() as u32
    }

    /// Whether there may be modules of a build.
    pub fn may_have(&self, build: usize) -> bool {
        self.only.as_ref().is_none_or(|only| at(only, build) > 0)
    }

    /// Whether all channels run at one rate.
    pub fn is_levelled(&self) -> bool {
        self.setups.first().is_some_and(is_levelled)
    }

    /// Whether where columns go, channels and sockets that are alike, changes what a plan is worth.
    pub fn place_matters(&self) -> bool {
        self.weights.of(Key::Uniform) > 0
            || self.weights.has_tail
            || self.task.limits.uniform_at_least.is_some()
            || (!self.is_levelled()
                && (self.weights.of(Key::Peak) > 0 || self.task.limits.peak_at_least.is_some()))
    }

    /// Whether a higher rate makes a plan worth more, or counts for a limit.
    pub fn values_rate(&self) -> bool {
        let keys = [Key::Rate, Key::Peak, Key::Uniform];
        keys.iter().any(|key| self.weights.of(*key) > 0)
            || self.weights.has_tail
            || self.task.limits.peak_at_least.is_some()
            || self.task.limits.uniform_at_least.is_some()
    }

    /// The balance that was wished.
    pub fn balance(&self) -> Option<Balance> {
        self.request.wishes.balance.map(|wish| wish.value)
    }

    /// How many sockets hold the same units of every class and may be filled alike where that is
    /// wished; 1 where they differ in what is installed.
    ///
    /// Of sockets with the same makes, filling all like the one that gives most is worth as much as
    /// any other way: as long as that makes no difference to what is bought, and more is no worse.
    pub fn equal_sockets(&self) -> u32 {
        if self.balance() != Some(Balance::Sockets) || !self.builds.are_makes() {
            return 1;
        }
        let Some(setup) = self.setups.first() else {
            return 1;
        };
        // Only groups of channels give more or less with the same modules.
        let grouped = setup.request.protection.joins_channels();
        let by_capacity = setup
            .offer()
            .is_some_and(|offer| offer.identical.contains(&Identity::Capacity));
        let varies = grouped && (!by_capacity || setup.leaves_groups_out());
        if varies && self.bounds.most < u64::MAX
            || values_bandwidth(self.task) && !self.is_levelled()
        {
            return 1;
        }
        let sockets: Vec<u8> = setup.fitted_sockets().collect();
        let fitted = self.classes.iter().filter(|class| class.fitted);
        let even = fitted.into_iter().all(|class| {
            let own = |socket: &u8| class.units.iter().filter(|u| u.socket == *socket).count();
            sockets
                .iter()
                .all(|socket| own(socket) * sockets.len() == class.units.len())
        });
        if even { sockets.len().max(1) as u32 } else { 1 }
    }

    /// Whether every installed module must stay.
    pub fn keeps_all(&self) -> bool {
        matches!(
            self.request.installed_policy,
            InstalledPolicy::Keep | InstalledPolicy::InPlace
        )
    }
}

fn bounds(request: &Request, grounds: &Grounds<'_, '_>, classes: &[Class]) -> Bounds {
    let wishes = &request.wishes;
    let limits = &grounds.task.limits;
    let slots: u32 = grounds.setups.first().map_or(0, |setup| {
        u32::try_from(setup.slots_where(|works| works == Some(true))).unwrap_or(u32::MAX)
    });
    let free = wishes.free_slots.map_or(0, |wish| u32::from(wish.value));
    let most = [wishes.capacity_at_most, wishes.licence];
    let most = most.into_iter().flatten().map(|wish| wish.value.0).min();
    let widest: usize = classes.iter().map(|class| class.units.len()).sum();
    Bounds {
        least: wishes.capacity_at_least.map_or(0, |wish| wish.value.0),
        most: most.unwrap_or(u64::MAX),
        modules: slots
            .saturating_sub(free)
            .min(slots.max(widest as u32))
            .min(MOST_MODULES),
        power: wishes.power_at_most.map_or(u64::MAX, |wish| wish.value.0),
        budget: wishes.budget.map_or(i64::MAX, |wish| wish.value.minor),
        moved: limits.moved_at_most.unwrap_or(u32::MAX),
        rate: wishes.rate_at_least.map_or(0, |wish| wish.value.0),
        builds: limits.builds_at_most.map_or(u32::MAX, u32::from),
        slots,
        filled: hungry_sockets(grounds),
    }
}

/// Sockets that the rules do not let stay empty.
fn hungry_sockets(grounds: &Grounds<'_, '_>) -> u32 {
    let Some(setup) = grounds.setups.first() else {
        return 0;
    };
    let stacks = vec![Stack::default(); usize::from(setup.board.channels)];
    let hungry = |socket: &u8| {
        let view = SocketView {
            setup,
            socket: *socket,
            stacks: &stacks,
        };
        grounds.battery.load(&view, &mut RuleSet::none()) == Standing::Blocked
    };
    setup.fitted_sockets().filter(hungry).count() as u32
}

fn weights(task: &Task<'_>, builds: &Builds, bounds: &Bounds, installed: u32) -> Weights {
    let slots = i128::from(bounds.slots);
    let offers = || builds.list.iter().flat_map(|build| &build.offers);
    let dearest = offers().map(|offer| offer.pack_price).max().unwrap_or(0);
    let handling = i128::from(task.handling) * i128::from(installed);
    let largest = builds.list.iter().map(|build| build.mib).max().unwrap_or(0);
    let hottest = builds
        .list
        .iter()
        .map(|build| build.power)
        .max()
        .unwrap_or(0);
    let board = task.board.rates.iter().map(|row| row.rate.0);
    let patterns = task.board.layouts.iter().flat_map(|row| &row.rates);
    let fastest = board.chain(patterns.map(|(_, rate)| rate.0)).max();
    let fastest = i128::from(fastest.unwrap_or(0));
    let channels = i128::from(task.board.sockets) * i128::from(task.board.channels);
    let limits = &task.limits;
    let ties = [
        limits.tie_cost.then_some(Key::Cost),
        limits.tie_moved.then_some(Key::Moved),
    ];
    let ties: Vec<Key> = ties.into_iter().flatten().collect();
    Weights::new(&task.preference, &ties, |key| match key {
        Key::Cost => (i128::from(dearest) * slots + handling).min(i128::from(bounds.budget)),
        Key::Usable => (i128::from(largest) * slots).min(i128::from(bounds.most)),
        Key::Rate => fastest,
        Key::Peak | Key::Uniform => fastest * 8 * channels,
        Key::Power => (i128::from(hottest) * slots).min(i128::from(bounds.power)),
        Key::Modules | Key::FreeSlots | Key::Parts => slots,
        Key::Moved => i128::from(installed),
    })
}
