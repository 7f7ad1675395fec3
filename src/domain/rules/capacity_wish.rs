//! Usable memory outside what the caller wished.

use super::super::board::policy::Protection;
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value, WishChange};
use super::super::request::{Wish, Wishes};
use super::super::setup::Setup;
use super::super::tally::Total;
use super::super::units::Mib;
use super::{BoardView, Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "capacity-wish",
    group: Group::Wish,
    severity: Severity::Warning,
    title: "Another capacity than wished",
    doc: "The caller may tell how much usable memory the server must have at least and at most. Usable is what is left \
          on channels that work, under the protection that was asked for.",
    source: "the caller's wish",
    reads: &[Fact::Capacity, Fact::ProcessorModel],
    message: "The modules give { $ceiling ->\n    [1] at most { $usable }\n   *[other] { $usable }\n} of usable memory, which misses the \
              wish of { $wished } by { $ceiling ->\n    [1] at least { $by }\n   *[other] { $by }\n}.",
    asks: "whether there is as much usable memory as wished",
    checks: &[Check::Kit(check_kit), Check::Board(check_board)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}], "wishes": {"capacity_at_least_mib": 262144}}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 16}], "wishes": {"capacity_at_least_mib": 262144}}"#,
};

/// Where all memory is usable wherever it sits, the slots don't matter.
fn check_kit(setup: &Setup<'_>, hits: &mut Hits) {
    if !is_wished(&setup.request.wishes) {
        return;
    }
    if setup.all_is_usable() {
        let unknown = || setup.unknown(Fact::Capacity, |m| m.main_memory().is_some());
        judge(
            &setup.request.wishes,
            setup.total_main_memory(),
            unknown,
            hits,
        );
    } else if hits.only_counts() {
        foresee(setup, hits);
    }
}

fn is_wished(wishes: &Wishes) -> bool {
    wishes.capacity_at_least.is_some() || wishes.capacity_at_most.is_some()
}

/// No more is usable than all modules hold.
fn foresee(setup: &Setup<'_>, hits: &mut Hits) {
    let Some(wish) = setup.request.wishes.capacity_at_least else {
        return;
    };
    if at_most(setup).is_some_and(|most| most < wish.value) {
        hits.broken_as(wish.severity(), |draft| draft);
    }
}

/// What the modules hold, and half of it where everything is held twice.
fn at_most(setup: &Setup<'_>) -> Option<Mib> {
    let copies = match setup.request.protection {
        Protection::Mirrored => 2,
        Protection::None | Protection::RankSpare | Protection::Lockstep => 1,
    };
    let total = setup.total_main_memory();
    let known = setup.request.protection == Protection::None || setup.offer().is_some();
    (known && total.exact).then_some(Mib(total.at_least / copies))
}

fn check_board(view: &BoardView<'_>, hits: &mut Hits) {
    if !is_wished(&view.request().wishes) || view.setup.all_is_usable() {
        return;
    }
    let wishes = &view.request().wishes;
    match view.usable() {
        Some(usable) => {
            let least = wishes.capacity_at_least.filter(|_| !usable.exact);
            let most = at_most(view.setup).filter(|most| least.is_some_and(|l| *most < l.value));
            let (Some(least), Some(most)) = (least, most) else {
                return judge(wishes, usable, || view.usable_needs(), hits);
            };
            hits.broken_as(least.severity(), |draft| {
                let draft = draft.about(Subject::CapacityAtLeast);
                words(most, least.value, true, draft)
            });
            let other = Wishes {
                capacity_at_least: None,
                ..*wishes
            };
            judge(&other, usable, || view.usable_needs(), hits);
        }
        None if view.board().lowers("protection-not-offered") => {
            let nothing = Total {
                at_least: 0,
                exact: false,
            };
            judge(
                wishes,
                nothing,
                || vec![Missing::general(Fact::BoardLimit)],
                hits,
            );
        }
        // A protection that the board does not offer has a rule of its own.
        None => {}
    }
}

fn judge(wishes: &Wishes, usable: Total, unknown: impl Fn() -> Vec<Missing>, hits: &mut Hits) {
    if let Some(wish) = wishes.capacity_at_least {
        match usable.reaches(wish.value.0) {
            Some(true) => hits.met(),
            None => hits.undecided_as(wish.severity(), &unknown()),
            Some(false) => tell(
                hits,
                wish,
                usable,
                Subject::CapacityAtLeast,
                WishChange::CapacityAtLeast,
            ),
        }
    }
    if let Some(wish) = wishes.capacity_at_most {
        match usable.within(wish.value.0) {
            Some(true) => hits.met(),
            None => hits.undecided_as(wish.severity(), &unknown()),
            Some(false) => tell(
                hits,
                wish,
                usable,
                Subject::CapacityAtMost,
                WishChange::CapacityAtMost,
            ),
        }
    }
}

fn tell(
    hits: &mut Hits,
    wish: Wish<Mib>,
    usable: Total,
    subject: Subject,
    change: fn(Mib) -> WishChange,
) {
    let held = Mib(usable.at_least);
    hits.broken_as(wish.severity(), |draft| {
        let draft = words(held, wish.value, false, draft.about(subject));
        // To wish for at least nothing is no wish.
        if usable.exact && held.0 > 0 {
            draft.fix(Fix::AdjustWish(change(held)))
        } else {
            draft
        }
    });
}

