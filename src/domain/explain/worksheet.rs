//! A worksheet: what to do with the lid off, step by step, each with what shows that it is done.

use super::super::board::SlotIx;
use super::super::request::PartIx;
use super::tree::Params;

/// A part of the work, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Before the machine is opened.
    Prepare,
    /// With the machine open, before a module is touched.
    Open,
    /// Modules come out or move.
    TakeOut,
    /// Modules go in.
    Fit,
    /// Fillers, air duct, lid, power.
    Close,
    /// What the machine should say.
    Report,
    /// What to do if it says something else.
    Otherwise,
}

impl Phase {
    /// All, in order.
    pub const ALL: [Self; 7] = [
        Self::Prepare,
        Self::Open,
        Self::TakeOut,
        Self::Fit,
        Self::Close,
        Self::Report,
        Self::Otherwise,
    ];

    /// The word; the message `phase-` with it is the heading.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Prepare => "prepare",
            Self::Open => "open",
            Self::TakeOut => "take_out",
            Self::Fit => "fit",
            Self::Close => "close",
            Self::Report => "report",
            Self::Otherwise => "otherwise",
        }
    }
}

/// A step. The message `id` says what to do, its attribute `.check` what shows that it is done; both
/// get the same parameters, and `$slots` where the step speaks of slots.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The part of the work.
    pub phase: Phase,
    /// Id of its message.
    pub id: &'static str,
    /// Parameters.
    pub params: Params,
    /// Slots, in the order of work.
    pub slots: Vec<SlotIx>,
    /// The module that is handled.
    pub part: Option<PartIx>,
    /// Whether it keeps people or parts from harm: shown so that nobody overlooks it.
    pub caution: bool,
}

/// The steps, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Worksheet {
    /// All steps; phases do not fall back.
    pub steps: Vec<Step>,
}

impl Worksheet {
    /// The steps of a phase.
    pub fn of(&self, phase: Phase) -> impl Iterator<Item = &Step> {
        self.steps.iter().filter(move |step| step.phase == phase)
    }
}
