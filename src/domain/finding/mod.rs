//! Findings: what a rule found, where, with which numbers, and what would mend it.
//!
//! A finding carries no sentence: the rule holds the pattern, the finding the typed parameters, and
//! `render` joins them.

mod fact;
mod fix;

pub use fact::{Fact, Missing};
pub use fix::{Fix, Offer, WishChange};

use super::board::{ChannelIx, SlotIx};
use super::request::PartIx;
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
