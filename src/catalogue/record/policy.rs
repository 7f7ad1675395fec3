//! Policies of a board record: mixing, interleaving, protections, severities.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

use super::value::{
    AnyOr, CapacityCountLimit, CapacityLimit, LimitOf, Named, OneOf, Part, RankLimit, Ranks, add,
    reference,
};
use super::words::{IdentityName, MixName, OfferedProtection, SeverityName, UnequalGroupsName};
use crate::domain::board::policy::{InterleaveSet, MixPolicy, Mixing, ProtectionOffer};
use crate::domain::units::Mib;

/// A word for every scope, or one for each.
pub type MixRecord = OneOf<MixScopes, MixName>;

/// What may be mixed. Each aspect takes one word for everywhere, or one for each scope.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"kinds": "forbidden", "ecc": "forbidden", "stacks": "forbidden", "widths": {"channel": "forbidden", "socket": "allowed", "board": "allowed"}, "die_densities": "allowed", "ecc_bits": "forbidden", "ranks": "allowed", "capacities": "allowed", "capacities_per_channel": 2, "capacities_per_board": "none", "part_numbers": "discouraged", "product_lines": "allowed", "dram_makers": "allowed", "dram_makers_from_mib": "none"}))]
pub struct MixingRecord {
    /// Kinds of module, ECC aside.
    pub kinds: MixRecord,
    /// Modules with ECC and without.
    pub ecc: MixRecord,
    /// Stacked modules (3DS) with flat ones, or stacks of different height.
    pub stacks: MixRecord,
    /// Device widths.
    pub widths: MixRecord,
    /// Die densities.
    pub die_densities: MixRecord,
    /// EC4 with EC8.
    pub ecc_bits: MixRecord,
    /// Package rank counts.
    pub ranks: MixRecord,
    /// Capacities.
    pub capacities: MixRecord,
    /// The most distinct capacities on one channel.
    pub capacities_per_channel: CapacityCountLimit,
    /// The most distinct capacities on the board.
    pub capacities_per_board: CapacityCountLimit,
    /// Part numbers.
    pub part_numbers: MixRecord,
    /// Product lines of one maker.
    pub product_lines: MixRecord,
    /// Makers of the DRAM devices.
    pub dram_makers: MixRecord,
    /// The least capacity in MiB of the modules that `dram_makers` is about; `none` where it is about
    /// all.
    pub dram_makers_from_mib: CapacityLimit,
}

/// A mixing policy by scope.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"channel": "forbidden", "socket": "discouraged", "board": "allowed"}))]
pub struct MixScopes {
    /// Between the modules of one channel.
    pub channel: MixName,
    /// Between the modules of one socket.
    pub socket: MixName,
    /// Between the modules of the whole board.
    pub board: MixName,
}

impl Part for MixScopes {
    fn label() -> String {
        "MixScopes".to_owned()
    }

    fn place() -> RefOr<Schema> {
        reference::<Self>()
    }

    fn sample() -> Value {
        json!("allowed")
    }

    fn needs(named: &mut Named) {
        add::<Self>(named);
    }
}

/// Channels of a socket that interleave as one region.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"name": "all four", "channels": [1, 2, 3, 4], "equal": true, "alone": true, "channel_at_most_mib": "none", "protections": "any"}))]
pub struct InterleaveRecord {
    /// The maker's name of the set.
    #[schema(example = "all twelve")]
    pub name: String,
    /// Channels of a socket.
    #[schema(example = json!([1, 2, 3, 4]))]
    pub channels: Vec<u8>,
    /// Whether all must hold the same capacity. Otherwise the common part interleaves and the
    /// surplus stays outside.
    #[schema(example = true)]
    pub equal: bool,
    /// Whether all other channels of the socket must be empty.
    #[schema(example = false)]
    pub alone: bool,
    /// The most memory of one channel in MiB for which the set still holds.
    pub channel_at_most_mib: CapacityLimit,
    /// The protections under which firmware forms the set, `none` among them if it does without any;
    /// or `"any"`.
    pub protections: ProtectionsOrAny,
}

