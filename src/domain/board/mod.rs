//! A server board as its maker describes it: slots, processors, what it takes, how it fills.
//!
//! [`BoardFacts`] is the record as a specialist writes it; [`Board`] is one that has been checked
//! and indexed. Rows are in [`accept`], [`rates`], [`filling`] and [`policy`].

pub mod accept;
mod check;
pub mod filling;
pub mod groups;
pub mod policy;
pub mod ranks;
pub mod rates;

use super::finding::Severity;
use super::module::{Generation, HeightClass, RecordFault};
use super::rules::{Checks, RULES};
use super::units::{Mib, Millivolts, Milliwatts, Mts};
use accept::AcceptRow;
use filling::{Filling, LayoutRow};
use groups::SlotGroup;
use policy::{InterleaveSet, Mixing, Protection, ProtectionOffer, RankInterleave, Scope};
use rates::{RateRow, RateRows, RateStep, Unlisted};
use std::ops::Deref;
use std::sync::Arc;

/// The most channels of a socket.
pub const MOST_CHANNELS: u8 = 32;

/// A limit of the record. Leaving one out is a fault, so silence never means unlimited.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit<T> {
    /// The limit.
    Is(T),
    /// There is none.
    None,
    /// The record's author does not know.
    Unknown,
}

impl<T> Limit<Vec<T>> {
    /// What is listed; nothing for a limit that is not a list.
    pub fn listed(&self) -> &[T] {
        match self {
            Self::Is(list) => list,
            Self::None | Self::Unknown => &[],
        }
    }
}

impl<T: Copy> Limit<T> {
    /// The limit's value, if there is one.
    pub fn value(self) -> Option<T> {
        match self {
            Self::Is(value) => Some(value),
            Self::None | Self::Unknown => None,
        }
    }
}

/// Where a limit was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Title and revision of the document.
    pub title: String,
    /// Table, section or page.
    pub section: String,
}

/// A physical slot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slot {
    /// The label printed on the board.
    pub label: String,
    /// Where it sits electrically.
    pub place: Place,
    /// Where it stands on a simple drawing: column and row, counted from 0.
    pub drawn_at: (u16, u16),
    /// Which end of the slot the key is nearer to.
    pub key: KeySide,
    /// What an inventory report of such a machine calls it, where that is not its label and its numbers
    /// do not place it.
    pub reported_as: Option<ReportedName>,
}

/// What an inventory report calls a slot.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ReportedName {
    /// The locator.
    pub locator: String,
    /// The bank locator, where locators repeat.
    pub bank: Option<String>,
}

/// An electrical place; all three count from 1, position 1 is the farthest from the processor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the words are the trade's")]
pub struct Place {
    pub socket: u8,
    pub channel: u8,
    pub position: u8,
}

/// The end of the slot, as drawn, that the key is nearer to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "plain directions")]
pub enum KeySide {
    Top,
    Bottom,
    Left,
    Right,
}

/// A processor model that the board takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Processor {
    /// Id used in requests.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// The highest rate that its memory controller runs.
    pub rate: Limit<Mts>,
    /// The most memory that it addresses.
    pub capacity: Limit<Mib>,
    /// The channels that work with it; `None` when all do.
    pub channels: Option<Vec<u8>>,
}

/// Whether the board needs modules with ECC.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EccNeed {
    /// Only modules with ECC start.
    Required,
    /// Both start.
    Either,
    /// Only modules without ECC start.
    Refused,
}

/// A board record as its author writes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardFacts {
    /// Id used in requests.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Whether the board is invented (demo data) or real.
    pub invented: bool,
    /// Where its limits were read.
    pub sources: Vec<Source>,
    /// The only generation that goes into its slots.
    pub generation: Generation,
    /// Number of sockets.
    pub sockets: u8,
    /// Number of channels of each socket.
    pub channels: u8,
    /// Most positions on a channel; a channel may have fewer slots wired.
    pub positions: u8,
    /// All slots.
    pub slots: Vec<Slot>,
    /// The memory controller node of each channel of a socket, counted from 1.
    pub nodes: Vec<u8>,
    /// Supply voltages that the board can set, ascending.
    pub supply: Vec<Millivolts>,
    /// The voltage that its slots feed to the module (DDR5).
    pub input: Limit<Millivolts>,
    /// Processor models that it takes.
    pub processors: Vec<Processor>,
    /// The order in which sockets must be filled with processors and memory.
    pub socket_order: Vec<u8>,
    /// Modules that it takes.
    pub accepts: Vec<AcceptRow>,
    /// Whether modules must have ECC.
    pub ecc: EccNeed,
    /// The most ranks that a channel may see.
    pub rank_budget: Limit<u8>,
    /// The lowest rate that it runs at all: a slower module does not start.
    pub lowest_rate: Limit<Mts>,
    /// Where the firmware takes a module of an odd rate for a faster one; ascending.
    pub rate_steps: Vec<RateStep>,
    /// Rates of a channel.
    pub rates: Vec<RateRow>,
    /// What a channel without a matching rate row means.
    pub unlisted_rate: Unlisted,
    /// Exact position patterns. A kind that has any may sit in these only.
    pub layouts: Vec<LayoutRow>,
    /// How it fills, by number of sockets fitted.
    pub filling: Vec<Filling>,
    /// The scope in which rates level.
    pub levelling: Scope,
    /// Channel sets that interleave, by preference; empty for the simple model.
    pub interleave: Vec<InterleaveSet>,
    /// When the ranks of one channel interleave.
    pub rank_interleave: Limit<RankInterleave>,
    /// Slots of a socket that belong together and are not a channel.
    pub slot_groups: Limit<Vec<SlotGroup>>,
    /// What may be mixed where.
    pub mixing: Mixing,
    /// Protections that it offers.
    pub protections: Vec<ProtectionOffer>,
    /// The most memory of one socket.
    pub socket_capacity: Limit<Mib>,
    /// The most power that the module of one slot may draw.
    pub slot_power: Limit<Milliwatts>,
    /// The tallest module that fits under what is above it.
    pub height: Limit<HeightClass>,
    /// Whether empty slots of a fitted socket need fillers.
    pub fillers: bool,
    /// Cautions of this board beyond the usual ones.
    pub cautions: Vec<String>,
    /// Rules whose severity this board changes.
    pub severities: Vec<(String, Severity)>,
}

