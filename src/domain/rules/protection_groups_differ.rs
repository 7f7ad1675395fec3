//! Channels that are to work together and hold different memory, or memory without a group.

use super::super::board::policy::{Protection, ProtectionOffer};
use super::super::channel::Stack;
use super::super::finding::{Fact, Fix, Severity, Subject, Value};
use super::super::request::{PartIx, Request};
use super::super::units::Mib;
use super::identity::word;
use super::joined::Joined;
use super::{Check, Draft, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "protection-groups-differ",
    group: Group::Protection,
    severity: Severity::Blocker,
    title: "Channels of a protection group differ",
    doc: "Mirrored channels hold everything twice, and channels in lockstep hold a part of every word each, so the channels \
          of a group must be filled alike, position by position. Some firmware leaves the memory of a group that is not out, \
          where other firmware refuses the protection. Memory on a channel of no group is lost to the protection: \
          a warning, as long as some group works.",
    source: "common practice; groups and what must be alike are the board record's",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::Width,
        Fact::PartNumber,
    ],
    message: "{ $channels }: { $asked } protection joins the channels { $groups } of a socket, which must be alike in { $alike } \
              position by position. Memory without such a partner is lost: { $lost } here.",
    asks: "whether the channels of each protection group are filled alike",
    checks: &[Check::Socket(check)],
    breaks: r#"{"board": "tarn", "processors": ["fitted", "empty"], "protection": "mirrored", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "protection": "mirrored", "kit": [{"module": "ERW-3R16-2x4", "quantity": 4}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    let Some(offer) = view.setup.offer().filter(|offer| !offer.groups.is_empty()) else {
        return;
    };
    if !view.is_fitted() || view.count() == 0 {
        return;
    }
    // Where the memory of such a group is left out, `protection-leaves-nothing` blocks what is left
    // of none.
    let loses = view.setup.leaves_groups_out();
    let mut any_works = loses;
    for group in &offer.groups {
        let group = Joined::of(view, group);
        if group.is_empty() {
            continue;
        }
        any_works = true;
        let severity = if loses {
            Severity::Warning
        } else {
            hits.severity()
        };
        match group.alike(offer) {
            Some(true) => hits.met(),
            Some(false) => hits.broken_as(severity, |draft| tell(&group, offer, draft)),
            None => hits.undecided_as(severity, &group.untold(offer)),
        }
    }
    let severity = if any_works && !view.setup.keeps_groups() {
        Severity::Warning
    } else {
        hits.severity()
    };
    outside(view, offer, severity, hits);
}

/// Memory on channels of no group.
fn outside(view: &SocketView<'_>, offer: &ProtectionOffer, severity: Severity, hits: &mut Hits) {
    for channel in view.channels().filter(|channel| channel.stack.count() > 0) {
        let (_, number) = view.board().address(channel.channel);
        if offer
            .groups
            .iter()
            .flatten()
            .any(|member| *member == number)
        {
            continue;
        }
        hits.broken_as(severity, |draft| {
            let lost = capacity(view.setup.request, channel.stack.parts());
            words(offer, lost, draft)
                .channel(channel.channel)
                .slots(channel.occupied_slots())
        });
    }
}

fn capacity(request: &Request, parts: impl Iterator<Item = PartIx>) -> Mib {
    let known = parts.filter_map(|part| request.part(part)?.main_memory());
    Mib(known.map(|capacity| capacity.0).sum())
}

fn words(offer: &ProtectionOffer, lost: Mib, draft: Draft) -> Draft {
    let groups = offer.groups.iter().map(|group| {
        let members: Vec<String> = group.iter().map(u8::to_string).collect();
        members.join(" + ")
    });
    let alike = offer.identical.iter().map(|what| word(*what));
    let alike = std::iter::once("population").chain(alike);
    draft
        .about(Subject::Protection)
        .param("asked", Value::Word(offer.protection.name()))
        .param("groups", Value::Words(groups.collect()))
        .param("alike", Value::Words(alike.map(str::to_owned).collect()))
        .param("lost", Value::Capacity(lost))
        .fix(Fix::SetProtection(Protection::None))
}

