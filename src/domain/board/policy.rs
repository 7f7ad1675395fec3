//! Policies of a board: what may be mixed, which channels interleave, which protections it offers.

use super::super::units::Mib;
use super::Limit;

/// How far something reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "the words are the trade's")]
pub enum Scope {
    Channel,
    Node,
    Socket,
    Board,
}

/// Whether a mix is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mix {
    /// The maker permits it.
    Allowed,
    /// It runs, the maker advises against it.
    Discouraged,
    /// The maker does not support it.
    Forbidden,
    /// The record's author does not know.
    Unknown,
}

/// The policy of one aspect by scope. A mix in a channel is also one in its socket and its board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MixPolicy {
    /// Between the modules of one channel.
    pub channel: Mix,
    /// Between the modules of one socket.
    pub socket: Mix,
    /// Between the modules of the whole board.
    pub board: Mix,
}

impl MixPolicy {
    /// The same in every scope.
    pub const fn everywhere(mix: Mix) -> Self {
        Self {
            channel: mix,
            socket: mix,
            board: mix,
        }
    }

    /// Whether it may say something against a mix in some scope; an unknown one may.
    pub fn speaks(self) -> bool {
        let scopes = [self.channel, self.socket, self.board];
        scopes.iter().any(|mix| *mix != Mix::Allowed)
    }
}

/// What may be mixed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mixing {
    /// Kinds, ECC aside.
    pub kinds: MixPolicy,
    /// Modules with ECC and without.
    pub ecc: MixPolicy,
    /// Stacked modules with flat ones, or stacks of different height.
    pub stacks: MixPolicy,
    /// Device widths.
    pub widths: MixPolicy,
    /// Die densities.
    pub die_densities: MixPolicy,
    /// EC4 with EC8.
    pub ecc_bits: MixPolicy,
    /// Package rank counts.
    pub ranks: MixPolicy,
    /// Capacities.
    pub capacities: MixPolicy,
    /// The most distinct capacities on one channel.
    pub capacities_per_channel: Limit<u8>,
    /// The most distinct capacities on the board.
    pub capacities_per_board: Limit<u8>,
    /// Part numbers.
    pub part_numbers: MixPolicy,
    /// Product lines of a maker.
    pub product_lines: MixPolicy,
    /// Makers of the DRAM devices.
    pub dram_makers: MixPolicy,
    /// The least capacity of the modules that the policy of DRAM makers is about.
    pub dram_makers_from: Limit<Mib>,
}

/// Channels of a socket that interleave as one region.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InterleaveSet {
    /// The maker's name of the set.
    pub name: String,
    /// Channels of a socket.
    pub channels: Vec<u8>,
    /// Whether all must hold the same capacity. Otherwise the common part interleaves and the
    /// surplus stays outside.
    pub equal: bool,
    /// Whether all other channels of the socket must be empty.
    pub alone: bool,
    /// The most memory of one channel for which the set still holds.
    pub channel_at_most: Limit<Mib>,
    /// The protections under which it is formed; `None` for any.
    pub protections: Option<Vec<Protection>>,
}

impl InterleaveSet {
    /// Whether firmware forms it under a protection.
    pub fn holds_under(&self, protection: Protection) -> bool {
        let list = self.protections.as_ref();
        list.is_none_or(|list| list.contains(&protection))
    }
}

/// When the ranks of one channel interleave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RankInterleave {
    /// When all ranks of the channel are of one size and their number is a power of two, as address
    /// bits choose among them.
    EqualRanks,
}

/// How memory is protected.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Protection {
    /// Correction of each word only.
    #[default]
    None,
    /// Each group holds everything twice.
    Mirrored,
    /// One rank of each channel is held back as a spare.
    RankSpare,
    /// The channels of a group work in step.
    Lockstep,
}

impl Protection {
    /// Every protection, in order.
    pub const ALL: [Self; 4] = [Self::None, Self::Mirrored, Self::RankSpare, Self::Lockstep];

    /// Whether channels work in groups.
    pub const fn joins_channels(self) -> bool {
        matches!(self, Self::Mirrored | Self::Lockstep)
    }

    /// The trade's name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Mirrored => "mirrored",
            Self::RankSpare => "rank spare",
            Self::Lockstep => "lockstep",
        }
    }
}

/// A protection that the board offers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProtectionOffer {
    /// Which.
    pub protection: Protection,
    /// Groups of channels of a socket that work together; empty where each channel is alone (rank
    /// spare).
    pub groups: Vec<Vec<u8>>,
    /// What the channels of a group must have in common.
    pub identical: Vec<Identity>,
    /// The fewest ranks of a populated channel.
    pub ranks_at_least: Limit<u8>,
    /// Whether it needs x4 devices.
    pub needs_x4: bool,
    /// What becomes of a group whose channels are not filled alike.
    pub unequal_groups: UnequalGroups,
    /// The package ranks of the modules of a channel, in any order, with which its ranks still
    /// interleave under the protection; `Limit::None` where it does not matter.
    pub rank_interleave: Limit<Vec<Vec<u8>>>,
}

/// What becomes of a group whose channels are not filled alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnequalGroups {
    /// The protection can't be set.
    Refused,
    /// The group's memory is left out, as long as another group holds some.
    Lost,
}

/// What two channels must have in common, position by position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names are those of the module's facts")]
pub enum Identity {
    Capacity,
    Ranks,
    Width,
    Kind,
    PartNumber,
}

impl Identity {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Capacity,
        Self::Ranks,
        Self::Width,
        Self::Kind,
        Self::PartNumber,
    ];
}
