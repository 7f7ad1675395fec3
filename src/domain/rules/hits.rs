//! Where a rule reports: it counts, for the search, or tells the verdict, or collects findings, for the
//! answer.

use super::super::board::{Board, ChannelIx, SlotIx};
use super::super::finding::{
    Finding, Fix, Missing, Offer, Severity, State, Subject, Value, Verdict,
};
use super::super::request::PartIx;
use super::{ChannelView, Rule};

/// What a rule reports into.
pub struct Hits {
    rule: Option<&'static Rule>,
    severity: Severity,
    here: Here,
    findings: Option<Vec<Finding>>,
    searching: bool,
    met: bool,
    /// Blockers broken so far.
    pub blocked: u32,
    /// Blockers undecided so far.
    pub open: u32,
    /// Warnings broken so far.
    warned: u32,
    /// Reports so far, of whatever severity.
    reports: u32,
}

/// What the running check looks at.
#[derive(Clone, Copy)]
enum Here {
    Board,
    Socket(u8),
    Channel(u8, ChannelIx),
}

/// A finding in the making.
pub struct Draft(Finding);

impl Hits {
    /// Only counts blockers, for the search.
    pub fn counting() -> Self {
        Self {
            searching: true,
            ..Self::judging()
        }
    }

    /// Only tells the verdict.
    pub fn judging() -> Self {
        Self {
            rule: None,
            severity: Severity::Note,
            here: Here::Board,
            findings: None,
            searching: false,
            met: false,
            blocked: 0,
            open: 0,
            warned: 0,
            reports: 0,
        }
    }

    /// Collects findings.
    pub fn collecting() -> Self {
        Self {
            findings: Some(Vec::new()),
            ..Self::judging()
        }
    }

    /// The verdict that follows from what was reported.
    pub(super) fn verdict(&self) -> Verdict {
        match (self.blocked, self.open, self.warned) {
            (0, 0, 0) => Verdict::Fits,
            (0, 0, _) => Verdict::FitsWithWarnings,
            (0, _, _) => Verdict::Undecided,
            _ => Verdict::DoesNotFit,
        }
    }

    /// Whether the search asks, which wants to know only whether something blocks. A check of a
    /// smaller scope that foresees what a larger one will find may then block, so that the search
    /// turns back early; otherwise the cause would be told twice.
    pub fn only_counts(&self) -> bool {
        self.searching
    }

    /// Starts a rule: later reports are its.
    pub fn begin(&mut self, index: usize, rule: &'static Rule, board: &Board) {
        self.severity = board.severity_override(index).unwrap_or(rule.severity);
        self.rule = Some(rule);
        self.met = false;
    }

    /// Reports so far, of whatever severity.
    pub(super) fn reports(&self) -> u32 {
        self.reports
    }

    /// Starts a rule of which only blockers are counted.
    pub(super) fn arm(&mut self, severity: Severity) {
        self.severity = severity;
    }

    pub(super) fn at_channel(&mut self, view: &ChannelView<'_>) {
        self.here = Here::Channel(view.socket, view.channel);
    }

    pub(super) fn at_socket(&mut self, socket: u8) {
        self.here = Here::Socket(socket);
    }

    pub(super) fn at_board(&mut self) {
        self.here = Here::Board;
    }

    /// The severity of the running rule here.
    pub fn severity(&self) -> Severity {
        self.severity
    }

    /// The rule applied and held. A rule that reports nothing was not applicable.
    pub fn met(&mut self) {
        self.met = true;
    }

    /// Whether the running rule applied.
    pub fn applied(&self) -> bool {
        self.met
    }

    /// The condition that the rule is named for holds. `fill` adds numbers, places and fixes; it is
    /// not called when the search only counts.
    pub fn broken(&mut self, fill: impl FnOnce(Draft) -> Draft) {
        self.broken_as(self.severity, fill);
    }

    /// Like [`Self::broken`] with a severity that the board's policy or a wish gives.
    pub fn broken_as(&mut self, severity: Severity, fill: impl FnOnce(Draft) -> Draft) {
        self.met = true;
        self.reports += 1;
        self.blocked += u32::from(severity == Severity::Blocker);
        self.warned += u32::from(severity == Severity::Warning);
        self.push(severity, || State::Broken, fill);
    }

    /// The rule can't be decided without these facts.
    pub fn undecided(&mut self, missing: &[Missing]) {
        self.undecided_as(self.severity, missing);
    }

