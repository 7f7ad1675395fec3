//! What modules that belong together must have in common. Not a rule.

use super::super::board::policy::Identity;
use super::super::channel::Stack;
use super::super::finding::{Fact, Missing};
use super::super::module::Module;
use super::super::request::{PartIx, Request};
use super::super::setup::Setup;

/// Whether two modules are alike in all that is asked; `None` if a fact is missing. Two of one record
/// that lacks a fact may differ in it.
pub(super) fn parts_alike(
    setup: &Setup<'_>,
    identical: &[Identity],
    a: PartIx,
    b: PartIx,
) -> Option<bool> {
    if a == b && setup.is_one_product(a) {
        return Some(true);
    }
    let (a, b) = (setup.request.part(a)?, setup.request.part(b)?);
    all_true(identical.iter().map(|what| same(*what, a, b)))
}

/// Whether two modules have a fact in common; `None` if one of them does not tell it.
pub(super) fn same(what: Identity, a: &Module, b: &Module) -> Option<bool> {
    fn equal<T: PartialEq>(a: Option<T>, b: Option<T>) -> Option<bool> {
        Some(a? == b?)
    }
    match what {
        Identity::Capacity => equal(a.capacity, b.capacity),
        Identity::Ranks => equal(a.package_ranks, b.package_ranks),
        Identity::Width => equal(a.width, b.width),
        Identity::Kind => equal(a.kind, b.kind),
        Identity::PartNumber => equal(a.part_number.as_ref(), b.part_number.as_ref()),
    }
}

/// `Some(true)` if all are, `Some(false)` if one surely is not.
pub(super) fn all_true(list: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut all = Some(true);
    for one in list {
        match one {
            Some(false) => return Some(false),
            None => all = None,
            Some(true) => {}
        }
    }
    all
}

/// Whether channels that belong together all hold memory and are filled alike, position by position;
/// `None` if a fact is missing.
pub(in super::super) fn channels_alike(
    setup: &Setup<'_>,
    identical: &[Identity],
    positions: u8,
    stacks: &[Stack],
) -> Option<bool> {
    if stacks.iter().any(|stack| stack.count() == 0) {
        return Some(false);
    }
    // Nothing must be alike but that all hold memory.
    if identical.is_empty() {
        return Some(true);
    }
    let at = |position| position_alike(setup, identical, position, stacks);
    all_true((1..=positions).map(at))
}

/// The same of one position.
pub(super) fn position_alike(
    setup: &Setup<'_>,
    identical: &[Identity],
    position: u8,
    stacks: &[Stack],
) -> Option<bool> {
    let pairs = stacks.iter().enumerate().flat_map(|(index, one)| {
        let later = stacks.iter().skip(index + 1);
        later.map(move |other| (one.at(position), other.at(position)))
    });
    all_true(pairs.map(|(first, second)| match (first, second) {
        (None, None) => Some(true),
        (Some(first), Some(second)) => parts_alike(setup, identical, first, second),
        _ => Some(false),
    }))
}

/// The facts of the modules of some channels that keep them from being compared.
pub(in super::super) fn untold(
    request: &Request,
    identical: &[Identity],
    stacks: &[Stack],
) -> Vec<Missing> {
    let parts = stacks.iter().flat_map(Stack::parts);
    let facts = parts.flat_map(|part| identical.iter().map(move |what| (part, *what)));
    let untold = facts.filter(|(part, what)| {
        let module = request.part(*part);
        module.is_some_and(|module| same(*what, module, module).is_none())
    });
    untold
        .map(|(part, what)| Missing::of(part, fact(what)))
        .collect()
}

/// The fact that is compared.
pub(super) fn fact(what: Identity) -> Fact {
    match what {
        Identity::Capacity => Fact::Capacity,
        Identity::Ranks => Fact::PackageRanks,
        Identity::Width => Fact::Width,
        Identity::Kind => Fact::Kind,
        Identity::PartNumber => Fact::PartNumber,
    }
}

/// Its word in a sentence.
pub(super) fn word(what: Identity) -> &'static str {
    match what {
        Identity::Capacity => "capacity",
        Identity::Ranks => "ranks",
        Identity::Width => "width",
        Identity::Kind => "kind",
        Identity::PartNumber => "part number",
    }
}
