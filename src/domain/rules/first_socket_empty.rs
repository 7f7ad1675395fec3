//! A later socket has a processor while an earlier one has none.

use super::super::finding::{Fix, Severity, Subject, Value};
use super::super::setup::Setup;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "first-socket-empty",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "An earlier socket has no processor",
    doc: "The first socket starts the server and carries what it starts from; later sockets hang on it. A board that \
          runs with some of its sockets empty wants the processors, and with them the memory, in the order of its record.",
    source: "common practice; the order of the sockets is the board record's",
    reads: &[],
    message: "{ $sockets }: there is no processor, although this board needs one there before a later socket is used. \
              It fills its sockets in the order { $order }.",
    asks: "whether the sockets fill in the board's order",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "processors": ["empty", "fitted"], "population": [{"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
};

/// Which sockets are fitted is told by the request alone. Memory at an empty socket has a rule of
/// its own.
fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let order = setup.board.socket_order.as_slice();
    let Some(hole) = order.iter().position(|socket| !setup.is_fitted(*socket)) else {
        return if order.len() > 1 {
            hits.met()
        };
    };
    let later = order
        .iter()
        .skip(hole)
        .any(|socket| setup.is_fitted(*socket));
    // Without any processor at all the first socket lacks one as well.
    if !later && hole > 0 {
        return hits.met();
    }
    let Some(socket) = order.get(hole).copied() else {
        return;
    };
    hits.broken(|draft| {
        let order = order.iter().map(|socket| u64::from(*socket)).collect();
        draft
            .socket(socket)
            .about(Subject::Processors)
            .param("order", Value::Counts(order))
            .fix(Fix::FitProcessor { socket })
    });
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::Fix;
    use crate::domain::module::Generation;
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, Checked, board, rdimm};

    const ID: &str = "first-socket-empty";

    fn with(order: &[u8], fitted: [bool; 4]) -> Checked {
        let mut facts = board(Generation::Ddr3, 4, 2, 1);
        facts.socket_order = order.to_vec();
        let state = |fitted| {
            if fitted {
                SocketState::Fitted(None)
            } else {
                SocketState::Empty
            }
        };
        let case = Case::on(facts).with(|r| r.sockets = Some(fitted.map(state).to_vec()));
        case.seat(rdimm(16, 2), &["A1"]).check()
    }

    #[test]
    fn refuses_a_later_socket_before_an_earlier_one() {
        let checked = with(&[1, 2, 3, 4], [false, true, false, false]);
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.sockets, [1]);
        assert_eq!(finding.fixes[0].fix, Fix::FitProcessor { socket: 1 });
        assert!(with(&[1, 2, 3, 4], [true, true, false, true]).breaks(ID));
        assert!(with(&[1, 2, 3, 4], [true, true, false, false]).silent(ID));
    }

    #[test]
    fn follows_the_order_of_the_board() {
        assert!(with(&[1, 3, 2, 4], [true, false, true, false]).silent(ID));
        assert!(with(&[1, 3, 2, 4], [true, true, false, false]).breaks(ID));
    }

    #[test]
    fn refuses_a_board_without_any_processor() {
        assert!(with(&[1, 2, 3, 4], [false; 4]).breaks(ID));
    }
}
