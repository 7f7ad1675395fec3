//! What a reader noticed: a stable code, typed parameters, and an English pattern beside the code.
//!
//! A pattern holds Fluent placeables (`{ $name }`); a note carries one parameter for each.

use crate::read::note::Weight;

/// The value of a parameter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Param {
    /// A count, rate, size or width.
    Number(u64),
    /// Text of the report or a word of the trade.
    Text(String),
    /// Several texts.
    List(Vec<String>),
}

impl From<&str> for Param {
    fn from(text: &str) -> Self {
        Self::Text(text.chars().take(TEXT_LIMIT).collect())
    }
}

impl From<String> for Param {
    fn from(text: String) -> Self {
        text.as_str().into()
    }
}

impl From<u64> for Param {
    fn from(number: u64) -> Self {
        Self::Number(number)
    }
}

impl From<u32> for Param {
    fn from(number: u32) -> Self {
        Self::Number(number.into())
    }
}

impl From<usize> for Param {
    fn from(number: usize) -> Self {
        Self::Number(u64::try_from(number).unwrap_or(u64::MAX))
    }
}

/// A report's text is quoted up to this many characters.
const TEXT_LIMIT: usize = 120;

/// One thing noticed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// What it is about.
    pub code: Code,
    /// Index of the slot that it concerns, if one.
    pub slot: Option<usize>,
    /// Values of the pattern's placeables.
    pub params: Vec<(&'static str, Param)>,
}

impl Note {
    /// A note on the report as a whole.
    pub fn report(code: Code, params: Vec<(&'static str, Param)>) -> Self {
        Self {
            code,
            slot: None,
            params,
        }
    }

    /// A note on one slot.
    pub fn slot(code: Code, slot: usize, params: Vec<(&'static str, Param)>) -> Self {
        Self {
            code,
            slot: Some(slot),
            params,
        }
    }
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $code:literal, $pattern:literal;)*) => {
        /// The kinds of note.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $(#[doc = $pattern] $(#[$doc])* $name,)*
        }

        impl Code {
            /// Every kind, for tables and tests.
            pub const ALL: &'static [Code] = &[$(Code::$name,)*];

            /// The stable code, kebab-case.
            pub fn code(self) -> &'static str {
                match self { $(Code::$name => $code,)* }
            }

            /// The English pattern.
            pub fn pattern(self) -> &'static str {
                match self { $(Code::$name => $pattern,)* }
            }
        }
    };
}

impl Code {
    /// Whether the report is none, or lacks a part that may hold modules.
    pub fn is_incomplete(self) -> bool {
        matches!(
            self,
            Self::FormatNotRecognised
                | Self::JsonBroken
                | Self::TableEndsEarly
                | Self::TableNotFound
                | Self::NoSlots
                | Self::TooManySlots
                | Self::MembersNotExpanded
                | Self::CollectionCut
                | Self::MappedMoreThanDescribed
        )
    }

    /// Whether it says that a module does not work, or may not.
    pub fn is_of_service(self) -> bool {
        matches!(self, Self::ModuleSwitchedOff | Self::ModuleInDoubt)
    }

    /// How much it weighs: a report that is incomplete is at fault; what was read by the standard's
    /// sense is a remark; the rest leaves something unknown or doubtful.
    pub fn weight(self) -> Weight {
        match self {
            code if code.is_incomplete() => Weight::Fault,
            Self::JsonRepaired
            | Self::NotSystemMemory
            | Self::SlotListedTwice
            | Self::StructuresRepeated
            | Self::SocketsWithoutSlots
            | Self::ProductNameGeneric
            | Self::CapacityRounded
            | Self::WidthsHexDigits
            | Self::WidthsSwapped
            | Self::GenerationInferred
            | Self::RateWasClock
            | Self::RateWrapped
            | Self::MakerFromCode
            | Self::PartNumberCoded
            | Self::EnumNotStandard => Weight::Remark,
            _ => Weight::Caution,
        }
    }
}

