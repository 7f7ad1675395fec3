//! Reading one module: what is sent, and what comes back.

use crate::catalogue::record::ModuleRecord;
use crate::read::fact::Standing;
use crate::read::module_facts::Known;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::note::NoteBody;

/// One module, by its label or by its SPD image.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReadModuleRequest {
    /// The text of the module's label.
    #[schema(example = json!({"label": "32GB 2Rx4 PC4-3200AA-RB2-12"}))]
    Label(String),
    /// The bytes of its SPD device.
    Spd(Image),
}

/// Bytes as text.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[schema(as = SpdImage)]
#[serde(rename_all = "snake_case")]
pub enum Image {
    /// Hexadecimal digits, plain or as a dump with offsets.
    Hex(String),
    /// Base64.
    Base64(String),
}

/// What was read of a module.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = ModuleReading)]
pub struct ModuleReadingBody {
    /// `label` or `spd`.
    #[schema(example = "label")]
    pub source: &'static str,
    /// Whether it was well formed: no note weighs as a fault.
    pub sound: bool,
    /// The facts that were read or derived, as a request takes them. What is only assumed is left
    /// out.
    pub module: ModuleRecord,
    /// How sure each fact is.
    pub facts: Vec<FactBody>,
    /// Bits that the whole module carries at once, data and ECC of all sub-channels together: 64
    /// without ECC; 72 with ECC on DDR3 and DDR4, and on DDR5 with EC4; 80 with EC8. Left out where
    /// the ECC bits are unknown or only assumed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 72)]
    pub bus_bits: Option<u16>,
    /// The label that such a module would carry, as far as that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "32GB 2Rx4 PC4-3200AA-RB2-12")]
    pub label: Option<String>,
    /// What was noted.
    pub notes: Vec<NoteBody>,
}

/// How sure a fact is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = FactStanding)]
pub struct FactBody {
    /// The member of a module record.
    #[schema(example = "stack_height")]
    pub member: &'static str,
    /// `read`: it stands there. `derived`: it follows from what stands there. `assumed`: it is likely,
    /// but not used. `unknown`: nothing tells it.
    #[schema(example = "assumed")]
    pub standing: &'static str,
    /// What an assumed fact probably is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "1")]
    pub likely: Option<String>,
}

impl FactBody {
    /// The standing of each member.
    pub fn all(known: &Known) -> Vec<Self> {
        let standings = known.standings.iter();
        standings
            .map(|fact| Self {
                member: fact.member.name(),
                standing: fact.standing.name(),
                likely: fact.likely.clone(),
            })
            .collect()
    }

    /// Whether it is assumed only.
    pub fn is_assumed(&self) -> bool {
        self.standing == Standing::Assumed.name()
    }

    /// Whether nothing tells it.
    pub fn is_unknown(&self) -> bool {
        self.standing == Standing::Unknown.name()
    }
}
