//! A protection that the board does not offer.

use super::super::board::policy::Protection;
use super::super::finding::{Fix, Severity, Subject, Value};
use super::super::setup::Setup;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "protection-not-offered",
    group: Group::Protection,
    severity: Severity::Blocker,
    title: "The board does not offer this protection",
    doc: "Mirroring, spare ranks and lockstep are abilities of the memory controller that the board's firmware must \
          switch on. No choice of modules adds one that is not there.",
    source: "common practice; what is offered is the board record's",
    reads: &[],
    message: "This board does not offer { $asked } protection. What it offers is: { $offered }.",
    asks: "whether the board offers the protection",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "beck", "kit": [{"module": "ERW-3E8-2x8", "quantity": 2}], "protection": "mirrored"}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "kit": [{"module": "ERW-3R16-2x4", "quantity": 4}], "protection": "mirrored"}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let asked = setup.request.protection;
    if asked == Protection::None {
        return;
    }
    if setup.offer().is_some() {
        return hits.met();
    }
    hits.broken(|draft| {
        let offered = setup.board.protections.iter().map(|o| o.protection.name());
        let words = std::iter::once(Protection::None.name()).chain(offered);
        draft
            .about(Subject::Protection)
            .param("asked", Value::Word(asked.name()))
            .param("offered", Value::Words(words.map(str::to_owned).collect()))
            .fix(Fix::SetProtection(Protection::None))
    });
}

#[cfg(test)]
mod tests {
    use crate::domain::board::BoardFacts;
    use crate::domain::board::policy::Protection;
    use crate::domain::finding::{Fix, Value};
    use crate::domain::module::Generation;
    use crate::domain::testing::{Case, Checked, board, offer_of, rdimm};

    const ID: &str = "protection-not-offered";

    fn check(asked: Protection) -> Checked {
        let offer = offer_of(Protection::RankSpare, &[]);
        let facts = BoardFacts {
            protections: vec![offer],
            ..board(Generation::Ddr3, 1, 4, 3)
        };
        let case = Case::on(facts).with(|request| request.protection = asked);
        case.seat(rdimm(16, 2), &["A1"]).check()
    }

    #[test]
    fn refuses_what_the_board_does_not_offer() {
        let checked = check(Protection::Mirrored);
        let finding = checked.finding(ID).unwrap();
        let offered = Value::Words(vec!["none".into(), "rank spare".into()]);
        assert_eq!(finding.params[1], ("offered", offered));
        assert_eq!(finding.fixes[0].fix, Fix::SetProtection(Protection::None));
    }

    #[test]
    fn takes_what_is_offered_and_none_at_all() {
        assert!(check(Protection::RankSpare).silent(ID) && check(Protection::None).silent(ID));
    }
}
