//! Redfish Memory resources (DSP0266, DSP2046 Memory schema), with processors and the system.
//!
//! Resources are found wherever they stand: an expanded collection, a list, one resource, or a
//! system with its collections inside. Values are read loosely, since controllers put texts of
//! their own where the schema names a set.

use super::device;
use super::facts;
use super::json;
use super::judge::Told;
use super::locate::words::{Seen, Style};
use super::locate::{Sighting, SlotMap};
use super::maker;
use super::note::{Code, Note, Param};
use super::record::{Fact, Format, Generation, Inventory, Kind, PlacedBy, Service, SlotName};
use super::whole::{self, Draft, Report, State};
use serde_json::{Map, Value};
use std::collections::BTreeSet;

type Resource = Map<String, Value>;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sort {
    Memory,
    MemoryCollection,
    Processor,
    System,
}

/// Whether the JSON is of this format.
pub fn looks_like(values: &[Value]) -> bool {
    json::objects(values).any(|object| sort(object).is_some())
}

/// What a resource is: by its type, or by members that only one schema has.
fn sort(object: &Resource) -> Option<Sort> {
    if let Some(name) = json::text(object, "@odata.type") {
        let schema = name.trim_start_matches('#').split('.').next()?;
        return match schema {
            "Memory" => Some(Sort::Memory),
            "MemoryCollection" => Some(Sort::MemoryCollection),
            "Processor" => Some(Sort::Processor),
            "ComputerSystem" => Some(Sort::System),
            _ => None,
        };
    }
    let has = |keys: &[&str]| keys.iter().any(|key| object.contains_key(*key));
    if has(&[
        "CapacityMiB",
        "MemoryDeviceType",
        "MemoryLocation",
        "DeviceLocator",
    ]) {
        return Some(Sort::Memory);
    }
    if has(&["ProcessorType"]) {
        return Some(Sort::Processor);
    }
    if has(&["MemorySummary", "ProcessorSummary"]) {
        return Some(Sort::System);
    }
    let links = memory_links(object);
    (!links.is_empty()).then_some(Sort::MemoryCollection)
}

/// Reads the JSON's top-level values.
pub fn read(values: &[Value], notes: Vec<Note>, map: &SlotMap) -> Inventory {
    let mut report = Report::new(Format::Redfish);
    report.notes = notes;
    let mut missing = Missing::default();
    for object in json::objects(values) {
        match sort(object) {
            Some(Sort::Memory) => {
                missing.have(object);
                report.drafts.push(draft(object));
            }
            Some(Sort::MemoryCollection) => missing.want(object),
            Some(Sort::Processor) => report.processors.extend(processor(object)),
            Some(Sort::System) => system(object, &mut report),
            None => {}
        }
    }
    missing.note(&mut report.notes);
    // Collections come in the order of their text: dimm1, dimm10, dimm11, dimm2.
    report.drafts.sort_by_cached_key(|draft| {
        facts::natural_key(draft.name.locator.as_deref().unwrap_or(""))
    });
    whole::finish(report, map)
}

/// What collections point to and what was sent.
#[derive(Default)]
struct Missing {
    wanted: BTreeSet<String>,
    had: BTreeSet<String>,
    next: Option<String>,
}

/// No collection of memory has more members that would be worth naming.
const MOST_LINKS: usize = 1024;

impl Missing {
    fn have(&mut self, memory: &Resource) {
        self.had
            .extend(json::text(memory, "@odata.id").map(str::to_owned));
    }

    fn want(&mut self, collection: &Resource) {
        for link in memory_links(collection) {
            if self.wanted.len() < MOST_LINKS {
                self.wanted.insert(link.to_owned());
            }
        }
        if let Some(next) = json::text(collection, "Members@odata.nextLink") {
            self.next = Some(next.to_owned());
        }
    }

    fn note(self, notes: &mut Vec<Note>) {
        let links: Vec<String> = self.wanted.difference(&self.had).cloned().collect();
        if !links.is_empty() {
            let params = vec![("links", Param::List(links))];
            notes.push(Note::report(Code::MembersNotExpanded, params));
        }
        if let Some(link) = self.next {
            notes.push(Note::report(
                Code::CollectionCut,
                vec![("link", link.into())],
            ));
        }
    }
}

