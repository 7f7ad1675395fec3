//! Sends answers to the destinations that the operator set, signed after the Standard Webhooks scheme
//! (specification 1.0.0): `webhook-id`, `webhook-timestamp`, and `webhook-signature` with HMAC-SHA256
//! over `id.timestamp.body`.
//!
//! Everything happens within the time of the request: what fails is tried again, and in the end the
//! answer says how it went. Nothing is kept, so nothing can be lost unseen.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use reqwest::header::{CONTENT_TYPE, HeaderMap, RETRY_AFTER};
use reqwest::{Client, StatusCode, Url};
use ring::hmac;
use ring::rand::{SecureRandom, SystemRandom};
use serde::Serialize;
use tokio::sync::Semaphore;

use super::guard::{self, Limits};
use super::settings::{Destination, checked_address, secret};
use crate::api::clock::utc_text;
use crate::api::extras::{Deliver, Delivering, DeliveryBody, Parcel};
use crate::api::receipt::now;

/// The longest time of a delivery, unless the destination says so itself.
const WITHIN: Duration = Duration::from_secs(4);

/// The first pause before another try; each further one is twice as long.
const FIRST_PAUSE: Duration = Duration::from_millis(100);

/// Deliveries under way at once; further ones are told as not delivered.
const AT_ONCE: usize = 32;

/// All destinations.
pub struct Destinations {
    known: BTreeMap<String, Receiver>,
    places: Semaphore,
}

impl std::fmt::Debug for Destinations {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(self.known.keys()).finish()
    }
}

/// One destination.
struct Receiver {
    url: Url,
    client: Client,
    keys: Vec<hmac::Key>,
    within: Duration,
}

impl Destinations {
    /// Gets ready to send to these.
    ///
    /// # Errors
    /// In words for the operator; never with a secret.
    pub fn new(list: Vec<Destination>) -> Result<Self, String> {
        let mut known = BTreeMap::new();
        for destination in list {
            let within = destination
                .within_ms
                .map_or(WITHIN, |ms| Duration::from_millis(ms.into()));
            let secrets = secret(&destination.secret_file)?;
            let keys: Option<Vec<hmac::Key>> = secrets.lines().map(key).collect();
            let keys = keys.filter(|keys| !keys.is_empty()).ok_or_else(|| {
                format!(
                    "`{}` holds no secret: `whsec_` and base64 of 24 to 64 bytes",
                    destination.secret_file
                )
            })?;
            let receiver = Receiver {
                url: checked_address(&destination.address, destination.private)?,
                client: guard::client(Limits {
                    within,
                    private: destination.private,
                    ca_file: destination.ca_file.as_deref(),
                })?,
                keys,
                within,
            };
            known.insert(destination.name, receiver);
        }
        Ok(Self {
            known,
            places: Semaphore::new(AT_ONCE),
        })
    }

    async fn send(&self, destination: &str, parcel: Parcel) -> DeliveryBody {
        let mut told = DeliveryBody {
            destination: destination.to_owned(),
            delivered: false,
            attempts: 0,
            status: None,
            reason: None,
        };
        let Some(receiver) = self.known.get(destination) else {
            told.reason = Some("there is no such destination".to_owned());
            return told;
        };
        let Ok(_place) = self.places.try_acquire() else {
            told.reason = Some("too many deliveries are under way".to_owned());
            return told;
        };
        receiver.send(&parcel, &mut told).await;
        if !told.delivered {
            tracing::warn!(
                destination,
                attempts = told.attempts,
                reason = told.reason,
                "not delivered"
            );
        }
        told
    }
}

impl Deliver for Destinations {
    fn destinations(&self) -> Vec<&str> {
        self.known.keys().map(String::as_str).collect()
    }

    fn deliver(&self, destination: &str, parcel: Parcel) -> Delivering<'_> {
        let destination = destination.to_owned();
        Box::pin(async move { self.send(&destination, parcel).await })
    }
}

/// What is sent, in the form that the scheme proposes.
#[derive(Serialize)]
struct Payload<'a> {
    r#type: &'static str,
    timestamp: String,
    data: &'a Parcel,
}

/// How one try went.
enum Tried {
    Taken(StatusCode),
    /// Another try may do better, not before so long.
    Again(Option<StatusCode>, String, Option<Duration>),
    /// No further try would do better.
    Refused(StatusCode, String),
}

