//! Modules of a group of slots that should be alike and are not.

use super::super::board::Limit;
use super::super::board::groups::SlotGroup;
use super::super::board::policy::Identity;
use super::super::finding::{Fact, Missing, Severity, Value};
use super::identity::{all_true, fact, parts_alike, same, word};
use super::{Check, Group, Hits, OnChannel, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "slot-groups-differ",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Modules of a group of slots differ",
    doc: "Some makers sell and support modules by groups of slots that are not a channel: the modules of a group are set up \
          together and must be alike in what the maker names.",
    source: "common practice; the groups and what must be alike are the board record's",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::Width,
        Fact::PartNumber,
    ],
    message: "{ $sockets }: the modules in { $slots } differ. They sit in the group of slots { $name }, whose modules must be alike in { $alike }.",
    asks: "whether the modules of each group of slots are alike",
    checks: &[Check::Socket(check)],
    breaks: r#"{"board": "fjord", "processors": ["fitted", "empty", "empty", "empty"], "population": [
        {"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "B1", "module": "ERW-4R16-2x8"}]}"#,
    meets: r#"{"board": "fjord", "processors": ["fitted", "empty", "empty", "empty"], "population": [
        {"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "B1", "module": "ERW-4R32-2x4"}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    if view.board().slot_groups == Limit::Unknown {
        return unlisted(view, hits);
    }
    for group in view.board().slot_groups.listed() {
        if !group.identical.is_empty() {
            judge(view, group, hits);
        }
    }
}

/// Nobody told the groups: any two modules of the socket may have to be alike, in whatever a maker may name.
fn unlisted(view: &SocketView<'_>, hits: &mut Hits) {
    let mut modules = view.modules();
    let Some(first) = modules.next() else { return };
    let like_the_first =
        |on: OnChannel<'_>| parts_alike(view.setup, &Identity::ALL, first.part, on.part);
    if all_true(modules.map(like_the_first)) == Some(true) {
        hits.met();
    } else {
        hits.undecided(&[Missing::general(Fact::BoardLimit)]);
    }
}

/// The modules of a group.
pub(super) fn members<'s, 'a>(
    view: &'s SocketView<'a>,
    group: &'s SlotGroup,
) -> impl Iterator<Item = OnChannel<'a>> + Clone + use<'s, 'a> {
    let channels = view.channels().zip(1u8..);
    channels.flat_map(move |(channel, number)| {
        channel
            .modules()
            .filter(move |on| group.seats.contains(&(number, on.position)))
    })
}

fn judge(view: &SocketView<'_>, group: &SlotGroup, hits: &mut Hits) {
    let mut rest = members(view, group);
    let Some(first) = rest.next() else { return };
    if rest.clone().next().is_none() {
        return;
    }
    let alike = |a: &OnChannel<'_>, b: &OnChannel<'_>| {
        parts_alike(view.setup, &group.identical, a.part, b.part)
    };
    // What nobody told of the first module may be told of two others that differ.
    let pairs = members(view, group).enumerate().flat_map(|(index, one)| {
        members(view, group)
            .skip(index + 1)
            .map(move |other| (one, other))
    });
    let unsure = all_true(rest.map(|other| alike(&first, &other)));
    let verdict = match unsure {
        None => all_true(pairs.map(|(one, other)| alike(&one, &other))),
        told => told,
    };
    match verdict {
        Some(true) => hits.met(),
        Some(false) => hits.broken(|draft| {
            let words = group.identical.iter().map(|what| word(*what).to_owned());
            draft
                .param("name", Value::Text(group.name.clone()))
                .param("alike", Value::Words(words.collect()))
                .slots(members(view, group).map(|on| on.slot))
        }),
        None => hits.undecided(&missing(view, group)),
    }
}

fn missing(view: &SocketView<'_>, group: &SlotGroup) -> Vec<Missing> {
    let facts = members(view, group).flat_map(|on| group.identical.iter().map(move |w| (on, *w)));
    let untold = facts.filter(|(on, what)| same(*what, on.module, on.module).is_none());
    untold
        .map(|(on, what)| Missing::of(on.part, fact(what)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "slot-groups-differ";

    /// Two channels of three positions; the two slots nearest to the processor are a group.
    fn grouped() -> Case {
        let group = SlotGroup {
            name: "near pair".into(),
            seats: vec![(1, 3), (2, 3)],
            identical: vec![Identity::Capacity, Identity::Ranks],
            shared_reset: false,
        };
        Case::on(BoardFacts {
            slot_groups: Limit::Is(vec![group]),
            ..board(Generation::Ddr3, 1, 2, 3)
        })
    }

    #[test]
    fn refuses_a_group_whose_modules_differ() {
        let differ = grouped()
            .seat(rdimm(8, 2), &["A3"])
            .seat(rdimm(16, 2), &["B3"])
            .check();
        assert_eq!(differ.severities(ID), [Severity::Blocker]);
    }

    #[test]
    fn says_nothing_of_slots_outside_a_group_and_of_a_lone_module() {
        let lone = grouped()
            .seat(rdimm(8, 2), &["A3"])
            .seat(rdimm(16, 2), &["B1"])
            .check();
        assert!(lone.silent(ID));
        let alike = grouped().seat(rdimm(8, 2), &["A3", "B3"]).check();
        assert!(alike.silent(ID));
    }

    #[test]
    fn a_missing_fact_leaves_it_open_unless_another_differs() {
        let unknown = |gib| ModuleFacts {
            package_ranks: None,
            ..rdimm(gib, 2)
        };
        let open = grouped()
            .seat(rdimm(8, 2), &["A3"])
            .seat(unknown(8), &["B3"])
            .check();
        assert!(open.leaves_open(ID));
        let broken = grouped()
            .seat(rdimm(8, 2), &["A3"])
            .seat(unknown(16), &["B3"])
            .check();
        assert!(broken.breaks(ID));
    }
}
