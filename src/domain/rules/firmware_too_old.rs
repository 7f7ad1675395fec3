//! Firmware that does not know the module yet.

use super::super::finding::{Fact, Fix, Severity, Subject, Value};
use super::super::units::Version;
use super::fitting::is_foreign;
use super::{Check, Draft, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "firmware-too-old",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "Firmware older than the module needs",
    doc: "The board's firmware trains the modules at start and must know their build. Newer sizes, stacked modules and \
          faster parts came with firmware updates. Update with the old modules still in place, by the board maker's \
          guide: a new module may keep the server from starting, and then the update can't be made.",
    source: "common practice; the versions are the board record's",
    reads: &[Fact::Firmware],
    message: "{ $module } needs firmware { $needed } or newer on this board, which has { $found }. Update the firmware before the module goes in.",
    asks: "whether the board's firmware knows the module",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "mere", "firmware": "0.1", "kit": [{"module": "ERW-4R128-2S4x4", "quantity": 1}]}"#,
    meets: r#"{"board": "mere", "firmware": "99.0", "kit": [{"module": "ERW-4R128-2S4x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    let Some(told) = view.setup.request.firmware.as_ref() else {
        // `firmware-not-told` names the version that is needed.
        return;
    };
    if is_foreign(view) {
        return;
    }
    let needs = view.fit.limits().iter().map(|row| row.firmware.as_ref());
    let lacks = |needed: &Option<&Version>| needed.is_some_and(|needed| !told.reaches(needed));
    let (all, short) = (needs.clone().count(), needs.clone().filter(lacks).count());
    if needs.clone().all(|needed| needed.is_none()) {
        return;
    }
    if short == 0 {
        return hits.met();
    }
    if short < all {
        let missing = view.fit.open_facts(view.part);
        // A refused module has nothing open: the rows that came nearest to it differ.
        if !missing.is_empty() {
            hits.undecided(&missing);
        }
        return;
    }
    // All rows that may hold ask for more; the least of them is needed in any case.
    let least = needs
        .flatten()
        .reduce(|a, b| if a.reaches(b) { b } else { a });
    if let Some(needed) = least {
        hits.broken(|draft| report(draft, view, told, needed));
    }
}

fn report(draft: Draft, view: &PartView<'_>, told: &Version, needed: &Version) -> Draft {
    draft
        .param("module", Value::Part(view.part))
        .param("found", Value::Text(told.text().to_owned()))
        .param("needed", Value::Text(needed.text().to_owned()))
        .part(view.part)
        .about(Subject::Firmware)
        .fix(Fix::UpdateFirmware {
            version: needed.text().to_owned(),
        })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::accept::AcceptRow;

    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, Checked, accepts, board, rdimm};
    use crate::domain::units::Version;

    const ID: &str = "firmware-too-old";

    /// Quad-rank modules need 2.4, others nothing.
    fn check(firmware: &str, facts: ModuleFacts) -> Checked {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        let quad = AcceptRow {
            ranks: Some(vec![4]),
            firmware: Version::new("2.4"),
            ..accepts(Kind::Rdimm)
        };
        board.accepts = vec![quad, accepts(Kind::Rdimm)];
        Case::on(board)
            .seat(facts, &["A1"])
            .with(|request| request.firmware = Version::new(firmware))
            .check()
    }

    #[test]
    fn refuses_a_module_that_the_firmware_does_not_know() {
        assert!(check("2.3", rdimm(32, 4)).breaks(ID));
        assert!(check("2.4", rdimm(32, 4)).silent(ID));
        assert!(check("2.10", rdimm(32, 4)).silent(ID));
        assert!(check("1.0", rdimm(16, 2)).silent(ID));
    }

    #[test]
    fn is_undecided_if_the_row_that_holds_is_open() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(32, 4)
        };
        assert!(check("2.3", unknown.clone()).leaves_open(ID));
        assert!(!check("2.4", unknown).leaves_open(ID));
    }
}