impl Receiver {
    async fn send(&self, parcel: &Parcel, told: &mut DeliveryBody) {
        let until = Instant::now() + self.within;
        let (Some(id), Ok(body)) = (fresh_id(), self.body(parcel)) else {
            told.reason = Some("it could not be written".to_owned());
            return;
        };
        loop {
            told.attempts += 1;
            let left = until.saturating_duration_since(Instant::now());
            // Two tries at least: a receiver that hangs takes no more than half of what is left.
            let patience = if told.attempts == 1 { left / 2 } else { left };
            let pause = match self.attempt(&id, &body, patience).await {
                Tried::Taken(status) => {
                    told.delivered = true;
                    told.status = Some(status.as_u16());
                    told.reason = None;
                    return;
                }
                Tried::Refused(status, why) => {
                    told.status = Some(status.as_u16());
                    told.reason = Some(why);
                    return;
                }
                Tried::Again(status, why, wait) => {
                    told.status = status.map(|status| status.as_u16());
                    told.reason = Some(why);
                    let pause = FIRST_PAUSE * 2_u32.saturating_pow(told.attempts.min(10) - 1);
                    wait.map_or(pause, |wait| wait.max(pause))
                }
            };
            let left = until.saturating_duration_since(Instant::now());
            if pause >= left {
                return;
            }
            tokio::time::sleep(pause).await;
        }
    }

    fn body(&self, parcel: &Parcel) -> serde_json::Result<Vec<u8>> {
        serde_json::to_vec(&Payload {
            r#type: parcel.kind,
            timestamp: utc_text(now()),
            data: parcel,
        })
    }

    async fn attempt(&self, id: &str, body: &[u8], patience: Duration) -> Tried {
        // Signed anew each time: the receiver judges the age of a try, and the id that it is the same.
        let timestamp = now().to_string();
        let call = self
            .client
            .post(self.url.clone())
            .header(CONTENT_TYPE, "application/json")
            .header("webhook-id", id)
            .header("webhook-timestamp", &timestamp)
            .header("webhook-signature", self.signatures(id, &timestamp, body))
            .timeout(patience)
            .body(body.to_vec());
        let answer = match call.send().await {
            Ok(answer) => answer,
            Err(error) if error.is_timeout() => {
                return Tried::Again(None, "it gave no answer in time".to_owned(), None);
            }
            Err(error) => {
                return Tried::Again(
                    None,
                    format!("it cannot be reached: {}", guard::cause(error)),
                    None,
                );
            }
        };
        // What it says beside the status is of no use here, and is not read.
        let status = answer.status();
        let why = format!("it answered {}", status.as_u16());
        match status.as_u16() {
            200..=299 => Tried::Taken(status),
            408 | 425 | 429 | 500..=599 => {
                Tried::Again(Some(status), why, retry_after(answer.headers()))
            }
            _ => Tried::Refused(status, why),
        }
    }

    fn signatures(&self, id: &str, timestamp: &str, body: &[u8]) -> String {
        let signed = [id.as_bytes(), b".", timestamp.as_bytes(), b".", body].concat();
        let each = self.keys.iter().map(|key| {
            let tag = hmac::sign(key, &signed);
            format!("v1,{}", STANDARD.encode(tag.as_ref()))
        });
        each.collect::<Vec<_>>().join(" ")
    }
}

fn retry_after(headers: &HeaderMap) -> Option<Duration> {
    let seconds = headers
        .get(RETRY_AFTER)?
        .to_str()
        .ok()?
        .trim()
        .parse()
        .ok()?;
    Some(Duration::from_secs(seconds))
}

/// A secret of the scheme: `whsec_` and base64 of 24 to 64 bytes.
fn key(text: &str) -> Option<hmac::Key> {
    let bytes = STANDARD.decode(text.trim().strip_prefix("whsec_")?).ok()?;
    (24..=64)
        .contains(&bytes.len())
        .then(|| hmac::Key::new(hmac::HMAC_SHA256, &bytes))
}

fn fresh_id() -> Option<String> {
    let mut bytes = [0; 16];
    SystemRandom::new().fill(&mut bytes).ok()?;
    let digits: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    Some(format!("msg_{digits}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of the Standard Webhooks libraries (from memory): secret, id, timestamp, body, signature.
    #[test]
    fn signs_as_the_scheme_shows() {
        let receiver = Receiver {
            url: Url::parse("https://tickets.example/").unwrap(),
            client: guard::client(Limits {
                within: WITHIN,
                private: false,
                ca_file: None,
            })
            .unwrap(),
            keys: vec![key("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw").unwrap()],
            within: WITHIN,
        };
        let signature = receiver.signatures(
            "msg_p5jXN8AQM9LWM0D4loKWxJek",
            "1614265330",
            br#"{"test": 2432232314}"#,
        );
        assert_eq!(signature, "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=");
    }

    #[test]
    fn secrets_of_another_form_are_not_taken() {
        assert!(key("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw").is_some());
        for bad in [
            "",
            "whsec_",
            "whsec_c2hvcnQ=",
            "MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
            "whsec_!!",
        ] {
            assert!(key(bad).is_none(), "{bad}");
        }
    }
}
