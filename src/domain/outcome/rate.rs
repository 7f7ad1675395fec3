//! The rates of all channels at one voltage: the lowest of module ratings, processor and the
//! board's rows, levelled.

use super::super::board::policy::Scope;
use super::super::board::{Board, ChannelIx};
use super::super::channel::{Listed, listed_rate};
use super::super::finding::{Fact, Missing};
use super::super::request::{PartIx, SocketState};
use super::super::rules::{ChannelView, Likeness};
use super::super::timing::same_clock;
use super::super::units::{MegabytesPerSecond, Millivolts, Mts};
use super::voltage::SupplyOption;
use super::{ChannelOutcome, Outcome};

/// Something that keeps the rate from being higher.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ceiling {
    /// The rating of a module.
    Module(PartIx),
    /// The processor model, by its index among the board's.
    Processor(usize),
    /// What the board lists for this channel's population.
    Population(ChannelIx),
}

/// The rates of all channels at one voltage.
pub(super) struct Table {
    /// The voltage.
    pub supply: Millivolts,
    rows: Vec<Row>,
    /// Whether the board lists no rate for some channel.
    pub unsupported: bool,
    /// Whether some channel's listed rate hangs on a missing fact.
    pub listing_open: bool,
    /// Facts that keep a rate from being known.
    pub missing: Vec<Missing>,
}

#[derive(Clone, Copy, Default, PartialEq, Eq)]
struct Row {
    /// Whether modules run on the channel.
    runs: bool,
    listed: Option<Mts>,
    /// The lowest of the ceilings that are known.
    at_best: Option<Mts>,
    alone: Option<Mts>,
    rate: Option<Mts>,
}

