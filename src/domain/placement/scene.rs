//! What does not change during a search: the columns of each channel, and what each socket brings.

use super::super::board::ChannelIx;
use super::super::board::policy::Scope;
use super::super::channel::Stack;
use super::super::request::PartIx;
use super::super::rules::{Battery, SocketView, Standing};
use super::super::setup::Setup;
use super::Task;
use super::budget::Budget;
use super::columns::{Columns, Start};
use super::level::Allowed;

/// What does not change during a search.
pub struct Scene<'a> {
    pub setup: &'a Setup<'a>,
    pub task: &'a Task,
    pub battery: &'a Battery,
    /// The worst standing that is taken.
    pub most: Standing,
    /// Columns by start of a channel.
    pub columns: Vec<Columns>,
    /// Channels of a socket in filling order.
    pub channel_order: Vec<u8>,
    channels: Vec<Sort>,
    /// Capacity of one module of each load.
    sizes: Vec<u64>,
    /// What is known of each socket, socket 1 first.
    pub(super) sockets: Vec<Socket>,
}

/// How a channel compares with the others.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sort {
    /// Channels of one kind may be swapped.
    pub kind: usize,
    /// Its start, as an index into the columns.
    pub start: usize,
}

/// What a socket brings before anything is placed.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Socket {
    /// Channels that work, or hold something already.
    pub(super) channels: u32,
    /// Capacity of what stays in place, in MiB.
    pub(super) fixed_mib: u64,
    /// Modules that stay in place.
    pub(super) fixed: u32,
    /// Modules that were installed.
    pub(super) installed: u32,
}

impl<'a> Scene<'a> {
    pub(super) fn new(
        setup: &'a Setup<'a>,
        task: &'a Task,
        battery: &'a Battery,
        most: Standing,
        budget: &mut Budget,
    ) -> Self {
        let board = setup.board;
        let (channels, columns) = sorts(setup, task, battery, budget);
        let order = setup.filling.channel_order.clone();
        let sizes = task.loads.iter().map(|(part, _)| size(setup, *part));
        Self {
            setup,
            task,
            battery,
            most,
            columns,
            channel_order: order.unwrap_or_else(|| (1..=board.channels).collect()),
            channels,
            sizes: sizes.collect(),
            sockets: (1..=board.sockets)
                .map(|socket| Socket::of(setup, task, socket))
                .collect(),
        }
    }

    /// How a channel compares with the others.
    pub fn sort_of(&self, channel: ChannelIx) -> Sort {
        let own = self.channels.get(usize::from(channel.0));
        own.copied().unwrap_or_default()
    }

    /// Whether all sockets run at one rate, so that times compare directly.
    pub fn board_levels(&self) -> bool {
        self.setup.board.levelling == Scope::Board
    }

    /// Modules that were installed on a socket.
    pub fn installed_on(&self, socket: u8) -> u32 {
        self.socket(socket).installed
    }

    /// The most modules that can stay in their slots: where some of several alike come out, there are
    /// more such slots than modules.
    pub fn most_kept(&self) -> u32 {
        let homes: u32 = self.sockets.iter().map(|socket| socket.installed).sum();
        homes.min(self.setup.request.staying().count() as u32)
    }

    /// Channels of a socket that can hold memory.
    pub fn working_on(&self, socket: u8) -> u32 {
        self.socket(socket).channels
    }

    /// Capacity in MiB and modules of a socket that takes a share.
    pub fn load_of(&self, socket: u8, share: &[u16]) -> (u64, u32) {
        let own = self.socket(socket);
        (
            own.fixed_mib + self.size_of(share),
            own.fixed + count_of(share),
        )
    }

