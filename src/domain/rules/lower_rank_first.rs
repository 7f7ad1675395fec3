//! A module of fewer ranks in a position that fills before that of one with more.

use super::super::channel::follows_layouts;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{ChannelView, Check, Group, Hits, OnChannel, Rule};

/// The most ranks that a module record may tell.
const MOST: u8 = 8;

/// The rule.
pub static RULE: Rule = Rule {
    id: "lower-rank-first",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "Fewer ranks sit before more",
    doc: "Makers of some boards want the module with most ranks in the position of a channel that fills first, where \
          its load is driven best. Where the maker lists exact position patterns for a kind, those decide instead.",
    source: "common practice; whether it holds is the board record's",
    reads: &[Fact::Kind, Fact::PackageRanks],
    message: "{ $slots }: a module with fewer ranks ({ $low }) sits in a position that fills before that of one with more ({ $high }). \
              This board wants the module with the most ranks first; exchange them.",
    asks: "whether the modules of a channel are ordered by ranks",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "mere", "processors": ["fitted", "empty"], "population": [
        {"slot": "A1", "module": "ERW-4R16-1x4"}, {"slot": "A2", "module": "ERW-4R32-2x4"}]}"#,
    meets: r#"{"board": "mere", "processors": ["fitted", "empty"], "population": [
        {"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "A2", "module": "ERW-4R16-1x4"}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    if !view.setup.filling.rank_order || view.stack.count() < 2 || follows_layouts(view) {
        return;
    }
    // Modules of one product are in order whatever their ranks.
    let mut parts = view.stack.parts();
    let first = parts.next();
    let one = first.is_some_and(|part| view.setup.is_one_product(part));
    if one && parts.all(|part| Some(part) == first) {
        return hits.met();
    }
    let broken = pairs(view).find(|(first, later)| range(first).1 < range(later).0);
    if let Some((first, later)) = broken {
        return hits.broken(|draft| {
            draft
                .param("low", Value::Count(u64::from(range(&first).1)))
                .param("high", Value::Count(u64::from(range(&later).0)))
                .slots([first.slot, later.slot])
                .fix(Fix::Swap {
                    one: first.slot,
                    other: later.slot,
                })
        });
    }
    let open = |(first, later): &(OnChannel<'_>, OnChannel<'_>)| {
        let one = first.part == later.part && view.setup.is_one_product(first.part);
        !one && range(first).0 < range(later).1
    };
    if !pairs(view).any(|pair| open(&pair)) {
        return hits.met();
    }
    let unknown = view
        .modules()
        .filter(|on| on.module.package_ranks.is_none());
    let missing: Vec<Missing> = unknown
        .map(|on| Missing::of(on.part, Fact::PackageRanks))
        .collect();
    hits.undecided(&missing);
}

/// Fewest and most ranks that the module may have.
fn range(on: &OnChannel<'_>) -> (u8, u8) {
    match on.module.package_ranks {
        Some(ranks) => (ranks, ranks),
        None => (1, MOST),
    }
}

/// Every two modules of the channel, the one that fills first before the other.
fn pairs<'a>(view: &ChannelView<'a>) -> impl Iterator<Item = (OnChannel<'a>, OnChannel<'a>)> {
    let view = *view;
    let ordered = move || {
        let order = view.setup.filling.position_order.iter();
        order.filter_map(move |position| view.modules().find(|on| on.position == *position))
    };
    ordered()
        .enumerate()
        .flat_map(move |(index, first)| ordered().skip(index + 1).map(move |later| (first, later)))
}

#[cfg(test)]
mod tests {
    use crate::domain::board::{BoardFacts, SlotIx};
    use crate::domain::finding::Fix;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, rdimm};

    const ID: &str = "lower-rank-first";

    fn ordered() -> BoardFacts {
        let mut facts = board(Generation::Ddr3, 1, 4, 3);
        facts.filling[0].rank_order = true;
        facts
    }

    fn channel(facts: &BoardFacts, modules: &[ModuleFacts]) -> Checked {
        let labels = ["A1", "A2", "A3"];
        let case = Case::on(facts.clone());
        let seated = modules.iter().zip(labels);
        seated
            .fold(case, |case, (module, label)| {
                case.seat(module.clone(), &[label])
            })
            .check()
    }

    fn unknown() -> ModuleFacts {
        ModuleFacts {
            package_ranks: None,
            ..rdimm(16, 2)
        }
    }

    #[test]
    fn refuses_fewer_ranks_before_more_and_offers_the_exchange() {
        let checked = channel(&ordered(), &[rdimm(32, 4), rdimm(8, 1), rdimm(16, 2)]);
        assert!(checked.breaks(ID));
        let swap = Fix::Swap {
            one: SlotIx(1),
            other: SlotIx(2),
        };
        assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, swap);
        assert!(channel(&ordered(), &[rdimm(32, 4), rdimm(16, 2), rdimm(8, 1)]).silent(ID));
    }

    #[test]
    fn does_not_apply_where_the_board_has_no_such_order() {
        let free = board(Generation::Ddr3, 1, 4, 3);
        assert!(channel(&free, &[rdimm(8, 1), rdimm(16, 2)]).silent(ID));
    }

    #[test]
    fn an_unknown_rank_count_is_undecided_only_where_it_matters() {
        assert!(channel(&ordered(), &[unknown(), rdimm(16, 2)]).leaves_open(ID));
        assert!(channel(&ordered(), &[unknown(), rdimm(8, 1)]).silent(ID));
        assert!(channel(&ordered(), &[unknown(), unknown()]).silent(ID));
        // Whatever the first has, two ranks still sit before four.
        assert!(channel(&ordered(), &[unknown(), rdimm(16, 2), rdimm(32, 4)]).breaks(ID));
    }
}
