//! Seen ranks over the channel's budget.

use super::super::board::{Limit, SlotIx};
use super::super::channel::seen_ranks;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{ChannelView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rank-budget-exceeded",
    group: Group::Load,
    severity: Severity::Blocker,
    title: "More ranks than a channel sees",
    doc: "A channel has a fixed number of chip selects, and every rank that the memory controller sees takes one. \
          Once they are used up, further ranks can't be reached: the server does not start, or leaves modules out. \
          The buffer of an LRDIMM may show several ranks as one, so it counts for less.",
    source: "published guide P1, tables 36 and 84: eight chip selects a channel; the budget itself is the board record's",
    reads: &[
        Fact::Kind,
        Fact::PackageRanks,
        Fact::StackHeight,
        Fact::DieDensity,
    ],
    message: "{ $channels }: the modules show { $seen } ranks ({ $sum }), but a channel of this board sees at most { $budget }.",
    asks: "whether the ranks of a channel stay within its budget",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "A2", "module": "ERW-3R32-4x4"}, {"slot": "A3", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "A2", "module": "ERW-3R32-4x4"}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    let budget = match view.board().rank_budget {
        Limit::Is(budget) => u16::from(budget),
        Limit::None => return,
        Limit::Unknown => return hits.undecided(&[Missing::general(Fact::BoardLimit)]),
    };
    let seen = seen_ranks(view);
    if seen.at_least > budget {
        hits.broken(|draft| {
            let each = view.modules().map(|on| {
                on.fit
                    .seen(view.board().wired(view.channel))
                    .at_least
                    .to_string()
            });
            let draft = draft
                .param("seen", Value::Count(u64::from(seen.at_least)))
                .param("sum", Value::Text(each.collect::<Vec<_>>().join(" + ")))
                .param("budget", Value::Count(u64::from(budget)))
                .slots(view.occupied_slots());
            surplus(view, seen.at_least - budget)
                .into_iter()
                .fold(draft, |draft, slot| draft.fix(Fix::Remove { slot }))
        });
    } else if !seen.exact {
        let wired = view.board().wired(view.channel);
        // The kind of a module that no row takes tells nothing of how its ranks count.
        let refuses_kinds = !view.board().lowers("kind-not-taken");
        let unknown = view.modules().filter(|on| {
            let foreign = refuses_kinds && on.fit.is_of_foreign_kind();
            !foreign && !on.fit.seen(wired).exact
        });
        let missing: Vec<Missing> = unknown
            .map(|on| Missing::of(on.part, on.fit.rank_fact(on.module)))
            .collect();
        if !missing.is_empty() {
            hits.undecided(&missing);
        }
    } else {
        hits.met();
    }
}

/// The slots to empty until so many ranks are gone, from the near end on.
fn surplus(view: &ChannelView<'_>, ranks: u16) -> Vec<SlotIx> {
    let wired = view.board().wired(view.channel);
    let modules: Vec<_> = view.modules().collect();
    let mut left = ranks;
    let mut slots = Vec::new();
    for on in modules.into_iter().rev() {
        if left == 0 {
            break;
        }
        left = left.saturating_sub(on.fit.seen(wired).at_least);
        slots.push(on.slot);
    }
    slots
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::Verdict;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module, rdimm};

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 1, 4, 3))
    }

    #[test]
    fn refuses_a_third_quad_rank_module_on_a_channel() {
        // Common practice: 8 seen ranks a channel, so 4 + 4 is full.
        let three = tarn().seat(rdimm(32, 4), &["A1", "A2", "A3"]).check();
        assert!(three.breaks("rank-budget-exceeded"));
        assert!(
            !tarn()
                .seat(rdimm(32, 4), &["A1", "A2"])
                .check()
                .breaks("rank-budget-exceeded")
        );
    }

    #[test]
    fn counts_the_ranks_behind_a_buffer_by_its_factor() {
        // Common practice: three 8-rank LRDIMM at factor 4 show 6 of 8 ranks.
        let lrdimm = module(Generation::Ddr3, Kind::Lrdimm, 64, 8);
        let checked = tarn().seat(lrdimm, &["A1", "A2", "A3"]).check();
        assert!(
            !checked.breaks("rank-budget-exceeded"),
            "{:?}",
            checked.findings
        );
    }

    #[test]
    fn an_unknown_rank_count_is_undecided_until_even_one_rank_is_too_many() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(32, 4)
        };
        let open = tarn()
            .seat(rdimm(32, 4), &["A1"])
            .seat(unknown.clone(), &["A2"])
            .check();
        assert_eq!(
            (open.verdict, open.undecided()),
            (Verdict::Undecided, vec!["rank-budget-exceeded"])
        );
        let over = tarn()
            .seat(rdimm(32, 4), &["A1", "A2"])
            .seat(unknown, &["A3"])
            .check();
        assert!(over.breaks("rank-budget-exceeded"));
    }

    #[test]
    fn a_fact_that_several_modules_lack_is_asked_for_once() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(32, 4)
        };
        let open = tarn().seat(unknown, &["A1", "A2"]).check();
        let finding = open.finding("rank-budget-exceeded").unwrap();
        assert_eq!(finding.fixes.len(), 1);
    }
}
