//! Traps of Redfish.

use super::{codes, module, of_text, places};

use kitproof::read::inventory::record::Service;
use kitproof::read::inventory::{Code, Fact, Generation, Inventory, Kind, Occupancy, Placing};

fn redfish(member: &str) -> Inventory {
    of_text(&format!(
        r##"{{"@odata.type":"#MemoryCollection.MemoryCollection","Members":[
        {{"@odata.type":"#Memory.v1_7_1.Memory","Id":"1","DeviceLocator":"DIMM_P0_A0",{member}}}]}}"##
    ))
}

#[test]
fn redfish_decimal_capacity_and_hexadecimal_widths_are_put_right() {
    let inventory = redfish(
        r#""CapacityMiB":15625,"BusWidthBits":48,"DataWidthBits":40,"MemoryDeviceType":"DDR4",
        "AllowedSpeedsMHz":[3200,0],"OperatingSpeedMhz":2933,"Status":{"State":"Enabled"}"#,
    );
    let module = module(&inventory);
    assert_eq!(module.capacity_mib, Fact::Read(16 << 10));
    assert_eq!(module.total_width, Fact::Derived(72));
    assert_eq!(module.data_width, Fact::Derived(64));
    assert_eq!(module.rated_mts, Fact::Read(3200));
    assert_eq!(module.configured_mts, Fact::Read(2933));
}

