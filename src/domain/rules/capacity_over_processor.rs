//! More memory at a socket than its processor addresses.

use super::super::board::{Limit, Processor};
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::tally::smaller_module;
use super::super::units::Mib;
use super::{Check, Draft, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "capacity-over-processor",
    group: Group::Limit,
    severity: Severity::Blocker,
    title: "More memory than the processor addresses",
    doc: "Processor models of one board may address different amounts of memory. What lies above that is not used, or \
          keeps the server from starting.",
    source: "common practice; the ceiling of a processor model is the board record's",
    reads: &[Fact::Capacity, Fact::ProcessorModel],
    message: "{ $sockets }: the modules hold { $held }, but at most { $ceiling } can be addressed with { $processors }. \
              Choose fewer or smaller modules, or another processor model.",
    asks: "whether each processor addresses all memory of its socket",
    checks: &[Check::SocketLoad(check)],
    breaks: r#"{"board": "fjord", "processors": ["fjord-16", "empty", "empty", "empty"], "kit": [{"module": "ERW-4R128-2S4x4", "quantity": 12}]}"#,
    meets: r#"{"board": "fjord", "processors": ["fjord-16", "empty", "empty", "empty"], "kit": [{"module": "ERW-4R32-2x4", "quantity": 12}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    if !view.is_fitted() || view.count() == 0 {
        return;
    }
    match view.setup.processor(view.socket) {
        Some(model) => match within(view, model) {
            _ if model.capacity == Limit::None => {}
            Some(true) => hits.met(),
            Some(false) => hits.broken(|draft| tell(view, std::slice::from_ref(model), draft)),
            None if model.capacity == Limit::Unknown => {
                hits.undecided(&[Missing::general(Fact::BoardLimit)]);
            }
            None => hits.undecided(&view.unknown_capacities()),
        },
        None => check_all(view, hits),
    }
}

/// The model was not told: it must hold for all that the board takes.
fn check_all(view: &SocketView<'_>, hits: &mut Hits) {
    let models = view.board().processors.as_slice();
    if models.iter().all(|model| model.capacity == Limit::None) {
    } else if models.iter().all(|model| within(view, model) == Some(true)) {
        hits.met();
    } else if models
        .iter()
        .all(|model| within(view, model) == Some(false))
    {
        hits.broken(|draft| tell(view, models, draft));
    } else {
        let mut missing = view.unknown_capacities();
        missing.push(Missing::general(Fact::ProcessorModel));
        hits.undecided(&missing);
    }
}

/// Whether a model addresses what the socket holds; `None` if a fact is missing.
fn within(view: &SocketView<'_>, model: &Processor) -> Option<bool> {
    match model.capacity {
        Limit::Is(most) => view.held().within(most.0),
        Limit::None => Some(true),
        Limit::Unknown => None,
    }
}

fn tell(view: &SocketView<'_>, models: &[Processor], draft: Draft) -> Draft {
    let ceilings = models.iter().filter_map(|model| model.capacity.value());
    let ceiling = ceilings.max().unwrap_or_default();
    let names = models.iter().map(|model| model.name.clone());
    let draft = draft
        .param("held", Value::Capacity(Mib(view.held().at_least)))
        .param("processors", Value::Words(names.collect()))
        .param("ceiling", Value::Capacity(ceiling))
        .slots(view.modules().map(|on| on.slot));
    let smaller = smaller_module(view.modules().map(|on| (on.part, 1)), ceiling);
    let model = match models {
        [own] => larger(view, own),
        _ => None,
    };
    let processor = model.map(|model| Fix::ChooseProcessor { model });
    smaller.into_iter().chain(processor).fold(draft, Draft::fix)
}

