//! Sockets that hold different amounts of memory.

use super::super::finding::{Fact, Missing, Severity, Value};
use super::super::outcome::channel_capacity;
use super::super::request::PartIx;
use super::super::units::Mib;
use super::{BoardView, Check, Group, Hits, Rule, SocketView, channels_unequal};

/// The rule.
pub static RULE: Rule = Rule {
    id: "sockets-unequal",
    group: Group::Balance,
    severity: Severity::Advice,
    title: "Sockets hold different amounts",
    doc: "Each processor reads its own memory fastest and the others' more slowly. With equal memory at each, programs find \
          room near the processor that they run on, and memory that is spread over all sockets is read evenly. A \
          socket without any memory is told by its own rule.",
    source: "published guide P3, memory module installation rules: balance the processors (advice)",
    reads: &[Fact::Capacity],
    message: "{ $sockets }: one processor's memory is { $most }, another's { $least }. Programs beside the smaller memory will more \
              often reach over to the other and wait longer.",
    asks: "whether the sockets hold the same amount",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let filled = || {
        view.sockets()
            .filter(|s| channels_unequal::running(s).next().is_some())
    };
    let Some(first) = filled().next() else { return };
    if filled().nth(1).is_none() {
        return;
    }
    let amounts: Option<Vec<(u8, Mib)>> = filled()
        .map(|socket| Some((socket.socket, capacity(&socket)?)))
        .collect();
    let Some(amounts) = amounts else {
        return if filled().all(|socket| parts(&socket) == parts(&first)) {
            hits.met();
        } else {
            let missing: Vec<Missing> = filled()
                .flat_map(|s| channels_unequal::missing(&s))
                .collect();
            hits.undecided(&missing);
        };
    };
    let each = || amounts.iter().map(|(_, capacity)| *capacity);
    let (Some(most), Some(least)) = (each().max(), each().min()) else {
        return;
    };
    if most == least {
        return hits.met();
    }
    hits.broken(|draft| {
        let draft = draft
            .param("most", Value::Capacity(most))
            .param("least", Value::Capacity(least));
        amounts
            .iter()
            .fold(draft, |draft, (socket, _)| draft.socket(*socket))
    });
}

fn capacity(socket: &SocketView<'_>) -> Option<Mib> {
    let each = channels_unequal::running(socket).map(|channel| channel_capacity(&channel));
    let sum = each.map(|own| own.map(|mib| mib.0)).sum::<Option<u64>>();
    sum.map(Mib)
}

fn parts(socket: &SocketView<'_>) -> Vec<PartIx> {
    let running = channels_unequal::running(socket);
    let mut parts: Vec<PartIx> = running
        .flat_map(|c| c.modules())
        .map(|on| on.part)
        .collect();
    parts.sort_unstable();
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "sockets-unequal";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn a_smaller_side_is_advised_against() {
        let checked = tarn().seat(rdimm(16, 2), &["A1", "B1", "E1"]).check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(
            (finding.severity, &finding.sockets[..]),
            (Severity::Advice, &[1, 2][..])
        );
        assert_eq!(finding.params[0].1, Value::Capacity(Mib::gib(32)));
        assert_eq!(finding.params[1].1, Value::Capacity(Mib::gib(16)));
    }

    #[test]
    fn equal_amounts_and_a_socket_without_memory_say_nothing() {
        let equal = tarn()
            .seat(rdimm(16, 2), &["A1", "B1"])
            .seat(rdimm(32, 2), &["E1"]);
        assert!(equal.check().finding(ID).is_none());
        let alone = tarn().seat(rdimm(16, 2), &["A1"]);
        assert!(alone.check().finding(ID).is_none());
    }

    #[test]
    fn an_unknown_capacity_is_undecided_unless_the_modules_are_the_same() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(16, 2)
        };
        let beside = tarn()
            .seat(unknown.clone(), &["A1"])
            .seat(rdimm(16, 2), &["E1"]);
        assert!(beside.check().undecided().contains(&ID));
        let twins = tarn().seat(unknown, &["A1", "E1"]);
        assert!(twins.check().finding(ID).is_none());
    }
}
