//! Memory spread less evenly than the caller wished.

use super::super::channel::Stack;
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value, WishChange};
use super::super::request::{Balance, PartIx, Request, Wish};
use super::super::setup::Setup;
use super::super::tally::Total;
use super::super::units::Mib;
use super::{BoardView, Check, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "balance-wish",
    group: Group::Wish,
    severity: Severity::Warning,
    title: "Spread less evenly than wished",
    doc: "The caller may ask that all channels, or at least all sockets, hold the same amount of memory. Then every access \
          finds the same number of channels to spread over.",
    source: "the caller's wish",
    reads: &[Fact::Capacity, Fact::ProcessorModel],
    message: "{ $sockets }: the memory is not spread as evenly as wished. One { $unit } holds { $least }, another { $most }.",
    asks: "whether the memory is spread as evenly as wished",
    checks: &[Check::Socket(check_socket), Check::Board(check_board)],
    breaks: r#"{"board": "tarn", "processors": ["fitted", "empty"], "kit": [{"module": "ERW-3R16-2x4", "quantity": 5}], "wishes": {"balance": "channels"}}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "kit": [{"module": "ERW-3R16-2x4", "quantity": 4}], "wishes": {"balance": "channels"}}"#,
};

/// The channels of one socket, where all channels are to be alike.
fn check_socket(view: &SocketView<'_>, hits: &mut Hits) {
    let wish = view.setup.request.wishes.balance;
    let Some(wish) = wish.filter(|wish| wish.value == Balance::Channels) else {
        return;
    };
    if !view.is_fitted() || view.count() == 0 {
        return;
    }
    judge(view.setup, wish, channels(view), ("channel", &[]), hits);
    // A channel that may or may not work may be one that stays empty.
    let works = |channel: &u8| view.setup.channel_works(view.socket, *channel);
    if (1..=view.board().channels).any(|channel| works(&channel).is_none()) {
        let model = Missing::general(Fact::ProcessorModel);
        hits.undecided_as(wish.severity(), &[model]);
    }
}

/// The sockets against each other. Where all channels are to be alike, those of each socket must be
/// so first: otherwise the socket has been told already.
fn check_board(view: &BoardView<'_>, hits: &mut Hits) {
    let Some(wish) = view.request().wishes.balance else {
        return;
    };
    let setup = view.setup;
    let fitted = || view.sockets().filter(|socket| socket.is_fitted());
    if view.outcome.modules == 0 || fitted().count() < 2 {
        return;
    }
    let mut units: Vec<&[Stack]> = fitted().map(|socket| socket.stacks).collect();
    if wish.value == Balance::Channels {
        if !fitted().all(|socket| spread(setup, channels(&socket)) == Spread::Even) {
            return;
        }
        units = fitted()
            .filter_map(|socket| channels(&socket).next())
            .collect();
    }
    let unit = match wish.value {
        Balance::Channels => "channel",
        Balance::Sockets => "socket",
    };
    let named: Vec<u8> = fitted().map(|socket| socket.socket).collect();
    judge(setup, wish, units.iter().copied(), (unit, &named), hits);
}

/// What sits on each channel of a socket that surely works.
fn channels<'a>(view: &SocketView<'a>) -> impl Iterator<Item = &'a [Stack]> + Clone + use<'a> {
    let (setup, socket) = (view.setup, view.socket);
    view.stacks
        .iter()
        .zip(1u8..)
        .filter(move |(_, channel)| setup.channel_works(socket, *channel) == Some(true))
        .map(|(stack, _)| std::slice::from_ref(stack))
}

/// How memory is spread over channels or sockets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Spread {
    Even,
    /// The smallest and the largest amount, in MiB.
    Uneven(u64, u64),
    /// It depends on capacities that are not known.
    Open,
}

fn spread<'a>(setup: &Setup<'_>, units: impl Iterator<Item = &'a [Stack]> + Clone) -> Spread {
    let totals = units.clone().map(|unit| held(setup.request, unit));
    let largest = totals
        .clone()
        .map(|total| total.at_least)
        .max()
        .unwrap_or(0);
    let exact = totals.clone().filter(|total| total.exact);
    let smallest = exact.map(|total| total.at_least).min();
    let Some(first) = units.clone().next() else {
        return Spread::Even;
    };
    match smallest {
        // Surely less than another.
        Some(smallest) if smallest < largest => Spread::Uneven(smallest, largest),
        Some(_) if totals.clone().all(|total| total.exact) => Spread::Even,
        // The same modules hold the same, whatever that is.
        _ if units.clone().all(|unit| same_modules(setup, first, unit)) => Spread::Even,
        _ => Spread::Open,
    }
}

fn held(request: &Request, unit: &[Stack]) -> Total {
    let parts = unit.iter().flat_map(Stack::parts);
    let capacity = |part| Some(request.part(part)?.main_memory()?.0);
    Total::of(parts.map(|part| (capacity(part), 1)))
}

