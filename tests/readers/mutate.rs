//! Deterministic noise for tests: a small generator, mutations, and checksums made right again.

use kitproof::read::spd::crc::crc16;

/// A generator of 64 bits (xorshift), the same on every machine.
pub struct Noise(u64);

impl Noise {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// A number below `end`.
    pub fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % end.max(1) as u64).expect("a small number")
    }

    pub fn byte(&mut self) -> u8 {
        self.next().to_le_bytes()[3]
    }

    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

/// Changes, inserts, removes or repeats a few bytes, or cuts the end off.
pub fn mutate(noise: &mut Noise, bytes: &mut Vec<u8>) {
    for _ in 0..=noise.below(6) {
        let at = noise.below(bytes.len());
        let byte = noise.byte();
        match (noise.below(8), bytes.is_empty()) {
            (0, _) => bytes.insert(at, byte),
            (_, true) => bytes.push(byte),
            (1, _) => drop(bytes.remove(at)),
            (2, _) => bytes.truncate(at),
            (3, _) => {
                let end = bytes.len().min(at + noise.below(8));
                let copy = bytes[at..end].to_vec();
                bytes.extend(copy);
            }
            (4, _) => bytes[at] ^= 1 << (byte % 8),
            _ => bytes[at] = byte,
        }
    }
}

/// Stores the right checksums of an image.
pub fn repair_checksums(bytes: &mut [u8]) {
    let ranges: &[(usize, usize)] = match bytes[2] {
        0x0b if bytes[0] & 0x80 != 0 => &[(0, 117)],
        0x0b => &[(0, 126)],
        0x0c => &[(0, 126), (128, 254)],
        _ => &[(0, 510)],
    };
    for (first, end) in ranges {
        let at = if *end == 117 { 126 } else { *end };
        let [low, high] = crc16(&bytes[*first..*end]).to_le_bytes();
        (bytes[at], bytes[at + 1]) = (low, high);
    }
}
