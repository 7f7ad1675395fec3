//! Modules: of the catalogue, with their facts in the request, or by a label.

use crate::catalogue::record::ModuleRecord;
use crate::domain::module::Module;
use crate::domain::request::PartIx;
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode};
use std::sync::Arc;

use super::super::labels;
use super::super::pointer::Pointer;
use super::super::reference::{LabelRef, ModuleRef};
use super::Reader;

impl Reader<'_> {
    pub(in crate::api::wire) fn part(
        &mut self,
        module: &ModuleRef,
        at: &Pointer,
    ) -> Option<PartIx> {
        match module {
            ModuleRef::Id(id) => {
                if let Some(known) = self
                    .parts
                    .iter()
                    .position(|(known, _)| known.as_ref() == Some(id))
                {
                    return u16::try_from(known).ok().map(PartIx);
                }
                let Some(entry) = self.catalogue.module(id) else {
                    let near =
                        close_matches(id, self.catalogue.modules().map(|entry| entry.id.as_str()));
                    let fault = Fault::new(
                        at.to_string(),
                        FaultCode::UnknownName,
                        format!("there is no module `{id}` in this catalogue"),
                    );
                    self.faults.push(
                        fault
                            .hint("an id of `/v1/modules`, the module's facts, or its label")
                            .close_matches(near),
                    );
                    return None;
                };
                self.add(Some(id.clone()), Arc::clone(&entry.module))
            }
            ModuleRef::Label(label) => self.label(label, at),
            ModuleRef::Own(record) => match record.to_module(&describe(record)) {
                Ok(module) => self.add(None, Arc::new(module)),
                Err(faults) => {
                    self.record_faults(&at.to_string(), faults);
                    None
                }
            },
        }
    }

    /// The module that carries a label. A label that is not well formed is refused, with what was
    /// probably meant: guessing could make a module fit that does not.
    fn label(&mut self, label: &LabelRef, at: &Pointer) -> Option<PartIx> {
        if let Some((_, part)) = self.labels.iter().find(|(known, _)| known == label) {
            return Some(*part);
        }
        let read = match labels::read(label, &at.to_string()) {
            Ok(read) => read,
            Err(faults) => {
                self.faults.extend(faults);
                return None;
            }
        };
        self.notes.extend(read.notes);
        let part = self.add(None, Arc::new(read.module))?;
        self.labels.push((label.clone(), part));
        Some(part)
    }

    /// Equal modules share one part.
    pub(in crate::api::wire) fn add(
        &mut self,
        id: Option<String>,
        module: Arc<Module>,
    ) -> Option<PartIx> {
        let known = self
            .parts
            .iter()
            .position(|(known, own)| *known == id && **own == *module);
        let index = known.unwrap_or_else(|| {
            self.parts.push((id, module));
            self.parts.len() - 1
        });
        u16::try_from(index).ok().map(PartIx)
    }
}

/// What to call a module that has no name: what is known of it, in the words of a label.
pub fn describe(record: &ModuleRecord) -> String {
    let module = record.to_module("").ok();
    let mut words: Vec<String> = Vec::new();
    if let Some(module) = &module {
        words.extend(module.capacity.map(crate::render::values::capacity_text));
        if let (Some(ranks), Some(width)) = (module.package_ranks, module.width) {
            words.push(format!("{ranks}R{}", width.name()));
        }
        words.extend(
            module
                .generation
                .map(|generation| generation.name().to_owned()),
        );
        words.extend(module.kind.map(|kind| kind.name().to_owned()));
    }
    if words.is_empty() {
        "an unknown module".to_owned()
    } else {
        words.join(" ")
    }
}
