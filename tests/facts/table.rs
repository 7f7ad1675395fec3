//! A published table as a file: sources, boards, modules and rows.

use kitproof::catalogue::Catalogue;
use kitproof::catalogue::load::{self, Content, File};
use serde::Deserialize;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Table {
    /// What it is.
    #[serde(rename = "table")]
    pub title: String,
    /// Whether its rows are about the boards and modules of the demo catalogue.
    #[serde(default)]
    pub on_demo_catalogue: bool,
    /// Credit that goes with rows carried over from elsewhere.
    #[serde(default)]
    pub attribution: Option<String>,
    /// Board records, just as in a catalogue's folder.
    #[serde(default)]
    pub boards: Vec<Value>,
    /// Module records by the names that rows use.
    #[serde(default)]
    pub modules: Map<String, Value>,
    /// Rows by source.
    pub groups: Vec<Group>,
    #[serde(skip)]
    pub file: String,
}

/// Rows of one source and one standing.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Group {
    /// Title and revision of the document.
    pub source: String,
    /// Table or section.
    pub section: String,
    /// How far the rows can be trusted.
    pub standing: Standing,
    /// What was read out of it, and which reading the board holds.
    #[serde(default)]
    pub note: Option<String>,
    /// Whether the same modules, given without slots, must find the best of the listed places.
    #[serde(default)]
    pub kit_road: bool,
    pub rows: Vec<Row>,
}

/// How far a row can be trusted.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// The source states it.
    #[serde(rename = "printed")]
    Printed,
    /// It follows from what the source states.
    #[serde(rename = "derived")]
    Derived,
    /// A real machine reported it.
    #[serde(rename = "observed")]
    Observed,
    /// A rule of the trade without a document.
    #[serde(rename = "common practice")]
    CommonPractice,
    /// Nobody looked it up.
    #[serde(rename = "from memory")]
    FromMemory,
}

impl Standing {
    pub fn name(self) -> &'static str {
        match self {
            Self::Printed => "printed",
            Self::Derived => "derived",
            Self::Observed => "observed",
            Self::CommonPractice => "common practice",
            Self::FromMemory => "from memory",
        }
    }
}

/// One row: either what sits on one channel and the rates by supply voltage, or a whole request.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    #[serde(default)]
    pub id: Option<String>,
    /// Further ids of the same check.
    #[serde(default)]
    pub more_ids: Vec<String>,
    /// In words, where the figures don't say it.
    #[serde(default)]
    pub what: Option<String>,
    /// The board whose first channel is filled.
    #[serde(default)]
    pub board: Option<String>,
    /// Modules of that channel, the slot nearest the processor first: index i of n is position
    /// n - i.
    #[serde(default)]
    pub near_to_far: Option<Vec<Option<String>>>,
    /// The highest rate by supply voltage in mV (`any` leaves the voltage to the modules); nothing
    /// where it is not supported.
    #[serde(default)]
    pub max_mts: BTreeMap<String, Option<u32>>,
    /// The rule that refuses it.
    #[serde(default)]
    pub refused_by: Option<String>,
    /// The row is another source's reading: the board holds this rate instead.
    #[serde(default)]
    pub board_holds: Option<u32>,
    /// A request to validate.
    #[serde(default)]
    pub request: Option<Value>,
    /// A label or an SPD image to read.
    #[serde(default)]
    pub reading: Option<Value>,
    /// What it must tell, by JSON Pointer into the answer.
    #[serde(default)]
    pub tells: BTreeMap<String, Value>,
    /// What must come out of it.
    #[serde(default)]
    pub expect: Option<Expect>,
    /// More requests of the same row.
    #[serde(default)]
    pub also: Vec<(Value, Expect)>,
    /// The rate that a real machine reported, to be predicted.
    #[serde(default)]
    pub observed_mts: Option<u32>,
    /// Why it differs from the prediction, and must go on to differ.
    #[serde(default)]
    pub differs_because: Option<String>,
}

