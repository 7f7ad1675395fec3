//! Images varied at random within what both decoders take for valid.

use crate::mutate::{Noise, repair_checksums};

/// Another module of the same generation and kind: every field anew, within what both decoders take
/// for valid and where the program has no known fault. Times are multiples of 125 ps with no fine
/// correction, so that no clock count lies within a rounding tolerance.
pub fn vary(noise: &mut Noise, bytes: &mut [u8]) {
    let bits = |noise: &mut Noise, end: usize| u8::try_from(noise.below(end)).expect("small");
    let ddr3 = bytes[2] == 0x0b;
    bytes[1] = noise.byte() & 0x33;
    bytes[4] = (bits(noise, 2) << 4) | (1 + bits(noise, 5));
    bytes[5] = (bits(noise, 6) << 3) | bits(noise, 4);
    let organisation = if ddr3 { 7 } else { 12 };
    bytes[organisation] = (bits(noise, 4) << 3) | bits(noise, 4);
    if ddr3 {
        vary_ddr3(noise, bytes);
    } else {
        vary_ddr4(noise, bytes);
    }
    let (height, maker) = if ddr3 { (60, 117) } else { (128, 320) };
    bytes[height] = bits(noise, 31);
    bytes[height + 1] = noise.byte();
    bytes[height + 2] = (bits(noise, 3) << 5) | bits(noise, 20);
    bytes[maker + 2] = 1 + bits(noise, 31); // above, it prints a character
    bytes[maker + 3] = (bits(noise, 3) << 4) | bits(noise, 10);
    bytes[maker + 4] = (bits(noise, 5) << 4) | (1 + bits(noise, 3));
    for byte in &mut bytes[maker + 5..maker + 9] {
        *byte = 1 + bits(noise, 254);
    }
    repair_checksums(bytes);
}

fn vary_ddr3(noise: &mut Noise, bytes: &mut [u8]) {
    bytes[6] = *noise.pick(&[0, 2, 3, 4, 5, 6, 7]);
    bytes[12] = *noise.pick(&[20, 15, 12, 10]);
    bytes[34..39].fill(0);
    bytes[14] = 0xfe;
    bytes[15] = 0x7f;
    for at in [16, 18, 20] {
        bytes[at] = 96 + (noise.byte() & 15);
    }
    for at in [17, 19, 23, 24, 25, 26, 27, 29] {
        bytes[at] = 1 + (noise.byte() >> 1);
    }
    bytes[21] = 0x11 + (noise.byte() & 0x11);
    bytes[22] = noise.byte();
    bytes[28] = noise.byte() & 1;
    bytes[31] = noise.byte() & 0x8f;
    bytes[32] = noise.byte() & 0x80;
    if bytes[3] == 11 {
        bytes[63] = (noise.byte() & 0xb1) | 4;
    } else {
        bytes[63] = 5 | (noise.byte() & 2);
        bytes[64] = noise.byte() & 0x80;
    }
}

fn vary_ddr4(noise: &mut Noise, bytes: &mut [u8]) {
    bytes[4] |= (noise.byte() & 3) << 6;
    bytes[6] = *noise.pick(&[0x00, 0x91, 0x92, 0xb1, 0xb2, 0xf2]);
    bytes[9] = noise.byte() & 0x60;
    bytes[14] = noise.byte() & 0x80;
    (bytes[18], bytes[125]) = *noise.pick(&[(10, 0), (6, 0), (5, 0), (7, 0xd6), (9, 0xca)]);
    bytes[117..124].fill(0);
    bytes[20..24].copy_from_slice(&[0xff, 0xff, 0xff, 0x3f]);
    for at in [24, 25, 26] {
        bytes[at] = 104 + (noise.byte() & 15);
    }
    for at in [28, 29, 30, 31, 32, 33, 34, 35, 37, 38, 39, 40, 42, 44, 45] {
        bytes[at] = 1 + (noise.byte() >> 1);
    }
    bytes[27] = 0x11;
    bytes[36] = noise.byte() & 1;
    (bytes[41], bytes[43]) = (noise.byte() & 1, noise.byte() & 0x11);
}
