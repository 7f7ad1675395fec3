//! An input for every kind of note: a new kind does not compile until it has one.

use crate::invented;
use crate::table::{Structure, device, table};
use crate::traps::lshw::lshw_bank;
use crate::traps::{ONE_PROCESSOR, device_text};
use kitproof::read::inventory::{Code, MappedPlace, SlotMap, read};

#[test]
fn every_kind_of_note_is_met() {
    let missing: Vec<&str> = Code::ALL
        .iter()
        .filter(|code| {
            let inventory = read(&example(**code), &mapping(**code));
            !inventory.notes.iter().any(|note| note.code == **code)
        })
        .map(|code| code.code())
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

fn mapping(code: Code) -> SlotMap {
    let mut map = SlotMap::default();
    let place = MappedPlace {
        socket: 1,
        channel: 1,
        position: 1,
    };
    match code {
        Code::LocatorNotInMapping => map.insert("elsewhere", None, place),
        Code::MappingAmbiguous => map.insert("DIMM_A1", None, place),
        _ => {}
    }
    map
}

fn one(changes: &[(&str, &str)]) -> Vec<u8> {
    device_text(changes).into_bytes()
}

/// A device and another structure of the text.
fn with(other: &str) -> Vec<u8> {
    format!("{}{other}", device_text(&[])).into_bytes()
}

fn twice(changes: &[(&str, &str)], other: &str) -> Vec<u8> {
    let device = device_text(changes);
    format!("{device}{device}{other}").into_bytes()
}

fn member(text: &str) -> Vec<u8> {
    format!(r##"[{{"@odata.type":"#Memory.v1_7_1.Memory","Id":"1",{text}}}]"##).into_bytes()
}

fn array(pairs: &str) -> String {
    format!(
        "Handle 0x1000, DMI type 16, 23 bytes\nPhysical Memory Array\n\tUse: System Memory\n{pairs}\n"
    )
}

fn range(size: &str) -> String {
    format!(
        "Handle 0x1300, DMI type 19, 31 bytes\nMemory Array Mapped Address\n\tRange Size: {size}\n\n"
    )
}

const COLLECTION: &str = r##"{"@odata.type":"#MemoryCollection.MemoryCollection",
    "Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/1"}],
    "Members@odata.nextLink":"/redfish/v1/Systems/1/Memory?$skip=1"}"##;
const LSHW_OBJECT: &str = r#"{"id":"bank:0","class":"memory","size":17179869184} "#;

