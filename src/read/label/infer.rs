//! What follows from the fields of a label together: ranks, ECC bits, voltage, latency, die density.

use super::head::Head;
use super::notes;
use super::organisation::Shape;
use super::tail::Tail;
use super::words::Pieces;
use crate::read::fact::{Fact, Standing};
use crate::read::grades;
use crate::read::note::{Note, Parameter};
use crate::read::record::ReadModule;
use crate::read::vocabulary::{DieDensity, Generation, Kind, Package, SpeedBin};

/// Settles the kind and the ECC bits from the module letter and the word EC4 or EC8.
pub(super) fn kind_and_ecc(
    pieces: &Pieces,
    head: &Head,
    tail: &Tail,
    module: &mut ReadModule,
    notes: &mut Vec<Note>,
) {
    let organisation = &mut module.organisation;
    organisation.subchannels = Fact::derived(match head.generation {
        Generation::Ddr5 => 2,
        _ => 1,
    })
    .at_most(head.standing);
    let word = (0..pieces.len()).find_map(|at| ecc_word(pieces.loose(at)?));
    let Some(letter) = tail.letter else {
        organisation.ecc_bits = Fact::of(word, head.standing);
        return;
    };
    let standing = letter.standing.min(head.standing);
    module.kind = Fact::of(Some(letter.kind), standing);
    organisation.data_bits = Fact::derived(64).at_most(standing);
    let full = module.build.raw_card.is_known();
    let tells = head.generation != Generation::Ddr5
        || letter.ecc_bits == 0
        || letter.letter == "P"
        || (letter.letter == "R" && full);
    organisation.ecc_bits = match word {
        Some(bits) if head.generation == Generation::Ddr5 && bits != letter.ecc_bits && tells => {
            let word = format!("EC{bits}");
            notes.push(Note::found(&notes::ECC_CONFLICT, &word).text("letter", letter.letter));
            Fact::unknown()
        }
        Some(bits) if head.generation == Generation::Ddr5 => Fact::of(Some(bits), head.standing),
        _ if tells => Fact::derived(letter.ecc_bits).at_most(standing),
        _ => {
            let bits = letter.ecc_bits.to_string();
            notes.push(Note::found(&notes::ECC_ASSUMED, &bits));
            Fact::assumed(letter.ecc_bits)
        }
    };
}

fn ecc_word(text: &str) -> Option<u8> {
    match text {
        "EC4" => Some(4),
        "EC8" => Some(8),
        _ => None,
    }
}

/// Compares a word such as RDIMM beside the label with the module letter.
pub(super) fn kind_word(pieces: &Pieces, tail: &Tail, notes: &mut Vec<Note>) {
    let Some(kind) = tail.letter.map(|letter| letter.kind) else {
        return;
    };
    let no_ecc = tail.letter.is_some_and(|letter| letter.ecc_bits == 0);
    for at in tail.end..pieces.len() {
        let before = at.checked_sub(1).and_then(|before| pieces.text(before));
        // `Non-ECC` and `on-die ECC` say nothing against it.
        let denied = matches!(before, Some("NON" | "NO" | "DIE"));
        if no_ecc && pieces.text(at) == Some("ECC") && !denied {
            let found = pieces.shown(at);
            notes.push(Note::found(&notes::KIND_WORD_DIFFERS, found).text("kind", kind.name()));
        }
        let fits: &[Kind] = match pieces.text(at).unwrap_or_default() {
            "RDIMM" => &[Kind::Rdimm],
            "LRDIMM" => &[Kind::Lrdimm],
            "UDIMM" => &[Kind::Udimm, Kind::EccUdimm],
            "SODIMM" => &[Kind::SoDimm, Kind::EccSoDimm, Kind::ClockedSoDimm],
            _ => continue,
        };
        if !fits.contains(&kind) {
            let found = pieces.shown(at);
            notes.push(Note::found(&notes::KIND_WORD_DIFFERS, found).text("kind", kind.name()));
        }
    }
}