    /// Asks the rules that only look at which modules are on a socket, with the share put anywhere.
    pub(super) fn load_standing(&self, socket: u8, share: &[u16], budget: &mut Budget) -> Standing {
        let board = self.setup.board;
        let fixed = |channel: ChannelIx| self.task.fixed.get(usize::from(channel.0)).copied();
        let mut stacks: Vec<Stack> = board
            .channels_of(socket)
            .map(|channel| fixed(channel).unwrap_or_default())
            .collect();
        let mut waiting = self
            .task
            .loads
            .iter()
            .zip(share)
            .flat_map(|((part, _), count)| (0..*count).map(|_| *part));
        for (stack, channel) in stacks.iter_mut().zip(board.channels_of(socket)) {
            for position in (1..=board.wired(channel))
                .filter(|position| fixed(channel).unwrap_or_default().at(*position).is_none())
            {
                *stack = stack.with(position, waiting.next());
            }
        }
        let view = SocketView {
            setup: self.setup,
            socket,
            stacks: &stacks,
        };
        self.battery.load(&view, &mut budget.blamed)
    }

    pub(super) fn socket(&self, socket: u8) -> Socket {
        self.sockets
            .get(usize::from(socket) - 1)
            .copied()
            .unwrap_or_default()
    }

    pub(super) fn sorts_of(&self, socket: u8) -> impl Iterator<Item = Sort> + '_ {
        let channels = self.setup.board.channels_of(socket);
        channels.map(|channel| self.sort_of(channel))
    }

    /// The most modules of a load that a socket takes.
    pub(super) fn room_of(&self, socket: u8, load: usize, allowed: &[Allowed]) -> u32 {
        let most = |sort: Sort| allowed.get(sort.start)?.most_of.get(load).copied();
        self.sorts_of(socket).filter_map(most).map(u32::from).sum()
    }

    pub(super) fn size_of(&self, share: &[u16]) -> u64 {
        let sizes = share.iter().zip(&self.sizes);
        sizes.map(|(count, size)| u64::from(*count) * size).sum()
    }
}

impl Socket {
    fn of(setup: &Setup<'_>, task: &Task, socket: u8) -> Self {
        let mut own = Self::default();
        for channel in setup.board.channels_of(socket) {
            let at = |stacks: &[Stack]| {
                stacks
                    .get(usize::from(channel.0))
                    .copied()
                    .unwrap_or_default()
            };
            let (fixed, before) = (at(&task.fixed), at(&task.before));
            let works = setup.channel_works(socket, setup.board.address(channel).1) != Some(false);
            own.channels += u32::from(works || fixed.count() > 0);
            own.fixed_mib += fixed.parts().map(|part| size(setup, part)).sum::<u64>();
            own.fixed += u32::from(fixed.count());
            own.installed += u32::from(before.count());
        }
        own
    }
}

pub(super) fn count_of(share: &[u16]) -> u32 {
    share.iter().map(|count| u32::from(*count)).sum()
}

fn size(setup: &Setup<'_>, part: PartIx) -> u64 {
    let module = setup.request.part(part);
    module
        .and_then(|module| module.main_memory())
        .map_or(0, |capacity| capacity.0)
}

fn sorts(
    setup: &Setup<'_>,
    task: &Task,
    battery: &Battery,
    budget: &mut Budget,
) -> (Vec<Sort>, Vec<Columns>) {
    let board = setup.board;
    let mut kinds: Vec<(usize, u8)> = Vec::new();
    let mut starts: Vec<Start> = Vec::new();
    let mut columns = Vec::new();
    let sorts = board.all_channels().map(|channel| {
        let own = Start::of(setup, task, channel);
        let start = starts.iter().position(|other| *other == own);
        let start = start.unwrap_or_else(|| {
            starts.push(own);
            columns.push(Columns::of(setup, task, battery, channel, budget));
            columns.len() - 1
        });
        let number = board.address(channel).1;
        let kind = (start, board.channel_class(setup.request.protection, number));
        let known = kinds.iter().position(|other| *other == kind);
        let kind = known.unwrap_or_else(|| {
            kinds.push(kind);
            kinds.len() - 1
        });
        Sort { kind, start }
    });
    (sorts.collect(), columns)
}
