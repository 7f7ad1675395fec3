//! Values of a record: numbers with their unit, and "a value or a word".
//!
//! A limit is a number, `"none"` or `"unknown"`; a list of what is taken is a list or `"any"`. Each
//! of these is [`OneOf`] a value and the words that may stand in its place. Every place has its own
//! type, so that its schema says what it counts and shows an example.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{Error, IntoDeserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::{Value, json};
use utoipa::openapi::schema::{AnyOfBuilder, ArrayBuilder, ObjectBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

use crate::domain::board::Limit;
use crate::domain::units::{Gigabits, Mib, Millivolts, Milliwatts, Mts};

/// Named schemas, as utoipa collects them.
pub(super) type Named = Vec<(String, RefOr<Schema>)>;

/// What may stand as a value or an element of a list.
pub trait Part: Serialize + for<'de> Deserialize<'de> {
    /// Its name within the names of schemas.
    fn label() -> String;
    /// Its schema where it is used.
    fn place() -> RefOr<Schema>;
    /// An example.
    fn sample() -> Value;
    /// Adds the schemas that [`Self::place`] refers to.
    fn needs(_named: &mut Named) {}
}

/// Words that may stand in place of a value.
pub trait Words: Sized + Copy + Serialize {
    /// All of them.
    const LIST: &'static [&'static str];
    /// Their name within the names of schemas.
    const LABEL: &'static str;
    /// The word of that text.
    fn of(text: &str) -> Option<Self>;
}

/// A value, or a word that stands in its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OneOf<T, W> {
    /// The value.
    Value(T),
    /// The word.
    Word(W),
}

impl<T: Serialize, W: Serialize> Serialize for OneOf<T, W> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Value(value) => value.serialize(to),
            Self::Word(word) => word.serialize(to),
        }
    }
}

impl<'de, T: Deserialize<'de>, W: Words> Deserialize<'de> for OneOf<T, W> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(OneOfVisitor(PhantomData))
    }
}

struct OneOfVisitor<T, W>(PhantomData<(T, W)>);

impl<'de, T: Deserialize<'de>, W: Words> Visitor<'de> for OneOfVisitor<T, W> {
    type Value = OneOf<T, W>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a value, or one of {}", W::LIST.join(", "))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Self::Value, E> {
        match W::of(text) {
            Some(word) => Ok(OneOf::Word(word)),
            None => T::deserialize(text.into_deserializer()).map(OneOf::Value),
        }
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Self::Value, E> {
        T::deserialize(number.into_deserializer()).map(OneOf::Value)
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Self::Value, E> {
        T::deserialize(number.into_deserializer()).map(OneOf::Value)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Self::Value, A::Error> {
        T::deserialize(SeqAccessDeserializer::new(list)).map(OneOf::Value)
    }

    fn visit_map<A: MapAccess<'de>>(self, members: A) -> Result<Self::Value, A::Error> {
        T::deserialize(MapAccessDeserializer::new(members)).map(OneOf::Value)
    }
}

impl<T: Part, W: Words> PartialSchema for OneOf<T, W> {
    fn schema() -> RefOr<Schema> {
        let words = ObjectBuilder::new()
            .schema_type(Type::String)
            .enum_values(Some(W::LIST.iter().copied()));
        AnyOfBuilder::new()
            .item(T::place())
            .item(words)
            .examples([T::sample()])
            .into()
    }
}

impl<T: Part, W: Words> ToSchema for OneOf<T, W> {
    fn name() -> Cow<'static, str> {
        format!("{}Or{}", T::label(), W::LABEL).into()
    }

    fn schemas(named: &mut Named) {
        T::needs(named);
    }
}

impl<T: Part> Part for Vec<T> {
    fn label() -> String {
        format!("{}List", T::label())
    }

    fn place() -> RefOr<Schema> {
        ArrayBuilder::new().items(T::place()).into()
    }

    fn sample() -> Value {
        json!([T::sample()])
    }

    fn needs(named: &mut Named) {
        T::needs(named);
    }
}

/// The place of a type that has a schema of its own name.
pub(super) fn reference<T: ToSchema>() -> RefOr<Schema> {
    Ref::from_schema_name(T::name()).into()
}

/// A type with a schema of its own name, and what that needs.
pub(super) fn add<T: ToSchema>(named: &mut Named) {
    named.push((T::name().into_owned(), T::schema()));
    T::schemas(named);
}

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$wdoc:meta])* $variant:ident = $text:literal),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
        pub enum $name {
            $($(#[$wdoc])* #[serde(rename = $text)] $variant),*
        }

        impl Words for $name {
            const LIST: &'static [&'static str] = &[$($text),*];
            const LABEL: &'static str = stringify!($name);

            fn of(text: &str) -> Option<Self> {
                match text {
                    $($text => Some(Self::$variant),)*
                    _ => None,
                }
            }
        }
    };
}
pub(super) use words;

words! {
    /// In place of a limit.
    NoneOrUnknown {
        /// There is no limit.
        None = "none",
        /// The author of the record does not know the limit.
        Unknown = "unknown",
    }
}

words! {
    /// In place of a list of what is taken.
    Any {
        /// Whatever it is.
        Any = "any",
    }
}

words! {
    /// In place of a list of parts of the board.
    All {
        /// Every one.
        All = "all",
    }
}

/// A limit: a value, `"none"` or `"unknown"`.
pub type LimitOf<T> = OneOf<T, NoneOrUnknown>;

/// A value, or `"any"`.
pub type AnyOr<T> = OneOf<T, Any>;

impl<T> LimitOf<T> {
    /// The limit in the domain's terms.
    pub fn to_limit<U>(&self, value: impl FnOnce(&T) -> U) -> Limit<U> {
        match self {
            Self::Value(limit) => Limit::Is(value(limit)),
            Self::Word(NoneOrUnknown::None) => Limit::None,
            Self::Word(NoneOrUnknown::Unknown) => Limit::Unknown,
        }
    }
}

