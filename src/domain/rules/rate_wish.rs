//! A slower rate than the caller wished.

use super::super::channel::{Listed, listed_rate};
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value, WishChange};
use super::super::request::VoltagePolicy;
use super::super::units::Mts;
use super::{BoardView, ChannelView, Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rate-wish",
    group: Group::Wish,
    severity: Severity::Warning,
    title: "Slower than wished",
    doc: "The caller may tell the data rate that the memory must reach. What counts is the rate of the slowest channel \
          that holds memory.",
    source: "the caller's wish",
    reads: &[
        Fact::Rate,
        Fact::RateRow,
        Fact::ProcessorModel,
        Fact::Supply,
    ],
    message: "The memory runs at { $rate } at most, but { $wished } was wished for.",
    asks: "whether the memory runs as fast as wished",
    checks: &[Check::Channel(foresee), Check::Board(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 24}], "wishes": {"rate_at_least_mts": 1600}}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}], "wishes": {"rate_at_least_mts": 1600}}"#,
};

/// The board runs no faster than a channel can alone, whatever the voltage.
fn foresee(view: &ChannelView<'_>, hits: &mut Hits) {
    let wish = view.setup.request.wishes.rate_at_least;
    let Some(wish) = wish.filter(|wish| wish.must && hits.only_counts()) else {
        return;
    };
    if at_best(view).is_some_and(|rate| rate < wish.value) {
        hits.broken_as(wish.severity(), |draft| draft);
    }
}

/// A rate that the channel does not exceed, whatever is missing and whatever the voltage; none where its
/// memory may not be reached, which slows nothing.
fn at_best(view: &ChannelView<'_>) -> Option<Mts> {
    if view.stack.count() == 0 || view.setup.works_at(view.channel) != Some(true) {
        return None;
    }
    let modules = view.modules().filter_map(|on| on.fit.rating()).min();
    let ceiling = view.setup.rate_ceiling(view.socket).unwrap_or(None);
    let bounds = [modules, ceiling, listed_at_best(view)];
    bounds.into_iter().flatten().min()
}

/// The fastest that is listed at some voltage; `None` where a fact is missing or nothing is listed, which
/// is another rule's to say.
fn listed_at_best(view: &ChannelView<'_>) -> Option<Mts> {
    let mut fastest = None;
    for supply in view.setup.supplies() {
        match listed_rate(view, *supply) {
            Listed::Rate(rate) => fastest = fastest.max(Some(rate)),
            Listed::Unsupported => {}
            Listed::Open(_) => return None,
        }
    }
    fastest
}

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let Some(wish) = view.request().wishes.rate_at_least else {
        return;
    };
    // Where there is no memory, none runs as fast.
    if view.outcome.modules == 0 {
        return hits.broken_as(wish.severity(), |draft| tell(Mts(0), wish.value, draft));
    }
    match view.outcome.rate {
        Some(rate) if rate >= wish.value => hits.met(),
        Some(rate) => hits.broken_as(wish.severity(), |draft| {
            let lower = Fix::AdjustWish(WishChange::RateAtLeast(rate));
            faster(view, wish.value, tell(rate, wish.value, draft)).fix(lower)
        }),
        None => match slowest_at_best(view).filter(|rate| *rate < wish.value) {
            Some(rate) => hits.broken_as(wish.severity(), |draft| tell(rate, wish.value, draft)),
            None => hits.undecided_as(wish.severity(), &needs(view)),
        },
    }
}

fn tell(rate: Mts, wished: Mts, draft: Draft) -> Draft {
    draft
        .about(Subject::RateAtLeast)
        .param("rate", Value::Rate(rate))
        .param("wished", Value::Rate(wished))
}

/// Another voltage may do.
fn faster(view: &BoardView<'_>, wished: Mts, draft: Draft) -> Draft {
    let lowest = view.request().voltage_policy == VoltagePolicy::Lowest;
    let mut options = view.outcome.supply_options.iter();
    if lowest && options.any(|option| !option.unsupported && option.rate >= Some(wished)) {
        draft.fix(Fix::SetVoltagePolicy(VoltagePolicy::Fastest))
    } else {
        draft
    }
}

/// Whatever is missing, memory runs no faster than its slowest channel can.
fn slowest_at_best(view: &BoardView<'_>) -> Option<Mts> {
    view.channels()
        .filter_map(|channel| at_best(&channel))
        .min()
}

