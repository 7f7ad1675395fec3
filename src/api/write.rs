//! A body as JSON, in the same bytes as serde_json writes, in less time.
//!
//! An answer is mostly names of members and short texts without anything to escape. serde_json looks at each
//! byte of both, and puts a text together from pieces; here a name goes as it is (those of our types are
//! plain, which a test holds), and a text is copied whole once eight bytes at a time show nothing to escape.
//! Whatever is not of an answer (floating point, bytes, texts with something to escape) is left to serde_json.

use std::fmt::Display;

use serde::ser::{
    self, Impossible, Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeTuple,
    Serializer,
};
use serde_json::Error;

/// A body as JSON.
///
/// # Errors
/// Those of serde_json.
pub fn to_vec(body: &impl Serialize) -> Result<Vec<u8>, Error> {
    // A usual answer has 4 to 16 KiB.
    let mut out = Vec::with_capacity(8 * 1024);
    append(&mut out, body)?;
    Ok(out)
}

/// A body as JSON behind what is there; where it fails, nothing is added.
///
/// # Errors
/// Those of serde_json.
pub fn append(out: &mut Vec<u8>, body: &impl Serialize) -> Result<(), Error> {
    let before = out.len();
    let written = body.serialize(&mut Writer { out });
    written.or_else(|_| {
        // A type that is not known here: serde_json says whether it can be written.
        out.truncate(before);
        serde_json::to_writer(&mut *out, body).inspect_err(|_| out.truncate(before))
    })
}

struct Writer<'o> {
    out: &'o mut Vec<u8>,
}

impl Writer<'_> {
    #[inline]
    fn put(&mut self, bytes: &[u8]) {
        self.out.extend_from_slice(bytes);
    }

    fn number(&mut self, number: impl itoa::Integer) -> Result<(), Error> {
        self.put(itoa::Buffer::new().format(number).as_bytes());
        Ok(())
    }

    /// By serde_json.
    fn general(&mut self, value: &(impl Serialize + ?Sized)) -> Result<(), Error> {
        serde_json::to_writer(&mut *self.out, value)
    }
}

/// Whether a text stands in JSON as it is: no quote, no backslash and no control character in it.
fn is_plain(text: &str) -> bool {
    const ONES: u64 = u64::MAX / 255;
    // True if some byte is below `least`, which is at most 128 (Mycroft's test for a zero byte, widened).
    let below =
        |eight: u64, least: u64| eight.wrapping_sub(ONES * least) & !eight & (ONES << 7) != 0;
    let has_special = |eight: u64| {
        below(eight, 0x20)
            || below(eight ^ (ONES * u64::from(b'"')), 1)
            || below(eight ^ (ONES * u64::from(b'\\')), 1)
    };
    let (eights, rest) = text.as_bytes().as_chunks::<8>();
    let special = |byte: &u8| *byte < 0x20 || matches!(byte, b'"' | b'\\');
    !eights
        .iter()
        .any(|eight| has_special(u64::from_le_bytes(*eight)))
        && !rest.iter().any(special)
}

/// A list or an object that is being written.
struct Open<'w, 'o> {
    writer: &'w mut Writer<'o>,
    /// What comes before the next element: a comma, or nothing yet.
    comma: bool,
    end: &'static [u8],
}

impl Open<'_, '_> {
    fn next(&mut self) {
        if std::mem::replace(&mut self.comma, true) {
            self.writer.out.push(b',');
        }
    }

    fn element(&mut self, value: &(impl Serialize + ?Sized)) -> Result<(), Error> {
        self.next();
        value.serialize(&mut *self.writer)
    }

    // Inlined, the name and its length are known.
    #[inline]
    fn member(
        &mut self,
        name: &'static str,
        value: &(impl Serialize + ?Sized),
    ) -> Result<(), Error> {
        let first = !std::mem::replace(&mut self.comma, true);
        self.writer.out.reserve(name.len() + 4);
        self.writer.put(if first { b"\"" } else { b",\"" });
        self.writer.put(name.as_bytes());
        self.writer.put(b"\":");
        value.serialize(&mut *self.writer)
    }

