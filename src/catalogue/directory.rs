//! A catalogue in a folder. The only part of the catalogue that touches files.
//!
//! Layout: one board in each `boards/*.json`, modules by id in each `modules/*.json`; the schemas of both
//! are `openapi/schemas/board.json` and `openapi/schemas/module.json`. Lists of modules may also
//! be NDJSON (`modules/*.ndjson`) or tables (`modules/*.csv`). Files are read in the order of their
//! names; other files are ignored, and one of the two folders may be missing.

use std::fmt::Write as _;
use std::fs;
use std::os::unix::fs::MetadataExt;
use std::path::Path;
use std::time::{Duration, SystemTime};

use super::Catalogue;
use super::doubts;
use super::load::{self, Content, File, FileFault, Loaded, Text};
use crate::wirecheck::{Fault, FaultCode};

/// The largest file that is read, in bytes.
const LARGEST: u64 = 64 << 20;

/// What a check of a folder found.
#[derive(Debug, Default)]
pub struct Report {
    /// Files that were read.
    pub files: usize,
    /// Boards that are right.
    pub boards: usize,
    /// Modules that are right.
    pub modules: usize,
    /// The revision of the catalogue, if nothing is wrong.
    pub revision: Option<String>,
    /// Everything that is wrong: the folder can't be used.
    pub faults: Vec<FileFault>,
    /// Whether a file has more faults than are listed.
    pub truncated: bool,
    /// What is legal and still looks wrong.
    pub warnings: Vec<FileFault>,
}

impl Report {
    /// Whether the folder can be used as a catalogue.
    pub fn is_usable(&self) -> bool {
        self.faults.is_empty()
    }

    /// The report for a terminal: one paragraph for each fault, then the warnings, then the sums.
    pub fn text(&self) -> String {
        let mut text = String::new();
        for fault in &self.faults {
            paragraph(&mut text, "fault", fault);
        }
        if self.truncated {
            text.push_str("A file has more faults than are listed here.\n\n");
        }
        for warning in &self.warnings {
            paragraph(&mut text, "warning", warning);
        }
        text.push_str(&self.sums());
        text
    }

    fn sums(&self) -> String {
        let mut line = format!(
            "{}: {}, {}; {}, {}\n",
            counted(self.files, "file"),
            counted(self.boards, "usable board"),
            counted(self.modules, "usable module"),
            counted(self.faults.len(), "fault"),
            counted(self.warnings.len(), "warning"),
        );
        if let Some(revision) = &self.revision {
            let _ = writeln!(line, "catalogue revision {revision}");
        }
        line
    }
}

fn counted(count: usize, what: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {what}{ending}")
}

/// The first faults, for a log line.
pub fn in_short(faults: &[FileFault]) -> String {
    let mut text = String::new();
    for fault in faults.iter().take(5) {
        paragraph(&mut text, "fault", fault);
    }
    if faults.len() > 5 {
        let _ = writeln!(text, "and {} more", faults.len() - 5);
    }
    text.trim_end().to_owned()
}

fn paragraph(text: &mut String, word: &str, found: &FileFault) {
    let FileFault { file, fault } = found;
    let place = if fault.pointer.is_empty() {
        "the whole file"
    } else {
        fault.pointer.as_str()
    };
    // Writing to a string does not fail.
    let _ = writeln!(text, "{word}: {file}, {place}\n  {}", fault.message);
    if !fault.close_matches.is_empty() {
        let names: Vec<String> = fault
            .close_matches
            .iter()
            .map(|name| format!("`{name}`"))
            .collect();
        let _ = writeln!(text, "  did you mean {}?", names.join(" or "));
    }
    if let Some(hint) = &fault.hint {
        let _ = writeln!(text, "  expected: {hint}");
    }
    text.push('\n');
}

/// Reads a folder and tells everything that is wrong or looks wrong.
pub fn check(folder: &Path) -> Report {
    let (loaded, files) = read(folder);
    let warnings = doubts::of(&loaded).into_iter();
    let warnings = warnings.map(|(file, doubt)| FileFault {
        file,
        fault: Fault::new(doubt.pointer, FaultCode::Unusable, doubt.message).hint(doubt.hint),
    });
    let mut report = Report {
        files,
        boards: loaded.boards.len(),
        modules: loaded.modules.len(),
        revision: None,
        faults: loaded.faults.clone(),
        truncated: loaded.truncated,
        warnings: warnings.collect(),
    };
    if report.is_usable() {
        report.revision = Some(loaded.into_catalogue().revision().to_owned());
    }
    report
}

