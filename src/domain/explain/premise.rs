//! What an answer rests on, one fact at a time: each can be held back, and then nobody knows it.

use super::super::board::filling::Filling;
use super::super::board::policy::{Mix, MixPolicy, Mixing};
use super::super::board::rates::Unlisted;
use super::super::board::{BoardFacts, Limit, SlotIx};
use super::super::finding::{Fact, Value};
use super::super::module::ModuleFacts;
use super::super::request::{PartIx, Wishes};
use super::super::units::Mib;

/// Something that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Premise {
    /// How many of a module there are to be.
    Amount(PartIx),
    /// That there is at least one of a module.
    Named(PartIx),
    /// Which module a slot holds.
    Seat(SlotIx),
    /// That a slot is empty.
    Empty(SlotIx),
    /// A fact of a module.
    Module(PartIx, Fact),
    /// The state of a socket: empty, or its processor's model.
    Model(u8),
    /// That a socket has a processor.
    Fitted(u8),
    /// A limit of the board's record.
    Limit(Member),
    /// The firmware that the board has.
    Firmware,
    /// The protection that was asked for.
    Protection,
    /// A wish, by its place among [`WISHES`].
    Wish(u8),
}

/// A member of a board's record that rules rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "named after the members of the record")]
pub enum Member {
    Generation,
    Ecc,
    Accepts,
    PerChannel,
    Supply,
    Input,
    LowestRate,
    Height,
    Mixing,
    RankBudget,
    Layouts,
    Rates,
    Processors,
    SocketOrder,
    PositionOrder,
    ChannelOrder,
    ModuleCounts,
    BoardCapacity,
    SocketCapacity,
    SlotPower,
    Protections,
    Slots,
    SlotGroups,
}

impl Member {
    /// All.
    pub const ALL: [Self; 23] = [
        Self::Generation,
        Self::Ecc,
        Self::Accepts,
        Self::PerChannel,
        Self::Supply,
        Self::Input,
        Self::LowestRate,
        Self::Height,
        Self::Mixing,
        Self::RankBudget,
        Self::Layouts,
        Self::Rates,
        Self::Processors,
        Self::SocketOrder,
        Self::PositionOrder,
        Self::ChannelOrder,
        Self::ModuleCounts,
        Self::BoardCapacity,
        Self::SocketCapacity,
        Self::SlotPower,
        Self::Protections,
        Self::Slots,
        Self::SlotGroups,
    ];

