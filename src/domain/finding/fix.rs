//! What would mend a finding: typed edits of the request.

use super::super::board::SlotIx;
use super::super::board::policy::Protection;
use super::super::request::{Balance, PartIx, VoltagePolicy};
use super::super::units::{Mib, Milliwatts, Money, Mts};
use super::{Fact, Missing, Value};

/// A typed edit that would mend a finding.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Fix {
    /// Seat all modules like this instead.
    Rearrange(Vec<(SlotIx, PartIx)>),
    /// Move the module of one slot to another, empty one.
    Move {
        /** From. */
        from: SlotIx,
        /** To. */
        to: SlotIx,
    },
    /// Exchange the modules of two slots.
    Swap {
        /** The one. */
        one: SlotIx,
        /** The other. */
        other: SlotIx,
    },
    /// Take the module out of a slot.
    Remove {
        /** The slot. */
        slot: SlotIx,
    },
    /// Change the quantity of a kit line (by its index).
    SetQuantity {
        /** Index of the kit line. */
        line: u32,
        /** The new quantity. */
        quantity: u32,
    },
    /// Choose another module for a part: the facts that it should have.
    ChooseOther {
        /** The part. */
        part: PartIx,
        /** What it should have: fact and value. */
        needs: Vec<(Fact, Value)>,
    },
    /// Lower the wish so that it holds.
    AdjustWish(WishChange),
    /// Ask for another protection.
    SetProtection(Protection),
    /// Choose another voltage policy.
    SetVoltagePolicy(VoltagePolicy),
    /// Update the board's firmware.
    UpdateFirmware {
        /** At least this version. */
        version: String,
    },
    /// Fit a processor into a socket.
    FitProcessor {
        /** The socket. */
        socket: u8,
    },
    /// Choose another processor model for every socket that has one.
    ChooseProcessor {
        /// The model, by its index among the board's.
        model: usize,
    },
    /// Order fillers.
    OrderFillers {
        /** How many. */
        count: u64,
    },
    /// Tell a fact that is missing.
    Tell(Missing),
}

/// A wish changed so far that it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "named after the wishes")]
pub enum WishChange {
    CapacityAtLeast(Mib),
    CapacityAtMost(Mib),
    RateAtLeast(Mts),
    FreeSlots(u16),
    Budget(Money),
    PowerAtMost(Milliwatts),
    Balance(Option<Balance>),
    ChipCorrection,
    RankInterleave,
}

/// A fix with its standing.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Offer {
    /// The edit.
    pub fix: Fix,
    /// Whether a program may apply it unasked: it removes the finding, adds no blocker, and changes
    /// nothing that the caller asked for.
    pub machine_safe: bool,
}