#[test]
fn redfish_states_tell_the_occupancy() {
    for (member, wanted) in [
        (
            r#""Status":{"State":"Absent"},"CapacityMiB":0,"DataWidthBits":64"#,
            Occupancy::Empty,
        ),
        (
            r#""Status":{"State":"Enabled"},"CapacityMiB":0"#,
            Occupancy::Unreadable,
        ),
        (
            r#""Status":{"State":null},"CapacityMiB":null,"RankCount":null"#,
            Occupancy::Unreadable,
        ),
        (
            r#""Manufacturer":"0x2c80","PartNumber":"","Status":{"State":"Enabled"}"#,
            Occupancy::Unreadable,
        ),
        (r#""CapacityMiB":0"#, Occupancy::Unknown),
        (r#""CapacityMiB":16384"#, Occupancy::Populated),
        (
            r#""Oem":{"Maker":{"DIMMStatus":"NotPresent"}},"CapacityMiB":0"#,
            Occupancy::Empty,
        ),
    ] {
        assert_eq!(redfish(member).slots[0].occupancy, wanted, "{member}");
    }
}

// States and health: DSP0268 Resource 1.24; `Enabled` of Memory since 1.12.
#[test]
fn redfish_tells_whether_a_module_works() {
    let holds = |service: Service, code: Option<Code>, members: &[&str]| {
        for member in members {
            let inventory = redfish(&format!(r#""CapacityMiB":16384,{member}"#));
            assert_eq!(module(&inventory).service, service, "{member}");
            let codes = codes(&inventory);
            let told: Vec<Code> = codes
                .into_iter()
                .filter(|own| own.is_of_service())
                .collect();
            assert_eq!(told, code.into_iter().collect::<Vec<Code>>(), "{member}");
        }
    };
    holds(
        Service::InUse,
        None,
        &[
            r#""Status":{"State":"Enabled","Health":"OK"}"#,
            r#""Enabled":true,"Status":{"State":"Enabled"}"#,
        ],
    );
    holds(
        Service::Untold,
        None,
        &[r#""Status":{"State":null,"Health":null}"#],
    );
    holds(
        Service::SwitchedOff,
        Some(Code::ModuleSwitchedOff),
        &[
            r#""Status":{"State":"Disabled","Health":"Critical"}"#,
            r#""Status":{"State":"UnavailableOffline"}"#,
            r#""Status":{"State":"StandbyOffline"}"#,
            r#""Enabled":false,"Status":{"State":"Enabled"}"#,
        ],
    );
    holds(
        Service::InDoubt,
        Some(Code::ModuleInDoubt),
        &[
            r#""Status":{"State":"Enabled","Health":"Critical"}"#,
            r#""Status":{"State":"Enabled","Health":"Warning"}"#,
            r#""Status":{"State":"StandbySpare"}"#,
            r#""Status":{"State":"Degraded"}"#,
        ],
    );
    let empty = redfish(r#""CapacityMiB":0,"Status":{"State":"Absent","Health":"Critical"}"#);
    assert!(!codes(&empty).iter().any(|code| code.is_of_service()));
}

#[test]
fn redfish_device_type_other_80_bits_wide_is_ddr5() {
    let inventory = redfish(
        r#""CapacityMiB":65536,"BusWidthBits":80,"DataWidthBits":64,"MemoryDeviceType":"Other",
        "ErrorCorrection":"Multi-bit ECC""#,
    );
    assert_eq!(
        module(&inventory).generation,
        Fact::Derived(Generation::Ddr(5))
    );
    assert!(codes(&inventory).contains(&Code::EnumNotStandard));
}

// Memory types: DSP0268 Memory 1.24.
#[test]
fn redfish_persistent_memory_is_no_registered_module() {
    let kind = |memory_type: &str| {
        let member = format!(
            r#""CapacityMiB":131072,"BaseModuleType":"RDIMM","MemoryType":"{memory_type}""#
        );
        module(&redfish(&member)).kind
    };
    for memory_type in ["IntelOptane", "NVDIMM_F", "NVDIMM_P", "Cache"] {
        assert_eq!(kind(memory_type), Fact::Unknown, "{memory_type}");
    }
    assert_eq!(kind("NVDIMM_N"), Fact::Read(Kind::NvdimmN));
    assert_eq!(kind("DRAM"), Fact::Read(Kind::Rdimm));
}

#[test]
fn redfish_soldered_memory_is_left_out() {
    let inventory =
        redfish(r#""CapacityMiB":131072,"BaseModuleType":"Die","MemoryDeviceType":"LPDDR5_SDRAM""#);
    assert!(inventory.slots.is_empty());
}

#[test]
fn redfish_links_without_resources_are_named() {
    let inventory = of_text(
        r##"{"@odata.type":"#MemoryCollection.MemoryCollection",
        "Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/1"}],
        "Members@odata.nextLink":"/redfish/v1/Systems/1/Memory?$skip=1"}"##,
    );
    let codes = codes(&inventory);
    assert!(codes.contains(&Code::MembersNotExpanded));
    assert!(codes.contains(&Code::CollectionCut));
    assert!(codes.contains(&Code::NoSlots));
}

#[test]
fn redfish_made_up_locations_give_way_to_the_text() {
    let member = |letter: char, slot: u32| {
        format!(
            r#"{{"DeviceLocator":"P0 CHANNEL {letter} DIMM 0","CapacityMiB":16384,
            "MemoryLocation":{{"Socket":0,"MemoryController":0,"Channel":0,"Slot":{slot}}}}}"#
        )
    };
    for slots in [[0, 0], [65, 66]] {
        let [a, b] = slots;
        let inventory = of_text(&format!("[{},{}]", member('A', a), member('B', b)));
        let places = places(&inventory.slots);
        assert_eq!(
            places,
            [[1, 1, 1], [1, 2, 1]].map(|p| p.map(Some)),
            "{slots:?}"
        );
    }
}

#[test]
fn redfish_channels_numbered_under_each_controller_are_told_apart() {
    let member = |controller: u32| {
        format!(
            r#"{{"Name":"DIMM {controller}","CapacityMiB":16384,
            "MemoryLocation":{{"Socket":0,"MemoryController":{controller},"Channel":0,"Slot":0}}}}"#
        )
    };
    let inventory = of_text(&format!("[{},{}]", member(0), member(1)));
    assert_eq!(
        places(&inventory.slots),
        [[1, 1, 1], [1, 2, 1]].map(|p| p.map(Some))
    );
}

