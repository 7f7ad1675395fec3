//! What a check looks at: a module, a channel, a socket or the whole board.

use super::super::board::policy::Protection;
use super::super::board::{Board, ChannelIx, SlotIx};
use super::super::channel::Stack;
use super::super::finding::{Fact, Missing};
use super::super::module::Module;
use super::super::outcome::Outcome;
use super::super::population::Population;
use super::super::request::{PartIx, Request, SocketState};
use super::super::setup::{PartFit, Setup};
use super::super::tally::Total;
use super::rate_lowered_by_count::Thinner;
use std::cell::OnceCell;

/// One module of the request.
pub struct PartView<'a> {
    /// The request bound to the board.
    pub setup: &'a Setup<'a>,
    /// Which module.
    pub part: PartIx,
    /// Its facts.
    pub module: &'a Module,
    /// How it fares with the board's acceptance rows.
    pub fit: &'a PartFit<'a>,
}

impl<'a> PartView<'a> {
    /// The view of a part of the request.
    pub fn new(setup: &'a Setup<'a>, part: PartIx) -> Option<Self> {
        Some(Self {
            setup,
            part,
            module: setup.request.part(part)?,
            fit: setup.fit(part)?,
        })
    }

    /// The board.
    pub fn board(&self) -> &'a Board {
        self.setup.board
    }
}

/// One channel and what sits on it.
#[derive(Clone, Copy)]
pub struct ChannelView<'a> {
    /// The request bound to the board.
    pub setup: &'a Setup<'a>,
    /// The socket, from 1.
    pub socket: u8,
    /// The channel, over the whole board.
    pub channel: ChannelIx,
    /// What sits on it, by position.
    pub stack: Stack,
}

impl<'a> ChannelView<'a> {
    /// The board.
    pub fn board(&self) -> &'a Board {
        self.setup.board
    }

    /// The modules on the channel: slot, position (from 1), index and facts.
    pub fn modules(&self) -> impl Iterator<Item = OnChannel<'a>> + Clone + use<'a> {
        let (setup, stack) = (self.setup, self.stack);
        setup
            .board
            .slots_of(self.channel)
            .zip(1u8..)
            .filter_map(move |(slot, position)| {
                let part = stack.at(position)?;
                Some(OnChannel {
                    slot,
                    position,
                    part,
                    module: setup.request.part(part)?,
                    fit: setup.fit(part)?,
                })
            })
    }

    /// What tells the channel apart from others for its rules and its rate.
    pub fn likeness(&self) -> Likeness {
        Likeness {
            stack: self.stack,
            ..Likeness::bare(self.setup, self.channel)
        }
    }

    /// The slots of the channel that hold a module.
    pub fn occupied_slots(&self) -> impl Iterator<Item = SlotIx> + use<'a> {
        self.modules().map(|on| on.slot)
    }
}

/// All that the rules of a channel and its listed rate look at, besides the request and what the board
/// says of every channel: channels that agree in it are judged alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Likeness {
    /// What sits on it.
    pub stack: Stack,
    /// Positions wired.
    pub wired: u8,
    /// Whether the socket's processor serves it.
    pub works: Option<bool>,
    /// What is known of the socket's processor.
    pub state: SocketState,
}

impl Likeness {
    /// Of an empty channel.
    pub fn bare(setup: &Setup<'_>, channel: ChannelIx) -> Self {
        Self {
            stack: Stack::default(),
            wired: setup.board.wired(channel),
            works: setup.works_at(channel),
            state: setup.socket(setup.board.address(channel).0),
        }
    }
}

/// A module on a channel.
#[derive(Clone, Copy)]
pub struct OnChannel<'a> {
    /// Its slot.
    pub slot: SlotIx,
    /// Its position, from 1.
    pub position: u8,
    /// Which module.
    pub part: PartIx,
    /// Its facts.
    pub module: &'a Module,
    /// How it fares with the board's acceptance rows.
    pub fit: &'a PartFit<'a>,
}

/// One socket and what sits on its channels.
#[derive(Clone, Copy)]
pub struct SocketView<'a> {
    /// The request bound to the board.
    pub setup: &'a Setup<'a>,
    /// The socket, from 1.
    pub socket: u8,
    /// What sits on each of its channels, channel 1 first.
    pub stacks: &'a [Stack],
}

