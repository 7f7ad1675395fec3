//! Modules on which the failure of a whole device can't be corrected.

use super::super::board::policy::{Protection, ProtectionOffer};
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value, WishChange};
use super::super::module::{Generation, Kind, Module, Width};
use super::{Check, Draft, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "chip-correction-lost",
    group: Group::Protection,
    severity: Severity::Advice,
    title: "A failed device can't be corrected",
    doc: "The ECC bits of a channel can rebuild all bits of one failed device only if it adds few bits to each word: that \
          takes x4 devices with full ECC, or x8 devices on channels that work in lockstep. With wider devices, or with \
          half the ECC bits (EC4 on DDR5), a failed device stops the server.",
    source: "published guide P1, table 77: x4 always, x8 only with two channels joined, wider never; for EC4 on DDR5: from memory",
    reads: &[Fact::Kind, Fact::Width, Fact::EccBits],
    message: "{ $part } ({ $build }): the failure of a whole device on it can't be corrected. \
              That takes devices of width { $needed } with full ECC.",
    asks: "whether the failure of a whole device can be corrected",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "mere", "processors": ["fitted", "empty"], "kit": [{"module": "ERW-4R16-2x8", "quantity": 8}],
        "wishes": {"chip_correction": true}}"#,
    meets: r#"{"board": "mere", "processors": ["fitted", "empty"], "kit": [{"module": "ERW-4R32-2x4", "quantity": 8}],
        "wishes": {"chip_correction": true}}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    let Some(severity) = severity(view, hits.severity()) else {
        return;
    };
    match corrects(view.module, widest(view)) {
        Some(true) => hits.met(),
        Some(false) => hits.broken_as(severity, |draft| tell(view, draft)),
        None => {
            let unknown = [
                (view.module.width.is_none(), Fact::Width),
                (view.module.ecc_bits.is_none(), Fact::EccBits),
            ];
            let missing = unknown.iter().filter(|(open, _)| *open);
            let missing: Vec<Missing> = missing
                .map(|(_, fact)| Missing::of(view.part, *fact))
                .collect();
            hits.undecided_as(severity, &missing);
        }
    }
}

/// How bad it is here; nothing where nobody asks for it and no better module exists.
fn severity(view: &PartView<'_>, default: Severity) -> Option<Severity> {
    let wish = view.setup.request.wishes.chip_correction;
    let needed = view.setup.offer().is_some_and(|offer| offer.needs_x4);
    let asked = wish.map(|wish| wish.severity());
    if needed {
        return Some(Severity::Blocker);
    }
    asked.or_else(|| takes_better(view).then_some(default))
}

/// Whether the board takes a module of this kind with x4 devices. Unbuffered ones are not made so
/// (common practice).
fn takes_better(view: &PartView<'_>) -> bool {
    let buffered = |kind| {
        matches!(
            kind,
            Kind::Rdimm | Kind::Lrdimm | Kind::Mrdimm | Kind::NvdimmN
        )
    };
    view.board().accepts.iter().any(|row| {
        let x4 = |widths: &Vec<Width>| widths.contains(&Width::X4);
        buffered(row.kind)
            && view.module.kind.is_none_or(|kind| kind == row.kind)
            && row.widths.as_ref().is_none_or(x4)
    })
}

/// The widest device that the channel's ECC bits can rebuild.
fn widest(view: &PartView<'_>) -> Width {
    let in_step =
        |offer: &ProtectionOffer| offer.protection == Protection::Lockstep && !offer.needs_x4;
    if view.setup.offer().is_some_and(in_step) {
        Width::X8
    } else {
        Width::X4
    }
}

/// Whether a failed device is corrected; `None` if a fact is missing.
fn corrects(module: &Module, widest: Width) -> Option<bool> {
    let full_ecc = module.ecc_bits.map(|bits| bits >= 8);
    let narrow = module.width.map(|width| width <= widest);
    match (full_ecc, narrow) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}

