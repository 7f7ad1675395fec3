//! What is preferred among plans: an order, weights, or a front.

use crate::domain::optimise::{FRONT_KEYS, Key, Preference};
use crate::wirecheck::{Fault, FaultCode};
use serde::Deserialize;
use utoipa::ToSchema;

use super::super::resolve::Reader;
use super::OptimiseRequest;

/// Points of a front, if the request does not say.
const USUAL_POINTS: usize = 40;

/// Something to prefer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum KeyName {
    /// What is paid, handling included; less is better. In minor units of the currency.
    Cost,
    /// Usable capacity; more is better. In MiB.
    Usable,
    /// Rate of the slowest channel; more is better. In MT/s.
    Rate,
    /// Peak bandwidth; more is better. In MB/s.
    Peak,
    /// Bandwidth when all memory is read evenly; more is better. In MB/s.
    Uniform,
    /// Peak power of all modules; less is better. In mW.
    Power,
    /// Modules on the board; fewer is better.
    Modules,
    /// Slots left free; more is better.
    FreeSlots,
    /// Installed modules that are moved or taken out; fewer is better.
    Moved,
    /// Distinct modules on the board; fewer is better.
    Parts,
}

impl KeyName {
    /// The core's key.
    pub const fn key(self) -> Key {
        match self {
            Self::Cost => Key::Cost,
            Self::Usable => Key::Usable,
            Self::Rate => Key::Rate,
            Self::Peak => Key::Peak,
            Self::Uniform => Key::Uniform,
            Self::Power => Key::Power,
            Self::Modules => Key::Modules,
            Self::FreeSlots => Key::FreeSlots,
            Self::Moved => Key::Moved,
            Self::Parts => Key::Parts,
        }
    }
}

/// The word of a key in requests and answers.
pub const fn key_word(key: Key) -> &'static str {
    match key {
        Key::Cost => "cost",
        Key::Usable => "usable",
        Key::Rate => "rate",
        Key::Peak => "peak",
        Key::Uniform => "uniform",
        Key::Power => "power",
        Key::Modules => "modules",
        Key::FreeSlots => "free_slots",
        Key::Moved => "moved",
        Key::Parts => "parts",
    }
}

/// What is preferred: an order, or weights.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PreferenceEntry {
    /// The first decides, then the second, and so on.
    #[schema(example = json!(["cost", "rate", "moved"]), min_items = 1, max_items = 10)]
    pub order: Option<Vec<KeyName>>,
    /// The lowest sum of weight times value decides; values of which more is better count negatively.
    pub weights: Option<WeightsEntry>,
}

/// The weight of one unit of each.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeightsEntry {
    /// Of one minor unit of the currency.
    #[schema(example = 1, maximum = 1_000_000_000)]
    pub cost: Option<u32>,
    /// Of one usable MiB.
    #[schema(example = 0, maximum = 1_000_000_000)]
    pub usable: Option<u32>,
    /// Of one MT/s.
    #[schema(example = 20, maximum = 1_000_000_000)]
    pub rate: Option<u32>,
    /// Of one MB/s of peak bandwidth.
    #[schema(example = 0, maximum = 1_000_000_000)]
    pub peak: Option<u32>,
    /// Of one MB/s of bandwidth when all memory is read evenly.
    #[schema(example = 0, maximum = 1_000_000_000)]
    pub uniform: Option<u32>,
    /// Of one mW.
    #[schema(example = 0, maximum = 1_000_000_000)]
    pub power: Option<u32>,
    /// Of one module on the board.
    #[schema(example = 0, maximum = 1_000_000_000)]
    pub modules: Option<u32>,
    /// Of one slot left free.
    #[schema(example = 500, maximum = 1_000_000_000)]
    pub free_slots: Option<u32>,
    /// Of one installed module moved or taken out.
    #[schema(example = 0, maximum = 1_000_000_000)]
    pub moved: Option<u32>,
    /// Of one distinct module on the board.
    #[schema(example = 0, maximum = 1_000_000_000)]
    pub parts: Option<u32>,
}

