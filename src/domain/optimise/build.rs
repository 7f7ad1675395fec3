//! Builds: modules that every rule sees alike. What is for sale and what is installed of each.

use super::super::board::Limit;
use super::super::board::policy::{Identity, Scope};
use super::super::board::rates::Unlisted;
use super::super::finding::Severity;
use super::super::module::{Module, ModuleFacts};
use super::super::request::{InstalledPolicy, PartIx, VoltagePolicy};
use super::super::rules::{Group, Matter, PartView, RULES, RuleSet, Standing, index_of};
use super::super::setup::Setup;
use super::super::timing::rating_on;
use super::super::units::{Currency, Millivolts};
use super::model::{Key, Task};
use super::small::at;
use std::sync::Arc;

/// Modules that differ in nothing that a rule looks at or that a plan is worth more for. Rating and
/// supply voltages tell them apart only where more hangs on these than which level a module serves
/// ([`Tells`]).
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

/// Whether all channels surely run at one rate: that of the slowest.
pub fn is_levelled(setup: &Setup<'_>) -> bool {
    let board = setup.board;
    let one_socket = setup.fitted_sockets().count() < 2;
    let one_node = || {
        let mut nodes = board.nodes.iter();
        let first = nodes.next();
        nodes.all(|node| Some(node) == first)
    };
    match board.levelling {
        Scope::Board => true,
        Scope::Socket => one_socket,
        Scope::Node => one_socket && one_node(),
        Scope::Channel => false,
    }
}

/// The rules that block on this board although they judge rates, balance or the order and are warnings
/// elsewhere.
pub fn raised(task: &Task<'_>, group: Group) -> bool {
    let blocks = |(index, rule): (usize, &&super::super::rules::Rule)| {
        rule.group == group
            && !task.ignored.has(index)
            && task.board.severity_override(index) == Some(Severity::Blocker)
    };
    RULES.iter().enumerate().any(blocks)
}

/// Whether a plan is worth more with more bandwidth, or must reach some.
pub fn values_bandwidth(task: &Task<'_>) -> bool {
    let keys = [Key::Peak, Key::Uniform];
    keys.iter().any(|key| task.preference.weighs(*key))
        || task.limits.peak_at_least.is_some()
        || task.limits.uniform_at_least.is_some()
}

/// Which facts beyond the usual ones tell builds apart on this board and for this task.
struct Tells {
    part_number: bool,
    product_line: bool,
    dram_maker: bool,
    timing: bool,
    supply: bool,
    /// Whether a rating does more than decide which levels a module serves: where channels run at
    /// rates of their own it decides the bandwidth, and rules may judge it.
    rating: bool,
    /// The same of voltages.
    voltages: bool,
    each_part: bool,
    /// The modules that do not tell what they draw.
    vague: Vec<Arc<Module>>,
}

impl Tells {
    fn of(task: &Task<'_>, setup: &Setup<'_>, each_part: bool) -> Self {
        let board = setup.board;
        let counts = |id: &str| {
            index_of(id).is_some_and(|rule| !task.ignored.has(rule)) && !board.lowers(id)
        };
        let blocks = |id: &str| {
            index_of(id).is_some_and(|rule| {
                board.severity_override(rule) == Some(Severity::Blocker) && !task.ignored.has(rule)
            })
        };
        // Where nobody told the groups of slots, only modules alike in everything are surely alike.
        let grouped = match &board.slot_groups {
            Limit::Unknown => true,
            groups => {
                let mut groups = groups.listed().iter();
                groups.any(|group| group.identical.contains(&Identity::PartNumber))
            }
        };
        let judged = raised(task, Group::Rate) || blocks("low-voltage-raised");
        let apart = values_bandwidth(task) && !is_levelled(setup);
        let lowest = setup.request.voltage_policy == VoltagePolicy::Lowest;
        Self {
            part_number: board.mixing.part_numbers.speaks()
                || setup
                    .offer()
                    .is_some_and(|offer| offer.identical.contains(&Identity::PartNumber))
                || grouped && counts("slot-groups-differ")
                || blocks("set-not-identical"),
            product_line: board.mixing.product_lines.speaks(),
            dram_maker: board.mixing.dram_makers.speaks(),
            timing: blocks("no-common-timing"),
            supply: board.accepts.iter().any(|row| row.supply.is_some()),
            rating: judged || apart,
            // A module that can do with less may bring the voltage down, and the rate with it. Where the
            // fastest voltage is set, one more that it can run at only helps, unless its rate is not known.
            voltages: board.supply.len() > 1 && (judged || apart || lowest || is_hazy(setup)),
            each_part: each_part || raised(task, Group::Order),
            vague: {
                let parts = task.request.parts.iter();
                let vague = parts.filter(|module| module.peak_power.is_none());
                vague.cloned().collect()
            },
        }
    }

