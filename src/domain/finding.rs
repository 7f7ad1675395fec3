//! Findings: what a rule found, where, with which numbers, and what would mend it.
//!
//! A finding carries no sentence: the rule holds the pattern, the finding the typed parameters, and
//! `render` joins them.

use super::board::policy::Protection;
use super::board::{ChannelIx, SlotIx};
use super::request::{Balance, PartIx, VoltagePolicy};
use super::rules::Rule;
use super::units::{Gigabits, MegabytesPerSecond, Mib, Millivolts, Milliwatts, Money, Mts};

/// How bad a finding is, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// It will not start, is unsupported, or does harm.
    Blocker,
    /// It works, but worse than the buyer expects.
    Warning,
    /// A better way exists at no loss.
    Advice,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// All, worst first.
    pub const ALL: [Self; 4] = [Self::Blocker, Self::Warning, Self::Advice, Self::Note];

    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Blocker => "blocker",
            Self::Warning => "warning",
            Self::Advice => "advice",
            Self::Note => "note",
        }
    }
}

/// The answer to "will it work".
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// It will.
    Fits,
    /// It will, but worse than the buyer may expect.
    FitsWithWarnings,
    /// A needed fact is missing.
    Undecided,
    /// It will not.
    DoesNotFit,
}

impl Verdict {
    /// All, best first.
    pub const ALL: [Self; 4] = [
        Self::Fits,
        Self::FitsWithWarnings,
        Self::Undecided,
        Self::DoesNotFit,
    ];

    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::FitsWithWarnings => "fits_with_warnings",
            Self::Undecided => "undecided",
            Self::DoesNotFit => "does_not_fit",
        }
    }
}

/// A fact of a record or of the request that a rule may need.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "named after the members of the records")]
pub enum Fact {
    Generation,
    Kind,
    Capacity,
    PackageRanks,
    StackHeight,
    Width,
    DieDensity,
    EccBits,
    Rate,
    Supply,
    Input,
    Timing,
    Height,
    PartNumber,
    ProductLine,
    DramMaker,
    PeakPower,
    Price,
    InstalledSlot,
    SlotContents,
    Firmware,
    ProcessorModel,
    BoardLimit,
    RateRow,
    Placement,
}

impl Fact {
    /// Every fact.
    pub const ALL: [Self; 25] = [
        Self::Generation,
        Self::Kind,
        Self::Capacity,
        Self::PackageRanks,
        Self::StackHeight,
        Self::Width,
        Self::DieDensity,
        Self::EccBits,
        Self::Rate,
        Self::Supply,
        Self::Input,
        Self::Timing,
        Self::Height,
        Self::PartNumber,
        Self::ProductLine,
        Self::DramMaker,
        Self::PeakPower,
        Self::Price,
        Self::InstalledSlot,
        Self::SlotContents,
        Self::Firmware,
        Self::ProcessorModel,
        Self::BoardLimit,
        Self::RateRow,
        Self::Placement,
    ];

    /// Its stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Generation => "generation",
            Self::Kind => "kind",
            Self::Capacity => "capacity",
            Self::PackageRanks => "package-ranks",
            Self::StackHeight => "stack-height",
            Self::Width => "width",
            Self::DieDensity => "die-density",
            Self::EccBits => "ecc-bits",
            Self::Rate => "rate",
            Self::Supply => "supply-voltages",
            Self::Input => "module-input-voltage",
            Self::Timing => "timing",
            Self::Height => "height",
            Self::PartNumber => "part-number",
            Self::ProductLine => "product-line",
            Self::DramMaker => "dram-maker",
            Self::PeakPower => "peak-power",
            Self::Price => "price",
            Self::InstalledSlot => "installed-slot",
            Self::SlotContents => "slot-contents",
            Self::Firmware => "firmware",
            Self::ProcessorModel => "processor-model",
            Self::BoardLimit => "board-limit",
            Self::RateRow => "rate-row",
            Self::Placement => "placement",
        }
    }

    /// English for the fact and where to read it: a Fluent pattern each.
    pub const fn words(self) -> (&'static str, &'static str) {
        const LABEL: &str = "the module's label: the line such as 2Rx4 PC4-3200AA-R";
        const STICKER: &str = "the maker's data sheet for the part number on the sticker";
        const GUIDE: &str = "the board maker's guide";
        match self {
            Self::Generation => ("the DDR generation", LABEL),
            Self::Kind => (
                "the kind of module",
                "the last letter of the label's speed word, such as R for RDIMM or L for LRDIMM",
            ),
            Self::Capacity => ("the capacity", LABEL),
            Self::PackageRanks => (
                "the number of ranks",
                "the digits before the R on the label, such as 2Rx4",
            ),
            Self::StackHeight => (
                "the stack height",
                "the label: S with a digit, such as 2S4Rx4, means stacked dies",
            ),
            Self::Width => ("the device width", "the x4, x8 or x16 on the label"),
            Self::DieDensity => ("the die density", STICKER),
            Self::EccBits => (
                "the number of ECC bits",
                "the label: EC4 or EC8 on DDR5, or the inventory's total and data width",
            ),
            Self::Rate => ("the rated data rate", LABEL),
            Self::Supply => (
                "the supply voltages",
                "the label: PC3L means 1.35 V and 1.5 V, PC3 means 1.5 V only",
            ),
            Self::Input => ("the module's input voltage", STICKER),
            Self::Timing => ("the timing", "the module's SPD"),
            Self::Height => ("the height class", STICKER),
            Self::PartNumber => ("the part number", "the maker's sticker"),
            Self::ProductLine => ("the product line", STICKER),
            Self::DramMaker => (
                "the maker of the DRAM",
                "the module's SPD, or the print on its devices",
            ),
            Self::PeakPower => ("the peak power", STICKER),
            Self::Price => ("the price", "the price list"),
            Self::InstalledSlot => (
                "the slot of an installed module",
                "the inventory report, or the printed label beside the slot",
            ),
            Self::SlotContents => (
                "what the slots hold that the report leaves out",
                "the whole inventory report, or the machine itself",
            ),
            Self::Firmware => (
                "the board's firmware version",
                "the set-up screen or the inventory report",
            ),
            Self::ProcessorModel => (
                "the processor model",
                "the inventory report, or the order of the server",
            ),
            Self::BoardLimit => ("a limit of the board", GUIDE),
            Self::RateRow => ("the rate of this population", GUIDE),
            Self::Placement => (
                "whether a placement exists",
                "a smaller or simpler kit: the search was cut at its limit",
            ),
        }
    }
}

