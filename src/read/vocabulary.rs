//! The words that a label and an SPD image share: generation, kind, die package, card, revision.

use std::fmt;

/// Memory generation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Generation {
    /// DDR3 SDRAM.
    Ddr3,
    /// DDR4 SDRAM.
    Ddr4,
    /// DDR5 SDRAM.
    Ddr5,
}

impl Generation {
    /// Every generation, oldest first.
    pub const ALL: [Self; 3] = [Self::Ddr3, Self::Ddr4, Self::Ddr5];

    /// `DDR3`, `DDR4` or `DDR5`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ddr3 => "DDR3",
            Self::Ddr4 => "DDR4",
            Self::Ddr5 => "DDR5",
        }
    }

    /// How a label's speed field begins: `PC3`, `PC4` or `PC5`.
    pub const fn label_prefix(self) -> &'static str {
        match self {
            Self::Ddr3 => "PC3",
            Self::Ddr4 => "PC4",
            Self::Ddr5 => "PC5",
        }
    }
}

/// Kind of module.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Unbuffered, without ECC.
    Udimm,
    /// Unbuffered, with ECC.
    EccUdimm,
    /// Registered.
    Rdimm,
    /// Load-reduced.
    Lrdimm,
    /// Small outline, without ECC.
    SoDimm,
    /// Small outline, with ECC.
    EccSoDimm,
    /// Small outline, registered.
    RegisteredSoDimm,
    /// Small outline with a clock driver.
    ClockedSoDimm,
    /// Unbuffered with a clock driver.
    ClockedUdimm,
    /// Multiplexed-rank.
    Mrdimm,
    /// Micro-DIMM.
    MicroDimm,
    /// Mini-RDIMM.
    MiniRdimm,
    /// Mini-UDIMM.
    MiniUdimm,
    /// Mini-DIMM with a clock driver.
    MiniCdimm,
    /// Small outline with a data bus of 16 or 32 bits.
    NarrowSoDimm,
    /// Compression-attached module.
    Camm2,
    /// Differential DIMM.
    Ddimm,
    /// Soldered to the board.
    SolderDown,
}

impl Kind {
    /// The trade's name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Udimm => "UDIMM",
            Self::EccUdimm => "ECC UDIMM",
            Self::Rdimm => "RDIMM",
            Self::Lrdimm => "LRDIMM",
            Self::SoDimm => "SO-DIMM",
            Self::EccSoDimm => "ECC SO-DIMM",
            Self::RegisteredSoDimm => "SO-RDIMM",
            Self::ClockedSoDimm => "clocked SO-DIMM",
            Self::ClockedUdimm => "clocked UDIMM",
            Self::Mrdimm => "MRDIMM",
            Self::MicroDimm => "Micro-DIMM",
            Self::MiniRdimm => "Mini-RDIMM",
            Self::MiniUdimm => "Mini-UDIMM",
            Self::MiniCdimm => "Mini-CDIMM",
            Self::NarrowSoDimm => "narrow SO-DIMM",
            Self::Camm2 => "CAMM2",
            Self::Ddimm => "DDIMM",
            Self::SolderDown => "soldered memory",
        }
    }

    /// The kind that this one is when its bus carries ECC bits: a plain UDIMM or SO-DIMM becomes the
    /// ECC kind, every other stays.
    pub const fn with_ecc(self, ecc_bits: u8) -> Self {
        match self {
            Self::Udimm if ecc_bits > 0 => Self::EccUdimm,
            Self::SoDimm if ecc_bits > 0 => Self::EccSoDimm,
            other => other,
        }
    }
}

/// How dies share a package.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Package {
    /// One die for each chip select.
    Single,
    /// Two dies, each with its own chip select (label letter `D`). Never multiplies ranks.
    DualDie,
    /// Four dies, each with its own chip select (label letter `Q`). Never multiplies ranks.
    QuadDie,
    /// Several dies, each with its own chip select, their number not told or unusual.
    MultiDie,
    /// A 3DS stack behind one chip select (label letter `S`). Its height multiplies ranks.
    Stacked,
}

