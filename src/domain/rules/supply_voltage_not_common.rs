//! No supply voltage that the board sets suits a module, or all modules together.

use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::module::Generation;
use super::super::request::PartIx;
use super::super::setup::{Facet, Setup};
use super::super::units::Millivolts;
use super::fitting::is_foreign;
use super::{Check, Draft, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "supply-voltage-not-common",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "No common supply voltage",
    doc: "One supply voltage feeds all modules, so it must be one that the board sets and every module runs at. DDR3 \
          parts are made for 1.5 V only, or for 1.35 V and 1.5 V; some run at 1.35 V or 1.25 V only. A voltage above \
          what a module is made for may destroy it.",
    source: "published guide P1, section 2.8.9.1: the lowest common voltage, never above what an SPD allows",
    reads: &[Fact::Generation, Fact::Supply],
    message: "{ $module } runs at { $found }, but { $others } at { $taken }. They have no supply voltage in common, and one voltage feeds all modules of the board.",
    asks: "whether one supply voltage suits the board and all modules",
    checks: &[Check::Part(alone), Check::Kit(together)],
    breaks: r#"{"board": "tarn", "kit": [{"module": {"generation": "DDR3", "kind": "RDIMM", "supply_mv": [1250]}, "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}, {"module": "ERW-3R8-2x4-15V", "quantity": 1}]}"#,
};

fn alone(view: &PartView<'_>, hits: &mut Hits) {
    if is_foreign(view) {
        return;
    }
    let refused = view.fit.refuses_by(Facet::Supply);
    match &view.module.supply {
        Some(_) if !refused && has_voltage(view.setup, view.part) => hits.met(),
        Some(_) => hits.broken(|draft| {
            let taken = voltages(taken(view).into_iter());
            told(draft, view.setup, view.part, taken)
                .param("others", Value::Text(view.board().name.clone()))
        }),
        // The other generations have one voltage each, which follows from the generation.
        None if view.board().generation == Generation::Ddr3 => {
            hits.undecided(&[Missing::of(view.part, Fact::Supply)]);
        }
        None => {}
    }
}

/// Whether some voltage of the board suits the module.
fn has_voltage(setup: &Setup<'_>, part: PartIx) -> bool {
    let mut all = setup.board.supply.iter();
    all.any(|mv| !setup.refuses(part, *mv))
}

/// The voltages at which the board takes such a module.
fn taken(view: &PartView<'_>) -> Vec<Millivolts> {
    let by_row = |mv: &Millivolts| {
        view.fit
            .limits()
            .iter()
            .any(|row| row.supply.as_ref().is_none_or(|list| list.contains(mv)))
    };
    let all = view.board().supply.iter().copied();
    let narrowed: Vec<Millivolts> = all.clone().filter(by_row).collect();
    if narrowed.is_empty() {
        all.collect()
    } else {
        narrowed
    }
}

/// Modules that have a voltage in common with the board each, but not all together.
fn together(setup: &Setup<'_>, hits: &mut Hits) {
    // The usual case first: the common voltages of all seated modules are known already.
    if setup.supplies().is_empty() {
        return conflict(setup, hits);
    }
    if setup.supply_unknown().next().is_some() {
        return;
    }
    let suits_all = |mv: &Millivolts| {
        let mut parts = setup.seated().iter();
        parts.all(|part| setup.surely_runs(*part, *mv))
    };
    if setup.supplies().iter().any(suits_all) {
        hits.met();
    } else {
        // It is open which row holds for a module, and the rows differ in their voltages.
        let parts = setup.seated().iter();
        let missing: Vec<Missing> = parts
            .filter_map(|part| Some(setup.fit(*part)?.open_facts(*part)))
            .flatten()
            .collect();
        hits.undecided(&missing);
    }
}

fn conflict(setup: &Setup<'_>, hits: &mut Hits) {
    if !common(setup, None).is_empty() {
        return;
    }
    let Some((part, others)) = opponents(setup) else {
        return;
    };
    hits.broken(|draft| {
        let runs = |mv: &Millivolts| others.iter().all(|other| !setup.refuses(*other, *mv));
        let left = setup.board.supply.iter().copied().filter(runs);
        let draft =
            told(draft, setup, part, voltages(left)).param("others", Value::Parts(others.clone()));
        able(setup).fold(draft, Draft::part)
    });
}

