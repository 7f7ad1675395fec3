//! What `kitproof serve` starts beside the server: whoever looks after files that may change.

use std::sync::Arc;

use crate::api::keys::{KeyRing, file};
use crate::settings::Access;
use crate::watch::{self, Watched};

/// The keys of the settings, read again whenever their file changes. A file that cannot be used
/// leaves those in use as they are.
///
/// # Errors
/// When the file cannot be used at the start.
pub fn keys(access: &Access) -> Result<Option<Arc<KeyRing>>, String> {
    let Some(path) = access.keys.clone() else {
        return Ok(None);
    };
    let shown = path.display().to_string();
    let mut watched = Watched::open(path)?;
    let read = |bytes: &[u8]| {
        file::read(bytes).map_err(|faults| format!("`{shown}` is no file of keys:\n{faults}"))
    };
    let ring = Arc::new(KeyRing::new(&read(watched.content())?));
    if ring.is_empty() {
        return Err(format!(
            "`{shown}` has no key, so nobody could ask: add one with `kitproof key add`"
        ));
    }
    let shared = Arc::clone(&ring);
    let started = watch::repeat("keys", watch::EVERY, move || {
        let Some(content) = watched.changed() else {
            return;
        };
        let read = content.map_err(str::to_owned).and_then(file::read);
        match read {
            Ok(file) => {
                shared.replace(&file);
                tracing::info!(keys = shared.len(), "took the keys of a newer file");
            }
            Err(error) => tracing::error!(error, "kept the keys: the newer file cannot be used"),
        }
    });
    started.map_err(|error| format!("cannot watch the file of keys: {error}"))?;
    Ok(Some(ring))
}
