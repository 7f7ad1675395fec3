//! Fewer free slots than the caller wished.

use super::super::finding::{Fix, Severity, Subject, Value, WishChange};
use super::super::request::Wish;
use super::super::setup::Setup;
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "free-slots-wish",
    group: Group::Wish,
    severity: Severity::Warning,
    title: "Fewer free slots than wished",
    doc: "The caller may ask that some slots stay free for later. Only slots that a fitted processor serves count.",
    source: "the caller's wish",
    reads: &[],
    message: "The wish for free slots ({ $wished }) is missed: the modules leave { $free }. Fewer, larger modules leave more.",
    asks: "whether as many slots stay free as wished",
    checks: &[Check::Kit(check_kit), Check::Board(check_board)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 24}], "wishes": {"free_slots": 8}}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 16}], "wishes": {"free_slots": 8}}"#,
};

/// Where every module takes a slot that works, which one does not matter.
fn check_kit(setup: &Setup<'_>, hits: &mut Hits) {
    let Some(wish) = setup.request.wishes.free_slots else {
        return;
    };
    if setup.reaches_all() {
        let free = setup.working_slots().saturating_sub(setup.staying_count());
        judge(wish, u16::try_from(free).unwrap_or(u16::MAX), hits);
    }
}

fn check_board(view: &BoardView<'_>, hits: &mut Hits) {
    let Some(wish) = view.request().wishes.free_slots else {
        return;
    };
    if !view.setup.reaches_all() {
        judge(wish, view.outcome.free_slots, hits);
    }
}

fn judge(wish: Wish<u16>, free: u16, hits: &mut Hits) {
    if free >= wish.value {
        return hits.met();
    }
    hits.broken_as(wish.severity(), |draft| {
        draft
            .about(Subject::FreeSlots)
            .param("free", Value::Count(u64::from(free)))
            .param("wished", Value::Count(u64::from(wish.value)))
            .fix(Fix::AdjustWish(WishChange::FreeSlots(free)))
    });
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Fix, Severity, WishChange};
    use crate::domain::module::Generation;
    use crate::domain::request::{SocketState, Wish};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "free-slots-wish";

    fn wished(value: u16, must: bool) -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
            .with(|request| request.wishes.free_slots = Some(Wish { value, must }))
    }

    #[test]
    fn counts_the_slots_that_the_modules_leave() {
        assert!(wished(8, true).kit(rdimm(8, 1), 16).check().silent(ID));
        let over = wished(8, true).kit(rdimm(8, 1), 17).check();
        assert_eq!(over.severities(ID), [Severity::Blocker]);
        let holds = Fix::AdjustWish(WishChange::FreeSlots(7));
        assert_eq!(over.finding(ID).unwrap().fixes[0].fix, holds);
    }

    #[test]
    fn slots_of_an_empty_socket_are_not_free() {
        let half = |seats: &[&str]| {
            let case = wished(11, false).with(|request| {
                request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
            });
            case.seat(rdimm(8, 1), seats).check()
        };
        assert!(half(&["A1"]).silent(ID) && half(&["A1", "B1"]).breaks(ID));
        // The module at the empty socket takes none of the slots that count.
        assert!(half(&["A1", "E1"]).silent(ID));
    }
}
