//! Who may reach the service, and how often.

use std::net::IpAddr;
use std::path::PathBuf;

/// Settings of access. By default only this machine reaches the service, and needs no key.
#[derive(Debug, Clone, PartialEq, Eq, Default, clap::Args)]
pub struct Access {
    /// File of keys, made by `kitproof key add`. Every caller then needs a key. Read again when it
    /// changes.
    #[arg(long = "keys", value_name = "FILE")]
    pub keys: Option<PathBuf>,
    /// Serve an address of the network without keys.
    #[arg(long, conflicts_with = "keys")]
    pub open: bool,
    /// Origin of web pages that may read answers, such as `https://shop.example`; may be repeated.
    #[arg(long = "origin", value_name = "ORIGIN", value_parser = origin)]
    pub origins: Vec<String>,
    /// Requests that each key (without keys: each address) may make in a minute. A key may have a
    /// limit of its own. No limit if not given.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    pub per_minute: Option<u32>,
}

impl Access {
    /// Whether an address may be served.
    ///
    /// # Errors
    /// What the operator has to decide first.
    pub fn check(&self, address: IpAddr) -> Result<(), String> {
        if address.is_loopback() || self.open || self.keys.is_some() {
            return Ok(());
        }
        Err(format!(
            "others could reach the service at `{address}`: set keys with `--keys FILE` (made by \
             `kitproof key add`), or say `--open` if everybody may ask"
        ))
    }
}

/// An origin as a browser sends it: scheme, host, and port if it is not the usual one.
fn origin(text: &str) -> Result<String, String> {
    let wrong =
        || format!("`{text}` is no origin: write it as `https://shop.example`, without a path");
    let (scheme, rest) = text.split_once("://").ok_or_else(wrong)?;
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "-.:[]".contains(c);
    let known = matches!(scheme, "http" | "https");
    match known && !rest.is_empty() && rest.chars().all(plain) {
        true => Ok(text.to_owned()),
        false => Err(wrong()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_network_needs_keys_or_a_clear_word() {
        let (own, all): (IpAddr, IpAddr) = ("::1".parse().unwrap(), "0.0.0.0".parse().unwrap());
        let closed = Access::default();
        assert!(closed.check(own).is_ok());
        let told = closed.check(all).unwrap_err();
        assert!(told.contains("--keys") && told.contains("--open"), "{told}");
        let open = Access {
            open: true,
            ..Access::default()
        };
        assert!(open.check(all).is_ok());
        let keys = Access {
            keys: Some("keys.json".into()),
            ..Access::default()
        };
        assert!(keys.check(all).is_ok());
    }

    #[test]
    fn origins_are_taken_as_browsers_send_them() {
        for good in [
            "https://shop.example",
            "http://127.0.0.1:8080",
            "http://[::1]:3000",
        ] {
            assert!(origin(good).is_ok(), "{good}");
        }
        for bad in [
            "*",
            "null",
            "https://Shop.example",
            "https://shop.example/",
            "shop.example",
        ] {
            assert!(origin(bad).is_err(), "{bad}");
        }
    }
}