/// Members of a collection that are links and nothing else.
fn memory_links(collection: &Resource) -> Vec<&str> {
    let members = collection.get("Members").and_then(Value::as_array);
    let link = |member: &'_ Value| -> Option<String> {
        let object = member.as_object()?;
        let only = object.len() == 1;
        json::text(object, "@odata.id")
            .filter(|link| only && link.contains("/Memory/"))
            .map(str::to_owned)
    };
    let members = members.map(Vec::as_slice).unwrap_or_default();
    members
        .iter()
        .filter(|member| link(member).is_some())
        .filter_map(|member| json::text(member.as_object()?, "@odata.id"))
        .collect()
}

fn meaning(resource: &Resource, key: &str) -> Option<String> {
    json::text(resource, key).and_then(facts::meaning)
}

fn system(resource: &Resource, report: &mut Report) {
    let system = &mut report.system;
    let maker = Fact::of(meaning(resource, "Manufacturer"));
    let model = Fact::of(meaning(resource, "Model"));
    system.maker = std::mem::take(&mut system.maker).or(maker);
    system.product = std::mem::take(&mut system.product).or(model);
}

/// A central processor: accelerators are listed beside them.
fn processor(resource: &Resource) -> Option<super::record::Processor> {
    let kind = json::text(resource, "ProcessorType").unwrap_or("CPU");
    if !kind.eq_ignore_ascii_case("CPU") {
        return None;
    }
    let owned = |key: &str| json::text(resource, key).map(str::to_owned);
    let model = meaning(resource, "Model");
    let populated = match state(resource) {
        Some("Absent") => Some(false),
        _ => model.as_ref().map(|_| true),
    };
    let enabled = match state(resource) {
        Some("Enabled") => Some(true),
        Some("Disabled") => Some(false),
        _ => None,
    };
    Some(device::processor(
        owned("Socket").or_else(|| owned("Id")),
        model,
        owned("Manufacturer"),
        populated,
        enabled,
        json::number(resource, "TotalCores").and_then(|n| u32::try_from(n).ok()),
    ))
}

fn state(resource: &Resource) -> Option<&str> {
    json::text(json::object(resource, "Status")?, "State")
}

/// Makers' own members, one object per maker.
fn makers_own(resource: &Resource) -> impl Iterator<Item = &Resource> {
    let own = json::object(resource, "Oem");
    own.into_iter()
        .flat_map(Map::values)
        .filter_map(Value::as_object)
}

fn own_text<'a>(resource: &'a Resource, key: &str) -> Option<&'a str> {
    makers_own(resource).find_map(|own| json::text(own, key))
}

fn own_number(resource: &Resource, key: &str) -> Option<u32> {
    let number = makers_own(resource).find_map(|own| json::number(own, key))?;
    u32::try_from(number).ok()
}

fn draft(resource: &Resource) -> Draft {
    let mut draft = Draft {
        name: SlotName {
            locator: locator(resource),
            bank: None,
        },
        state: occupancy(resource),
        sighting: sighting(resource),
        not_main: is_not_main(resource),
        ..Draft::default()
    };
    if draft.state == State::Filled && state(resource).is_none() {
        draft.notes.push((Code::PresenceFromCapacity, vec![]));
    }
    draft.told = told(resource, &mut draft.notes);
    if draft.state != State::Filled {
        draft.notes.retain(|(code, _)| !code.is_of_service());
    }
    draft
}