/// A module, and others that have a voltage in common but none with it: all others if that is so,
/// else one.
fn opponents(setup: &Setup<'_>) -> Option<(PartIx, Vec<PartIx>)> {
    let leaves_some = |part: &PartIx| !common(setup, Some(*part)).is_empty();
    // The last one that was named is more likely the one that was added.
    if let Some(odd) = able(setup).filter(leaves_some).last() {
        return Some((odd, able(setup).filter(|part| *part != odd).collect()));
    }
    let shares = |one: PartIx, other: PartIx| {
        let mut all = setup.board.supply.iter();
        all.any(|mv| !setup.refuses(one, *mv) && !setup.refuses(other, *mv))
    };
    let pairs = able(setup).flat_map(|one| able(setup).map(move |other| (one, other)));
    pairs
        .filter(|(one, other)| one != other)
        .max_by_key(|(one, other)| !shares(*one, *other))
        .map(|(one, other)| (other, vec![one]))
}

/// Modules of the board's generation that it can feed if they are alone.
fn able<'a>(setup: &'a Setup<'_>) -> impl Iterator<Item = PartIx> + Clone + 'a {
    let own = |part: &PartIx| {
        let generation = setup.request.part(*part).and_then(|m| m.generation);
        generation.is_none_or(|told| told == setup.board.generation)
    };
    let parts = setup.seated().iter().copied();
    parts.filter(move |part| own(part) && has_voltage(setup, *part))
}

/// Voltages that suit all modules that the board can feed, one of them left out.
fn common(setup: &Setup<'_>, without: Option<PartIx>) -> Vec<Millivolts> {
    let all = setup.board.supply.iter().copied();
    all.filter(|mv| {
        able(setup)
            .filter(|part| Some(*part) != without)
            .all(|part| !setup.refuses(part, *mv))
    })
    .collect()
}

fn told(draft: Draft, setup: &Setup<'_>, part: PartIx, taken: Value) -> Draft {
    let own = setup.request.part(part).and_then(|m| m.supply.as_ref());
    let runs = |mv: &Millivolts| !setup.refuses(part, *mv);
    let mut effective = setup.board.supply.iter().copied().filter(runs).peekable();
    // A module that the board can't feed at all runs at what its record says.
    let found = match effective.peek() {
        Some(_) => voltages(effective),
        None => voltages(own.into_iter().flatten().copied()),
    };
    draft
        .param("module", Value::Part(part))
        .param("found", found)
        .param("taken", taken.clone())
        .part(part)
        .fix(Fix::ChooseOther {
            part,
            needs: vec![(Fact::Supply, taken)],
        })
}

fn voltages(list: impl Iterator<Item = Millivolts>) -> Value {
    Value::OneOf(list.map(Value::Voltage).collect())
}

#[cfg(test)]
mod tests {
    use crate::domain::board::accept::AcceptRow;