/// Settles voltages from generation and voltage letter.
pub(super) fn supply(head: &Head, module: &mut ReadModule) {
    let (nominal, operable): (u16, &[u16]) = match (head.generation, head.voltage) {
        (Generation::Ddr3, None) => (1500, &[1500]),
        (Generation::Ddr3, Some('L')) => (1350, &[1500, 1350]),
        // From memory: a label seen nowhere among the sources.
        (Generation::Ddr3, Some(_)) => (1250, &[1500, 1350, 1250]),
        (Generation::Ddr4, _) => (1200, &[1200]),
        (Generation::Ddr5, _) => (1100, &[1100]),
    };
    // The letter is read, the number follows from it. Parts of 1.35 V are made to run at 1.5 V too
    // (JESD79-3-1, as makers' data sheets name it); for 1.25 V that is from memory.
    let standing = match head.voltage {
        Some('U') => Standing::Assumed,
        _ => Standing::Derived.min(head.standing),
    };
    module.supply.nominal_mv = Fact::of(Some(nominal), standing);
    module.supply.operable_mv = Fact::of(Some(operable.to_vec()), standing);
    module.supply.input_mv = input_mv(head.generation, &module.kind);
}

/// What a board feeds into a DDR5 module: 12 V for RDIMM and LRDIMM, 5 V for unbuffered ones.
pub(in crate::read) fn input_mv(generation: Generation, kind: &Fact<Kind>) -> Fact<u16> {
    kind.derive(|kind| match (generation, kind) {
        (Generation::Ddr5, Kind::Rdimm | Kind::Lrdimm | Kind::Mrdimm) => Some(12_000),
        (
            Generation::Ddr5,
            Kind::Udimm
            | Kind::EccUdimm
            | Kind::SoDimm
            | Kind::EccSoDimm
            | Kind::ClockedUdimm
            | Kind::ClockedSoDimm,
        ) => Some(5_000),
        _ => None,
    })
}

/// Settles what the organisation field counts.
pub(super) fn ranks(shape: &Shape, module: &mut ReadModule, notes: &mut Vec<Note>) {
    module.organisation.device_width = Fact::of(shape.width, shape.standing);
    let ranks = Fact::of(shape.ranks, shape.standing);
    if shape.letter.is_none() && counts_logical_ranks(shape, module) {
        module.organisation.logical_ranks = Fact::of(shape.ranks.map(u16::from), shape.standing);
        notes.push(Note::found(&notes::RANKS_ARE_LOGICAL, &shape.found));
        return;
    }
    if shape.letter.is_some() && module.generation.get() == Some(Generation::Ddr3) {
        let note = Note::found(&notes::PACKAGE_NOT_IN_GENERATION, &shape.found);
        notes.push(note.text("generation", Generation::Ddr3.name()));
    }
    module.organisation.package_ranks = ranks;
    let (package, height) = package(shape, module);
    let organisation = &mut module.organisation;
    organisation.package = package;
    organisation.stack_height = height;
    organisation.logical_ranks = Fact::computed(
        ranks
            .get()
            .zip(height.get())
            .map(|(ranks, height)| u16::from(ranks) * u16::from(height)),
        &[ranks.standing(), height.standing()],
    );
}

/// A rank count beyond what package ranks go to counts logical ranks, as sales texts do: 8 on DDR4,
/// 4 and 8 on a DDR5 RDIMM.
fn counts_logical_ranks(shape: &Shape, module: &ReadModule) -> bool {
    match module.generation.get() {
        Some(Generation::Ddr4) => shape.ranks == Some(8),
        Some(Generation::Ddr5) => {
            module.kind.get() == Some(Kind::Rdimm) && matches!(shape.ranks, Some(4 | 8))
        }
        _ => false,
    }
}

