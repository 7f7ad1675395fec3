//! A kit that costs more than the caller's budget.

use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value, WishChange};
use super::super::request::PartIx;
use super::super::setup::Setup;
use super::super::units::{Currency, Money};
use super::ordered::ordered;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget-wish",
    group: Group::Wish,
    severity: Severity::Warning,
    title: "Over the budget",
    doc: "The caller may tell a budget for the modules to buy. Prices are those of single modules times their quantity; \
          prices in another currency are not converted, so they leave the question open.",
    source: "the caller's wish",
    reads: &[Fact::Price],
    message: "The modules of the kit cost { $total }, which is { $over } over the budget of { $budget }.",
    asks: "whether the kit stays within the budget",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}], "wishes": {"budget": {"minor": 1000, "currency": "EUR"}}}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}], "wishes": {"budget": {"minor": 10000000, "currency": "EUR"}}}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let Some(wish) = setup.request.wishes.budget else {
        return;
    };
    let ordered = ordered(setup.request);
    if ordered.is_empty() {
        return;
    }
    let currency = wish.value.currency;
    let prices = || ordered.iter().map(|own| price(setup, own.part, currency));
    let sums = ordered.iter().zip(prices()).filter_map(|(own, price)| {
        let quantity = i64::try_from(own.quantity).unwrap_or(i64::MAX);
        Some(price?.saturating_mul(quantity))
    });
    let total = sums.fold(0i64, i64::saturating_add);
    let complete = prices().all(|price| price.is_some());
    let money = |minor| Money { minor, currency };
    if total > wish.value.minor {
        hits.broken_as(wish.severity(), |draft| {
            let draft = draft
                .about(Subject::Budget)
                .param("total", Value::Money(money(total)))
                .param(
                    "over",
                    Value::Money(money(total.saturating_sub(wish.value.minor))),
                )
                .param("budget", Value::Money(wish.value));
            if complete {
                draft.fix(Fix::AdjustWish(WishChange::Budget(money(total))))
            } else {
                draft
            }
        });
    } else if complete {
        hits.met();
    } else {
        let unpriced = ordered.iter().zip(prices());
        let unpriced = unpriced.filter(|(_, price)| price.is_none());
        let missing: Vec<Missing> = unpriced
            .map(|(own, _)| Missing::of(own.part, Fact::Price))
            .collect();
        hits.undecided_as(wish.severity(), &missing);
    }
}

/// The price of one module in minor units of a currency.
fn price(setup: &Setup<'_>, part: PartIx, currency: Currency) -> Option<i64> {
    let price = setup.request.part(part)?.price?;
    (price.currency == currency).then_some(price.minor)
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Fact, Fix, Missing, Severity, State, WishChange};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::{PartIx, Wish};
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::{Currency, Money};

    const ID: &str = "budget-wish";

    fn money(minor: i64, currency: &str) -> Money {
        let currency = Currency::new(currency).unwrap();
        Money { minor, currency }
    }

    fn budget(minor: i64, must: bool) -> Case {
        Case::on(board(Generation::Ddr3, 1, 4, 3)).with(|request| {
            let value = money(minor, "EUR");
            request.wishes.budget = Some(Wish { value, must });
        })
    }

    fn priced(gib: u64, price: Option<Money>) -> ModuleFacts {
        ModuleFacts {
            price,
            ..rdimm(gib, 2)
        }
    }

    #[test]
    fn counts_modules_that_were_given_with_their_slots() {
        let priced = || priced(8, Some(money(800, "EUR")));
        let two = |minor| budget(minor, true).seat(priced(), &["A1", "B1"]).check();
        assert_eq!(two(1599).severities(ID), [Severity::Blocker]);
        assert!(two(1600).silent(ID));
        // What is installed is not bought.
        let installed = budget(100, true).installed(priced(), &["A1", "B1"]);
        assert!(installed.check().silent(ID));
    }

    #[test]
    fn adds_the_prices_of_all_lines() {
        let kit = |minor, must| {
            let case = budget(minor, must).kit(priced(8, Some(money(1999, "EUR"))), 2);
            case.kit(priced(16, Some(money(3500, "EUR"))), 4).check()
        };
        assert!(kit(17_998, true).silent(ID));
        let over = kit(17_997, true);
        assert_eq!(over.severities(ID), [Severity::Blocker]);
        let holds = Fix::AdjustWish(WishChange::Budget(money(17_998, "EUR")));
        assert_eq!(over.finding(ID).unwrap().fixes[0].fix, holds);
        assert_eq!(kit(17_997, false).severities(ID), [Severity::Warning]);
    }

    #[test]
    fn an_unknown_price_or_another_currency_is_undecided() {
        for price in [None, Some(money(1, "GBP"))] {
            let open = budget(5000, true).kit(priced(8, price), 1).check();
            let missing = vec![Missing::of(PartIx(0), Fact::Price)];
            assert_eq!(open.finding(ID).unwrap().state, State::Undecided(missing));
            let with = budget(5000, true).kit(priced(8, price), 1);
            let over = with.kit(priced(16, Some(money(5001, "EUR"))), 1).check();
            assert!(over.breaks(ID) && over.finding(ID).unwrap().fixes.is_empty());
        }
    }

    #[test]
    fn what_is_installed_costs_nothing() {
        let installed = priced(8, Some(money(9000, "EUR")));
        assert!(
            budget(1, true)
                .installed(installed, &["A1"])
                .check()
                .silent(ID)
        );
    }
}
