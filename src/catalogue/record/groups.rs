//! Slots of a board record that belong together and are not a channel.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use utoipa::ToSchema;
use utoipa::openapi::schema::{ArrayBuilder, ObjectBuilder, Type};
use utoipa::openapi::{RefOr, Schema};

use super::value::{LimitOf, Named, Part, add, reference};
use super::words::IdentityName;
use crate::domain::board::groups::SlotGroup;

/// Groups of slots, or none or unknown.
pub type SlotGroupsLimit = LimitOf<Vec<SlotGroupRecord>>;

/// Slots of a socket that belong together and are not a channel, for example because they share a
/// reset line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"name": "reset line 1", "seats": [[1, 1], [1, 2], [2, 1], [2, 2]], "identical": [], "shared_reset": true}))]
pub struct SlotGroupRecord {
    /// The maker's name of the group.
    #[schema(example = "reset line 1", min_length = 1, max_length = 100)]
    pub name: String,
    /// Channel and position of each slot of the group, both counted from 1.
    #[schema(example = json!([[1, 1], [1, 2]]))]
    pub seats: Vec<SeatOf>,
    /// What the modules of the group must have in common.
    #[schema(example = json!(["part_number"]))]
    pub identical: Vec<IdentityName>,
    /// Whether a module that is switched off takes the others of the group down with it.
    #[schema(example = true)]
    pub shared_reset: bool,
}

/// Channel and position of a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeatOf(pub [u8; 2]);

impl utoipa::PartialSchema for SeatOf {
    fn schema() -> RefOr<Schema> {
        let number = ObjectBuilder::new()
            .schema_type(Type::Integer)
            .minimum(Some(1))
            .maximum(Some(32));
        ArrayBuilder::new()
            .items(number)
            .min_items(Some(2))
            .max_items(Some(2))
            .description(Some("Channel and position, counted from 1."))
            .examples([json!([1, 1])])
            .into()
    }
}

impl ToSchema for SeatOf {}

impl Part for SlotGroupRecord {
    fn label() -> String {
        "SlotGroup".to_owned()
    }

    fn place() -> RefOr<Schema> {
        reference::<Self>()
    }

    fn sample() -> Value {
        json!({"name": "reset line 1", "seats": [[1, 1], [1, 2]], "identical": [], "shared_reset": true})
    }

    fn needs(named: &mut Named) {
        add::<Self>(named);
    }
}

impl SlotGroupRecord {
    pub(super) fn to_group(&self) -> SlotGroup {
        SlotGroup {
            name: self.name.clone(),
            seats: self.seats.iter().map(|SeatOf([c, p])| (*c, *p)).collect(),
            identical: self.identical.iter().map(|i| (*i).into()).collect(),
            shared_reset: self.shared_reset,
        }
    }
}