impl Package {
    /// The letter on the label, if it has one; the height of a stack follows it.
    pub const fn label_letter(self) -> Option<&'static str> {
        match self {
            Self::Single => Some(""),
            Self::DualDie => Some("D"),
            Self::QuadDie => Some("Q"),
            Self::Stacked => Some("S"),
            Self::MultiDie => None,
        }
    }
}

/// Density of one die.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct DieDensity {
    mbit: u32,
}

impl DieDensity {
    /// A density in Mbit.
    pub const fn from_mbit(mbit: u32) -> Self {
        Self { mbit }
    }

    /// In Mbit.
    pub const fn mbit(self) -> u32 {
        self.mbit
    }

    /// In whole Gbit; `None` for a die of less than, or not a multiple of, 1 Gbit.
    pub const fn gbit(self) -> Option<u32> {
        if self.mbit >= 1024 && self.mbit.is_multiple_of(1024) {
            Some(self.mbit / 1024)
        } else {
            None
        }
    }

    /// Whether dies of this density exist in a generation. Source: SPD density codes of each
    /// generation; DDR3's 16 Gb and up are codes without products.
    pub fn is_standard(self, generation: Generation) -> bool {
        let known: &[u32] = match generation {
            Generation::Ddr3 => &[512, 1024, 2048, 4096, 8192],
            Generation::Ddr4 => &[2048, 4096, 8192, 12288, 16384, 24576, 32768],
            Generation::Ddr5 => &[8192, 12288, 16384, 24576, 32768, 49152, 65536],
        };
        known.contains(&self.mbit)
    }
}

/// Speed-bin letters, such as `AA` on DDR4 or `B` on DDR5.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpeedBin(pub &'static str);

/// Raw card: the reference design that the module's board follows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RawCard {
    /// Letters; `ZZ` means that no reference design was used.
    pub letters: String,
    /// Revision, a digit or rarely a letter; `None` when not printed.
    pub revision: Option<char>,
}

impl fmt::Display for RawCard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.letters)?;
        self.revision
            .map_or(Ok(()), |revision| write!(f, "{revision}"))
    }
}

/// Revision of an SPD section, two digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Revision {
    /// Before the point.
    pub encoding: u8,
    /// After the point.
    pub additions: u8,
}

impl Revision {
    /// From one SPD byte: high nibble, low nibble.
    pub const fn from_byte(byte: u8) -> Self {
        Self {
            encoding: byte >> 4,
            additions: byte & 0x0f,
        }
    }

    /// As printed on a label: two digits without a point.
    pub fn label_digits(self) -> String {
        format!("{:X}{:X}", self.encoding, self.additions)
    }
}

impl fmt::Display for Revision {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:X}.{:X}", self.encoding, self.additions)
    }
}

/// Week of manufacture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Week {
    /// Year, 2000 and later.
    pub year: u16,
    /// Week, 1 to 53.
    pub week: u8,
}

impl Week {
    /// From binary-coded decimal year and week; `None` when they are not that.
    pub fn from_bcd(year: u8, week: u8) -> Option<Self> {
        let year = u16::from(decimal(year)?) + 2000;
        let week = decimal(week)?;
        (1..=53).contains(&week).then_some(Self { year, week })
    }
}

fn decimal(byte: u8) -> Option<u8> {
    let (tens, ones) = (byte >> 4, byte & 0x0f);
    (tens <= 9 && ones <= 9).then_some(tens * 10 + ones)
}

impl fmt::Display for Week {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-W{:02}", self.year, self.week)
    }
}

/// Operating temperature grades of DDR5, by their SPD code. Source: JESD400-5, byte 233.
pub const TEMPERATURE_GRADES: [&str; 9] = ["A1T", "A2T", "A3T", "IT", "ST", "ET", "RT", "NT", "XT"];
