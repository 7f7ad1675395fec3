//! One module from a label or an SPD image: the road that the service and the command line take.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use super::problem::{Code, Problem};
use super::wire::note::NoteBody;
use super::wire::read_module::{FactBody, Image, ModuleReadingBody, ReadModuleRequest};
use crate::catalogue::record::ModuleRecord;
use crate::read::Reading;
use crate::read::fact::{Fact, Standing};
use crate::read::label::{read_label, write_label};
use crate::read::module_facts::of_reading;
use crate::read::note::Weight;
use crate::read::spd::dump::bytes_of_dump;
use crate::read::spd::{read_dump, read_spd};
use crate::render::words::Words;
use crate::wirecheck::{Fault, FaultCode};

/// Fewer bytes than this are no SPD image: all generations keep what tells a module in the first 128.
const LEAST_IMAGE: usize = 128;

/// What a label or an image tells of a module; nothing if it tells nothing.
fn told(source: &'static str, reading: &Reading) -> Result<ModuleReadingBody, Vec<NoteBody>> {
    let words = Words::english();
    let written = write_label(&reading.module);
    let part_number = reading.module.origin.part_number.value().cloned();
    let name = part_number.or_else(|| written.text.clone());
    let known = of_reading(&reading.module, &name.unwrap_or_default());
    let blank = known.is_blank();
    let (_, known) = known.settled();
    let notes = reading.notes.iter().chain(&known.notes);
    let notes = notes.chain(written.notes.iter().filter(|_| !blank));
    let notes: Vec<NoteBody> = notes
        .map(|note| NoteBody::of_module(note, None, words))
        .collect();
    if blank {
        return Err(notes);
    }
    Ok(ModuleReadingBody {
        source,
        sound: notes.iter().all(|note| note.weight != Weight::Fault.name()),
        module: ModuleRecord::from(&known.facts),
        facts: FactBody::all(&known),
        bus_bits: sure(&reading.module.organisation.bus_bits()),
        label: written.text,
        notes,
    })
}

/// A fact that is not only assumed.
fn sure(fact: &Fact<u16>) -> Option<u16> {
    fact.value()
        .copied()
        .filter(|_| fact.standing() > Standing::Assumed)
}

/// Reads what a request names.
///
/// # Errors
/// Text that is no base64; an input that tells nothing, with what was noted.
pub fn read(request: &ReadModuleRequest) -> Result<ModuleReadingBody, Problem> {
    let (pointer, result) = match request {
        ReadModuleRequest::Label(text) => ("/label", told("label", &read_label(text))),
        ReadModuleRequest::Spd(Image::Hex(text)) => ("/spd/hex", told("spd", &read_dump(text))),
        ReadModuleRequest::Spd(Image::Base64(text)) => {
            let at = "/spd/base64";
            let packed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
            let bytes = STANDARD.decode(packed).map_err(|_| {
                let fault = Fault::new(at, FaultCode::Unusable, "the text is no base64");
                let hint = "base64 of RFC 4648, section 4, with padding; or `hex`";
                Problem::invalid_body(fault.hint(hint))
            })?;
            (at, told("spd", &read_spd(&bytes)))
        }
    };
    result.map_err(|notes| Problem::invalid_body(nothing(pointer, &notes)))
}

/// Reads a body that is no JSON: a label, a hexadecimal dump or the bytes of an image.
///
/// # Errors
/// A `nothing-readable` problem.
pub fn read_raw(body: &[u8]) -> Result<ModuleReadingBody, Problem> {
    let result = match image(body) {
        Some(bytes) => told("spd", &read_spd(&bytes)),
        None => told("label", &read_label(&String::from_utf8_lossy(body))),
    };
    result.map_err(|notes| {
        let detail = "neither a module label nor an SPD image can be read from the body";
        Problem::new(Code::NothingReadable, detail).faults(nothing("", &notes))
    })
}

/// The bytes of an image, as they are or from a dump; nothing for text that is neither.
fn image(body: &[u8]) -> Option<Vec<u8>> {
    let text = match std::str::from_utf8(body) {
        Ok(text) if !text.contains('\0') => text,
        _ => return Some(body.to_vec()),
    };
    let (bytes, _) = bytes_of_dump(text);
    (bytes.len() >= LEAST_IMAGE).then_some(bytes)
}

/// Whether a file is an SPD image or a dump of one whose checksum or content can be read.
pub fn looks_like_image(body: &[u8]) -> bool {
    image(body).is_some_and(|bytes| {
        let reading = read_spd(&bytes);
        reading.module.generation.is_known() && reading.module.capacity_mib.is_known()
    })
}

/// Nothing was told: what the reader noted as faults.
fn nothing(pointer: &str, notes: &[NoteBody]) -> Vec<Fault> {
    let weighty = notes
        .iter()
        .filter(|note| note.weight == Weight::Fault.name());
    let mut faults: Vec<Fault> = weighty
        .map(|note| Fault::new(pointer, FaultCode::Unusable, note.as_message()))
        .collect();
    if faults.is_empty() {
        let message = "nothing of a module can be read from this";
        faults.push(Fault::new(pointer, FaultCode::Unusable, message));
    }
    let hint = "a label such as `32GB 2Rx4 PC4-3200AA-RB2-12`, or a whole SPD image";
    faults.into_iter().map(|fault| fault.hint(hint)).collect()
}
