//! Voltage and rate: the lowest of module ratings, processor and the board's rows, levelled.

use super::super::board::ChannelIx;
use super::super::board::policy::Scope;
use super::super::channel::{Listed, Stack, listed_rate};
use super::super::finding::{Fact, Missing};
use super::super::request::{PartIx, SocketState, VoltagePolicy};
use super::super::rules::ChannelView;
use super::super::units::{MegabytesPerSecond, Millivolts, Mts};
use super::Outcome;

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

/// What a supply voltage would give.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SupplyOption {
    /// The voltage.
    pub supply: Millivolts,
    /// The rate of the slowest channel; `None` if a fact is missing or a channel has no listed rate.
    pub rate: Option<Mts>,
    /// Whether some channel has no listed rate at this voltage.
    pub unsupported: bool,
}

pub(super) fn fill(views: &[ChannelView<'_>], outcome: &mut Outcome) {
    let Some(setup) = views.first().map(|view| view.setup) else {
        return;
    };
    let mut tables: Vec<Table> = setup
        .supplies()
        .iter()
        .map(|mv| Table::at(*mv, views))
        .collect();
    outcome.supply_options = tables.iter().map(Table::option).collect();
    outcome.missing.extend(
        tables
            .iter()
            .flat_map(|table| table.missing.iter().copied()),
    );
    if views.iter().all(|view| view.stack.count() == 0) {
        return;
    }
    let supply_known = setup.seated().iter().all(|part| {
        setup
            .request
            .part(*part)
            .is_some_and(|m| m.supply.is_some())
    });
    let Some(chosen) = choose(&outcome.supply_options, setup.request.voltage_policy) else {
        return;
    };
    if !supply_known
        && tables.len() > 1
        && tables
            .iter()
            .any(|table| table.slowest() != tables.first().and_then(Table::slowest))
    {
        let unknown = setup.seated().iter().filter(|part| {
            setup
                .request
                .part(**part)
                .is_some_and(|m| m.supply.is_none())
        });
        outcome
            .missing
            .extend(unknown.map(|part| Missing::of(*part, Fact::Supply)));
        return;
    }
    outcome.supply = (supply_known || tables.len() == 1)
        .then(|| tables.get(chosen).map(|t| t.supply))
        .flatten();
    if chosen < tables.len() {
        apply(tables.swap_remove(chosen), views, outcome);
    }
}

/// The index of the voltage that the policy sets.
fn choose(options: &[SupplyOption], policy: VoltagePolicy) -> Option<usize> {
    let supported = || {
        options
            .iter()
            .enumerate()
            .filter(|(_, option)| !option.unsupported)
    };
    let best = match policy {
        VoltagePolicy::Lowest => supported().next(),
        // Ascending by voltage: on a tie the first, lower one stays.
        VoltagePolicy::Fastest => supported().fold(
            None,
            |best: Option<(usize, &SupplyOption)>, next| match best {
                Some((_, option)) if option.rate >= next.1.rate => best,
                _ => Some(next),
            },
        ),
    };
    best.map(|(index, _)| index)
        .or((!options.is_empty()).then_some(0))
}

/// The rates of all channels at one voltage.
struct Table {
    supply: Millivolts,
    rows: Vec<Row>,
    unsupported: bool,
    missing: Vec<Missing>,
}

#[derive(Clone, Copy, Default)]
struct Row {
    populated: bool,
    listed: Option<Mts>,
    alone: Option<Mts>,
    rate: Option<Mts>,
}

impl Table {
    fn at(supply: Millivolts, views: &[ChannelView<'_>]) -> Self {
        let mut table = Self {
            supply,
            rows: Vec::with_capacity(views.len()),
            unsupported: false,
            missing: Vec::new(),
        };
        let mut known: Vec<(Stack, u8, u8, Row)> = Vec::new();
        for view in views {
            let key = (view.stack, view.board().wired(view.channel), view.socket);
            let row = match known
                .iter()
                .find(|(stack, wired, socket, _)| (*stack, *wired, *socket) == key)
            {
                Some((.., row)) => *row,
                None => {
                    let row = table.row(view);
                    known.push((key.0, key.1, key.2, row));
                    row
                }
            };
            table.rows.push(row);
        }
        table.level(views);
        table
    }

    fn row(&mut self, view: &ChannelView<'_>) -> Row {
        if view.stack.count() == 0 {
            return Row::default();
        }
        let listed = match listed_rate(view, self.supply) {
            Listed::Rate(rate) => Some(rate),
            Listed::Unsupported => {
                self.unsupported = true;
                None
            }
            Listed::Open(missing) => {
                self.missing.extend(missing);
                None
            }
        };
        let modules = self.slowest_module(view);
        let alone = match (listed, modules, view.setup.rate_ceiling(view.socket)) {
            (Some(listed), Some(modules), Ok(ceiling)) => {
                Some(ceiling.map_or(listed, |c| c.min(listed)).min(modules))
            }
            (_, _, ceiling) => {
                self.missing.extend(ceiling.err());
                None
            }
        };
        Row {
            populated: true,
            listed,
            alone,
            rate: alone,
        }
    }

    fn slowest_module(&mut self, view: &ChannelView<'_>) -> Option<Mts> {
        let mut slowest = None;
        for on in view.modules() {
            match (on.module.rate, slowest) {
                (Some(rate), Some(so_far)) => slowest = Some(rate.min(so_far)),
                (Some(rate), None) => slowest = Some(rate),
                (None, _) => {
                    self.missing.push(Missing::of(on.part, Fact::Rate));
                    return None;
                }
            }
        }
        slowest
    }

    /// All channels of the board's levelling scope run at the slowest of them.
    fn level(&mut self, views: &[ChannelView<'_>]) {
        let Some(board) = views.first().map(ChannelView::board) else {
            return;
        };
        let key = |view: &ChannelView<'_>| {
            let (socket, channel) = board.address(view.channel);
            let node = board
                .nodes
                .get(usize::from(channel) - 1)
                .copied()
                .unwrap_or(0);
            match board.levelling {
                Scope::Channel => (socket, node, channel),
                Scope::Node => (socket, node, 0),
                Scope::Socket => (socket, 0, 0),
                Scope::Board => (0, 0, 0),
            }
        };
        let mut groups: Vec<((u8, u8, u8), Option<Mts>)> = Vec::new();
        for (view, row) in views
            .iter()
            .zip(&self.rows)
            .filter(|(_, row)| row.populated)
        {
            match groups.iter_mut().find(|(group, _)| *group == key(view)) {
                // An unknown rate leaves the whole group unknown.
                Some((_, rate)) => *rate = rate.zip(row.alone).map(|(a, b)| a.min(b)),
                None => groups.push((key(view), row.alone)),
            }
        }
        for (view, row) in views
            .iter()
            .zip(&mut self.rows)
            .filter(|(_, row)| row.populated)
        {
            row.rate = groups
                .iter()
                .find(|(group, _)| *group == key(view))
                .and_then(|(_, rate)| *rate);
        }
    }

    fn slowest(&self) -> Option<Mts> {
        let mut populated = self
            .rows
            .iter()
            .filter(|row| row.populated)
            .map(|row| row.rate);
        let first = populated.next().flatten();
        populated.fold(first, |slowest, rate| {
            slowest.zip(rate).map(|(a, b)| a.min(b))
        })
    }

    fn option(&self) -> SupplyOption {
        SupplyOption {
            supply: self.supply,
            rate: self.slowest(),
            unsupported: self.unsupported,
        }
    }
}

fn apply(table: Table, views: &[ChannelView<'_>], outcome: &mut Outcome) {
    for (channel, row) in outcome.channels.iter_mut().zip(&table.rows) {
        (channel.listed, channel.alone, channel.rate) = (row.listed, row.alone, row.rate);
    }
    outcome.rate = table.slowest();
    let populated = table.rows.iter().filter(|row| row.populated);
    outcome.peak = populated
        .map(|row| row.rate.map(|rate| rate.peak().0))
        .try_fold(0, |sum, peak| Some(sum + peak?))
        .map(MegabytesPerSecond);
    let Some(rate) = outcome.rate else { return };
    let mut binding = Vec::new();
    for (view, row) in views
        .iter()
        .zip(&table.rows)
        .filter(|(_, row)| row.populated && row.alone == Some(rate))
    {
        if row.listed == Some(rate) {
            binding.push(Ceiling::Population(view.channel));
        }
        if let (SocketState::Fitted(Some(model)), Ok(Some(ceiling))) = (
            view.setup.socket(view.socket),
            view.setup.rate_ceiling(view.socket),
        ) && ceiling == rate
        {
            binding.push(Ceiling::Processor(model));
        }
        binding.extend(
            view.modules()
                .filter(|on| on.module.rate == Some(rate))
                .map(|on| Ceiling::Module(on.part)),
        );
    }
    binding.sort_unstable();
    binding.dedup();
    outcome.binding = binding;
}
