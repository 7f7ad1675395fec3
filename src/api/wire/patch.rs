//! JSON Pointers into a request, and fixes as RFC 6902 patches to it.
//!
//! Each change to something that was there begins with a `test` of what was there, so that a patch
//! for another request fails instead of doing harm.

use crate::domain::board::SlotIx;
use crate::domain::board::policy::Protection;
use crate::domain::finding::{Fact, Finding, Fix, Missing, Subject, WishChange};
use crate::domain::request::{Balance, InstalledPolicy, PartIx, Request, Seated, VoltagePolicy};
use crate::domain::rules::is_told;
use crate::render::words::Context;
use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

use super::pointer::Pointer;

/// One operation of an RFC 6902 patch.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
#[schema(as = PatchOperation)]
pub struct Operation {
    /// `test`, `add`, `replace` or `remove`.
    #[schema(example = "replace")]
    pub op: &'static str,
    /// Where: an RFC 6901 pointer.
    #[schema(example = "/kit/0/quantity")]
    pub path: String,
    /// The value, for all but `remove`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 16)]
    pub value: Option<Value>,
}

/// An operation with a value.
pub fn operation(op: &'static str, path: impl Into<String>, value: Value) -> Operation {
    Operation {
        op,
        path: path.into(),
        value: Some(value),
    }
}

/// Where what a finding is about stands in the request.
pub fn pointers_of(finding: &Finding, request: &Request) -> Vec<Pointer> {
    let mut pointers: Vec<Pointer> = Vec::new();
    let told = finding
        .subjects
        .iter()
        .filter(|subject| is_told(**subject, request));
    for subject in told {
        match *subject {
            // Each is there once, and a line or entry names one module: no two of these are alike.
            Subject::Part(part) => pointers.extend(of_part(part, request)),
            Subject::PopulationEntry(entry) => {
                pointers.push(Pointer::Entry("population", entry as usize));
            }
            Subject::InstalledEntry(entry) => {
                pointers.push(Pointer::Entry("installed", entry as usize));
            }
            _ => {
                for pointer in pointers_to(*subject, &finding.sockets, request) {
                    if !pointers.contains(&pointer) {
                        pointers.push(pointer);
                    }
                }
            }
        }
    }
    pointers
}

/// Where a subject stands in the request.
fn pointers_to(subject: Subject, sockets: &[u8], request: &Request) -> Vec<Pointer> {
    let wish = |member: &str| vec![Pointer::from(format!("/wishes/{member}"))];
    match subject {
        Subject::Part(part) => of_part(part, request),
        Subject::KitLine(line) => vec![Pointer::Entry("kit", line as usize)],
        Subject::PopulationEntry(entry) => vec![Pointer::Entry("population", entry as usize)],
        Subject::InstalledEntry(entry) => vec![Pointer::Entry("installed", entry as usize)],
        Subject::Processors => processors(sockets),
        Subject::Firmware => vec!["/firmware".into()],
        Subject::Protection => vec!["/protection".into()],
        Subject::VoltagePolicy => vec!["/voltage_policy".into()],
        Subject::CapacityAtLeast => wish("capacity_at_least_mib"),
        Subject::CapacityAtMost => wish("capacity_at_most_mib"),
        Subject::RateAtLeast => wish("rate_at_least_mts"),
        Subject::FreeSlots => wish("free_slots"),
        Subject::Budget => wish("budget"),
        Subject::PowerAtMost => wish("peak_power_at_most_mw"),
        Subject::Balance => wish("balance"),
        Subject::Licence => wish("licence_at_most_mib"),
        Subject::ChipCorrection => wish("chip_correction"),
        Subject::RankInterleave => wish("rank_interleave"),
    }
}

/// The entries of some sockets, or of all.
fn processors(sockets: &[u8]) -> Vec<Pointer> {
    if sockets.is_empty() {
        return vec!["/processors".into()];
    }
    let entry = |socket: &u8| Pointer::Entry("processors", usize::from(socket.saturating_sub(1)));
    sockets.iter().map(entry).collect()
}

/// Every line or entry that names a module.
fn of_part(part: PartIx, request: &Request) -> Vec<Pointer> {
    let kit = request
        .kit
        .iter()
        .enumerate()
        .filter(|(_, line)| line.part == part);
    let mut all: Vec<Pointer> = kit
        .map(|(index, _)| Pointer::Member("kit", index, "module"))
        .collect();
    let mut seated = |list: &[Seated], name: &'static str| {
        let own = list.iter().enumerate();
        let own = own.filter(|(_, entry)| entry.part == part);
        all.extend(own.map(|(index, _)| Pointer::Member(name, index, "module")));
    };
    seated(&request.population, "population");
    seated(&request.installed, "installed");
    all
}

/// Where a missing fact can be told.
pub fn missing_pointers(missing: Missing, request: &Request) -> Vec<Pointer> {
    match (missing.fact, missing.part) {
        (_, Some(part)) => of_part(part, request),
        (Fact::Firmware, None) => vec!["/firmware".into()],
        (Fact::ProcessorModel, None) => vec!["/processors".into()],
        (Fact::Placement, None) => loose_lines(request),
        _ => Vec::new(),
    }
}

