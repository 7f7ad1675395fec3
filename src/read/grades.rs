//! Speed grades: rates, clock periods, label numbers and bin letters of each generation.
//!
//! Sources: DDR3 rates and bandwidth numbers as printed on labels; DDR4 bins by server makers' memory
//! guides (P 15-15-15, T 17-17-17, V 19-19-19, Y 21-21-21, AA 22-22-22); DDR5 columns A and B by
//! Published tables of JESD79-5 bins. Values marked "from memory" are assumed wherever they are used.

use super::fact::Standing;
use super::vocabulary::{Generation, SpeedBin};

/// One standard rate of a generation.
#[derive(Debug, PartialEq, Eq)]
pub struct Grade {
    /// MT/s.
    pub rate_mts: u32,
    /// Clock period in ps as the SPD rounds it.
    pub tck_ps: u32,
    /// Module bandwidth number on a label; 0 where no label uses it.
    pub bandwidth: u32,
    /// Bin letters that the rate has, tightest first.
    pub bins: &'static [&'static str],
}

const fn grade(rate_mts: u32, tck_ps: u32, bandwidth: u32, bins: &'static [&'static str]) -> Grade {
    Grade {
        rate_mts,
        tck_ps,
        bandwidth,
        bins,
    }
}

static DDR3: [Grade; 6] = [
    grade(800, 2500, 6400, &[]),
    grade(1066, 1875, 8500, &[]),
    grade(1333, 1500, 10600, &[]),
    grade(1600, 1250, 12800, &[]),
    grade(1866, 1071, 14900, &[]),
    grade(2133, 938, 17000, &[]),
];

static DDR4: [Grade; 7] = [
    grade(1600, 1250, 12800, &["J", "K", "L"]),
    grade(1866, 1071, 14900, &["L", "M", "N"]),
    grade(2133, 938, 17000, &["N", "P", "R"]),
    grade(2400, 833, 19200, &["P", "R", "T", "U"]),
    grade(2666, 750, 21300, &["T", "U", "V", "W"]),
    grade(2933, 682, 23400, &["V", "W", "Y", "AA"]),
    grade(3200, 625, 25600, &["W", "AA", "AC"]),
];

const DDR5_BINS: &[&str] = &["A", "AN", "B", "BN", "C"];

static DDR5: [Grade; 15] = [
    grade(3200, 625, 0, DDR5_BINS),
    grade(3600, 555, 0, DDR5_BINS),
    grade(4000, 500, 0, DDR5_BINS),
    grade(4400, 454, 0, DDR5_BINS),
    grade(4800, 416, 0, DDR5_BINS),
    grade(5200, 384, 0, DDR5_BINS),
    grade(5600, 357, 0, DDR5_BINS),
    grade(6000, 333, 0, DDR5_BINS),
    grade(6400, 312, 0, DDR5_BINS),
    grade(6800, 294, 0, DDR5_BINS),
    grade(7200, 277, 0, DDR5_BINS),
    grade(7600, 263, 0, DDR5_BINS),
    grade(8000, 250, 0, DDR5_BINS),
    grade(8400, 238, 0, DDR5_BINS),
    grade(8800, 227, 0, DDR5_BINS),
];

/// Every standard rate of a generation, slowest first.
pub fn grades(generation: Generation) -> &'static [Grade] {
    match generation {
        Generation::Ddr3 => &DDR3,
        Generation::Ddr4 => &DDR4,
        Generation::Ddr5 => &DDR5,
    }
}

/// The grade of this rate.
pub fn by_rate(generation: Generation, rate_mts: u32) -> Option<&'static Grade> {
    grades(generation)
        .iter()
        .find(|grade| grade.rate_mts == rate_mts)
}

/// The grade that labels name by this bandwidth number.
pub fn by_bandwidth(generation: Generation, bandwidth: u32) -> Option<&'static Grade> {
    grades(generation)
        .iter()
        .find(|grade| grade.bandwidth == bandwidth && bandwidth > 0)
}

/// The standard rate within 2 percent of a clock period. Nothing is rounded down: 1071 ps is 1867.4
/// MT/s and means 1866.
pub fn nearest(generation: Generation, tck_ps: u32) -> Option<&'static Grade> {
    let exact = raw_rate(tck_ps)?;
    grades(generation)
        .iter()
        .min_by_key(|grade| grade.rate_mts.abs_diff(exact))
        .filter(|grade| grade.rate_mts.abs_diff(exact) * 50 <= grade.rate_mts)
}

/// The rate of a clock period, rounded to the nearest MT/s.
pub fn raw_rate(tck_ps: u32) -> Option<u32> {
    (2_000_000 + tck_ps / 2).checked_div(tck_ps)
}