impl Table {
    /// The rates at a voltage. Memory that is not reached does not run, and slows nothing.
    pub fn at(supply: Millivolts, views: &[ChannelView<'_>], channels: &[ChannelOutcome]) -> Self {
        let mut table = Self {
            supply,
            rows: Vec::with_capacity(views.len()),
            unsupported: false,
            listing_open: false,
            missing: Vec::new(),
        };
        let mut known: Vec<(Likeness, Row)> = Vec::new();
        for (view, channel) in views.iter().zip(channels) {
            if !channel.runs() {
                table.rows.push(Row::default());
                continue;
            }
            // Alike channels, as most are, are looked up once.
            let key = view.likeness();
            let row = match known.iter().find(|(other, _)| *other == key) {
                Some((_, row)) => *row,
                None => {
                    let row = table.row(view);
                    known.push((key, row));
                    row
                }
            };
            table.rows.push(row);
        }
        table.level(views);
        table
    }

    fn row(&mut self, view: &ChannelView<'_>) -> Row {
        let listed = match listed_rate(view, self.supply) {
            Listed::Rate(rate) => Some(rate),
            Listed::Unsupported => {
                self.unsupported = true;
                None
            }
            Listed::Open(missing) => {
                self.listing_open = true;
                self.missing.extend(missing);
                None
            }
        };
        let modules = self.slowest_module(view);
        let processor = view.setup.rate_ceiling(view.socket);
        let ceilings = [listed, modules, processor.ok().flatten()];
        let at_best = ceilings.into_iter().flatten().min();
        self.missing.extend(processor.err());
        let known = listed.is_some() && modules.is_some() && processor.is_ok();
        let alone = at_best.filter(|_| known);
        Row {
            runs: true,
            listed,
            at_best,
            alone,
            rate: alone,
        }
    }

    fn slowest_module(&mut self, view: &ChannelView<'_>) -> Option<Mts> {
        let mut slowest = None;
        let mut all_known = true;
        for on in view.modules() {
            match (on.fit.rating(), slowest) {
                (Some(rate), Some(so_far)) => slowest = Some(rate.min(so_far)),
                (Some(rate), None) => slowest = Some(rate),
                (None, _) => {
                    self.missing.push(Missing::of(on.part, Fact::Rate));
                    all_known = false;
                }
            }
        }
        slowest.filter(|_| all_known)
    }

    /// All channels of the board's levelling scope run at the slowest of them.
    fn level(&mut self, views: &[ChannelView<'_>]) {
        // However they are grouped, alike ones run as they would alone.
        if self.is_even() {
            return;
        }
        let mut groups: Vec<(Group, Option<Mts>)> = Vec::new();
        for (view, row) in views.iter().zip(&self.rows).filter(|(_, row)| row.runs) {
            let key = group(view.board(), view.channel);
            match groups.iter_mut().find(|(group, _)| *group == key) {
                // An unknown rate leaves the whole group unknown.
                Some((_, rate)) => *rate = rate.zip(row.alone).map(|(a, b)| a.min(b)),
                None => groups.push((key, row.alone)),
            }
        }
        let rows = views.iter().zip(&mut self.rows);
        for (view, row) in rows.filter(|(_, row)| row.runs) {
            let key = group(view.board(), view.channel);
            let own = groups.iter().find(|(group, _)| *group == key);
            row.rate = own.and_then(|(_, rate)| *rate);
        }
    }

    /// Whether all channels would run one rate alone.
    fn is_even(&self) -> bool {
        let mut alone = self.running().map(|row| row.alone);
        let first = alone.next();
        alone.all(|own| Some(own) == first)
    }

    fn running(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter().filter(|row| row.runs)
    }

    /// The rate of the slowest channel; `None` if one is not known.
    pub fn slowest(&self) -> Option<Mts> {
        let mut rates = self.running().map(|row| row.rate);
        let first = rates.next().flatten();
        rates.fold(first, |slowest, rate| {
            slowest.zip(rate).map(|(a, b)| a.min(b))
        })
    }

    /// A rate that the slowest channel does not exceed, whatever is missing.
    pub fn at_best(&self) -> Option<Mts> {
        self.running().filter_map(|row| row.at_best).min()
    }

    /// Whether another voltage gives every channel the same.
    pub fn gives_the_same(&self, other: &Self) -> bool {
        self.rows == other.rows && self.unsupported == other.unsupported
    }

    /// What the voltage would give.
    pub fn option(&self) -> SupplyOption {
        SupplyOption {
            supply: self.supply,
            rate: self.slowest(),
            unsupported: self.unsupported,
        }
    }
}

/// A group of channels that run at one clock: socket, node and channel, zero where they don't matter.
pub type Group = (u8, u8, u8);

/// The group of a channel by the board's levelling scope.
pub fn group(board: &Board, channel: ChannelIx) -> Group {
    let (socket, number) = board.address(channel);
    let index = usize::from(number.saturating_sub(1));
    let node = board.nodes.get(index).copied().unwrap_or(0);
    match board.levelling {
        Scope::Channel => (socket, node, number),
        Scope::Node => (socket, node, 0),
        Scope::Socket => (socket, 0, 0),
        Scope::Board => (0, 0, 0),
    }
}

/// Takes the rates of the voltage that is set.
pub(super) fn apply(table: &Table, views: &[ChannelView<'_>], outcome: &mut Outcome) {
    for (channel, row) in outcome.channels.iter_mut().zip(&table.rows) {
        (channel.listed, channel.alone, channel.rate) = (row.listed, row.alone, row.rate);
    }
    outcome.rate = table.slowest();
    outcome.peak = table
        .running()
        .map(|row| row.rate.map(|rate| rate.peak().0))
        .try_fold(0, |sum, peak| Some(sum + peak?))
        .map(MegabytesPerSecond);
    let Some(rate) = outcome.rate else { return };
    let binds = |ceiling: Option<Mts>| ceiling.is_some_and(|ceiling| same_clock(ceiling, rate));
    let mut by_row = Vec::new();
    let mut before = None;
    for (view, row) in views.iter().zip(&table.rows) {
        if !binds(row.alone) {
            continue;
        }
        if binds(row.listed) {
            by_row.push(Ceiling::Population(view.channel));
        }
        // What binds a channel like the one before is named already.
        let own = Some(view.likeness());
        if before != own {
            bind(view, rate, &mut outcome.binding);
        }
        before = own;
    }
    outcome.binding.sort_unstable();
    outcome.binding.dedup();
    // Population is the last of the ceilings, and its channels stand in order.
    outcome.binding.append(&mut by_row);
}

/// Adds what keeps a channel from running faster, its own row aside.
fn bind(view: &ChannelView<'_>, rate: Mts, binding: &mut Vec<Ceiling>) {
    let binds = |ceiling: Option<Mts>| ceiling.is_some_and(|ceiling| same_clock(ceiling, rate));
    // Most modules of a channel are of one part, which is named once.
    let mut named = None;
    if binds(view.setup.rate_ceiling(view.socket).ok().flatten()) {
        match view.setup.socket(view.socket) {
            SocketState::Fitted(Some(model)) => binding.push(Ceiling::Processor(model)),
            // Nobody told the model, and all have this ceiling.
            _ => binding.extend((0..view.board().processors.len()).map(Ceiling::Processor)),
        }
    }
    binding.extend(
        view.modules()
            .filter(|on| named.replace(on.part) != Some(on.part) && binds(on.fit.rating()))
            .map(|on| Ceiling::Module(on.part)),
    );
}
