//! What `kitproof serve` starts beside the server: whoever looks after files that may change.

use std::sync::Arc;

use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::api::AppState;
use crate::api::extras::Deliver;
use crate::api::keys::{KeyRing, file};
use crate::api::receipt::Signer;
use crate::api::receipt::keys as receipt_keys;
use crate::catalogue::directory::{self, Print, in_short};
use crate::catalogue::live::Offer;
use crate::catalogue::sources::Sources;
use crate::remote::deliver::Destinations;
use crate::remote::feed::Follower;
use crate::remote::settings::{self as outbound_file, Destination, Feed, Outbound};
use crate::settings::{Access, Settings};
use crate::watch::{self, Watched};

/// How often the folder of a catalogue is looked at.
const LOOK: Duration = Duration::from_millis(500);

/// A file that was written less than this ago may not be complete yet.
const SETTLED: Duration = Duration::from_secs(1);

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

/// Whatever signs receipts, with the keys of the settings; their file is read again when it changes.
///
/// # Errors
/// When the file cannot be used at the start.
pub fn receipts(settings: &Settings) -> Result<Option<Arc<Signer>>, String> {
    let Some(path) = settings.receipt_keys.clone() else {
        return Ok(None);
    };
    let shown = path.display().to_string();
    let mut watched = Watched::open(path)?;
    let keys = receipt_keys::read(watched.content())
        .map_err(|why| format!("`{shown}` is no file of receipt keys: {why}"))?;
    let signer = Arc::new(Signer::new(&keys, settings.receipt_good_for)?);
    let shared = Arc::clone(&signer);
    let started = watch::repeat("receipt-keys", watch::EVERY, move || {
        let Some(content) = watched.changed() else {
            return;
        };
        let taken = content
            .map_err(str::to_owned)
            .and_then(receipt_keys::read)
            .and_then(|keys| shared.replace(&keys));
        match taken {
            Ok(()) => tracing::info!("took the receipt keys of a newer file"),
            Err(error) => {
                tracing::error!(
                    error,
                    "kept the receipt keys: the newer file cannot be used"
                );
            }
        }
    });
    started.map_err(|error| format!("cannot watch the file of receipt keys: {error}"))?;
    Ok(Some(signer))
}

/// Whatever sends answers to these destinations.
///
/// # Errors
/// When one of them cannot be used.
pub fn deliver(destinations: Vec<Destination>) -> Result<Option<Arc<dyn Deliver>>, String> {
    if destinations.is_empty() {
        return Ok(None);
    }
    Ok(Some(Arc::new(Destinations::new(destinations)?)))
}

/// The addresses that the service may call.
///
/// # Errors
/// When the file cannot be used.
pub fn outbound(path: Option<&Path>) -> Result<Outbound, String> {
    let Some(path) = path else {
        return Ok(Outbound::default());
    };
    let shown = path.display();
    let watched = Watched::open(path.to_owned())?;
    outbound_file::read(watched.content())
        .map_err(|faults| format!("`{shown}` is no file of addresses:\n{faults}"))
}

/// Looks after the sources of the catalogue: the folder of the settings, and feeds.
///
/// # Errors
/// When a feed cannot be asked at all, or there are no threads to be had.
pub fn follow(state: &AppState, feeds: Vec<Feed>) -> Result<(), String> {
    let folder = state.settings.catalogue.clone();
    if folder.is_none() && feeds.is_empty() {
        return Ok(());
    }
    let feeds: Result<Vec<Follower>, String> = feeds.into_iter().map(Follower::new).collect();
    let feeds = feeds?;
    let of_folder = folder.iter().map(|_| "folder".to_owned());
    let names = of_folder.chain(feeds.iter().map(Follower::name));
    let sources = Arc::new(Sources::new(Arc::clone(&state.live), names));
    let first_feed = usize::from(folder.is_some());
    let threads = "cannot look after the catalogue";
    if let Some(folder) = folder {
        let mut looked = Folder { folder, seen: None };
        looked.look(&sources);
        let sources = Arc::clone(&sources);
        watch::repeat("catalogue", LOOK, move || looked.look(&sources))
            .map_err(|error| format!("{threads}: {error}"))?;
    }
    for (place, feed) in (first_feed..).zip(feeds) {
        feed.begin(place, &sources);
        feed.follow(place, Arc::clone(&sources))
            .map_err(|error| format!("{threads}: {error}"))?;
    }
    Ok(())
}

/// The folder of a catalogue, and what was last seen of it.
struct Folder {
    folder: PathBuf,
    seen: Option<Print>,
}

impl Folder {
    /// Takes the folder if it has changed, is not being written, and did not change while it was read.
    fn look(&mut self, sources: &Sources) {
        let now = Print::of(&self.folder);
        let first = self.seen.is_none();
        if self.seen.as_ref() == Some(&now) || (!first && now.is_fresh(SETTLED)) {
            return;
        }
        let (texts, faults) = directory::texts(&self.folder);
        if Print::of(&self.folder) != now {
            return;
        }
        self.seen = Some(now);
        let taken = match faults.is_empty() {
            true => sources.offer(0, texts),
            false => {
                let why = in_short(&faults);
                sources.unreachable(0, &why);
                Err(why)
            }
        };
        match taken {
            Ok(Offer::Taken) => tracing::info!("took a newer catalogue from its folder"),
            Ok(Offer::Same) => {}
            Err(why) => tracing::error!(why, "kept the catalogue: its folder cannot be used"),
        }
    }
}