/// Whether the module works. `Status` holds `State` and `Health` (DSP0268, Resource 1.24: "unavailable",
/// "present but not able to be used", "requires immediate attention"), `Enabled` tells whether the memory
/// is enabled (Memory 1.12 on). A controller's own members are not looked at.
fn service(resource: &Resource, notes: &mut DraftNotes) -> Service {
    let status = json::object(resource, "Status");
    let of_status = |name: &str| status.and_then(|status| json::text(status, name));
    let given = |code: Code, member: &str, given: &str| {
        let params = vec![("member", member.into()), ("given", given.into())];
        (code, params)
    };
    let state = of_status("State").unwrap_or_default();
    let is_state = |names: &[&str]| names.iter().any(|name| state.eq_ignore_ascii_case(name));
    if resource.get("Enabled") == Some(&Value::Bool(false)) {
        notes.push(given(Code::ModuleSwitchedOff, "Enabled", "false"));
        return Service::SwitchedOff;
    }
    if is_state(&["Disabled", "UnavailableOffline", "StandbyOffline"]) {
        notes.push(given(Code::ModuleSwitchedOff, "Status.State", state));
        return Service::SwitchedOff;
    }
    let mut service = match state {
        "" => Service::Untold,
        _ if is_state(&["Enabled"]) => Service::InUse,
        _ => {
            notes.push(given(Code::ModuleInDoubt, "Status.State", state));
            Service::InDoubt
        }
    };
    let health = of_status("Health").unwrap_or_default();
    if !["", "OK"]
        .iter()
        .any(|sound| health.eq_ignore_ascii_case(sound))
    {
        notes.push(given(Code::ModuleInDoubt, "Status.Health", health));
        service = Service::InDoubt;
    }
    service
}

/// The printed label: its member changed its place in version 1.9 of the schema.
fn locator(resource: &Resource) -> Option<String> {
    let part = json::object(resource, "Location").and_then(|l| json::object(l, "PartLocation"));
    let label = part.and_then(|part| json::text(part, "ServiceLabel"));
    let named = [
        json::text(resource, "DeviceLocator"),
        label,
        json::text(resource, "Name"),
        json::text(resource, "Id"),
    ];
    named.into_iter().flatten().find_map(facts::slot_name)
}

fn occupancy(resource: &Resource) -> State {
    let state = state(resource);
    let own = own_text(resource, "DIMMStatus");
    let absent =
        |text: Option<&str>, word: &str| text.is_some_and(|t| t.eq_ignore_ascii_case(word));
    if absent(state, "Absent") || absent(own, "NotPresent") {
        return State::Vacant;
    }
    let capacity = json::number(resource, "CapacityMiB");
    if capacity.is_some_and(|mib| mib > 0) {
        return State::Filled;
    }
    let named = || {
        ["Manufacturer", "PartNumber"]
            .iter()
            .any(|key| meaning(resource, key).is_some())
    };
    let nulled = resource.get("CapacityMiB").is_some_and(Value::is_null);
    if state.is_some() || own.is_some() || nulled || named() {
        State::Unreadable
    } else {
        State::Untold
    }
}

fn sighting(resource: &Resource) -> Option<Sighting> {
    let location = json::object(resource, "MemoryLocation")?;
    let number = |key: &str| u32::try_from(json::number(location, key)?).ok();
    let channel = number("Channel");
    Some(Sighting {
        seen: Seen {
            socket: number("Socket"),
            controller: number("MemoryController"),
            channel,
            slot: number("Slot"),
            style: match channel {
                Some(_) => Style::Explicit,
                None => Style::None,
            },
        },
        by: PlacedBy::LocationNumbers,
    })
}

fn is_not_main(resource: &Resource) -> bool {
    let device = json::text(resource, "MemoryDeviceType").unwrap_or_default();
    let base = json::text(resource, "BaseModuleType").unwrap_or_default();
    device::is_soldered_or_rom_word(device) || base.eq_ignore_ascii_case("Die")
}

