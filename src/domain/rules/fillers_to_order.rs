//! Empty slots that need fillers.

use super::super::finding::{Fix, Severity, Value};
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fillers-to-order",
    group: Group::Order,
    severity: Severity::Note,
    title: "Fillers for empty slots",
    doc: "Some boards need a filler in every empty slot of a fitted socket, so that the air passes over the modules and not \
          beside them. Keep the fillers that come out of slots which are filled now; order what is short.",
    source: "common practice; whether a board needs fillers is its record's",
    reads: &[],
    message: "This board needs a filler in every empty slot of a fitted socket: { $count } in all.",
    asks: "whether empty slots need fillers",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 24}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let count = view.outcome.fillers;
    if !view.board().fillers {
        return;
    }
    if count == 0 {
        return hits.met();
    }
    hits.broken(|draft| {
        let fitted = view.sockets().filter(|socket| socket.is_fitted());
        let slots = fitted
            .flat_map(|socket| socket.channels())
            .flat_map(|channel| view.board().slots_of(channel.channel))
            .filter(|slot| view.population.at(*slot).is_none());
        draft
            .param("count", Value::Count(u64::from(count)))
            .slots(slots)
            .fix(Fix::OrderFillers {
                count: u64::from(count),
            })
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::Generation;
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "fillers-to-order";

    fn airy(slots: &[&str]) -> Case {
        let mut case = Case::on(board(Generation::Ddr3, 2, 1, 2)).seat(rdimm(16, 2), slots);
        case.board.fillers = true;
        case
    }

    #[test]
    fn every_empty_slot_of_a_fitted_socket_needs_one() {
        let checked = airy(&["A1"]).check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.fixes[0].fix, Fix::OrderFillers { count: 3 });
        assert_eq!(finding.slots.len(), 3);
        let sockets = vec![SocketState::Fitted(None), SocketState::Empty];
        let one = airy(&["A1"]).with(|request| request.sockets = Some(sockets));
        assert_eq!(one.check().finding(ID).unwrap().slots.len(), 1);
    }

    #[test]
    fn a_full_board_and_one_that_needs_none_say_nothing() {
        assert!(
            airy(&["A1", "A2", "B1", "B2"])
                .check()
                .finding(ID)
                .is_none()
        );
        let mut case = airy(&["A1"]);
        case.board.fillers = false;
        assert!(case.check().finding(ID).is_none());
    }
}
