//! Units: a number never travels without saying what it counts.

use std::fmt;

macro_rules! unit {
    ($(#[$doc:meta])* $name:ident($inner:ty)) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub $inner);
    };
}

unit!(
    /// A capacity in mebibytes (2^20 bytes).
    Mib(u64)
);
unit!(
    /// A data rate in megatransfers a second.
    Mts(u32)
);
unit!(
    /// A voltage in millivolts.
    Millivolts(u16)
);
unit!(
    /// A power in milliwatts.
    Milliwatts(u64)
);
unit!(
    /// A bandwidth in megabytes (10^6 bytes) a second.
    MegabytesPerSecond(u64)
);
unit!(
    /// A time in picoseconds.
    Picoseconds(u32)
);
unit!(
    /// The density of one die in gigabits (2^30 bits).
    Gigabits(u16)
);

impl Mib {
    /// A capacity of whole gibibytes.
    pub const fn gib(gib: u64) -> Self {
        Self(gib * 1024)
    }
}

/// The bytes that one transfer of a 64-bit channel carries.
pub const BYTES_PER_TRANSFER: u64 = 8;

impl Mts {
    /// The peak bandwidth of one 64-bit channel at this rate.
    pub const fn peak(self) -> MegabytesPerSecond {
        MegabytesPerSecond(self.0 as u64 * BYTES_PER_TRANSFER)
    }
}

/// The largest amount that a record or a request may tell, in minor units; so that what a whole board
/// of modules and their handling costs stays below 2^53, which every reader of JSON holds exactly (RFC 7493).
pub const LARGEST_AMOUNT: i64 = 100_000_000_000;

/// The same for the smallest pack that is sold of a module.
pub const LARGEST_PACK_PRICE: i64 = 500_000_000_000;

/// An amount of money in the minor unit of its currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money {
    /// The amount in minor units (cents, pence).
    pub minor: i64,
    /// The currency.
    pub currency: Currency,
}

/// An ISO 4217 currency code: three upper-case letters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// Takes three upper-case ASCII letters; anything else is no currency code.
    pub fn new(code: &str) -> Option<Self> {
        let bytes: [u8; 3] = code.as_bytes().try_into().ok()?;
        bytes
            .iter()
            .all(u8::is_ascii_uppercase)
            .then_some(Self(bytes))
    }

    /// Decimals of its minor unit: 2, but for those of ISO 4217 (list one) that have others.
    pub fn minor_digits(&self) -> u32 {
        match &self.0 {
            b"BIF" | b"CLP" | b"DJF" | b"GNF" | b"ISK" | b"JPY" | b"KMF" | b"KRW" | b"PYG"
            | b"RWF" | b"UGX" | b"UYI" | b"VND" | b"VUV" | b"XAF" | b"XOF" | b"XPF" => 0,
            b"BHD" | b"IQD" | b"JOD" | b"KWD" | b"LYD" | b"OMR" | b"TND" => 3,
            b"CLF" | b"UYW" => 4,
            _ => 2,
        }
    }

    /// The three letters.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("XXX")
    }
}

impl fmt::Debug for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// A firmware version: numbers and words between dots, dashes or spaces, compared part by part,
/// numbers by value.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Version(String);

impl Version {
    /// Takes any text that holds at least one digit.
    pub fn new(text: &str) -> Option<Self> {
        text.bytes()
            .any(|b| b.is_ascii_digit())
            .then(|| Self(text.to_owned()))
    }

    /// The text as it was given.
    pub fn text(&self) -> &str {
        &self.0
    }

    fn parts(&self) -> impl Iterator<Item = Part<'_>> {
        self.0
            .split(|c: char| c.is_whitespace() || matches!(c, '.' | '-' | '_'))
            .filter(|part| !part.is_empty())
            .map(|part| match part.parse::<u64>() {
                Ok(number) => Part::Number(number),
                Err(_) => Part::Word(part),
            })
    }
}

/// A missing part counts as zero, so `2` and `2.0` are the same version.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Part<'a> {
    Word(&'a str),
    Number(u64),
}

impl Version {
    /// Whether this version is the other one or newer; `2` reaches `2.0`.
    pub fn reaches(&self, other: &Self) -> bool {
        let (mut left, mut right) = (self.parts(), other.parts());
        loop {
            let (a, b) = (left.next(), right.next());
            if a.is_none() && b.is_none() {
                return true;
            }
            let zero = || Part::Number(0);
            match a.unwrap_or_else(zero).cmp(&b.unwrap_or_else(zero)) {
                std::cmp::Ordering::Equal => {}
                order => return order == std::cmp::Ordering::Greater,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_version_is_compared_number_by_number() {
        let version = |text| Version::new(text).unwrap();
        assert!(version("2.10").reaches(&version("2.9")));
        assert!(version("2").reaches(&version("2.0")));
        assert!(!version("1.9.9").reaches(&version("2")));
        assert!(version("3.1b").reaches(&version("3.1a")));
        assert!(version(" 2.4\t").reaches(&version("2.4")));
        assert!(Version::new("beta").is_none());
    }

    #[test]
    fn a_currency_is_three_upper_case_letters() {
        assert_eq!(Currency::new("EUR").unwrap().code(), "EUR");
        assert!(Currency::new("eur").is_none() && Currency::new("EURO").is_none());
    }

    #[test]
    fn a_channel_moves_eight_bytes_a_transfer() {
        assert_eq!(Mts(1600).peak(), MegabytesPerSecond(12_800));
    }
}
