//! Slots that belong together although they are not a channel.

use super::policy::Identity;

/// Slots of a socket that belong together; every socket has the same groups.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SlotGroup {
    /// The maker's name of the group.
    pub name: String,
    /// Channel and position of each slot, both from 1.
    pub seats: Vec<(u8, u8)>,
    /// What the modules of the group must have in common.
    pub identical: Vec<Identity>,
    /// Whether a module that is switched off takes the others of the group down with it, because
    /// they share a reset line or a port.
    pub shared_reset: bool,
}
