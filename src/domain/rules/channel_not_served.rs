//! Modules on a channel that the processor does not serve.

use super::super::board::Processor;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{ChannelView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "channel-not-served",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "Memory on a channel that the processor lacks",
    doc: "A board may take processor models with fewer memory channels than it has slots for. Slots of a channel that \
          the fitted model does not serve are dead, whatever sits in them.",
    source: "common practice; the channels of a processor model are the board record's",
    reads: &[Fact::ProcessorModel],
    message: "{ $channels }: with { $processors } only the channels { $served } work, so the modules here are not reached. \
              Move them to a channel that works, or fit another processor model.",
    asks: "whether the processor serves every channel that holds memory",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "loch", "processors": ["loch-8"], "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}]}"#,
    meets: r#"{"board": "loch", "processors": ["loch-8"], "kit": [{"module": "ERW-4R32-2x4", "quantity": 4}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    // Memory at an empty socket has a rule of its own.
    if !view.setup.is_fitted(view.socket) {
        return;
    }
    let (_, channel) = view.board().address(view.channel);
    match view.setup.channel_works(view.socket, channel) {
        Some(true) => hits.met(),
        None => hits.undecided(&[Missing::general(Fact::ProcessorModel)]),
        Some(false) => hits.broken(|draft| {
            let draft = draft
                .param("processors", Value::Words(names(view)))
                .param("served", Value::Counts(served(view)))
                .slots(view.occupied_slots());
            let removals = view.occupied_slots().map(|slot| Fix::Remove { slot });
            removals.fold(draft, |draft, fix| draft.fix(fix))
        }),
    }
}

/// The model of the socket, or all that it may be.
fn models<'a>(view: &ChannelView<'a>) -> impl Iterator<Item = &'a Processor> + use<'a> {
    let told = view.setup.processor(view.socket);
    let all = view.board().processors.iter();
    told.into_iter()
        .chain(all.take_while(move |_| told.is_none()))
}

fn names(view: &ChannelView<'_>) -> Vec<String> {
    models(view).map(|model| model.name.clone()).collect()
}

fn served(view: &ChannelView<'_>) -> Vec<u64> {
    let mut served: Vec<u64> = models(view)
        .flat_map(|model| model.channels.iter().flatten())
        .map(|channel| u64::from(*channel))
        .collect();
    served.sort_unstable();
    served.dedup();
    served
}

#[cfg(test)]
mod tests {
    use crate::domain::board::{BoardFacts, Limit, Processor};
    use crate::domain::finding::Value;
    use crate::domain::module::Generation;
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, module, rdimm};
    use crate::domain::{module::Kind, units::Mts};

    const ID: &str = "channel-not-served";

    fn models(channels: &[Option<&[u8]>]) -> BoardFacts {
        let processors = channels.iter().enumerate().map(|(index, list)| Processor {
            id: format!("p{index}"),
            name: format!("P{index}"),
            rate: Limit::Is(Mts(3200)),
            capacity: Limit::None,
            channels: list.map(<[u8]>::to_vec),
        });
        BoardFacts {
            processors: processors.collect(),
            ..board(Generation::Ddr4, 1, 6, 2)
        }
    }

    fn on(board: BoardFacts, slots: &[&str]) -> Case {
        Case::on(board).seat(module(Generation::Ddr4, Kind::Rdimm, 32, 2), slots)
    }

    #[test]
    fn refuses_a_channel_that_the_model_lacks() {
        let checked = on(models(&[Some(&[1, 2, 4, 5])]), &["A1", "C1", "F1"]).check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!((finding.channels.len(), finding.slots.len()), (2, 2));
        assert_eq!(
            finding.params[1],
            ("served", Value::Counts(vec![1, 2, 4, 5]))
        );
        assert!(
            on(models(&[Some(&[1, 2])]), &["A1", "B1"])
                .check()
                .silent(ID)
        );
    }

    #[test]
    fn depends_on_a_model_that_was_not_told() {
        let two = || models(&[Some(&[1, 2]), Some(&[1, 3])]);
        assert!(on(two(), &["A1", "B1"]).check_with(None).leaves_open(ID));
        assert!(on(two(), &["A1"]).check_with(None).silent(ID));
        // No model serves channel 4, so it does not matter which is fitted.
        assert!(on(two(), &["A1", "D1"]).check_with(None).breaks(ID));
    }

    #[test]
    fn leaves_memory_at_an_empty_socket_to_another_rule() {
        let case = Case::on(board(Generation::Ddr3, 2, 4, 3)).with(|request| {
            request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
        });
        assert!(case.seat(rdimm(16, 2), &["A1", "E1"]).check().silent(ID));
    }
}
