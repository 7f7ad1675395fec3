//! A module that needs a firmware version, and nobody told the board's.

use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value};
use super::super::units::Version;
use super::fitting::is_foreign;
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "firmware-not-told",
    group: Group::Fit,
    severity: Severity::Warning,
    title: "The module needs a firmware version that nobody told",
    doc: "The board takes the module from a firmware version on, and the request does not say which one the board has. \
          Read it off the set-up screen or the inventory report, and update before the module goes in if it is older.",
    source: "common practice; the versions are the board record's",
    reads: &[Fact::Firmware],
    message: "{ $module } needs firmware { $needed } or newer on this board. The version that it has was not told: check it before the module goes in.",
    asks: "whether the module needs a firmware version",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "mere", "kit": [{"module": "ERW-4R128-2S4x4", "quantity": 1}]}"#,
    meets: r#"{"board": "mere", "firmware": "99.0", "kit": [{"module": "ERW-4R128-2S4x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    let needs = view.fit.rows.iter().map(|row| row.firmware.as_ref());
    let Some(newest) = newest(needs.clone().flatten()) else {
        return;
    };
    if is_foreign(view) {
        return;
    }
    if view.setup.request.firmware.is_some() {
        hits.met();
    } else if needs.clone().any(|needed| needed.is_none()) {
        hits.undecided(&view.fit.open_facts(view.part));
    } else {
        hits.broken(|draft| {
            draft
                .param("module", Value::Part(view.part))
                .param("needed", Value::Text(newest.text().to_owned()))
                .part(view.part)
                .about(Subject::Firmware)
                .fix(Fix::Tell(Missing::general(Fact::Firmware)))
        });
    }
}

/// Of the versions of all rows that may hold, the newest serves in any case.
fn newest<'a>(versions: impl Iterator<Item = &'a Version>) -> Option<&'a Version> {
    versions.reduce(|a, b| if a.reaches(b) { a } else { b })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::{Severity, Value};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, rdimm};
    use crate::domain::units::Version;

    const ID: &str = "firmware-not-told";

    /// Quad-rank modules need 2.4, others nothing.
    fn case(facts: ModuleFacts) -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        let quad = AcceptRow {
            ranks: Some(vec![4]),
            firmware: Version::new("2.4"),
            ..accepts(Kind::Rdimm)
        };
        board.accepts = vec![quad, accepts(Kind::Rdimm)];
        Case::on(board).seat(facts, &["A1"])
    }

    #[test]
    fn warns_with_the_version_that_is_needed() {
        let checked = case(rdimm(32, 4)).check();
        assert_eq!(checked.severities(ID), [Severity::Warning]);
        let finding = checked.finding(ID).expect("a finding");
        assert_eq!(finding.params[1], ("needed", Value::Text("2.4".into())));
    }

    #[test]
    fn is_silent_if_the_version_is_told_or_none_is_needed() {
        let told = case(rdimm(32, 4)).with(|request| request.firmware = Version::new("2.4"));
        assert!(told.check().finding(ID).is_none());
        assert!(case(rdimm(16, 2)).check().finding(ID).is_none());
    }

    #[test]
    fn is_undecided_if_it_is_open_which_row_holds() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(32, 4)
        };
        assert!(case(unknown).check().leaves_open(ID));
    }
}
