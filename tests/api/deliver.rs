//! Answers sent to a receiver on this machine: signed, tried again, and always told how it went.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use kitproof::api::keys::file::{KeyFile, KeyRecord};
use kitproof::api::keys::{KeyRing, text};
use kitproof::api::scope::Scope;
use kitproof::remote::deliver::Destinations;
use kitproof::remote::settings::Destination;
use ring::hmac;
use serde_json::Value;

use crate::access::ask;
use crate::client::{Reply, post};
use crate::service::{settings, start_with};

const SECRETS: [&[u8]; 2] = [
    b"an invented secret of 32 bytes!!",
    b"another one, to change over to.",
];

/// What a receiver does with a call.
#[derive(Clone, Copy)]
enum Act {
    Answer(u16),
    /// Answers with this `Retry-After`.
    Later(u16, u32),
    /// Sends the caller elsewhere.
    Redirect,
    /// Takes the call and says nothing.
    Hang,
    /// Answers after so many milliseconds.
    Slow(u64),
    /// Closes without an answer.
    Drop,
}

/// What a receiver was sent.
struct Call {
    head: String,
    body: Vec<u8>,
}

impl Call {
    fn header(&self, name: &str) -> &str {
        let mut lines = self.head.lines();
        let line = lines.find_map(|line| line.strip_prefix(&format!("{name}: ")));
        line.unwrap_or_else(|| panic!("{name} is missing in {}", self.head))
    }
}

type Calls = Arc<Mutex<Vec<Call>>>;

/// A receiver that acts by a list, then answers 204.
fn receiver(acts: &[Act]) -> (SocketAddr, Calls) {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = listener.local_addr().expect("an address");
    let calls = Calls::default();
    let (kept, acts) = (Arc::clone(&calls), acts.to_vec());
    std::thread::spawn(move || {
        for (n, stream) in listener.incoming().enumerate() {
            let mut stream = stream.expect("a caller");
            let act = acts.get(n).copied().unwrap_or(Act::Answer(204));
            kept.lock().expect("a list").push(read(&mut stream));
            std::thread::spawn(move || act.on(stream));
        }
    });
    (address, calls)
}

impl Act {
    fn on(self, mut stream: TcpStream) {
        let (status, more) = match self {
            Self::Answer(status) => (status, String::new()),
            Self::Later(status, seconds) => (status, format!("retry-after: {seconds}\r\n")),
            Self::Redirect => (307, "location: http://192.0.2.1/\r\n".to_owned()),
            Self::Hang => return std::thread::sleep(Duration::from_secs(30)),
            Self::Slow(ms) => {
                std::thread::sleep(Duration::from_millis(ms));
                (200, String::new())
            }
            Self::Drop => return,
        };
        let text =
            format!("HTTP/1.1 {status} x\r\n{more}content-length: 0\r\nconnection: close\r\n\r\n");
        let _ = stream.write_all(text.as_bytes());
    }
}

fn read(stream: &mut TcpStream) -> Call {
    let (mut head, mut byte) = (Vec::new(), [0]);
    while !head.ends_with(b"\r\n\r\n") {
        stream.read_exact(&mut byte).expect("a head");
        head.push(byte[0]);
    }
    let head = String::from_utf8(head)
        .expect("text")
        .to_ascii_lowercase()
        .replace("\r\n", "\n");
    let length = head
        .lines()
        .find_map(|line| line.strip_prefix("content-length: "));
    let mut body = vec![0; length.expect("a length").parse().expect("a number")];
    stream.read_exact(&mut body).expect("a body");
    Call { head, body }
}

/// A file of secrets for one test.
fn secret_file(name: &str) -> String {
    let path = std::env::temp_dir().join(format!("kitproof-secret-{name}-{}", std::process::id()));
    let lines = SECRETS.map(|secret| format!("whsec_{}\n", STANDARD.encode(secret)));
    std::fs::write(&path, lines.concat()).expect("written");
    path.to_str().expect("UTF-8").to_owned()
}

fn destinations(name: &str, receiver: SocketAddr, within_ms: u32) -> Destinations {
    let path = secret_file(name);
    let made = Destinations::new(vec![Destination {
        name: "tickets".to_owned(),
        address: format!("http://{receiver}/in"),
        secret_file: path.clone(),
        private: true,
        within_ms: Some(within_ms),
        ca_file: None,
    }]);
    std::fs::remove_file(path).expect("removed");
    made.expect("destinations")
}

const CART: &[u8] = br#"{"reference": "cart-9", "board": "tarn", "deliver_to": "tickets", "kit": [{"module": "ERW-3R32-4x4", "quantity": 24}]}"#;

/// Asks for a delivery to a receiver that acts like this; gives the answer and how long it took.
fn deliver(name: &str, acts: &[Act], within_ms: u32) -> (Reply, Duration, Calls) {
    let (receiver, calls) = receiver(acts);
    let own = destinations(name, receiver, within_ms);
    let (to, _) = start_with(settings(), |state| state.deliver = Some(Arc::new(own)));
    let started = Instant::now();
    let reply = post(to, "/v1/validate", CART);
    (reply, started.elapsed(), calls)
}

