//! Builds: modules that every rule sees alike. What is for sale and what is installed of each.

use super::super::board::policy::{Identity, Mix, MixPolicy};
use super::super::finding::Severity;
use super::super::module::{Module, ModuleFacts};
use super::super::request::{InstalledPolicy, PartIx};
use super::super::rules::{Matter, PartView, RuleSet, Standing, index_of};
use super::super::setup::Setup;
use super::super::timing::rating_on;
use super::super::units::{Currency, Millivolts};
use super::model::Task;
use super::small::at;

/// Modules that differ in nothing that a rule looks at, rating and supply voltages aside.
#[derive(Debug)]
pub struct Build {
    /// A part that stands for all of them when rules are asked.
    pub part: PartIx,
    /// Capacity in MiB.
    pub mib: u64,
    /// What the rules compare as its capacity, in MiB; main memory may be less.
    pub capacity: u64,
    /// Package ranks, for trying likely orders first.
    pub ranks: u8,
    /// Peak power in mW; 0 where it is not told.
    pub power: u64,
    /// Parts for sale.
    pub offers: Vec<Offer>,
    /// Installed modules that may be used.
    pub installed: Vec<Installed>,
}

/// A part for sale.
#[derive(Clone, Debug)]
pub struct Offer {
    /// Which.
    pub part: PartIx,
    /// How fast and at which voltages it runs.
    pub runs: Runs,
    /// Price of a whole pack in minor units.
    pub pack_price: i64,
    /// Modules in a pack.
    pub pack: u32,
    /// Packs in stock.
    pub packs: u32,
}

/// An installed module.
#[derive(Clone, Debug)]
pub struct Installed {
    /// Its index in the request.
    pub index: u32,
    /// Which part.
    pub part: PartIx,
    /// How fast and at which voltages it runs.
    pub runs: Runs,
}

/// What decides whether a module serves at a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Runs {
    /// Its rating in MT/s; 0 where it is not told.
    pub rating: u32,
    /// The board's voltages that it does not refuse, one bit each.
    pub supplies: u16,
}

impl Runs {
    /// Of a module on a board.
    pub fn of(setup: &Setup<'_>, part: PartIx) -> Self {
        let module = setup.request.part(part);
        let bits = setup.board.supply.iter().enumerate();
        let takes = |mv: &Millivolts| !setup.refuses(part, *mv);
        Self {
            rating: module
                .and_then(|m| rating_on(&setup.board.rate_steps, m))
                .map_or(0, |rate| rate.0),
            supplies: bits
                .filter(|(_, mv)| takes(mv))
                .fold(0, |mask, (bit, _)| mask | 1 << (bit & 15)),
        }
    }

    /// Whether it serves at a rate and voltage.
    pub fn serves(self, rate: u32, supply: usize) -> bool {
        self.rating >= rate && self.supplies >> (supply & 15) & 1 == 1
    }
}

/// Which facts beyond the usual ones tell builds apart on this board.
struct Tells {
    part_number: bool,
    product_line: bool,
    dram_maker: bool,
    timing: bool,
    supply: bool,
    each_part: bool,
}

impl Tells {
    fn of(task: &Task<'_>, setup: &Setup<'_>, each_part: bool) -> Self {
        let board = setup.board;
        let matters = |policy: MixPolicy| {
            [policy.channel, policy.socket, policy.board]
                .iter()
                .any(|mix| *mix != Mix::Allowed)
        };
        let blocks = |id: &str| {
            index_of(id).is_some_and(|rule| {
                board.severity_override(rule) == Some(Severity::Blocker) && !task.ignored.has(rule)
            })
        };
        Self {
            part_number: matters(board.mixing.part_numbers)
                || setup
                    .offer()
                    .is_some_and(|offer| offer.identical.contains(&Identity::PartNumber))
                || blocks("set-not-identical"),
            product_line: matters(board.mixing.product_lines),
            dram_maker: matters(board.mixing.dram_makers),
            timing: blocks("no-common-timing"),
            supply: board.accepts.iter().any(|row| row.supply.is_some()),
            each_part,
        }
    }

    fn alike(&self, a: &Module, b: &Module) -> bool {
        let (a, b): (&ModuleFacts, &ModuleFacts) = (a, b);
        a.capacity == b.capacity
            && a.package_ranks == b.package_ranks
            && a.width == b.width
            && a.stack_height == b.stack_height
            && a.kind == b.kind
            && a.peak_power == b.peak_power
            && a.die_density == b.die_density
            && a.ecc_bits == b.ecc_bits
            && a.generation == b.generation
            && a.input == b.input
            && a.height == b.height
            && (!self.part_number || a.part_number == b.part_number)
            && (!self.product_line || a.product_line == b.product_line)
            && (!self.dram_maker || a.dram_maker == b.dram_maker)
            && (!self.timing || (&a.timing, a.cas_latency) == (&b.timing, b.cas_latency))
            && (!self.supply || a.supply == b.supply)
    }
}

/// All builds.
#[derive(Debug, Default)]
pub struct Builds {
    /// In the order of their first part.
    pub list: Vec<Build>,
    /// The build of each part of the request; none for parts that no rule lets on the board.
    pub of_part: Vec<Option<u16>>,
    /// The rules for which some part was left aside because a fact is missing.
    pub open: RuleSet,
    /// Whether a module that may be on the board does not tell its capacity or its rate.
    pub untold: bool,
    /// How the rules of single modules judge the installed modules that must stay.
    pub stuck: Option<Standing>,
}