    /// The message that says it; with `$value` where [`Self::value`] gives one.
    pub const fn message(self) -> &'static str {
        match self {
            Self::Generation => "record-generation",
            Self::Ecc => "record-ecc",
            Self::Accepts => "record-accepts",
            Self::PerChannel => "record-per_channel",
            Self::Supply => "record-supply",
            Self::Input => "record-input",
            Self::LowestRate => "record-lowest_rate",
            Self::Height => "record-height",
            Self::Mixing => "record-mixing",
            Self::RankBudget => "record-rank_budget",
            Self::Layouts => "record-layouts",
            Self::Rates => "record-rates",
            Self::Processors => "record-processors",
            Self::SocketOrder => "record-socket_order",
            Self::PositionOrder => "record-position_order",
            Self::ChannelOrder => "record-channel_order",
            Self::ModuleCounts => "record-module_counts",
            Self::BoardCapacity => "record-board_capacity",
            Self::SocketCapacity => "record-socket_capacity",
            Self::SlotPower => "record-slot_power",
            Self::Protections => "record-protections",
            Self::Slots => "record-slots",
            Self::SlotGroups => "record-slot_groups",
        }
    }

    /// Its value, where it is one figure.
    pub fn value(self, board: &BoardFacts, filling: &Filling) -> Option<Value> {
        let numbers = |list: &[u8]| Value::Counts(list.iter().map(|n| u64::from(*n)).collect());
        match self {
            Self::Generation => Some(Value::Word(board.generation.name())),
            Self::Input => board.input.value().map(Value::Voltage),
            Self::LowestRate => board.lowest_rate.value().map(Value::Rate),
            Self::Height => board.height.value().map(|class| Value::Word(class.name())),
            Self::RankBudget => board.rank_budget.value().map(|n| Value::Count(n.into())),
            Self::SocketOrder => Some(numbers(&board.socket_order)),
            Self::PositionOrder => Some(numbers(&filling.position_order)),
            Self::ChannelOrder => filling.channel_order.as_deref().map(numbers),
            Self::ModuleCounts => filling.module_counts.as_deref().map(numbers),
            Self::BoardCapacity => filling.board_capacity.value().map(Value::Capacity),
            Self::SocketCapacity => board.socket_capacity.value().map(Value::Capacity),
            Self::SlotPower => board.slot_power.value().map(Value::Power),
            Self::Slots => Some(Value::Count(board.slots.len() as u64)),
            Self::Supply => Some(Value::List(
                board.supply.iter().map(|mv| Value::Voltage(*mv)).collect(),
            )),
            Self::Ecc
            | Self::Accepts
            | Self::PerChannel
            | Self::Mixing
            | Self::Layouts
            | Self::Rates
            | Self::Processors
            | Self::SlotGroups
            | Self::Protections => None,
        }
    }

    /// Whether a record may say that its author does not know it. The others are rows: what they do
    /// not list is not supported, so there is no record without them.
    pub const fn may_be_unknown(self) -> bool {
        matches!(
            self,
            Self::Input
                | Self::LowestRate
                | Self::Height
                | Self::RankBudget
                | Self::SocketCapacity
                | Self::SlotPower
                | Self::BoardCapacity
                | Self::Mixing
                | Self::PerChannel
                | Self::Rates
                | Self::SlotGroups
        )
    }

    /// Makes it unknown in a record.
    pub fn forget(self, board: &mut BoardFacts) {
        match self {
            Self::Input => board.input = Limit::Unknown,
            Self::LowestRate => board.lowest_rate = Limit::Unknown,
            Self::Height => board.height = Limit::Unknown,
            Self::RankBudget => board.rank_budget = Limit::Unknown,
            Self::SocketCapacity => board.socket_capacity = Limit::Unknown,
            Self::SlotPower => board.slot_power = Limit::Unknown,
            Self::BoardCapacity => {
                let rows = board.filling.iter_mut();
                rows.for_each(|row| row.board_capacity = Limit::<Mib>::Unknown);
            }
            Self::SlotGroups => board.slot_groups = Limit::Unknown,
            Self::Mixing => board.mixing = unknown_mixing(),
            Self::PerChannel => {
                let rows = board.accepts.iter_mut();
                rows.for_each(|row| row.per_channel = Limit::Unknown);
            }
            Self::Rates => {
                board.rates.clear();
                board.layouts.iter_mut().for_each(|row| row.rates.clear());
                board.unlisted_rate = Unlisted::Unknown;
            }
            _ => {}
        }
    }

    /// The members that a rule rests on.
    pub fn of_rule(id: &str) -> &'static [Self] {
        let row = OF_RULES.iter().find(|(rules, _)| rules.contains(&id));
        row.map_or(&[], |(_, members)| members)
    }
}

const fn unknown_mixing() -> Mixing {
    let policy = MixPolicy::everywhere(Mix::Unknown);
    Mixing {
        kinds: policy,
        ecc: policy,
        stacks: policy,
        widths: policy,
        die_densities: policy,
        ecc_bits: policy,
        ranks: policy,
        capacities: policy,
        capacities_per_channel: Limit::Unknown,
        capacities_per_board: Limit::Unknown,
        part_numbers: policy,
        product_lines: policy,
        dram_makers: policy,
        dram_makers_from: Limit::Unknown,
    }
}

