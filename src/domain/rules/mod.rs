//! The rules: one file each, listed in [`RULES`]; everything that concerns all rules loops over it.
//!
//! A rule declares one or more checks, each for the smallest scope that it can be decided in. The
//! search for a placement runs a check as soon as its scope is filled, so a rule is written once
//! and prunes by itself.

mod battery;
mod hits;
mod lasting;
mod point;
pub mod probe;
mod view;

pub use battery::{Battery, Checks, Matter, RuleSet, Standing};
pub use hits::{Draft, Hits};
pub(super) use identity::{channels_alike, untold};
pub use lasting::{is_free_of_modules, is_free_of_order, lasts};
pub use point::is_told;
pub use view::{BoardView, ChannelView, Likeness, OnChannel, PartView, SocketView};

use super::finding::{Fact, Finding, Severity, Verdict};
use super::setup::Setup;

/// What a rule is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "described by `Group::doc`")]
pub enum Group {
    Fit,
    Mix,
    Load,
    Place,
    Limit,
    Protection,
    Wish,
    Rate,
    Balance,
    Order,
}

impl Group {
    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::Mix => "mix",
            Self::Load => "load",
            Self::Place => "place",
            Self::Limit => "limit",
            Self::Protection => "protection",
            Self::Wish => "wish",
            Self::Rate => "rate",
            Self::Balance => "balance",
            Self::Order => "order",
        }
    }

    /// Whether the severity of its rules is theirs and the board's alone, so that one that does not
    /// block need not run in the search; the others raise it by a wish or by the board's policy.
    const fn keeps_severity(self) -> bool {
        matches!(self, Self::Rate | Self::Balance | Self::Order)
    }
}

