//! The record that a reader fills in: every fact of one module, each with its standing.
//!
//! Units: capacity MiB, rate MT/s, voltage mV, time ps, height mm. Ranks are counted twice:
//! `package_ranks` are chip selects, `logical_ranks` are package ranks times the height of a stack.

use super::fact::Fact;
use super::maker::Maker;
use super::vocabulary::{DieDensity, Generation, Kind, Package, RawCard, Revision, SpeedBin, Week};

/// Everything that a label or an SPD image tells of a module.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReadModule {
    /// Memory generation.
    pub generation: Fact<Generation>,
    /// Kind of module.
    pub kind: Fact<Kind>,
    /// Whether the module also holds storage that is not DRAM.
    pub hybrid: Fact<bool>,
    /// Capacity for data in MiB; ECC devices never count.
    pub capacity_mib: Fact<u32>,
    /// Ranks, dies and bus.
    pub organisation: Organisation,
    /// Rate and timing.
    pub speed: Speed,
    /// Voltages.
    pub supply: Supply,
    /// What can be seen or measured on the module.
    pub build: Build,
    /// Register, buffers and other support devices.
    pub devices: Devices,
    /// What the DRAM dies can do beyond the ordinary.
    pub features: Features,
    /// Maker, part number, date.
    pub origin: Origin,
    /// What the SPD image says of itself.
    pub spd: SpdIdentity,
}

/// Ranks, dies and bus.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Organisation {
    /// Chip selects of each channel or sub-channel.
    pub package_ranks: Fact<u8>,
    /// Package ranks times stack height.
    pub logical_ranks: Fact<u16>,
    /// How dies share a package.
    pub package: Fact<Package>,
    /// Dies behind one chip select; 1 unless the package is a 3DS stack.
    pub stack_height: Fact<u8>,
    /// Dies in one package, whatever their chip selects.
    pub dies_per_package: Fact<u8>,
    /// Data bits of one device: 4, 8, 16 or 32.
    pub device_width: Fact<u8>,
    /// Density of one die.
    pub die: Fact<DieDensity>,
    /// Data bits of the whole module.
    pub data_bits: Fact<u16>,
    /// ECC bits on the bus, of the channel (DDR3, DDR4) or of each sub-channel (DDR5).
    pub ecc_bits: Fact<u8>,
    /// Sub-channels: 1, or usually 2 on DDR5.
    pub subchannels: Fact<u8>,
    /// Banks of a device.
    pub banks: Fact<u16>,
    /// Bank groups of a device.
    pub bank_groups: Fact<u8>,
    /// Row address bits.
    pub rows: Fact<u8>,
    /// Column address bits.
    pub columns: Fact<u8>,
    /// Whether ranks differ from each other.
    pub asymmetric: Fact<bool>,
}

impl Organisation {
    /// ECC bits of the whole module, all sub-channels together.
    pub fn ecc_bits_total(&self) -> Option<u16> {
        Some(u16::from(self.ecc_bits.get()?) * u16::from(self.subchannels.get()?))
    }

    /// Bits that the whole module carries at once: data and ECC of all sub-channels together.
    pub fn bus_bits(&self) -> Fact<u16> {
        let bits = self.data_bits.get().zip(self.ecc_bits_total());
        let told = [
            self.data_bits.standing(),
            self.ecc_bits.standing(),
            self.subchannels.standing(),
        ];
        Fact::computed(bits.map(|(data, ecc)| data + ecc), &told)
    }

    /// Devices of one rank over the whole module, ECC devices included, a part-used device counted
    /// whole.
    pub fn devices_per_rank(&self) -> Option<u16> {
        let width = u16::from(self.device_width.get()?);
        let subchannels = u16::from(self.subchannels.get()?);
        let data = self.data_bits.get()?.checked_div(width)?;
        Some(data + u16::from(self.ecc_bits.get()?).div_ceil(width) * subchannels)
    }
}

/// Rate and timing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Speed {
    /// Highest rate in MT/s.
    pub rate_mts: Fact<u32>,
    /// Speed-bin letters (DDR4, DDR5).
    pub bin: Fact<SpeedBin>,
    /// CAS latency at the highest rate, clocks.
    pub cas_latency: Fact<u8>,
    /// Row-to-column delay at the highest rate, clocks.
    pub rcd_clocks: Fact<u16>,
    /// Row precharge at the highest rate, clocks.
    pub rp_clocks: Fact<u16>,
    /// Row active time at the highest rate, clocks.
    pub ras_clocks: Fact<u16>,
    /// CAS latencies that the dies can be set to, ascending.
    pub cas_latencies: Fact<Vec<u8>>,
    /// Times in ps.
    pub times: Times,
}

/// Minimum times in ps, but for `tck_max`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[expect(
    missing_docs,
    reason = "each is the standard's own symbol for a timing parameter"
)]
pub struct Times {
    pub tck_min: Fact<u32>,
    pub tck_max: Fact<u32>,
    pub taa: Fact<u32>,
    pub trcd: Fact<u32>,
    pub trp: Fact<u32>,
    pub tras: Fact<u32>,
    pub trc: Fact<u32>,
    /// DDR3's tRFC, or tRFC1.
    pub trfc1: Fact<u32>,
    pub trfc2: Fact<u32>,
    pub trfc4: Fact<u32>,
    /// DDR5: refresh of the same bank in every group.
    pub trfc_sb: Fact<u32>,
    pub twr: Fact<u32>,
    /// DDR3's tRRD, or tRRD_S.
    pub trrd_s: Fact<u32>,
    pub trrd_l: Fact<u32>,
    pub tccd_l: Fact<u32>,
    /// DDR3's tWTR, or tWTR_S.
    pub twtr_s: Fact<u32>,
    pub twtr_l: Fact<u32>,
    pub trtp: Fact<u32>,
    pub tfaw: Fact<u32>,
}