/// The index of a slot in [`BoardFacts::slots`] of a checked board, where slots are sorted by place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SlotIx(pub u16);

/// The index of a channel over the whole board: (socket − 1) × channels + channel − 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChannelIx(pub u16);

/// A checked board with its slots sorted by place.
#[derive(Clone, Debug)]
pub struct Board {
    facts: BoardFacts,
    /// The first slot of each channel, and one past the last: `starts[c]..starts[c + 1]`.
    starts: Vec<u16>,
    /// Severity of each rule that the board changes, by index into `rules::RULES`.
    overrides: Vec<(usize, Severity)>,
    /// Which channels of a socket are alike: the class of each channel, under each protection.
    classes: Vec<Vec<u8>>,
    /// The rate rows by how many modules a channel holds.
    rate_rows: Vec<RateRows>,
    /// See [`Self::set_members`]: searches ask at every leaf.
    set_members: Vec<u32>,
    /// The rules' checks by scope.
    checks: Arc<Checks>,
}

impl Deref for Board {
    type Target = BoardFacts;

    fn deref(&self) -> &BoardFacts {
        &self.facts
    }
}

impl Board {
    /// Checks a record and indexes it.
    ///
    /// # Errors
    /// All faults at once, each with a JSON Pointer into the record.
    pub fn checked(mut facts: BoardFacts) -> Result<Self, Vec<RecordFault>> {
        let faults = check::faults(&facts);
        if !faults.is_empty() {
            return Err(faults);
        }
        facts.slots.sort_by_key(|slot| slot.place);
        facts.supply.sort_unstable();
        let starts = starts(&facts);
        let overrides: Vec<(usize, Severity)> = facts
            .severities
            .iter()
            .filter_map(|(id, severity)| Some((super::rules::index_of(id)?, *severity)))
            .collect();
        let classes = Protection::ALL
            .iter()
            .map(|protection| check::channel_classes(&facts, *protection))
            .collect();
        let rate_rows = RateRows::by_modules(&facts.rates);
        let set_members = set_members(&facts);
        let checks = Checks::of(|rule| override_in(&overrides, rule));
        Ok(Self {
            facts,
            starts,
            overrides,
            classes,
            rate_rows,
            set_members,
            checks: Arc::new(checks),
        })
    }

    /// The same board with other limits, for asking what hangs on them. Sockets, channels, slots and
    /// the order of rows must stay as they are.
    #[must_use]
    pub fn with_limits(&self, change: impl FnOnce(&mut BoardFacts)) -> Self {
        let mut board = self.clone();
        change(&mut board.facts);
        board.rate_rows = RateRows::by_modules(&board.facts.rates);
        board.set_members = set_members(&board.facts);
        board
    }

    /// The rate rows for so many modules on a channel.
    pub fn rates_of(&self, modules: u8) -> Option<&RateRows> {
        self.rate_rows.get(usize::from(modules))
    }

    /// Every channel of the board in order of socket and channel.
    pub fn all_channels(&self) -> impl Iterator<Item = ChannelIx> + Clone + use<> {
        (0..u16::from(self.sockets) * u16::from(self.channels)).map(ChannelIx)
    }

    /// The channels of a socket (counted from 1).
    pub fn channels_of(&self, socket: u8) -> impl Iterator<Item = ChannelIx> + Clone + use<> {
        let first = u16::from(socket.saturating_sub(1)) * u16::from(self.channels);
        (first..first + u16::from(self.channels)).map(ChannelIx)
    }

    /// The socket (from 1) and the channel in it (from 1).
    pub fn address(&self, channel: ChannelIx) -> (u8, u8) {
        let per = u16::from(self.channels).max(1);
        (narrow(channel.0 / per) + 1, narrow(channel.0 % per) + 1)
    }

