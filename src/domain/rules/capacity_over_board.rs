//! More memory than the whole board takes.

use super::super::board::Limit;
use super::super::finding::{Fact, Missing, Severity, Value};
use super::super::setup::Setup;
use super::super::tally::smaller_module;
use super::super::units::Mib;
use super::{Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "capacity-over-board",
    group: Group::Limit,
    severity: Severity::Blocker,
    title: "More memory than the board takes",
    doc: "A board's maker supports up to a certain amount of memory, which often depends on how many processors are \
          fitted. What lies above is not used, or keeps the server from starting.",
    source: "common practice; the ceiling itself is the board record's",
    reads: &[Fact::Capacity],
    message: "All modules together hold { $held }, but this board takes at most { $ceiling } with the processors that are fitted. \
              Choose fewer or smaller modules.",
    asks: "whether all memory together stays within the board's ceiling",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "beck", "kit": [{"module": "ERW-3E8-2x8", "quantity": 5}]}"#,
    meets: r#"{"board": "beck", "kit": [{"module": "ERW-3E8-2x8", "quantity": 2}]}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    if setup.staying_count() == 0 {
        return;
    }
    let ceiling = match setup.filling.board_capacity {
        Limit::Is(ceiling) => ceiling,
        Limit::None => return,
        Limit::Unknown => return hits.undecided(&[Missing::general(Fact::BoardLimit)]),
    };
    let held = setup.total_capacity();
    match held.within(ceiling.0) {
        Some(true) => hits.met(),
        None => hits.undecided(&setup.unknown(Fact::Capacity, |m| m.capacity.is_some())),
        Some(false) => hits.broken(|draft| {
            let draft = draft
                .param("held", Value::Capacity(Mib(held.at_least)))
                .param("ceiling", Value::Capacity(ceiling));
            let smaller = smaller_module(setup.staying(), ceiling);
            smaller.into_iter().fold(draft, Draft::fix)
        }),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;
    use crate::domain::board::filling::Filling;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::{InstalledPolicy, SocketState};
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "capacity-over-board";

    /// 64 GiB with one processor, 256 GiB with two.
    fn tarn() -> Case {
        let mut facts = board(Generation::Ddr3, 2, 4, 3);
        let row = facts.filling[0].clone();
        let with = |count: u8, gib: u64| Filling {
            sockets_fitted: vec![count],
            board_capacity: Limit::Is(Mib::gib(gib)),
            ..row.clone()
        };
        facts.filling = vec![with(1, 64), with(2, 256)];
        Case::on(facts)
    }

    #[test]
    fn refuses_more_than_the_ceiling_for_the_processors_fitted() {
        let one = |quantity| {
            let case = tarn().with(|request| {
                request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
            });
            case.kit(rdimm(32, 4), quantity).check()
        };
        assert!(one(2).silent(ID) && one(3).breaks(ID));
        assert!(tarn().kit(rdimm(32, 4), 8).check().silent(ID));
        assert!(tarn().kit(rdimm(32, 4), 9).check().breaks(ID));
    }

    #[test]
    fn counts_what_stays_installed() {
        let with = |policy| {
            let case = tarn().installed(rdimm(32, 4), &["A1"]).kit(rdimm(32, 4), 8);
            case.with(|request| request.installed_policy = policy)
                .check()
        };
        assert!(
            with(InstalledPolicy::Keep).breaks(ID) && with(InstalledPolicy::Replace).silent(ID)
        );
    }

    #[test]
    fn an_unknown_capacity_is_undecided() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(32, 4)
        };
        assert!(tarn().kit(unknown.clone(), 1).check().leaves_open(ID));
        assert!(
            tarn()
                .kit(unknown, 1)
                .kit(rdimm(32, 4), 9)
                .check()
                .breaks(ID)
        );
    }
}
