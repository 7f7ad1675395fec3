//! What fits a board, module by module, as JSON.

use crate::domain::fits::{Fill, ModuleFit};
use serde::Serialize;
use utoipa::ToSchema;

/// How a module of the catalogue fares on a board, alone and with every socket fitted.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = ModuleFit)]
pub struct ModuleFitBody {
    /// The module.
    #[schema(example = "ERW-3R32-4x4")]
    pub module: String,
    /// `fits`, `fits_with_warnings`, `undecided` or `does_not_fit`: the verdict of the largest count.
    #[schema(example = "fits")]
    pub verdict: &'static str,
    /// The most of this module that fit; 0 if none does.
    #[schema(example = 16)]
    pub largest_count: u32,
    /// Rules that stand in the way of one more; for a module that does not fit, of one.
    #[schema(example = json!(["rank-budget-exceeded"]))]
    pub limited_by: Vec<&'static str>,
    /// What each count gives at which the number of modules of the fullest channel changes, and the
    /// largest.
    pub fills: Vec<FillBody>,
}

/// What a number of modules gives.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Fill)]
pub struct FillBody {
    /// Modules.
    #[schema(example = 16)]
    pub count: u32,
    /// Modules on the fullest channel.
    #[schema(example = 2)]
    pub per_channel: u8,
    /// Usable capacity, in MiB.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 524288)]
    pub usable_mib: Option<u64>,
    /// The rate, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1066)]
    pub rate_mts: Option<u32>,
    /// Bandwidth when all memory is read evenly, in MB/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 68224)]
    pub uniform_mb_per_s: Option<u64>,
}

impl ModuleFitBody {
    /// How a module fares, as JSON.
    pub fn new(module: &str, fit: ModuleFit) -> Self {
        Self {
            module: module.to_owned(),
            verdict: fit.verdict.name(),
            largest_count: fit.largest,
            limited_by: fit.limited_by,
            fills: fit.fills.into_iter().map(FillBody::from).collect(),
        }
    }
}

impl From<Fill> for FillBody {
    fn from(fill: Fill) -> Self {
        Self {
            count: fill.count,
            per_channel: fill.per_channel,
            usable_mib: fill.usable.map(|c| c.0),
            rate_mts: fill.rate.map(|rate| rate.0),
            uniform_mb_per_s: fill.uniform.map(|b| b.0),
        }
    }
}