    /// The slots of a channel, ascending by position.
    pub fn slots_of(
        &self,
        channel: ChannelIx,
    ) -> impl DoubleEndedIterator<Item = SlotIx> + Clone + use<> {
        self.slot_range(channel).map(SlotIx)
    }

    /// How many positions of a channel are wired.
    pub fn wired(&self, channel: ChannelIx) -> u8 {
        narrow(self.slot_range(channel).len() as u16)
    }

    /// The slot's record.
    pub fn slot(&self, slot: SlotIx) -> Option<&Slot> {
        self.facts.slots.get(usize::from(slot.0))
    }

    /// The channel that a slot belongs to.
    pub fn channel_of(&self, slot: SlotIx) -> ChannelIx {
        let place = self.slot(slot).map_or(
            Place {
                socket: 1,
                channel: 1,
                position: 1,
            },
            |s| s.place,
        );
        self.channel_at(place.socket, place.channel)
    }

    /// The channel at an address (both from 1).
    pub fn channel_at(&self, socket: u8, channel: u8) -> ChannelIx {
        ChannelIx(
            u16::from(socket.saturating_sub(1)) * u16::from(self.channels)
                + u16::from(channel.saturating_sub(1)),
        )
    }

    /// The slot with this printed label.
    pub fn slot_named(&self, label: &str) -> Option<SlotIx> {
        let index = self
            .facts
            .slots
            .iter()
            .position(|slot| slot.label == label)?;
        u16::try_from(index).ok().map(SlotIx)
    }

    /// The printed label of a slot.
    pub fn label(&self, slot: SlotIx) -> &str {
        self.slot(slot).map_or("?", |slot| slot.label.as_str())
    }

    /// How the board fills with this many sockets fitted. A checked board has a row for each count.
    pub fn filling_for(&self, fitted: u8) -> Option<&Filling> {
        self.facts
            .filling
            .iter()
            .find(|row| row.sockets_fitted.contains(&fitted))
    }

    /// The severity that the board's policy gives a rule, by index into `rules::RULES`.
    pub fn severity_override(&self, rule: usize) -> Option<Severity> {
        override_in(&self.overrides, rule)
    }

    /// The checks of the rules that can block on this board.
    pub fn checks(&self) -> &Arc<Checks> {
        &self.checks
    }

    /// Whether the board's policy takes it from a rule that blocks by itself to block. What it would
    /// refuse is then judged by all other rules as well.
    pub fn lowers(&self, id: &str) -> bool {
        let is_named = |rule: usize| RULES.get(rule).is_some_and(|own| own.id == id);
        let mut overrides = self.overrides.iter();
        overrides.any(|(rule, severity)| *severity != Severity::Blocker && is_named(*rule))
    }

    /// The class of a channel of a socket (from 1): channels of one class may be swapped without
    /// any row of the record telling them apart under a protection, the order of filling aside.
    pub fn channel_class(&self, protection: Protection, channel: u8) -> u8 {
        self.classes
            .get(protection as usize)
            .and_then(|classes| classes.get(usize::from(channel.saturating_sub(1))))
            .copied()
            .unwrap_or(channel)
    }

    /// The channels of each interleave set, in the record's order, as bits from channel 1 up; none for a
    /// set that can't hold.
    pub fn set_members(&self) -> &[u32] {
        &self.set_members
    }

    fn slot_range(&self, channel: ChannelIx) -> std::ops::Range<u16> {
        let at = |index: usize| self.starts.get(index).copied().unwrap_or(0);
        at(usize::from(channel.0))..at(usize::from(channel.0) + 1)
    }
}

/// Counts of a board are checked to fit in a byte.
fn narrow(count: u16) -> u8 {
    u8::try_from(count).unwrap_or(u8::MAX)
}

fn override_in(overrides: &[(usize, Severity)], rule: usize) -> Option<Severity> {
    let mut own = overrides.iter().filter(|(index, _)| *index == rule);
    own.next().map(|(_, severity)| *severity)
}

/// A set that names a channel twice, or one that no board has, can't hold.
fn set_members(facts: &BoardFacts) -> Vec<u32> {
    let bit = |number: &u8| match number.checked_sub(1) {
        Some(index) if index < MOST_CHANNELS => 1u32 << index,
        _ => 0,
    };
    let members = |set: &InterleaveSet| {
        let bits = set.channels.iter().map(bit);
        let all = bits.fold(0, |all, bit| all | bit);
        match all.count_ones() as usize == set.channels.len() {
            true => all,
            false => 0,
        }
    };
    facts.interleave.iter().map(members).collect()
}

fn starts(facts: &BoardFacts) -> Vec<u16> {
    let mut starts = vec![0];
    let mut taken = 0u16;
    for socket in 1..=facts.sockets {
        for channel in 1..=facts.channels {
            let here = facts
                .slots
                .iter()
                .filter(|s| s.place.socket == socket && s.place.channel == channel);
            taken += u16::try_from(here.count()).unwrap_or(0);
            starts.push(taken);
        }
    }
    starts
}