/// The package and the height of a stack.
fn package(shape: &Shape, module: &ReadModule) -> (Fact<Package>, Fact<u8>) {
    let known = |package, height| (Fact::of(Some(package), shape.standing), height);
    let flat = Fact::derived(1).at_most(shape.standing);
    match (shape.letter, shape.height) {
        (Some('S'), height) => known(Package::Stacked, Fact::of(height, shape.standing)),
        (Some('D' | 'Q'), Some(_)) => (Fact::unknown(), Fact::unknown()),
        (Some('D'), None) => known(Package::DualDie, flat),
        (Some('Q'), None) => known(Package::QuadDie, flat),
        _ => {
            // Without a letter there is one die for each chip select; but short sales forms leave the
            // letter out, and from four ranks on there may be more dies.
            let full = module.build.raw_card.is_known();
            let sure = full
                || module.generation.get() == Some(Generation::Ddr3)
                || matches!(shape.ranks, Some(1 | 2));
            let standing = if sure {
                Standing::Derived
            } else {
                Standing::Assumed
            };
            let standing = standing.min(shape.standing);
            (
                Fact::of(Some(Package::Single), standing),
                Fact::of(Some(1), standing),
            )
        }
    }
}

/// Settles rate, bin and the latency that the bin implies.
pub(super) fn speed(head: &Head, module: &mut ReadModule) {
    let speed = &mut module.speed;
    speed.rate_mts = head.speed.rate.at_most(head.standing);
    speed.bin = head.speed.bin.at_most(head.standing);
    speed.times.tck_min = speed
        .rate_mts
        .derive(|rate| grades::by_rate(head.generation, *rate).map(|grade| grade.tck_ps));
    if speed.cas_latency.is_known() {
        return;
    }
    let Some(bin) = speed.bin.get() else { return };
    let package = module.organisation.package;
    let (clocks, standing) = match head.generation {
        Generation::Ddr5 => ddr5_latency(speed.rate_mts, bin, package),
        Generation::Ddr4 if package.get() != Some(Package::Stacked) => {
            (grades::ddr4_bin_clocks(bin), Standing::Derived)
        }
        _ => (None, Standing::Unknown),
    };
    let inputs = [standing, speed.bin.standing(), package.standing()];
    speed.cas_latency = Fact::computed(clocks, &inputs);
    if head.generation == Generation::Ddr4 {
        let rows = Fact::computed(
            grades::ddr4_bin_clocks(bin).map(u16::from),
            &[speed.bin.standing()],
        );
        speed.rcd_clocks = rows;
        speed.rp_clocks = rows;
    }
}

fn ddr5_latency(rate: Fact<u32>, bin: SpeedBin, package: Fact<Package>) -> (Option<u8>, Standing) {
    let stacked = package.get() == Some(Package::Stacked);
    rate.get()
        .and_then(|rate| grades::ddr5_cas(rate, bin, stacked))
        .map_or((None, Standing::Unknown), |(clocks, sure)| {
            (Some(clocks), sure)
        })
}

/// The density in Mbit that capacity, ranks and width imply; `None` when one of them is not known.
pub fn implied_die_mbit(module: &ReadModule) -> Option<u32> {
    let bits = module.capacity_mib.get()?.checked_mul(8)?;
    let width = u32::from(module.organisation.device_width.get()?);
    let data = u32::from(module.organisation.data_bits.get().unwrap_or(64));
    let ranks = u32::from(module.organisation.logical_ranks.get()?);
    bits.checked_mul(width)?
        .checked_div(data.checked_mul(ranks)?)
}

/// Settles the die density, if what it follows from can be right.
pub(super) fn density(module: &mut ReadModule, notes: &mut Vec<Note>) {
    let Some(mbit) = implied_die_mbit(module) else {
        return;
    };
    let Some(generation) = module.generation.get() else {
        return;
    };
    let die = DieDensity::from_mbit(mbit);
    if !die.is_standard(generation) {
        notes.push(
            Note::new(&notes::DENSITY_IMPLAUSIBLE)
                .with("density", Parameter::DensityMbit(mbit))
                .text("generation", generation.name()),
        );
        return;
    }
    let inputs = [
        module.capacity_mib.standing(),
        module.organisation.device_width.standing(),
        module.organisation.logical_ranks.standing(),
        module.generation.standing(),
    ];
    module.organisation.die = Fact::computed(Some(die), &inputs);
}
