//! The JSON that `lshw` prints: the whole tree or the memory class alone.
//!
//! It drops the bank locator, ranks, the running rate, voltages and the total width, cuts clocks
//! to 32 bits and has no word for DDR5: a source of capacity and part number, little more.

use super::device;
use super::facts;
use super::json;
use super::judge::Told;
use super::locate::SlotMap;
use super::note::{Code, Note, Param};
use super::record::{Array, Fact, Format, Inventory, SlotName};
use super::whole::{self, Draft, Report, State};
use serde_json::{Map, Value};

type DraftNotes = Vec<(Code, Vec<(&'static str, Param)>)>;
type Node = Map<String, Value>;

/// Whether the JSON is of this format.
pub fn looks_like(values: &[Value]) -> bool {
    let is_node = |node: &Node| node.contains_key("class") && node.contains_key("id");
    json::objects(values).any(is_node)
}

/// Reads the JSON's top-level values.
pub fn read(values: &[Value], notes: Vec<Note>, map: &SlotMap) -> Inventory {
    let mut report = Report::new(Format::Lshw);
    report.notes = notes;
    report.names_tell_apart = false;
    let mut shared = Shared::default();
    for node in json::objects(values) {
        match json::text(node, "class").unwrap_or_default() {
            "system" => system(node, &mut report),
            "bus" => board(node, &mut report),
            "processor" => processor(node, &mut report),
            "memory" => memory(node, &mut report, &mut shared),
            _ => {}
        }
    }
    shared.divide(&mut report);
    whole::finish(report, map)
}

fn meaning(node: &Node, key: &str) -> Fact<String> {
    Fact::of(json::text(node, key).and_then(facts::meaning))
}

fn system(node: &Node, report: &mut Report) {
    let system = &mut report.system;
    system.maker = std::mem::take(&mut system.maker).or(meaning(node, "vendor"));
    system.product = std::mem::take(&mut system.product).or(meaning(node, "product"));
}

fn board(node: &Node, report: &mut Report) {
    if json::text(node, "id") == Some("core") {
        let system = &mut report.system;
        system.board_maker = std::mem::take(&mut system.board_maker).or(meaning(node, "vendor"));
        system.board = std::mem::take(&mut system.board).or(meaning(node, "product"));
    }
}

fn processor(node: &Node, report: &mut Report) {
    let owned = |key: &str| json::text(node, key).map(str::to_owned);
    let description = json::text(node, "description").unwrap_or_default();
    let configuration = node.get("configuration").and_then(Value::as_object);
    let cores = configuration.and_then(|c| json::number(c, "cores"));
    let populated = if description.contains("[empty]") {
        Some(false)
    } else {
        json::text(node, "product")
            .and_then(facts::meaning)
            .map(|_| true)
    };
    report.processors.push(device::processor(
        owned("slot"),
        owned("product"),
        owned("vendor"),
        populated,
        None,
        cores.and_then(|n| u32::try_from(n).ok()),
    ));
}

/// A capacity given for a group of banks only.
#[derive(Default)]
struct Shared {
    /// Per group: bytes and the banks of it.
    groups: Vec<(u64, Vec<usize>)>,
}

impl Shared {
    fn start(&mut self, sum: Option<u64>) {
        self.groups.push((sum.unwrap_or(0), Vec::new()));
    }

    fn add(&mut self, bank: usize) {
        if let Some((_, banks)) = self.groups.last_mut() {
            banks.push(bank);
        }
    }

    /// Divides the sum of a group where its filled banks have no size of their own but one part
    /// number, and the share is a capacity that is sold.
    fn divide(self, report: &mut Report) {
        for (sum, banks) in self.groups {
            let drafts = |report: &Report| -> Vec<Draft> {
                let of_group = banks.iter().filter_map(|i| report.drafts.get(*i));
                of_group.cloned().collect()
            };
            let group = drafts(report);
            let sizeless = |d: &&Draft| d.state == State::Unreadable;
            let open: Vec<&Draft> = group.iter().filter(sizeless).collect();
            // A bank that may hold a module has its share of the sum, or none.
            let sized = |d: &Draft| matches!(d.state, State::Filled | State::Untold);
            let sized = group.iter().any(sized);
            let Some(first) = open.first() else { continue };
            let alike = open
                .iter()
                .all(|d| d.told.part_number == first.told.part_number);
            let count = open.len() as u64;
            let share = (sum >> 20) / count;
            if sized || !alike || !facts::is_usual_capacity(share) || share * count != sum >> 20 {
                continue;
            }
            let params = vec![("sum", (sum >> 20).into()), ("modules", count.into())];
            report
                .notes
                .push(Note::report(Code::CapacityShared, params));
            for bank in &banks {
                if let Some(draft) = report.drafts.get_mut(*bank)
                    && draft.state == State::Unreadable
                {
                    draft.state = State::Filled;
                    draft.told.capacity_mib = Some(share);
                }
            }
        }
    }
}

fn memory(node: &Node, report: &mut Report, shared: &mut Shared) {
    let id = json::text(node, "id").unwrap_or_default();
    let kind = id.split(':').next().unwrap_or_default();
    match kind {
        "memory" if node.get("businfo").is_none() => {
            report.arrays.push(array(node));
            shared.start(json::number(node, "size"));
        }
        "bank" => {
            let array = report.arrays.last().and_then(|array| array.handle);
            shared.add(report.drafts.len());
            report.drafts.push(bank(node, array));
        }
        _ => {}
    }
}

fn array(node: &Node) -> Array {
    let configuration = node.get("configuration").and_then(Value::as_object);
    let detection = configuration.and_then(|c| json::text(c, "errordetection"));
    let maximum = json::number(node, "capacity").map(|bytes| bytes >> 20);
    Array {
        handle: handle(node),
        correction: Fact::of(detection.and_then(facts::correction)),
        maximum_mib: Fact::of(maximum.filter(|mib| *mib > 0)),
        slots: Fact::Unknown,
    }
}

/// `DMI:002F`.
fn handle(node: &Node) -> Option<u16> {
    let digits = json::text(node, "handle")?.strip_prefix("DMI:")?;
    u16::from_str_radix(digits, 16).ok()
}

fn bank(node: &Node, array: Option<u16>) -> Draft {
    let owned = |key: &str| json::text(node, key).map(str::to_owned);
    let description = json::text(node, "description").unwrap_or_default();
    let part = json::text(node, "product").and_then(facts::meaning);
    let size = json::number(node, "size").filter(|bytes| *bytes > 0);
    let empty = description.trim_end().ends_with("[empty]");
    let state = match (empty, size) {
        (true, _) => State::Vacant,
        (false, Some(_)) => State::Filled,
        (false, None) if part.is_some() => State::Unreadable,
        (false, None) if is_called_empty(node) => State::Vacant,
        // The tool marks a slot of size nought as empty, so here firmware tells no size.
        (false, None) => State::Untold,
    };
    let mut notes = Vec::new();
    let mib = size.map(|bytes| bytes >> 20);
    let mut told = Told {
        capacity_mib: mib.filter(|mib| *mib != facts::SATURATED_FIELD_MIB),
        saturated: mib == Some(facts::SATURATED_FIELD_MIB),
        data_width: json::number(node, "width").and_then(|n| u32::try_from(n).ok()),
        rated: rate(node, description, &mut notes),
        maker: owned("vendor"),
        part_number: owned("product"),
        serial: owned("serial"),
        ..Told::default()
    };
    describe(&mut told, description);
    Draft {
        handle: handle(node),
        array,
        name: SlotName {
            locator: json::text(node, "slot").and_then(facts::slot_name),
            bank: None,
        },
        state,
        told,
        notes,
        not_main: facts::words(description)
            .iter()
            .any(|word| device::is_soldered_or_rom_word(word)),
        ..Draft::default()
    }
}

/// Whether firmware writes in words that no module is there, as some does in place of a part number (a
/// sample of the tests of OpenStack ironic-python-agent).
fn is_called_empty(bank: &Node) -> bool {
    let names = ["product", "vendor", "serial"];
    let mut texts = names.iter().filter_map(|name| json::text(bank, name));
    texts.any(facts::says_no_module)
}

/// Generation, kind and form from the words of the description.
fn describe(told: &mut Told, description: &str) {
    let words = facts::words(description);
    let generation = words.iter().find_map(|word| facts::generation(word));
    device::set_type(told, (generation, description.to_owned()));
    let form = words.iter().find_map(|word| device::form_of_words(word));
    let kind = facts::kind_of_words(description);
    device::set_kind(told, kind, description.to_owned(), form);
}

/// `4800 MHz` of the description; else the clock, which is the rate in Hz cut to 32 bits.
fn rate(node: &Node, description: &str, notes: &mut DraftNotes) -> Option<u32> {
    let words = facts::words(description);
    let written = words.windows(2).find_map(|pair| match pair {
        [number, unit] if unit == "MHZ" => number.parse::<u32>().ok(),
        _ => None,
    });
    if written.is_some() {
        return written;
    }
    let clock = json::number(node, "clock").filter(|clock| *clock > 0)?;
    let uncut = (0..8)
        .map(|cut| clock.saturating_add(cut << 32))
        .find(|hertz| hertz.is_multiple_of(1_000_000))?;
    let rate = u32::try_from(uncut / 1_000_000).ok()?;
    if uncut != clock {
        let params = vec![("given", clock.into()), ("taken", rate.into())];
        notes.push((Code::RateWrapped, params));
    }
    Some(rate)
}
