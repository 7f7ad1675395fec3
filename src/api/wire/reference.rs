//! An id of the catalogue, or the thing itself; a module also by the text of its label.

use crate::catalogue::record::words::HeightName;
use crate::catalogue::record::{ModuleRecord, MoneyRecord};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Error, MapAccess, Visitor};
use serde::{Deserialize, Deserializer};
use serde_json::{Map, Value};
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

fn id_schema() -> ObjectBuilder {
    ObjectBuilder::new()
        .schema_type(Type::String)
        .min_length(Some(1))
        .max_length(Some(LONGEST_ID))
        .description(Some("An id of the catalogue."))
}

impl<T: ToSchema> PartialSchema for IdOr<T> {
    fn schema() -> RefOr<Schema> {
        AnyOfBuilder::new()
            .item(id_schema())
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

/// A module by what is printed on it, with facts that a label does not tell.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LabelRef {
    /// The text of the module's label, from the capacity on.
    #[schema(
        example = "32GB 2Rx4 PC4-3200AA-RB2-12",
        min_length = 1,
        max_length = 300
    )]
    pub label: String,
    /// What to call it in an answer; its label if left out.
    #[schema(max_length = 200)]
    pub name: Option<String>,
    /// Height class.
    pub height: Option<HeightName>,
    /// Maker of the module.
    #[schema(max_length = 200)]
    pub maker: Option<String>,
    /// The maker's part number.
    #[schema(max_length = 100)]
    pub part_number: Option<String>,
    /// The maker's product line, where a board forbids to mix lines.
    #[schema(max_length = 100)]
    pub product_line: Option<String>,
    /// Maker of the DRAM devices on it, where a board forbids to mix them.
    #[schema(max_length = 200)]
    pub dram_maker: Option<String>,
    /// Typical power in mW.
    pub typical_power_mw: Option<u64>,
    /// Peak power in mW.
    pub peak_power_mw: Option<u64>,
    /// Price of one module.
    pub price: Option<MoneyRecord>,
    /// Modules in stock.
    pub stock: Option<u32>,
    /// Modules are sold in multiples of this.
    #[schema(minimum = 1, maximum = 1024)]
    pub pack: Option<u32>,
}

/// A module: an id of the catalogue (a string), its facts, or its label.
#[derive(Clone, Debug)]
pub enum ModuleRef {
    /// The id.
    Id(String),
    /// The facts.
    Own(Box<ModuleRecord>),
    /// The label.
    Label(Box<LabelRef>),
}

impl<'de> Deserialize<'de> for ModuleRef {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(ModuleRefVisitor)
    }
}

struct ModuleRefVisitor;

impl<'de> Visitor<'de> for ModuleRefVisitor {
    type Value = ModuleRef;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an id, a record or a label")
    }

    fn visit_str<E: Error>(self, id: &str) -> Result<Self::Value, E> {
        Ok(ModuleRef::Id(id.to_owned()))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Self::Value, A::Error> {
        // Which of the two it is may stand at the end. What is kept until then is checked for
        // repeated members here, and for unknown ones by the type that it becomes.
        let mut kept = Map::new();
        while let Some((name, value)) = members.next_entry::<String, Value>()? {
            if kept.contains_key(&name) {
                return Err(A::Error::custom("a member stands here twice"));
            }
            kept.insert(name, value);
        }
        let is_label = kept.contains_key("label");
        let kept = Value::Object(kept);
        let module = match is_label {
            true => LabelRef::deserialize(kept).map(|label| ModuleRef::Label(Box::new(label))),
            false => ModuleRecord::deserialize(kept).map(|record| ModuleRef::Own(Box::new(record))),
        };
        module.map_err(A::Error::custom)
    }
}

impl PartialSchema for ModuleRef {
    fn schema() -> RefOr<Schema> {
        AnyOfBuilder::new()
            .item(id_schema())
            .item(Ref::from_schema_name(ModuleRecord::name()))
            .item(Ref::from_schema_name(LabelRef::name()))
            .into()
    }
}

impl ToSchema for ModuleRef {
    fn name() -> Cow<'static, str> {
        "ModuleRef".into()
    }

    fn schemas(named: &mut Vec<(String, RefOr<Schema>)>) {
        named.push((ModuleRecord::name().into_owned(), ModuleRecord::schema()));
        named.push((LabelRef::name().into_owned(), LabelRef::schema()));
        LabelRef::schemas(named);
        ModuleRecord::schemas(named);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<ModuleRef, String> {
        serde_json::from_str(text).map_err(|error| error.to_string())
    }

    #[test]
    fn an_object_is_a_label_if_its_member_says_so_and_facts_otherwise() {
        let label = read(r#"{"label": "32GB 2Rx4 PC4-3200AA-RB2-12"}"#);
        assert!(matches!(label, Ok(ModuleRef::Label(_))));
        let late = read(r#"{"height": "LP", "label": "32GB 2Rx4 PC4-3200AA-RB2-12"}"#);
        assert!(matches!(late, Ok(ModuleRef::Label(label)) if label.height.is_some()));
        assert!(matches!(read(r#""ERW-4R32-2x4""#), Ok(ModuleRef::Id(_))));
        assert!(
            matches!(read("{}"), Ok(ModuleRef::Own(record)) if *record == ModuleRecord::default())
        );
        let record = read(r#"{"package_ranks": 2, "rate_mts": 3200}"#);
        assert!(matches!(record, Ok(ModuleRef::Own(record)) if record.package_ranks == Some(2)));
    }

    #[test]
    fn unknown_and_repeated_members_are_refused_in_every_form() {
        for text in [
            r#"{"label": "x", "rate_mts": 3200}"#,
            r#"{"rate_mts": 3200, "label": "x"}"#,
            r#"{"label": "x", "label": "y"}"#,
            r#"{"rate_mts": 3200, "rate_mts": 3200}"#,
            r#"{"lable": "x"}"#,
            "7",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
