//! A module in one line of a shop's list: its part number, its label, and what it costs.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::board::BoardRecord;
use super::module::{ModuleRecord, MoneyRecord};
use super::words::HeightName;

/// A module as one line of NDJSON. A line of a table has the same columns.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"part": "ERW-4R32-2x4", "label": "32GB 2Rx4 PC4-3200AA-RB2-12", "stock": 40}))]
pub struct ModuleLine {
    /// The id that requests name.
    #[schema(example = "ERW-4R32-2x4", min_length = 1, max_length = 100)]
    pub part: String,
    /// The text of its label, which tells the facts. Either this or `module`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "32GB 2Rx4 PC4-3200AA-RB2-12", max_length = 400)]
    pub label: Option<String>,
    /// Its facts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub module: Option<ModuleRecord>,
    /// Whether it is invented (demo data) or real; real if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub invented: Option<bool>,
    /// What to call it in an answer; its part if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub name: Option<String>,
    /// Maker of the module.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub maker: Option<String>,
    /// Height class, which a label does not tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<HeightName>,
    /// Price of one module.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<MoneyRecord>,
    /// Modules in stock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 40)]
    pub stock: Option<u32>,
    /// Modules are sold in multiples of this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 2, minimum = 1, maximum = 1024)]
    pub pack: Option<u32>,
}

/// Boards in one document.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardsFile {
    /// The boards.
    pub boards: Vec<BoardRecord>,
}