impl WeightsEntry {
    pub(super) fn list(&self) -> Vec<(Key, u32)> {
        let all = [
            (Key::Cost, self.cost),
            (Key::Usable, self.usable),
            (Key::Rate, self.rate),
            (Key::Peak, self.peak),
            (Key::Uniform, self.uniform),
            (Key::Power, self.power),
            (Key::Modules, self.modules),
            (Key::FreeSlots, self.free_slots),
            (Key::Moved, self.moved),
            (Key::Parts, self.parts),
        ];
        let told = all.into_iter().filter_map(|(key, w)| Some((key, w?)));
        told.filter(|(_, weight)| *weight > 0).collect()
    }
}

/// Plans that no other beats.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FrontEntry {
    /// Two or three of `cost`, `usable`, `rate`, `peak`, `uniform` and `power`. Of those that more is
    /// better of, each kit has a known value above 0: a board without memory is no point.
    #[schema(example = json!(["cost", "usable", "rate"]), min_items = 2, max_items = 3)]
    pub keys: Vec<KeyName>,
    /// The most points; 40 if left out.
    #[schema(example = 40, minimum = 1, maximum = 200)]
    pub points: Option<u16>,
}

/// What is preferred; the lowest cost, then the highest rate, if the request does not say.
pub(super) fn read(body: &OptimiseRequest) -> Preference {
    let told = body.preference.as_ref();
    let order = told.and_then(|told| told.order.as_ref());
    let weights = told.and_then(|told| told.weights.as_ref());
    match (order, weights) {
        (Some(order), _) => Preference::Ordered(order.iter().map(|name| name.key()).collect()),
        (None, Some(weights)) => Preference::Weighted(weights.list()),
        (None, None) => Preference::Ordered(vec![Key::Cost, Key::Rate]),
    }
}

/// The keys of the front and its most points, where one is asked for.
pub(super) fn front(body: &OptimiseRequest) -> Option<(Vec<Key>, usize)> {
    let front = body.front.as_ref()?;
    let keys = front.keys.iter().map(|name| name.key()).collect();
    Some((keys, front.points.map_or(USUAL_POINTS, usize::from)))
}

/// Names the faults of what is preferred.
pub(super) fn check(body: &OptimiseRequest, reader: &mut Reader<'_>) {
    if let Some(told) = &body.preference {
        check_told(told, reader);
    }
    if let Some(front) = &body.front {
        for (given, at) in [
            (body.plans.is_some(), "/plans"),
            (body.preference.is_some(), "/preference"),
        ] {
            if given {
                let fault = Fault::new(at, FaultCode::Unusable, "a front has its own order");
                let hint = "leave it out, or leave `front` out";
                reader.faults.push(fault.hint(hint));
            }
        }
        check_front(front, reader);
    }
}

fn check_told(told: &PreferenceEntry, reader: &mut Reader<'_>) {
    let weighs = told
        .weights
        .as_ref()
        .map(|weights| !weights.list().is_empty());
    let message = match (&told.order, weighs) {
        (Some(order), None) => {
            reader.faults.extend(repeated(order, "/preference/order"));
            return;
        }
        (None, Some(true)) => return,
        (Some(_), Some(_)) => "there are an order and weights",
        (None, _) => "nothing is preferred",
    };
    let fault = Fault::new("/preference", FaultCode::Unusable, message);
    let hint = "`order`, or `weights` with at least one weight above 0";
    reader.faults.push(fault.hint(hint));
}

fn check_front(front: &FrontEntry, reader: &mut Reader<'_>) {
    reader.faults.extend(repeated(&front.keys, "/front/keys"));
    let known = |name: &KeyName| FRONT_KEYS.contains(&name.key());
    for (index, name) in front.keys.iter().enumerate().filter(|(_, n)| !known(n)) {
        let message = format!("a front cannot be over `{}`", key_word(name.key()));
        let words = FRONT_KEYS.map(|key| format!("`{}`", key_word(key)));
        let fault = Fault::new(format!("/front/keys/{index}"), FaultCode::Unusable, message);
        let hint = format!("two or three of {}", words.join(", "));
        reader.faults.push(fault.hint(hint));
    }
}

/// Names that stand twice in a list.
fn repeated(names: &[KeyName], at: &str) -> Vec<Fault> {
    let again = names.iter().enumerate().filter(|(index, name)| {
        let before = names.get(..*index).unwrap_or_default();
        before.contains(name)
    });
    again
        .map(|(index, name)| {
            let message = format!("`{}` stands here twice", key_word(name.key()));
            Fault::new(format!("{at}/{index}"), FaultCode::Unusable, message).hint("each name once")
        })
        .collect()
}
