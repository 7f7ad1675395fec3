//! Every kind of finding of a comparison, in the order in which findings are reported: causes before
//! their consequences.
//!
//! The sentences stand in `render/locales`: `verify-ID` says what was found, `try-ID` what to try.

use super::super::finding::Severity;

/// What a kind of finding means for the result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// What was found is not what was planned.
    Differs,
    /// What was found does not tell whether it is as planned.
    CannotTell,
    /// Worth knowing; it changes nothing.
    Remark,
}

impl Weight {
    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Differs => "differs",
            Self::CannotTell => "cannot_tell",
            Self::Remark => "remark",
        }
    }
}

/// Something to try.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Step(pub &'static str);

/// A kind of finding.
pub struct Kind {
    /// Stable id in kebab-case, named for what is found.
    pub id: &'static str,
    /// What it means for the result.
    pub weight: Weight,
    /// How bad it is.
    pub severity: Severity,
    /// What to try, in this order.
    pub steps: &'static [Step],
}

impl std::fmt::Debug for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.id)
    }
}

impl PartialEq for Kind {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

impl Eq for Kind {}

/// The step of every finding that follows from another.
pub const MEND_FIRST: Step = Step("mend-causes-first");

macro_rules! kinds {
    ($($name:ident $id:literal $weight:ident $severity:ident [$($step:literal),*];)*) => {
        $(
            #[doc = concat!("See the sentence `verify-", $id, "`.")]
            pub static $name: Kind = Kind {
                id: $id,
                weight: Weight::$weight,
                severity: Severity::$severity,
                steps: &[$(Step($step)),*],
            };
        )*

        /// Every kind, in the order of a report.
        pub static KINDS: &[&Kind] = &[$(&$name),*];
    };
}

kinds! {
    OTHER_GENERATION "report-of-other-generation" Differs Blocker ["check-machine", "check-board"];
    NO_MODULE "report-shows-no-module" Differs Blocker ["take-new-report", "check-machine"];
    STATE_BEFORE "report-shows-state-before" Differs Blocker ["take-new-report", "reseat", "swap-slot"];
    SOCKET_WITHOUT_PROCESSOR "socket-without-processor" Differs Blocker ["look-at-processors", "seat-processor", "try-one-module"];
    SOCKET_NOT_SEEN "socket-not-seen" Differs Blocker ["look-at-processors", "reseat", "seat-processor", "try-one-module"];
    PROCESSOR_NOT_SEEN "processor-not-seen" Differs Blocker ["look-at-processors", "seat-processor", "take-new-report"];
    CHANNEL_NOT_SEEN "channel-not-seen" Differs Blocker ["reseat", "try-one-module", "swap-slot", "seat-processor"];
    MODULE_NOT_SEEN "module-not-seen" Differs Blocker ["reseat", "swap-slot", "swap-module"];
    FEWER_SEEN "fewer-modules-seen" Differs Blocker ["find-slot", "reseat", "swap-slot", "swap-module"];
    UNREADABLE "module-unreadable" Differs Blocker ["reseat", "swap-slot", "swap-module"];
    SWITCHED_OFF "module-switched-off" Differs Blocker ["read-event-log", "reseat", "swap-slot", "swap-module"];
    PART_OF_MODULE "part-of-module-not-seen" Differs Blocker ["reseat", "swap-slot", "swap-module"];
    CAPACITY "capacity-differs" Differs Blocker ["read-label", "fit-planned"];
    OTHER_MODULE "other-module" Differs Blocker ["read-label", "fit-planned"];
    EXCHANGED "modules-exchanged" Differs Warning ["exchange"];
    OTHER_SLOT "module-in-other-slot" Differs Warning ["move"];
    UNFITTED_SOCKET "module-in-unfitted-socket" Differs Warning ["move-to-fitted-socket"];
    NOT_PLANNED "module-not-planned" Differs Warning ["take-out"];
    OTHER_PROCESSOR "other-processor" Differs Warning ["compare-processor"];
    RATE_BY_MODULE "rate-lowered-by-module" Differs Warning ["replace-slower", "read-label"];
    RATE_BY_COUNT "rate-lowered-by-count" Differs Warning ["thin-out"];
    RATE_BELOW "rate-below-plan" Differs Warning ["set-rate-automatic", "compare-processor", "update-firmware"];
    RATE_ABOVE "rate-above-plan" Differs Warning ["set-rate-automatic", "compare-processor"];
    PROTECTION_NOT_ON "protection-not-on" Differs Warning ["set-protection", "read-event-log"];
    HELD_BACK "memory-held-back" Differs Warning ["look-at-protection", "read-event-log", "reseat-named", "update-firmware"];
    CAPACITY_BELOW "capacity-below-plan" Differs Warning ["mend-causes-first"];
    OTHER_NUMBER "other-part-number" Remark Note ["read-label"];
    FASTER "module-faster-than-planned" Remark Note [];
    FACTS_NOT_TOLD "facts-not-told" CannotTell Note ["read-label"];
    SLOTS_NOT_TOLD "slots-not-told" CannotTell Note ["compare-slots"];
    OCCUPANCY_NOT_TOLD "occupancy-not-told" CannotTell Note ["take-new-report", "compare-slots"];
    REPORT_INCOMPLETE "report-incomplete" CannotTell Note ["take-new-report"];
    RATE_NOT_TOLD "rate-not-told" CannotTell Note ["look-at-rate"];
    TOTAL_ABOVE "total-above-modules" CannotTell Note ["take-new-report", "compare-slots"];
    TOTAL_NOT_TOLD "total-not-told" CannotTell Note ["look-at-protection"];
}

/// The place of a kind in the order of a report.
pub fn order(kind: &Kind) -> usize {
    KINDS
        .iter()
        .position(|known| known.id == kind.id)
        .unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn ids_are_unique_and_every_difference_has_something_to_try() {
        let ids: BTreeSet<&str> = KINDS.iter().map(|kind| kind.id).collect();
        assert_eq!(ids.len(), KINDS.len());
        for kind in KINDS {
            let remark = kind.weight == Weight::Remark;
            assert!(remark || !kind.steps.is_empty(), "{}", kind.id);
        }
    }
}
