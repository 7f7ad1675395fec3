//! What the commands are given: a catalogue, requests and reports, from files or standard input.

use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;

use crate::api::Problem;
use crate::api::extract::{Body, read_json};
use crate::api::wire::reported::Installed;
use crate::api::wire::request::ValidateRequest;
use crate::catalogue::{Catalogue, directory, embedded};
use crate::wirecheck::Faults;

/// What went wrong, in words for the terminal.
pub type Failure = Box<dyn std::error::Error>;

/// The bytes of a file.
///
/// # Errors
/// When it cannot be read.
pub fn file(path: &Path) -> Result<Vec<u8>, String> {
    fs::read(path).map_err(|error| format!("cannot read `{}`: {error}", path.display()))
}

/// The bytes of a file, or of standard input.
///
/// # Errors
/// When they cannot be read.
pub fn content(path: &Path) -> Result<Vec<u8>, Failure> {
    if path.as_os_str() != "-" {
        return Ok(file(path)?);
    }
    let mut bytes = Vec::new();
    std::io::stdin().lock().read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The catalogue of a folder, or the embedded one.
///
/// # Errors
/// Every fault of the folder.
pub fn catalogue(folder: Option<&Path>) -> Result<Arc<Catalogue>, Failure> {
    match folder {
        None => Ok(embedded::shared()),
        Some(folder) => match directory::load(folder) {
            Ok(catalogue) => Ok(Arc::new(catalogue)),
            Err(report) => Err(report.text().into()),
        },
    }
}

/// What a file asks.
///
/// # Errors
/// Every fault of it.
pub fn parsed<T: Body>(text: &[u8]) -> Result<T, Failure> {
    read_json::<T>(text).map_err(|refusal| in_words(&refusal.into()))
}

/// The request of a file, with a report as what is installed.
///
/// # Errors
/// Every fault of it, or that it tells what is installed itself.
pub fn request(text: &[u8], report: Option<&[u8]>) -> Result<ValidateRequest, Failure> {
    let mut request: ValidateRequest = parsed(text)?;
    if let Some(report) = report {
        if request.installed.is_some() {
            return Err("the request tells what is installed, so `--installed` cannot".into());
        }
        request.installed = Some(Installed::of_report(report));
    }
    Ok(request)
}

/// The same as text for a server.
///
/// # Errors
/// As for [`request`].
pub fn with_report(text: &[u8], report: &[u8]) -> Result<String, Failure> {
    // Read strictly first: what follows would not notice a member that stands twice.
    request(text, Some(report))?;
    let mut body: serde_json::Value = serde_json::from_slice(text)?;
    if let Some(members) = body.as_object_mut() {
        members.insert("installed".to_owned(), Installed::report_json(report));
    }
    Ok(body.to_string())
}

/// What is wrong with a request that was read and cannot be used.
pub fn refused(faults: Faults) -> Failure {
    in_words(&Problem::invalid_body(faults))
}

/// Every fault of a request on a line of its own.
pub fn in_words(problem: &Problem) -> Failure {
    let mut lines = vec![problem.to_string()];
    for fault in &problem.faults.list {
        let place = if fault.pointer.is_empty() {
            "the whole request"
        } else {
            &fault.pointer
        };
        let mut line = format!("  {place}: {}", fault.message);
        if let Some(hint) = &fault.hint {
            line.push_str(&format!(" ({hint})"));
        }
        if !fault.close_matches.is_empty() {
            line.push_str(&format!(" - near: {}", fault.close_matches.join(", ")));
        }
        lines.push(line);
    }
    lines.join("\n").into()
}