/// Facts that keep the rate from being known. A population without a listed rate has a rule of its
/// own; then the missing fact is its row.
fn needs(view: &BoardView<'_>) -> Vec<Missing> {
    let concerns = |fact: Fact| !matches!(fact, Fact::Capacity | Fact::PeakPower | Fact::Timing);
    let missing = view.outcome.missing.iter().copied();
    let mut needs: Vec<Missing> = missing.filter(|missing| concerns(missing.fact)).collect();
    if needs.is_empty() {
        needs.push(Missing::general(Fact::RateRow));
    }
    needs
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Board;
    use crate::domain::finding::{Fix, Severity, Verdict, WishChange};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::{VoltagePolicy, Wish};
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::{Millivolts, Mts};
    use crate::domain::validate::{conflict_ids, validate};

    const ID: &str = "rate-wish";

    fn wished(mts: u32, must: bool) -> Case {
        let value = Mts(mts);
        Case::on(board(Generation::Ddr3, 1, 4, 3))
            .with(|request| request.wishes.rate_at_least = Some(Wish { value, must }))
    }

    #[test]
    fn tells_when_the_memory_runs_slower() {
        let two = wished(1600, false)
            .seat(rdimm(16, 2), &["A1", "A2", "B1"])
            .check();
        assert_eq!(two.severities(ID), [Severity::Warning]);
        let holds = Fix::AdjustWish(WishChange::RateAtLeast(Mts(1333)));
        assert_eq!(two.finding(ID).unwrap().fixes[0].fix, holds);
        assert!(
            wished(1600, true)
                .seat(rdimm(16, 2), &["A1", "B1"])
                .check()
                .silent(ID)
        );
    }

    #[test]
    fn a_rate_that_no_channel_reaches_ends_the_search_early() {
        let case = wished(1600, true).kit(rdimm(16, 2), 5);
        let board = Board::checked(case.board.clone()).unwrap();
        let answer = validate(&board, &case.request).unwrap();
        assert_eq!(answer.verdict, Verdict::DoesNotFit);
        assert_eq!(conflict_ids(&answer), [ID]);
        let told = answer.findings.iter().filter(|f| f.rule.id == ID);
        assert_eq!((told.count(), answer.largest), (1, vec![Some(4)]));
    }

    #[test]
    fn offers_the_voltage_that_would_do() {
        let mut case = wished(1600, true).seat(rdimm(16, 2), &["A1"]);
        case.board.rates[0].supply = Some(vec![Millivolts(1500)]);
        let mut low = case.board.rates[0].clone();
        (low.supply, low.rate) = (Some(vec![Millivolts(1350)]), Mts(1333));
        case.board.rates.push(low);
        let checked = case
            .with(|r| r.voltage_policy = VoltagePolicy::Lowest)
            .check();
        let faster = Fix::SetVoltagePolicy(VoltagePolicy::Fastest);
        assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, faster);
    }

    #[test]
    fn an_unknown_rating_is_undecided_unless_another_module_is_too_slow() {
        let unknown = ModuleFacts {
            rate: None,
            ..rdimm(16, 2)
        };
        let slow = ModuleFacts {
            rate: Some(Mts(1066)),
            ..rdimm(16, 2)
        };
        let with = |other| {
            wished(1333, true)
                .seat(unknown.clone(), &["A1"])
                .seat(other, &["B1"])
        };
        assert!(with(rdimm(16, 2)).check().leaves_open(ID));
        assert!(with(slow).check().breaks(ID));
        // Two on a channel run 1333 whatever their rating.
        let crowded = wished(1600, true).seat(unknown, &["A1", "A2"]);
        assert!(crowded.check().breaks(ID));
    }

    #[test]
    fn memory_that_is_not_reached_slows_nothing() {
        let slow = ModuleFacts {
            rate: Some(Mts(1066)),
            ..rdimm(16, 2)
        };
        let mut case = wished(1600, true)
            .installed(slow, &["B1"])
            .kit(rdimm(16, 2), 1);
        case.board.processors[0].channels = Some(vec![1]);
        let board = Board::checked(case.board.clone()).unwrap();
        let answer = validate(&board, &case.request).unwrap();
        assert!(!conflict_ids(&answer).contains(&ID));
        assert!(answer.findings.iter().all(|found| found.rule.id != ID));
    }

    #[test]
    fn a_population_without_a_listed_rate_does_not_meet_it() {
        let mut case = wished(1066, true).seat(rdimm(16, 2), &["A1"]);
        case.board.rates.clear();
        assert!(case.check().leaves_open(ID));
    }
}