    /// Like [`Self::undecided`] with a severity that the board's policy or a wish gives.
    pub fn undecided_as(&mut self, severity: Severity, missing: &[Missing]) {
        self.met = true;
        self.reports += 1;
        self.open += u32::from(severity == Severity::Blocker);
        if self.findings.is_none() {
            return;
        }
        let mut missing = missing.to_vec();
        missing.sort_unstable();
        missing.dedup();
        let state = || State::Undecided(missing.clone());
        self.push(severity, state, |mut draft| {
            for missing in &missing {
                if let Some(part) = missing.part {
                    draft = draft.part(part);
                }
                draft = draft.ask_for(*missing);
            }
            draft
        });
    }

    fn push(
        &mut self,
        severity: Severity,
        state: impl FnOnce() -> State,
        fill: impl FnOnce(Draft) -> Draft,
    ) {
        let (Some(rule), Some(findings)) = (self.rule, &mut self.findings) else {
            return;
        };
        let (sockets, channels) = match self.here {
            Here::Board => (Vec::new(), Vec::new()),
            Here::Socket(socket) => (vec![socket], Vec::new()),
            Here::Channel(socket, channel) => (vec![socket], vec![channel]),
        };
        let blank = Finding {
            rule,
            severity,
            state: state(),
            params: Vec::new(),
            sockets,
            channels,
            slots: Vec::new(),
            subjects: Vec::new(),
            fixes: Vec::new(),
        };
        merge(findings, fill(Draft(blank)).0);
    }

    /// What was collected: worst first, then in the order of the rules.
    pub fn into_findings(self) -> Vec<Finding> {
        let mut findings = self.findings.unwrap_or_default();
        findings.sort_by_key(|f| (f.severity, f.state != State::Broken));
        findings
    }
}

/// Alike findings of several channels or sockets become one that names them all.
fn merge(findings: &mut Vec<Finding>, new: Finding) {
    let alike = findings
        .iter_mut()
        .rev()
        .take_while(|f| std::ptr::eq(f.rule, new.rule))
        .find(|f| f.severity == new.severity && f.state == new.state && f.params == new.params);
    let Some(old) = alike else {
        findings.push(new);
        return;
    };
    union(&mut old.sockets, new.sockets);
    union(&mut old.channels, new.channels);
    union(&mut old.slots, new.slots);
    union(&mut old.subjects, new.subjects);
    // What mends one place leaves the other as it is.
    for offer in &mut old.fixes {
        offer.machine_safe &= new.fixes.contains(offer);
    }
    for offer in new.fixes {
        if !old.fixes.iter().any(|known| known.fix == offer.fix) {
            old.fixes.push(Offer {
                machine_safe: false,
                ..offer
            });
        }
    }
}

fn union<T: Ord>(into: &mut Vec<T>, from: Vec<T>) {
    into.extend(from);
    into.sort_unstable();
    into.dedup();
}

impl Draft {
    /// Adds a parameter of the sentence.
    #[must_use]
    pub fn param(mut self, name: &'static str, value: Value) -> Self {
        self.0.params.push((name, value));
        self
    }

    /// Adds a slot that is concerned.
    #[must_use]
    pub fn slot(mut self, slot: SlotIx) -> Self {
        self.0.slots.push(slot);
        self
    }

    /// Adds slots that are concerned.
    #[must_use]
    pub fn slots(mut self, slots: impl IntoIterator<Item = SlotIx>) -> Self {
        self.0.slots.extend(slots);
        self
    }

    /// Adds a channel that is concerned.
    #[must_use]
    pub fn channel(mut self, channel: ChannelIx) -> Self {
        self.0.channels.push(channel);
        self
    }

    /// Adds a socket that is concerned.
    #[must_use]
    pub fn socket(mut self, socket: u8) -> Self {
        self.0.sockets.push(socket);
        self
    }

    /// Points at every line that names this module.
    #[must_use]
    pub fn part(self, part: PartIx) -> Self {
        self.about(Subject::Part(part))
    }

    /// Points at a member of the request.
    #[must_use]
    pub fn about(mut self, subject: Subject) -> Self {
        if !self.0.subjects.contains(&subject) {
            self.0.subjects.push(subject);
        }
        self
    }

    /// Offers a fix that a person should decide on.
    #[must_use]
    pub fn fix(mut self, fix: Fix) -> Self {
        self.0.fixes.push(Offer {
            fix,
            machine_safe: false,
        });
        self
    }

    /// Offers a fix that a program may apply unasked (see [`Offer::machine_safe`]).
    #[must_use]
    pub fn safe_fix(mut self, fix: Fix) -> Self {
        self.0.fixes.push(Offer {
            fix,
            machine_safe: true,
        });
        self
    }

    fn ask_for(self, missing: Missing) -> Self {
        self.fix(Fix::Tell(missing))
    }
}