fn outcome(reply: &Reply) -> (bool, u64) {
    let body = reply.json();
    assert_eq!(reply.status, 200);
    assert_eq!(
        body["verdict"], "does_not_fit",
        "the verdict is always there"
    );
    let told = &body["delivery"];
    let attempts = told["attempts"].as_u64().expect("a number");
    let delivered = told["delivered"].as_bool().expect("a word");
    assert_eq!(told["reason"].is_null(), delivered, "{told}");
    let header = format!("?{};attempts={attempts}", u8::from(delivered));
    assert_eq!(reply.header("kitproof-delivery"), Some(header.as_str()));
    (delivered, attempts)
}

/// Verifies as a receiver does: Standard Webhooks 1.0.0, "Signature scheme".
fn assert_signed(call: &Call) {
    let head = |name| call.header(name).to_owned();
    // Header values were made lower case with the head, so the signature is looked up by its bytes.
    let (id, timestamp) = (head("webhook-id"), head("webhook-timestamp"));
    let signed = [id.as_bytes(), b".", timestamp.as_bytes(), b".", &call.body].concat();
    let expected = SECRETS.map(|secret| {
        let key = hmac::Key::new(hmac::HMAC_SHA256, secret);
        format!("v1,{}", STANDARD.encode(hmac::sign(&key, &signed))).to_ascii_lowercase()
    });
    assert_eq!(head("webhook-signature"), expected.join(" "));
    let now = kitproof::api::receipt::now();
    let age = now - timestamp.parse::<u64>().expect("a number");
    assert!(age < 60, "{age}");
}

#[test]
fn an_answer_is_sent_signed_with_what_it_says() {
    let (reply, _, calls) = deliver("sent", &[], 4000);
    assert_eq!(outcome(&reply), (true, 1));
    let calls = calls.lock().expect("a list");
    assert_eq!(calls.len(), 1);
    assert_signed(&calls[0]);
    let sent: Value = serde_json::from_slice(&calls[0].body).expect("JSON");
    assert_eq!(sent["type"], "kitproof.verdict");
    assert_eq!(sent["data"]["reference"], "cart-9");
    assert_eq!(sent["data"]["verdict"], reply.json()["verdict"]);
    assert!(
        sent["data"]["report"]
            .as_str()
            .expect("text")
            .contains("At most 16")
    );
    let tail = sent["timestamp"].as_str().expect("text");
    assert!(tail.ends_with('Z') && tail.len() == 20, "{tail}");
}

#[test]
fn a_receiver_that_fails_twice_gets_it_the_third_time_with_the_same_id() {
    let (reply, took, calls) = deliver("twice", &[Act::Answer(500), Act::Drop], 4000);
    assert_eq!(outcome(&reply), (true, 3));
    assert!(took < Duration::from_secs(4), "{took:?}");
    let calls = calls.lock().expect("a list");
    calls.iter().for_each(assert_signed);
    assert!(
        calls
            .iter()
            .all(|call| call.header("webhook-id") == calls[0].header("webhook-id"))
    );
}

#[test]
fn a_receiver_that_hangs_does_not_hold_the_answer_beyond_its_time() {
    let (reply, took, calls) = deliver("hangs", &[Act::Hang, Act::Hang, Act::Hang], 1000);
    let (delivered, attempts) = outcome(&reply);
    assert!(!delivered && attempts >= 2, "{attempts}");
    assert!(took < Duration::from_secs(8), "{took:?}");
    assert!(calls.lock().expect("a list").len() >= 2);
    let reason = reply.json()["delivery"]["reason"]
        .as_str()
        .expect("a reason")
        .to_owned();
    assert!(reason.contains("in time"), "{reason}");
}

#[test]
fn a_slow_receiver_is_waited_for_within_the_time() {
    let (reply, _, _) = deliver("slow", &[Act::Slow(600)], 4000);
    assert_eq!(outcome(&reply), (true, 1));
}

#[test]
fn what_more_tries_would_not_mend_is_not_tried_again() {
    for (name, act) in [
        ("gone", Act::Answer(410)),
        ("bad", Act::Answer(400)),
        ("elsewhere", Act::Redirect),
    ] {
        let (reply, _, calls) = deliver(name, &[act, Act::Answer(204)], 4000);
        assert_eq!(outcome(&reply), (false, 1), "{name}");
        assert_eq!(calls.lock().expect("a list").len(), 1, "{name}");
    }
    // One that wants to be asked later than there is time for.
    let (reply, took, _) = deliver("later", &[Act::Later(503, 60)], 3000);
    assert_eq!(outcome(&reply), (false, 1));
    assert!(took < Duration::from_secs(3), "{took:?}");
}

