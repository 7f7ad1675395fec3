//! What it costs to have so many modules of a build.
//!
//! Offers of one build differ only in price, pack and stock, and installed modules are free, so the
//! cheapest way to have `q` modules is a function of `q` alone. Packs of one size are taken in
//! rising price, which is best whatever their number; the sizes are joined by trying every split.

use super::build::{Build, Offer};
use super::small::at;

/// The cheapest ways to have modules of a build at a rate and voltage.
#[derive(Clone, Debug, Default)]
pub struct Purchase {
    /// Installed modules that serve; they are used first, since prices are not negative.
    pub free: u32,
    /// Installed modules that must be used: no fewer are had.
    pub must: u32,
    /// Installed modules that count as left in their slots as soon as there are as many modules.
    pub stay: u32,
    /// Cost of having 0, 1, 2, ... modules, as many as can be had; never falling.
    pub cost: Vec<i64>,
}

/// More than any price: a quantity that can't be had.
const NEVER: i64 = i64::MAX / 4;

impl Purchase {
    /// Of a build at a rate and voltage, for at least and at most so many modules.
    pub fn of(build: &Build, rate: u32, supply: usize, must: u32, most: usize) -> Self {
        let serves = build
            .installed
            .iter()
            .filter(|own| own.runs.serves(rate, supply));
        let free = serves.count() as u32;
        let offers = || build.offers.iter().filter(|o| o.runs.serves(rate, supply));
        let bought = Bought::of(offers(), most);
        let have = |q: usize| {
            let need = q.saturating_sub(free as usize);
            let cost = bought.least.get(need).copied().unwrap_or(NEVER);
            (cost < NEVER).then_some(cost)
        };
        Self {
            free,
            must,
            stay: 0,
            cost: (0..=most).map_while(have).collect(),
        }
    }

    /// Of a build that is not used.
    pub fn nothing() -> Self {
        Self {
            free: 0,
            must: 0,
            stay: 0,
            cost: vec![0],
        }
    }

    /// The quantities that can be had, with their costs.
    pub fn choices(&self) -> impl Iterator<Item = (usize, i64)> {
        let costs = self.cost.iter().copied().enumerate();
        costs.skip(self.must as usize)
    }

    /// The most modules that can be had.
    pub fn most(&self) -> usize {
        self.cost.len().saturating_sub(1)
    }

    /// The installed modules that count as left in their slots with so many.
    pub fn kept(&self, quantity: usize) -> u32 {
        self.stay.min(quantity as u32)
    }

    /// The cost of having so many.
    pub fn at(&self, quantity: usize) -> Option<i64> {
        self.cost.get(quantity).copied()
    }
}

/// The cheapest ways to buy.
struct Bought {
    /// Cost of buying at least 0, 1, 2, ... modules.
    least: Vec<i64>,
    /// Cost of buying exactly so many with the pack sizes up to each, and the sizes.
    stages: Vec<Stage>,
}

struct Stage {
    pack: u32,
    /// Cost of the 0, 1, 2, ... cheapest packs of this size.
    packs: Vec<i64>,
    /// Cost of exactly so many modules with packs up to this size.
    exact: Vec<i64>,
}

impl Bought {
    fn of<'a>(offers: impl Iterator<Item = &'a Offer> + Clone, most: usize) -> Self {
        // A pack of more than can be needed counts as one of just that many.
        let size = |offer: &Offer| offer.pack.min(most.max(1) as u32);
        let mut sizes: Vec<u32> = offers.clone().map(size).collect();
        sizes.sort_unstable();
        sizes.dedup();
        let largest = sizes.last().copied().unwrap_or(1) as usize;
        // A pack more than needed covers every way that leaves modules over.
        let reach = most + largest - 1;
        let mut stages: Vec<Stage> = Vec::new();
        for pack in sizes {
            let own = offers.clone().filter(|offer| size(offer) == pack);
            let packs = cheapest_packs(own, reach.div_ceil(pack as usize));
            let exact = match stages.last() {
                Some(before) => join(&before.exact, pack as usize, &packs, reach),
                None => join(&[0], pack as usize, &packs, reach),
            };
            stages.push(Stage { pack, packs, exact });
        }
        let exact: &[i64] = stages.last().map_or(&[0], |stage| &stage.exact);
        let mut least = exact.to_vec();
        let mut best = NEVER;
        for cost in least.iter_mut().rev() {
            best = best.min(*cost);
            *cost = best;
        }
        Self { least, stages }
    }
}

