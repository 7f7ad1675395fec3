//! Modules in slots of a socket without a processor.

use super::super::finding::{Fix, Severity};
use super::{Check, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "slot-of-empty-socket",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "Memory at a socket without a processor",
    doc: "Since memory controllers moved into the processor, every slot is wired to one socket. Without a processor \
          there, nothing reaches the modules in its slots: the server ignores them or does not start.",
    source: "common practice",
    reads: &[],
    message: "{ $slots }: there is no processor in { $sockets }, and a slot works only through the processor that it is wired to. \
              Fit a processor there, or move the modules to a socket that has one.",
    asks: "whether the sockets of all filled slots have a processor",
    checks: &[Check::SocketLoad(check)],
    breaks: r#"{"board": "tarn", "processors": ["fitted", "empty"], "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "B1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    if view.count() == 0 {
        return;
    }
    if view.is_fitted() {
        return hits.met();
    }
    hits.broken(|draft| {
        draft
            .slots(view.modules().map(|on| on.slot))
            .fix(Fix::FitProcessor {
                socket: view.socket,
            })
    });
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Fix, Verdict};
    use crate::domain::module::Generation;
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "slot-of-empty-socket";

    fn half_fitted() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3)).with(|request| {
            request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
        })
    }

    #[test]
    fn refuses_memory_at_an_empty_socket() {
        let checked = half_fitted()
            .seat(rdimm(16, 2), &["A1", "E1", "F1"])
            .check();
        assert_eq!(checked.verdict, Verdict::DoesNotFit);
        let finding = checked.finding(ID).unwrap();
        assert_eq!(
            (finding.slots.len(), finding.sockets.as_slice()),
            (2, &[2][..])
        );
        assert_eq!(finding.fixes[0].fix, Fix::FitProcessor { socket: 2 });
    }

    #[test]
    fn says_nothing_of_an_empty_socket_without_memory() {
        assert!(half_fitted().seat(rdimm(16, 2), &["A1"]).check().silent(ID));
    }

    #[test]
    fn takes_every_socket_as_fitted_when_no_processors_were_told() {
        let case = Case::on(board(Generation::Ddr3, 2, 4, 3));
        assert!(case.seat(rdimm(16, 2), &["A1", "E1"]).check().silent(ID));
    }
}