    fn close(self) -> Result<(), Error> {
        self.writer.put(self.end);
        Ok(())
    }
}

fn open<'w, 'o>(
    writer: &'w mut Writer<'o>,
    begin: &[u8],
    end: &'static [u8],
) -> Result<Open<'w, 'o>, Error> {
    writer.put(begin);
    Ok(Open {
        writer,
        comma: false,
        end,
    })
}

/// What no body of ours has.
fn unknown<T>(what: impl Display) -> Result<T, Error> {
    Err(ser::Error::custom(what))
}

impl<'w, 'o> Serializer for &'w mut Writer<'o> {
    type Ok = ();
    type Error = Error;
    type SerializeSeq = Open<'w, 'o>;
    type SerializeTuple = Open<'w, 'o>;
    type SerializeTupleStruct = Impossible<(), Error>;
    type SerializeTupleVariant = Impossible<(), Error>;
    type SerializeMap = Open<'w, 'o>;
    type SerializeStruct = Open<'w, 'o>;
    type SerializeStructVariant = Impossible<(), Error>;

    fn serialize_bool(self, value: bool) -> Result<(), Error> {
        self.put(if value { b"true" } else { b"false" });
        Ok(())
    }

    fn serialize_i8(self, value: i8) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_i16(self, value: i16) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_i32(self, value: i32) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_i64(self, value: i64) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_u8(self, value: u8) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_u16(self, value: u16) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_u32(self, value: u32) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_u64(self, value: u64) -> Result<(), Error> {
        self.number(value)
    }

    fn serialize_f32(self, value: f32) -> Result<(), Error> {
        self.general(&value)
    }

    fn serialize_f64(self, value: f64) -> Result<(), Error> {
        self.general(&value)
    }

    fn serialize_char(self, value: char) -> Result<(), Error> {
        self.general(&value)
    }

    fn serialize_str(self, value: &str) -> Result<(), Error> {
        if !is_plain(value) {
            return self.general(value);
        }
        self.out.reserve(value.len() + 2);
        self.out.push(b'"');
        self.put(value.as_bytes());
        self.out.push(b'"');
        Ok(())
    }

    fn serialize_bytes(self, _: &[u8]) -> Result<(), Error> {
        unknown("bytes")
    }

