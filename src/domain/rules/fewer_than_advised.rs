//! Fewer modules at a socket than the maker advises.

use super::super::board::Limit;
use super::super::finding::{Severity, Value};
use super::{Check, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fewer-than-advised",
    group: Group::Place,
    severity: Severity::Advice,
    title: "Fewer modules than the maker advises",
    doc: "A processor with many channels runs with a single module, and wastes most of its bandwidth. Some makers print, \
          besides the counts that they support, the fewest that they advise.",
    source: "common practice; the number is the board record's",
    reads: &[],
    message: "{ $sockets }: the number of modules at this processor is { $count }; the maker advises { $least } at least, since channels without \
              memory add no bandwidth.",
    asks: "whether each socket has as many modules as the maker advises",
    checks: &[Check::SocketLoad(check)],
    breaks: r#"{"board": "brook", "kit": [{"module": "ERW-5R64-2x4", "quantity": 2}]}"#,
    meets: r#"{"board": "brook", "kit": [{"module": "ERW-5R64-2x4", "quantity": 12}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    // An unknown advice is nothing to tell.
    let Limit::Is(least) = view.setup.filling.advised_modules else {
        return;
    };
    let count = view.count();
    // A processor without memory has a rule of its own.
    if !view.is_fitted() || count == 0 {
        return;
    }
    if count >= usize::from(least) {
        return hits.met();
    }
    hits.broken(|draft| {
        draft
            .param("count", Value::Count(count as u64))
            .param("least", Value::Count(u64::from(least)))
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::Generation;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "fewer-than-advised";

    fn advising(least: Limit<u8>) -> Case {
        let mut facts = board(Generation::Ddr3, 1, 4, 1);
        facts.filling[0].advised_modules = least;
        Case::on(facts)
    }

    #[test]
    fn advises_at_least_as_many_as_the_maker_prints() {
        let few = advising(Limit::Is(3)).seat(rdimm(8, 2), &["A1", "B1"]);
        assert_eq!(few.check().severities(ID), [Severity::Advice]);
        let enough = advising(Limit::Is(3)).seat(rdimm(8, 2), &["A1", "B1", "C1"]);
        assert!(enough.check().silent(ID));
    }

    #[test]
    fn no_advice_where_the_record_has_none() {
        for least in [Limit::None, Limit::Unknown] {
            let one = advising(least).seat(rdimm(8, 2), &["A1"]);
            assert!(one.check().silent(ID));
        }
    }
}
