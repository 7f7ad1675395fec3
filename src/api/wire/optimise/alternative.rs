//! A kit that somebody names beside the best one.

use crate::domain::board::Board;
use crate::domain::explain::Named;
use crate::wirecheck::{Fault, FaultCode};
use serde::Deserialize;
use utoipa::ToSchema;

use super::super::request::{KitEntry, MOST_MODULES, PopulationEntry};
use super::super::resolve::Reader;

/// Where it stands in a request to explain.
pub const AT: &str = "/alternative";

/// The kit that is held against the optimiser's: one of its members says which.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AlternativeEntry {
    /// Modules to buy, without slots. An empty list: to leave things as they are.
    #[schema(max_items = 1024)]
    pub kit: Option<Vec<KitEntry>>,
    /// Modules to buy, with slots.
    #[schema(max_items = 1024)]
    pub population: Option<Vec<PopulationEntry>>,
    /// One of the kits that the optimiser gives, the best being 1.
    #[schema(example = 2, minimum = 1, maximum = 20)]
    pub plan: Option<u16>,
}

impl AlternativeEntry {
    /// Looks every name up.
    pub(in crate::api) fn read(&self, reader: &mut Reader<'_>, board: &Board) -> Option<Named> {
        let before = reader.faults.len();
        let named = match (&self.kit, &self.population, self.plan) {
            (Some(kit), None, None) => Some(Named::Kit(reader.kit(kit))),
            (None, Some(seats), None) => Some(Named::Population(reader.population(seats, board))),
            (None, None, Some(number)) => Some(Named::Plan(usize::from(number).saturating_sub(1))),
            _ => {
                let message = "one of `kit`, `population` and `plan` says which kit is meant";
                let fault = Fault::new("", FaultCode::Unusable, message);
                reader.faults.push(fault.hint("just one of them"));
                None
            }
        };
        let modules = self.modules();
        if modules > MOST_MODULES {
            let message = format!("the kit names {modules} modules");
            let fault = Fault::new("", FaultCode::OutOfRange, message);
            reader
                .faults
                .push(fault.hint(format!("at most {MOST_MODULES} in all")));
        }
        for fault in reader.faults.iter_mut().skip(before) {
            fault.pointer.insert_str(0, AT);
        }
        named
    }

    fn modules(&self) -> u64 {
        let lines = self.kit.iter().flatten();
        let seats = self.population.as_ref().map_or(0, Vec::len) as u64;
        lines.map(|line| u64::from(line.quantity)).sum::<u64>() + seats
    }
}
