//! Channels of one likeness are judged alike by the rules of a channel, and run the same rate: the
//! search and the check ask about one of them only.

use kitproof::catalogue::{BoardEntry, embedded};
use kitproof::domain::board::policy::Protection;
use kitproof::domain::channel::{Stack, listed_rate};
use kitproof::domain::request::{KitLine, PartIx, Request};
use kitproof::domain::rules::{Battery, ChannelView, Likeness, RuleSet};
use kitproof::domain::setup::Setup;

/// Every stack of some parts on four positions.
fn stacks(parts: u16) -> Vec<Stack> {
    let seats = usize::from(parts) + 1;
    let digit = |code: usize, place: u32| (code / seats.pow(place)) % seats;
    let part = |code: usize, place: u32| Some(PartIx(digit(code, place).checked_sub(1)? as u16));
    (1..seats.pow(4))
        .map(|code| Stack::of((0..4).map(|place| part(code, place))))
        .collect()
}

fn request(entry: &BoardEntry, protection: Protection) -> Request {
    let own = embedded::catalogue()
        .modules()
        .filter(|module| module.module.generation == Some(entry.board.generation));
    let parts: Vec<_> = own.take(4).map(|own| own.module.clone()).collect();
    let line = |index: u16| KitLine {
        part: PartIx(index),
        quantity: 4,
    };
    Request {
        kit: (0..parts.len() as u16).map(line).collect(),
        parts,
        protection,
        ..Request::default()
    }
}

/// Compares a channel with the first that is like it; how many stacks were compared.
fn compare(setup: &Setup<'_>, stacks: &[Stack]) -> usize {
    let board = setup.board;
    let battery = Battery::new(board, &RuleSet::none());
    let mut compared = 0;
    for channel in board.all_channels() {
        let own = Likeness::bare(setup, channel);
        let alike = |other: &_| Likeness::bare(setup, *other) == own;
        let first = board.all_channels().find(alike).unwrap();
        let judged = |channel, stack| {
            let socket = board.address(channel).0;
            let view = ChannelView {
                setup,
                socket,
                channel,
                stack,
            };
            let mut blamed = RuleSet::none();
            let standing = battery.channel(&view, &mut blamed);
            let rates = board.supply.iter().map(|mv| listed_rate(&view, *mv));
            (standing, blamed, rates.collect::<Vec<_>>())
        };
        let fits = |stack: &&Stack| (own.wired + 1..=4).all(|p| stack.at(p).is_none());
        for stack in stacks.iter().filter(fits).filter(|_| channel != first) {
            assert_eq!(
                judged(channel, *stack),
                judged(first, *stack),
                "{channel:?} {stack:?}"
            );
            compared += 1;
        }
    }
    compared
}

#[test]
fn channels_of_one_likeness_are_judged_alike() {
    let mut compared = 0;
    for entry in embedded::catalogue().boards() {
        for protection in Protection::ALL {
            let request = request(entry, protection);
            let stacks = stacks(request.parts.len() as u16);
            for model in 0..entry.board.processors.len() {
                let setup = Setup::new(&entry.board, &request, Some(model)).unwrap();
                compared += compare(&setup, &stacks);
            }
        }
    }
    assert!(compared > 10_000, "{compared}");
}