    /// Whether two modules are of one make: what a limit of builds counts, and what channels or sockets
    /// must share where they are to be alike. What is preferred makes no difference. A module that does not
    /// tell what it draws may be like any that is otherwise the same, so it makes all of these one.
    fn same_make(&self, a: &Module, b: &Module) -> bool {
        let untold = || {
            let mut vague = self.vague.iter();
            vague.any(|other| self.same_but_power(other, a))
        };
        self.same_but_power(a, b) && (a.peak_power == b.peak_power || untold())
    }

    fn same_but_power(&self, a: &Module, b: &Module) -> bool {
        let (a, b): (&ModuleFacts, &ModuleFacts) = (a, b);
        a.capacity == b.capacity
            && a.package_ranks == b.package_ranks
            && a.width == b.width
            && a.stack_height == b.stack_height
            && a.kind == b.kind
            && a.die_density == b.die_density
            && a.ecc_bits == b.ecc_bits
            && a.generation == b.generation
            && a.input == b.input
            && a.height == b.height
            && a.switched_off == b.switched_off
            && (!self.part_number || a.part_number == b.part_number)
            && (!self.product_line || a.product_line == b.product_line)
            && (!self.dram_maker || a.dram_maker == b.dram_maker)
            && (!self.timing || (&a.timing, a.cas_latency) == (&b.timing, b.cas_latency))
            && (!self.supply || a.supply == b.supply)
    }

    fn alike(&self, a: &Module, b: &Module) -> bool {
        !self.each_part
            && self.same_make(a, b)
            && a.peak_power == b.peak_power
            && a.supply.is_some() == b.supply.is_some()
            && (!self.rating || a.rating() == b.rating())
            && (!self.voltages || a.supply == b.supply)
    }
}

/// Whether it may not be known how fast modules run at some voltage.
fn is_hazy(setup: &Setup<'_>) -> bool {
    let board = setup.board;
    let untold = setup.request.firmware.is_none();
    board.unlisted_rate == Unlisted::Unknown
        || board.processors.iter().any(|p| p.rate == Limit::Unknown)
        || untold && board.rates.iter().any(|row| row.firmware.is_some())
}

/// All builds.
#[derive(Debug, Default)]
pub struct Builds {
    /// In the order of their first part.
    pub list: Vec<Build>,
    /// The make of each build, by number: builds of one make count as one where a wish or a limit
    /// speaks of builds.
    pub makes: Vec<u16>,
    /// The rating of all modules of each build, where ratings tell builds apart.
    ratings: Vec<Option<u32>>,
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
        let with = |build: &Build, same: &dyn Fn(&Module, &Module) -> bool| {
            let other = setup.request.part(build.part);
            module.zip(other).is_some_and(|(a, b)| same(a, b))
        };
        let alike = |build: &Build| with(build, &|a, b| tells.alike(a, b));
        let build = self.list.iter().position(alike).unwrap_or_else(|| {
            let of_make = |build: &Build| with(build, &|a, b| tells.same_make(a, b));
            let known = self.list.iter().position(of_make);
            let make = match known {
                Some(other) => at(&self.makes, other),
                None => self.makes.iter().max().map_or(0, |last| last + 1),
            };
            self.makes.push(make);
            let rating = Runs::of(setup, part).rating;
            // What is not told is noted elsewhere.
            self.ratings
                .push((tells.rating && rating > 0).then_some(rating));
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

    /// The make of a part.
    pub fn make_of(&self, part: PartIx) -> Option<u16> {
        self.makes.get(self.build_of(part)?).copied()
    }

    /// The rating of the build of a part, where that is all its modules'.
    pub fn rating_of(&self, part: PartIx) -> Option<u32> {
        self.ratings.get(self.build_of(part)?).copied().flatten()
    }

    /// Whether every build is a make of its own.
    pub fn are_makes(&self) -> bool {
        let last = self
            .makes
            .iter()
            .max()
            .map_or(0, |last| usize::from(*last) + 1);
        last == self.list.len()
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
