//! A module of another DDR generation than the board's.

use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "generation-differs",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "Another DDR generation",
    doc: "DDR3, DDR4 and DDR5 modules differ in signals, voltage and the place of the key notch, so a module of one \
          generation does not go into a slot of another. DDR4 and DDR5 even have the same number of contacts. Never \
          force a module: slot, module and board may be damaged.",
    source: "published guide P1, section 2.8 (generations do not mix); place of the notch: common practice",
    reads: &[Fact::Generation],
    message: "{ $module } is { $found }, but the slots of this board are for { $needed }. The key notch is elsewhere: the module does not go in and must not be forced.",
    asks: "whether the module is of the board's DDR generation",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-4R16-1x4", "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    let needed = view.board().generation;
    match view.module.generation {
        None => hits.undecided(&[Missing::of(view.part, Fact::Generation)]),
        Some(found) if found == needed => hits.met(),
        Some(found) => hits.broken(|draft| {
            draft
                .param("module", Value::Part(view.part))
                .param("found", Value::Word(found.name()))
                .param("needed", Value::Word(needed.name()))
                .part(view.part)
                .fix(Fix::ChooseOther {
                    part: view.part,
                    needs: vec![(Fact::Generation, Value::Word(needed.name()))],
                })
        }),
    }
}

#[cfg(test)]
mod tests {

    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module, rdimm};

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 1, 2, 2))
    }

    #[test]
    fn refuses_a_ddr4_module_on_a_ddr3_board_and_says_nothing_else_of_its_fit() {
        let ddr4 = module(Generation::Ddr4, Kind::Udimm, 16, 1);
        let checked = tarn().seat(ddr4, &["A1"]).check();
        let fit: Vec<_> = checked
            .findings
            .iter()
            .filter(|f| f.rule.group == super::Group::Fit)
            .map(|f| f.rule.id)
            .collect();
        assert_eq!(fit, ["generation-differs"]);
    }

    #[test]
    fn takes_a_module_of_its_own_generation() {
        let checked = tarn().seat(rdimm(16, 2), &["A1"]).check();
        assert!(
            checked.silent("generation-differs"),
            "{:?}",
            checked.findings
        );
    }

    #[test]
    fn an_untold_generation_is_undecided() {
        let unknown = ModuleFacts {
            generation: None,
            ..rdimm(16, 2)
        };
        let checked = tarn().seat(unknown, &["A1"]).check();
        assert!(checked.leaves_open("generation-differs"));
    }
}
