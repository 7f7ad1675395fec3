//! A module that is slower than the lowest rate that the board runs.

use super::super::board::{Board, Limit};
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::timing::faster;
use super::super::units::Mts;
use super::fitting::is_foreign;
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rate-below-board",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "Slower than the lowest rate that the board runs",
    doc: "A memory controller runs its channels within a range of clocks. All modules of a channel share one clock, so a \
          module that is made for less than the lowest of them is not run slower: firmware refuses it. What is faster \
          than the board runs does no harm, it runs at the board's rate.",
    source: "published firmware source F2, mss_freq: below its lowest clock the firmware ends with a fault",
    reads: &[Fact::Rate],
    message: "{ $module } is made for { $found } at most, but the lowest rate that this board runs is { $least }. A slower module is not supported.",
    asks: "whether the module is fast enough for the lowest rate that the board runs",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "loch", "kit": [{"module": {"generation": "DDR4", "kind": "RDIMM", "rate_mts": 1866}, "quantity": 1}]}"#,
    meets: r#"{"board": "loch", "kit": [{"module": "ERW-4R32-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    if is_foreign(view) {
        return;
    }
    let rating = view.fit.rating();
    let least = match view.board().lowest_rate {
        Limit::Is(least) => least,
        Limit::None => return,
        Limit::Unknown => return without_limit(view, rating, hits),
    };
    match rating {
        None => hits.undecided(&[Missing::of(view.part, Fact::Rate)]),
        Some(found) if faster(least, found) => hits.broken(|draft| {
            draft
                .param("module", Value::Part(view.part))
                .param("found", Value::Rate(found))
                .param("least", Value::Rate(least))
                .part(view.part)
                .fix(Fix::ChooseOther {
                    part: view.part,
                    needs: vec![(Fact::Rate, Value::Rate(least))],
                })
        }),
        Some(_) => hits.met(),
    }
}

/// The board runs what its record lists, so the lowest of these is surely not too slow.
fn without_limit(view: &PartView<'_>, rating: Option<Mts>, hits: &mut Hits) {
    let limit = Missing::general(Fact::BoardLimit);
    match (rating, lowest_listed(view.board())) {
        (Some(found), Some(listed)) if !faster(listed, found) => hits.met(),
        (Some(_), _) => hits.undecided(&[limit]),
        (None, _) => hits.undecided(&[Missing::of(view.part, Fact::Rate), limit]),
    }
}

fn lowest_listed(board: &Board) -> Option<Mts> {
    let rows = board.rates.iter().map(|row| row.rate);
    let patterns = board.layouts.iter().flat_map(|row| &row.rates);
    rows.chain(patterns.map(|(_, rate)| *rate)).min()
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;
    use crate::domain::finding::{Fact, Fix, Value};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::request::PartIx;
    use crate::domain::testing::{Case, Checked, board, module, rdimm};
    use crate::domain::units::Mts;

    const ID: &str = "rate-below-board";

    fn check(lowest: Limit<Mts>, rate: Option<u32>) -> Checked {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.lowest_rate = lowest;
        let module = ModuleFacts {
            rate: rate.map(Mts),
            ..rdimm(16, 2)
        };
        Case::on(board).seat(module, &["A1"]).check()
    }

    /// Published firmware source F2, mss_freq: DDR3-1066 runs, slower ones end with a fault.
    #[test]
    fn refuses_a_module_that_is_slower_than_the_board_s_lowest_rate() {
        let lowest = Limit::Is(Mts(1066));
        let checked = check(lowest, Some(800));
        assert!(checked.breaks(ID));
        let finding = checked.finding(ID).expect("a finding");
        let needs = vec![(Fact::Rate, Value::Rate(Mts(1066)))];
        let part = PartIx(0);
        assert_eq!(finding.fixes[0].fix, Fix::ChooseOther { part, needs });
        assert!(check(lowest, Some(1333)).silent(ID));
    }

    #[test]
    fn two_roundings_of_the_lowest_rate_are_one() {
        assert!(check(Limit::Is(Mts(1067)), Some(1066)).silent(ID));
        assert!(check(Limit::Is(Mts(1066)), Some(1067)).silent(ID));
    }

    #[test]
    fn an_untold_rating_is_undecided_unless_there_is_no_limit() {
        let checked = check(Limit::Is(Mts(1066)), None);
        assert!(checked.leaves_open(ID));
        assert!(check(Limit::None, None).silent(ID));
        assert!(check(Limit::None, Some(400)).silent(ID));
    }

    #[test]
    fn an_unknown_limit_is_undecided_below_the_lowest_rate_that_the_board_lists() {
        let lowest = |rate| {
            let mut board = board(Generation::Ddr3, 1, 2, 2);
            board.rates.retain(|row| row.rate >= Mts(1066));
            board.lowest_rate = Limit::Unknown;
            let listed = board.rates.iter().map(|row| row.rate).min();
            assert!(listed > Some(Mts(800)), "{listed:?}");
            let module = ModuleFacts {
                rate,
                ..rdimm(16, 2)
            };
            Case::on(board).seat(module, &["A1"]).check()
        };
        assert!(lowest(Some(Mts(1600))).silent(ID));
        assert!(lowest(Some(Mts(800))).leaves_open(ID));
        assert!(lowest(None).leaves_open(ID));
    }

    #[test]
    fn another_generation_is_another_rules_matter() {
        let module = ModuleFacts {
            rate: None,
            ..module(Generation::Ddr4, Kind::Rdimm, 16, 2)
        };
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.lowest_rate = Limit::Is(Mts(1066));
        let checked = Case::on(board).seat(module, &["A1"]).check();
        assert!(checked.breaks("generation-differs") && !checked.leaves_open(ID));
    }
}
