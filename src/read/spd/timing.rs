//! Times, rates and clocks: what the image stores as counts and what follows from it.

use super::image::Decoder;
use super::notes;
use crate::read::fact::Fact;
use crate::read::grades;
use crate::read::note::{Note, Parameter};
use crate::read::record::{ReadModule, Speed};
use crate::read::vocabulary::{Generation, Kind, Package};

/// The units in which DDR3 and DDR4 count times, in fs.
#[derive(Clone, Copy, Debug)]
pub(super) struct TimeBase {
    pub medium_fs: i64,
    pub fine_fs: i64,
}

impl TimeBase {
    /// 125 ps and 1 ps.
    pub const USUAL: Self = Self {
        medium_fs: 125_000,
        fine_fs: 1_000,
    };

    fn picoseconds(self, count: u32, fine: i8) -> Option<u32> {
        if count == 0 {
            return None;
        }
        let total = i64::from(count) * self.medium_fs + i64::from(fine) * self.fine_fs;
        u32::try_from((total + 500).div_euclid(1000))
            .ok()
            .filter(|time| *time > 0)
    }
}

impl Decoder<'_> {
    /// A time of one count byte, corrected by a signed byte if there is one.
    pub fn time(&self, base: Option<TimeBase>, at: usize, fine_at: Option<usize>) -> Fact<u32> {
        self.counted(base, at, self.byte(at).map(u32::from), fine_at)
    }

    /// A time of two count bytes, low one first.
    pub fn long_time(&self, base: Option<TimeBase>, at: usize) -> Fact<u32> {
        self.counted(base, at, self.pair(at), None)
    }

    /// A time of a count byte whose four high bits stand in another byte, from bit `low` up.
    pub fn split_time(
        &self,
        base: Option<TimeBase>,
        at: usize,
        (high_at, low): (usize, u32),
        fine_at: Option<usize>,
    ) -> Fact<u32> {
        let high = self.bits(high_at, low + 3, low);
        let count = high
            .zip(self.byte(at))
            .map(|(high, low)| u32::from(high) << 8 | u32::from(low));
        self.counted(base, at, count, fine_at)
    }

    fn counted(
        &self,
        base: Option<TimeBase>,
        at: usize,
        count: Option<u32>,
        fine_at: Option<usize>,
    ) -> Fact<u32> {
        let fine = match fine_at {
            Some(fine_at) => self.byte(fine_at).map(|byte| byte.cast_signed()),
            None => Some(0),
        };
        let time = base.zip(count).zip(fine);
        self.fact(
            at,
            time.and_then(|((base, count), fine)| base.picoseconds(count, fine)),
        )
    }

    /// A time of two bytes in units of `unit_ps`.
    pub fn plain_time(&self, at: usize, unit_ps: u32) -> Fact<u32> {
        let time = self.pair(at).and_then(|count| count.checked_mul(unit_ps));
        self.fact(at, time.filter(|time| *time > 0))
    }

    /// The CAS latencies of a mask, bit 0 of the first byte being `first`, each bit `step` more.
    pub fn cas_mask(
        &self,
        at: usize,
        (bytes, bits): (usize, u32),
        first: u8,
        step: u8,
    ) -> Fact<Vec<u8>> {
        let mask = (0..bytes).try_fold(0_u64, |mask, index| {
            Some(mask | u64::from(self.byte(at + index)?) << (8 * index))
        });
        let latencies = mask.map(|mask| {
            (0..bits)
                .filter(|bit| mask >> bit & 1 == 1)
                .filter_map(|bit| first.checked_add(step.checked_mul(u8::try_from(bit).ok()?)?))
                .collect::<Vec<u8>>()
        });
        self.fact(at, latencies.filter(|latencies| !latencies.is_empty()))
    }
}

/// Whole clocks that a time takes at a rate, by the rounding rule of each generation.
///
/// DDR3 rounds up after taking off a hundredth of a clock; DDR4 adds 974 and DDR5 takes 99.7 percent
/// and adds 1000 thousandths before cutting off (rounding algorithms of JESD79-4 and JESD79-5).
pub fn clocks(generation: Generation, time_ps: u32, tck_ps: u32, rate_mts: u32) -> Option<u16> {
    let time = u64::from(time_ps);
    let tck = u64::from(tck_ps);
    let clocks = match generation {
        // The exact clock period of the rate, so that 13.125 ns at 1333 is 9, not 8.75 of 1500 ps.
        Generation::Ddr3 => {
            let millionths = (time * u64::from(rate_mts)).saturating_sub(20_000);
            Some(millionths.div_ceil(2_000_000))
        }
        Generation::Ddr4 => (time * 1000)
            .checked_div(tck)
            .map(|clocks| (clocks + 974) / 1000),
        Generation::Ddr5 => (time * 997)
            .checked_div(tck)
            .map(|clocks| (clocks + 1000) / 1000),
    };
    clocks.and_then(|clocks| u16::try_from(clocks).ok())
}