/// Words for what is usable, or for a ceiling of it where the rest is not known.
fn words(usable: Mib, wished: Mib, is_ceiling: bool, draft: Draft) -> Draft {
    draft
        .param("usable", Value::Capacity(usable))
        .param("wished", Value::Capacity(wished))
        .param("by", Value::Capacity(Mib(usable.0.abs_diff(wished.0))))
        .param("ceiling", Value::Count(u64::from(is_ceiling)))
}

#[cfg(test)]
mod tests {

    use crate::domain::board::policy::Protection;
    use crate::domain::finding::{Fix, Severity, State, Value, Verdict, WishChange};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::{SocketState, Wish};
    use crate::domain::testing::{Case, board, offer_of, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "capacity-wish";

    fn wished(least: Option<u64>, most: Option<u64>, must: bool) -> Case {
        let wish = |gib| Wish {
            value: Mib::gib(gib),
            must,
        };
        let mut facts = board(Generation::Ddr3, 2, 4, 3);
        facts.protections = vec![offer_of(Protection::Mirrored, &[&[1, 2], &[3, 4]])];
        Case::on(facts).with(|request| {
            request.wishes.capacity_at_least = least.map(wish);
            request.wishes.capacity_at_most = most.map(wish);
        })
    }

    fn unknown() -> ModuleFacts {
        ModuleFacts {
            capacity: None,
            ..rdimm(16, 2)
        }
    }

    #[test]
    fn tells_too_little_and_too_much() {
        let little = wished(Some(64), Some(128), false)
            .kit(rdimm(16, 2), 3)
            .check();
        assert_eq!(little.severities(ID), [Severity::Warning]);
        let holds = Fix::AdjustWish(WishChange::CapacityAtLeast(Mib::gib(48)));
        assert_eq!(little.finding(ID).unwrap().fixes[0].fix, holds);
        let much = wished(Some(64), Some(128), true)
            .kit(rdimm(16, 2), 9)
            .check();
        assert_eq!(much.severities(ID), [Severity::Blocker]);
        let holds = Fix::AdjustWish(WishChange::CapacityAtMost(Mib::gib(144)));
        assert_eq!(much.finding(ID).unwrap().fixes[0].fix, holds);
        assert!(
            wished(Some(64), Some(128), true)
                .kit(rdimm(16, 2), 8)
                .check()
                .silent(ID)
        );
    }

    #[test]
    fn does_not_offer_to_wish_for_nothing() {
        let none = wished(Some(8), None, false).check();
        assert!(none.finding(ID).unwrap().fixes.is_empty());
    }

    #[test]
    fn counts_what_is_left_under_the_protection() {
        let mirrored = |gib| {
            let case = wished(Some(gib), None, true).seat(rdimm(16, 2), &["A1", "B1", "E1", "F1"]);
            case.with(|request| request.protection = Protection::Mirrored)
                .check()
        };
        assert!(mirrored(32).silent(ID) && mirrored(33).breaks(ID));
    }

    #[test]
    fn what_a_spare_rank_holds_may_be_untold_where_all_would_not_do() {
        let spare = |least| {
            let untold = ModuleFacts {
                package_ranks: None,
                ..rdimm(16, 2)
            };
            let mut case = wished(Some(least), Some(64), true).kit(untold, 2);
            case.board.protections = vec![offer_of(Protection::RankSpare, &[])];
            let case = case.with(|request| request.protection = Protection::RankSpare);
            let board = crate::domain::board::Board::checked(case.board.clone()).unwrap();
            crate::domain::validate::validate(&board, &case.request).unwrap()
        };
        let short = spare(33);
        let told = short.findings.iter().find(|found| found.rule.id == ID);
        let told = told.unwrap();
        assert_eq!(told.state, State::Broken);
        assert_eq!(told.params[0], ("usable", Value::Capacity(Mib::gib(32))));
        assert_eq!(short.verdict, Verdict::DoesNotFit);
        assert_eq!(spare(32).verdict, Verdict::Undecided);
    }

    #[test]
    fn memory_at_an_empty_socket_does_not_count() {
        let half = wished(Some(32), None, true).with(|request| {
            request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
        });
        assert!(half.seat(rdimm(16, 2), &["A1", "E1"]).check().breaks(ID));
    }

    #[test]
    fn an_unknown_capacity_is_undecided_unless_the_known_ones_decide() {
        let with = |least, most| {
            let case = wished(least, most, true).kit(rdimm(16, 2), 4);
            case.kit(unknown(), 1).check()
        };
        assert!(with(Some(65), None).leaves_open(ID) && with(None, Some(64)).leaves_open(ID));
        assert!(with(Some(64), None).silent(ID) && with(None, Some(63)).breaks(ID));
    }

    #[test]
    fn says_nothing_when_nothing_was_wished() {
        assert!(
            wished(None, None, false)
                .kit(rdimm(16, 2), 1)
                .check()
                .silent(ID)
        );
    }
}
