//! A socket with a processor and no memory.

use super::super::finding::{Fix, Severity};
use super::super::outcome::holds_memory;
use super::{Check, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "socket-without-memory",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "A processor without memory",
    doc: "Most boards need at least one module at every processor: without it the server does not start, or runs \
          without that processor. Boards that run it over its neighbour's memory lower this to a warning, since every \
          access then crosses the link between the sockets.",
    source: "common practice",
    reads: &[],
    message: "{ $sockets }: there is a processor but no memory. A processor needs at least one module in its own slots; \
              spread the modules over all processors, or add some.",
    asks: "whether every processor has memory of its own",
    checks: &[Check::SocketLoad(check)],
    breaks: r#"{"board": "tarn", "processors": ["fitted", "fitted"], "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "fitted"], "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    if !view.is_fitted() {
        return;
    }
    if view.modules().any(|on| holds_memory(on.module)) {
        return hits.met();
    }
    hits.broken(|draft| match enough(view) {
        Some(fix) => draft.fix(fix),
        None => draft,
    });
}

/// If there are fewer modules than processors, no placement helps: so many must be bought.
fn enough(view: &SocketView<'_>) -> Option<Fix> {
    let line = view.setup.sole_line()?;
    let processors = view.setup.fitted_sockets().count() as u64;
    let short = processors.checked_sub(view.setup.staying_count())?;
    (short > 0).then_some(Fix::SetQuantity {
        line: 0,
        quantity: line.quantity + u32::try_from(short).ok()?,
    })
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Fix, Severity, Verdict};
    use crate::domain::module::Generation;
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "socket-without-memory";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn refuses_a_processor_without_memory() {
        let checked = tarn().seat(rdimm(16, 2), &["A1", "B1"]).check();
        assert_eq!(
            (checked.verdict, checked.severities(ID)),
            (Verdict::DoesNotFit, vec![Severity::Blocker])
        );
        assert_eq!(checked.finding(ID).unwrap().sockets, [2]);
        assert!(tarn().seat(rdimm(16, 2), &["A1", "E1"]).check().silent(ID));
    }

    #[test]
    fn an_empty_socket_needs_no_memory() {
        let half = tarn().with(|request| {
            request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
        });
        assert!(half.seat(rdimm(16, 2), &["A1"]).check().silent(ID));
    }

    #[test]
    fn a_board_may_lower_it_to_a_warning() {
        let mut facts = board(Generation::Ddr3, 2, 4, 3);
        facts.severities = vec![(ID.into(), Severity::Warning)];
        let checked = Case::on(facts).seat(rdimm(16, 2), &["A1"]).check();
        assert_eq!(checked.severities(ID), [Severity::Warning]);
    }

    #[test]
    fn tells_how_many_modules_are_needed_for_all_processors() {
        let checked = tarn().kit(rdimm(16, 2), 1).check();
        let more = Fix::SetQuantity {
            line: 0,
            quantity: 2,
        };
        assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, more);
    }
}
