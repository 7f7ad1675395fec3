//! Keys of callers: [`text`] is what a caller shows, [`file`] what the operator keeps, and [`KeyRing`]
//! the keys in use, which may be replaced while requests run.

pub mod file;
pub mod text;

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};
use std::time::{SystemTime, UNIX_EPOCH};

use super::rate::{Bucket, Quota};
use super::scope::{Needed, Scope};
use file::KeyFile;
use text::SecretDigest;

/// A key in use.
#[derive(Debug)]
pub struct Key {
    /// The part of it that is no secret.
    pub id: String,
    digest: SecretDigest,
    scopes: Vec<Scope>,
    /// Seconds since 1970 from which it is no longer good.
    until: Option<u64>,
    /// How often it may be used, if it has a limit of its own.
    pub quota: Option<Quota>,
    /// What is left of that.
    pub bucket: Arc<Bucket>,
}

impl Key {
    /// Whether it opens this.
    pub fn opens(&self, needed: Needed) -> bool {
        match needed {
            Needed::Nothing | Needed::AnyKey => true,
            Needed::Key(scope) => self.scopes.contains(&scope),
        }
    }
}

/// Why a caller is not let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotKnown {
    /// No key was shown.
    Missing,
    /// What was shown is no key of this service.
    Wrong,
    /// The key was good once.
    Expired,
}

/// All keys in use.
#[derive(Debug, Default)]
pub struct KeyRing {
    keys: RwLock<Arc<BTreeMap<String, Arc<Key>>>>,
}

impl KeyRing {
    /// The keys of a file that was read.
    pub fn new(file: &KeyFile) -> Self {
        let ring = Self::default();
        ring.replace(file);
        ring
    }

    /// Takes the keys of a newer file. What a key has used of its limit stays used.
    pub fn replace(&self, file: &KeyFile) {
        let old = self.current();
        let keys = file.keys.iter().filter_map(|record| {
            let known = old.get(&record.id);
            let key = Key {
                id: record.id.clone(),
                digest: SecretDigest::from_hex(&record.secret_sha256)?,
                scopes: record.scopes.clone(),
                until: record
                    .last_day
                    .as_deref()
                    .map(file::end_of)
                    .unwrap_or_default(),
                quota: record.per_minute.and_then(Quota::per_minute),
                bucket: known.map_or_else(Arc::default, |known| Arc::clone(&known.bucket)),
            };
            Some((key.id.clone(), Arc::new(key)))
        });
        let keys = Arc::new(keys.collect());
        *self.keys.write().unwrap_or_else(PoisonError::into_inner) = keys;
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.current().len()
    }

    /// Whether there is none, so that nobody is let in.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Finds the key that was shown.
    ///
    /// # Errors
    /// [`NotKnown`]
    pub fn find(&self, shown: Option<&str>) -> Result<Arc<Key>, NotKnown> {
        let shown = shown.ok_or(NotKnown::Missing)?;
        let shown = text::take_apart(shown).ok_or(NotKnown::Wrong)?;
        let key = self.current().get(shown.id).cloned();
        // Without a key of this id the work is the same, so that ids cannot be found by the clock.
        let nothing = SecretDigest([0; 32]);
        let is_right = shown.is(key.as_ref().map_or(&nothing, |key| &key.digest));
        let key = key.filter(|_| is_right).ok_or(NotKnown::Wrong)?;
        if key.until.is_some_and(|until| now() >= until) {
            return Err(NotKnown::Expired);
        }
        Ok(key)
    }

    fn current(&self) -> Arc<BTreeMap<String, Arc<Key>>> {
        Arc::clone(&self.keys.read().unwrap_or_else(PoisonError::into_inner))
    }
}

/// Seconds since 1970.
fn now() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |time| time.as_secs())
}

#[cfg(test)]
mod tests {
    use super::file::KeyRecord;
    use super::*;

    fn record(key: &text::NewKey) -> KeyRecord {
        KeyRecord {
            id: key.id.clone(),
            name: "a shop".to_owned(),
            secret_sha256: key.digest.hex(),
            scopes: vec![Scope::Decide],
            last_day: None,
            per_minute: None,
        }
    }

    #[test]
    fn lets_in_the_right_key_within_its_days_and_scopes() {
        let (key, other) = (text::make().unwrap(), text::make().unwrap());
        let expired = KeyRecord {
            last_day: Some("2020-01-01".to_owned()),
            ..record(&other)
        };
        let ring = KeyRing::new(&KeyFile {
            keys: vec![record(&key), expired],
        });
        let found = ring.find(Some(&key.text)).unwrap();
        assert!(found.opens(Needed::Key(Scope::Decide)) && found.opens(Needed::AnyKey));
        assert!(!found.opens(Needed::Key(Scope::Bulk)));
        assert_eq!(ring.find(None).unwrap_err(), NotKnown::Missing);
        assert_eq!(ring.find(Some("x")).unwrap_err(), NotKnown::Wrong);
        assert_eq!(ring.find(Some(&other.text)).unwrap_err(), NotKnown::Expired);
        let stranger = text::make().unwrap();
        assert_eq!(
            ring.find(Some(&stranger.text)).unwrap_err(),
            NotKnown::Wrong
        );
    }

    #[test]
    fn an_id_with_the_secret_of_another_key_is_not_let_in() {
        let (key, other) = (text::make().unwrap(), text::make().unwrap());
        let mixed = KeyRecord {
            secret_sha256: other.digest.hex(),
            ..record(&key)
        };
        let ring = KeyRing::new(&KeyFile { keys: vec![mixed] });
        assert_eq!(ring.find(Some(&key.text)).unwrap_err(), NotKnown::Wrong);
        assert_eq!(ring.find(Some(&other.text)).unwrap_err(), NotKnown::Wrong);
    }

    #[test]
    fn a_newer_file_keeps_what_was_used_and_drops_what_is_gone() {
        let (key, gone) = (text::make().unwrap(), text::make().unwrap());
        let ring = KeyRing::new(&KeyFile {
            keys: vec![record(&key), record(&gone)],
        });
        let before = ring.find(Some(&key.text)).unwrap();
        ring.replace(&KeyFile {
            keys: vec![record(&key)],
        });
        let after = ring.find(Some(&key.text)).unwrap();
        assert!(Arc::ptr_eq(&before.bucket, &after.bucket));
        assert_eq!(ring.find(Some(&gone.text)).unwrap_err(), NotKnown::Wrong);
        assert_eq!(ring.len(), 1);
    }
}
