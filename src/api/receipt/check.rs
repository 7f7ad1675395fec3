//! Checks a receipt, with no network and no service: that it was signed by a published key, is still
//! good, and is about this very request.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use ring::signature::{ED25519, UnparsedPublicKey};
use serde::Deserialize;

use super::keys::{PublicKeys, bytes32};
use super::{Claims, TYPE, digest};

/// Clocks of two machines may differ by so many seconds.
const CLOCKS_DIFFER: u64 = 60;

/// Why a receipt is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// It is no receipt.
    #[error("this is no receipt: {0}")]
    NoReceipt(&'static str),
    /// No key of the set made it.
    #[error("it names a key that is not in the set")]
    UnknownKey,
    /// It was changed, or made by somebody else.
    #[error("the signature is wrong")]
    WrongSignature,
    /// It is no longer good.
    #[error("it was good until {0} seconds after 1970, which has passed")]
    Expired(u64),
    /// It says that it was made later than now.
    #[error("it comes from the future; compare the clocks")]
    TooEarly,
    /// It is about something else.
    #[error("it is a receipt for another request")]
    OtherRequest,
    /// The request cannot be digested.
    #[error("the request cannot be read: {0}")]
    Request(String),
}

#[derive(Deserialize)]
struct Header {
    alg: String,
    kid: String,
    typ: String,
}

/// Checks a receipt at a moment, in seconds since 1970; gives what it says.
///
/// # Errors
/// [`Refused`]
pub fn check(
    receipt: &str,
    request: &[u8],
    keys: &PublicKeys,
    now: u64,
) -> Result<Claims, Refused> {
    let no = Refused::NoReceipt;
    let mut parts = receipt.split('.');
    let (Some(header), Some(claims), Some(signature), None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(no("it has not three parts"));
    };
    let read = |text: &str| {
        URL_SAFE_NO_PAD
            .decode(text)
            .map_err(|_| no("a part is no base64url"))
    };
    let told: Header =
        serde_json::from_slice(&read(header)?).map_err(|_| no("its header cannot be read"))?;
    // The algorithm is ours to say, never the receipt's.
    if told.alg != "EdDSA" || told.typ != TYPE {
        return Err(no("its header names another algorithm or type"));
    }
    let key = keys
        .keys
        .iter()
        .find(|key| key.kid == told.kid && key.crv == "Ed25519");
    let key = key
        .and_then(|key| bytes32(&key.x))
        .ok_or(Refused::UnknownKey)?;
    let front = receipt
        .get(..header.len() + 1 + claims.len())
        .unwrap_or_default();
    UnparsedPublicKey::new(&ED25519, key)
        .verify(front.as_bytes(), &read(signature)?)
        .map_err(|_| Refused::WrongSignature)?;
    let claims: Claims =
        serde_json::from_slice(&read(claims)?).map_err(|_| no("its content cannot be read"))?;
    if now >= claims.exp {
        return Err(Refused::Expired(claims.exp));
    }
    if claims.iat > now + CLOCKS_DIFFER {
        return Err(Refused::TooEarly);
    }
    match digest(request).map_err(Refused::Request)? == claims.request_sha256 {
        true => Ok(claims),
        false => Err(Refused::OtherRequest),
    }
}

#[cfg(test)]
mod tests {
    use super::super::keys::{SecretKey, SecretKeys};
    use super::super::{Decision, Signer};
    use super::*;
    use std::time::Duration;

    const REQUEST: &[u8] =
        br#"{"board": "tarn", "receipt": true, "kit": [{"module": "ERW-A", "quantity": 2}]}"#;

    fn signer() -> Signer {
        let keys = SecretKeys {
            keys: vec![SecretKey::make().unwrap()],
        };
        Signer::new(&keys, Duration::from_secs(600)).unwrap()
    }

    fn receipt(signer: &Signer) -> String {
        let decision = Decision {
            verdict: "fits",
            allowed: true,
            board: "tarn".to_owned(),
            catalogue_revision: "abc".to_owned(),
        };
        signer
            .sign_at(digest(REQUEST).unwrap(), decision, 1_000_000)
            .unwrap()
    }

    #[test]
    fn a_receipt_is_good_for_its_request_and_time() {
        let signer = signer();
        let (receipt, keys) = (receipt(&signer), signer.published());
        let claims = check(&receipt, REQUEST, &keys, 1_000_010).unwrap();
        assert_eq!((claims.verdict.as_str(), claims.allowed), ("fits", true));
        let respelt = br#"{"kit":[{"quantity":2,"module":"ERW-\u0041"}],"board":"tarn"}"#;
        assert!(check(&receipt, respelt, &keys, 1_000_010).is_ok());
        assert_eq!(
            check(&receipt, REQUEST, &keys, 1_000_600),
            Err(Refused::Expired(1_000_600))
        );
        assert_eq!(
            check(&receipt, REQUEST, &keys, 999_000),
            Err(Refused::TooEarly)
        );
        let other = br#"{"board": "tarn", "kit": [{"module": "ERW-A", "quantity": 3}]}"#;
        assert_eq!(
            check(&receipt, other, &keys, 1_000_010),
            Err(Refused::OtherRequest)
        );
    }

    #[test]
    fn every_flipped_bit_is_noticed() {
        let signer = signer();
        let (receipt, keys) = (receipt(&signer), signer.published());
        for place in 0..receipt.len() {
            for bit in [1, 4] {
                let mut bytes = receipt.clone().into_bytes();
                bytes[place] ^= bit;
                let Ok(text) = String::from_utf8(bytes) else {
                    continue;
                };
                assert!(check(&text, REQUEST, &keys, 1_000_010).is_err(), "{place}");
            }
        }
        for cut in 0..receipt.len() {
            assert!(check(&receipt[..cut], REQUEST, &keys, 1_000_010).is_err());
        }
    }

    #[test]
    fn nobody_else_can_make_one() {
        let (ours, theirs) = (signer(), signer());
        let forged = receipt(&theirs);
        assert_eq!(
            check(&forged, REQUEST, &ours.published(), 1_000_010),
            Err(Refused::UnknownKey)
        );
        let mut keys = ours.published();
        keys.keys[0].kid = theirs.published().keys[0].kid.clone();
        assert_eq!(
            check(&forged, REQUEST, &keys, 1_000_010),
            Err(Refused::WrongSignature)
        );
        // Without a signature, as the algorithm `none` would have it.
        let body = forged.split('.').nth(1).unwrap();
        let header =
            URL_SAFE_NO_PAD.encode(r#"{"alg":"none","kid":"x","typ":"kitproof-receipt+jwt"}"#);
        let none = check(
            &format!("{header}.{body}."),
            REQUEST,
            &ours.published(),
            1_000_010,
        );
        assert!(matches!(none, Err(Refused::NoReceipt(_))));
    }
}
