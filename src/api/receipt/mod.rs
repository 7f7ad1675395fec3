//! Receipts: what was decided about which request, signed, so that a later step can check it without
//! asking again and without the network.
//!
//! A receipt is a compact JWS (RFC 7515) with Ed25519 (RFC 8037). [`canonical`] gives the request its
//! one spelling, [`keys`] holds the keys, [`check`] is the other side.

pub mod canonical;
pub mod check;
pub mod keys;

use std::sync::{Arc, PoisonError, RwLock};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use ring::signature::Ed25519KeyPair;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};

use keys::{PublicKeys, SecretKeys};

/// The `typ` of a receipt, so that no other token is ever taken for one (RFC 8725, section 3.11).
pub const TYPE: &str = "kitproof-receipt+jwt";

/// Members of a request that say what to do with the answer, and nothing about what is decided.
pub const NOT_DIGESTED: [&str; 2] = ["receipt", "deliver_to"];

/// What a receipt says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Claims {
    /// When it was given: seconds since 1970.
    pub iat: u64,
    /// Until when it is good.
    pub exp: u64,
    /// SHA-256 over the canonical request, as hexadecimal digits.
    pub request_sha256: String,
    /// The verdict.
    pub verdict: String,
    /// Whether nothing that the request blocks on stood in the way.
    pub allowed: bool,
    /// The board.
    pub board: String,
    /// Revision of the catalogue that decided.
    pub catalogue_revision: String,
    /// Version of the engine that decided.
    pub engine_version: String,
}

/// What was decided; the rest of the claims is made with it.
#[derive(Debug, Clone)]
pub struct Decision {
    /// The verdict.
    pub verdict: &'static str,
    /// Whether it passes.
    pub allowed: bool,
    /// The board.
    pub board: String,
    /// The revision.
    pub catalogue_revision: String,
}

/// The digest of a request: SHA-256 over its canonical text (RFC 8785) without [`NOT_DIGESTED`].
///
/// # Errors
/// A text that is no JSON object.
pub fn digest(request: &[u8]) -> Result<String, String> {
    let mut value: Value = serde_json::from_slice(request).map_err(|error| error.to_string())?;
    let Some(members) = value.as_object_mut() else {
        return Err("the request is no JSON object".to_owned());
    };
    for name in NOT_DIGESTED {
        members.remove(name);
    }
    let digest = Sha256::digest(canonical::text(&value).as_bytes());
    Ok(digest.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Whatever gives receipts.
pub struct Signer {
    keys: RwLock<Arc<Signing>>,
    good_for: Duration,
}

/// A key in use, and what is published.
struct Signing {
    pair: Ed25519KeyPair,
    header: String,
    public: PublicKeys,
}

impl std::fmt::Debug for Signer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Never the keys.
        f.debug_struct("Signer")
            .field("good_for", &self.good_for)
            .finish_non_exhaustive()
    }
}

impl Signer {
    /// With the keys of a file. Receipts are good for so long.
    ///
    /// # Errors
    /// A file without a usable key.
    pub fn new(keys: &SecretKeys, good_for: Duration) -> Result<Self, String> {
        Ok(Self {
            keys: RwLock::new(Arc::new(Signing::of(keys)?)),
            good_for,
        })
    }

    /// Takes the keys of a newer file.
    ///
    /// # Errors
    /// A file without a usable key; those in use stay.
    pub fn replace(&self, keys: &SecretKeys) -> Result<(), String> {
        let signing = Arc::new(Signing::of(keys)?);
        *self.keys.write().unwrap_or_else(PoisonError::into_inner) = signing;
        Ok(())
    }

    /// The keys that receipts can be checked with.
    pub fn published(&self) -> PublicKeys {
        self.current().public.clone()
    }

    /// A receipt for a decision on a request of this digest.
    ///
    /// # Errors
    /// Never but by a fault of this program.
    pub fn sign(&self, digest: String, decision: Decision) -> Result<String, String> {
        self.sign_at(digest, decision, now())
    }

    fn sign_at(&self, digest: String, decision: Decision, now: u64) -> Result<String, String> {
        let claims = Claims {
            iat: now,
            exp: now + self.good_for.as_secs(),
            request_sha256: digest,
            verdict: decision.verdict.to_owned(),
            allowed: decision.allowed,
            board: decision.board,
            catalogue_revision: decision.catalogue_revision,
            engine_version: env!("CARGO_PKG_VERSION").to_owned(),
        };
        let claims = serde_json::to_vec(&claims).map_err(|error| error.to_string())?;
        let signing = self.current();
        let front = format!("{}.{}", signing.header, URL_SAFE_NO_PAD.encode(claims));
        let signature = signing.pair.sign(front.as_bytes());
        Ok(format!(
            "{front}.{}",
            URL_SAFE_NO_PAD.encode(signature.as_ref())
        ))
    }

    fn current(&self) -> Arc<Signing> {
        Arc::clone(&self.keys.read().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Signing {
    fn of(keys: &SecretKeys) -> Result<Self, String> {
        let first = keys.keys.first().ok_or("there is no key")?;
        let pair = first.pair().ok_or("the first key is no Ed25519 key")?;
        let kid = first.public().kid;
        let header = serde_json::json!({ "alg": "EdDSA", "kid": kid, "typ": TYPE });
        Ok(Self {
            pair,
            header: URL_SAFE_NO_PAD.encode(header.to_string()),
            public: PublicKeys {
                keys: keys.keys.iter().map(keys::SecretKey::public).collect(),
            },
        })
    }
}

/// Seconds since 1970.
pub fn now() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |time| time.as_secs())
}