/// Which members each rule rests on; a test finds a rule that can block and is not listed.
const OF_RULES: &[(&[&str], &[Member])] = &[
    (&["generation-differs"], &[Member::Generation]),
    (&["ecc-differs"], &[Member::Ecc]),
    (
        &[
            "kind-not-taken",
            "capacity-not-taken",
            "ranks-not-taken",
            "width-not-taken",
            "stack-not-taken",
            "die-density-not-taken",
            "ecc-bits-not-taken",
            "firmware-too-old",
            "rank-position-not-allowed",
        ],
        &[Member::Accepts],
    ),
    (&["supply-voltage-not-common"], &[Member::Supply]),
    (&["module-input-differs"], &[Member::Input]),
    (&["rate-below-board"], &[Member::LowestRate]),
    (&["height-over-limit"], &[Member::Height]),
    (
        &[
            "kinds-mixed",
            "ecc-mixed",
            "stacks-mixed",
            "widths-mixed",
            "die-densities-mixed",
            "ecc-bits-mixed",
            "too-many-capacities",
            "ranks-mixed",
            "dram-makers-mixed",
            "part-numbers-mixed",
            "product-lines-mixed",
        ],
        &[Member::Mixing],
    ),
    (
        &["slot-groups-differ", "switched-off-beside-others"],
        &[Member::SlotGroups],
    ),
    (&["rank-budget-exceeded"], &[Member::RankBudget]),
    (&["too-many-of-kind"], &[Member::PerChannel]),
    (&["layout-not-listed"], &[Member::Layouts]),
    (&["rate-not-listed"], &[Member::Rates]),
    (
        &["slot-of-empty-socket", "more-modules-than-slots"],
        &[Member::Slots],
    ),
    (
        &["channel-not-served", "capacity-over-processor"],
        &[Member::Processors],
    ),
    (
        &["position-skipped", "lower-rank-first"],
        &[Member::PositionOrder],
    ),
    (&["channels-out-of-order"], &[Member::ChannelOrder]),
    (&["first-socket-empty"], &[Member::SocketOrder]),
    (&["module-count-not-supported"], &[Member::ModuleCounts]),
    (&["capacity-over-socket"], &[Member::SocketCapacity]),
    (&["capacity-over-board"], &[Member::BoardCapacity]),
    (&["slot-power-exceeded"], &[Member::SlotPower]),
    (
        &[
            "protection-not-offered",
            "protection-groups-differ",
            "protection-leaves-nothing",
            "protection-too-few-ranks",
        ],
        &[Member::Protections],
    ),
];

/// The rules that can block and rest on no member of a board's record.
#[cfg(test)]
const OF_NO_MEMBER: [&str; 5] = [
    "processor-models-mixed",
    "socket-without-memory",
    "slot-taken-twice",
    "installed-slot-not-told",
    "slot-contents-not-told",
];

/// Whether a wish is told, and how it is dropped.
pub type WishOf = (fn(&Wishes) -> bool, fn(&mut Wishes));

/// All wishes.
pub const WISHES: [WishOf; 10] = [
    (
        |w| w.capacity_at_least.is_some(),
        |w| w.capacity_at_least = None,
    ),
    (
        |w| w.capacity_at_most.is_some(),
        |w| w.capacity_at_most = None,
    ),
    (|w| w.rate_at_least.is_some(), |w| w.rate_at_least = None),
    (|w| w.free_slots.is_some(), |w| w.free_slots = None),
    (|w| w.budget.is_some(), |w| w.budget = None),
    (|w| w.power_at_most.is_some(), |w| w.power_at_most = None),
    (|w| w.balance.is_some(), |w| w.balance = None),
    (|w| w.licence.is_some(), |w| w.licence = None),
    (
        |w| w.chip_correction.is_some(),
        |w| w.chip_correction = None,
    ),
    (
        |w| w.rank_interleave.is_some(),
        |w| w.rank_interleave = None,
    ),
];

/// The facts of a module that a record may lack.
pub const MODULE_FACTS: [Fact; 18] = [
    Fact::Generation,
    Fact::Kind,
    Fact::Capacity,
    Fact::PackageRanks,
    Fact::StackHeight,
    Fact::Width,
    Fact::DieDensity,
    Fact::EccBits,
    Fact::Rate,
    Fact::Supply,
    Fact::Input,
    Fact::Timing,
    Fact::Height,
    Fact::PartNumber,
    Fact::ProductLine,
    Fact::DramMaker,
    Fact::PeakPower,
    Fact::Price,
];

