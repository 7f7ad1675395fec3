//! A module that is taller than the room above its slot.

use super::super::board::Limit;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::module::HeightClass;
use super::fitting::is_foreign;
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "height-over-limit",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "Taller than the room above the slots",
    doc: "In a low case or under an air duct there is room for modules up to a certain height. A taller one keeps the \
          lid or the duct from closing, presses on the board, or stands in the stream of cooling air.",
    source: "common practice; the room above the slots is the board record's",
    reads: &[Fact::Height],
    message: "{ $module } is of the height class { $found }, but above the slots of this board there is room up to { $most } only.",
    asks: "whether the module is low enough for the room above the slots",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": {"generation": "DDR3", "kind": "RDIMM", "height": "tall"}, "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    if is_foreign(view) {
        return;
    }
    let most = match view.board().height {
        Limit::Is(most) => most,
        Limit::None => return,
        // Every slot takes the lowest class.
        Limit::Unknown if view.module.height == Some(HeightClass::VeryLow) => return hits.met(),
        Limit::Unknown => return hits.undecided(&[Missing::general(Fact::BoardLimit)]),
    };
    match view.module.height {
        None if most == HeightClass::Tall => hits.met(),
        None => hits.undecided(&[Missing::of(view.part, Fact::Height)]),
        Some(found) if found <= most => hits.met(),
        Some(found) => hits.broken(|draft| {
            draft
                .param("module", Value::Part(view.part))
                .param("found", Value::Word(found.name()))
                .param("most", Value::Word(most.name()))
                .part(view.part)
                .fix(Fix::ChooseOther {
                    part: view.part,
                    needs: vec![(Fact::Height, Value::Word(most.name()))],
                })
        }),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;

    use crate::domain::module::{Generation, HeightClass, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, rdimm};

    const ID: &str = "height-over-limit";

    fn check(limit: Limit<HeightClass>, height: Option<HeightClass>) -> Checked {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.height = limit;
        let module = ModuleFacts {
            height,
            ..rdimm(16, 2)
        };
        Case::on(board).seat(module, &["A1"]).check()
    }

    #[test]
    fn refuses_a_tall_module_under_a_low_lid() {
        let low = Limit::Is(HeightClass::Low);
        assert!(check(low, Some(HeightClass::Tall)).breaks(ID));
        assert!(check(low, Some(HeightClass::Low)).silent(ID));
        assert!(check(low, Some(HeightClass::VeryLow)).silent(ID));
    }

    #[test]
    fn an_untold_height_is_undecided_unless_every_height_has_room() {
        assert!(check(Limit::Is(HeightClass::Low), None).leaves_open(ID));
        let roomy = check(Limit::Is(HeightClass::Tall), None);
        assert!(roomy.silent(ID));
        assert!(check(Limit::None, None).silent(ID));
    }

    #[test]
    fn an_unknown_limit_is_undecided_unless_the_module_is_of_the_lowest_class() {
        assert!(check(Limit::Unknown, Some(HeightClass::Low)).leaves_open(ID));
        let lowest = check(Limit::Unknown, Some(HeightClass::VeryLow));
        assert!(lowest.silent(ID));
    }
}