/// What must come out of a request. Members that are left out are not looked at.
#[derive(Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Expect {
    /// Whether the verdict is one of `fits` and `fits_with_warnings`; otherwise `does_not_fit`.
    pub works: Option<bool>,
    pub verdict: Option<String>,
    pub rate_mts: Option<u32>,
    /// Another source's rate: it must not be this one.
    pub rate_is_not: Option<u32>,
    pub supply_mv: Option<u16>,
    pub cas_latency: Option<u8>,
    pub installed_mib: Option<u64>,
    pub usable_mib: Option<u64>,
    /// Seen ranks of each populated channel.
    pub seen_ranks: Option<Vec<u16>>,
    /// The rate of each populated channel alone, and levelled.
    pub alone_mts: Option<Vec<u32>>,
    pub channel_mts: Option<Vec<u32>>,
    /// Interleave regions, in any order.
    pub regions: Option<Vec<Region>>,
    /// Slots that the placement fills.
    pub slots: Option<Vec<String>>,
    /// Rules whose blockers must be broken.
    pub blocked_by: Vec<String>,
    /// Rules that must be broken, whatever their severity.
    pub found: Vec<String>,
    /// Rules that must not be broken.
    pub not_found: Vec<String>,
    /// What must be among the things that keep the rate down.
    pub limited_by: Vec<String>,
    /// Bounds, in MB/s.
    pub uniform_mb_per_s: Option<[u64; 2]>,
    pub peak_mb_per_s: Option<[u64; 2]>,
    /// What share of another request's uniform bandwidth it has.
    pub share: Option<Share>,
    /// Whatever else, by JSON Pointer into the answer.
    pub body: BTreeMap<String, Value>,
    /// Placements of a kit, near to far on the first channel, of which one must come out.
    #[serde(skip)]
    pub one_of: Vec<Vec<Option<String>>>,
}

/// An interleave region: its channels and, where the source tells, how much memory it spans.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
#[serde(deny_unknown_fields)]
pub struct Region {
    pub channels: Vec<u8>,
    #[serde(default)]
    pub gib: Option<u64>,
}

/// A share of another request's bandwidth, in per cent from and to.
#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Share {
    pub of: Value,
    pub percent: [u64; 2],
}

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/facts")
}

/// Every table, sorted by file name.
pub fn all() -> Vec<Table> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder().join("tables"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .collect();
    files.sort();
    files.iter().map(|path| Table::read(path)).collect()
}

impl Table {
    fn read(path: &Path) -> Self {
        let file = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let bytes = std::fs::read(path).unwrap();
        let table: Self =
            serde_json::from_slice(&bytes).unwrap_or_else(|fault| panic!("{file}: {fault}"));
        Self { file, ..table }
    }

    /// The table's boards and modules, read as a catalogue's files are.
    pub fn catalogue(&self) -> Catalogue {
        let modules = json!({"invented": true, "modules": self.modules}).to_string();
        let boards: Vec<(String, String)> = self
            .boards
            .iter()
            .map(|board| (format!("{}: {}", self.file, board["id"]), board.to_string()))
            .collect();
        let mut files = vec![File {
            name: &self.file,
            content: Content::Modules,
            bytes: modules.as_bytes(),
        }];
        files.extend(boards.iter().map(|(name, text)| File {
            name,
            content: Content::Board,
            bytes: text.as_bytes(),
        }));
        if self.on_demo_catalogue {
            assert!(boards.is_empty() && self.modules.is_empty());
            files = kitproof::catalogue::embedded::FILES.to_vec();
        }
        load::catalogue(&files).unwrap_or_else(|faults| panic!("{faults:#?}"))
    }

    fn board(&self, id: &str) -> &Value {
        let record = self.boards.iter().find(|record| record["id"] == id);
        record.unwrap_or_else(|| panic!("{}: no board `{id}`", self.file))
    }

    /// Labels of the first channel's slots, the farthest from the processor first.
    pub fn labels(&self, board: &str) -> Vec<String> {
        serde_json::from_value(self.board(board)["slots"][0]["labels"].clone()).unwrap()
    }

    /// The record's first processor model in every socket: channel rows are about a board's limits.
    pub fn processors(&self, board: &str) -> Vec<Value> {
        let record = self.board(board);
        let sockets = record["sockets"].as_u64().unwrap();
        (0..sockets)
            .map(|_| record["processors"][0]["id"].clone())
            .collect()
    }

    /// A module, held to one supply voltage if the row names one.
    pub fn module(&self, name: &str, supply: &str) -> Value {
        let record = self.modules.get(name);
        let mut record = record
            .unwrap_or_else(|| panic!("{}: no module `{name}`", self.file))
            .clone();
        record["name"] = json!(name);
        if let Ok(mv) = supply.parse::<u16>() {
            record["supply_mv"] = json!([mv]);
        }
        record
    }
}
