//! One planned module against one that was found.

use super::super::finding::{Fact, Value};
use super::super::module::{Module, ModuleFacts};
use super::super::units::{Millivolts, Mts};
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
    /// It is alike in every fact, and there is no number to compare.
    Alike,
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
    /// Whether it surely is a module of the planned facts, as far as facts are compared one by one.
    pub fn is_same(&self) -> bool {
        matches!(self, Self::Same) || self.hangs_on_rules()
    }

    /// Whether its part number does not vouch for the facts that no report tells, so that the rules
    /// must say which of them matter.
    pub fn hangs_on_rules(&self) -> bool {
        matches!(self, Self::Alike | Self::SameOtherNumber | Self::Faster)
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
    let mut differences = differences(planned, found);
    if named && is_part(&differences, planned, &found.facts) {
        return Likeness::Part;
    }
    if rate == Rated::Slower && !named {
        differences.extend(difference(
            Fact::Rate,
            planned.rate,
            found.rating(),
            Value::Rate,
        ));
    }
    if !differences.is_empty() {
        return Likeness::Other(differences);
    }
    if named {
        // The number vouches for all but how much of the module is seen.
        let unseen = planned.capacity.is_some() && found.facts.capacity.is_none();
        return match unseen {
            true => Likeness::Open(vec![Fact::Capacity]),
            false => Likeness::Same,
        };
    }
    let mut open = untold(planned, found);
    if rate == Rated::Untold {
        open.push(Fact::Rate);
    }
    match (open.is_empty(), rate) {
        (false, _) => Likeness::Open(open),
        (true, Rated::Faster) => Likeness::Faster,
        (true, _) if names.is_empty() || found.names.is_empty() => Likeness::Alike,
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
/// unless the report is known to tell them apart, or the part number stands for it.
fn rate(planned: &Module, found: &FoundModule, own_rates: bool) -> Rated {
    match (planned.rate, found.rating()) {
        (None, _) => Rated::Same,
        (Some(_), None) => Rated::Untold,
        (Some(planned), Some(own)) if same_rate(planned, own) => Rated::Same,
        (Some(planned), Some(own)) if own > planned => Rated::Faster,
        (Some(_), Some(_)) if own_rates || found.is_rated() => Rated::Slower,
        (Some(_), Some(_)) => Rated::Untold,
    }
}

/// Facts that both tell and tell differently; the rate is another matter.
fn differences(planned: &ModuleFacts, found: &FoundModule) -> Vec<Difference> {
    let count = |count: u8| Value::Count(count.into());
    let word = Value::Word;
    [
        difference(
            Fact::Generation,
            planned.generation.map(|own| own.name()),
            found.told(|own| own.generation).map(|own| own.name()),
            word,
        ),
        difference(
            Fact::Kind,
            planned.kind.map(|own| own.name()),
            found.told(|own| own.kind).map(|own| own.name()),
            word,
        ),
        difference(
            Fact::Capacity,
            planned.capacity,
            found.facts.capacity,
            Value::Capacity,
        ),
        difference(
            Fact::PackageRanks,
            planned.package_ranks,
            found.told(|own| own.package_ranks),
            count,
        ),
        difference(
            Fact::StackHeight,
            planned.stack_height,
            found.told(|own| own.stack_height),
            count,
        ),
        difference(
            Fact::Width,
            planned.width.map(|own| own.name()),
            found.told(|own| own.width).map(|own| own.name()),
            word,
        ),
        difference(
            Fact::EccBits,
            planned.ecc_bits,
            found.told(|own| own.ecc_bits),
            count,
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Facts besides, which matter only where a rule says so; the part number where nothing else differs.
pub(super) fn further_differences(planned: &ModuleFacts, found: &ModuleFacts) -> Vec<Difference> {
    let volts = |list: &Vec<Millivolts>| list.iter().copied().map(Value::Voltage).collect();
    let text = |own: &Option<String>| own.clone();
    let all = [
        difference(
            Fact::DieDensity,
            planned.die_density,
            found.die_density,
            Value::Density,
        ),
        difference(
            Fact::Supply,
            planned.supply.as_ref().map(volts),
            found.supply.as_ref().map(volts),
            Value::List,
        ),
        difference(Fact::Input, planned.input, found.input, Value::Voltage),
        difference(
            Fact::Height,
            planned.height.map(|own| own.name()),
            found.height.map(|own| own.name()),
            Value::Word,
        ),
        difference(
            Fact::ProductLine,
            text(&planned.product_line),
            text(&found.product_line),
            Value::Text,
        ),
        difference(
            Fact::DramMaker,
            text(&planned.dram_maker),
            text(&found.dram_maker),
            Value::Text,
        ),
        difference(
            Fact::PeakPower,
            planned.peak_power,
            found.peak_power,
            Value::Power,
        ),
        difference(Fact::Rate, planned.rate, found.rate, Value::Rate),
    ];
    let mut further: Vec<Difference> = all.into_iter().flatten().collect();
    if further.is_empty() {
        further.extend(difference(
            Fact::PartNumber,
            text(&planned.part_number),
            text(&found.part_number),
            Value::Text,
        ));
    }
    further
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
/// width or the height of stacks: where they matter, the rules say so.
fn untold(planned: &ModuleFacts, found: &FoundModule) -> Vec<Fact> {
    let lacks = |fact, is_planned: bool, is_found: bool| (is_planned && !is_found).then_some(fact);
    [
        lacks(
            Fact::Generation,
            planned.generation.is_some(),
            found.told(|own| own.generation).is_some(),
        ),
        lacks(
            Fact::Kind,
            planned.kind.is_some(),
            found.told(|own| own.kind).is_some(),
        ),
        lacks(
            Fact::Capacity,
            planned.capacity.is_some(),
            found.facts.capacity.is_some(),
        ),
        lacks(
            Fact::PackageRanks,
            planned.package_ranks.is_some(),
            found.told(|own| own.package_ranks).is_some(),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}
