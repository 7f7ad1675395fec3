//! What may sit on a channel: every stack that no channel rule blocks, with what the search needs
//! to know of it. Computed once for all channels that start alike.

use super::super::board::ChannelIx;
use super::super::channel::{self, Listed, Stack};
use super::super::request::PartIx;
use super::super::rules::{Battery, ChannelView, Likeness, Standing};
use super::super::setup::Setup;
use super::super::units::{Mib, Mts};
use super::Task;
use super::budget::Budget;
use super::socket::FillKey;

/// A stack that may sit on a channel of some kind.
#[derive(Clone, Debug)]
pub struct Column {
    /// The stack, what stays in place included.
    pub stack: Stack,
    /// How it compares in filling order.
    pub key: FillKey,
    /// Modules on it.
    pub count: u8,
    /// Modules of each load that it takes, in the order of the loads.
    pub takes: Vec<u16>,
    /// Sum of `takes`.
    pub modules: u16,
    /// The capacity of its modules as far as it is known.
    pub capacity: Mib,
    /// The rate that the channel runs alone, by supply voltage; `None` if unlisted or unknown.
    pub rates: Vec<Option<Mts>>,
    /// The best of these.
    pub best: Option<Mts>,
    /// Installed modules that stay in their slots.
    pub kept: u32,
    /// Clear or undecided.
    pub standing: Standing,
}

/// The stacks for channels that start alike.
#[derive(Debug)]
pub struct Columns {
    /// In filling order: fuller channels first, then earlier positions.
    pub list: Vec<Column>,
}

/// What a channel starts from: channels with the same start have the same columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Start {
    /// What stays on it.
    pub fixed: Stack,
    /// What was installed on it.
    pub before: Stack,
    /// What its rules look at besides the stack.
    pub bare: Likeness,
}

impl Start {
    /// The start of a channel.
    pub fn of(setup: &Setup<'_>, task: &Task, channel: ChannelIx) -> Self {
        let at = |stacks: &[Stack]| {
            stacks
                .get(usize::from(channel.0))
                .copied()
                .unwrap_or_default()
        };
        Self {
            fixed: at(&task.fixed),
            before: at(&task.before),
            bare: Likeness::bare(setup, channel),
        }
    }
}

impl Columns {
    /// Enumerates the stacks of a channel.
    pub fn of(
        setup: &Setup<'_>,
        task: &Task,
        battery: &Battery,
        channel: ChannelIx,
        budget: &mut Budget,
    ) -> Self {
        let start = Start::of(setup, task, channel);
        let socket = setup.board.address(channel).0;
        let mut stacks = vec![start.fixed];
        if setup.is_fitted(socket) && start.bare.works != Some(false) {
            let free = |position: &u8| start.fixed.at(*position).is_none();
            for position in (1..=start.bare.wired).filter(free) {
                // Judging a stack costs about as much as ten steps. Many modules that all differ
                // would fill the memory with stacks: then the search is cut.
                if !budget.spend_many((stacks.len() * task.loads.len() * 10) as u64) {
                    break;
                }
                for index in 0..stacks.len() {
                    let Some(stack) = stacks.get(index).copied() else {
                        continue;
                    };
                    let free = |(part, quantity): &(PartIx, u32)| {
                        taken(&stack, &start.fixed, *part) < *quantity
                    };
                    stacks.extend(
                        task.loads
                            .iter()
                            .filter(|load| free(load))
                            .map(|(part, _)| stack.with(position, Some(*part))),
                    );
                }
            }
        }
        let mut list: Vec<Column> = stacks
            .into_iter()
            .filter_map(|stack| {
                let view = ChannelView {
                    setup,
                    socket,
                    channel,
                    stack,
                };
                let standing = if stack.count() == 0 {
                    Standing::Clear
                } else {
                    battery.channel(&view, &mut budget.blamed)
                };
                (standing != Standing::Blocked).then(|| column(&view, task, &start, standing))
            })
            .collect();
        list.sort_by_key(|column| column.key);
        Self { list }
    }
}

fn taken(stack: &Stack, fixed: &Stack, part: PartIx) -> u32 {
    let count = |stack: &Stack| stack.parts().filter(|other| *other == part).count();
    (count(stack) - count(fixed).min(count(stack))) as u32
}

fn column(view: &ChannelView<'_>, task: &Task, start: &Start, standing: Standing) -> Column {
    let takes: Vec<u16> = task
        .loads
        .iter()
        .map(|(part, _)| taken(&view.stack, &start.fixed, *part) as u16)
        .collect();
    let slowest = view
        .modules()
        .map(|on| on.fit.rating())
        .try_fold(Mts(u32::MAX), |slowest, rate| Some(slowest.min(rate?)));
    let ceiling = view.setup.rate_ceiling(view.socket);
    let rates: Vec<Option<Mts>> = view
        .setup
        .supplies()
        .iter()
        .map(|supply| match channel::listed_rate(view, *supply) {
            Listed::Rate(listed) => Some(listed.min(slowest?).min(ceiling.ok()?.unwrap_or(listed))),
            Listed::Unsupported | Listed::Open(_) => None,
        })
        .collect();
    let kept = (1..=start.bare.wired)
        .filter(|p| start.before.at(*p).is_some() && start.before.at(*p) == view.stack.at(*p))
        .count();
    // A module of unknown capacity counts as nothing, here as in the even share that columns are
    // measured by.
    let known = view
        .modules()
        .filter_map(|on| Some(on.module.main_memory()?.0));
    Column {
        stack: view.stack,
        key: FillKey::of(&view.stack, &view.setup.filling.position_order),
        count: view.stack.count(),
        modules: takes.iter().sum(),
        takes,
        capacity: Mib(known.sum()),
        best: rates.iter().copied().flatten().max(),
        rates,
        kept: kept as u32,
        standing,
    }
}
