//! Modules of one organisation under several part numbers.

use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::module::Module;
use super::super::request::PartIx;
use super::super::setup::Setup;
use super::ordered::bought;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "set-not-identical",
    group: Group::Order,
    severity: Severity::Advice,
    title: "The set is not of one part number",
    doc: "Modules of equal size and organisation from several makers or series work together on most boards, but a set of one \
          part number has one timing, one revision to look after and one spare to keep. Where the board's own policy \
          says something of mixed part numbers, its rule tells it instead.",
    source: "common practice",
    reads: &[
        Fact::PartNumber,
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::StackHeight,
        Fact::Width,
    ],
    message: "{ $part } and { $other } are built alike but have different part numbers. A set of one part number is easier to keep \
              and to replace.",
    asks: "whether the set is of one part number",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "kit": [{"quantity": 4, "module": "ERW-3R16-2x4"},
        {"quantity": 4, "module": "ERW-3R16-2x4-1866"}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"quantity": 4, "module": "ERW-3R16-2x4"},
        {"quantity": 4, "module": "ERW-3R32-4x4"}]}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    if setup.board.mixing.part_numbers.speaks() {
        return;
    }
    let request = setup.request;
    let bought = bought(request);
    let stays: Vec<PartIx> = request.staying().map(|(_, entry)| entry.part).collect();
    for (index, part) in bought.iter().copied().enumerate() {
        let Some(module) = request.part(part) else {
            continue;
        };
        // What is bought is compared with what stays, and with what is bought before it: each pair once,
        // whichever comes first.
        let earlier = bought.iter().take(index).filter(|_| !stays.contains(&part));
        let others = stays.iter().chain(earlier).filter(|other| **other != part);
        let alike = others.filter_map(|other| {
            let built = request.part(*other)?;
            (organisation(built) == organisation(module)).then_some((*other, built))
        });
        compare((part, module), alike, hits);
    }
}

/// What makes modules alike; rates may differ.
fn organisation(module: &Module) -> impl PartialEq {
    (
        (module.generation, module.kind, module.capacity),
        (module.package_ranks, module.stack_height, module.width),
        module.ecc_bits,
    )
}

/// Names one of the others that has another part number. Nothing is said where one has the same: it was
/// compared itself, or stays, and a part is told once.
fn compare<'a>(
    (part, module): (PartIx, &Module),
    others: impl Iterator<Item = (PartIx, &'a Module)> + Clone,
    hits: &mut Hits,
) {
    let own = module.part_number.as_ref();
    let number_of = |(_, other): (PartIx, &'a Module)| other.part_number.as_ref();
    let mut numbers = others.clone().map(number_of);
    if module.kind.is_none() || module.capacity.is_none() {
        return;
    }
    if others.clone().next().is_none() || own.is_some() && numbers.any(|other| other == own) {
        return hits.met();
    }
    let named = |at: (PartIx, &'a Module)| Some((at.0, number_of(at)?));
    match (own, others.clone().find_map(named)) {
        (Some(_), Some((other, number))) => hits.broken(|draft| {
            draft
                .param("part", Value::Part(part))
                .param("other", Value::Part(other))
                .part(part)
                .part(other)
                .fix(Fix::ChooseOther {
                    part,
                    needs: vec![(Fact::PartNumber, Value::Text(number.clone()))],
                })
        }),
        _ => {
            let untold = others.filter(|at| number_of(*at).is_none());
            let mut missing: Vec<PartIx> = untold.map(|(other, _)| other).collect();
            missing.extend(own.is_none().then_some(part));
            let ask = |part| Missing::of(part, Fact::PartNumber);
            hits.undecided(&missing.into_iter().map(ask).collect::<Vec<_>>());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::request::InstalledPolicy;
    use crate::domain::testing::{Case, board, module, rdimm};

    const ID: &str = "set-not-identical";

    fn numbered(number: Option<&str>) -> ModuleFacts {
        ModuleFacts {
            part_number: number.map(str::to_owned),
            name: number.unwrap_or("unknown").to_owned(),
            ..rdimm(16, 2)
        }
    }

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn alike_modules_of_two_part_numbers_are_advised_against() {
        let checked = tarn()
            .kit(numbered(Some("A")), 4)
            .kit(numbered(Some("B")), 4)
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.severity, Severity::Advice);
        let needs = vec![(Fact::PartNumber, Value::Text("A".into()))];
        let part = PartIx(1);
        assert_eq!(finding.fixes[0].fix, Fix::ChooseOther { part, needs });
    }

    #[test]
    fn the_installed_ones_count_as_long_as_they_stay() {
        let case = || {
            tarn()
                .installed(numbered(Some("A")), &["A1"])
                .kit(numbered(Some("B")), 4)
        };
        assert!(case().check().breaks(ID));
        let replaced = case().with(|request| request.installed_policy = InstalledPolicy::Replace);
        assert!(!replaced.check().breaks(ID));
        // The pair is told once, whichever of it is bought first.
        for kit in [["A", "B"], ["B", "A"]] {
            let all = kit.into_iter().fold(
                tarn().installed(numbered(Some("A")), &["A1"]),
                |case, number| case.kit(numbered(Some(number)), 2),
            );
            assert_eq!(all.check().severities(ID).len(), 1, "{kit:?}");
        }
    }

    #[test]
    fn modules_with_their_slots_are_a_set_as_well() {
        let seated = |second: &str| {
            tarn()
                .seat(numbered(Some("A")), &["A1"])
                .seat(numbered(Some(second)), &["B1", "C1"])
                .check()
        };
        assert!(seated("B").breaks(ID));
        assert!(seated("A").finding(ID).is_none());
        let beside = tarn()
            .seat(numbered(Some("A")), &["A1"])
            .kit(numbered(Some("B")), 4);
        assert!(beside.check().breaks(ID));
    }

    #[test]
    fn modules_of_another_ecc_width_are_another_set() {
        let breaks = |ecc_bits| {
            let wide = ModuleFacts {
                part_number: Some("A".to_owned()),
                ecc_bits: Some(8),
                ..module(Generation::Ddr5, Kind::Rdimm, 64, 2)
            };
            let other = ModuleFacts {
                part_number: Some("B".to_owned()),
                ecc_bits: Some(ecc_bits),
                ..wide.clone()
            };
            let case = Case::on(board(Generation::Ddr5, 1, 4, 1));
            case.kit(wide, 2).kit(other, 2).check().breaks(ID)
        };
        assert_eq!((breaks(8), breaks(4)), (true, false));
    }

    #[test]
    fn modules_of_another_organisation_are_another_set() {
        let checked = tarn()
            .kit(numbered(Some("A")), 4)
            .kit(rdimm(32, 4), 4)
            .check();
        assert!(checked.finding(ID).is_none());
    }

    #[test]
    fn an_unknown_part_number_is_undecided() {
        let checked = tarn()
            .kit(numbered(Some("A")), 4)
            .kit(numbered(None), 4)
            .check();
        assert_eq!(checked.undecided(), [ID]);
        assert!(
            checked
                .finding(ID)
                .is_some_and(|f| f.severity == Severity::Advice)
        );
    }

    #[test]
    fn the_boards_own_policy_speaks_instead() {
        let mut case = tarn()
            .kit(numbered(Some("A")), 4)
            .kit(numbered(Some("B")), 4);
        case.board.mixing.part_numbers = MixPolicy::everywhere(Mix::Discouraged);
        assert!(case.check().finding(ID).is_none());
    }
}