    use crate::domain::finding::{Severity, Value};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, rdimm};
    use crate::domain::units::Millivolts;

    const ID: &str = "supply-voltage-not-common";

    fn runs_at(millivolts: &[u16]) -> ModuleFacts {
        ModuleFacts {
            name: format!("{millivolts:?}"),
            supply: Some(millivolts.iter().copied().map(Millivolts).collect()),
            ..rdimm(16, 2)
        }
    }

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 1, 2, 2))
    }

    #[test]
    fn refuses_a_module_that_no_voltage_of_the_board_suits() {
        assert!(tarn().seat(runs_at(&[1250]), &["A1"]).check().breaks(ID));
        let both = tarn().seat(runs_at(&[1350, 1500]), &["A1"]).check();
        assert!(both.silent(ID), "{:?}", both.findings);
    }

    #[test]
    fn refuses_a_1_35_volt_module_with_a_1_5_volt_one_but_not_with_one_for_both() {
        // Published guide P1, 2.8.9.1: the abilities of all modules are combined; ddr3-checks VOLT.
        let case = || tarn().installed(runs_at(&[1500]), &["A1"]);
        let apart = case().kit(runs_at(&[1350]), 1).check();
        let found: Vec<_> = apart.findings.iter().filter(|f| f.rule.id == ID).collect();
        assert!(found.len() == 1 && apart.breaks(ID));
        let joined = case().kit(runs_at(&[1350, 1500]), 1).check();
        assert!(!joined.breaks(ID));
    }

    #[test]
    fn the_voltages_of_the_acceptance_rows_count() {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.accepts = vec![AcceptRow {
            supply: Some(vec![Millivolts(1500)]),
            ..accepts(Kind::Rdimm)
        }];
        let case = || Case::on(board.clone());
        assert!(case().seat(runs_at(&[1350]), &["A1"]).check().breaks(ID));
        let taken = case().seat(runs_at(&[1350, 1500]), &["A1"]).check();
        assert!(taken.silent(ID));
        assert_eq!(taken.outcome.supply, Some(Millivolts(1500)));
    }

    #[test]
    fn untold_voltages_are_undecided_on_ddr3_only() {
        let unknown = ModuleFacts {
            supply: None,
            ..rdimm(16, 2)
        };
        let checked = tarn().seat(unknown, &["A1"]).check();
        assert!(checked.leaves_open(ID));
        let ddr4 = ModuleFacts {
            supply: None,
            ..crate::domain::testing::module(Generation::Ddr4, Kind::Rdimm, 16, 1)
        };
        let checked = Case::on(board(Generation::Ddr4, 1, 2, 2))
            .seat(ddr4, &["A1"])
            .check();
        assert!(checked.silent(ID));
    }

    #[test]
    fn is_undecided_if_the_rows_that_may_hold_differ_in_their_voltages() {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.accepts = vec![
            AcceptRow {
                ranks: Some(vec![4]),
                supply: Some(vec![Millivolts(1500)]),
                ..accepts(Kind::Rdimm)
            },
            AcceptRow {
                supply: Some(vec![Millivolts(1350)]),
                ..accepts(Kind::Rdimm)
            },
        ];
        let unknown = ModuleFacts {
            package_ranks: None,
            ..runs_at(&[1350, 1500])
        };
        let case = Case::on(board).seat(unknown, &["A1"]);
        let checked = case.check();
        assert!(checked.leaves_open(ID), "{:?}", checked.findings);
        let quad = ModuleFacts {
            name: "quad".into(),
            ..rdimm(32, 4)
        };
        assert!(!case.seat(quad, &["B1"]).check().breaks(ID));
    }

    #[test]
    fn three_modules_of_three_voltages_are_one_finding() {
        let mut board = board(Generation::Ddr3, 1, 3, 1);
        board.supply.insert(0, Millivolts(1250));
        let checked = Case::on(board)
            .seat(runs_at(&[1250]), &["A1"])
            .seat(runs_at(&[1350]), &["B1"])
            .seat(runs_at(&[1500]), &["C1"])
            .check();
        assert_eq!(checked.severities(ID), [Severity::Blocker]);
    }

    #[test]
    fn two_modules_that_share_no_voltage_are_named_where_no_single_one_is_odd() {
        let named = |name: &str, mv: u16| ModuleFacts {
            name: name.into(),
            ..runs_at(&[mv])
        };
        let checked = tarn()
            .seat(named("a", 1350), &["A1"])
            .seat(named("b", 1350), &["A2"])
            .seat(named("c", 1500), &["B1"])
            .seat(named("d", 1500), &["B2"])
            .check();
        let finding = checked.finding(ID).expect("a finding");
        let of = |name: &str| {
            let param = finding.params.iter().find(|(own, _)| *own == name);
            param.map(|(_, value)| value.clone())
        };
        let volts = |mv| Some(Value::OneOf(vec![Value::Voltage(Millivolts(mv))]));
        let (found, taken) = (of("found"), of("taken"));
        assert_ne!(found, taken);
        assert!([volts(1350), volts(1500)].contains(&found));
        assert!([volts(1350), volts(1500)].contains(&taken));
    }

    #[test]
    fn a_module_of_another_generation_is_not_reported_again() {
        let ddr4 = crate::domain::testing::module(Generation::Ddr4, Kind::Rdimm, 16, 1);
        let checked = tarn()
            .seat(rdimm(16, 2), &["A1"])
            .seat(ddr4, &["B1"])
            .check();
        assert!(checked.breaks("generation-differs") && !checked.breaks(ID));
    }
}