/// Voltages in mV.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Supply {
    /// The voltage class that the label names, or the lowest that the SPD allows.
    pub nominal_mv: Fact<u16>,
    /// Every supply voltage that the DRAM runs at, highest first.
    pub operable_mv: Fact<Vec<u16>>,
    /// DDR5: what the board feeds into the module's own converter.
    pub input_mv: Fact<u16>,
}

/// What can be seen or measured on the module.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Build {
    /// Greatest height in mm: the module is at most this high and more than 1 mm less.
    pub height_mm: Fact<u8>,
    /// Greatest thickness of the front in mm.
    pub front_mm: Fact<u8>,
    /// Greatest thickness of the back in mm.
    pub back_mm: Fact<u8>,
    /// Raw card.
    pub raw_card: Fact<RawCard>,
    /// Rows of DRAM devices on the board.
    pub dram_rows: Fact<u8>,
    /// Whether it has a heat spreader.
    pub heat_spreader: Fact<bool>,
    /// Temperature sensors beside the SPD device.
    pub thermal_sensors: Fact<u8>,
    /// DDR5: operating temperature grade.
    pub temperature_grade: Fact<&'static str>,
}

/// One support device.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Device {
    /// Maker.
    pub maker: Fact<Maker>,
    /// Revision byte.
    pub revision: Fact<u8>,
    /// Type, in the standard's words, such as `RCD02`.
    pub model: Fact<&'static str>,
}

/// Register, buffers and other support devices.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Devices {
    /// Registers (DDR3, DDR4 RDIMM).
    pub registers: Fact<u8>,
    /// Register, or registering clock driver.
    pub register: Device,
    /// Memory buffer (DDR3 LRDIMM) or data buffers.
    pub buffer: Device,
    /// DDR5: clock driver of a clocked UDIMM or SO-DIMM.
    pub clock_driver: Device,
    /// DDR5: SPD hub.
    pub spd_hub: Device,
    /// DDR5: power management circuits.
    pub pmics: [Device; 3],
    /// Unbuffered: rank 1's address lines are mirrored.
    pub rank1_mirrored: Fact<bool>,
    /// Buffered: odd ranks' address lines are mirrored.
    pub odd_ranks_mirrored: Fact<bool>,
    /// DDR3 LRDIMM: rank numbers are even only, not contiguous.
    pub even_rank_numbers: Fact<bool>,
    /// DDR3 LRDIMM: the buffer lies horizontally.
    pub buffer_horizontal: Fact<bool>,
}

/// What the DRAM dies can do beyond the ordinary.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Features {
    /// DDR3: runs up to 95 degrees Celsius, not only 85.
    pub extended_temperature: Fact<bool>,
    /// DDR3: adapts its self-refresh to the temperature.
    pub auto_self_refresh: Fact<bool>,
    /// DDR3: can refresh a part of the array.
    pub partial_self_refresh: Fact<bool>,
    /// DDR4: one row for each bank group can be repaired for good.
    pub post_package_repair: Fact<bool>,
    /// DDR4: a row can be repaired until power is lost.
    pub soft_post_package_repair: Fact<bool>,
}

/// Maker, part number, date.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Origin {
    /// Maker of the module.
    pub maker: Fact<Maker>,
    /// Maker's own code of the place of manufacture.
    pub location: Fact<u8>,
    /// Week of manufacture.
    pub date: Fact<Week>,
    /// Serial number, eight hexadecimal digits.
    pub serial: Fact<String>,
    /// Part number.
    pub part_number: Fact<String>,
    /// Maker's own revision code, hexadecimal digits.
    pub revision: Fact<String>,
    /// Maker of the DRAM dies.
    pub dram_maker: Fact<Maker>,
    /// Stepping of the DRAM dies.
    pub dram_stepping: Fact<u8>,
    /// Maker's own text at the end of a label.
    pub label_suffix: Fact<String>,
}

/// What the SPD image says of itself; the revisions also stand on a label.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SpdIdentity {
    /// Revision of the base section.
    pub revision: Fact<Revision>,
    /// DDR5: revision of the module-specific section.
    pub module_revision: Fact<Revision>,
    /// Bytes that the maker wrote.
    pub bytes_used: Fact<u16>,
    /// Bytes that the device holds.
    pub bytes_total: Fact<u16>,
    /// The module-kind code as stored.
    pub module_code: Fact<u8>,
    /// Checksums found, in the order of the bytes that they cover.
    pub checks: Vec<CrcCheck>,
}

/// One stored checksum beside the computed one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CrcCheck {
    /// First byte covered.
    pub first: usize,
    /// Last byte covered.
    pub last: usize,
    /// As stored.
    pub stored: u16,
    /// As computed.
    pub computed: u16,
}

impl CrcCheck {
    /// Whether both agree.
    pub const fn is_right(&self) -> bool {
        self.stored == self.computed
    }
}