fn same_modules(setup: &Setup<'_>, a: &[Stack], b: &[Stack]) -> bool {
    let count = |unit: &[Stack], part: PartIx| {
        let parts = unit.iter().flat_map(Stack::parts);
        parts.filter(|other| *other == part).count()
    };
    let mut parts = a.iter().chain(b).flat_map(Stack::parts);
    // Modules of one record may hold different amounts if it does not say how much.
    let told = |part: PartIx| {
        setup
            .request
            .part(part)
            .is_some_and(|m| m.capacity.is_some())
    };
    parts.all(|part| count(a, part) == count(b, part) && (told(part) || setup.is_one_product(part)))
}

/// Next to the units stands the word for what is compared, with the sockets to name beyond the one looked at.
fn judge<'a>(
    setup: &Setup<'_>,
    wish: Wish<Balance>,
    units: impl Iterator<Item = &'a [Stack]> + Clone,
    (unit, sockets): (&'static str, &[u8]),
    hits: &mut Hits,
) {
    match spread(setup, units.clone()) {
        Spread::Even => hits.met(),
        Spread::Uneven(least, most) => hits.broken_as(wish.severity(), |draft| {
            sockets
                .iter()
                .fold(draft, |draft, socket| draft.socket(*socket))
                .about(Subject::Balance)
                .param("unit", Value::Word(unit))
                .param("least", Value::Capacity(Mib(least)))
                .param("most", Value::Capacity(Mib(most)))
                .fix(Fix::AdjustWish(WishChange::Balance(None)))
        }),
        Spread::Open => {
            let parts = units.flatten().flat_map(Stack::parts);
            let unknown = parts.filter(|part| {
                setup
                    .request
                    .part(*part)
                    .is_some_and(|m| m.main_memory().is_none())
            });
            let missing: Vec<Missing> = unknown
                .map(|part| Missing::of(part, Fact::Capacity))
                .collect();
            hits.undecided_as(wish.severity(), &missing);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Severity, Value};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::{Balance, Wish};
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "balance-wish";

    fn wished(value: Balance) -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
            .with(|request| request.wishes.balance = Some(Wish { value, must: false }))
    }

    fn all() -> Vec<&'static str> {
        vec!["A1", "B1", "C1", "D1", "E1", "F1", "G1", "H1"]
    }

    #[test]
    fn finds_a_channel_that_holds_less() {
        let uneven = wished(Balance::Channels)
            .seat(rdimm(16, 2), &all()[..7])
            .check();
        assert_eq!(uneven.severities(ID), [Severity::Warning]);
        let finding = uneven.finding(ID).unwrap();
        assert_eq!(finding.sockets, [2]);
        assert_eq!(finding.params[1], ("least", Value::Capacity(Mib(0))));
        assert!(
            wished(Balance::Channels)
                .seat(rdimm(16, 2), &all())
                .check()
                .silent(ID)
        );
    }

    #[test]
    fn finds_sockets_that_differ_once_their_own_channels_are_alike() {
        let (one, two) = (all()[..4].to_vec(), all()[4..].to_vec());
        let with = |value| {
            wished(value)
                .seat(rdimm(16, 2), &one)
                .seat(rdimm(8, 1), &two)
                .check()
        };
        let channels = with(Balance::Channels);
        let finding = channels.finding(ID).unwrap();
        assert_eq!(finding.params[2], ("most", Value::Capacity(Mib::gib(16))));
        let sockets = with(Balance::Sockets);
        let finding = sockets.finding(ID).unwrap();
        assert_eq!(finding.sockets, [1, 2]);
        assert_eq!(finding.params[2], ("most", Value::Capacity(Mib::gib(64))));
    }

    #[test]
    fn balance_of_sockets_asks_nothing_of_their_channels() {
        let case = wished(Balance::Sockets).seat(rdimm(16, 2), &["A1", "A2"]);
        assert!(case.seat(rdimm(16, 2), &["E1", "F1"]).check().silent(ID));
    }

    #[test]
    fn an_unknown_capacity_is_undecided_unless_the_modules_are_the_same() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(16, 2)
        };
        let same = wished(Balance::Channels).seat(unknown.clone(), &all());
        assert!(same.check().silent(ID));
        let mixed = wished(Balance::Channels).seat(rdimm(16, 2), &all()[..7]);
        assert!(
            mixed
                .seat(unknown.clone(), &all()[7..])
                .check()
                .leaves_open(ID)
        );
        let less = wished(Balance::Channels).seat(rdimm(16, 2), &all()[..6]);
        let less = less.seat(rdimm(8, 1), &["G1"]).seat(unknown, &["H1"]);
        assert!(less.check().breaks(ID));
    }
}
