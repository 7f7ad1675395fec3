//! An installed module that the firmware has switched off.

use super::super::finding::{Severity, Value};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "module-switched-off",
    group: Group::Load,
    severity: Severity::Warning,
    title: "A module that the firmware has switched off",
    doc: "Firmware switches off a module that failed its tests or has shown too many errors. It still loads its channel and \
          gives no memory. The machine's event log says why; often the module is not fully seated.",
    source: "common practice",
    reads: &[],
    message: "{ $module } has been switched off by the machine's firmware: it gives no memory and still loads its channel. Read the machine's event log; \
              with the power off and disconnected, seat it again until both latches close, or take it out.",
    asks: "whether the firmware has switched the module off",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "installed": [{"slot": "A1", "module": "ERW-3R16-2x4", "switched_off": true}]}"#,
    meets: r#"{"board": "tarn", "installed": [{"slot": "A1", "module": "ERW-3R16-2x4", "switched_off": false}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    if !view.module.switched_off {
        return hits.met();
    }
    hits.broken(|draft| {
        draft
            .param("module", Value::Part(view.part))
            .part(view.part)
    });
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "module-switched-off";

    #[test]
    fn warns_of_a_module_that_the_firmware_has_switched_off() {
        let on = || Case::on(board(Generation::Ddr3, 1, 2, 3));
        let off = ModuleFacts {
            switched_off: true,
            ..rdimm(8, 2)
        };
        let checked = on().seat(off, &["A1"]).seat(rdimm(8, 2), &["B1"]).check();
        assert_eq!(checked.severities(ID), [Severity::Warning]);
        assert!(on().seat(rdimm(8, 2), &["A1"]).check().silent(ID));
    }
}