/// The lines and entries whose modules have no slot.
fn loose_lines(request: &Request) -> Vec<Pointer> {
    let kit = (0..request.kit.len()).map(|line| Pointer::Entry("kit", line));
    let in_place = request.installed_policy == InstalledPolicy::InPlace;
    let loose = request
        .staying()
        .filter(|(_, entry)| !in_place || entry.slot.is_none());
    kit.chain(loose.map(|(index, _)| Pointer::Entry("installed", index as usize)))
        .collect()
}

/// A fix as a patch; `None` where the request can't say it (a fact to tell, another module to choose,
/// fillers to order).
pub fn operations(fix: &Fix, context: Context<'_>) -> Option<Vec<Operation>> {
    let request = context.request;
    match fix {
        Fix::SetQuantity { line, quantity } => {
            let path = format!("/kit/{line}/quantity");
            let old = request.kit.get(*line as usize)?.quantity;
            Some(vec![
                operation("test", path.clone(), json!(old)),
                operation("replace", path, json!(quantity)),
            ])
        }
        Fix::Move { from, to } => reseat(*from, *to, context),
        Fix::Swap { one, other } => {
            let (first, second) = (
                reseat(*one, *other, context)?,
                reseat(*other, *one, context)?,
            );
            Some(first.into_iter().chain(second).collect())
        }
        Fix::Remove { slot } => {
            let index = request
                .population
                .iter()
                .rposition(|entry| entry.slot == Some(*slot))?;
            let test = operation(
                "test",
                format!("/population/{index}/slot"),
                json!(context.board.label(*slot)),
            );
            Some(vec![
                test,
                Operation {
                    op: "remove",
                    path: format!("/population/{index}"),
                    value: None,
                },
            ])
        }
        Fix::Rearrange(seats) => rearrange(seats, context),
        Fix::AdjustWish(change) => Some(vec![wish(*change)]),
        Fix::SetProtection(protection) => Some(vec![operation(
            "add",
            "/protection",
            json!(protection_word(*protection)),
        )]),
        Fix::SetVoltagePolicy(policy) => {
            let word = match policy {
                VoltagePolicy::Fastest => "fastest",
                VoltagePolicy::Lowest => "lowest",
            };
            Some(vec![operation("add", "/voltage_policy", json!(word))])
        }
        Fix::UpdateFirmware { version } => {
            Some(vec![operation("add", "/firmware", json!(version))])
        }
        Fix::FitProcessor { socket } => {
            request.sockets.as_ref()?;
            let path = format!("/processors/{}", socket.checked_sub(1)?);
            Some(vec![operation("replace", path, json!("fitted"))])
        }
        Fix::ChooseOther { .. } | Fix::OrderFillers { .. } | Fix::Tell(_) => None,
    }
}

/// The word of a protection in a request.
pub const fn protection_word(protection: Protection) -> &'static str {
    match protection {
        Protection::None => "none",
        Protection::Mirrored => "mirrored",
        Protection::RankSpare => "rank_spare",
        Protection::Lockstep => "lockstep",
    }
}

/// The entry of the population in one slot gets another slot.
fn reseat(from: SlotIx, to: SlotIx, context: Context<'_>) -> Option<Vec<Operation>> {
    let mut entries = context.request.population.iter();
    let index = entries.position(|entry| entry.slot == Some(from))?;
    let path = format!("/population/{index}/slot");
    let label = |slot| json!(context.board.label(slot));
    Some(vec![
        operation("test", path.clone(), label(from)),
        operation("replace", path, label(to)),
    ])
}

/// The n-th entry of a module in the population takes the n-th of its new slots.
fn rearrange(seats: &[(SlotIx, PartIx)], context: Context<'_>) -> Option<Vec<Operation>> {
    let mut left = seats.to_vec();
    let mut operations = Vec::new();
    for (index, entry) in context.request.population.iter().enumerate() {
        let next = left.iter().position(|(_, part)| *part == entry.part)?;
        let (slot, _) = left.remove(next);
        if entry.slot == Some(slot) {
            continue;
        }
        let path = format!("/population/{index}/slot");
        if let Some(old) = entry.slot {
            operations.push(operation(
                "test",
                path.clone(),
                json!(context.board.label(old)),
            ));
        }
        operations.push(operation("replace", path, json!(context.board.label(slot))));
    }
    Some(operations)
}

/// `add` replaces a member that is there (RFC 6902, 4.1).
fn wish(change: WishChange) -> Operation {
    let at = |member: &str, value: Value| operation("add", format!("/wishes/{member}"), value);
    match change {
        WishChange::CapacityAtLeast(capacity) => at("capacity_at_least_mib", json!(capacity.0)),
        WishChange::CapacityAtMost(capacity) => at("capacity_at_most_mib", json!(capacity.0)),
        WishChange::RateAtLeast(rate) => at("rate_at_least_mts", json!(rate.0)),
        WishChange::FreeSlots(count) => at("free_slots", json!(count)),
        WishChange::Budget(money) => at(
            "budget",
            json!({"minor": money.minor, "currency": money.currency.code()}),
        ),
        WishChange::PowerAtMost(power) => at("peak_power_at_most_mw", json!(power.0)),
        WishChange::Balance(Some(Balance::Sockets)) => at("balance", json!("sockets")),
        WishChange::Balance(Some(Balance::Channels)) => at("balance", json!("channels")),
        WishChange::Balance(None) => at("balance", Value::Null),
        WishChange::ChipCorrection => at("chip_correction", json!(false)),
        WishChange::RankInterleave => at("rank_interleave", json!(false)),
    }
}
