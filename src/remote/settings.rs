//! The file that names every address that the service may call by itself. Without it, it calls none.

use std::collections::BTreeSet;
use std::net::IpAddr;
use std::path::PathBuf;

use reqwest::Url;
use serde::Deserialize;
use url::Host;
use utoipa::ToSchema;

use super::guard::is_public;
use crate::api::extract::read_json;
use crate::api::keys::file::told;

/// Everything that the service may call.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Outbound {
    /// Where boards and modules are fetched.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub feeds: Vec<Feed>,
    /// Where answers may be sent.
    #[serde(default)]
    #[schema(max_items = 100)]
    pub destinations: Vec<Destination>,
    /// Where traces of requests are sent.
    #[serde(default)]
    pub traces: Option<Collector>,
}

/// An address that boards or modules are fetched from.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Feed {
    /// Its name in messages.
    #[schema(min_length = 1, max_length = 60)]
    pub name: String,
    /// The address: `https://...`, or `http://...` in a network of one's own.
    #[schema(min_length = 1, max_length = 2000)]
    pub address: String,
    /// What it gives.
    pub holds: Holds,
    /// How often it is asked; every 300 seconds if left out.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 86400)]
    pub every_seconds: Option<u32>,
    /// Whether the address may lie in a private network.
    #[serde(default)]
    pub private: bool,
    /// A file with a token to send as `Authorization: Bearer`.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub token_file: Option<String>,
    /// A file of certificates (PEM) to trust instead of the system's.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub ca_file: Option<String>,
    /// A file to keep the last good answer in, so that a start needs no network.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub keep_file: Option<String>,
}

/// What a feed gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum Holds {
    /// Boards, as JSON.
    Boards,
    /// Modules, as JSON, NDJSON or CSV.
    Modules,
}

/// An address that answers may be sent to.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Destination {
    /// The name that requests say.
    #[schema(min_length = 1, max_length = 60)]
    pub name: String,
    /// The address: `https://...`, or `http://...` in a network of one's own.
    #[schema(min_length = 1, max_length = 2000)]
    pub address: String,
    /// A file with the secret that signs what is sent: `whsec_` and base64 of 24 to 64 bytes. Several
    /// secrets, one on each line, all sign: so a receiver can change from one to the next.
    #[schema(max_length = 1000)]
    pub secret_file: String,
    /// Whether the address may lie in a private network.
    #[serde(default)]
    pub private: bool,
    /// The longest time that a delivery may take, with all its tries; 4000 ms if left out.
    #[serde(default)]
    #[schema(minimum = 100, maximum = 20_000)]
    pub within_ms: Option<u32>,
    /// A file of certificates (PEM) to trust instead of the system's.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub ca_file: Option<String>,
}

/// An address that takes traces: OTLP over HTTP, with protobuf.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Collector {
    /// The address: `https://...`, or `http://...` in a network of one's own. Without a path, traces go to
    /// `/v1/traces`.
    #[schema(min_length = 1, max_length = 2000)]
    pub address: String,
    /// Whether the address may lie in a private network.
    #[serde(default)]
    pub private: bool,
    /// A file with a token to send as `Authorization: Bearer`.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub token_file: Option<String>,
    /// A file of certificates (PEM) to trust instead of the system's.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub ca_file: Option<String>,
}

/// Reads the file.
///
/// # Errors
/// Everything that is wrong with it, a line each.
pub fn read(bytes: &[u8]) -> Result<Outbound, String> {
    let outbound: Outbound = read_json(bytes).map_err(|refusal| told(refusal).join("\n"))?;
    let mut faults = Vec::new();
    let mut names = BTreeSet::new();
    let mut check = |place: String, name: &str, address: &str, private: bool| {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if !name.chars().all(plain) {
            faults.push(format!(
                "{place}/name: a name has small letters, digits and dashes"
            ));
        }
        if !names.insert(name.to_owned()) {
            faults.push(format!("{place}/name: `{name}` stands twice"));
        }
        if let Err(why) = checked_address(address, private) {
            faults.push(format!("{place}/address: {why}"));
        }
    };
    for (n, feed) in outbound.feeds.iter().enumerate() {
        check(
            format!("/feeds/{n}"),
            &feed.name,
            &feed.address,
            feed.private,
        );
    }
    for (n, to) in outbound.destinations.iter().enumerate() {
        check(
            format!("/destinations/{n}"),
            &to.name,
            &to.address,
            to.private,
        );
    }
    if let Some(to) = &outbound.traces
        && let Err(why) = checked_address(&to.address, to.private)
    {
        faults.push(format!("/traces/address: {why}"));
    }
    match faults.is_empty() {
        true => Ok(outbound),
        false => Err(faults.join("\n")),
    }
}