impl<'a> SocketView<'a> {
    /// The board.
    pub fn board(&self) -> &'a Board {
        self.setup.board
    }

    /// Its channels.
    pub fn channels(&self) -> impl Iterator<Item = ChannelView<'a>> + Clone + use<'a> {
        let (setup, socket) = (self.setup, self.socket);
        setup
            .board
            .channels_of(socket)
            .zip(self.stacks)
            .map(move |(channel, stack)| ChannelView {
                setup,
                socket,
                channel,
                stack: *stack,
            })
    }

    /// All modules of the socket.
    pub fn modules(&self) -> impl Iterator<Item = OnChannel<'a>> + Clone + use<'a> {
        self.channels().flat_map(|channel| channel.modules())
    }

    /// Modules on the socket.
    pub fn count(&self) -> usize {
        self.stacks
            .iter()
            .map(|stack| usize::from(stack.count()))
            .sum()
    }

    /// Capacity of all modules of the socket, in MiB.
    pub fn held(&self) -> Total {
        let of = |channel: &ChannelView<'_>| {
            let modules = channel.modules();
            Total::of(modules.map(|on| (on.module.capacity.map(|capacity| capacity.0), 1)))
        };
        let mut before: Option<(Stack, Total)> = None;
        self.channels().fold(Total::of([]), |sum, channel| {
            // Most channels hold what the one before holds.
            let known = before.filter(|(stack, _)| *stack == channel.stack);
            let own = known.map_or_else(|| of(&channel), |(_, own)| own);
            before = Some((channel.stack, own));
            sum.and(own)
        })
    }

    /// The modules of the socket of which the capacity is not known.
    pub fn unknown_capacities(&self) -> Vec<Missing> {
        self.modules()
            .filter(|on| on.module.capacity.is_none())
            .map(|on| Missing::of(on.part, Fact::Capacity))
            .collect()
    }

    /// Whether the socket has a processor.
    pub fn is_fitted(&self) -> bool {
        self.setup.is_fitted(self.socket)
    }
}

/// The whole board.
pub struct BoardView<'a> {
    /// The request bound to the board.
    pub setup: &'a Setup<'a>,
    /// Which module sits in which slot.
    pub population: &'a Population,
    /// What sits on each channel of the board, in order.
    pub stacks: &'a [Stack],
    /// What comes out of it.
    pub outcome: &'a Outcome,
    /// Modules of the kit that the placement could not seat, with their number.
    pub left_over: &'a [(PartIx, u32)],
    /// What fewer modules on a channel would give: more than one rule asks.
    thinner: OnceCell<Option<Thinner>>,
}

impl<'a> BoardView<'a> {
    /// The view of a population of which the outcome is known.
    pub fn new(
        setup: &'a Setup<'a>,
        population: &'a Population,
        stacks: &'a [Stack],
        outcome: &'a Outcome,
        left_over: &'a [(PartIx, u32)],
    ) -> Self {
        Self {
            setup,
            population,
            stacks,
            outcome,
            left_over,
            thinner: OnceCell::new(),
        }
    }

    /// What fewer modules on the channels that hold the board back would give.
    pub(super) fn thinner(&self) -> Option<&Thinner> {
        self.thinner.get_or_init(|| Thinner::of(self)).as_ref()
    }

    /// The board.
    pub fn board(&self) -> &'a Board {
        self.setup.board
    }

    /// The request.
    pub fn request(&self) -> &'a Request {
        self.setup.request
    }

    /// Usable capacity, in MiB; `None` if the board does not offer the protection that was asked
    /// for.
    pub fn usable(&self) -> Option<Total> {
        let asked = self.request().protection;
        if asked != Protection::None && self.setup.offer().is_none() {
            return None;
        }
        let at_least = match self.outcome.usable {
            Some(usable) => usable.0,
            // What is surely reached counts, if nothing is held back.
            None if asked == Protection::None => self.reached(),
            None => 0,
        };
        Some(Total {
            at_least,
            exact: self.outcome.usable.is_some(),
        })
    }

    /// The known capacity on channels that surely work, in MiB.
    fn reached(&self) -> u64 {
        let works = |view: &ChannelView<'_>| view.setup.works_at(view.channel) == Some(true);
        let modules = self.channels().filter(works).flat_map(|c| c.modules());
        modules
            .filter_map(|on| on.module.main_memory())
            .map(|c| c.0)
            .sum()
    }

    /// Facts that keep the usable capacity from being known.
    pub fn usable_needs(&self) -> Vec<Missing> {
        let spare = self.request().protection == Protection::RankSpare;
        let joined = self.setup.leaves_groups_out();
        let concerns = |fact: Fact| match fact {
            Fact::Capacity | Fact::ProcessorModel => true,
            Fact::PackageRanks | Fact::Kind => spare || joined,
            Fact::StackHeight | Fact::BoardLimit => spare,
            Fact::Width | Fact::PartNumber => joined,
            _ => false,
        };
        let missing = self.outcome.missing.iter().copied();
        missing.filter(|missing| concerns(missing.fact)).collect()
    }

    /// All channels of the board.
    pub fn channels(&self) -> impl Iterator<Item = ChannelView<'a>> + Clone + use<'a> {
        self.sockets().flat_map(|socket| socket.channels())
    }

    /// All sockets of the board, fitted or not.
    pub fn sockets(&self) -> impl Iterator<Item = SocketView<'a>> + Clone + use<'a> {
        let per = usize::from(self.setup.board.channels).max(1);
        let setup = self.setup;
        self.stacks
            .chunks(per)
            .zip(1u8..)
            .map(move |(stacks, socket)| SocketView {
                setup,
                socket,
                stacks,
            })
    }

    /// All modules on the board.
    pub fn modules(&self) -> impl Iterator<Item = OnChannel<'a>> + Clone + use<'a> {
        self.channels().flat_map(|channel| channel.modules())
    }
}
