//! An id of the catalogue, or the thing itself.

use serde::de::value::MapAccessDeserializer;
use serde::de::{Error, MapAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use utoipa::openapi::schema::{AnyOfBuilder, ObjectBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// The longest id.
const LONGEST_ID: usize = 100;

/// An id of the catalogue (a string), or a record of one's own (an object).
#[derive(Clone, Debug)]
pub enum IdOr<T> {
    /// The id.
    Id(String),
    /// The record.
    Own(Box<T>),
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for IdOr<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        // A visitor and not an untagged enum: nothing is buffered, so repeated and unknown members
        // of the record are still refused.
        from.deserialize_any(IdOrVisitor(PhantomData))
    }
}

struct IdOrVisitor<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for IdOrVisitor<T> {
    type Value = IdOr<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an id or a record")
    }

    fn visit_str<E: Error>(self, id: &str) -> Result<Self::Value, E> {
        Ok(IdOr::Id(id.to_owned()))
    }

    fn visit_map<A: MapAccess<'de>>(self, members: A) -> Result<Self::Value, A::Error> {
        T::deserialize(MapAccessDeserializer::new(members))
            .map(|record| IdOr::Own(Box::new(record)))
    }
}

impl<T: ToSchema> PartialSchema for IdOr<T> {
    fn schema() -> RefOr<Schema> {
        let id = ObjectBuilder::new()
            .schema_type(Type::String)
            .min_length(Some(1))
            .max_length(Some(LONGEST_ID))
            .description(Some("An id of the catalogue."));
        AnyOfBuilder::new()
            .item(id)
            .item(Ref::from_schema_name(T::name()))
            .into()
    }
}

impl<T: ToSchema> ToSchema for IdOr<T> {
    fn name() -> Cow<'static, str> {
        format!("IdOr{}", T::name()).into()
    }

    fn schemas(named: &mut Vec<(String, RefOr<Schema>)>) {
        named.push((T::name().into_owned(), T::schema()));
        T::schemas(named);
    }
}
