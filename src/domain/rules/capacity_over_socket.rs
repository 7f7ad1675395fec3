//! More memory at a socket than the board takes there.

use super::super::board::Limit;
use super::super::finding::{Fact, Missing, Severity, Value};
use super::super::tally::smaller_module;
use super::super::units::Mib;
use super::{Check, Draft, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "capacity-over-socket",
    group: Group::Limit,
    severity: Severity::Blocker,
    title: "More memory than the board takes at a socket",
    doc: "A board's maker supports up to a certain amount of memory at each socket, whatever the processor addresses.",
    source: "common practice; the ceiling itself is the board record's",
    reads: &[Fact::Capacity],
    message: "{ $sockets }: the modules hold { $held }, but this board takes at most { $ceiling } at a socket. \
              Choose fewer or smaller modules.",
    asks: "whether the memory of each socket stays within the board's ceiling",
    checks: &[Check::SocketLoad(check)],
    breaks: r#"{"board": "delta", "kit": [{"quantity": 4, "module":
        {"generation": "DDR5", "kind": "ECC UDIMM", "capacity_mib": 65536, "package_ranks": 2, "stack_height": 1, "width": "x8",
         "die_gbit": 32, "ecc_bits": 8, "rate_mts": 5600, "input_mv": 5000, "height": "LP"}}]}"#,
    meets: r#"{"board": "delta", "kit": [{"module": "ERW-5E32-2x8", "quantity": 2}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    if view.count() == 0 {
        return;
    }
    let ceiling = match view.board().socket_capacity {
        Limit::Is(ceiling) => ceiling,
        Limit::None => return,
        Limit::Unknown => return hits.undecided(&[Missing::general(Fact::BoardLimit)]),
    };
    match view.held().within(ceiling.0) {
        Some(true) => hits.met(),
        None => hits.undecided(&view.unknown_capacities()),
        Some(false) => hits.broken(|draft| {
            let draft = draft
                .param("held", Value::Capacity(Mib(view.held().at_least)))
                .param("ceiling", Value::Capacity(ceiling))
                .slots(view.modules().map(|on| on.slot));
            let smaller = smaller_module(view.modules().map(|on| (on.part, 1)), ceiling);
            smaller.into_iter().fold(draft, Draft::fix)
        }),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "capacity-over-socket";

    fn tarn(ceiling: Limit<Mib>) -> Case {
        let mut facts = board(Generation::Ddr3, 2, 4, 3);
        facts.socket_capacity = ceiling;
        Case::on(facts)
    }

    #[test]
    fn refuses_more_than_the_ceiling_at_one_socket() {
        let most = Limit::Is(Mib::gib(64));
        let even = tarn(most)
            .seat(rdimm(32, 4), &["A1", "B1", "E1", "F1"])
            .check();
        assert!(even.silent(ID));
        let over = tarn(most)
            .seat(rdimm(32, 4), &["A1", "B1", "C1", "E1"])
            .check();
        assert_eq!(over.finding(ID).unwrap().sockets, [1]);
    }

    #[test]
    fn an_unknown_capacity_or_ceiling_is_undecided() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(32, 4)
        };
        let most = Limit::Is(Mib::gib(64));
        assert!(tarn(most).seat(unknown, &["A1"]).check().leaves_open(ID));
        assert!(
            tarn(Limit::Unknown)
                .seat(rdimm(32, 4), &["A1"])
                .check()
                .leaves_open(ID)
        );
        assert!(
            tarn(Limit::None)
                .seat(rdimm(32, 4), &["A1"])
                .check()
                .silent(ID)
        );
    }
}