/// A protection that the board offers.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"protection": "mirrored", "groups": [[1, 2], [3, 4]], "identical": ["capacity", "ranks"], "ranks_at_least": "none", "needs_x4": false, "unequal_groups": "refused", "rank_interleave": "none"}))]
pub struct ProtectionRecord {
    /// Which.
    pub protection: OfferedProtection,
    /// Groups of channels of a socket that work together; empty where each channel is alone (rank
    /// spare).
    #[schema(example = json!([[1, 2], [3, 4]]))]
    pub groups: Vec<Vec<u8>>,
    /// What the channels of a group must have in common.
    #[schema(example = json!(["capacity", "ranks"]))]
    pub identical: Vec<IdentityName>,
    /// The fewest ranks of a populated channel.
    pub ranks_at_least: RankLimit,
    /// Whether it needs x4 devices.
    #[schema(example = false)]
    pub needs_x4: bool,
    /// What becomes of a group whose channels are not filled alike.
    pub unequal_groups: UnequalGroupsName,
    /// The package ranks of the modules of a channel, in any order, with which its ranks still
    /// interleave under the protection; `none` where it does not matter, an empty list where they
    /// never do.
    pub rank_interleave: RankSetsLimit,
}

/// Package ranks of the modules of one channel.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RankSet(pub Vec<Ranks>);

impl Part for RankSet {
    fn label() -> String {
        "RankSet".to_owned()
    }

    fn place() -> RefOr<Schema> {
        <Vec<Ranks>>::place()
    }

    fn sample() -> Value {
        json!([2, 1])
    }
}

/// Populations of a channel by their ranks, or none or unknown.
pub type RankSetsLimit = LimitOf<Vec<RankSet>>;
/// Protections, or any.
pub type ProtectionsOrAny = AnyOr<Vec<OfferedProtection>>;

/// A rule whose severity this board changes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"rule": "rank-budget-exceeded", "severity": "warning"}))]
pub struct SeverityRecord {
    /// Id of the rule.
    #[schema(example = "rank-budget-exceeded")]
    pub rule: String,
    /// Its severity on this board.
    pub severity: SeverityName,
}

fn mix(record: &MixRecord) -> MixPolicy {
    match record {
        OneOf::Word(word) => MixPolicy::everywhere((*word).into()),
        OneOf::Value(scopes) => MixPolicy {
            channel: scopes.channel.into(),
            socket: scopes.socket.into(),
            board: scopes.board.into(),
        },
    }
}

impl MixingRecord {
    pub(super) fn to_mixing(&self) -> Mixing {
        Mixing {
            kinds: mix(&self.kinds),
            ecc: mix(&self.ecc),
            stacks: mix(&self.stacks),
            widths: mix(&self.widths),
            die_densities: mix(&self.die_densities),
            ecc_bits: mix(&self.ecc_bits),
            ranks: mix(&self.ranks),
            capacities: mix(&self.capacities),
            capacities_per_channel: self.capacities_per_channel.to_limit(|c| c.0),
            capacities_per_board: self.capacities_per_board.to_limit(|c| c.0),
            part_numbers: mix(&self.part_numbers),
            product_lines: mix(&self.product_lines),
            dram_makers: mix(&self.dram_makers),
            dram_makers_from: self.dram_makers_from_mib.to_limit(|c| Mib(c.0)),
        }
    }
}

impl InterleaveRecord {
    pub(super) fn to_set(&self) -> InterleaveSet {
        InterleaveSet {
            name: self.name.clone(),
            channels: self.channels.clone(),
            equal: self.equal,
            alone: self.alone,
            channel_at_most: self.channel_at_most_mib.to_limit(|c| Mib(c.0)),
            protections: self.protections.to_list(|word| (*word).into()),
        }
    }
}

impl ProtectionRecord {
    pub(super) fn to_offer(&self) -> ProtectionOffer {
        ProtectionOffer {
            protection: self.protection.into(),
            groups: self.groups.clone(),
            identical: self.identical.iter().map(|i| (*i).into()).collect(),
            ranks_at_least: self.ranks_at_least.to_limit(|r| r.0),
            needs_x4: self.needs_x4,
            unequal_groups: self.unequal_groups.into(),
            rank_interleave: self.rank_interleave.to_limit(|sets| {
                let ranks = |set: &RankSet| set.0.iter().map(|ranks| ranks.0).collect();
                sets.iter().map(ranks).collect()
            }),
        }
    }
}
