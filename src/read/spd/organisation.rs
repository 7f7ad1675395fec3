//! Ranks, dies and capacity: what follows from the organisation fields of an image.

use super::notes;
use crate::read::fact::{Fact, Standing};
use crate::read::note::Note;
use crate::read::record::{Organisation, ReadModule};
use crate::read::vocabulary::Kind;

/// Settles logical ranks, capacity and the kind, which depends on ECC.
pub(super) fn settle(module: &mut ReadModule, notes: &mut Vec<Note>) {
    let organisation = &mut module.organisation;
    let (ranks, height) = (organisation.package_ranks, organisation.stack_height);
    organisation.logical_ranks = Fact::computed(
        ranks
            .get()
            .zip(height.get())
            .map(|(ranks, height)| u16::from(ranks) * u16::from(height)),
        &[ranks.standing(), height.standing()],
    );
    let ecc = organisation.ecc_bits;
    module.kind = match module.kind.get() {
        Some(Kind::Udimm | Kind::SoDimm) => Fact::computed(
            module
                .kind
                .get()
                .zip(ecc.get())
                .map(|(kind, bits)| kind.with_ecc(bits)),
            &[module.kind.standing(), ecc.standing()],
        ),
        _ => module.kind,
    };
    if organisation.asymmetric.get() == Some(true) {
        notes.push(Note::new(&notes::ASYMMETRIC));
    } else {
        module.capacity_mib = capacity(organisation);
    }
}

/// Density / 8 x data bits / width x logical ranks; ECC devices never count.
fn capacity(organisation: &Organisation) -> Fact<u32> {
    let Organisation {
        die,
        data_bits,
        device_width,
        logical_ranks,
        ..
    } = organisation;
    let mib = || {
        let each = die.get()?.mbit() / 8;
        let devices = u32::from(data_bits.get()?).checked_div(u32::from(device_width.get()?))?;
        each.checked_mul(devices)?
            .checked_mul(u32::from(logical_ranks.get()?))
    };
    let inputs: [Standing; 4] = [
        die.standing(),
        data_bits.standing(),
        device_width.standing(),
        logical_ranks.standing(),
    ];
    Fact::computed(mib().filter(|mib| *mib > 0), &inputs)
}
