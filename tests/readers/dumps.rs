//! Text dumps: every usual form gives the same bytes.

use crate::spd_images::images;
use base64::Engine;
use kitproof::read::spd::dump::bytes_of_dump;
use kitproof::read::spd::read_dump;
use std::fmt::Write;

fn words(bytes: &[u8], size: usize, separator: &str) -> String {
    let words: Vec<String> = bytes
        .chunks(size)
        .map(|word| word.iter().map(|byte| format!("{byte:02x}")).collect())
        .collect();
    words.join(separator)
}

fn characters(row: &[u8]) -> String {
    let shown = |byte: &u8| {
        if (b' '..=b'~').contains(byte) {
            char::from(*byte)
        } else {
            '.'
        }
    };
    row.iter().map(shown).collect()
}

/// Lines of sixteen bytes, each made by a function of offset and row.
fn lines(bytes: &[u8], line: impl Fn(usize, &[u8]) -> String) -> String {
    bytes
        .chunks(16)
        .enumerate()
        .fold(String::new(), |mut text, (index, row)| {
            writeln!(text, "{}", line(index * 16, row)).expect("a line");
            text
        })
}

/// The same with repeated lines left out, as the usual tools do.
fn squeezed(bytes: &[u8]) -> String {
    let mut text = String::new();
    let mut before: Option<&[u8]> = None;
    let mut starred = false;
    for (index, row) in bytes.chunks(16).enumerate() {
        if before == Some(row) {
            if !starred {
                text.push_str("*\n");
            }
            starred = true;
            continue;
        }
        starred = false;
        before = Some(row);
        let (offset, shown) = (index * 16, characters(row));
        writeln!(text, "{offset:08x}  {}  |{shown}|", words(row, 1, " ")).expect("a line");
    }
    writeln!(text, "{:08x}", bytes.len()).expect("a line");
    text
}

fn forms(bytes: &[u8]) -> Vec<(&'static str, String)> {
    let ruler = format!(
        "     {}    0123456789abcdef\n",
        (0..16)
            .map(|column| format!("{column:x}"))
            .collect::<Vec<_>>()
            .join("  ")
    );
    vec![
        ("plain digits", words(bytes, 1, "")),
        ("spaces", words(bytes, 1, " ")),
        ("upper case", words(bytes, 1, " ").to_uppercase()),
        ("colons", words(bytes, 1, ":")),
        ("array", format!("{{ 0x{} }}", words(bytes, 1, ", 0x"))),
        ("escapes", format!("\\x{}", words(bytes, 1, "\\x"))),
        ("lines of digits", lines(bytes, |_, row| words(row, 1, " "))),
        (
            "long offsets",
            lines(bytes, |at, row| format!("{at:08x}  {}", words(row, 1, " "))),
        ),
        (
            "short offsets",
            lines(bytes, |at, row| format!("{at:04x} {}", words(row, 1, " "))),
        ),
        (
            "pairs",
            lines(bytes, |at, row| {
                format!("{at:08x}: {}  {}", words(row, 2, " "), characters(row))
            }),
        ),
        (
            "ruler and characters",
            ruler
                + &lines(bytes, |at, row| {
                    format!("{at:02x}: {}    {}", words(row, 1, " "), characters(row))
                }),
        ),
        (
            "octal offsets",
            lines(bytes, |at, row| format!("{at:07o} {}", words(row, 1, " "))),
        ),
        ("repeated lines left out", squeezed(bytes)),
        (
            "comments",
            format!(
                "# made by hand\n\n{}",
                lines(bytes, |_, row| words(row, 1, " "))
            ),
        ),
        (
            "base64",
            base64::engine::general_purpose::STANDARD.encode(bytes),
        ),
        (
            "base64 for addresses",
            base64::engine::general_purpose::URL_SAFE_NO_PAD.encode(bytes),
        ),
        (
            "data address",
            format!(
                "data:application/octet-stream;base64,{}",
                base64::engine::general_purpose::STANDARD.encode(bytes)
            ),
        ),
    ]
}

#[test]
fn reads_the_same_bytes_from_every_usual_form() {
    for (name, bytes, _) in images() {
        for (form, text) in forms(&bytes) {
            let (found, notes) = bytes_of_dump(&text);
            assert_eq!(notes, [], "{name}: {form}");
            assert_eq!(found, bytes, "{name}: {form}");
        }
    }
}

#[test]
fn reads_sixteen_bit_words_of_a_little_endian_machine() {
    for (name, bytes, _) in images() {
        if name.ends_with("badcrc") {
            continue;
        }
        let text = lines(&bytes, |at, row| {
            let swapped: Vec<u8> = row.chunks(2).flat_map(|pair| [pair[1], pair[0]]).collect();
            format!("{at:07x} {}", words(&swapped, 2, " "))
        });
        let reading = read_dump(&text);
        assert!(reading.has("spd-bytes-swapped"), "{name}");
        assert!(reading.is_sound(), "{name}");
    }
}

#[test]
fn stops_at_a_byte_that_was_not_read() {
    let (_, bytes, _) = &images()[0];
    let mut all: Vec<String> = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    all[130] = "XX".to_owned();
    let (found, notes) = bytes_of_dump(&all.join(" "));
    assert_eq!(found, bytes[..130]);
    assert_eq!(notes[0].code(), "spd-byte-unreadable");
}

#[test]
fn tells_text_that_is_no_dump() {
    for text in [
        "",
        "   ",
        "this is not a dump!",
        "# only a comment",
        "0x",
        "abc",
    ] {
        let reading = read_dump(text);
        assert!(!reading.is_sound(), "{text}: {:?}", reading.notes);
    }
}
