//! Looks at files again and again, and tells when their content has changed; and puts a file in place of
//! another so that nobody ever sees half of it.
//!
//! Files are looked at and not waited for: a folder that is swapped by a symbolic link (as a cluster
//! does with its settings) or lies on another machine's disk gives no signal that could be relied on.

use std::fs;
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How often files are looked at.
pub const EVERY: Duration = Duration::from_secs(2);

/// The largest file of settings that is read, in bytes.
const LARGEST: u64 = 16 << 20;

/// Calls something again and again on a thread of its own, for as long as the process lives.
///
/// # Errors
/// When there is no thread to be had.
pub fn repeat(
    name: &str,
    every: Duration,
    mut work: impl FnMut() + Send + 'static,
) -> io::Result<()> {
    let body = move || {
        loop {
            std::thread::sleep(every);
            work();
        }
    };
    std::thread::Builder::new()
        .name(name.to_owned())
        .spawn(body)?;
    Ok(())
}

/// A file and the content that was last seen of it.
#[derive(Debug)]
pub struct Watched {
    path: PathBuf,
    seen: Result<Vec<u8>, String>,
}

impl Watched {
    /// Reads a file for the first time.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn open(path: PathBuf) -> Result<Self, String> {
        let seen = content(&path);
        match &seen {
            Ok(_) => Ok(Self { path, seen }),
            Err(error) => Err(error.clone()),
        }
    }

    /// The content, as last seen.
    pub fn content(&self) -> &[u8] {
        self.seen.as_deref().unwrap_or_default()
    }

    /// Looks again; gives what is new, once.
    pub fn changed(&mut self) -> Option<Result<&[u8], &str>> {
        let now = content(&self.path);
        if now == self.seen {
            return None;
        }
        self.seen = now;
        Some(match &self.seen {
            Ok(bytes) => Ok(bytes),
            Err(error) => Err(error),
        })
    }
}

fn content(path: &PathBuf) -> Result<Vec<u8>, String> {
    let failed = |error: io::Error| format!("cannot read `{}`: {error}", path.display());
    let length = fs::metadata(path).map_err(failed)?.len();
    if length > LARGEST {
        return Err(format!(
            "`{}` has {length} bytes, at most {LARGEST} are read",
            path.display()
        ));
    }
    fs::read(path).map_err(failed)
}

/// Puts a file in place of another, readable by its owner only.
///
/// # Errors
/// In words for the terminal.
pub fn replace(path: &Path, content: &[u8]) -> Result<(), String> {
    let fresh = path.with_extension(format!("new-{}", std::process::id()));
    let written = fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(&fresh)
        .and_then(|mut file| {
            file.write_all(content)?;
            file.sync_all()
        })
        .and_then(|()| fs::rename(&fresh, path));
    written.map_err(|error| {
        // A leftover would be in the way of the next try.
        let _ = fs::remove_file(&fresh);
        format!("cannot write `{}`: {error}", path.display())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tells_each_change_once_and_also_that_a_file_is_gone() {
        let path = std::env::temp_dir().join(format!("kitproof-watch-{}", std::process::id()));
        fs::write(&path, "one").unwrap();
        let mut watched = Watched::open(path.clone()).unwrap();
        assert_eq!(watched.content(), b"one");
        assert_eq!(watched.changed(), None);
        fs::write(&path, "two").unwrap();
        assert_eq!(watched.changed(), Some(Ok(&b"two"[..])));
        assert_eq!(watched.changed(), None);
        fs::remove_file(&path).unwrap();
        assert!(matches!(watched.changed(), Some(Err(_))));
        assert_eq!(watched.changed(), None);
        assert!(Watched::open(path).is_err());
    }
}
