//! The request to validate.

use crate::catalogue::record::{BoardRecord, MoneyRecord};
use crate::domain::board::policy::Protection;
use crate::domain::request::{self as core, InstalledPolicy, VoltagePolicy};
use serde::Deserialize;
use utoipa::ToSchema;

use super::reference::{IdOr, ModuleRef};
use super::reported::Installed;

/// A board: an id of the catalogue, or a record.
pub type BoardRef = IdOr<BoardRecord>;

/// The most modules that a request may name in all.
pub const MOST_MODULES: u64 = core::MOST_MODULES as u64;

/// The most entries of a usual request.
const MOST_ENTRIES: usize = 96;

/// Will this work? A board, what is installed, and what is to be added: as a kit (quantities) or as
/// a population (slots).
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ValidateRequest {
    /// The caller's own reference; echoed, never read.
    #[schema(example = "cart-4711", max_length = 200)]
    pub reference: Option<String>,
    /// The board: an id of the catalogue, or a whole record.
    #[schema(required = true, nullable = false)]
    pub board: Option<BoardRef>,
    /// One entry for each socket: a processor model of the board, `fitted` (model not told) or
    /// `empty`. Left out, every socket is fitted and the verdict is computed for each model.
    #[schema(example = json!(["tarn-8", "empty"]), max_items = 64)]
    pub processors: Option<Vec<String>>,
    /// The board's firmware version.
    #[schema(example = "2.4", max_length = 100)]
    pub firmware: Option<String>,
    /// Modules that are installed: a list of them, or an inventory report of the machine.
    pub installed: Option<Installed>,
    /// What may happen to them; `in_place` if left out.
    pub installed_policy: Option<InstalledPolicyName>,
    /// Modules to add, without slots: each line of a cart.
    #[schema(max_items = 1024)]
    pub kit: Option<Vec<KitEntry>>,
    /// Modules to add, with slots.
    #[schema(max_items = 1024)]
    pub population: Option<Vec<PopulationEntry>>,
    /// The protection wished; `none` if left out.
    pub protection: Option<ProtectionName>,
    /// Which supply voltage is set where several are possible; `fastest` if left out.
    pub voltage_policy: Option<VoltagePolicyName>,
    /// What the result should be like.
    pub wishes: Option<WishesEntry>,
    /// What makes `allowed` false; `blocker` and `undecided` if left out.
    #[schema(max_items = 5)]
    pub block_on: Option<Vec<BlockName>>,
    /// Whether the answer carries a signed receipt, which a later step can check without asking
    /// again. Only for `/v1/validate`, where the operator set a key for it.
    #[schema(example = false)]
    pub receipt: Option<bool>,
    /// A destination of the operator's (a ticket system, for example) that the answer is sent to as
    /// well. Never an address. Only for `/v1/validate`; `/v1/explain` has a member of its own.
    #[schema(max_length = 60)]
    pub deliver_to: Option<String>,
}

/// A line of a kit.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitEntry {
    /// The module: an id of the catalogue, its facts, or its label.
    pub module: ModuleRef,
    /// How many.
    #[schema(example = 16, minimum = 1, maximum = 1024)]
    pub quantity: u32,
}

/// A module in a slot.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PopulationEntry {
    /// The slot's printed label.
    #[schema(example = "A1", max_length = 100)]
    pub slot: String,
    /// The module: an id of the catalogue, its facts, or its label.
    pub module: ModuleRef,
}

/// An installed module.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InstalledEntry {
    /// The slot's printed label; left out if nobody knows.
    #[serde(default)]
    #[schema(example = "A1", max_length = 100)]
    pub slot: Option<String>,
    /// The module: an id of the catalogue, its facts, or its label.
    pub module: ModuleRef,
    /// Whether the machine's firmware has switched the module off. Left out, it works.
    #[serde(default)]
    #[schema(example = false)]
    pub switched_off: bool,
}

/// What may happen to installed modules.
#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum InstalledPolicyName {
    /// Each stays in its slot.
    InPlace,
    /// All stay, they may move.
    Keep,
    /// They may be taken out.
    MayRemove,
    /// All come out.
    Replace,
}

/// How memory is protected.
#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ProtectionName {
    /// Correction of each word only.
    None,
    /// Each group of channels holds everything twice.
    Mirrored,
    /// One rank of each channel is held back.
    RankSpare,
    /// The channels of a group work in step.
    Lockstep,
}

/// Which supply voltage is set.
#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum VoltagePolicyName {
    /// The one with the highest rate; of equals, the lower.
    Fastest,
    /// The lowest that all modules and the board support.
    Lowest,
}

