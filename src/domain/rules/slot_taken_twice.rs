//! Two modules in one slot.

use super::super::board::SlotIx;
use super::super::finding::{Fix, Severity, Subject};
use super::super::request::InstalledPolicy;
use super::point::subject;
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "slot-taken-twice",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "A slot is given twice",
    doc: "A slot holds one module. A list that names a slot twice is mistaken, or forgets that an installed module \
          already sits there. Where installed modules may move anyway, it is a warning: the list is mistaken, but nothing hangs on it.",
    source: "common practice",
    reads: &[],
    message: "{ $slots }: more than one module is given for the same slot, which holds only one. \
              Move the later one to a free slot, or take the one that sits there out.",
    asks: "whether every slot is given once",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "installed": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}],
        "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "installed": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}],
        "population": [{"slot": "B1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let doubled = &view.population.doubled;
    if doubled.is_empty() && view.population.count() > 0 {
        hits.met();
    }
    told_twice(view, hits);
    for (slot, occupant) in doubled {
        hits.broken(|draft| {
            let draft = draft.slot(*slot).about(subject(occupant.origin));
            match free_beside(view, *slot) {
                Some(to) => draft.fix(Fix::Move { from: *slot, to }),
                None => draft.fix(Fix::Remove { slot: *slot }),
            }
        });
    }
}

/// Installed modules that may move have a slot all the same: two in one can't be. Nothing but the
/// count of modules to move rests on it.
fn told_twice(view: &BoardView<'_>, hits: &mut Hits) {
    let request = view.request();
    let policies = [InstalledPolicy::Keep, InstalledPolicy::MayRemove];
    if !policies.contains(&request.installed_policy) {
        return;
    }
    for (index, entry) in (0u32..).zip(&request.installed) {
        let mut earlier = request.installed.iter().take(index as usize);
        let Some(slot) = entry
            .slot
            .filter(|_| earlier.any(|other| other.slot == entry.slot))
        else {
            continue;
        };
        hits.broken_as(Severity::Warning, |draft| {
            draft.slot(slot).about(Subject::InstalledEntry(index))
        });
    }
}

/// A free slot of the same channel, in the order of filling.
fn free_beside(view: &BoardView<'_>, slot: SlotIx) -> Option<SlotIx> {
    let board = view.board();
    let slots = || board.slots_of(board.channel_of(slot));
    let order = view.setup.filling.position_order.iter();
    order
        .filter_map(|position| slots().nth(usize::from(*position).checked_sub(1)?))
        .find(|slot| view.population.at(*slot).is_none())
}

#[cfg(test)]
mod tests {
    use crate::domain::board::{Board, SlotIx};
    use crate::domain::finding::{Fix, Severity, Subject};
    use crate::domain::module::Generation;
    use crate::domain::request::InstalledPolicy;
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::validate::validate;

    const ID: &str = "slot-taken-twice";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 1, 4, 3))
    }

    #[test]
    fn warns_of_two_installed_modules_told_for_one_slot_where_they_may_move() {
        let case = |policy| {
            let case = tarn().installed(rdimm(16, 2), &["A1", "B1", "A1"]);
            let case = case.kit(rdimm(16, 2), 1);
            case.with(|request| request.installed_policy = policy)
        };
        for policy in [InstalledPolicy::Keep, InstalledPolicy::MayRemove] {
            let case = case(policy);
            let board = Board::checked(case.board.clone()).unwrap();
            let answer = validate(&board, &case.request).unwrap();
            let finding = answer.findings.iter().find(|f| f.rule.id == ID).unwrap();
            assert_eq!(finding.severity, Severity::Warning);
            assert!(finding.subjects.contains(&Subject::InstalledEntry(2)));
        }
    }

    #[test]
    fn refuses_a_slot_that_is_named_twice() {
        let checked = tarn().seat(rdimm(16, 2), &["A1", "A2", "A1"]).check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(
            (finding.slots.as_slice(), finding.subjects.as_slice()),
            (
                &[SlotIx(0)][..],
                &[Subject::PopulationEntry(2), Subject::PopulationEntry(0)][..]
            )
        );
        let beside = Fix::Move {
            from: SlotIx(0),
            to: SlotIx(2),
        };
        assert_eq!(finding.fixes[0].fix, beside);
    }

    #[test]
    fn refuses_the_slot_of_an_installed_module() {
        let checked = tarn()
            .installed(rdimm(16, 2), &["A1"])
            .seat(rdimm(16, 2), &["A1"])
            .check();
        assert!(checked.breaks(ID));
    }

    #[test]
    fn takes_each_slot_once() {
        assert!(
            tarn()
                .seat(rdimm(16, 2), &["A1", "A2", "A3"])
                .check()
                .silent(ID)
        );
    }
}
