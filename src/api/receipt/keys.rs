//! The keys that sign receipts: a file that the operator keeps secret, and the set that is published.
//!
//! Both are JSON Web Key sets of Ed25519 keys (RFC 7517, RFC 8037). The first key of the file signs;
//! the others are only published, so that receipts which they signed can still be checked.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use ring::rand::{SecureRandom, SystemRandom};
use ring::signature::{Ed25519KeyPair, KeyPair};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use utoipa::ToSchema;

use crate::api::extract::read_json;
use crate::api::keys::file::told;

/// The secret file.
#[derive(Clone, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SecretKeys {
    /// The keys, the one that signs first.
    #[schema(max_items = 20)]
    pub keys: Vec<SecretKey>,
}

/// A key with its secret part.
#[derive(Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ReceiptSecretKey)]
pub struct SecretKey {
    /// Always `OKP`.
    #[schema(max_length = 10)]
    pub kty: String,
    /// Always `Ed25519`.
    #[schema(max_length = 10)]
    pub crv: String,
    /// The public part, 32 bytes as base64url.
    #[schema(min_length = 43, max_length = 43)]
    pub x: String,
    /// The secret part, 32 bytes as base64url.
    #[schema(min_length = 43, max_length = 43)]
    pub d: String,
}

/// A published key.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = PublicKey)]
pub struct PublicKey {
    /// The family of the key.
    #[schema(example = "OKP")]
    pub kty: String,
    /// The curve.
    #[schema(example = "Ed25519")]
    pub crv: String,
    /// The public key, 32 bytes as base64url.
    #[schema(example = "11qYAYKxCrfVS_7TyWQHOg7hcvPapiMlrwIaaPcHURo")]
    pub x: String,
    /// The id that a receipt names: the key's thumbprint (RFC 7638).
    #[schema(example = "kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k")]
    pub kid: String,
    /// What it is for.
    #[serde(rename = "use", default)]
    #[schema(example = "sig")]
    pub use_: String,
    /// The signature algorithm.
    #[serde(default)]
    #[schema(example = "EdDSA")]
    pub alg: String,
}

/// The published set (RFC 7517).
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = PublicKeySet)]
pub struct PublicKeys {
    /// The keys; none where no receipts are given.
    #[schema(max_items = 20)]
    pub keys: Vec<PublicKey>,
}

/// 32 bytes from base64url.
pub fn bytes32(text: &str) -> Option<[u8; 32]> {
    URL_SAFE_NO_PAD.decode(text).ok()?.try_into().ok()
}

/// The thumbprint of a public key (RFC 7638, RFC 8037).
fn thumbprint(x: &str) -> String {
    let text = format!(r#"{{"crv":"Ed25519","kty":"OKP","x":"{x}"}}"#);
    URL_SAFE_NO_PAD.encode(Sha256::digest(text.as_bytes()))
}

impl SecretKey {
    /// A new one.
    ///
    /// # Errors
    /// When the system has no random bytes.
    pub fn make() -> Result<Self, String> {
        let mut seed = [0; 32];
        let random = SystemRandom::new().fill(&mut seed);
        random.map_err(|_| "the system gives no random bytes".to_owned())?;
        let pair = Ed25519KeyPair::from_seed_unchecked(&seed);
        let pair = pair.map_err(|_| "the key cannot be made".to_owned())?;
        Ok(Self {
            kty: "OKP".to_owned(),
            crv: "Ed25519".to_owned(),
            x: URL_SAFE_NO_PAD.encode(pair.public_key().as_ref()),
            d: URL_SAFE_NO_PAD.encode(seed),
        })
    }

    /// The pair that signs; nothing if the two parts do not belong together.
    pub fn pair(&self) -> Option<Ed25519KeyPair> {
        if self.kty != "OKP" || self.crv != "Ed25519" {
            return None;
        }
        let (seed, public) = (bytes32(&self.d)?, bytes32(&self.x)?);
        Ed25519KeyPair::from_seed_and_public_key(&seed, &public).ok()
    }

    /// The part that is published.
    pub fn public(&self) -> PublicKey {
        PublicKey {
            kty: self.kty.clone(),
            crv: self.crv.clone(),
            kid: thumbprint(&self.x),
            x: self.x.clone(),
            use_: "sig".to_owned(),
            alg: "EdDSA".to_owned(),
        }
    }
}

/// Reads the secret file.
///
/// # Errors
/// What is wrong with it; nothing of a key is repeated.
pub fn read(bytes: &[u8]) -> Result<SecretKeys, String> {
    let keys: SecretKeys = read_json(bytes).map_err(|refusal| {
        let places = told(refusal).into_iter();
        let places = places.map(|line| line.split(':').next().unwrap_or_default().to_owned());
        format!("wrong at {}", places.collect::<Vec<_>>().join(", "))
    })?;
    if keys.keys.is_empty() {
        return Err("there is no key".to_owned());
    }
    match keys.keys.iter().position(|key| key.pair().is_none()) {
        None => Ok(keys),
        Some(place) => Err(format!("/keys/{place} is no Ed25519 key")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 8037, appendix A.1 to A.3.
    fn of_the_standard() -> SecretKey {
        SecretKey {
            kty: "OKP".to_owned(),
            crv: "Ed25519".to_owned(),
            x: "11qYAYKxCrfVS_7TyWQHOg7hcvPapiMlrwIaaPcHURo".to_owned(),
            d: "nWGxne_9WmC6hEr0kuwsxERJxWl7MmkZcDusAxyuf2A".to_owned(),
        }
    }

    #[test]
    fn names_a_key_by_the_thumbprint_of_the_standard() {
        let public = of_the_standard().public();
        assert_eq!(public.kid, "kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k");
        assert!(!serde_json::to_string(&public).unwrap().contains("\"d\""));
    }

    /// RFC 8037, appendix A.4.
    #[test]
    fn signs_as_the_standard_shows() {
        let signed = of_the_standard()
            .pair()
            .unwrap()
            .sign(b"eyJhbGciOiJFZERTQSJ9.RXhhbXBsZSBvZiBFZDI1NTE5IHNpZ25pbmc");
        assert_eq!(
            URL_SAFE_NO_PAD.encode(signed.as_ref()),
            "hgyY0il_MGCjP0JzlnLWG1PPOt7-09PGcvMg3AIbQR6dWbhijcNR4ki4iylGjg5BhVsPt9g7sVvpAr_MuM0KAg"
        );
    }

    #[test]
    fn a_file_of_keys_is_read_again_and_a_wrong_one_gives_nothing_away() {
        let keys = SecretKeys {
            keys: vec![SecretKey::make().unwrap()],
        };
        let text = serde_json::to_string(&keys).unwrap();
        assert!(read(text.as_bytes()).is_ok());
        let secret = &keys.keys[0].d;
        let mixed = text.replace(&keys.keys[0].x, &SecretKey::make().unwrap().x);
        let short = text.replace(secret, &secret[..40]);
        for bad in [
            mixed,
            short,
            text.replace("OKP", "RSA"),
            "{\"keys\":[]}".to_owned(),
        ] {
            let told = read(bad.as_bytes()).err().unwrap();
            assert!(!told.contains(&secret[..40]), "{told}");
        }
    }
}