#[test]
fn a_receiver_that_is_not_there_is_told() {
    let gone = TcpListener::bind("127.0.0.1:0")
        .expect("a port")
        .local_addr()
        .expect("an address");
    let own = destinations("not-there", gone, 500);
    let (to, _) = start_with(settings(), |state| state.deliver = Some(Arc::new(own)));
    let reply = post(to, "/v1/validate", CART);
    assert!(!outcome(&reply).0);
    assert!(
        !reply.text().contains(&gone.to_string()),
        "the address is the operator's"
    );
}

#[test]
fn a_request_names_destinations_and_never_addresses() {
    let (receiver, calls) = receiver(&[]);
    let own = destinations("names", receiver, 1000);
    let (to, _) = start_with(settings(), |state| state.deliver = Some(Arc::new(own)));
    let address = format!("http://{receiver}/in");
    for name in ["ticket", address.as_str(), "", "tickets "] {
        let cart = format!(r#"{{"board": "tarn", "deliver_to": "{name}"}}"#);
        let refused = post(to, "/v1/validate", cart.as_bytes());
        assert_eq!(refused.faults(), ["unknown-name /deliver_to"], "{name}");
    }
    let near = post(
        to,
        "/v1/validate",
        br#"{"board": "tarn", "deliver_to": "ticket"}"#,
    );
    assert_eq!(near.json()["faults"][0]["close_matches"][0], "tickets");
    assert!(calls.lock().expect("a list").is_empty());
}

#[test]
fn a_key_needs_the_scope_to_have_answers_sent() {
    let (receiver, calls) = receiver(&[]);
    let own = destinations("scope", receiver, 1000);
    let made = [vec![Scope::Decide], vec![Scope::Decide, Scope::Deliver]].map(|scopes| {
        let key = text::make().expect("a key");
        let record = KeyRecord {
            id: key.id,
            name: "a caller".to_owned(),
            secret_sha256: key.digest.hex(),
            scopes,
            last_day: None,
            per_minute: None,
        };
        (key.text, record)
    });
    let file = KeyFile {
        keys: made.iter().map(|(_, record)| record.clone()).collect(),
    };
    let (to, _) = start_with(settings(), |state| {
        state.deliver = Some(Arc::new(own));
        state.keys = Some(Arc::new(KeyRing::new(&file)));
    });
    assert_eq!(
        ask(to, &made[0].0, "POST", "/v1/validate", CART).code(),
        "scope-needed"
    );
    assert!(calls.lock().expect("a list").is_empty());
    let sent = ask(to, &made[1].0, "POST", "/v1/validate", CART);
    assert_eq!(outcome(&sent), (true, 1));
}

#[test]
fn an_explanation_is_sent_too() {
    let (receiver, calls) = receiver(&[Act::Answer(500)]);
    let own = destinations("explained", receiver, 4000);
    let (to, _) = start_with(settings(), |state| state.deliver = Some(Arc::new(own)));
    let asked = |about: &str, extra: &str| {
        let body = format!(
            r#"{{"about":"{about}","request":{{"reference":"cart-9","board":"tarn",
            "kit":[{{"module":"ERW-3R32-4x4","quantity":24}}]}}{extra}}}"#
        );
        post(to, "/v1/explain", body.as_bytes())
    };
    let plain = asked("verdict", "");
    assert!(plain.json()["delivery"].is_null());
    assert!(calls.lock().expect("a list").is_empty());
    let reply = asked("verdict", r#","deliver_to":"tickets""#);
    assert_eq!(outcome(&reply), (true, 2));
    // Beside how it went, the answer is what it is without a delivery.
    let mut without = reply.json();
    without
        .as_object_mut()
        .expect("an object")
        .remove("delivery");
    assert_eq!(without, plain.json());
    let sent: Value = {
        let calls = calls.lock().expect("a list");
        calls.iter().for_each(assert_signed);
        serde_json::from_slice(&calls[1].body).expect("JSON")
    };
    assert_eq!(sent["type"], "kitproof.explanation");
    let data = &sent["data"];
    assert_eq!(data["about"], "verdict");
    assert_eq!(data["standing"], reply.json()["standing"]);
    assert_eq!(data["reference"], "cart-9");
    assert_eq!(
        (&data["verdict"], &data["allowed"]),
        (&"does_not_fit".into(), &false.into())
    );
    let report = data["report"].as_str().expect("text");
    assert!(
        report.contains("at most 8") && report.starts_with("Why"),
        "{report}"
    );
    // A worksheet that cannot be given is sent as what it is.
    let refused = asked("worksheet", r#","deliver_to":"tickets""#);
    assert_eq!(refused.json()["standing"], "refused");
    assert_eq!(outcome(&refused), (true, 1));
    // What asks within the request is told where to ask.
    let within = br#"{"request":{"board":"tarn","deliver_to":"tickets"}}"#;
    let faults = post(to, "/v1/explain", within).faults();
    assert_eq!(faults, ["unusable /request/deliver_to"]);
    let unknown = br#"{"request":{"board":"tarn"},"deliver_to":"http://127.0.0.1/"}"#;
    let faults = post(to, "/v1/explain", unknown).faults();
    assert_eq!(faults, ["unknown-name /deliver_to"]);
}
