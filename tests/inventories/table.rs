//! Builds SMBIOS structures (DSP0134 6.1) byte by byte, for tests.

/// A structure under construction.
#[derive(Clone)]
pub struct Structure {
    area: Vec<u8>,
    strings: Vec<String>,
}

impl Structure {
    /// A structure of a type, with that many bytes of header and fields, all zero.
    pub fn new(kind: u8, length: u8, handle: u16) -> Self {
        let mut area = vec![0; usize::from(length)];
        area[0] = kind;
        area[1] = length;
        area[2..4].copy_from_slice(&handle.to_le_bytes());
        Self {
            area,
            strings: Vec::new(),
        }
    }

    /// Sets a byte.
    pub fn byte(self, at: usize, value: u8) -> Self {
        self.set(at, &[value])
    }

    /// Sets a word.
    pub fn word(self, at: usize, value: u16) -> Self {
        self.set(at, &value.to_le_bytes())
    }

    /// Sets a double word.
    pub fn dword(self, at: usize, value: u32) -> Self {
        self.set(at, &value.to_le_bytes())
    }

    /// Sets a quad word.
    pub fn qword(self, at: usize, value: u64) -> Self {
        self.set(at, &value.to_le_bytes())
    }

    /// Adds a string and its index.
    pub fn text(mut self, at: usize, text: &str) -> Self {
        self.strings.push(text.to_owned());
        let index = u8::try_from(self.strings.len()).expect("few strings");
        self.byte(at, index)
    }

    fn set(mut self, at: usize, bytes: &[u8]) -> Self {
        self.area[at..at + bytes.len()].copy_from_slice(bytes);
        self
    }

    fn bytes(&self) -> Vec<u8> {
        let mut bytes = self.area.clone();
        for text in &self.strings {
            bytes.extend(text.bytes());
            bytes.push(0);
        }
        if self.strings.is_empty() {
            bytes.push(0);
        }
        bytes.push(0);
        bytes
    }
}

/// A table with its end mark.
pub fn table(structures: &[Structure]) -> Vec<u8> {
    let mut bytes: Vec<u8> = structures.iter().flat_map(Structure::bytes).collect();
    bytes.extend(Structure::new(127, 4, 0xFEFF).bytes());
    bytes
}

/// A memory device of a DDR4 RDIMM of 16 GiB; the length decides which fields it has.
pub fn device(length: u8, locator: &str, bank: &str) -> Structure {
    let mut device = Structure::new(17, length, 0x1100)
        .word(0x04, 0x1000)
        .word(0x08, 72)
        .word(0x0A, 64)
        .word(0x0C, 16384)
        .byte(0x0E, 0x09)
        .text(0x10, locator)
        .text(0x11, bank)
        .byte(0x12, 0x1A)
        .word(0x13, 0x2080)
        .word(0x15, 3200);
    if length >= 0x1C {
        device = device.byte(0x1B, 2);
    }
    if length >= 0x22 {
        device = device.word(0x20, 2933);
    }
    if length >= 0x28 {
        device = device.word(0x26, 1200);
    }
    device
}
