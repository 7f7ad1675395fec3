//! A DDR5 module that takes in another voltage than the slot feeds.

use super::super::board::Limit;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::module::Generation;
use super::fitting::is_foreign;
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "module-input-differs",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "The slot feeds another voltage than the module takes in",
    doc: "A DDR5 module makes its supply voltage itself, from 12 V on an RDIMM and from 5 V on a UDIMM. The notch sits \
          elsewhere too, so the one does not go into a slot for the other and must not be forced: the wrong voltage \
          destroys the module.",
    source: "common practice (from memory: JESD305 for RDIMM, JESD308 for UDIMM)",
    reads: &[Fact::Generation, Fact::Kind, Fact::Input],
    message: "{ $module } takes in { $found }, but the slots of this board feed { $needed }. It does not go in and must not be forced.",
    asks: "whether the module takes in the voltage that the slots feed",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "delta", "kit": [{"module": "ERW-5R64-2x4", "quantity": 1}]}"#,
    meets: r#"{"board": "delta", "kit": [{"module": "ERW-5E16-1x8", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    if view.board().generation != Generation::Ddr5 || is_foreign(view) {
        return;
    }
    let needed = match view.board().input {
        Limit::Is(needed) => needed,
        Limit::None => return,
        Limit::Unknown => return hits.undecided(&[Missing::general(Fact::BoardLimit)]),
    };
    match view.module.input {
        None => hits.undecided(&[Missing::of(view.part, Fact::Input)]),
        Some(found) if found == needed => hits.met(),
        Some(found) => hits.broken(|draft| {
            draft
                .param("module", Value::Part(view.part))
                .param("found", Value::Voltage(found))
                .param("needed", Value::Voltage(needed))
                .part(view.part)
                .fix(Fix::ChooseOther {
                    part: view.part,
                    needs: vec![(Fact::Input, Value::Voltage(needed))],
                })
        }),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;

    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};
    use crate::domain::units::Millivolts;

    const ID: &str = "module-input-differs";

    fn feeding(input: Limit<Millivolts>) -> Case {
        let mut board = board(Generation::Ddr5, 1, 2, 1);
        board.input = input;
        Case::on(board)
    }

    fn rdimm() -> ModuleFacts {
        module(Generation::Ddr5, Kind::Rdimm, 64, 2)
    }

    #[test]
    fn refuses_a_5_volt_udimm_in_a_12_volt_slot_and_takes_an_rdimm() {
        // From memory: JESD305 (RDIMM, 12 V) and JESD308 (UDIMM, 5 V).
        let twelve = Limit::Is(Millivolts(12_000));
        let udimm = module(Generation::Ddr5, Kind::EccUdimm, 32, 2);
        assert!(feeding(twelve).seat(udimm, &["A1"]).check().breaks(ID));
        let checked = feeding(twelve).seat(rdimm(), &["A1"]).check();
        assert!(checked.silent(ID), "{:?}", checked.findings);
    }

    #[test]
    fn is_undecided_without_the_kind_or_the_boards_voltage() {
        let unknown = ModuleFacts {
            kind: None,
            ..rdimm()
        };
        let open = feeding(Limit::Is(Millivolts(12_000)))
            .seat(unknown, &["A1"])
            .check();
        assert!(open.leaves_open(ID));
        let open = feeding(Limit::Unknown).seat(rdimm(), &["A1"]).check();
        assert!(open.leaves_open(ID));
    }

    #[test]
    fn does_not_ask_on_a_ddr4_board() {
        let mut ddr4 = board(Generation::Ddr4, 1, 2, 1);
        ddr4.input = Limit::Unknown;
        let module = module(Generation::Ddr4, Kind::Rdimm, 32, 2);
        let checked = Case::on(ddr4).seat(module, &["A1"]).check();
        assert!(checked.silent(ID));
    }
}
