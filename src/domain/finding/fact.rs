//! The facts that a rule may need: their codes, their words, and that one is missing.

use super::super::request::PartIx;

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
