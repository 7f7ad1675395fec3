//! Modules that are not on the board in the end.

use super::super::finding::{Severity, Value};
use super::super::request::PartIx;
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "modules-left-over",
    group: Group::Order,
    severity: Severity::Note,
    title: "Modules left over",
    doc: "Installed modules that come out, and modules of the kit that found no slot, are left over: they may be sold, kept as \
          spares, or left out of the order.",
    source: "common practice",
    reads: &[],
    message: "Not on the board in the end: { $parts }, { $count } in all.",
    asks: "whether modules are left over",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "installed_policy": "replace",
        "installed": [{"slot": "A1", "module": "ERW-3R16-2x4"}], "kit": [{"module": "ERW-3R32-4x4", "quantity": 8}]}"#,
    meets: r#"{"board": "tarn", "installed": [{"slot": "A1", "module": "ERW-3R16-2x4"}],
        "kit": [{"module": "ERW-3R16-2x4", "quantity": 7}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let request = view.request();
    let out = request.installed.len() - request.staying().count();
    let unseated: u64 = view
        .left_over
        .iter()
        .map(|(_, count)| u64::from(*count))
        .sum();
    let count = out as u64 + unseated;
    if count == 0 {
        if !request.kit.is_empty() || !request.installed.is_empty() {
            hits.met();
        }
        return;
    }
    hits.broken(|draft| {
        let parts = parts(view);
        let draft = draft
            .param("parts", Value::Parts(parts.clone()))
            .param("count", Value::Count(count));
        parts.into_iter().fold(draft, super::Draft::part)
    });
}

fn parts(view: &BoardView<'_>) -> Vec<PartIx> {
    let request = view.request();
    let stays: Vec<u32> = request.staying().map(|(index, _)| index).collect();
    let out = (0u32..)
        .zip(&request.installed)
        .filter(|(index, _)| !stays.contains(index))
        .map(|(_, entry)| entry.part);
    let unseated = view.left_over.iter().map(|(part, _)| *part);
    let mut parts: Vec<PartIx> = out.chain(unseated).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::finding::Finding;
    use crate::domain::module::Generation;
    use crate::domain::request::InstalledPolicy;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "modules-left-over";

    fn count(finding: Option<&Finding>) -> Option<&Value> {
        finding.map(|finding| &finding.params[1].1)
    }

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
            .installed(rdimm(8, 2), &["A1", "B1", "C1"])
            .seat(rdimm(16, 2), &["D1"])
    }

    #[test]
    fn installed_modules_that_come_out_are_left_over() {
        assert!(tarn().check().finding(ID).is_none());
        let all = tarn().with(|request| request.installed_policy = InstalledPolicy::Replace);
        assert_eq!(count(all.check().finding(ID)), Some(&Value::Count(3)));
        let one = tarn().with(|request| {
            request.installed_policy = InstalledPolicy::MayRemove;
            request.removed = vec![1];
        });
        let checked = one.check();
        assert_eq!(count(checked.finding(ID)), Some(&Value::Count(1)));
        assert_eq!(checked.finding(ID).unwrap().severity, Severity::Note);
    }

    #[test]
    fn modules_of_the_kit_without_a_slot_are_left_over() {
        let board = crate::domain::board::Board::checked(board(Generation::Ddr3, 1, 2, 1)).unwrap();
        let case = Case::on(crate::domain::testing::board(Generation::Ddr3, 1, 2, 1));
        let case = case.kit(rdimm(8, 2), 5);
        let answer = crate::domain::validate::validate(&board, &case.request).unwrap();
        let finding = answer.findings.iter().find(|finding| finding.rule.id == ID);
        assert_eq!(count(finding), Some(&Value::Count(3)));
    }
}
