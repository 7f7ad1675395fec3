//! The channels that a protection joins into a group. Not a rule.

use super::super::board::policy::ProtectionOffer;
use super::super::channel::Stack;
use super::super::finding::Missing;
use super::super::outcome::holds_memory;
use super::super::request::PartIx;
use super::SocketView;
use super::identity::{all_true, channels_alike, position_alike, untold};

/// The channels of a group with what sits on them.
pub(super) struct Joined<'s, 'a> {
    /// Their socket.
    pub view: &'s SocketView<'a>,
    /// Their numbers.
    pub numbers: &'s [u8],
    /// What sits on each.
    pub stacks: Vec<Stack>,
}

impl<'s, 'a> Joined<'s, 'a> {
    pub(super) fn of(view: &'s SocketView<'a>, numbers: &'s [u8]) -> Self {
        let index = |channel: &u8| usize::from(channel.saturating_sub(1));
        let own = numbers.iter().map(index);
        let stacks = own.filter_map(|index| view.stacks.get(index).copied());
        Self {
            view,
            numbers,
            stacks: stacks.collect(),
        }
    }

    /// Whether they are filled alike; `None` if a fact is missing.
    pub(super) fn alike(&self, offer: &ProtectionOffer) -> Option<bool> {
        let (setup, positions) = (self.view.setup, self.view.board().positions);
        channels_alike(setup, &offer.identical, positions, &self.stacks)
    }

    /// Whether nothing sits on any of them.
    pub(super) fn is_empty(&self) -> bool {
        self.stacks.iter().all(|stack| stack.count() == 0)
    }

    /// Whether each of them has a module that gives memory.
    pub(super) fn holds_memory(&self) -> bool {
        let request = self.view.setup.request;
        let gives = |part: PartIx| request.part(part).is_some_and(holds_memory);
        self.stacks.iter().all(|stack| stack.parts().any(gives))
    }

    /// The facts that keep them from being compared.
    pub(super) fn untold(&self, offer: &ProtectionOffer) -> Vec<Missing> {
        untold(self.view.setup.request, &offer.identical, &self.stacks)
    }

    /// Whether all its channels work; `None` where that depends on the processor model.
    pub(super) fn works(&self) -> Option<bool> {
        let (setup, socket) = (self.view.setup, self.view.socket);
        all_true(
            self.numbers
                .iter()
                .map(|own| setup.channel_works(socket, *own)),
        )
    }

    /// Positions in which they surely differ; all of them where a channel is empty.
    pub(super) fn unlike(&self, offer: &ProtectionOffer) -> Vec<u8> {
        let whole = self.stacks.iter().any(|stack| stack.count() == 0);
        let setup = self.view.setup;
        let at = |position| position_alike(setup, &offer.identical, position, &self.stacks);
        let positions = 1..=self.view.board().positions;
        positions
            .filter(|position| whole || at(*position) == Some(false))
            .collect()
    }
}
