//! More different capacities on a channel or on the board than its maker takes.

use super::super::board::Limit;
use super::super::board::policy::Mix;
use super::super::finding::{Fact, Missing, Severity, Value};
use super::super::setup::Setup;
use super::mixing::{self, Aspect, Key, One};
use super::{BoardView, ChannelView, Check, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "too-many-capacities",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Too many different capacities",
    doc: "Memory is spread over the channels in equal pieces, and what is left over of a larger module is read from fewer \
          channels. Makers limit how many different capacities they take on a channel or in a server; some want \
          one only.",
    source: "common practice; the limits are the board record's",
    reads: &[Fact::Capacity],
    message: "{ $place }: modules of { $found } are mixed. This board's maker wants at most { $most } different capacities on { $scope }.",
    asks: "whether there are too many different capacities",
    checks: &[
        Check::Kit(kit),
        Check::Channel(channel),
        Check::Socket(socket),
        Check::Board(board),
    ],
    breaks: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "B1", "module": "ERW-4R16-1x4"}, {"slot": "C1", "module": {"generation": "DDR4", "kind": "RDIMM", "capacity_mib": 65536}}]}"#,
    meets: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "B1", "module": "ERW-4R32-2x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.capacities,
    from: |_| Limit::None,
    fact: Fact::Capacity,
    key: |module| Key::number(module.capacity.map(|capacity| capacity.0)),
    show: |module| module.capacity.map_or(Value::Word("?"), Value::Capacity),
    discouraged: Severity::Warning,
};

fn kit(setup: &Setup<'_>, hits: &mut Hits) {
    if !check(&whole_board(setup), || every_part(setup), hits) {
        mixing::kit(&ASPECT, setup, hits);
    }
}

fn channel(view: &ChannelView<'_>, hits: &mut Hits) {
    let mixing = &view.board().mixing;
    let (policy, most) = (mixing.capacities, mixing.capacities_per_channel);
    // What the whole board does not take either is reported for the whole board.
    let forbidden = [policy.channel, policy.socket, policy.board].contains(&Mix::Forbidden);
    let by_board = matches!(
        (most, mixing.capacities_per_board),
        (Limit::Is(here), Limit::Is(all)) if all <= here
    );
    let scope = Scope {
        setup: view.setup,
        most: if forbidden || by_board {
            Limit::None
        } else {
            most
        },
        name: "a channel",
    };
    let modules = || view.modules().map(|on| (One::from(on), 1));
    if !check(&scope, modules, hits) {
        mixing::channel(&ASPECT, view, hits);
    }
}

fn socket(view: &SocketView<'_>, hits: &mut Hits) {
    mixing::socket(&ASPECT, view, hits);
}

fn board(view: &BoardView<'_>, hits: &mut Hits) {
    // The kit's check has said it already where the board's own limit is passed.
    let scope = whole_board(view.setup);
    if judge(&scope, every_part(view.setup)) != Count::Over {
        mixing::board(&ASPECT, view, hits);
    }
}

/// A scope with its limit.
struct Scope<'a> {
    setup: &'a Setup<'a>,
    most: Limit<u8>,
    name: &'static str,
}

fn whole_board<'a>(setup: &'a Setup<'a>) -> Scope<'a> {
    let mixing = &setup.board.mixing;
    let forbidden = mixing.capacities.board == Mix::Forbidden;
    Scope {
        setup,
        most: if forbidden {
            Limit::None
        } else {
            mixing.capacities_per_board
        },
        name: "the board",
    }
}

/// Every part with its number.
fn every_part<'a>(setup: &'a Setup<'_>) -> impl Iterator<Item = (One<'a>, u64)> + Clone {
    setup.seated().iter().filter_map(|part| {
        let one = One {
            part: *part,
            module: setup.request.part(*part)?,
            slot: None,
        };
        Some((one, setup.request.quantity(*part)))
    })
}

/// How the number of different capacities compares with a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Count {
    /// There is no limit, or nothing to count.
    Free,
    Within,
    /// It depends on untold capacities or an unknown limit.
    Open,
    Over,
}

