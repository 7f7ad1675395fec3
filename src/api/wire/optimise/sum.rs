//! Whether a weighted sum has room in the numbers that answers are written in.

use crate::domain::module::Module;
use crate::domain::optimise::Key;
use crate::wirecheck::{Fault, FaultCode};

use super::OptimiseRequest;
use super::preference::key_word;

/// A weighted sum must have room in the numbers that answers are written in.
pub(super) fn check(body: &OptimiseRequest, modules: &[&Module], slots: Slots) -> Option<Fault> {
    let weights = body.preference.as_ref()?.weights.as_ref()?.list();
    let handling = body.handling.as_ref().map_or(0, |money| money.minor);
    let terms = weights.into_iter().map(|(key, weight)| {
        let most = most_of(key, modules, slots, handling);
        (key, i128::from(weight) * most)
    });
    let terms: Vec<(Key, i128)> = terms.collect();
    let sum: i128 = terms.iter().map(|(_, most)| most).sum();
    if sum <= i128::from(i64::MAX) {
        return None;
    }
    let (key, _) = terms.into_iter().max_by_key(|(_, most)| *most)?;
    let at = format!("/preference/weights/{}", key_word(key));
    let message = "the weighted sum may not fit into 64 bits";
    let fault = Fault::new(at, FaultCode::OutOfRange, message);
    Some(fault.hint("smaller weights in the same proportion"))
}

/// How much of everything a board has room for.
#[derive(Clone, Copy)]
pub(super) struct Slots {
    pub(super) all: usize,
    pub(super) installed: usize,
    pub(super) channels: usize,
}

/// No plan comes to more of a key than this.
fn most_of(key: Key, modules: &[&Module], slots: Slots, handling: i64) -> i128 {
    let most = |fact: fn(&Module) -> Option<u64>| {
        let known = modules.iter().filter_map(|module| fact(module));
        i128::from(known.max().unwrap_or(0))
    };
    let rate = || most(|module| module.rating().map(|rate| u64::from(rate.0)));
    let (all, installed) = (slots.all as i128, slots.installed as i128);
    match key {
        Key::Cost => {
            // A pack may hold more than is used.
            let pack = |module: &Module| {
                let minor = u64::try_from(module.price?.minor).ok()?;
                minor.checked_mul(u64::from(module.pack.unwrap_or(1).max(1)))
            };
            most(pack) * all + i128::from(handling) * installed
        }
        Key::Usable => most(|module| Some(module.capacity?.0)) * all,
        Key::Rate => rate(),
        Key::Peak | Key::Uniform => rate() * 8 * slots.channels as i128,
        Key::Power => most(|module| Some(module.peak_power?.0)) * all,
        Key::Modules | Key::FreeSlots | Key::Parts => all,
        Key::Moved => installed,
    }
}