/// What a module's record says of a fact, as far as one value shows it.
pub fn module_fact(module: &ModuleFacts, fact: Fact) -> Option<Value> {
    let count = |value: Option<u8>| value.map(|n| Value::Count(u64::from(n)));
    let text = |value: &Option<String>| value.clone().map(Value::Text);
    match fact {
        Fact::Generation => module.generation.map(|g| Value::Word(g.name())),
        Fact::Kind => module.kind.map(|k| Value::Word(k.name())),
        Fact::Capacity => module.capacity.map(Value::Capacity),
        Fact::PackageRanks => count(module.package_ranks),
        Fact::StackHeight => count(module.stack_height),
        Fact::Width => module.width.map(|w| Value::Word(w.name())),
        Fact::DieDensity => module.die_density.map(Value::Density),
        Fact::EccBits => count(module.ecc_bits),
        Fact::Rate => module.rate.map(Value::Rate),
        Fact::Supply => module
            .supply
            .as_ref()
            .map(|list| Value::List(list.iter().map(|mv| Value::Voltage(*mv)).collect())),
        Fact::Input => module.input.map(Value::Voltage),
        Fact::Timing => module.timing.as_ref().map(|timing| {
            let clocks = timing.cas_supported.iter();
            Value::Counts(clocks.map(|clock| u64::from(*clock)).collect())
        }),
        Fact::Height => module.height.map(|h| Value::Word(h.name())),
        Fact::PartNumber => text(&module.part_number),
        Fact::ProductLine => text(&module.product_line),
        Fact::DramMaker => text(&module.dram_maker),
        Fact::PeakPower => module.peak_power.map(Value::Power),
        Fact::Price => module.price.map(Value::Money),
        Fact::InstalledSlot
        | Fact::SlotContents
        | Fact::Firmware
        | Fact::ProcessorModel
        | Fact::BoardLimit
        | Fact::RateRow
        | Fact::Placement => None,
    }
}

/// Takes a fact out of a module's record.
pub fn forget(facts: &mut ModuleFacts, fact: Fact) {
    match fact {
        Fact::Generation => facts.generation = None,
        Fact::Kind => facts.kind = None,
        Fact::Capacity => facts.capacity = None,
        Fact::PackageRanks => facts.package_ranks = None,
        Fact::StackHeight => facts.stack_height = None,
        Fact::Width => facts.width = None,
        Fact::DieDensity => facts.die_density = None,
        Fact::EccBits => facts.ecc_bits = None,
        Fact::Rate => facts.rate = None,
        Fact::Supply => facts.supply = None,
        Fact::Input => facts.input = None,
        Fact::Timing => facts.timing = None,
        Fact::Height => facts.height = None,
        Fact::PartNumber => facts.part_number = None,
        Fact::ProductLine => facts.product_line = None,
        Fact::DramMaker => facts.dram_maker = None,
        Fact::PeakPower => facts.peak_power = None,
        Fact::Price => facts.price = None,
        Fact::InstalledSlot
        | Fact::SlotContents
        | Fact::Firmware
        | Fact::ProcessorModel
        | Fact::BoardLimit
        | Fact::RateRow
        | Fact::Placement => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::finding::Severity;
    use crate::domain::module::Module;
    use crate::domain::rules::{Group, RULES};

    #[test]
    fn every_rule_that_always_can_block_names_what_it_rests_on() {
        for rule in RULES {
            let wish = rule.group == Group::Wish;
            if rule.severity != Severity::Blocker || wish || OF_NO_MEMBER.contains(&rule.id) {
                continue;
            }
            assert!(!Member::of_rule(rule.id).is_empty(), "{}", rule.id);
        }
    }

    #[test]
    fn the_table_names_rules_that_there_are() {
        for id in OF_RULES
            .iter()
            .flat_map(|(rules, _)| *rules)
            .chain(&OF_NO_MEMBER)
        {
            assert!(RULES.iter().any(|rule| rule.id == *id), "{id}");
        }
    }

    #[test]
    fn a_fact_that_is_held_back_is_gone_and_no_other() {
        let full = crate::domain::testing::rdimm(16, 2);
        let module = Module::checked(full).expect("a module");
        let known = |facts: &ModuleFacts| MODULE_FACTS.map(|fact| module_fact(facts, fact));
        for fact in MODULE_FACTS {
            let mut facts = ModuleFacts::clone(&module);
            forget(&mut facts, fact);
            let (before, after) = (known(&module), known(&facts));
            for (index, other) in MODULE_FACTS.iter().enumerate() {
                let expected = if *other == fact {
                    None
                } else {
                    before[index].clone()
                };
                assert_eq!(after[index], expected, "{fact:?} {other:?}");
            }
        }
    }
}