/// The cost of the 0, 1, 2, ... cheapest packs.
fn cheapest_packs<'a>(offers: impl Iterator<Item = &'a Offer>, most: usize) -> Vec<i64> {
    let mut own: Vec<(i64, u32)> = offers.map(|o| (o.pack_price, o.packs)).collect();
    own.sort_unstable();
    let mut sums = vec![0i64];
    let mut total = 0i64;
    for (price, packs) in own {
        let room = (most + 1).saturating_sub(sums.len());
        for _ in 0..room.min(packs as usize) {
            total = total.saturating_add(price);
            sums.push(total);
        }
    }
    sums
}

/// Adds packs of one size to what smaller ones give.
fn join(before: &[i64], pack: usize, packs: &[i64], reach: usize) -> Vec<i64> {
    let mut exact = vec![NEVER; reach + 1];
    if let [0] = before {
        for (slot, cost) in exact.iter_mut().step_by(pack).zip(packs) {
            *slot = *cost;
        }
        return exact;
    }
    for (count, cost) in packs.iter().enumerate() {
        let targets = exact.iter_mut().skip(count * pack);
        for (slot, own) in targets.zip(before) {
            *slot = (*slot).min(own.saturating_add(*cost));
        }
    }
    exact
}

/// How many packs of each offer to buy for so many modules at the least cost, with as few left over
/// as that allows; cheaper offers first, then earlier parts. `None` if they can't be had.
pub fn buy(build: &Build, rate: u32, supply: usize, need: usize) -> Option<Vec<(usize, u32)>> {
    if need == 0 {
        return Some(Vec::new());
    }
    let serving = || build.offers.iter().filter(|o| o.runs.serves(rate, supply));
    let bought = Bought::of(serving(), need);
    let cost = bought.least.get(need).copied().filter(|c| *c < NEVER)?;
    let last = bought.stages.last()?;
    let exact = (need..last.exact.len()).find(|count| at(&last.exact, *count) == cost)?;
    let mut left = exact;
    let mut counts: Vec<(u32, usize)> = Vec::new();
    for (index, stage) in bought.stages.iter().enumerate().rev() {
        let before = index.checked_sub(1).and_then(|i| bought.stages.get(i));
        let rest = |count: usize| match before {
            Some(before) => before.exact.get(count).copied().unwrap_or(NEVER),
            None if count == 0 => 0,
            None => NEVER,
        };
        let pack = stage.pack as usize;
        let goal = at(&stage.exact, left);
        let mut tries = 0..=left / pack;
        let fits = |packs: &usize| {
            let own = stage.packs.get(*packs).copied().unwrap_or(NEVER);
            rest(left - packs * pack).saturating_add(own) == goal
        };
        let packs = tries.find(fits)?;
        counts.push((stage.pack, packs));
        left -= packs * pack;
    }
    let mut order: Vec<usize> = (0..build.offers.len()).collect();
    order.sort_by_key(|index| build.offers.get(*index).map(|o| (o.pack_price, o.part)));
    let mut taken = Vec::new();
    for index in order {
        let Some(offer) = build.offers.get(index) else {
            continue;
        };
        if !offer.runs.serves(rate, supply) {
            continue;
        }
        let size = offer.pack.min(need as u32);
        if let Some((_, wanted)) = counts.iter_mut().find(|(pack, _)| *pack == size) {
            let packs = (*wanted).min(offer.packs as usize);
            *wanted -= packs;
            if packs > 0 {
                taken.push((index, packs as u32));
            }
        }
    }
    Some(taken)
}