impl Builds {
    /// Sorts the parts for sale and the installed modules into builds. `setups` has one entry for
    /// each processor model that may be fitted, with nothing seated.
    pub fn of(
        task: &Task<'_>,
        setups: &[Setup<'_>],
        battery: &super::super::rules::Battery,
        each_part: bool,
    ) -> Self {
        let mut all = Self {
            of_part: vec![None; task.request.parts.len()],
            ..Self::default()
        };
        let Some(setup) = setups.first() else {
            return all;
        };
        let tells = Tells::of(task, setup, each_part);
        let mut judged: Vec<(usize, Runs, Standing)> = Vec::new();
        let currency = currency(task);
        for part in &task.for_sale {
            let Some(offer) = offer(setup, *part, currency) else {
                continue;
            };
            let build = all.place(setup, &tells, *part);
            let standing = all.standing(setups, battery, &mut judged, build, offer.runs, *part);
            if standing == Standing::Clear
                && let Some(build) = all.list.get_mut(build)
            {
                build.offers.push(offer);
            }
        }
        if task.request.installed_policy != InstalledPolicy::Replace {
            for (index, entry) in task.request.staying() {
                let runs = Runs::of(setup, entry.part);
                let build = all.place(setup, &tells, entry.part);
                let standing = all.standing(setups, battery, &mut judged, build, runs, entry.part);
                if standing != Standing::Clear {
                    // It can only come out.
                    if task.request.installed_policy != InstalledPolicy::MayRemove {
                        all.stuck = all.stuck.max(Some(standing));
                    }
                    continue;
                }
                if let Some(build) = all.list.get_mut(build) {
                    build.installed.push(Installed {
                        index,
                        part: entry.part,
                        runs,
                    });
                }
            }
        }
        all
    }

    /// The build of a part, a new one if there is none like it.
    fn place(&mut self, setup: &Setup<'_>, tells: &Tells, part: PartIx) -> usize {
        let known = |index: &Option<u16>| index.map(usize::from);
        if let Some(build) = self.of_part.get(usize::from(part.0)).and_then(known) {
            return build;
        }
        let module = setup.request.part(part);
        let alike = |build: &Build| {
            let other = setup.request.part(build.part);
            !tells.each_part && module.zip(other).is_some_and(|(a, b)| tells.alike(a, b))
        };
        let build = self.list.iter().position(alike).unwrap_or_else(|| {
            self.list.push(Build {
                part,
                mib: module.and_then(|m| m.main_memory()).map_or(0, |mib| mib.0),
                capacity: module.and_then(|m| m.capacity).map_or(0, |mib| mib.0),
                ranks: module.and_then(|m| m.package_ranks).unwrap_or(0),
                power: module.and_then(|m| m.peak_power).map_or(0, |mw| mw.0),
                offers: Vec::new(),
                installed: Vec::new(),
            });
            self.list.len() - 1
        });
        if let Some(slot) = self.of_part.get_mut(usize::from(part.0)) {
            *slot = u16::try_from(build).ok();
        }
        build
    }

    /// Whether the rules of single modules let a part on the board; asked once for those that they
    /// see alike.
    fn standing(
        &mut self,
        setups: &[Setup<'_>],
        battery: &super::super::rules::Battery,
        judged: &mut Vec<(usize, Runs, Standing)>,
        build: usize,
        runs: Runs,
        part: PartIx,
    ) -> Standing {
        let known = judged
            .iter()
            .find(|(known, other, _)| (*known, *other) == (build, runs));
        if let Some((_, _, standing)) = known {
            return *standing;
        }
        let views = setups.iter().filter_map(|setup| PartView::new(setup, part));
        let asked = views.clone().map(|view| battery.ask(Matter::Part(&view)));
        let standing = asked.max().unwrap_or(Standing::Blocked);
        if standing == Standing::Open {
            let open = views.map(|view| battery.open(Matter::Part(&view)));
            self.open = open.fold(self.open, RuleSet::and);
        }
        let module = setups.first().and_then(|setup| setup.request.part(part));
        let sized = module.is_some_and(|m| m.capacity.is_some() && m.rating().is_some());
        self.untold |= standing != Standing::Blocked && !sized;
        judged.push((build, runs, standing));
        standing
    }

    /// The build of a part.
    pub fn build_of(&self, part: PartIx) -> Option<usize> {
        at(&self.of_part, usize::from(part.0)).map(usize::from)
    }
}

/// The currency that prices must be in: that of the budget, else that of the first part for sale that
/// has a price.
pub fn currency(task: &Task<'_>) -> Option<Currency> {
    if let Some(budget) = task.request.wishes.budget {
        return Some(budget.value.currency);
    }
    let mut prices = task.for_sale.iter().filter_map(|part| {
        let price = task.request.part(*part)?.price?;
        Some(price.currency)
    });
    prices.next()
}

/// What a part is sold for; `None` if it is not.
pub fn offer(setup: &Setup<'_>, part: PartIx, currency: Option<Currency>) -> Option<Offer> {
    let module = setup.request.part(part)?;
    let price = module
        .price
        .filter(|price| Some(price.currency) == currency && price.minor >= 0)?;
    let pack = module.pack.unwrap_or(1).max(1);
    let packs = module.stock.map_or(u32::MAX, |stock| stock / pack);
    (packs > 0).then(|| Offer {
        part,
        runs: Runs::of(setup, part),
        pack_price: price.minor.saturating_mul(i64::from(pack)),
        pack,
        packs,
    })
}