/// Bin letters of DDR4 with the clocks of tRCD and tRP that they stand for.
const DDR4_CLOCKS: [(&str, u8); 14] = [
    ("J", 10),
    ("K", 11),
    ("L", 12),
    ("M", 13),
    ("N", 14),
    ("P", 15),
    ("R", 16),
    ("T", 17),
    ("U", 18),
    ("V", 19),
    ("W", 20),
    ("Y", 21),
    ("AA", 22),
    ("AC", 24),
];

/// Clocks of tRCD and tRP that a DDR4 bin stands for; also of CL, unless the dies are stacked.
pub fn ddr4_bin_clocks(bin: SpeedBin) -> Option<u8> {
    DDR4_CLOCKS
        .iter()
        .find_map(|(letters, clocks)| (*letters == bin.0).then_some(*clocks))
}

/// The DDR4 bin of a rate with these clocks of tRCD and tRP.
pub fn ddr4_bin(rate_mts: u32, clocks: u16) -> Option<SpeedBin> {
    let bins = by_rate(Generation::Ddr4, rate_mts)?.bins;
    bins.iter()
        .map(|letters| SpeedBin(letters))
        .find(|bin| ddr4_bin_clocks(*bin).map(u16::from) == Some(clocks))
}

/// CAS latencies of DDR5: rate, then bins A, B and C of plain dies; 0 where none is known.
const DDR5_CAS: [(u32, [u8; 3]); 15] = [
    (3200, [22, 26, 28]),
    (3600, [26, 30, 32]),
    (4000, [28, 32, 36]),
    (4400, [32, 36, 40]),
    (4800, [34, 40, 42]),
    (5200, [38, 42, 46]),
    (5600, [40, 46, 50]),
    (6000, [42, 48, 54]),
    (6400, [46, 52, 56]),
    (6800, [48, 56, 0]),
    (7200, [52, 58, 0]),
    (7600, [54, 62, 0]),
    (8000, [56, 64, 0]),
    (8400, [60, 68, 0]),
    (8800, [62, 72, 0]),
];

/// CAS latencies of DDR5 bin B with stacked dies (tAA 18.5 ns).
const DDR5_STACKED_CAS: [(u32, u8); 3] = [(4800, 46), (5600, 52), (6400, 60)];

/// Every DDR5 CAS latency known for a rate, with its bin and how sure it is. Column C is from memory.
fn ddr5_rows(rate_mts: u32, stacked: bool) -> Vec<(SpeedBin, u8, Standing)> {
    if stacked {
        let row = DDR5_STACKED_CAS.iter().find(|(rate, _)| *rate == rate_mts);
        return row
            .map(|(_, cas)| (SpeedBin("B"), *cas, Standing::Derived))
            .into_iter()
            .collect();
    }
    let row = DDR5_CAS.iter().find(|(rate, _)| *rate == rate_mts);
    row.map_or_else(Vec::new, |(_, [a, b, c])| {
        [
            (SpeedBin("A"), *a, Standing::Derived),
            (SpeedBin("B"), *b, Standing::Derived),
            (SpeedBin("C"), *c, Standing::Assumed),
        ]
        .into_iter()
        .filter(|(_, cas, _)| *cas > 0)
        .collect()
    })
}

/// The CAS latency of a DDR5 rate and bin.
pub fn ddr5_cas(rate_mts: u32, bin: SpeedBin, stacked: bool) -> Option<(u8, Standing)> {
    ddr5_rows(rate_mts, stacked)
        .into_iter()
        .find_map(|(letters, cas, standing)| (letters == bin).then_some((cas, standing)))
}

/// The bin of a DDR5 rate and CAS latency.
pub fn ddr5_bin(rate_mts: u32, cas: u8, stacked: bool) -> Option<(SpeedBin, Standing)> {
    ddr5_rows(rate_mts, stacked)
        .into_iter()
        .find_map(|(letters, known, standing)| (known == cas).then_some((letters, standing)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rounded_clock_period_means_the_standard_rate() {
        let rate = |generation, tck| nearest(generation, tck).map(|grade| grade.rate_mts);
        assert_eq!(rate(Generation::Ddr3, 1071), Some(1866));
        assert_eq!(rate(Generation::Ddr4, 682), Some(2933));
        assert_eq!(rate(Generation::Ddr4, 937), Some(2133));
        assert_eq!(rate(Generation::Ddr5, 416), Some(4800));
        assert_eq!(rate(Generation::Ddr4, 700), None);
        assert_eq!(rate(Generation::Ddr4, 0), None);
    }

    #[test]
    fn every_bin_of_a_ddr4_rate_has_its_clocks() {
        for grade in grades(Generation::Ddr4) {
            for letters in grade.bins {
                let bin = SpeedBin(letters);
                let clocks = ddr4_bin_clocks(bin).expect("clocks");
                assert_eq!(ddr4_bin(grade.rate_mts, clocks.into()), Some(bin));
            }
        }
    }
}