/// The smallest model that addresses what the socket holds, of those that serve the same channels and
/// run no slower.
fn larger(view: &SocketView<'_>, own: &Processor) -> Option<usize> {
    let others = view.board().processors.iter().enumerate();
    let suits = |model: &Processor| {
        let runs = match (model.rate, own.rate) {
            (Limit::Is(rate), Limit::Is(slow)) => rate >= slow,
            (Limit::None, _) => true,
            (rate, own) => rate == own,
        };
        runs && model.channels == own.channels && within(view, model) == Some(true)
    };
    // A model without a limit comes after those whose limit suffices.
    let size = |model: &Processor| (model.capacity == Limit::None, model.capacity.value());
    others
        .filter(|(_, model)| suits(model))
        .min_by_key(|(_, model)| size(model))
        .map(|(index, _)| index)
}

#[cfg(test)]
mod tests {
    use crate::domain::board::{BoardFacts, Limit};
    use crate::domain::finding::{Fact, Fix, Missing, State, Value};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::PartIx;
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "capacity-over-processor";

    /// A socket whose processor models address so much.
    fn models(ceilings: &[Limit<Mib>]) -> BoardFacts {
        let mut facts = board(Generation::Ddr3, 1, 4, 3);
        let one = facts.processors[0].clone();
        let processors = ceilings.iter().enumerate().map(|(index, capacity)| {
            let mut model = one.clone();
            (model.id, model.capacity) = (format!("p{index}"), *capacity);
            model
        });
        facts.processors = processors.collect();
        facts
    }

    fn with(ceilings: &[Limit<Mib>], slots: &[&str]) -> Case {
        Case::on(models(ceilings)).seat(rdimm(32, 4), slots)
    }

    #[test]
    fn refuses_more_than_the_processor_addresses() {
        let most = [Limit::Is(Mib::gib(64)), Limit::None];
        assert!(with(&most, &["A1", "B1"]).check().silent(ID));
        let over = with(&most, &["A1", "B1", "C1"]).check();
        let fixes = &over.finding(ID).unwrap().fixes;
        let smaller = Fix::ChooseOther {
            part: PartIx(0),
            needs: vec![(Fact::Capacity, Value::Capacity(Mib::gib(16)))],
        };
        assert_eq!(fixes[0].fix, smaller);
        assert_eq!(fixes[1].fix, Fix::ChooseProcessor { model: 1 });
    }

    #[test]
    fn offers_the_smallest_model_that_suffices_and_none_where_none_does() {
        let fixes = |ceilings: &[Limit<Mib>]| {
            let over = with(ceilings, &["A1", "B1", "C1"]).check();
            over.finding(ID).unwrap().fixes.clone()
        };
        let gib = |gib| Limit::Is(Mib::gib(gib));
        let several = fixes(&[gib(64), Limit::None, gib(256), gib(128), Limit::Unknown]);
        assert_eq!(several[1].fix, Fix::ChooseProcessor { model: 3 });
        assert_eq!(fixes(&[gib(64), gib(32), Limit::Unknown]).len(), 1);
    }

    #[test]
    fn depends_on_a_model_that_was_not_told_only_where_models_differ() {
        let mixed = [Limit::Is(Mib::gib(64)), Limit::Is(Mib::gib(128))];
        let held = |slots| with(&mixed, slots).check_with(None);
        assert!(held(&["A1", "B1"]).silent(ID));
        assert!(held(&["A1", "B1", "C1"]).leaves_open(ID));
        assert!(held(&["A1", "B1", "C1", "D1", "A2"]).breaks(ID));
    }

    #[test]
    fn an_unknown_capacity_is_undecided_until_the_known_ones_are_too_much() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(32, 4)
        };
        let most = [Limit::Is(Mib::gib(64))];
        let open = with(&most, &["A1", "B1"])
            .seat(unknown.clone(), &["C1"])
            .check();
        let missing = vec![Missing::of(PartIx(1), Fact::Capacity)];
        assert_eq!(open.finding(ID).unwrap().state, State::Undecided(missing));
        let over = with(&most, &["A1", "B1", "D1"])
            .seat(unknown, &["C1"])
            .check();
        assert!(over.breaks(ID));
    }

    #[test]
    fn an_unknown_ceiling_is_undecided() {
        assert!(with(&[Limit::Unknown], &["A1"]).check().leaves_open(ID));
    }
}
