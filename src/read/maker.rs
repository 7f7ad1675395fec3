//! Makers: the two-byte code of JEP106 and the name behind it. The shapes in which firmware prints the code are
//! [`super::inventory`]'s matter.

use std::fmt;

/// A maker's code as stored: number of continuation codes, then the code itself; the top bit of each
/// byte is an odd parity bit.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Maker {
    bytes: [u8; 2],
}

impl Maker {
    /// From two stored bytes; `None` for the two values that mean "not set".
    pub const fn from_bytes(continuations: u8, code: u8) -> Option<Self> {
        match (continuations, code) {
            (0, 0) | (0xff, 0xff) => None,
            _ => Some(Self {
                bytes: [continuations, code],
            }),
        }
    }

    /// The stored bytes.
    pub const fn bytes(self) -> [u8; 2] {
        self.bytes
    }

    /// The bank of JEP106 that lists the maker, counted from 1.
    pub const fn bank(self) -> u8 {
        (self.bytes[0] & 0x7f) + 1
    }

    /// The name, when the register knows it.
    pub fn name(self) -> Option<&'static str> {
        registered_name(self.bytes[0], self.bytes[1])
    }

    /// Whether both parity bits are right.
    pub const fn parity_is_right(self) -> bool {
        self.bytes[0].count_ones() % 2 == 1 && self.bytes[1].count_ones() % 2 == 1
    }
}

/// The name that JEP106 has for a code after a number of continuation codes. The parity bits are masked: the
/// register's table is by the seven low bits.
pub fn registered_name(continuations: u8, code: u8) -> Option<&'static str> {
    let name = jep106::JEP106Code::new(continuations & 0x7f, code & 0x7f).get()?;
    (!name.is_empty()).then_some(name)
}

impl fmt::Display for Maker {
    /// The stored bytes as four hexadecimal digits.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02X}{:02X}", self.bytes[0], self.bytes[1])
    }
}

impl fmt::Debug for Maker {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Maker({self})")
    }
}