/// Reads a folder as a catalogue.
///
/// # Errors
/// Everything that is wrong with it.
pub fn load(folder: &Path) -> Result<Catalogue, Box<Report>> {
    let (loaded, files) = read(folder);
    if loaded.faults.is_empty() {
        return Ok(loaded.into_catalogue());
    }
    Err(Box::new(Report {
        files,
        boards: loaded.boards.len(),
        modules: loaded.modules.len(),
        faults: loaded.faults,
        truncated: loaded.truncated,
        ..Report::default()
    }))
}

/// What the files hold, and how many there are.
fn read(folder: &Path) -> (Loaded, usize) {
    let (texts, mut faults) = texts(folder);
    let files: Vec<File<'_>> = texts.iter().map(Text::file).collect();
    let mut loaded = load::read(&files);
    faults.append(&mut loaded.faults);
    loaded.faults = faults;
    (loaded, files.len())
}

/// The files of a folder as they are, and those that cannot be read.
pub fn texts(folder: &Path) -> (Vec<Text>, Vec<FileFault>) {
    let mut faults = Vec::new();
    let mut texts = Vec::new();
    for (name, content) in listed(folder, &mut faults) {
        match bytes(&folder.join(&name)) {
            Ok(bytes) => texts.push(Text {
                name,
                content,
                bytes,
            }),
            Err(error) => faults.push(file_fault(&name, error)),
        }
    }
    if texts.is_empty() && faults.is_empty() {
        let place = folder.display().to_string();
        let fault = file_fault(&place, "there is no catalogue here".to_owned());
        faults.push(fault);
    }
    (texts, faults)
}

/// The files that a catalogue is made of: name and content.
fn listed(folder: &Path, faults: &mut Vec<FileFault>) -> Vec<(String, Content)> {
    let kind = |part: &str, name: &str| match part {
        "boards" => name.ends_with(".json").then_some(Content::Board),
        _ => Content::of_modules(name),
    };
    let mut files = Vec::new();
    for part in ["boards", "modules"] {
        for name in names(folder, part, faults) {
            if let Some(content) = kind(part, &name) {
                files.push((format!("{part}/{name}"), content));
            }
        }
    }
    files
}

/// Device, number on it, length, and when it was written.
type FilePrint = (u64, u64, u64, SystemTime);

/// What tells, without reading them, that files of a folder have changed: which there are, and of
/// each its place on the disk, its length and when it was written. Links are followed, so another
/// folder behind a link is another print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Print {
    files: Vec<(String, Option<FilePrint>)>,
}

impl Print {
    /// Of a folder as it is now.
    pub fn of(folder: &Path) -> Self {
        let files = listed(folder, &mut Vec::new()).into_iter();
        let one = |(name, _)| {
            let about = fs::metadata(folder.join(&name)).ok();
            let print = about.and_then(|about| {
                Some((
                    about.dev(),
                    about.ino(),
                    about.len(),
                    about.modified().ok()?,
                ))
            });
            (name, print)
        };
        Self {
            files: files.map(one).collect(),
        }
    }

    /// Whether a file was written less than `pause` ago, so that its writer may not be done.
    pub fn is_fresh(&self, pause: Duration) -> bool {
        let written = self.files.iter().filter_map(|(_, print)| *print);
        written
            .filter_map(|(_, _, _, at)| at.elapsed().ok())
            .any(|age| age < pause)
    }
}

fn file_fault(name: &str, message: String) -> FileFault {
    let fault = Fault::new("", FaultCode::Unreadable, message);
    FileFault {
        file: name.to_owned(),
        fault: fault.hint("a folder with one board in each `boards/*.json` and modules in `modules/*.json`, readable by this user"),
    }
}

/// Names of the files in a part of the folder, sorted.
fn names(folder: &Path, part: &str, faults: &mut Vec<FileFault>) -> Vec<String> {
    let entries = match fs::read_dir(folder.join(part)) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Vec::new(),
        Err(error) => {
            faults.push(file_fault(part, error.to_string()));
            return Vec::new();
        }
    };
    let mut names = Vec::new();
    for entry in entries {
        match entry.map(|entry| entry.file_name().into_string()) {
            Ok(Ok(name)) => names.push(name),
            Ok(Err(name)) => {
                let shown = format!("{part}/{}", name.to_string_lossy());
                faults.push(file_fault(&shown, "the file's name is no UTF-8".to_owned()));
            }
            Err(error) => faults.push(file_fault(part, error.to_string())),
        }
    }
    names.sort();
    names
}

fn bytes(path: &Path) -> Result<Vec<u8>, String> {
    let about = fs::metadata(path).map_err(|error| error.to_string())?;
    if about.len() > LARGEST {
        return Err(format!(
            "the file has {} bytes, at most {LARGEST} are read",
            about.len()
        ));
    }
    fs::read(path).map_err(|error| error.to_string())
}
