//! Traps of Redfish.

use super::{codes, module, of_text, places};

use kitproof::read::inventory::{Code, Fact, Generation, Inventory, Occupancy, Placing};

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