    fn serialize_none(self) -> Result<(), Error> {
        self.serialize_unit()
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Error> {
        self.put(b"null");
        Ok(())
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<(), Error> {
        self.serialize_unit()
    }

    fn serialize_unit_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
    ) -> Result<(), Error> {
        self.serialize_str(variant)
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: &T,
    ) -> Result<(), Error> {
        unknown(variant)
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Open<'w, 'o>, Error> {
        open(self, b"[", b"]")
    }

    fn serialize_tuple(self, _: usize) -> Result<Open<'w, 'o>, Error> {
        open(self, b"[", b"]")
    }

    fn serialize_tuple_struct(
        self,
        name: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleStruct, Error> {
        unknown(name)
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleVariant, Error> {
        unknown(variant)
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Open<'w, 'o>, Error> {
        open(self, b"{", b"}")
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Open<'w, 'o>, Error> {
        open(self, b"{", b"}")
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Self::SerializeStructVariant, Error> {
        unknown(variant)
    }
}

impl SerializeSeq for Open<'_, '_> {
    type Ok = ();
    type Error = Error;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.element(value)
    }

    fn end(self) -> Result<(), Error> {
        self.close()
    }
}

impl SerializeTuple for Open<'_, '_> {
    type Ok = ();
    type Error = Error;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.element(value)
    }

    fn end(self) -> Result<(), Error> {
        self.close()
    }
}

impl SerializeMap for Open<'_, '_> {
    type Ok = ();
    type Error = Error;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Error> {
        self.next();
        let before = self.writer.out.len();
        key.serialize(&mut *self.writer)?;
        match self.writer.out.get(before) {
            Some(b'"') => Ok(()),
            _ => unknown("a name that is no text"),
        }
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.writer.out.push(b':');
        value.serialize(&mut *self.writer)
    }

    fn end(self) -> Result<(), Error> {
        self.close()
    }
}

impl SerializeStruct for Open<'_, '_> {
    type Ok = ();
    type Error = Error;

    #[inline]
    fn serialize_field<T: Serialize + ?Sized>(
        &mut self,
        name: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        self.member(name, value)
    }

    fn end(self) -> Result<(), Error> {
        self.close()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Serialize;
    use serde_json::{Value, json};
    use std::collections::BTreeMap;

    #[derive(Serialize)]
    enum Word {
        Alone,
        Of(u8),
        Pair(u8, u8),
        Named { n: i64 },
    }

    #[derive(Serialize)]
    struct Newtype(Option<&'static str>);

    #[derive(Serialize)]
    struct Pair(u8, char);

    #[derive(Serialize)]
    struct Unit;

    #[track_caller]
    fn same(value: &impl Serialize) {
        let expected = serde_json::to_string(value).unwrap();
        let mut written = b"before".to_vec();
        append(&mut written, value).unwrap();
        assert_eq!(
            String::from_utf8(written).unwrap(),
            format!("before{expected}")
        );
        assert_eq!(to_vec(value).unwrap(), expected.as_bytes());
    }

    #[test]
    fn every_byte_of_a_text_is_written_as_serde_json_does() {
        for code in (0..0x300).chain([0x2028, 0xfffd, 0x1_f600]) {
            let letter = char::from_u32(code).unwrap();
            for before in 0..17 {
                for after in [0, 1, 7, 8] {
                    same(&format!(
                        "{}{letter}{}",
                        "a".repeat(before),
                        "ü".repeat(after)
                    ));
                }
            }
        }
    }

    #[test]
    fn every_kind_of_value_is_written_as_serde_json_does() {
        same(&json!({"a": [1, -2, 0.1, 1e300, null, true, {}], "": [], "\"": {"b": "\\"}}));
        same(&(u64::MAX, i64::MIN, 1.5f32, f64::NAN, 'x', '"', ()));
        same(&[
            Word::Alone,
            Word::Of(1),
            Word::Pair(1, 2),
            Word::Named { n: -1 },
        ]);
        same(&(Newtype(None), Newtype(Some("x")), Pair(1, '\n'), Unit));
        same(&BTreeMap::from([(1, "a"), (2, "b")]));
        same(&BTreeMap::from([(true, [0u8; 0])]));
        same(&vec![Some(i128::MAX)]);
        same(&Value::Null);
    }

    #[test]
    fn what_serde_json_cannot_write_is_refused_and_leaves_nothing() {
        let pairs = BTreeMap::from([((1, 2), 3)]);
        let mut out = b"before".to_vec();
        assert!(append(&mut out, &pairs).is_err());
        assert_eq!(out, b"before");
        assert!(to_vec(&pairs).is_err());
    }

    /// Names of members are written unseen.
    #[test]
    fn the_names_of_members_are_plain() {
        let document = crate::api::document::build(crate::api::ENDPOINTS).unwrap();
        let document: Value = serde_json::from_str(document.text()).unwrap();
        let mut todo = vec![&document];
        while let Some(value) = todo.pop() {
            if let Some(members) = value.get("properties").and_then(Value::as_object) {
                members
                    .keys()
                    .for_each(|name| assert!(is_plain(name), "{name}"));
            }
            match value {
                Value::Object(members) => todo.extend(members.values()),
                Value::Array(list) => todo.extend(list),
                _ => {}
            }
        }
    }
}
