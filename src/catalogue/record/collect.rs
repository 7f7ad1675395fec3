//! Gathers faults while a record is turned into the domain's terms.

use super::rows::FirmwareOrAny;
use super::value::OneOf;
use crate::domain::module::RecordFault;
use crate::domain::units::Version;

/// Faults found so far.
#[derive(Default)]
pub(super) struct Collect(pub Vec<RecordFault>);

impl Collect {
    pub fn fault(
        &mut self,
        pointer: impl Into<String>,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.0.push(RecordFault::new(pointer, message, hint));
    }

    /// A list must hold something.
    pub fn filled<T>(&mut self, pointer: &str, list: &[T], hint: &str) {
        if list.is_empty() {
            self.fault(pointer, "the list is empty", hint);
        }
    }

    /// The oldest firmware; nothing for `"any"`.
    pub fn firmware(&mut self, pointer: &str, firmware: &FirmwareOrAny) -> Option<Version> {
        let OneOf::Value(text) = firmware else {
            return None;
        };
        let version = Version::new(&text.0);
        if version.is_none() {
            self.fault(
                pointer,
                format!("`{}` is no version", text.0),
                "a version with a number in it, for example `2.4`, or `any`",
            );
        }
        version
    }
}
