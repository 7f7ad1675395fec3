//! Slots of which nobody told what they hold.

use super::super::board::SlotIx;
use super::super::finding::{Fact, Missing, Severity};
use super::super::request::InstalledPolicy;
use super::super::setup::Setup;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "slot-contents-not-told",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "It is not told what some slots hold",
    doc: "A report that leaves out slots of a fitted socket does not tell that they are empty: it may have been cut, or \
          sent in part. A module in one of them takes its slot, loads its channel and decides what may stand beside it. Send \
          the whole report, or list what is installed. Where everything installed comes out, it does not matter.",
    source: "DSP0134 (SMBIOS) 7.18: one memory device for each slot, filled or not",
    reads: &[Fact::SlotContents],
    message: "Some slots of fitted sockets are left out of the report, so what they hold is not told.",
    asks: "whether the slots that the report leaves out are empty",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "delta", "kit": [{"module": "ERW-5E16-1x8", "quantity": 2}], "installed": {"inventory": {"text": "Handle 0x1100, DMI type 17, 40 bytes\nMemory Device\n\tSize: No Module Installed\n\tLocator: A1\n"}}}"#,
    meets: r#"{"board": "delta", "kit": [{"module": "ERW-5E16-1x8", "quantity": 2}], "installed": {"inventory": {"text": "Handle 0x1100, DMI type 17, 40 bytes\nMemory Device\n\tSize: No Module Installed\n\tLocator: A1\n\nHandle 0x1101, DMI type 17, 40 bytes\nMemory Device\n\tSize: No Module Installed\n\tLocator: A2\n\nHandle 0x1102, DMI type 17, 40 bytes\nMemory Device\n\tSize: No Module Installed\n\tLocator: B1\n\nHandle 0x1103, DMI type 17, 40 bytes\nMemory Device\n\tSize: No Module Installed\n\tLocator: B2\n"}}}"#,
};

/// Never broken: what nobody told may well be empty.
fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let request = setup.request;
    let Some(left_out) = &request.left_out else {
        return;
    };
    if request.installed_policy == InstalledPolicy::Replace {
        return;
    }
    let socket = |slot: &SlotIx| setup.board.address(setup.board.channel_of(*slot)).0;
    if left_out.iter().any(|slot| setup.is_fitted(socket(slot))) {
        return hits.undecided(&[Missing::general(Fact::SlotContents)]);
    }
    hits.met();
}

#[cfg(test)]
mod tests {
    use crate::domain::board::SlotIx;
    use crate::domain::finding::{Fact, Missing, State, Verdict};
    use crate::domain::module::Generation;
    use crate::domain::request::{InstalledPolicy, SocketState};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "slot-contents-not-told";

    /// Two sockets of two slots each, a module in the first of each, and a report that leaves out these slots.
    fn without(left_out: &[u16]) -> Case {
        let case = Case::on(board(Generation::Ddr3, 2, 2, 1)).installed(rdimm(8, 2), &["A1", "C1"]);
        case.with(|request| request.left_out = Some(left_out.iter().copied().map(SlotIx).collect()))
    }

    #[test]
    fn what_a_report_leaves_out_of_a_fitted_socket_is_not_told() {
        let checked = without(&[1]).check();
        assert_eq!(checked.verdict, Verdict::Undecided);
        let missing = vec![Missing::general(Fact::SlotContents)];
        assert_eq!(
            checked.finding(ID).unwrap().state,
            State::Undecided(missing)
        );
        assert!(without(&[]).check().silent(ID));
    }

    // With one of two processors, published reports of two-socket boards list the slots of that one.
    #[test]
    fn slots_of_a_socket_without_a_processor_may_be_left_out() {
        let one = [SocketState::Fitted(None), SocketState::Empty];
        let case = without(&[3]).with(|request| request.sockets = Some(one.into()));
        assert!(case.check().silent(ID));
    }

    #[test]
    fn what_comes_out_does_not_matter() {
        let case =
            without(&[1]).with(|request| request.installed_policy = InstalledPolicy::Replace);
        assert!(case.check().silent(ID));
    }

    #[test]
    fn a_list_tells_all_that_is_installed() {
        let case = without(&[1]).with(|request| request.left_out = None);
        assert!(case.check().silent(ID));
    }
}