fn tell(view: &PartView<'_>, draft: Draft) -> Draft {
    let request = view.setup.request;
    let module = view.module;
    let ecc = module.ecc_bits.filter(|bits| *bits < 8);
    let words = [
        module.width.map(|width| width.name().to_owned()),
        ecc.map(|bits| format!("EC{bits}")),
    ];
    let needed = widest(view);
    let mut needs = vec![(Fact::Width, Value::Word(needed.name()))];
    if module.generation == Some(Generation::Ddr5) || ecc.is_some() {
        needs.push((Fact::EccBits, Value::Count(8)));
    }
    let draft = draft
        .part(view.part)
        .param("part", Value::Part(view.part))
        .param("build", Value::Words(words.into_iter().flatten().collect()))
        .param("needed", Value::Word(needed.name()))
        .fix(Fix::ChooseOther {
            part: view.part,
            needs,
        });
    let draft = match request.wishes.chip_correction {
        Some(_) => draft
            .about(Subject::ChipCorrection)
            .fix(Fix::AdjustWish(WishChange::ChipCorrection)),
        None => draft,
    };
    if view.setup.offer().is_some_and(|offer| offer.needs_x4) {
        draft.about(Subject::Protection)
    } else {
        draft
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::BoardFacts;
    use crate::domain::board::policy::{Protection, ProtectionOffer};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts, Width};
    use crate::domain::request::Wish;
    use crate::domain::testing::{Case, board, module, offer_of, rdimm};

    const ID: &str = "chip-correction-lost";

    fn wide(width: Width) -> ModuleFacts {
        ModuleFacts {
            width: Some(width),
            ..rdimm(16, 2)
        }
    }

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 1, 4, 3))
    }

    fn wished(must: bool) -> Case {
        tarn().with(|request| {
            request.wishes.chip_correction = Some(Wish { value: (), must });
        })
    }

    fn protected(protection: Protection, needs_x4: bool) -> Case {
        let offer = ProtectionOffer {
            needs_x4,
            ..offer_of(protection, &[&[1, 2], &[3, 4]])
        };
        let facts = BoardFacts {
            protections: vec![offer],
            ..board(Generation::Ddr3, 1, 4, 3)
        };
        Case::on(facts).with(|request| request.protection = protection)
    }

    #[test]
    fn a_wish_makes_more_of_it_than_advice() {
        // Published guide P1, table 77: x4 always, x8 not on a single channel.
        let severities = |case: Case| case.seat(wide(Width::X8), &["A1"]).check().severities(ID);
        assert_eq!(severities(tarn()), [Severity::Advice]);
        assert_eq!(severities(wished(false)), [Severity::Warning]);
        assert_eq!(severities(wished(true)), [Severity::Blocker]);
        assert!(
            wished(true)
                .seat(wide(Width::X4), &["A1"])
                .check()
                .silent(ID)
        );
    }

    #[test]
    fn channels_in_lockstep_correct_x8_but_no_wider_devices() {
        // Published guide P1, table 77: x8 only with two channels joined, wider never.
        let lost = |width| {
            let case = protected(Protection::Lockstep, false);
            case.seat(wide(width), &["A1", "B1"]).check().breaks(ID)
        };
        assert!(!lost(Width::X8) && lost(Width::X16));
    }

    #[test]
    fn blocks_where_the_protection_needs_x4_devices() {
        let checked = protected(Protection::Lockstep, true)
            .seat(wide(Width::X8), &["A1"])
            .check();
        assert_eq!(checked.severities(ID), [Severity::Blocker]);
    }

    #[test]
    fn half_the_ecc_bits_do_not_correct_a_device() {
        let ddr5 = |bits| ModuleFacts {
            ecc_bits: Some(bits),
            ..module(Generation::Ddr5, Kind::Rdimm, 64, 2)
        };
        let case = || Case::on(board(Generation::Ddr5, 1, 4, 1));
        assert!(case().seat(ddr5(4), &["A1"]).check().breaks(ID));
        assert!(case().seat(ddr5(8), &["A1"]).check().silent(ID));
    }

    #[test]
    fn gives_no_advice_where_no_better_module_is_made() {
        let unbuffered = ModuleFacts {
            width: Some(Width::X8),
            ..module(Generation::Ddr3, Kind::EccUdimm, 8, 2)
        };
        assert!(tarn().seat(unbuffered.clone(), &["A1"]).check().silent(ID));
        assert!(wished(false).seat(unbuffered, &["A1"]).check().breaks(ID));
    }

    #[test]
    fn an_unknown_width_is_undecided() {
        let unknown = ModuleFacts {
            width: None,
            ..rdimm(16, 2)
        };
        assert!(wished(true).seat(unknown, &["A1"]).check().leaves_open(ID));
    }
}