/// One check of a rule, for the smallest scope in which it can be decided.
#[derive(Clone, Copy)]
pub enum Check {
    /// One module and the board, whatever the slot.
    Part(fn(&PartView<'_>, &mut Hits)),
    /// All modules together, whatever their slots: request, kit and installed modules.
    Kit(fn(&Setup<'_>, &mut Hits)),
    /// One channel with what sits on it. Called for channels that hold at least one module.
    Channel(fn(&ChannelView<'_>, &mut Hits)),
    /// One socket, by which modules are on it and how many, whatever their slots. Called for every
    /// socket, fitted or not. The search asks it before it tries any order of the modules.
    SocketLoad(fn(&SocketView<'_>, &mut Hits)),
    /// One socket with what sits on its channels. Called for every socket, fitted or not.
    Socket(fn(&SocketView<'_>, &mut Hits)),
    /// The whole board.
    Board(fn(&BoardView<'_>, &mut Hits)),
}

/// A rule.
pub struct Rule {
    /// Stable id in kebab-case, named for the condition that it finds.
    pub id: &'static str,
    /// What it is about.
    pub group: Group,
    /// Its severity, unless the board's policy or a wish changes it.
    pub severity: Severity,
    /// A few words.
    pub title: &'static str,
    /// What it means, why it is so, and what helps.
    pub doc: &'static str,
    /// The standard or maker's document that it rests on, or "common practice".
    pub source: &'static str,
    /// The facts that it reads.
    pub reads: &'static [Fact],
    /// A Fluent pattern: the sentence for a customer when it is broken. `$slots`, `$channels`,
    /// `$sockets` and `$place` (channels, else sockets, else the board) are there besides its own
    /// parameters.
    pub message: &'static str,
    /// A clause that begins with "whether", for "can't be told" sentences.
    pub asks: &'static str,
    /// Its checks.
    pub checks: &'static [Check],
    /// A request to validate (JSON) that breaks it.
    pub breaks: &'static str,
    /// A request to validate (JSON) that meets it.
    pub meets: &'static str,
}

impl std::fmt::Debug for Rule {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.id)
    }
}

macro_rules! rules {
    ($($module:ident),* $(,)?) => {
        /// Every rule, in the order in which findings are reported.
        pub static RULES: &[&Rule] = &[$(&$module::RULE),*];
    };
}

mod balance_wish;
mod budget_wish;
mod capacity_not_taken;
mod capacity_over_board;
mod capacity_over_processor;
mod capacity_over_socket;
mod capacity_wish;
mod channel_not_served;
mod channels_left_empty;
mod channels_out_of_order;
mod channels_unequal;
mod chip_correction_lost;
mod die_densities_mixed;
mod die_density_not_taken;
mod dram_makers_mixed;
mod ecc_bits_mixed;
mod ecc_bits_not_taken;
mod ecc_differs;
mod ecc_mixed;
mod fewer_than_advised;
mod fillers_to_order;
mod firmware_not_told;
mod firmware_too_old;
mod first_socket_empty;
mod fitting;
mod free_slots_wish;
mod generation_differs;
mod height_over_limit;
mod identity;
mod installed_slot_not_told;
mod interleave_regions_split;
mod joined;
mod kind_not_taken;
mod kinds_mixed;
mod layout_not_listed;
mod licence_ceiling;
mod low_voltage_raised;
mod lower_rank_first;
mod mixing;
mod module_count_not_supported;
mod module_faster_than_run;
mod module_input_differs;
mod module_switched_off;
mod modules_left_over;
mod more_modules_than_slots;
mod no_common_timing;
mod ordered;
mod pack_not_multiple;
mod part_numbers_mixed;
mod persistent_memory_apart;
mod position_skipped;
mod power_wish;
mod processor_lowers_rate;
mod processor_models_mixed;
mod product_lines_mixed;
mod protection_groups_differ;
mod protection_leaves_nothing;
mod protection_not_offered;
mod protection_too_few_ranks;
mod rank_budget_exceeded;
mod rank_interleave_wish;
mod rank_position_not_allowed;
mod ranks_mixed;
mod ranks_not_taken;
mod rate_below_board;
mod rate_lowered_by_count;
mod rate_not_listed;
mod rate_unknown;
mod rate_wish;
mod set_not_identical;
mod slot_contents_not_told;
mod slot_groups_differ;
mod slot_of_empty_socket;
mod slot_power_exceeded;
mod slot_taken_twice;
mod socket_without_memory;
mod sockets_unequal;
mod stack_not_taken;
mod stacks_mixed;
mod stock_short;
mod supply_voltage_not_common;
mod switched_off_beside_others;
mod too_many_capacities;
mod too_many_of_kind;
mod voltage_choice_matters;
mod width_not_taken;
mod widths_mixed;

#[cfg(test)]
mod told_less_limits_tests;
#[cfg(test)]
mod told_less_tests;

rules![
    generation_differs,
    ecc_differs,
    kind_not_taken,
    capacity_not_taken,
    ranks_not_taken,
    width_not_taken,
    stack_not_taken,
    die_density_not_taken,
    ecc_bits_not_taken,
    supply_voltage_not_common,
    module_input_differs,
    rate_below_board,
    height_over_limit,
    firmware_too_old,
    firmware_not_told,
    kinds_mixed,
    ecc_mixed,
    stacks_mixed,
    widths_mixed,
    die_densities_mixed,
    ecc_bits_mixed,
    too_many_capacities,
    ranks_mixed,
    part_numbers_mixed,
    product_lines_mixed,
    dram_makers_mixed,
    slot_groups_differ,
    low_voltage_raised,
    rank_budget_exceeded,
    rank_position_not_allowed,
    too_many_of_kind,
    layout_not_listed,
    rate_not_listed,
    switched_off_beside_others,
    module_switched_off,
    persistent_memory_apart,
    slot_of_empty_socket,
    channel_not_served,
    position_skipped,
    lower_rank_first,
    channels_out_of_order,
    socket_without_memory,
    first_socket_empty,
    processor_models_mixed,
    module_count_not_supported,
    fewer_than_advised,
    more_modules_than_slots,
    slot_taken_twice,
    installed_slot_not_told,
    slot_contents_not_told,
    capacity_over_processor,
    capacity_over_socket,
    capacity_over_board,
    slot_power_exceeded,
    licence_ceiling,
    chip_correction_lost,
    protection_not_offered,
    protection_groups_differ,
    protection_leaves_nothing,
    protection_too_few_ranks,
    capacity_wish,
    rate_wish,
    free_slots_wish,
    budget_wish,
    power_wish,
    balance_wish,
    rank_interleave_wish,
    module_faster_than_run,
    rate_lowered_by_count,
    processor_lowers_rate,
    voltage_choice_matters,
    no_common_timing,
    rate_unknown,
    channels_unequal,
    sockets_unequal,
    interleave_regions_split,
    channels_left_empty,
    pack_not_multiple,
    stock_short,
    set_not_identical,
    fillers_to_order,
    modules_left_over,
];

/// The index of a rule in [`RULES`].
pub fn index_of(id: &str) -> Option<usize> {
    RULES.iter().position(|rule| rule.id == id)
}

/// Runs every rule over a population and returns all findings, merged and in order.
pub fn check(view: &BoardView<'_>) -> Vec<Finding> {
    let mut hits = Hits::collecting();
    let scopes = Scopes::of(view);
    for (index, rule) in RULES.iter().enumerate() {
        hits.begin(index, rule, view.setup.board);
        for check in rule.checks {
            run(*check, view, &scopes, &mut hits);
        }
    }
    let mut findings = hits.into_findings();
    point::point(view, &mut findings);
    findings
}

/// The verdict that follows from the findings, without the findings. Rules that only a board may make
/// stricter are not asked where they are too mild to change it.
pub fn verdict(view: &BoardView<'_>) -> Verdict {
    let mut hits = Hits::judging();
    let scopes = Scopes::of(view);
    for (index, rule) in RULES.iter().enumerate() {
        hits.begin(index, rule, view.setup.board);
        let least = match hits.verdict() {
            Verdict::Fits => Severity::Warning,
            _ => Severity::Blocker,
        };
        if rule.group.keeps_severity() && hits.severity() > least {
            continue;
        }
        for check in rule.checks {
            run(*check, view, &scopes, &mut hits);
        }
    }
    hits.verdict()
}

/// What the checks of a whole board look at, by scope.
struct Scopes<'a> {
    parts: Vec<PartView<'a>>,
    channels: Vec<Distinct<'a>>,
    sockets: Vec<SocketView<'a>>,
}

impl<'a> Scopes<'a> {
    fn of(view: &BoardView<'a>) -> Self {
        let setup = view.setup;
        let seated = setup.seated().iter();
        Self {
            parts: seated
                .filter_map(|part| PartView::new(setup, *part))
                .collect(),
            channels: distinct(view),
            sockets: view.sockets().collect(),
        }
    }
}

/// A channel that holds modules, and those like it.
struct Distinct<'a> {
    channel: ChannelView<'a>,
    alike: Vec<ChannelView<'a>>,
}

/// The channels that hold modules. Those that are alike are judged once; only when a rule reports
/// something are the others asked as well.
fn distinct<'a>(view: &BoardView<'a>) -> Vec<Distinct<'a>> {
    let mut kinds: Vec<Likeness> = Vec::new();
    let mut found: Vec<Distinct<'a>> = Vec::new();
    for own in view.channels().filter(|own| own.stack.count() > 0) {
        let this = own.likeness();
        let known = kinds.iter().position(|other| *other == this);
        match known.and_then(|index| found.get_mut(index)) {
            Some(known) => known.alike.push(own),
            None => {
                kinds.push(this);
                found.push(Distinct {
                    channel: own,
                    alike: Vec::new(),
                });
            }
        }
    }
    found
}

/// How a rule came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Came {
    /// It had nothing to judge.
    NotApplicable,
    /// It applied and held.
    Met,
    /// It was broken.
    Broken,
    /// A fact was missing.
    Undecided,
}

/// How each rule of [`RULES`] came out for a population.
pub fn states(view: &BoardView<'_>) -> Vec<Came> {
    let scopes = Scopes::of(view);
    let state = |(index, rule): (usize, &&'static Rule)| {
        let mut hits = Hits::collecting();
        hits.begin(index, rule, view.setup.board);
        rule.checks
            .iter()
            .for_each(|check| run(*check, view, &scopes, &mut hits));
        let applied = hits.applied();
        match hits.into_findings().first() {
            Some(finding) if finding.state == super::finding::State::Broken => Came::Broken,
            Some(_) => Came::Undecided,
            None if applied => Came::Met,
            None => Came::NotApplicable,
        }
    };
    RULES.iter().enumerate().map(state).collect()
}

fn run(check: Check, view: &BoardView<'_>, scopes: &Scopes<'_>, hits: &mut Hits) {
    match check {
        Check::Part(check) => scopes.parts.iter().for_each(|part| check(part, hits)),
        Check::Kit(check) => check(view.setup, hits),
        Check::Channel(check) => {
            let ask = |channel: &ChannelView<'_>, hits: &mut Hits| {
                hits.at_channel(channel);
                check(channel, hits);
            };
            for own in &scopes.channels {
                let before = hits.reports();
                ask(&own.channel, hits);
                if hits.reports() > before {
                    own.alike.iter().for_each(|channel| ask(channel, hits));
                }
            }
        }
        Check::Socket(check) | Check::SocketLoad(check) => {
            for socket in &scopes.sockets {
                hits.at_socket(socket.socket);
                check(socket, hits);
            }
        }
        Check::Board(check) => check(view, hits),
    }
    hits.at_board();
}