/// A missing fact: which, and of which module if it is a module's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Missing {
    /// The fact.
    pub fact: Fact,
    /// The module that it is a fact of.
    pub part: Option<PartIx>,
}

impl Missing {
    /// A fact of a module.
    pub const fn of(part: PartIx, fact: Fact) -> Self {
        Self {
            fact,
            part: Some(part),
        }
    }

    /// A fact of the board or the request.
    pub const fn general(fact: Fact) -> Self {
        Self { fact, part: None }
    }
}

/// A typed parameter of a message.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "each is named after its unit")]
pub enum Value {
    Count(u64),
    Capacity(Mib),
    Rate(Mts),
    Voltage(Millivolts),
    Power(Milliwatts),
    Bandwidth(MegabytesPerSecond),
    Density(Gigabits),
    Money(Money),
    /// Tenths of a percent.
    Permille(u32),
    /// A word of the trade or a name: not translated.
    Text(String),
    /// A word of the trade or a name that lives in the code.
    Word(&'static str),
    /// What a message of the locale says, by its id.
    Message(&'static str),
    /// A whole number that may be below zero.
    Whole(i64),
    /// Several words, joined by the language's commas.
    Words(Vec<String>),
    /// Several numbers, joined by the language's commas.
    Counts(Vec<u64>),
    /// A module of the request, shown by its name.
    Part(PartIx),
    /// Several modules, shown by their names.
    Parts(Vec<PartIx>),
    /// Several values, each shown with its unit, joined by "and".
    List(Vec<Value>),
    /// Several values of which one is meant, each shown with its unit, joined by "or".
    OneOf(Vec<Value>),
}

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

/// What a finding points at in the request.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "named after the members of the request")]
pub enum Subject {
    /// Every line or entry that names this module.
    Part(PartIx),
    KitLine(u32),
    PopulationEntry(u32),
    InstalledEntry(u32),
    Processors,
    Firmware,
    Protection,
    VoltagePolicy,
    CapacityAtLeast,
    CapacityAtMost,
    RateAtLeast,
    FreeSlots,
    Budget,
    PowerAtMost,
    Balance,
    Licence,
    ChipCorrection,
    RankInterleave,
}

/// Whether a rule was broken or could not be decided.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum State {
    /// The condition that the rule is named for holds.
    Broken,
    /// These facts are missing.
    Undecided(Vec<Missing>),
}

/// Something that a rule found.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The rule.
    pub rule: &'static Rule,
    /// Its severity here: the rule's, or what the board's policy or the wish makes of it.
    pub severity: Severity,
    /// Broken or undecided.
    pub state: State,
    /// The numbers and names of the sentence, in the rule's order.
    pub params: Vec<(&'static str, Value)>,
    /// Sockets concerned.
    pub sockets: Vec<u8>,
    /// Channels concerned.
    pub channels: Vec<ChannelIx>,
    /// Slots concerned.
    pub slots: Vec<SlotIx>,
    /// What it points at in the request.
    pub subjects: Vec<Subject>,
    /// What would mend it.
    pub fixes: Vec<Offer>,
}

impl Finding {
    /// Whether this finding alone keeps the verdict from being a `fits`.
    pub fn blocks(&self) -> bool {
        self.severity == Severity::Blocker
    }
}

/// The verdict that follows from findings: a broken blocker decides; else a blocker that is
/// undecided; else a broken warning.
pub fn verdict(findings: &[Finding]) -> Verdict {
    let any = |severity, broken: bool| {
        findings
            .iter()
            .any(|f| f.severity == severity && (f.state == State::Broken) == broken)
    };
    if any(Severity::Blocker, true) {
        Verdict::DoesNotFit
    } else if any(Severity::Blocker, false) {
        Verdict::Undecided
    } else if any(Severity::Warning, true) {
        Verdict::FitsWithWarnings
    } else {
        Verdict::Fits
    }
}
