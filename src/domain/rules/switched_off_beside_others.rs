//! A module that the firmware has switched off, and that takes working ones down with it.

use super::super::board::Limit;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::slot_groups_differ::members;
use super::{Check, Draft, Group, Hits, OnChannel, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "switched-off-beside-others",
    group: Group::Load,
    severity: Severity::Blocker,
    title: "A switched-off module takes others down with it",
    doc: "Firmware switches off a module that fails its tests, but the module stays on the lines that it shares: where slots \
          share a reset line or a port, a module that is present and switched off takes the working ones beside it down. \
          A repair takes the failed module out and does not leave it in.",
    source: "published firmware source F2 (plug rules of the memory procedures); which slots belong together is the board record's",
    reads: &[],
    message: "{ $sockets }: the firmware has switched off the module in { $slots }. It shares the lines of the group { $name } with working modules \
              (number: { $count }), which it takes down with it. Take it out.",
    asks: "whether a switched-off module takes others down with it",
    checks: &[Check::Socket(check)],
    breaks: r#"{"board": "brook", "installed": [
        {"slot": "A1", "module": "ERW-5R64-2x4", "switched_off": true}, {"slot": "B1", "module": "ERW-5R64-2x4"}]}"#,
    meets: r#"{"board": "brook", "installed": [
        {"slot": "A1", "module": "ERW-5R64-2x4", "switched_off": true}, {"slot": "C1", "module": "ERW-5R64-2x4"}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    match &view.board().slot_groups {
        Limit::None => {}
        Limit::Unknown => anywhere(view, hits),
        Limit::Is(groups) => {
            for group in groups.iter().filter(|group| group.shared_reset) {
                let modules = members(view, group);
                for off in modules.clone().filter(|on| on.module.switched_off) {
                    let others = working(modules.clone());
                    judge(&off, &group.name, others, hits);
                }
            }
        }
    }
}

fn working<'a>(modules: impl Iterator<Item = OnChannel<'a>>) -> usize {
    modules.filter(|on| !on.module.switched_off).count()
}

fn judge(off: &OnChannel<'_>, name: &str, others: usize, hits: &mut Hits) {
    if others == 0 {
        return hits.met();
    }
    hits.broken(|draft| tell(draft, off, name, others));
}

fn tell(draft: Draft, off: &OnChannel<'_>, name: &str, others: usize) -> Draft {
    draft
        .param("name", Value::Text(name.to_owned()))
        .param("count", Value::Count(others as u64))
        .part(off.part)
        .slot(off.slot)
        .fix(Fix::Remove { slot: off.slot })
}

/// Nobody told which slots share lines; any of a socket may.
fn anywhere(view: &SocketView<'_>, hits: &mut Hits) {
    let off = view.modules().any(|on| on.module.switched_off);
    if off && working(view.modules()) > 0 {
        hits.undecided(&[Missing::general(Fact::BoardLimit)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::board::groups::SlotGroup;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "switched-off-beside-others";

    fn on(groups: Limit<Vec<SlotGroup>>) -> Case {
        Case::on(BoardFacts {
            slot_groups: groups,
            ..board(Generation::Ddr4, 1, 4, 2)
        })
    }

    /// Published firmware source F2: the two modules of a port; four slots on one reset line.
    fn sharing(seats: &[(u8, u8)]) -> Limit<Vec<SlotGroup>> {
        Limit::Is(vec![SlotGroup {
            name: "line 1".into(),
            seats: seats.to_vec(),
            identical: Vec::new(),
            shared_reset: true,
        }])
    }

    fn ddr4() -> ModuleFacts {
        crate::domain::testing::module(Generation::Ddr4, crate::domain::module::Kind::Rdimm, 16, 2)
    }

    fn off() -> ModuleFacts {
        ModuleFacts {
            switched_off: true,
            ..ddr4()
        }
    }

    #[test]
    fn refuses_a_switched_off_module_beside_a_working_one_of_its_port() {
        let port = || on(sharing(&[(1, 1), (1, 2)]));
        let beside = port().seat(off(), &["A1"]).seat(ddr4(), &["A2"]).check();
        assert_eq!(beside.severities(ID), [Severity::Blocker]);
        let alone = port().seat(off(), &["A1"]).seat(ddr4(), &["B1"]).check();
        assert!(alone.silent(ID));
    }

    #[test]
    fn one_of_four_on_a_reset_line_takes_the_other_three_down() {
        let seats = [(1, 1), (2, 1), (3, 1), (4, 1)];
        let four = on(sharing(&seats))
            .seat(off(), &["A1"])
            .seat(ddr4(), &["B1", "C1", "D1"])
            .check();
        let finding = four.finding(ID).unwrap();
        assert!(finding.params.contains(&("count", Value::Count(3))));
    }

    #[test]
    fn an_unknown_grouping_leaves_it_open_within_a_socket() {
        let unknown = || on(Limit::Unknown);
        let beside = unknown().seat(off(), &["A1"]).seat(ddr4(), &["A2"]).check();
        assert!(beside.leaves_open(ID));
        let apart = unknown().seat(off(), &["A1"]).seat(ddr4(), &["B1"]).check();
        assert!(apart.leaves_open(ID));
        let well = unknown().seat(ddr4(), &["A1", "A2"]).check();
        assert!(well.silent(ID));
    }

    #[test]
    fn a_switched_off_module_gives_no_memory() {
        let case = on(Limit::None).seat(off(), &["A1"]).seat(ddr4(), &["B1"]);
        let outcome = case.check().outcome;
        assert_eq!(outcome.installed, Some(Mib::gib(16)));
        assert_eq!(outcome.usable, Some(Mib::gib(16)));
        assert_eq!(outcome.modules, 2);
    }

    #[test]
    fn rdimm_of_another_generation_is_none_of_its_business() {
        let checked = on(Limit::None).seat(rdimm(8, 2), &["A1"]).check();
        assert!(checked.silent(ID));
    }
}