// Redfish need not name empty slots: A1 and C1 of a full list may be any channels of the board.
#[test]
fn redfish_of_filled_slots_only_places_no_more_than_it_tells() {
    let members = |names: &[&str]| {
        let member = |name: &&str| format!(r#"{{"DeviceLocator":"{name}","CapacityMiB":8192}}"#);
        names.iter().map(member).collect::<Vec<_>>().join(",")
    };
    for names in [
        ["DIMM A1", "DIMM A2"],
        ["P0_A0", "P0_C0"],
        ["P0_A2", "P0_B2"],
    ] {
        let inventory = of_text(&format!("[{}]", members(&names)));
        assert!(
            codes(&inventory).contains(&Code::SlotsMayBeLeftOut),
            "{names:?}"
        );
        assert!(
            inventory
                .slots
                .iter()
                .all(|slot| slot.place.channel == Fact::Unknown)
        );
    }
    let inventory = of_text(&format!("[{}]", members(&["P0_A0", "P0_B0"])));
    assert_eq!(inventory.placing, Placing::Told);
}

#[test]
fn redfish_members_come_in_natural_order() {
    let members: Vec<String> = [10, 9, 1]
        .iter()
        .map(|n| format!(r#"{{"DeviceLocator":"DIMM {n}","CapacityMiB":8192}}"#))
        .collect();
    let inventory = of_text(&format!("[{}]", members.join(",")));
    let names = inventory
        .slots
        .iter()
        .filter_map(|slot| slot.name.locator.as_deref());
    assert!(names.eq(["DIMM 1", "DIMM 9", "DIMM 10"]));
}

// The decimal number of a swapped JEP106 word, as one maker's controllers send it.
#[test]
fn redfish_maker_comes_as_a_decimal_number() {
    for (number, maker) in [("44288", "SK Hynix"), ("11264", "Micron Technology")] {
        let inventory = redfish(&format!(
            r#""CapacityMiB":16384,"MemoryDeviceType":"DDR4","VendorID":"{number}""#
        ));
        assert_eq!(
            module(&inventory).maker.value().map(String::as_str),
            Some(maker)
        );
    }
    let absent = redfish(r#""CapacityMiB":16384,"MemoryDeviceType":"DDR4","VendorID":"0""#);
    assert_eq!(module(&absent).maker, Fact::Unknown);
}

// Since version 1.9 of the schema the label stands under the location; old and bare mock-ups have a name.
#[test]
fn redfish_label_stands_in_one_of_three_members() {
    let named = |members: &str| {
        let inventory = of_text(&format!(
            r##"[{{"@odata.type":"#Memory.v1_9_0.Memory","Id":"x","CapacityMiB":16384,{members}}}]"##
        ));
        inventory.slots[0].name.locator.clone()
    };
    let service = r#""Location":{"PartLocation":{"ServiceLabel":"DIMM 7"}},"Name":"Memory 7""#;
    assert_eq!(named(service).as_deref(), Some("DIMM 7"));
    assert_eq!(named(r#""Name":"Memory 7""#).as_deref(), Some("Memory 7"));
    let both = format!(r#""DeviceLocator":"DIMM_A1",{service}"#);
    assert_eq!(named(&both).as_deref(), Some("DIMM_A1"));
}

// Accelerators stand among the processors, and one maker's summary even names one as the model.
#[test]
fn redfish_accelerators_are_no_processors() {
    let processor = |id: &str, kind: &str, model: &str| {
        format!(
            r##"{{"@odata.type":"#Processor.v1_3_0.Processor","Id":"{id}","Socket":"{id}","ProcessorType":"{kind}",
            "Model":"{model}","Status":{{"State":"Enabled"}}}}"##
        )
    };
    let memory = r##"{"@odata.type":"#Memory.v1_7_1.Memory","Id":"1","DeviceLocator":"DIMM_P0_A0","CapacityMiB":16384}"##;
    let inventory = of_text(&format!(
        "[{memory},{},{}]",
        processor("CPU0", "CPU", "Sandpiper 8 (invented)"),
        processor("GPU0", "GPU", "Dunlin 2 (invented)")
    ));
    let models: Vec<_> = inventory.processors.iter().map(|p| &p.model).collect();
    assert_eq!(models.len(), 1, "{models:?}");
}