/// The CAS latency that a module runs with at a rate: the smallest that it supports and that is long
/// enough. `None` when tAA or the supported latencies are not known, or none is long enough.
pub fn cas_latency_at(module: &ReadModule, rate_mts: u32) -> Option<u8> {
    let generation = module.generation.get()?;
    let tck_ps = grades::by_rate(generation, rate_mts)?.tck_ps;
    let needed = clocks(generation, module.speed.times.taa.get()?, tck_ps, rate_mts)?;
    smallest_supported(&module.speed, needed)
}

fn smallest_supported(speed: &Speed, needed: u16) -> Option<u8> {
    let supported = speed.cas_latencies.value()?;
    supported
        .iter()
        .copied()
        .filter(|latency| u16::from(*latency) >= needed)
        .min()
}

/// Settles rate, latency, clocks and bin from the times.
pub(super) fn settle(module: &mut ReadModule, notes: &mut Vec<Note>) {
    let Some(generation) = module.generation.get() else {
        return;
    };
    if module.kind.get() == Some(Kind::Mrdimm) {
        notes.push(Note::new(&notes::RATE_NOT_TOLD));
        return;
    }
    let speed = &mut module.speed;
    speed.rate_mts = speed.times.tck_min.derive(|tck| {
        let standard = grades::nearest(generation, *tck).map(|grade| grade.rate_mts);
        standard.or_else(|| grades::raw_rate(*tck))
    });
    let Some((rate, tck)) = speed.rate_mts.get().zip(speed.times.tck_min.get()) else {
        return;
    };
    if grades::by_rate(generation, rate).is_none() {
        let note = Note::new(&notes::RATE_NOT_STANDARD).with("rate", Parameter::RateMts(rate));
        notes.push(note.text("generation", generation.name()));
    }
    let in_clocks = |time: Fact<u32>| {
        let value = time
            .get()
            .and_then(|time| clocks(generation, time, tck, rate));
        Fact::computed(value, &[time.standing(), speed.times.tck_min.standing()])
    };
    let [needed, rcd, rp, ras] = [
        speed.times.taa,
        speed.times.trcd,
        speed.times.trp,
        speed.times.tras,
    ]
    .map(in_clocks);
    (speed.rcd_clocks, speed.rp_clocks, speed.ras_clocks) = (rcd, rp, ras);
    let latency = needed
        .get()
        .and_then(|needed| smallest_supported(speed, needed));
    if latency.is_none() && needed.is_known() && speed.cas_latencies.is_known() {
        let rate = Parameter::RateMts(rate);
        notes.push(Note::new(&notes::NO_CAS_LATENCY).with("rate", rate));
    }
    let inputs = [needed.standing(), speed.cas_latencies.standing()];
    speed.cas_latency = Fact::computed(latency, &inputs);
    settle_bin(generation, rate, module);
}

/// The image does not store the bin letters. On DDR4 they follow from the clocks: of CL for plain dies,
/// of tRCD and tRP for stacked ones, whose CL is longer. On DDR5 they follow from CL.
fn settle_bin(generation: Generation, rate: u32, module: &mut ReadModule) {
    let package = module.organisation.package;
    let stacked = package.get() == Some(Package::Stacked);
    let speed = &mut module.speed;
    let latency = speed.cas_latency;
    speed.bin = match generation {
        Generation::Ddr3 => Fact::unknown(),
        Generation::Ddr4 if stacked => {
            let (rcd, rp) = (speed.rcd_clocks, speed.rp_clocks);
            let equal = rcd.get().filter(|clocks| rp.get() == Some(*clocks));
            let bin = equal.and_then(|clocks| grades::ddr4_bin(rate, clocks));
            Fact::computed(bin, &[rcd.standing(), rp.standing()])
        }
        Generation::Ddr4 => latency.derive(|latency| grades::ddr4_bin(rate, u16::from(*latency))),
        Generation::Ddr5 => {
            let known = latency
                .get()
                .and_then(|clocks| grades::ddr5_bin(rate, clocks, stacked));
            known.map_or_else(Fact::unknown, |(bin, standing)| {
                Fact::computed(Some(bin), &[latency.standing(), standing])
            })
        }
    };
}
