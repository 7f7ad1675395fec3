//! Traps of processors.

use super::{device_text, of_table, of_text};
use crate::table::{Structure, device};

/// The status byte is that of DSP0134 7.5: bit 6 is the filled socket, bits 0 to 2 tell the rest (1 enabled,
/// 2 and 3 disabled, 4 idle); the words are those of a text report, and Redfish has a state.
#[test]
fn a_processor_that_is_switched_off_is_there_and_does_not_work() {
    let cases = [
        ("Populated, Enabled", 0x41, Some(true)),
        ("Populated, Disabled By User", 0x42, Some(false)),
        ("Populated, Disabled By BIOS", 0x43, Some(false)),
        ("Populated, Idle", 0x44, None),
    ];
    for (status, byte, wanted) in cases {
        let text = format!(
            "Handle 0x0400, DMI type 4, 48 bytes\nProcessor Information\n\t\
            Socket Designation: CPU1\n\tType: Central Processor\n\tStatus: {status}\n\n{}",
            device_text(&[])
        );
        let processor = Structure::new(4, 48, 0x0400)
            .text(0x04, "CPU1")
            .byte(0x05, 3)
            .byte(0x18, byte);
        let table = of_table(&[processor, device(84, "DIMM_A1", "B")]);
        for inventory in [of_text(&text), table] {
            let processor = &inventory.processors[0];
            assert_eq!(processor.populated.value(), Some(&true), "{status}");
            assert_eq!(processor.enabled.value().copied(), wanted, "{status}");
        }
    }
    let redfish = |state: &str| {
        of_text(&format!(
            r##"[{{"@odata.type":"#Processor.v1_5_0.Processor","Id":"CPU1","Socket":"CPU 1","ProcessorType":"CPU",
            "Model":"Curlew 24","Status":{{"State":"{state}"}}}},
            {{"@odata.type":"#Memory.v1_7_1.Memory","Id":"1","DeviceLocator":"A1","CapacityMiB":16384}}]"##
        ))
    };
    let cases = [
        ("Enabled", Some(true)),
        ("Disabled", Some(false)),
        ("Starting", None),
    ];
    for (state, wanted) in cases {
        let inventory = redfish(state);
        let processor = &inventory.processors[0];
        assert_eq!(processor.enabled.value().copied(), wanted, "{state}");
    }
}
