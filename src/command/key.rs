//! `kitproof key`: makes, lists and removes the keys of callers.

use std::path::{Path, PathBuf};

use crate::api::keys::file::{self, KeyFile, KeyRecord};
use crate::api::keys::text;
use crate::api::scope::Scope;
use crate::command::input;
use crate::watch::replace;

/// The commands.
#[derive(Debug, clap::Subcommand)]
pub enum KeyCommand {
    /// Make a key, add it to a file and print it. It is shown once: the file holds only a digest.
    Add {
        /// The file of keys; made if it does not exist.
        file: PathBuf,
        /// Whose key it is, for people.
        #[arg(long)]
        name: String,
        /// What it opens: `decide`, `bulk`, `read`, `catalogue`, `deliver` or `status`; may be
        /// repeated.
        #[arg(long = "scope", required = true)]
        scopes: Vec<Scope>,
        /// The last day on which it is good (UTC), such as `2027-12-31`.
        #[arg(long, value_name = "DAY")]
        last_day: Option<String>,
        /// Requests that it may make in a minute.
        #[arg(long, value_name = "N")]
        per_minute: Option<u32>,
    },
    /// List the keys of a file.
    List {
        /// The file of keys.
        file: PathBuf,
    },
    /// Remove a key from a file.
    Remove {
        /// The file of keys.
        file: PathBuf,
        /// The id of the key: what stands between `kpk_` and the next `_`.
        id: String,
    },
}

/// Runs one; gives what to print.
///
/// # Errors
/// In words for the terminal.
pub fn run(command: KeyCommand) -> Result<String, String> {
    match command {
        KeyCommand::Add {
            file,
            name,
            scopes,
            last_day,
            per_minute,
        } => {
            let key = text::make()?;
            let record = KeyRecord {
                id: key.id,
                name,
                secret_sha256: key.digest.hex(),
                scopes,
                last_day,
                per_minute,
            };
            add(&file, record).map(|()| key.text)
        }
        KeyCommand::List { file } => Ok(list(&read(&file)?)),
        KeyCommand::Remove { file, id } => remove(&file, &id),
    }
}

fn add(path: &Path, record: KeyRecord) -> Result<(), String> {
    let mut keys = match path.exists() {
        true => read(path)?,
        false => KeyFile::default(),
    };
    keys.keys.push(record);
    write(path, &keys)
}

fn remove(path: &Path, id: &str) -> Result<String, String> {
    let mut keys = read(path)?;
    let before = keys.keys.len();
    keys.keys.retain(|key| key.id != id);
    if keys.keys.len() == before {
        return Err(format!("no key of `{}` has the id `{id}`", path.display()));
    }
    write(path, &keys)?;
    Ok(format!("removed `{id}`"))
}

fn list(keys: &KeyFile) -> String {
    let lines = keys.keys.iter().map(|key| {
        let scopes: Vec<&str> = key.scopes.iter().map(|scope| scope.name()).collect();
        let limit = key.per_minute.map(|n| format!(", {n} a minute"));
        let day = key.last_day.as_ref().map(|day| format!(", until {day}"));
        format!(
            "{}  {} ({}{}{})",
            key.id,
            key.name,
            scopes.join(", "),
            limit.unwrap_or_default(),
            day.unwrap_or_default()
        )
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn read(path: &Path) -> Result<KeyFile, String> {
    let shown = path.display();
    file::read(&input::file(path)?)
        .map_err(|faults| format!("`{shown}` is no file of keys:\n{faults}"))
}

/// Writes the file as a whole, so that a service that reads it again never sees half of it.
fn write(path: &Path, keys: &KeyFile) -> Result<(), String> {
    let text = file::write(keys);
    // Whatever was asked for on the command line must be readable again.
    file::read(text.as_bytes())?;
    replace(path, text.as_bytes())
}