/// Judges the limit; whether it has been reported as passed or open.
fn check<'m, I>(scope: &Scope<'_>, modules: impl Fn() -> I, hits: &mut Hits) -> bool
where
    I: Iterator<Item = (One<'m>, u64)> + Clone,
{
    let count = judge(scope, modules());
    match count {
        Count::Free => {}
        Count::Within => hits.met(),
        Count::Open => {
            let untold = modules().filter(|(one, _)| one.module.capacity.is_none());
            let mut missing: Vec<Missing> = untold
                .map(|(one, _)| Missing::of(one.part, Fact::Capacity))
                .collect();
            if scope.most == Limit::Unknown {
                missing.push(Missing::general(Fact::BoardLimit));
            }
            hits.undecided(&missing);
        }
        Count::Over => hits.broken(|draft| {
            let ones = modules().map(|(one, _)| one);
            mixing::describe(
                &ASPECT,
                scope.setup.board,
                (scope.name, scope.most.value().unwrap_or(1)),
                ones,
                draft,
            )
        }),
    }
    matches!(count, Count::Open | Count::Over)
}

fn judge<'m>(scope: &Scope<'_>, modules: impl Iterator<Item = (One<'m>, u64)> + Clone) -> Count {
    if scope.most == Limit::None {
        return Count::Free;
    }
    let (mut sure, mut perhaps, mut count) = (0u64, 0u64, 0u64);
    for (at, (one, copies)) in modules.clone().enumerate() {
        let mut earlier = modules.clone().take(at).map(|(other, _)| other);
        count += copies;
        match one.module.capacity {
            Some(capacity) => {
                let known = earlier.any(|other| other.module.capacity == Some(capacity));
                sure += u64::from(!known);
            }
            None if scope.setup.is_one_product(one.part) => {
                perhaps += u64::from(!earlier.any(|other| other.part == one.part));
            }
            None => perhaps += copies,
        }
    }
    match scope.most {
        Limit::Is(most) if sure > u64::from(most) => Count::Over,
        Limit::Is(most) if sure + perhaps > u64::from(most) => Count::Open,
        // One capacity is always taken, and so is one module.
        Limit::Unknown if sure + perhaps > 1 && count > 1 => Count::Open,
        _ if count > 1 => Count::Within,
        _ => Count::Free,
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::{Severity, Value};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "too-many-capacities";

    fn limited(per_channel: Limit<u8>, per_board: Limit<u8>, mix: Mix) -> Case {
        let mut board = board(Generation::Ddr3, 1, 3, 3);
        board.mixing.capacities = MixPolicy::everywhere(mix);
        board.mixing.capacities_per_channel = per_channel;
        board.mixing.capacities_per_board = per_board;
        Case::on(board)
    }

    fn untold() -> ModuleFacts {
        ModuleFacts {
            capacity: None,
            die_density: None,
            ..rdimm(16, 2)
        }
    }

    #[test]
    fn counts_the_different_capacities_of_a_channel() {
        let two = || limited(Limit::Is(2), Limit::None, Mix::Allowed);
        let checked = two()
            .seat(rdimm(8, 2), &["A1"])
            .seat(rdimm(16, 2), &["A2"])
            .seat(rdimm(4, 1), &["A3"])
            .check();
        assert_eq!(checked.severities(ID), [Severity::Blocker]);
        let finding = checked.finding(ID).expect("a finding");
        assert!(finding.params.contains(&("most", Value::Count(2))));
        let spread = two()
            .seat(rdimm(8, 2), &["A1", "A3"])
            .seat(rdimm(16, 2), &["A2", "B1"])
            .seat(rdimm(4, 1), &["B2"])
            .check();
        assert!(spread.silent(ID), "{:?}", spread.findings);
    }

    #[test]
    fn counts_the_different_capacities_of_the_board_before_modules_have_slots() {
        let checked = limited(Limit::Is(1), Limit::Is(1), Mix::Allowed)
            .kit(rdimm(8, 2), 2)
            .kit(rdimm(16, 2), 2)
            .check();
        assert_eq!(checked.severities(ID), [Severity::Blocker]);
    }

    #[test]
    fn a_policy_against_the_mix_is_reported_once_with_a_limit() {
        let case = |mix| {
            limited(Limit::Is(1), Limit::Is(1), mix)
                .seat(rdimm(8, 2), &["A1"])
                .seat(rdimm(16, 2), &["A2"])
                .check()
        };
        for mix in [Mix::Forbidden, Mix::Discouraged, Mix::Unknown, Mix::Allowed] {
            let checked = case(mix);
            assert_eq!(checked.severities(ID), [Severity::Blocker], "{mix:?}");
            assert!(!checked.leaves_open(ID), "{mix:?}: {:?}", checked.findings);
        }
        let advised = limited(Limit::None, Limit::None, Mix::Discouraged)
            .seat(rdimm(8, 2), &["A1"])
            .seat(rdimm(16, 2), &["B1"])
            .check();
        assert_eq!(advised.severities(ID), [Severity::Warning]);
    }

    #[test]
    fn untold_capacities_are_undecided_where_they_may_pass_the_limit() {
        let case = |most| {
            limited(Limit::Is(most), Limit::None, Mix::Allowed)
                .seat(rdimm(8, 2), &["A1"])
                .seat(untold(), &["A2"])
                .check()
        };
        assert!(case(1).leaves_open(ID));
        assert!(!case(2).leaves_open(ID));
    }

    #[test]
    fn an_unknown_limit_is_undecided_if_capacities_differ() {
        let case = || limited(Limit::Unknown, Limit::Unknown, Mix::Allowed);
        let differ = case()
            .seat(rdimm(8, 2), &["A1"])
            .seat(rdimm(16, 2), &["A2"])
            .check();
        assert!(differ.leaves_open(ID));
        let alike = case().seat(rdimm(8, 2), &["A1", "A2"]).check();
        assert!(alike.silent(ID));
    }
}
