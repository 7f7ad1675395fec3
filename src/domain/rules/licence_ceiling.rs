//! More memory than the operating system or its licence uses.

use super::super::board::policy::Protection;
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value};
use super::super::request::Wish;
use super::super::setup::Setup;
use super::super::tally::Total;
use super::super::units::Mib;
use super::{BoardView, Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "licence-ceiling",
    group: Group::Limit,
    severity: Severity::Warning,
    title: "More memory than the licence covers",
    doc: "Editions of operating systems and hypervisors use memory up to a ceiling that their licence sets. What lies \
          above it is paid for and idle. The caller tells the ceiling.",
    source: "common practice; the ceiling is the caller's",
    reads: &[Fact::Capacity],
    message: "The modules give { $usable } of usable memory, but the operating system or its licence uses at most { $ceiling }: \
              { $idle } would lie idle.",
    asks: "whether the memory stays within what the operating system or its licence uses",
    checks: &[Check::Kit(check_kit), Check::Board(check_board)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}], "wishes": {"licence_at_most_mib": 65536}}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 4}], "wishes": {"licence_at_most_mib": 65536}}"#,
};

/// Where all memory is usable wherever it sits, the slots don't matter.
fn check_kit(setup: &Setup<'_>, hits: &mut Hits) {
    let Some(wish) = setup.request.wishes.licence else {
        return;
    };
    if setup.staying_count() > 0 && setup.all_is_usable() {
        let unknown = || setup.unknown(Fact::Capacity, |m| m.main_memory().is_some());
        judge(setup, hits, wish, setup.total_main_memory(), unknown);
    }
}

fn check_board(view: &BoardView<'_>, hits: &mut Hits) {
    let Some(wish) = view.request().wishes.licence else {
        return;
    };
    if view.outcome.modules == 0 || view.setup.all_is_usable() {
        return;
    }
    if let Some(usable) = view.usable() {
        judge(view.setup, hits, wish, usable, || view.usable_needs());
    }
}

fn judge(
    setup: &Setup<'_>,
    hits: &mut Hits,
    wish: Wish<Mib>,
    usable: Total,
    unknown: impl FnOnce() -> Vec<Missing>,
) {
    match usable.within(wish.value.0) {
        Some(true) => hits.met(),
        None => hits.undecided_as(wish.severity(), &unknown()),
        Some(false) => hits.broken_as(wish.severity(), |draft| {
            let idle = usable.at_least.saturating_sub(wish.value.0);
            let draft = draft
                .about(Subject::Licence)
                .param("usable", Value::Capacity(Mib(usable.at_least)))
                .param("ceiling", Value::Capacity(wish.value))
                .param("idle", Value::Capacity(Mib(idle)));
            let quantity = fewer(setup, wish.value);
            quantity.into_iter().fold(draft, Draft::fix)
        }),
    }
}

/// Of a kit of one line: so many modules less that nothing lies idle, wherever the others sit. What a
/// module of the kit gives where it sits now says nothing of that.
fn fewer(setup: &Setup<'_>, ceiling: Mib) -> Option<Fix> {
    let line = setup.sole_line()?;
    let each = setup.request.part(line.part)?.main_memory()?;
    let held = setup.total_main_memory();
    let over = held
        .exact
        .then(|| held.at_least.saturating_sub(ceiling.0))?;
    let less = u32::try_from(over.div_ceil(each.0.max(1))).ok()?;
    let quantity = line.quantity.checked_sub(less).filter(|left| *left > 0)?;
    let plain = setup.request.protection == Protection::None;
    plain.then_some(Fix::SetQuantity { line: 0, quantity })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::BoardFacts;

    use crate::domain::board::policy::Protection;
    use crate::domain::finding::{Fix, Severity};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::Wish;
    use crate::domain::testing::{Case, board, offer_of, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "licence-ceiling";

    fn mirroring() -> BoardFacts {
        BoardFacts {
            protections: vec![offer_of(Protection::Mirrored, &[&[1, 2], &[3, 4]])],
            ..board(Generation::Ddr3, 1, 4, 3)
        }
    }

    fn licensed(gib: u64, must: bool) -> Case {
        Case::on(mirroring()).with(|request| {
            let value = Mib::gib(gib);
            request.wishes.licence = Some(Wish { value, must });
        })
    }

    #[test]
    fn warns_of_memory_that_would_lie_idle() {
        let over = licensed(64, false).kit(rdimm(16, 2), 6).check();
        assert_eq!(over.severities(ID), [Severity::Warning]);
        let fewer = Fix::SetQuantity {
            line: 0,
            quantity: 4,
        };
        assert_eq!(over.finding(ID).unwrap().fixes[0].fix, fewer);
        assert!(licensed(64, false).kit(rdimm(16, 2), 4).check().silent(ID));
    }

    #[test]
    fn offers_no_quantity_that_leaves_the_installed_modules_over_the_ceiling() {
        // Only channels 1 and 2 work, so not all that is seated counts as usable now.
        let mut facts = mirroring();
        facts.processors[0].channels = Some(vec![1, 2]);
        let over = Case::on(facts)
            .installed(rdimm(16, 2), &["A1", "C1"])
            .kit(rdimm(8, 2), 4)
            .with(|request| {
                let value = Mib::gib(8);
                request.wishes.licence = Some(Wish { value, must: false });
            })
            .check();
        assert!(over.finding(ID).unwrap().fixes.is_empty());
    }

    #[test]
    fn blocks_if_the_caller_says_that_it_must_hold() {
        let over = licensed(64, true).kit(rdimm(16, 2), 6).check();
        assert_eq!(over.severities(ID), [Severity::Blocker]);
    }

    #[test]
    fn counts_what_is_left_under_the_protection() {
        let slots = ["A1", "B1", "C1", "D1"];
        let mirrored = |gib| {
            let case = licensed(gib, false).seat(rdimm(16, 2), &slots);
            case.with(|request| request.protection = Protection::Mirrored)
                .check()
        };
        assert!(mirrored(32).silent(ID) && mirrored(31).breaks(ID));
    }

    #[test]
    fn an_unknown_capacity_is_undecided() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(16, 2)
        };
        assert!(licensed(64, true).kit(unknown, 1).check().leaves_open(ID));
    }
}