fn example(code: Code) -> Vec<u8> {
    let ddr3_clock = [("Type", "DDR3"), ("Speed", "667 MHz")];
    match code {
        Code::FormatNotRecognised => b"nothing of the sort".to_vec(),
        Code::JsonBroken => b"{\"id\":".to_vec(),
        Code::JsonRepaired => LSHW_OBJECT.repeat(2).into_bytes(),
        Code::TableEndsEarly => {
            let mut bytes = table(&[device(84, "DIMM_A1", "B")]);
            bytes.truncate(bytes.len() - 6);
            bytes
        }
        Code::TableNotFound => invented::dump()[..0x20].to_vec(),
        Code::StructuresRepeated => format!("# dmidecode 3.3\n\n{}", device_text(&[]))
            .repeat(2)
            .into_bytes(),
        Code::NoSlots => b"# dmidecode 3.3\n".to_vec(),
        Code::TooManySlots => device_text(&[]).repeat(1025).into_bytes(),
        Code::MembersNotExpanded | Code::CollectionCut => COLLECTION.as_bytes().to_vec(),
        Code::NotSystemMemory => one(&[("Type", "Flash")]),
        Code::SlotListedTwice => twice(&[], &range("16 GB")),
        Code::SlotMayBeListedTwice => twice(&[], ""),
        Code::SlotsClash => twice(&[], ONE_PROCESSOR),
        Code::LocatorsNotTrusted => one(&[("Locator", "A1")]),
        Code::SlotsMayBeLeftOut => member(r#""DeviceLocator":"P0_C0","CapacityMiB":8192"#),
        Code::ChannelNumbersHaveGaps => {
            let other = device_text(&[("Locator", "DIMM_C1")]);
            with(&other)
        }
        Code::SocketAssumed | Code::LocatorNotInMapping => one(&[]),
        Code::SocketsWithoutSlots => {
            let bank = [("Bank Locator", "P0 CHANNEL A")];
            let device = device_text(&bank);
            format!("{ONE_PROCESSOR}{ONE_PROCESSOR}{device}").into_bytes()
        }
        Code::PlacementUnknown => one(&[("Locator", "DIMM 1")]),
        Code::MappingAmbiguous => twice(&[], ""),
        Code::SlotCountDiffers => with(&array("\tNumber Of Devices: 4\n")),
        Code::MappedMemoryDiffers => with(&range("8 GB")),
        Code::MappedMoreThanDescribed => with(&range("64 GB")),
        Code::ProductNameGeneric => invented::TEXTS[0].as_bytes().to_vec(),
        Code::OccupancyUnknown => one(&[("Size", "Unknown")]),
        Code::ModuleUnreadable => member(r#""CapacityMiB":null"#),
        Code::ModuleSwitchedOff => member(r#""CapacityMiB":8192,"Enabled":false"#),
        Code::ModuleInDoubt => member(r#""CapacityMiB":8192,"Status":{"Health":"Critical"}"#),
        Code::PresenceFromCapacity => member(r#""CapacityMiB":8192"#),
        Code::CapacitySaturated => one(&[("Size", "32767 MB")]),
        Code::CapacityFromMappedMemory => {
            let device = device_text(&[("Size", "32767 MB")]);
            format!("{device}{}", range("64 GB")).into_bytes()
        }
        Code::CapacityRounded => member(r#""CapacityMiB":15625"#),
        Code::CapacityShared => lshw_bank("").into_bytes(),
        Code::CapacityOdd => one(&[("Size", "20 GB")]),
        Code::WidthsHexDigits => {
            member(r#""CapacityMiB":8192,"BusWidthBits":48,"DataWidthBits":40"#)
        }
        Code::WidthsSwapped => one(&[("Total Width", "64 bits"), ("Data Width", "72 bits")]),
        Code::WidthNotBelievable => one(&[("Total Width", "128 bits")]),
        Code::EccFromArray => {
            let device = device_text(&[("Total Width", "Unknown")]);
            let array = array("\tError Correction Type: Multi-bit ECC\n");
            format!("{device}{array}").into_bytes()
        }
        Code::EccDisagrees => with(&array("\tError Correction Type: None\n")),
        Code::GenerationInferred => one(&[("Type", "Unknown")]),
        Code::GenerationUnknown => one(&[("Type", "Unknown"), ("Configured Voltage", "")]),
        Code::KindNotStated => one(&[("Type Detail", "Synchronous")]),
        Code::KindContradictory => one(&[("Type Detail", "Registered Unbuffered")]),
        Code::RanksUnknown => one(&[("Rank", "Unknown")]),
        Code::RanksNotBelievable => one(&[("Rank", "3")]),
        Code::RanksMayCountStack => one(&[("Rank", "8")]),
        Code::RatedRateUnknown => one(&[("Speed", "Unknown")]),
        Code::RateWasClock => one(&ddr3_clock),
        Code::RateMayBeClock => one(&[
            ("Type", "DDR3"),
            ("Speed", "800 MHz"),
            ("Configured Memory Speed", ""),
        ]),
        Code::RateWrapped => lshw_bank(r#","size":68719476736,"clock":505032704"#).into_bytes(),
        Code::RateOdd => one(&[("Speed", "1639 MT/s")]),
        Code::RateNotBelievable => one(&[("Speed", "65535 MT/s")]),
        Code::ConfiguredAboveRated => one(&[("Speed", "2400 MT/s")]),
        Code::VoltageNotBelievable => one(&[("Configured Voltage", "12 V")]),
        Code::MakerFromCode => one(&[("Manufacturer", "80CE")]),
        Code::PartNumberCoded => one(&[("Part Number", "4D33")]),
        Code::PartNumberNoUse => one(&[("Part Number", "6478545886")]),
        Code::PartNumberIsSpare => one(&[("Part Number", "672612-181")]),
        Code::NotPlainDram => {
            let nvdimm = device(84, "DIMM_A1", "B").byte(0x28, 4);
            table(&[Structure::new(1, 27, 1), nvdimm])
        }
        Code::EnumNotStandard => member(r#""CapacityMiB":8192,"ErrorCorrection":"Multi-bit ECC""#),
    }
}
