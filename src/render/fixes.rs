//! Fixes in words.

use crate::domain::board::SlotIx;
use crate::domain::board::policy::Protection;
use crate::domain::finding::{Fact, Fix, Value, WishChange};
use crate::domain::request::{Balance, PartIx, VoltagePolicy};
use fluent_bundle::FluentArgs;

use super::words::{Context, Words};
use super::{lists, values};

/// The sentence of a fix.
pub fn sentence(fix: &Fix, words: &Words, context: Context<'_>) -> String {
    let (id, args) = phrase(fix, words, context);
    words.say(id, &args)
}

fn phrase(fix: &Fix, words: &Words, context: Context<'_>) -> (&'static str, FluentArgs<'static>) {
    let label = |slot: SlotIx| context.board.label(slot).to_owned();
    let mut args = FluentArgs::new();
    let id = match fix {
        Fix::Rearrange(seats) => {
            args.set("seats", seats_text(seats, words, context));
            "fix-rearrange"
        }
        Fix::Move { from, to } => {
            args.set("from", label(*from));
            args.set("to", label(*to));
            "fix-move"
        }
        Fix::Swap { one, other } => {
            args.set("one", label(*one));
            args.set("other", label(*other));
            "fix-swap"
        }
        Fix::Remove { slot } => {
            args.set("slot", label(*slot));
            "fix-remove"
        }
        Fix::SetQuantity { line, quantity } => {
            let asked = context.request.kit.get(*line as usize);
            args.set("quantity", *quantity);
            args.set("asked", asked.map_or(0, |line| line.quantity));
            args.set(
                "part",
                asked
                    .map_or("?", |line| context.part_name(line.part))
                    .to_owned(),
            );
            "fix-set-quantity"
        }
        Fix::ChooseOther { part, needs } => {
            args.set("part", context.part_name(*part).to_owned());
            args.set("needs", needs_text(needs, words, context));
            "fix-choose-other"
        }
        Fix::AdjustWish(change) => return wish(change, words, context),
        Fix::SetProtection(Protection::None) => "fix-set-protection-none",
        Fix::SetProtection(protection) => {
            args.set("protection", words.term(protection.name()));
            "fix-set-protection"
        }
        Fix::SetVoltagePolicy(VoltagePolicy::Fastest) => "fix-set-voltage-fastest",
        Fix::SetVoltagePolicy(VoltagePolicy::Lowest) => "fix-set-voltage-lowest",
        Fix::UpdateFirmware { version } => {
            args.set("version", version.clone());
            "fix-update-firmware"
        }
        Fix::FitProcessor { socket } => {
            args.set("socket", socket.to_string());
            "fix-fit-processor"
        }
        Fix::ChooseProcessor { model } => {
            let model = context.board.processors.get(*model);
            args.set(
                "model",
                model.map_or("?", |model| model.name.as_str()).to_owned(),
            );
            "fix-choose-processor"
        }
        Fix::OrderFillers { count } => {
            args.set("count", *count);
            "fix-order-fillers"
        }
        Fix::Tell(missing) => {
            args = words.fact_args(missing.fact);
            match missing.part {
                Some(part) => {
                    args.set("part", context.part_name(part).to_owned());
                    "fix-tell"
                }
                None => "fix-tell-general",
            }
        }
    };
    (id, args)
}

fn wish(
    change: &WishChange,
    words: &Words,
    context: Context<'_>,
) -> (&'static str, FluentArgs<'static>) {
    let mut args = FluentArgs::new();
    let mut value = |value: Value| args.set("value", values::argument(&value, words, context));
    let id = match *change {
        WishChange::CapacityAtLeast(capacity) => {
            value(Value::Capacity(capacity));
            "fix-wish-capacity-at-least"
        }
        WishChange::CapacityAtMost(capacity) => {
            value(Value::Capacity(capacity));
            "fix-wish-capacity-at-most"
        }
        WishChange::RateAtLeast(rate) => {
            value(Value::Rate(rate));
            "fix-wish-rate"
        }
        WishChange::FreeSlots(count) => {
            value(Value::Count(u64::from(count)));
            "fix-wish-free-slots"
        }
        WishChange::Budget(money) => {
            value(Value::Money(money));
            "fix-wish-budget"
        }
        WishChange::PowerAtMost(power) => {
            value(Value::Power(power));
            "fix-wish-power"
        }
        WishChange::Balance(None) => "fix-wish-balance-none",
        WishChange::Balance(Some(Balance::Sockets)) => "fix-wish-balance-sockets",
        WishChange::Balance(Some(Balance::Channels)) => "fix-wish-balance-channels",
        WishChange::ChipCorrection => "fix-wish-chip-correction",
        WishChange::RankInterleave => "fix-wish-rank-interleave",
    };
    (id, args)
}

/// Modules with their slots, one module after the other.
pub fn seats_text(seats: &[(SlotIx, PartIx)], words: &Words, context: Context<'_>) -> String {
    let mut parts: Vec<PartIx> = seats.iter().map(|(_, part)| *part).collect();
    parts.sort_unstable();
    parts.dedup();
    let items: Vec<String> = parts
        .into_iter()
        .map(|part| {
            let own: Vec<SlotIx> = seats
                .iter()
                .filter(|(_, other)| *other == part)
                .map(|(slot, _)| *slot)
                .collect();
            let mut args = FluentArgs::new();
            args.set("part", context.part_name(part).to_owned());
            args.set("slots", lists::slots(&own, words, context.board));
            words.say("fix-seat", &args)
        })
        .collect();
    lists::joined(&items, words)
}

fn needs_text(needs: &[(Fact, Value)], words: &Words, context: Context<'_>) -> String {
    let items: Vec<String> = needs
        .iter()
        .map(|(fact, value)| {
            let mut args = words.fact_args(*fact);
            args.set("value", values::text(value, words, context));
            words.say("fix-need", &args)
        })
        .collect();
    lists::joined(&items, words)
}
