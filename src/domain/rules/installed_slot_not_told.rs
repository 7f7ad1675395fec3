//! Installed modules that stay where they are, wherever that is.

use super::super::finding::{Fact, Missing, Severity};
use super::super::request::InstalledPolicy;
use super::super::setup::Setup;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "installed-slot-not-told",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "The slot of an installed module is not told",
    doc: "When installed modules stay in place, it matters where they sit: they take slots, and they decide what may \
          stand beside them. Tell the slot, or allow that they move.",
    source: "common practice",
    reads: &[Fact::InstalledSlot],
    message: "Some installed modules are to stay in their slots, but which slots those are is not told.",
    asks: "whether the installed modules may stay in their slots, which nobody told",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "installed": [{"module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "installed": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
};

/// Never broken: what nobody told may well be right.
fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let request = setup.request;
    if request.installed_policy != InstalledPolicy::InPlace || request.installed.is_empty() {
        return;
    }
    let untold = request
        .installed
        .iter()
        .filter(|entry| entry.slot.is_none());
    let missing: Vec<Missing> = untold
        .map(|entry| Missing::of(entry.part, Fact::InstalledSlot))
        .collect();
    if missing.is_empty() {
        return hits.met();
    }
    hits.undecided(&missing);
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Fact, Missing, State, Verdict};
    use crate::domain::module::Generation;
    use crate::domain::request::{InstalledPolicy, PartIx, Seated};
    use crate::domain::testing::{Case, Checked, board, rdimm};

    const ID: &str = "installed-slot-not-told";

    fn with(policy: InstalledPolicy) -> Checked {
        let mut case = Case::on(board(Generation::Ddr3, 1, 4, 3)).seat(rdimm(16, 2), &["A1"]);
        let part = case.part(rdimm(16, 2));
        case.request.installed.push(Seated { part, slot: None });
        case.with(|request| request.installed_policy = policy)
            .check()
    }

    #[test]
    fn can_not_tell_where_a_module_stays() {
        let checked = with(InstalledPolicy::InPlace);
        assert_eq!(checked.verdict, Verdict::Undecided);
        let missing = vec![Missing::of(PartIx(0), Fact::InstalledSlot)];
        assert_eq!(
            checked.finding(ID).unwrap().state,
            State::Undecided(missing)
        );
    }

    #[test]
    fn does_not_matter_for_modules_that_may_move() {
        for policy in [
            InstalledPolicy::Keep,
            InstalledPolicy::MayRemove,
            InstalledPolicy::Replace,
        ] {
            assert!(with(policy).silent(ID));
        }
    }

    #[test]
    fn is_met_when_the_slot_is_told() {
        let case = Case::on(board(Generation::Ddr3, 1, 4, 3));
        assert!(case.installed(rdimm(16, 2), &["A1"]).check().silent(ID));
    }
}
