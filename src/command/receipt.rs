//! `kitproof receipt`: keys that sign receipts, and the check of a receipt without a service.

use std::path::{Path, PathBuf};

use crate::api::receipt::check::check;
use crate::api::receipt::keys::{self, PublicKeys, SecretKey, SecretKeys};
use crate::api::receipt::{Claims, now};
use crate::command::input;
use crate::watch::replace;

/// Older keys that stay published after a new one was made.
const OLDER: usize = 2;

/// The commands.
#[derive(Debug, clap::Subcommand)]
pub enum ReceiptCommand {
    /// Make a key that signs receipts, and put it first in a file. Older keys stay published.
    Key {
        /// The file of keys; made if it does not exist. Keep it secret.
        file: PathBuf,
    },
    /// Check a receipt: that it is signed by a published key, still good, and about this request.
    ///
    /// Exits with 0 if it is good and the kit was allowed, 1 if it is good and the kit was not
    /// allowed, 2 if it is refused.
    Check {
        /// A file with the receipt, or with the answer that holds it; `-` for standard input.
        receipt: PathBuf,
        /// The request that it should be about.
        #[arg(long, value_name = "FILE")]
        request: PathBuf,
        /// The published keys, as kept from `/.well-known/jwks.json`.
        #[arg(long, value_name = "FILE")]
        keys: PathBuf,
    },
}

/// Makes a key; gives what to print.
///
/// # Errors
/// In words for the terminal.
pub fn make_key(path: &Path) -> Result<String, String> {
    let mut file = match path.exists() {
        true => keys::read(&input::file(path)?)
            .map_err(|why| format!("`{}` is no file of receipt keys: {why}", path.display()))?,
        false => SecretKeys::default(),
    };
    let key = SecretKey::make()?;
    let kid = key.public().kid;
    file.keys.insert(0, key);
    file.keys.truncate(OLDER + 1);
    let text = serde_json::to_string_pretty(&file).map_err(|error| error.to_string())?;
    replace(path, format!("{text}\n").as_bytes())?;
    Ok(kid)
}

/// Checks a receipt; gives what it says.
///
/// # Errors
/// Why it is refused.
pub fn checked(receipt: &[u8], request: &Path, keys: &Path) -> Result<Claims, String> {
    let set: PublicKeys = serde_json::from_slice(&input::file(keys)?)
        .map_err(|_| format!("`{}` is no set of published keys", keys.display()))?;
    let receipt = told(receipt)?;
    check(&receipt, &input::file(request)?, &set, now()).map_err(|refused| refused.to_string())
}

/// The receipt of a file that holds it, or an answer with it.
fn told(text: &[u8]) -> Result<String, String> {
    #[derive(serde::Deserialize)]
    struct Answer {
        receipt: Option<String>,
    }
    let text = std::str::from_utf8(text)
        .map_err(|_| "the receipt is no text".to_owned())?
        .trim();
    if !text.starts_with('{') {
        return Ok(text.to_owned());
    }
    let answer: Answer =
        serde_json::from_str(text).map_err(|_| "the answer cannot be read".to_owned())?;
    answer
        .receipt
        .ok_or_else(|| "the answer holds no receipt".to_owned())
}
