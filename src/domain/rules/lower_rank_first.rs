//! A module of fewer ranks in a position that fills before that of one with more.

use super::super::channel::follows_layouts;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::request::PartIx;
use super::{ChannelView, Check, Group, Hits, Rule};

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
    let seated = in_order(view);
    let broken = pairs(&seated).find(|(first, later)| first.most < later.least);
    if let Some((first, later)) = broken {
        let slot = |own: &Seated| view.modules().find(|on| on.position == own.position);
        let (Some(one), Some(other)) = (slot(first), slot(later)) else {
            return;
        };
        return hits.broken(|draft| {
            draft
                .param("low", Value::Count(u64::from(first.most)))
                .param("high", Value::Count(u64::from(later.least)))
                .slots([one.slot, other.slot])
                .fix(Fix::Swap {
                    one: one.slot,
                    other: other.slot,
                })
        });
    }
    let open = |(first, later): (&Seated, &Seated)| {
        let one = first.part == later.part && view.setup.is_one_product(first.part);
        !one && first.least < later.most
    };
    if !pairs(&seated).any(open) {
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

/// A module on the channel.
#[derive(Clone, Copy)]
struct Seated {
    position: u8,
    part: PartIx,
    /// The fewest and most ranks that it may have.
    least: u8,
    most: u8,
}

/// The modules of the channel in the order in which its positions fill.
fn in_order(view: &ChannelView<'_>) -> [Option<Seated>; 4] {
    let order = view.setup.filling.position_order.iter();
    let mut seated = order.filter_map(|position| {
        let part = view.stack.at(*position)?;
        let ranks = view.setup.request.part(part)?.package_ranks;
        Some(Seated {
            position: *position,
            part,
            least: ranks.unwrap_or(1),
            most: ranks.unwrap_or(MOST),
        })
    });
    std::array::from_fn(|_| seated.next())
}

/// Every two modules, the one that fills first before the other.
fn pairs(seated: &[Option<Seated>; 4]) -> impl Iterator<Item = (&Seated, &Seated)> {
    let each = seated.iter().flatten().enumerate();
    each.flat_map(|(index, first)| {
        let later = seated.iter().flatten().skip(index + 1);
        later.map(move |later| (first, later))
    })
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
