//! A module whose memory is kept through a loss of power, and is not main memory.

use super::super::finding::{Fact, Severity, Value};
use super::super::module::Kind;
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "persistent-memory-apart",
    group: Group::Load,
    severity: Severity::Warning,
    title: "Persistent memory is not main memory",
    doc: "An NVDIMM-N copies its DRAM to flash when power fails. Firmware offers it to the operating system as persistent \
          memory, beside the main memory: it takes a slot and loads its channel, but programs that want memory do not get \
          it. It needs a store of energy, and may hold data of its last owner.",
    source: "JEDEC JESD245 names the interface (title from memory); that firmware keeps it apart: common practice",
    reads: &[Fact::Kind],
    message: "{ $part } is an NVDIMM-N: its memory is offered as persistent memory and does not count as main memory here.",
    asks: "whether the memory of a module is main memory",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "mere", "population": [{"slot": "A1", "module": {"generation": "DDR4", "kind": "NVDIMM-N", "capacity_mib": 16384}}]}"#,
    meets: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    match view.module.kind {
        Some(Kind::NvdimmN) => {
            hits.broken(|draft| draft.part(view.part).param("part", Value::Part(view.part)))
        }
        Some(_) => hits.met(),
        // What kind it is, others ask.
        None => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::BoardFacts;
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::request::Wish;
    use crate::domain::testing::{Case, accepts, board, module, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "persistent-memory-apart";

    fn taking_it() -> BoardFacts {
        let mut facts = board(Generation::Ddr3, 1, 2, 2);
        facts.accepts.push(accepts(Kind::NvdimmN));
        for row in &mut facts.rates {
            row.kinds.push(Kind::NvdimmN);
        }
        facts
    }

    fn persistent() -> ModuleFacts {
        module(Generation::Ddr3, Kind::NvdimmN, 16, 2)
    }

    #[test]
    fn its_memory_is_none_of_the_main_memory() {
        let checked = Case::on(taking_it())
            .with(|request| {
                request.wishes.capacity_at_least = Some(Wish {
                    value: Mib::gib(48),
                    must: true,
                });
            })
            .seat(rdimm(16, 2), &["A1", "B1"])
            .seat(persistent(), &["A2"])
            .check();
        assert_eq!(checked.severities(ID), [Severity::Warning]);
        assert_eq!(checked.outcome.usable, Some(Mib::gib(32)));
        assert!(checked.breaks("capacity-wish"));
        let regions: u64 = checked.outcome.regions[0]
            .iter()
            .map(|r| r.capacity.0)
            .sum();
        assert_eq!(regions, Mib::gib(32).0);
    }

    #[test]
    fn a_processor_with_persistent_memory_only_has_no_memory() {
        let checked = Case::on(taking_it()).seat(persistent(), &["A1"]).check();
        assert!(checked.breaks("socket-without-memory"));
        assert_eq!(checked.outcome.usable, Some(Mib(0)));
    }

    #[test]
    fn other_modules_are_main_memory() {
        let checked = Case::on(taking_it()).seat(rdimm(16, 2), &["A1"]).check();
        assert!(checked.silent(ID));
        assert!(checked.silent("kind-not-taken"));
    }
}