/// An address that may be called.
///
/// # Errors
/// Why not.
pub fn checked_address(address: &str, private: bool) -> Result<Url, String> {
    let url = Url::parse(address).map_err(|_| "this is no address".to_owned())?;
    if !url.username().is_empty() || url.password().is_some() {
        return Err("an address holds no name or password; use a file for secrets".to_owned());
    }
    let literal: Option<IpAddr> = match url.host() {
        None => return Err("the address names no host".to_owned()),
        Some(Host::Domain(_)) => None,
        Some(Host::Ipv4(v4)) => Some(v4.into()),
        Some(Host::Ipv6(v6)) => Some(v6.into()),
    };
    match (url.scheme(), private) {
        ("https", _) | ("http", true) => {}
        ("http", false) => {
            return Err(
                "`http` is only for a private network: use `https`, or say `\"private\": true`"
                    .to_owned(),
            );
        }
        _ => return Err("an address begins with `https://`".to_owned()),
    }
    if literal.is_some_and(|address| !private && !is_public(address)) {
        return Err(
            "this address lies in a private network; if you mean it, say `\"private\": true`"
                .to_owned(),
        );
    }
    Ok(url)
}

/// What a file holds, without the line end; for secrets.
///
/// # Errors
/// When it cannot be read. The content is never part of the message.
pub fn secret(path: &str) -> Result<String, String> {
    let path = PathBuf::from(path);
    let text = std::fs::read_to_string(&path);
    let text = text.map_err(|error| format!("cannot read `{}`: {error}", path.display()))?;
    Ok(text.trim().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn private_addresses_are_only_taken_if_the_operator_says_so() {
        let private = [
            "http://127.0.0.1:9/",
            "https://127.0.0.1/",
            "https://[::1]/",
            "https://0x7f000001/",
            "https://2130706433/",
            "https://169.254.169.254/latest",
            "https://10.0.0.1/",
            "https://192.168.1.1/",
            "https://[fd00::1]/",
            "https://[::ffff:10.0.0.1]/",
            "https://0.0.0.0/",
            "https://100.64.0.1/",
            "https://[fe80::1]/",
        ];
        for address in private {
            assert!(checked_address(address, false).is_err(), "{address}");
            assert!(checked_address(address, true).is_ok(), "{address}");
        }
        assert!(checked_address("https://tickets.example/in", false).is_ok());
        assert!(checked_address("http://tickets.example/in", false).is_err());
        for bad in [
            "ftp://x.example/",
            "file:///etc/passwd",
            "https://",
            "x",
            "https://me:pw@x.example/",
        ] {
            assert!(checked_address(bad, true).is_err(), "{bad}");
        }
    }

    #[test]
    fn names_stand_once_and_unknown_members_are_faults() {
        let text = r#"{"feeds": [
            {"name": "a", "address": "https://a.example/", "holds": "modules"},
            {"name": "a", "address": "http://b.example/", "holds": "boards"}]}"#;
        let told = read(text.as_bytes()).unwrap_err();
        assert_eq!(told.lines().count(), 2, "{told}");
        let text = r#"{"traces": {"address": "http://127.0.0.1:4318"}}"#;
        assert!(
            read(text.as_bytes())
                .unwrap_err()
                .contains("/traces/address")
        );
        assert!(read(br#"{"feed": []}"#).is_err());
        assert!(read(b"{}").is_ok());
    }
}
