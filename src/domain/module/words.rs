//! The trade's words for a module: its generation, kind, device width and height class.

/// The DDR generation; the key notch sits elsewhere in each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the names are the trade's")]
pub enum Generation {
    Ddr3,
    Ddr4,
    Ddr5,
}

impl Generation {
    /// Every generation, oldest first.
    pub const ALL: [Self; 3] = [Self::Ddr3, Self::Ddr4, Self::Ddr5];

    /// The trade's name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ddr3 => "DDR3",
            Self::Ddr4 => "DDR4",
            Self::Ddr5 => "DDR5",
        }
    }
}

/// The kind of module: what stands between its devices and the channel, and whether it has ECC.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the names are the trade's")]
pub enum Kind {
    Udimm,
    EccUdimm,
    SoDimm,
    EccSoDimm,
    Cudimm,
    EccCudimm,
    Rdimm,
    Lrdimm,
    Mrdimm,
    NvdimmN,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 10] = [
        Self::Udimm,
        Self::EccUdimm,
        Self::SoDimm,
        Self::EccSoDimm,
        Self::Cudimm,
        Self::EccCudimm,
        Self::Rdimm,
        Self::Lrdimm,
        Self::Mrdimm,
        Self::NvdimmN,
    ];

    /// The trade's name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Udimm => "UDIMM",
            Self::EccUdimm => "ECC UDIMM",
            Self::SoDimm => "SO-DIMM",
            Self::EccSoDimm => "ECC SO-DIMM",
            Self::Cudimm => "CUDIMM",
            Self::EccCudimm => "ECC CUDIMM",
            Self::Rdimm => "RDIMM",
            Self::Lrdimm => "LRDIMM",
            Self::Mrdimm => "MRDIMM",
            Self::NvdimmN => "NVDIMM-N",
        }
    }

    /// Whether modules of this kind carry ECC devices. Registered and load-reduced server modules, an
    /// NVDIMM-N among them, always do (common practice).
    pub const fn has_ecc(self) -> bool {
        !matches!(self, Self::Udimm | Self::SoDimm | Self::Cudimm)
    }

    /// The same build with the other answer to ECC, where the trade has both.
    pub const fn with_ecc_flipped(self) -> Option<Self> {
        Some(match self {
            Self::Udimm => Self::EccUdimm,
            Self::EccUdimm => Self::Udimm,
            Self::SoDimm => Self::EccSoDimm,
            Self::EccSoDimm => Self::SoDimm,
            Self::Cudimm => Self::EccCudimm,
            Self::EccCudimm => Self::Cudimm,
            Self::Rdimm | Self::Lrdimm | Self::Mrdimm | Self::NvdimmN => return None,
        })
    }
}

/// The data width of one memory device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the names are the trade's")]
pub enum Width {
    X4,
    X8,
    X16,
}

impl Width {
    /// Every width.
    pub const ALL: [Self; 3] = [Self::X4, Self::X8, Self::X16];

    /// The trade's name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::X4 => "x4",
            Self::X8 => "x8",
            Self::X16 => "x16",
        }
    }

    /// Data bits of one device.
    pub const fn bits(self) -> u64 {
        match self {
            Self::X4 => 4,
            Self::X8 => 8,
            Self::X16 => 16,
        }
    }
}

/// The height class of a module, lowest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HeightClass {
    /// Very low profile, 18.75 mm nominal.
    VeryLow,
    /// Low profile, 30 mm to 31.25 mm nominal.
    Low,
    /// Taller than low profile.
    Tall,
}

impl HeightClass {
    /// Every class, lowest first.
    pub const ALL: [Self; 3] = [Self::VeryLow, Self::Low, Self::Tall];

    /// The trade's name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::VeryLow => "VLP",
            Self::Low => "LP",
            Self::Tall => "tall",
        }
    }
}
