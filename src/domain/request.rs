//! What a caller asks: a board's state, modules, and wishes, before it is bound to a board.

use super::board::SlotIx;
use super::board::policy::Protection;
use super::finding::Severity;
use super::module::Module;
use super::units::{Mib, Milliwatts, Money, Mts, Version};
use std::sync::Arc;

/// The most modules of one request, and so of one plan: what is planned can be checked.
pub const MOST_MODULES: u32 = 1024;

/// The index of a distinct module in [`Request::parts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartIx(pub u16);

/// Modules bought together, without slots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KitLine {
    /// Which module.
    pub part: PartIx,
    /// How many; at least 1.
    pub quantity: u32,
}

/// A module in a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seated {
    /// Which module.
    pub part: PartIx,
    /// Where it sits; an installed module whose slot nobody told has none.
    pub slot: Option<SlotIx>,
}

/// What may happen to the installed modules.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum InstalledPolicy {
    /// Each stays in its slot.
    #[default]
    InPlace,
    /// All stay, they may move.
    Keep,
    /// They may be taken out.
    MayRemove,
    /// All come out.
    Replace,
}

/// Which supply voltage is set where several are possible.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum VoltagePolicy {
    /// The one with the highest rate, ties to the lower voltage.
    #[default]
    Fastest,
    /// The lowest that all modules and the board support.
    Lowest,
}

/// One socket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SocketState {
    /// No processor.
    Empty,
    /// A processor; the index of its model among the board's if it was told.
    Fitted(Option<usize>),
}

/// A wish and whether failing it blocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wish<T> {
    /// What is wished.
    pub value: T,
    /// Whether it must be met; otherwise failing it is a warning.
    pub must: bool,
}

impl<T> Wish<T> {
    /// How bad it is to fail it.
    pub const fn severity(&self) -> Severity {
        if self.must {
            Severity::Blocker
        } else {
            Severity::Warning
        }
    }
}

/// How evenly the memory should be spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Balance {
    /// All channels of fitted sockets alike.
    Channels,
    /// All fitted sockets alike.
    Sockets,
}

/// What the caller wishes of the result.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wishes {
    /// Usable capacity at least.
    pub capacity_at_least: Option<Wish<Mib>>,
    /// Usable capacity at most.
    pub capacity_at_most: Option<Wish<Mib>>,
    /// Rate at least.
    pub rate_at_least: Option<Wish<Mts>>,
    /// Slots that stay free.
    pub free_slots: Option<Wish<u16>>,
    /// Price of the kit at most.
    pub budget: Option<Wish<Money>>,
    /// Peak power of all modules at most.
    pub power_at_most: Option<Wish<Milliwatts>>,
    /// Balance.
    pub balance: Option<Wish<Balance>>,
    /// The most memory that the operating system or its licence uses.
    pub licence: Option<Wish<Mib>>,
    /// Correction of a whole failed device.
    pub chip_correction: Option<Wish<()>>,
    /// Interleave of the ranks of every channel.
    pub rank_interleave: Option<Wish<()>>,
}

/// Which members with a default the request names itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Names {
    /// The voltage policy.
    pub voltage_policy: bool,
    /// What may happen to installed modules.
    pub installed_policy: bool,
}

/// A request whose names have been resolved against a board and a catalogue.
#[derive(Clone, Debug, Default)]
pub struct Request {
    /// Distinct modules; equal modules share one entry.
    pub parts: Vec<Arc<Module>>,
    /// The kit.
    pub kit: Vec<KitLine>,
    /// A population with slots, in place of a kit.
    pub population: Vec<Seated>,
    /// What is installed.
    pub installed: Vec<Seated>,
    /// Slots that a report of what is installed leaves out; nothing where no report told it.
    pub left_out: Option<Vec<SlotIx>>,
    /// What may happen to it.
    pub installed_policy: InstalledPolicy,
    /// Entries of `installed` (by index) that come out, beyond what the policy says.
    pub removed: Vec<u32>,
    /// One entry for each socket, or nothing when no processors were told.
    pub sockets: Option<Vec<SocketState>>,
    /// The board's firmware.
    pub firmware: Option<Version>,
    /// The protection wished.
    pub protection: Protection,
    /// The voltage policy.
    pub voltage_policy: VoltagePolicy,
    /// Wishes.
    pub wishes: Wishes,
    /// What of this is no default.
    pub names: Names,
}

impl Request {
    /// The module behind an index.
    pub fn part(&self, part: PartIx) -> Option<&Module> {
        self.parts.get(usize::from(part.0)).map(Arc::as_ref)
    }

    /// Installed modules that stay on the board, with their index in `installed`.
    pub fn staying(&self) -> impl Iterator<Item = (u32, Seated)> + '_ {
        let stays = move |index: u32| {
            self.installed_policy != InstalledPolicy::Replace && !self.removed.contains(&index)
        };
        (0u32..)
            .zip(self.installed.iter().copied())
            .filter(move |(index, _)| stays(*index))
    }

    /// How many of a module will be on the board if all find a slot.
    pub fn quantity(&self, part: PartIx) -> u64 {
        let kit: u64 = self
            .kit
            .iter()
            .filter(|line| line.part == part)
            .map(|line| u64::from(line.quantity))
            .sum();
        let given = self
            .population
            .iter()
            .filter(|entry| entry.part == part)
            .count();
        let stays = self
            .staying()
            .filter(|(_, entry)| entry.part == part)
            .count();
        kit + (given + stays) as u64
    }

    /// Every part index.
    pub fn part_ixs(&self) -> impl Iterator<Item = PartIx> + use<> {
        (0..u16::try_from(self.parts.len()).unwrap_or(u16::MAX)).map(PartIx)
    }
}