codes! {
    FormatNotRecognised = "format-not-recognised", "This is none of the reports that can be read. Send the SMBIOS table, the text of dmidecode, Redfish Memory resources or the JSON of lshw.";
    JsonBroken = "json-broken", "The JSON breaks off or is damaged at line { $line }, column { $column }, so nothing after that place was read.";
    JsonRepaired = "json-repaired", "The JSON lacked brackets or commas; { $objects } objects in it could still be read.";
    TableEndsEarly = "table-ends-early", "The SMBIOS table ends without its end mark, so structures may be missing.";
    TableNotFound = "table-not-found", "The entry point is there, but no SMBIOS table follows it.";
    StructuresRepeated = "structures-repeated", "The text holds more than one output of one machine; { $count } structures that stand there again were read once.";
    NoSlots = "no-slots", "The report names no memory slots. Read the module labels and say which slot each is in.";
    TooManySlots = "too-many-slots", "The report names { $found } memory slots; only the first { $kept } were taken.";
    MembersNotExpanded = "members-not-expanded", "The collection holds links only. Send the resources behind { $links } as well.";
    CollectionCut = "collection-cut", "The collection goes on at { $link }, so slots are missing here.";
    NotSystemMemory = "not-system-memory", "{ $count } memory devices that are no main memory (flash, graphics, stacked or soldered chips) were left out.";
    SlotListedTwice = "slot-listed-twice", "`{ $locator }` is described twice with the same facts and was counted once.";
    SlotMayBeListedTwice = "slot-may-be-listed-twice", "Two slots go by `{ $locator }`: either one slot described twice or two slots of one name. Check the label inside the machine.";
    SlotsClash = "slots-clash", "{ $count } slots give the same place, so their places were not taken.";
    LocatorsNotTrusted = "locators-not-trusted", "The slot names look like channel and slot, but do not fit any board, so no channel was taken from them.";
    SlotsMayBeLeftOut = "slots-may-be-left-out", "The report may name filled slots only, and the numbers of these leave some out, so no channel was taken from them.";
    ChannelNumbersHaveGaps = "channel-numbers-have-gaps", "The channels found are { $channels }; they were numbered in this order without the missing ones.";
    SocketAssumed = "socket-assumed", "The report names no processor sockets; the slots were put at socket 1.";
    SocketsWithoutSlots = "sockets-without-slots", "{ $count } processor sockets have no slots in this report. An empty socket hides its slots, so the board may have more.";
    PlacementUnknown = "placement-unknown", "The report does not tell socket and channel of { $count } slots. Say where they are, or name the board.";
    LocatorNotInMapping = "locator-not-in-mapping", "The given mapping does not name `{ $locator }`.";
    MappingAmbiguous = "mapping-ambiguous", "The mapping names `{ $locator }`, but several slots go by that name. Give the bank locator as well.";
    SlotCountDiffers = "slot-count-differs", "Firmware counts { $stated } slots but describes { $described }.";
    MappedMemoryDiffers = "mapped-memory-differs", "The modules add up to { $modules } MiB, but firmware maps { $mapped } MiB. A module may be off or misread.";
    MappedMoreThanDescribed = "mapped-more-than-described", "Firmware maps { $mapped } MiB, but the modules described add up to { $modules } MiB only, so the report lacks modules. It may have been cut; send the whole report.";
    ProductNameGeneric = "product-name-generic", "The product name `{ $product }` does not tell the machine; the board's model does.";
    OccupancyUnknown = "occupancy-unknown", "The report does not say whether this slot holds a module.";
    ModuleUnreadable = "module-unreadable", "A module seems to be here, but the report gives no size for it. It may have failed, or firmware does not say.";
    ModuleSwitchedOff = "module-switched-off", "The report calls the module switched off (`{ $member }` is `{ $given }`): it gives no memory and still loads its channel.";
    ModuleInDoubt = "module-in-doubt", "Whether the module works is in doubt: `{ $member }` is `{ $given }`. Read the machine's event log.";
    PresenceFromCapacity = "presence-from-capacity", "The report gives no state for this slot; it counts as filled since it gives a capacity.";
    CapacitySaturated = "capacity-saturated", "The size field is at its largest value: the module holds at least { $least } MiB. Read the capacity off the label.";
    CapacityFromMappedMemory = "capacity-from-mapped-memory", "The size field is at its largest value; { $mib } MiB follows from the memory that firmware maps.";
    CapacityRounded = "capacity-rounded", "The capacity { $given } MiB is in decimal units; { $taken } MiB was taken.";
    CapacityShared = "capacity-shared", "Only the sum { $sum } MiB is given; it was divided over { $modules } equal modules.";
    CapacityOdd = "capacity-odd", "{ $mib } MiB is no usual module capacity.";
    WidthsHexDigits = "widths-hex-digits", "The widths { $total } and { $data } are hexadecimal digits shown as decimal numbers.";
    WidthsSwapped = "widths-swapped", "Total width { $total } and data width { $data } are the wrong way round.";
    WidthNotBelievable = "width-not-believable", "A total width of { $total } bits with { $data } data bits fits no module; it was left out.";
    EccFromArray = "ecc-from-array", "Check bits are taken from the memory array's error correction, since the widths do not tell.";
    EccDisagrees = "ecc-disagrees", "The widths and the stated error correction do not agree; the widths were taken.";
    GenerationInferred = "generation-inferred", "The generation is worked out from { $basis }, since the report says `{ $given }`.";
    GenerationUnknown = "generation-unknown", "The report does not tell the generation (`{ $given }`). Read it off the label.";
    KindNotStated = "kind-not-stated", "The report does not tell whether the module is registered, load-reduced or unbuffered (`{ $given }`). Read it off the label.";
    KindContradictory = "kind-contradictory", "The report calls the module both registered and unbuffered.";
    RanksUnknown = "ranks-unknown", "The report does not tell the number of ranks. Read it off the label (2Rx4, say).";
    RanksNotBelievable = "ranks-not-believable", "{ $ranks } ranks fit no module; the number was left out.";
    RanksMayCountStack = "ranks-may-count-stack", "{ $ranks } ranks on a registered module: with stacked chips some firmware counts packages, some logical ranks. The label tells (4Rx4, 2S2Rx4).";
    RatedRateUnknown = "rated-rate-unknown", "The report does not tell the module's own rate. Read it off the label.";
    RateWasClock = "rate-was-clock", "{ $given } is a clock in MHz; the rate is { $taken } MT/s.";
    RateMayBeClock = "rate-may-be-clock", "{ $given } may be a clock in MHz (then the rate is twice that) or a rate in MT/s. Read it off the label.";
    RateWrapped = "rate-wrapped", "The clock { $given } Hz was cut to 32 bits; the rate is { $taken } MT/s.";
    RateOdd = "rate-odd", "{ $rate } MT/s is no standard rate.";
    RateNotBelievable = "rate-not-believable", "A rate of { $rate } MT/s fits no module; it was left out.";
    ConfiguredAboveRated = "configured-above-rated", "The module runs at { $configured } MT/s, above its own { $rated } MT/s: overclocked, or one of the two is wrong.";
    VoltageNotBelievable = "voltage-not-believable", "{ $mv } mV fits no module; it was left out.";
    MakerFromCode = "maker-from-code", "The maker is read from the JEP106 code { $given }.";
    PartNumberCoded = "part-number-coded", "The part number `{ $given }` is hexadecimal for `{ $decoded }`.";
    PartNumberNoUse = "part-number-no-use", "`{ $given }` identifies no module. Read the part number off the label.";
    PartNumberIsSpare = "part-number-is-spare", "`{ $given }` looks like a server maker's spare number rather than the module maker's part number.";
    NotPlainDram = "not-plain-dram", "The module is `{ $given }`, not plain DRAM.";
    EnumNotStandard = "enum-not-standard", "`{ $given }` is no value of the standard for { $property }; it was read by its sense.";
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_are_unique_and_kebab_case() {
        let codes: BTreeSet<&str> = Code::ALL.iter().map(|code| code.code()).collect();
        assert_eq!(codes.len(), Code::ALL.len());
        for code in codes {
            let kebab = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            assert!(code.chars().all(kebab), "{code}");
        }
    }

    #[test]
    fn patterns_are_sentences() {
        for code in Code::ALL {
            assert!(code.pattern().ends_with(['.', ')']), "{}", code.code());
        }
    }
}
