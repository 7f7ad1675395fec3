//! JSON Pointers into a request, and fixes as RFC 6902 patches to it.
//!
//! Before each change to something that is there stands a `test` of what is there, so that a patch
//! for another request fails instead of doing harm. A member that the request lacks is added, and
//! nothing is there to test.

use crate::domain::board::SlotIx;
use crate::domain::board::policy::Protection;
use crate::domain::finding::{Fact, Finding, Fix, Missing, Subject, WishChange};
use crate::domain::request::{
    Balance, InstalledPolicy, PartIx, Request, Seated, SocketState, VoltagePolicy, Wishes,
};
use crate::domain::rules::is_told;
use crate::domain::units::Money;
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

/// The edit of one member: what it holds now is tested; one that is not there is added.
pub fn edit(path: impl Into<String>, old: Option<Value>, new: Value) -> Vec<Operation> {
    let path = path.into();
    match old {
        Some(old) => vec![
            operation("test", path.clone(), old),
            operation("replace", path, new),
        ],
        None => vec![operation("add", path, new)],
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
        Fix::AdjustWish(change) => Some(wish(*change, request)),
        Fix::SetProtection(protection) => {
            let word = |protection| json!(protection_word(protection));
            // Another one is offered only where one was asked for.
            let old = Some(request.protection).filter(|old| *old != Protection::None);
            Some(edit("/protection", old.map(word), word(*protection)))
        }
        Fix::SetVoltagePolicy(policy) => {
            let old = request
                .names
                .voltage_policy
                .then_some(request.voltage_policy);
            let word = |policy| json!(voltage_word(policy));
            Some(edit("/voltage_policy", old.map(word), word(*policy)))
        }
        Fix::UpdateFirmware { version } => {
            let old = request.firmware.as_ref().map(|old| json!(old.text()));
            Some(edit("/firmware", old, json!(version)))
        }
        Fix::FitProcessor { socket } => {
            let index = usize::from(socket.checked_sub(1)?);
            let old = processor_word(*request.sockets.as_ref()?.get(index)?, context)?;
            let path = format!("/processors/{index}");
            Some(edit(path, Some(old), json!("fitted")))
        }
        Fix::ChooseProcessor { model } => choose_processor(*model, context),
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

/// The word of a voltage policy in a request.
pub const fn voltage_word(policy: VoltagePolicy) -> &'static str {
    match policy {
        VoltagePolicy::Fastest => "fastest",
        VoltagePolicy::Lowest => "lowest",
    }
}

/// The word of a balance in a request.
pub const fn balance_word(balance: Balance) -> &'static str {
    match balance {
        Balance::Sockets => "sockets",
        Balance::Channels => "channels",
    }
}

/// What stands in the request for a socket.
fn processor_word(state: SocketState, context: Context<'_>) -> Option<Value> {
    Some(match state {
        SocketState::Empty => json!("empty"),
        SocketState::Fitted(None) => json!("fitted"),
        SocketState::Fitted(Some(model)) => json!(context.board.processors.get(model)?.id),
    })
}

/// Every socket with a processor gets this model: a board takes no two.
fn choose_processor(model: usize, context: Context<'_>) -> Option<Vec<Operation>> {
    let id = json!(context.board.processors.get(model)?.id);
    let Some(sockets) = &context.request.sockets else {
        let all = vec![id; usize::from(context.board.sockets)];
        return Some(edit("/processors", None, Value::Array(all)));
    };
    let fitted = sockets.iter().copied().enumerate();
    let fitted = fitted.filter(|(_, state)| *state != SocketState::Empty);
    let edits = fitted.map(|(index, state)| {
        let old = processor_word(state, context)?;
        let path = format!("/processors/{index}");
        Some(edit(path, Some(old), id.clone()))
    });
    Some(edits.collect::<Option<Vec<_>>>()?.concat())
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

/// A wish that is failed is there.
fn wish(change: WishChange, request: &Request) -> Vec<Operation> {
    let at = |member: &str, value: Value| {
        let old = wished(member, &request.wishes);
        edit(format!("/wishes/{member}"), old, value)
    };
    match change {
        WishChange::CapacityAtLeast(capacity) => at("capacity_at_least_mib", json!(capacity.0)),
        WishChange::CapacityAtMost(capacity) => at("capacity_at_most_mib", json!(capacity.0)),
        WishChange::RateAtLeast(rate) => at("rate_at_least_mts", json!(rate.0)),
        WishChange::FreeSlots(count) => at("free_slots", json!(count)),
        WishChange::Budget(money) => at("budget", amount(money)),
        WishChange::PowerAtMost(power) => at("peak_power_at_most_mw", json!(power.0)),
        WishChange::Balance(balance) => at("balance", json!(balance.map(balance_word))),
        WishChange::ChipCorrection => at("chip_correction", json!(false)),
        WishChange::RankInterleave => at("rank_interleave", json!(false)),
    }
}

/// What the request holds of a wish.
pub fn wished(member: &str, wishes: &Wishes) -> Option<Value> {
    match member {
        "capacity_at_least_mib" => wishes.capacity_at_least.map(|wish| json!(wish.value.0)),
        "capacity_at_most_mib" => wishes.capacity_at_most.map(|wish| json!(wish.value.0)),
        "licence_at_most_mib" => wishes.licence.map(|wish| json!(wish.value.0)),
        "rate_at_least_mts" => wishes.rate_at_least.map(|wish| json!(wish.value.0)),
        "free_slots" => wishes.free_slots.map(|wish| json!(wish.value)),
        "budget" => wishes.budget.map(|wish| amount(wish.value)),
        "peak_power_at_most_mw" => wishes.power_at_most.map(|wish| json!(wish.value.0)),
        "balance" => wishes.balance.map(|wish| json!(balance_word(wish.value))),
        "chip_correction" => wishes.chip_correction.map(|_| json!(true)),
        "rank_interleave" => wishes.rank_interleave.map(|_| json!(true)),
        _ => None,
    }
}

fn amount(money: Money) -> Value {
    json!({"minor": money.minor, "currency": money.currency.code()})
}