impl<T> AnyOr<Vec<T>> {
    /// The list, or nothing for `"any"`.
    pub fn to_list<U>(&self, value: impl FnMut(&T) -> U) -> Option<Vec<U>> {
        match self {
            Self::Value(list) => Some(list.iter().map(value).collect()),
            Self::Word(Any::Any) => None,
        }
    }
}

macro_rules! number {
    ($(#[$doc:meta])* $name:ident($inner:ty) in $low:literal..=$high:literal, e.g. $example:literal $(=> $domain:ident)?) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub $inner);

        impl PartialSchema for $name {
            fn schema() -> RefOr<Schema> {
                ObjectBuilder::new()
                    .schema_type(Type::Integer)
                    .minimum(Some($low))
                    .maximum(Some($high))
                    .examples([json!($example)])
                    .into()
            }
        }

        impl ToSchema for $name {}

        impl Part for $name {
            fn label() -> String {
                stringify!($name).to_owned()
            }

            fn place() -> RefOr<Schema> {
                Self::schema()
            }

            fn sample() -> Value {
                json!($example)
            }
        }

        $(impl From<$name> for $domain {
            fn from(value: $name) -> Self {
                Self(value.0)
            }
        })?
    };
}

number! {
    /// A capacity in MiB.
    CapacityMib(u64) in 64..=1_073_741_824, e.g. 32768 => Mib
}
number! {
    /// A rate in MT/s.
    RateMts(u32) in 200..=20000, e.g. 1600 => Mts
}
number! {
    /// A voltage in mV.
    VoltageMv(u16) in 500..=15000, e.g. 1350 => Millivolts
}
number! {
    /// A power in mW.
    PowerMw(u64) in 1..=1_000_000, e.g. 9000 => Milliwatts
}
number! {
    /// A die density in Gbit.
    DensityGbit(u16) in 1..=128, e.g. 8 => Gigabits
}
number! {
    /// A number of ranks.
    Ranks(u8) in 1..=16, e.g. 2
}
number! {
    /// A stack height: dies behind each rank.
    StackHeight(u8) in 1..=16, e.g. 2
}
number! {
    /// ECC bits on the bus.
    EccBits(u8) in 0..=8, e.g. 8
}
number! {
    /// A number of modules.
    ModuleCount(u8) in 1..=128, e.g. 2
}
number! {
    /// A number of distinct capacities.
    CapacityCount(u8) in 1..=16, e.g. 2
}
number! {
    /// The number of a socket, counted from 1, or how many are fitted.
    Socket(u8) in 1..=64, e.g. 1
}
number! {
    /// The number of a channel of a socket, counted from 1.
    Channel(u8) in 1..=32, e.g. 1
}
number! {
    /// The number of a position of a channel, or how many are wired; 1 is the farthest from the processor.
    Position(u8) in 1..=4, e.g. 1
}

/// Limits of a board by what they count.
pub type CapacityLimit = LimitOf<CapacityMib>;
/// A limit on a rate.
pub type RateLimit = LimitOf<RateMts>;
/// A limit on a voltage: here the one voltage that slots feed.
pub type VoltageLimit = LimitOf<VoltageMv>;
/// A limit on a power.
pub type PowerLimit = LimitOf<PowerMw>;
/// A limit on ranks.
pub type RankLimit = LimitOf<Ranks>;
/// A limit on modules.
pub type ModuleLimit = LimitOf<ModuleCount>;
/// A limit on distinct capacities.
pub type CapacityCountLimit = LimitOf<CapacityCount>;
/// Capacities, or any.
pub type CapacitiesOrAny = AnyOr<Vec<CapacityMib>>;
/// Rank counts, or any.
pub type RanksOrAny = AnyOr<Vec<Ranks>>;
/// Die densities, or any.
pub type DensitiesOrAny = AnyOr<Vec<DensityGbit>>;
/// The densest die, or any.
pub type DensityOrAny = AnyOr<DensityGbit>;
/// Stack heights, or any.
pub type StacksOrAny = AnyOr<Vec<StackHeight>>;
/// ECC bits, or any.
pub type EccBitsOrAny = AnyOr<Vec<EccBits>>;
/// Voltages, or any.
pub type VoltagesOrAny = AnyOr<Vec<VoltageMv>>;
/// Positions, or any.
pub type PositionsOrAny = AnyOr<Vec<Position>>;
/// Numbers of sockets, or any.
pub type SocketsOrAny = AnyOr<Vec<Socket>>;
/// Channels in order, or any order.
pub type ChannelsOrAny = AnyOr<Vec<Channel>>;
/// Module counts, or any.
pub type CountsOrAny = AnyOr<Vec<ModuleCount>>;
/// Channels, or all.
pub type ChannelsOrAll = OneOf<Vec<Channel>, All>;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_is_a_value_or_one_of_two_words() {
        let read = |text: &str| serde_json::from_str::<RankLimit>(text);
        assert_eq!(read("8").unwrap().to_limit(|r| r.0), Limit::Is(8));
        assert_eq!(read("\"none\"").unwrap().to_limit(|r| r.0), Limit::None);
        assert_eq!(
            read("\"unknown\"").unwrap().to_limit(|r| r.0),
            Limit::Unknown
        );
        for wrong in ["\"never\"", "null", "-1", "300", "[8]", "true", "8.5"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_record_writes_what_it_read() {
        for text in ["[1,2]", "\"any\"", "[]"] {
            let list: RanksOrAny = serde_json::from_str(text).unwrap();
            assert_eq!(serde_json::to_string(&list).unwrap(), text);
        }
    }
}
