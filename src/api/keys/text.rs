//! The text of a key: made, taken apart, and held against what is stored of it.
//!
//! `kpk_ID_SECRETCHECK`: an id of 8 letters and digits, a secret of 32 random bytes as 64 hexadecimal
//! digits, and 8 digits that tell a slip of the pen from a wrong key. Only a digest of the secret is
//! ever stored. The secret is as random as the digest is long, so a plain SHA-256 is enough: there is
//! nothing to guess from a list of words.

use ring::rand::{SecureRandom, SystemRandom};
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

/// What every key begins with, so that a scan for leaked secrets finds it.
pub const PREFIX: &str = "kpk_";

/// Letters and digits in an id.
pub const ID_LENGTH: usize = 8;

/// Hexadecimal digits of the secret, and of its check.
const SECRET_LENGTH: usize = 64;
const CHECK_LENGTH: usize = 8;

/// The alphabet of ids: no letters that are mistaken for digits.
const LETTERS: &[u8; 32] = b"abcdefghjkmnpqrstuvwxyz234567890";

/// A new key: shown once, never stored.
pub struct NewKey {
    /// The whole text.
    pub text: String,
    /// Its id.
    pub id: String,
    /// What is stored of its secret.
    pub digest: SecretDigest,
}

/// SHA-256 over the text of a secret.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SecretDigest(pub [u8; 32]);

impl SecretDigest {
    /// Of a secret's text.
    fn of(secret: &str) -> Self {
        Self(Sha256::digest(secret.as_bytes()).into())
    }

    /// 64 hexadecimal digits.
    pub fn hex(&self) -> String {
        hex(&self.0)
    }

    /// From 64 hexadecimal digits.
    pub fn from_hex(text: &str) -> Option<Self> {
        let mut bytes = [0; 32];
        if text.len() != 64 {
            return None;
        }
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            let pair = std::str::from_utf8(pair).ok()?;
            *byte = u8::from_str_radix(pair, 16).ok()?;
        }
        Some(Self(bytes))
    }
}

/// A key as a caller shows it: well formed, not yet known.
pub struct ShownKey<'a> {
    /// Its id.
    pub id: &'a str,
    secret: &'a str,
}

impl ShownKey<'_> {
    /// Whether its secret is the stored one. Takes as long for a wrong one, wherever it differs.
    pub fn is(&self, stored: &SecretDigest) -> bool {
        let shown = SecretDigest::of(self.secret);
        shown.0.ct_eq(&stored.0).into()
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn check(front: &str) -> String {
    let digest = Sha256::digest(front.as_bytes());
    hex(&digest).chars().take(CHECK_LENGTH).collect()
}

/// Makes a key.
///
/// # Errors
/// When the system has no random bytes.
pub fn make() -> Result<NewKey, String> {
    let mut secret = [0; SECRET_LENGTH / 2];
    let mut id = [0; ID_LENGTH];
    let random = SystemRandom::new();
    random
        .fill(&mut secret)
        .and_then(|()| random.fill(&mut id))
        .map_err(|_| "the system gives no random bytes".to_owned())?;
    let letter = |byte: &u8| LETTERS.get(usize::from(byte % 32)).copied();
    let id: String = id.iter().filter_map(letter).map(char::from).collect();
    let secret = hex(&secret);
    let front = format!("{PREFIX}{id}_{secret}");
    Ok(NewKey {
        text: format!("{front}{}", check(&front)),
        digest: SecretDigest::of(&secret),
        id,
    })
}

/// Takes the text of a key apart; nothing if it is none, or has a slip.
pub fn take_apart(text: &str) -> Option<ShownKey<'_>> {
    let rest = text.strip_prefix(PREFIX)?;
    let (id, rest) = rest.split_once('_')?;
    if id.len() != ID_LENGTH || rest.len() != SECRET_LENGTH + CHECK_LENGTH || !rest.is_ascii() {
        return None;
    }
    let (secret, shown) = rest.split_at(SECRET_LENGTH);
    let front = text.get(..text.len() - CHECK_LENGTH)?;
    (check(front) == shown).then_some(ShownKey { id, secret })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_that_was_made_is_known_by_its_digest() {
        let key = make().unwrap();
        let shown = take_apart(&key.text).unwrap();
        assert_eq!(shown.id, key.id);
        assert!(shown.is(&key.digest));
        assert!(!shown.is(&make().unwrap().digest));
        let stored = SecretDigest::from_hex(&key.digest.hex()).unwrap();
        assert_eq!(stored, key.digest);
        assert!(!key.text.contains(&key.digest.hex()));
    }

    #[test]
    fn every_slip_of_one_character_is_noticed() {
        let key = make().unwrap().text;
        for at in 0..key.len() {
            let mut bytes = key.clone().into_bytes();
            bytes[at] = if bytes[at] == b'3' { b'4' } else { b'3' };
            let text = String::from_utf8(bytes).unwrap();
            assert!(take_apart(&text).is_none(), "{at}");
        }
        for bad in ["", "kpk_", "kpk_a_b", "kpk_abcdefgh_\u{e4}", "Bearer x"] {
            assert!(take_apart(bad).is_none(), "{bad}");
        }
    }
}