/// Names the channels of the group and the positions without a partner.
fn tell(group: &Joined<'_, '_>, offer: &ProtectionOffer, draft: Draft) -> Draft {
    let (view, board) = (group.view, group.view.board());
    let positions = group.unlike(offer);
    let parts = group
        .stacks
        .iter()
        .flat_map(|stack| positions.iter().filter_map(|position| stack.at(*position)));
    // Firmware that leaves a group out leaves it out whole.
    let whole = view.setup.leaves_groups_out();
    let lost = match whole {
        true => capacity(
            view.setup.request,
            group.stacks.iter().flat_map(Stack::parts),
        ),
        false => capacity(view.setup.request, parts),
    };
    let draft = words(offer, lost, draft);
    let modules = view.modules().filter(|on| {
        let (_, number) = board.address(board.channel_of(on.slot));
        group.numbers.contains(&number) && (whole || positions.contains(&on.position))
    });
    let channels = group
        .numbers
        .iter()
        .map(|number| board.channel_at(view.socket, *number));
    channels.fold(draft.slots(modules.map(|on| on.slot)), Draft::channel)
}

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Identity, Protection, ProtectionOffer};
    use crate::domain::board::{BoardFacts, SlotIx};
    use crate::domain::finding::{Severity, Value};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, offer_of, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "protection-groups-differ";

    /// Channels 1 + 2 and 3 + 4 mirror each other, channel 5 has no partner.
    fn mirrored(identical: &[Identity]) -> Case {
        let offer = ProtectionOffer {
            identical: identical.to_vec(),
            ..offer_of(Protection::Mirrored, &[&[1, 2], &[3, 4]])
        };
        let facts = BoardFacts {
            protections: vec![offer],
            ..board(Generation::Ddr3, 1, 5, 2)
        };
        Case::on(facts).with(|request| request.protection = Protection::Mirrored)
    }

    const ALIKE: [Identity; 2] = [Identity::Capacity, Identity::Ranks];

    #[test]
    fn refuses_a_group_that_is_partly_filled() {
        let checked = mirrored(&ALIKE)
            .seat(rdimm(16, 2), &["A1", "B1", "C1"])
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.severity, Severity::Blocker);
        assert_eq!(finding.slots, [SlotIx(4)]);
        assert_eq!(finding.params[3], ("lost", Value::Capacity(Mib::gib(16))));
        assert!(mirrored(&[]).seat(rdimm(16, 2), &["A1"]).check().breaks(ID));
        assert!(
            mirrored(&ALIKE)
                .seat(rdimm(16, 2), &["A1", "B1"])
                .check()
                .silent(ID)
        );
    }

    #[test]
    fn compares_position_by_position() {
        let pair = |identical: &[Identity]| mirrored(identical).seat(rdimm(16, 2), &["A1", "B1"]);
        let crossed = mirrored(&ALIKE)
            .seat(rdimm(16, 2), &["A1", "B2"])
            .seat(rdimm(8, 2), &["A2", "B1"]);
        assert!(crossed.check().breaks(ID));
        let other = pair(&ALIKE)
            .seat(rdimm(8, 2), &["A2"])
            .seat(rdimm(8, 1), &["B2"]);
        let checked = other.check();
        let lost = Value::Capacity(Mib::gib(16));
        assert_eq!(checked.finding(ID).unwrap().params[3], ("lost", lost));
        let capacity = pair(&[Identity::Capacity]);
        let fine = capacity
            .seat(rdimm(8, 2), &["A2"])
            .seat(rdimm(8, 1), &["B2"]);
        assert!(fine.check().silent(ID));
    }

    #[test]
    fn warns_of_memory_on_a_channel_of_no_group() {
        let checked = mirrored(&ALIKE)
            .seat(rdimm(16, 2), &["A1", "B1", "E1"])
            .check();
        assert_eq!(checked.severities(ID), [Severity::Warning]);
        assert_eq!(checked.outcome.usable, Some(Mib::gib(16)));
        // Without any working group nothing is left.
        let alone = mirrored(&ALIKE).seat(rdimm(16, 2), &["E1"]).check();
        assert_eq!(alone.severities(ID), [Severity::Blocker]);
    }

    #[test]
    fn a_missing_fact_is_undecided_unless_another_differs() {
        let unknown = |gib| ModuleFacts {
            package_ranks: None,
            ..rdimm(gib, 2)
        };
        let with = |other| {
            mirrored(&ALIKE)
                .seat(rdimm(16, 2), &["A1"])
                .seat(other, &["B1"])
                .check()
        };
        assert!(with(unknown(16)).leaves_open(ID) && with(unknown(8)).breaks(ID));
        let same = mirrored(&ALIKE).seat(unknown(16), &["A1", "B1"]).check();
        assert!(same.silent(ID));
    }
}
