//! Properties: no input makes a reader panic, and what it says hangs together.

use crate::labels::fixture_labels;
use crate::mutate::{Noise, mutate};
use crate::spd_images::images;
use kitproof::read::Reading;
use kitproof::read::fact::Standing;
use kitproof::read::label::{implied_die_mbit, read_label, write_label};
use kitproof::read::spd::{read_dump, read_spd};
use proptest::prelude::*;
use std::sync::LazyLock;

static IMAGES: LazyLock<Vec<Vec<u8>>> =
    LazyLock::new(|| images().into_iter().map(|(_, bytes, _)| bytes).collect());
static LABELS: LazyLock<Vec<String>> = LazyLock::new(|| {
    fixture_labels()
        .into_iter()
        .map(|(label, _)| label)
        .collect()
});

/// What holds of every reading, whatever the input.
pub fn hangs_together(reading: &Reading) {
    let module = &reading.module;
    let organisation = &module.organisation;
    let generation = module.generation.standing();
    assert!(
        !module.speed.rate_mts.is_known() || generation >= module.speed.rate_mts.standing(),
        "a rate is no surer than its generation"
    );
    if let (Some(package), Some(height), Some(logical)) = (
        organisation.package_ranks.get(),
        organisation.stack_height.get(),
        organisation.logical_ranks.get(),
    ) {
        assert_eq!(u16::from(package) * u16::from(height), logical);
    }
    if let (Some(mbit), Some(die)) = (implied_die_mbit(module), organisation.die.get()) {
        assert_eq!(mbit, die.mbit(), "capacity, ranks, width and die agree");
    }
    if organisation.die.standing() == Standing::Read {
        assert!(
            module
                .spd
                .checks
                .iter()
                .all(|check| check.first > 0 || check.is_right())
        );
    }
    let written = write_label(module);
    assert_eq!(
        written.text.is_none(),
        written
            .notes
            .iter()
            .any(|n| n.code() == "label-not-writable")
    );
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 4000,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn arbitrary_text_never_panics_the_label_reader(text in "\\PC{0,80}") {
        hangs_together(&read_label(&text));
    }

    #[test]
    fn text_of_label_characters_never_panics_the_label_reader(
        text in "([0-9]{1,3}GB )?[0-9DQSRX]{1,6}[xX×]?[0-9]{0,2} PC[0-9A-Z]{1,2}[-_ ][0-9A-Z]{3,7}(-[0-9A-Z]{0,5}){0,5}",
    ) {
        let reading = read_label(&text);
        hangs_together(&reading);
        if let Some(label) = write_label(&reading.module).text {
            let again = read_label(&label);
            prop_assert_eq!(write_label(&again.module).text, Some(label));
        }
    }

    #[test]
    fn mutated_labels_never_panic_the_label_reader(index in 0_usize..55, seed: u64) {
        let mut bytes = LABELS[index].clone().into_bytes();
        mutate(&mut Noise::new(seed), &mut bytes);
        hangs_together(&read_label(&String::from_utf8_lossy(&bytes)));
    }

    #[test]
    fn arbitrary_bytes_never_panic_the_spd_reader(
        mut bytes in proptest::collection::vec(any::<u8>(), 0..600),
        kind in proptest::sample::select(vec![0x0b_u8, 0x0c, 0x0e, 0x12, 0x55]),
    ) {
        if let Some(byte) = bytes.get_mut(2) {
            *byte = kind;
        }
        hangs_together(&read_spd(&bytes));
    }

    #[test]
    fn mutated_images_never_panic_the_spd_reader(index in 0_usize..17, seed: u64, repair: bool) {
        let mut bytes = IMAGES[index].clone();
        mutate(&mut Noise::new(seed), &mut bytes);
        if repair && bytes.len() >= 512 {
            crate::mutate::repair_checksums(&mut bytes);
        }
        hangs_together(&read_spd(&bytes));
    }

    #[test]
    fn arbitrary_text_never_panics_the_dump_reader(text in "(\\PC|\n){0,200}") {
        hangs_together(&read_dump(&text));
    }

    #[test]
    fn text_of_dump_characters_never_panics_the_dump_reader(text in "[0-9a-fx:,*| \nX=+/]{0,400}") {
        hangs_together(&read_dump(&text));
    }
}

#[test]
fn uses_no_more_of_a_long_dump_than_a_device_can_hold() {
    let text = "12".repeat(10_000);
    assert!(read_dump(&text).has("spd-too-long"));
}