/// How evenly memory is spread.
#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BalanceName {
    /// All channels of fitted sockets alike.
    Channels,
    /// All fitted sockets alike.
    Sockets,
}

/// What makes `allowed` false.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the severities, and the verdict")]
pub enum BlockName {
    Blocker,
    Warning,
    Advice,
    Note,
    Undecided,
}

/// A wish that may be made a condition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "named after the members of the wishes")]
pub enum WishName {
    CapacityAtLeastMib,
    CapacityAtMostMib,
    RateAtLeastMts,
    FreeSlots,
    Budget,
    PeakPowerAtMostMw,
    Balance,
    LicenceAtMostMib,
    ChipCorrection,
    RankInterleave,
}

/// What the result should be like. A wish that fails is a warning, unless `must` names it.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WishesEntry {
    /// Usable capacity at least, in MiB.
    #[schema(example = 786432, minimum = 1, maximum = 1_099_511_627_776_u64)]
    pub capacity_at_least_mib: Option<u64>,
    /// Usable capacity at most, in MiB.
    #[schema(example = 1572864, minimum = 1, maximum = 1_099_511_627_776_u64)]
    pub capacity_at_most_mib: Option<u64>,
    /// Rate at least, in MT/s.
    #[schema(example = 1333, minimum = 200, maximum = 20000)]
    pub rate_at_least_mts: Option<u32>,
    /// Slots that stay free.
    #[schema(example = 2, minimum = 0, maximum = 8192)]
    pub free_slots: Option<u16>,
    /// Price of the kit at most.
    pub budget: Option<MoneyRecord>,
    /// Peak power of all modules at most, in mW.
    #[schema(example = 90000, minimum = 1, maximum = 1_000_000_000)]
    pub peak_power_at_most_mw: Option<u64>,
    /// How evenly the memory is spread.
    pub balance: Option<BalanceName>,
    /// The most memory that the operating system or its licence uses, in MiB.
    #[schema(example = 1048576, minimum = 1, maximum = 1_099_511_627_776_u64)]
    pub licence_at_most_mib: Option<u64>,
    /// Whether a whole failed device must be corrected.
    #[schema(example = true)]
    pub chip_correction: Option<bool>,
    /// Whether the ranks of every channel must interleave. Under rank sparing this may cost further
    /// ranks, since a power of two must be left.
    #[schema(example = true)]
    pub rank_interleave: Option<bool>,
    /// Wishes that block when they fail.
    #[schema(max_items = 10)]
    pub must: Option<Vec<WishName>>,
}

impl ValidateRequest {
    /// Whether reading and checking it surely takes little: a board of the catalogue, no report of
    /// a machine, and no more entries than a large board has slots. How long its search takes is
    /// another matter.
    pub fn is_usual(&self) -> bool {
        let listed = match &self.installed {
            None => 0,
            Some(Installed::List(list)) => list.len(),
            Some(Installed::Report(_)) => return false,
        };
        let kit = self.kit.as_ref().map_or(0, Vec::len);
        let population = self.population.as_ref().map_or(0, Vec::len);
        let entries = listed + kit + population;
        entries <= MOST_ENTRIES && matches!(self.board, None | Some(BoardRef::Id(_)))
    }
}

impl From<InstalledPolicyName> for InstalledPolicy {
    fn from(name: InstalledPolicyName) -> Self {
        match name {
            InstalledPolicyName::InPlace => Self::InPlace,
            InstalledPolicyName::Keep => Self::Keep,
            InstalledPolicyName::MayRemove => Self::MayRemove,
            InstalledPolicyName::Replace => Self::Replace,
        }
    }
}

impl From<ProtectionName> for Protection {
    fn from(name: ProtectionName) -> Self {
        match name {
            ProtectionName::None => Self::None,
            ProtectionName::Mirrored => Self::Mirrored,
            ProtectionName::RankSpare => Self::RankSpare,
            ProtectionName::Lockstep => Self::Lockstep,
        }
    }
}

impl From<VoltagePolicyName> for VoltagePolicy {
    fn from(name: VoltagePolicyName) -> Self {
        match name {
            VoltagePolicyName::Fastest => Self::Fastest,
            VoltagePolicyName::Lowest => Self::Lowest,
        }
    }
}

impl From<BalanceName> for core::Balance {
    fn from(name: BalanceName) -> Self {
        match name {
            BalanceName::Channels => Self::Channels,
            BalanceName::Sockets => Self::Sockets,
        }
    }
}
