//! More modules of a sort on a channel than the board takes.

use super::super::board::Limit;
use super::super::board::accept::AcceptRow;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{ChannelView, Check, Draft, Group, Hits, OnChannel, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "too-many-of-kind",
    group: Group::Load,
    severity: Severity::Blocker,
    title: "Too many modules of a kind on a channel",
    doc: "Each module loads the lines of its channel, an unbuffered or many-ranked one more than others. Makers say how \
          many of a kind a channel carries, which may be fewer than it has slots.",
    source: "published guide P1, table 34 (at most two UDIMMs on a channel); the limit is the board record's",
    reads: &[Fact::Kind, Fact::PackageRanks, Fact::StackHeight],
    message: "{ $place }: the number of { $sort } modules on a channel is { $count }, but this board takes { $most } at most.",
    asks: "whether a channel holds too many modules of a kind",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "A2", "module": "ERW-3R32-4x4"}, {"slot": "A3", "module": "ERW-3R32-4x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "A2", "module": "ERW-3R32-4x4"}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    for row in &view.board().accepts {
        if row.per_channel != Limit::None {
            check_row(row, view, hits);
        }
    }
}

/// Whether the row holds for a module: surely, or only if an untold fact turns out so.
fn holds(row: &AcceptRow, on: &OnChannel<'_>) -> Option<bool> {
    match on.fit.limits() {
        [only] if std::ptr::eq(*only, row) => Some(true),
        several if several.iter().any(|own| std::ptr::eq(*own, row)) => None,
        _ => Some(false),
    }
}

fn check_row(row: &AcceptRow, view: &ChannelView<'_>, hits: &mut Hits) {
    let of_row = |wanted| move |on: &OnChannel<'_>| holds(row, on) == wanted;
    let sure = view.modules().filter(of_row(Some(true))).count();
    let open = view.modules().filter(of_row(None));
    let most = sure + open.clone().count();
    match row.per_channel {
        Limit::Is(limit) if sure > usize::from(limit) => {
            hits.broken(|draft| report(row, view, sure, limit, draft));
        }
        Limit::Is(limit) if most > usize::from(limit) => {
            let missing: Vec<Missing> = open.flat_map(|on| on.fit.open_facts(on.part)).collect();
            if !missing.is_empty() {
                hits.undecided(&missing);
            }
        }
        // One module is always taken.
        Limit::Unknown if most > 1 => hits.undecided(&[Missing::general(Fact::BoardLimit)]),
        _ if sure > 0 => hits.met(),
        _ => {}
    }
}

fn report(row: &AcceptRow, view: &ChannelView<'_>, count: usize, limit: u8, draft: Draft) -> Draft {
    let own: Vec<OnChannel<'_>> = view
        .modules()
        .filter(|on| holds(row, on) == Some(true))
        .collect();
    let draft = draft
        .param("sort", Value::Text(sort(row)))
        .param("count", Value::Count(count as u64))
        .param("most", Value::Count(u64::from(limit)))
        .slots(own.iter().map(|on| on.slot));
    let surplus = own.iter().rev().take(count - usize::from(limit));
    surplus.fold(draft, |draft, on| {
        draft.part(on.part).fix(Fix::Remove { slot: on.slot })
    })
}

/// The row's modules as the trade names them: `4R RDIMM`.
fn sort(row: &AcceptRow) -> String {
    let ranks = row.ranks.as_ref().map(|ranks| {
        let each: Vec<String> = ranks.iter().map(|count| format!("{count}R")).collect();
        format!("{} ", each.join("/"))
    });
    let stacked = row.stacks.as_ref().is_some_and(|all| !all.contains(&1));
    format!(
        "{}{}{}",
        ranks.unwrap_or_default(),
        if stacked { "3DS " } else { "" },
        row.kind.name()
    )
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, module, rdimm};

    const ID: &str = "too-many-of-kind";

    /// At most two ECC UDIMM on a channel of three positions (published guide P1, table 34 and
    /// note), at most one RDIMM of eight ranks.
    fn case(udimms: Limit<u8>) -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 3);
        board.accepts = vec![
            AcceptRow {
                per_channel: udimms,
                ..accepts(Kind::EccUdimm)
            },
            AcceptRow {
                ranks: Some(vec![4]),
                per_channel: Limit::Is(1),
                ..accepts(Kind::Rdimm)
            },
            accepts(Kind::Rdimm),
        ];
        Case::on(board)
    }

    fn udimm() -> ModuleFacts {
        module(Generation::Ddr3, Kind::EccUdimm, 8, 2)
    }

    #[test]
    fn refuses_a_third_udimm_on_a_channel() {
        let case = || case(Limit::Is(2));
        let checked = case().seat(udimm(), &["A1", "A2", "A3"]).check();
        assert!(checked.breaks(ID));
        let finding = checked.finding(ID).expect("a finding");
        assert_eq!(finding.params[0], ("sort", Value::Text("ECC UDIMM".into())));
        let spread = case().seat(udimm(), &["A1", "A2", "B1"]).check();
        assert!(spread.silent(ID));
    }

    #[test]
    fn counts_only_the_modules_of_the_row() {
        let checked = case(Limit::None)
            .seat(rdimm(32, 4), &["A1"])
            .seat(rdimm(16, 2), &["A2"])
            .check();
        assert!(checked.silent(ID));
        let two = case(Limit::None).seat(rdimm(32, 4), &["A1", "A2"]).check();
        assert!(two.breaks(ID));
    }

    #[test]
    fn an_untold_rank_count_is_undecided_where_it_may_be_one_too_many() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(32, 4)
        };
        let case = || case(Limit::None).seat(unknown.clone(), &["A1"]);
        assert!(case().check().silent(ID));
        let two = case().seat(rdimm(32, 4), &["A2"]).check();
        assert!(two.leaves_open(ID), "{:?}", two.findings);
        let other = case().seat(rdimm(16, 2), &["A2"]).check();
        assert!(other.silent(ID));
    }

    #[test]
    fn an_unknown_limit_is_undecided_from_two_modules_on() {
        let case = || case(Limit::Unknown);
        assert!(case().seat(udimm(), &["A1"]).check().silent(ID));
        assert!(case().seat(udimm(), &["A1", "A2"]).check().leaves_open(ID));
    }
}