type DraftNotes = Vec<(Code, Vec<(&'static str, Param)>)>;

fn told(resource: &Resource, notes: &mut DraftNotes) -> Told {
    let small = |key: &str| {
        let number = json::number(resource, key)?;
        u32::try_from(number).ok()
    };
    let owned = |key: &str| json::text(resource, key).map(str::to_owned);
    let device_type = json::text(resource, "MemoryDeviceType").unwrap_or_default();
    let (part_number, other_part_numbers) = part_numbers(resource);
    let mut told = Told {
        capacity_mib: capacity(resource, notes),
        ranks: small("RankCount"),
        data_width: small("DataWidthBits"),
        total_width: small("BusWidthBits"),
        correction: correction(resource, notes),
        rated: rated(resource),
        configured: small("OperatingSpeedMhz").or_else(|| small("OperatingSpeedMHz")),
        configured_mv: own_number(resource, "Configured Voltage"),
        maker: owned("Manufacturer")
            .or_else(|| own_text(resource, "VendorName").map(str::to_owned)),
        maker_id: json::text(resource, "VendorID").and_then(maker::from_decimal),
        part_number,
        other_part_numbers,
        serial: owned("SerialNumber"),
        technology: technology(resource),
        service: service(resource, notes),
        ..Told::default()
    };
    let generation = facts::generation(device_type).filter(|_| !device_type.contains("SGRAM"));
    device::set_type(&mut told, (generation, device_type.to_owned()));
    set_kind(&mut told, resource, device_type);
    told
}

fn set_kind(told: &mut Told, resource: &Resource, device_type: &str) {
    let base = json::text(resource, "BaseModuleType")
        .or_else(|| own_text(resource, "BaseModuleType"))
        .unwrap_or_default();
    told.kind_text = base.to_owned();
    told.kind = match base.to_ascii_uppercase().as_str() {
        _ if device_type.to_ascii_uppercase().contains("MRDIMM") => Some(Kind::Mrdimm),
        "RDIMM" => Some(Kind::Rdimm),
        "UDIMM" => Some(Kind::Udimm),
        "LRDIMM" => Some(Kind::Lrdimm),
        "SO_DIMM" | "SO_UDIMM_72B" | "SO_DIMM_16B" | "SO_DIMM_32B" => Some(Kind::SoDimm),
        "SO_RDIMM_72B" => Some(Kind::SoRdimm),
        "MINI_RDIMM" => Some(Kind::MiniRdimm),
        "MINI_UDIMM" => Some(Kind::MiniUdimm),
        "CAMM" => Some(Kind::Camm),
        _ if told.generation == Some(Generation::Ddr(2)) && device_type.contains("FB_DIMM") => {
            Some(Kind::FbDimm)
        }
        _ => None,
    };
}

/// MiB; a size in decimal units is brought to the module capacity that it means.
fn capacity(resource: &Resource, notes: &mut DraftNotes) -> Option<u64> {
    let given = json::number(resource, "CapacityMiB").filter(|mib| *mib > 0)?;
    if given < 1024 || given.is_multiple_of(1024) {
        return Some(given);
    }
    let taken = facts::nearest_capacity(given)?;
    let params = vec![("given", given.into()), ("taken", taken.into())];
    notes.push((Code::CapacityRounded, params));
    Some(taken)
}

fn correction(resource: &Resource, notes: &mut DraftNotes) -> Option<super::record::Correction> {
    const SCHEMA: &[&str] = &["NoECC", "SingleBitECC", "MultiBitECC", "AddressParity"];
    let given = json::text(resource, "ErrorCorrection").filter(|text| !text.is_empty())?;
    if !SCHEMA.contains(&given) {
        let params = vec![
            ("given", given.into()),
            ("property", "ErrorCorrection".into()),
        ];
        notes.push((Code::EnumNotStandard, params));
    }
    facts::correction(given)
}

/// The schema has no member for the module's own rate: the highest allowed one stands for it.
fn rated(resource: &Resource) -> Option<u32> {
    let allowed = resource.get("AllowedSpeedsMHz").and_then(Value::as_array);
    let allowed = allowed.map(Vec::as_slice).unwrap_or_default();
    let highest = allowed.iter().filter_map(json::as_number).max();
    let highest = highest.and_then(|n| u32::try_from(n).ok());
    highest
        .filter(|rate| *rate > 0)
        .or_else(|| own_number(resource, "MaxOperatingSpeedMTs"))
}

fn part_numbers(resource: &Resource) -> (Option<String>, Vec<String>) {
    let own = own_text(resource, "PartNumber").and_then(facts::meaning);
    let given = [
        meaning(resource, "PartNumber"),
        meaning(resource, "Model"),
        own,
    ];
    let mut numbers = given.into_iter().flatten();
    (numbers.next(), numbers.collect())
}

fn technology(resource: &Resource) -> Option<String> {
    let kind = json::text(resource, "MemoryType")?;
    let plain = ["DRAM", ""]
        .iter()
        .any(|plain| kind.eq_ignore_ascii_case(plain))
        || facts::generation(kind).is_some();
    (!plain).then(|| kind.to_owned())
}
