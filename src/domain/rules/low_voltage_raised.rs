//! Modules that could run at a lower voltage, run at a higher one because of others.

use super::super::finding::{Fact, Missing, Severity, Value};
use super::super::request::PartIx;
use super::super::setup::Setup;
use super::super::units::Millivolts;
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "low-voltage-raised",
    group: Group::Mix,
    severity: Severity::Note,
    title: "Low-voltage modules run at a higher voltage",
    doc: "One supply voltage feeds all modules. Low-voltage DDR3 parts are made to run at 1.5 V too, and do so as soon as \
          one module on the board can't run lower. That does no harm, but it takes more power.",
    source: "published guide P1, section 2.8.9.1; DDR3L data sheets allow 1.5 V (published data sheet D1, note 2)",
    reads: &[Fact::Supply],
    message: "{ $raised } could run at { $low }, but { $others } can't, so all modules run at { $set } and take more power.",
    asks: "whether other modules raise the voltage of low-voltage ones",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "B1", "module": "ERW-3R8-2x4-15V"}]}"#,
    meets: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "B1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let setup = view.setup;
    let Some(low) = lowest(setup) else { return };
    // Where no module is in the way, the choice between voltages is another rule's matter.
    if able(setup, low).count() == setup.seated().len() {
        return hits.met();
    }
    let set = match view.outcome.supply {
        Some(set) if set > low && !setup.supplies().contains(&low) => set,
        _ => {
            let missing: Vec<Missing> = untold(setup, low);
            if !missing.is_empty() {
                hits.undecided(&missing);
            }
            return;
        }
    };
    hits.broken(|draft| {
        let draft = draft
            .param("raised", Value::Parts(able(setup, low).collect()))
            .param("others", Value::Parts(refusing(setup, low).collect()))
            .param("low", Value::Voltage(low))
            .param("set", Value::Voltage(set));
        able(setup, low).fold(draft, super::Draft::part)
    });
}

/// The lowest voltage of the board that a seated module is known to run at, if there are higher
/// ones.
fn lowest(setup: &Setup<'_>) -> Option<Millivolts> {
    let (_, lower) = setup.board.supply.split_last()?;
    lower
        .iter()
        .copied()
        .find(|mv| able(setup, *mv).next().is_some())
}

/// What is not known of modules that may or may not run at a voltage.
fn untold(setup: &Setup<'_>, supply: Millivolts) -> Vec<Missing> {
    let parts = setup.seated().iter().copied();
    let open = parts.filter(|p| !setup.surely_runs(*p, supply) && !setup.refuses(*p, supply));
    open.flat_map(|part| setup.supply_facts(part)).collect()
}

fn able<'a>(setup: &'a Setup<'_>, supply: Millivolts) -> impl Iterator<Item = PartIx> + 'a {
    let parts = setup.seated().iter().copied();
    parts.filter(move |part| setup.surely_runs(*part, supply))
}

fn refusing<'a>(setup: &'a Setup<'_>, supply: Millivolts) -> impl Iterator<Item = PartIx> + 'a {
    let parts = setup.seated().iter().copied();
    parts.filter(move |part| setup.refuses(*part, supply))
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Severity, Value};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::VoltagePolicy;
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Millivolts;

    const ID: &str = "low-voltage-raised";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 1, 2, 2)).seat(rdimm(16, 2), &["A1"])
    }

    fn supplied(supply: Option<Vec<Millivolts>>) -> ModuleFacts {
        ModuleFacts {
            supply,
            ..rdimm(8, 2)
        }
    }

    #[test]
    fn notes_that_a_1_5_volt_module_raises_the_voltage_of_the_others() {
        // Published guide P1, 2.8.9.1: the lowest voltage that all modules support.
        let only = supplied(Some(vec![Millivolts(1500)]));
        let checked = tarn().seat(only, &["B1"]).check();
        assert_eq!(checked.severities(ID), [Severity::Note]);
        let finding = checked.finding(ID).expect("a finding");
        assert!(
            finding
                .params
                .contains(&("set", Value::Voltage(Millivolts(1500))))
        );
    }

    #[test]
    fn is_silent_if_all_modules_can_run_low() {
        for policy in [VoltagePolicy::Fastest, VoltagePolicy::Lowest] {
            let checked = tarn()
                .seat(rdimm(8, 2), &["B1"])
                .with(|request| request.voltage_policy = policy)
                .check();
            assert!(checked.finding(ID).is_none(), "{:?}", checked.findings);
        }
    }

    #[test]
    fn an_untold_voltage_leaves_it_open_without_hurting_the_verdict_further() {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        // Another rate at 1.5 V, so that the voltage matters.
        board.rates.push(crate::domain::board::rates::RateRow {
            supply: Some(vec![Millivolts(1500)]),
            ..crate::domain::testing::rate(&[crate::domain::module::Kind::Rdimm], 1, 1866)
        });
        let fast = ModuleFacts {
            rate: Some(crate::domain::units::Mts(1866)),
            ..rdimm(16, 2)
        };
        let untold = ModuleFacts {
            supply: None,
            ..fast.clone()
        };
        let checked = Case::on(board)
            .seat(fast, &["A1"])
            .seat(untold, &["B1"])
            .check();
        assert!(checked.leaves_open(ID), "{:?}", checked.findings);
    }
}
