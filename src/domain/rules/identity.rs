//! What modules that belong together must have in common. Not a rule.

use super::super::board::policy::Identity;
use super::super::finding::Fact;
use super::super::module::Module;
use super::super::request::{PartIx, Request};

/// Whether two modules are alike in all that is asked; `None` if a fact is missing.
pub(super) fn parts_alike(
    request: &Request,
    identical: &[Identity],
    a: PartIx,
    b: PartIx,
) -> Option<bool> {
    if a == b {
        return Some(true);
    }
    let (a, b) = (request.part(a)?, request.part(b)?);
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
