//! More modules than slots that work.

use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::setup::Setup;
use super::{Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "more-modules-than-slots",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "More modules than slots",
    doc: "Only slots on channels that a fitted processor serves can be used. Installed modules that stay take some of them.",
    source: "common practice",
    reads: &[Fact::ProcessorModel],
    message: "The modules to seat ({ $modules }) outnumber the slots that a fitted processor serves ({ $slots_that_work }) by { $over }. \
              Choose fewer, larger modules.",
    asks: "whether there is a slot for every module",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "loch", "processors": ["loch-24"], "kit": [{"module": "ERW-4R32-2x4", "quantity": 9}]}"#,
    meets: r#"{"board": "loch", "processors": ["loch-24"], "kit": [{"module": "ERW-4R32-2x4", "quantity": 8}]}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let modules = setup.staying_count();
    if modules == 0 {
        return;
    }
    let perhaps = setup.working_slots();
    if modules > perhaps {
        hits.broken(|draft| {
            let draft = draft
                .param("modules", Value::Count(modules))
                .param("slots_that_work", Value::Count(perhaps))
                .param("over", Value::Count(modules - perhaps));
            offer(setup, modules - perhaps, draft)
        });
    } else if modules > setup.slots_where(|works| works == Some(true)) {
        hits.undecided(&[Missing::general(Fact::ProcessorModel)]);
    } else {
        hits.met();
    }
}

/// Fewer of the largest kit line, and a processor for an empty socket.
fn offer(setup: &Setup<'_>, over: u64, draft: Draft) -> Draft {
    let lines = (0u32..).zip(&setup.request.kit);
    let largest = lines.max_by_key(|(_, line)| line.quantity);
    let fewer = largest.and_then(|(index, line)| {
        let left = u64::from(line.quantity)
            .checked_sub(over)
            .filter(|left| *left > 0)?;
        Some(Fix::SetQuantity {
            line: index,
            quantity: u32::try_from(left).ok()?,
        })
    });
    let empty = setup
        .board
        .socket_order
        .iter()
        .find(|socket| !setup.is_fitted(**socket));
    let processor = empty.map(|socket| Fix::FitProcessor { socket: *socket });
    fewer.into_iter().chain(processor).fold(draft, Draft::fix)
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::Fix;
    use crate::domain::module::Generation;
    use crate::domain::request::{InstalledPolicy, SocketState};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "more-modules-than-slots";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn refuses_one_module_more_than_there_are_slots() {
        let checked = tarn().kit(rdimm(8, 1), 25).check();
        let fewer = Fix::SetQuantity {
            line: 0,
            quantity: 24,
        };
        assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, fewer);
        assert!(tarn().kit(rdimm(8, 1), 24).check().silent(ID));
    }

    #[test]
    fn counts_only_slots_of_sockets_with_a_processor() {
        let half = |quantity| {
            let case = tarn().with(|request| {
                request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
            });
            case.kit(rdimm(8, 1), quantity).check()
        };
        assert!(half(12).silent(ID) && half(13).breaks(ID));
    }

    #[test]
    fn counts_installed_modules_that_stay() {
        let with = |policy| {
            let case = tarn().installed(rdimm(8, 1), &["A1", "B1"]);
            let case = case.kit(rdimm(8, 1), 23);
            case.with(|request| request.installed_policy = policy)
        };
        assert!(with(InstalledPolicy::InPlace).check().breaks(ID));
        assert!(with(InstalledPolicy::Keep).check().breaks(ID));
        assert!(with(InstalledPolicy::Replace).check().silent(ID));
        let removed = with(InstalledPolicy::MayRemove).with(|request| request.removed = vec![0]);
        assert!(removed.check().silent(ID));
    }

    #[test]
    fn depends_on_the_model_where_one_serves_fewer_channels() {
        let mut facts = board(Generation::Ddr3, 1, 4, 3);
        let mut small = facts.processors[0].clone();
        small.id = "small".into();
        small.channels = Some(vec![1, 2]);
        facts.processors.push(small);
        let with = |quantity, model| {
            let case = Case::on(facts.clone()).kit(rdimm(8, 1), quantity);
            case.check_with(model)
        };
        assert!(with(6, None).silent(ID) && with(7, None).leaves_open(ID));
        assert!(with(7, Some(0)).silent(ID) && with(7, Some(1)).breaks(ID));
        assert!(with(13, None).breaks(ID));
    }
}
