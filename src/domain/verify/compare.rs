//! One planned module against one that was found.

use super::super::finding::{Fact, Value};
use super::super::module::{Module, ModuleFacts};
use super::super::units::Mts;
use super::found::FoundModule;

/// A fact in which a module is not as planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Which.
    pub fact: Fact,
    /// As planned.
    pub planned: Value,
    /// As found.
    pub found: Value,
}

/// How a found module compares with a planned one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Likeness {
    /// It is what was planned.
    Same,
    /// It is alike in every fact, but bears another part number.
    SameOtherNumber,
    /// It is alike, but made for a higher rate.
    Faster,
    /// Nothing speaks against it, but these facts are not told.
    Open(Vec<Fact>),
    /// It bears the planned part number, but less of it is seen.
    Part,
    /// It is another module.
    Other(Vec<Difference>),
}

impl Likeness {
    /// Whether it surely is a module of the planned facts.
    pub fn is_same(&self) -> bool {
        matches!(self, Self::Same | Self::SameOtherNumber | Self::Faster)
    }
}

/// Two rates of one bin: firmware rounds 2666 2/3 to 2666, 2667 or 2668.
pub(super) fn same_rate(one: Mts, other: Mts) -> bool {
    one.0.abs_diff(other.0) <= 2
}

/// Compares. `own_rates` says that the report tells what modules are made for apart from what they run
/// at.
pub(super) fn compare(
    planned: &Module,
    names: &[String],
    found: &FoundModule,
    own_rates: bool,
) -> Likeness {
    let named = names.iter().any(|name| {
        let is = |other: &String| other.trim().eq_ignore_ascii_case(name.trim());
        found.names.iter().any(is)
    });
    let rate = rate(planned, found, own_rates);
    let mut differences = differences(planned, &found.facts);
    if named && is_part(&differences, planned, &found.facts) {
        return Likeness::Part;
    }
    if rate == Rated::Slower && !named {
        differences.extend(difference(
            Fact::Rate,
            planned.rate,
            found.facts.rate,
            Value::Rate,
        ));
    }
    if !differences.is_empty() {
        return Likeness::Other(differences);
    }
    if named {
        return Likeness::Same;
    }
    let mut open = untold(planned, &found.facts);
    if rate == Rated::Untold {
        open.push(Fact::Rate);
    }
    match (open.is_empty(), rate) {
        (false, _) => Likeness::Open(open),
        (true, Rated::Faster) => Likeness::Faster,
        (true, _) if names.is_empty() || found.names.is_empty() => Likeness::Same,
        (true, _) => Likeness::SameOtherNumber,
    }
}

/// How the module's own rate compares.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Rated {
    Same,
    Slower,
    Faster,
    Untold,
}

/// Old firmware tells the rate at which modules run in place of their own, so a lower one tells nothing
/// unless the report is known to tell them apart.
fn rate(planned: &Module, found: &FoundModule, own_rates: bool) -> Rated {
    match (planned.rate, found.facts.rate) {
        (None, _) => Rated::Same,
        (Some(_), None) => Rated::Untold,
        (Some(planned), Some(own)) if same_rate(planned, own) => Rated::Same,
        (Some(planned), Some(own)) if own > planned => Rated::Faster,
        (Some(_), Some(_)) if own_rates => Rated::Slower,
        (Some(_), Some(_)) => Rated::Untold,
    }
}

/// Facts that both tell and tell differently; the rate is another matter.
fn differences(planned: &ModuleFacts, found: &ModuleFacts) -> Vec<Difference> {
    let count = |count: u8| Value::Count(count.into());
    let word = Value::Word;
    [
        difference(
            Fact::Generation,
            planned.generation.map(|own| own.name()),
            found.generation.map(|own| own.name()),
            word,
        ),
        difference(
            Fact::Kind,
            planned.kind.map(|own| own.name()),
            found.kind.map(|own| own.name()),
            word,
        ),
        difference(
            Fact::Capacity,
            planned.capacity,
            found.capacity,
            Value::Capacity,
        ),
        difference(
            Fact::PackageRanks,
            planned.package_ranks,
            found.package_ranks,
            count,
        ),
        difference(
            Fact::StackHeight,
            planned.stack_height,
            found.stack_height,
            count,
        ),
        difference(
            Fact::Width,
            planned.width.map(|own| own.name()),
            found.width.map(|own| own.name()),
            word,
        ),
        difference(Fact::EccBits, planned.ecc_bits, found.ecc_bits, count),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn difference<T: PartialEq>(
    fact: Fact,
    planned: Option<T>,
    found: Option<T>,
    value: impl Fn(T) -> Value,
) -> Option<Difference> {
    let (planned, found) = (planned?, found?);
    (planned != found).then(|| Difference {
        fact,
        planned: value(planned),
        found: value(found),
    })
}

/// Whether less of the same module is seen: capacity, and with it perhaps ranks, and nothing else.
fn is_part(differences: &[Difference], planned: &ModuleFacts, found: &ModuleFacts) -> bool {
    let only = |own: &Difference| matches!(own.fact, Fact::Capacity | Fact::PackageRanks);
    found.capacity < planned.capacity
        && differences.iter().any(|own| own.fact == Fact::Capacity)
        && differences.iter().all(only)
}

/// Facts that are planned and that a report can tell, but this one does not. No report tells the device
/// width or the height of stacks, so they are not asked for.
fn untold(planned: &ModuleFacts, found: &ModuleFacts) -> Vec<Fact> {
    let lacks = |fact, is_planned: bool, is_found: bool| (is_planned && !is_found).then_some(fact);
    [
        lacks(
            Fact::Generation,
            planned.generation.is_some(),
            found.generation.is_some(),
        ),
        lacks(Fact::Kind, planned.kind.is_some(), found.kind.is_some()),
        lacks(
            Fact::Capacity,
            planned.capacity.is_some(),
            found.capacity.is_some(),
        ),
        lacks(
            Fact::PackageRanks,
            planned.package_ranks.is_some(),
            found.package_ranks.is_some(),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}
