//! What every call to the outside has in common: it goes where the operator said and nowhere else.
//!
//! No redirects, no proxy from the environment, limits of time and size. A name is resolved once, and
//! the very addresses that were checked are dialled, so a name cannot change between the check and
//! the call. Source: OWASP, "Server-Side Request Forgery Prevention Cheat Sheet".

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use reqwest::dns::{Addrs, Name, Resolve, Resolving};
use reqwest::{Certificate, Client, Response};

/// How a client may call.
#[derive(Debug, Clone, Copy)]
pub struct Limits<'a> {
    /// The longest time for one call, with its answer.
    pub within: Duration,
    /// Whether it may call a private network.
    pub private: bool,
    /// A file of certificates to trust instead of the system's.
    pub ca_file: Option<&'a str>,
}

/// A client that keeps to the limits.
///
/// # Errors
/// In words for the operator.
pub fn client(limits: Limits<'_>) -> Result<Client, String> {
    // The one provider of cryptography that is built in; a second call changes nothing.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let mut builder = Client::builder()
        .timeout(limits.within)
        .connect_timeout(limits.within.min(Duration::from_secs(5)))
        .redirect(reqwest::redirect::Policy::none())
        .no_proxy()
        // Connections are not kept: each call may run on another thread.
        .pool_max_idle_per_host(0)
        .user_agent(concat!("kitproof/", env!("CARGO_PKG_VERSION")))
        .dns_resolver(Arc::new(Resolver {
            private: limits.private,
        }));
    if let Some(path) = limits.ca_file {
        let pem = std::fs::read(path).map_err(|error| format!("cannot read `{path}`: {error}"))?;
        let roots = Certificate::from_pem_bundle(&pem);
        let roots = roots.map_err(|_| format!("`{path}` holds no certificates"))?;
        builder = builder.tls_certs_only(roots);
    }
    builder.build().map_err(cause)
}

/// Resolves names, and leaves out addresses that must not be called.
struct Resolver {
    private: bool,
}

impl Resolve for Resolver {
    fn resolve(&self, name: Name) -> Resolving {
        let private = self.private;
        Box::pin(async move {
            let found = tokio::net::lookup_host((name.as_str(), 0)).await?;
            let may = |address: &SocketAddr| private || is_public(address.ip());
            let found: Vec<SocketAddr> = found.filter(may).collect();
            if found.is_empty() {
                return Err("the name leads to a private network only".into());
            }
            Ok(Box::new(found.into_iter()) as Addrs)
        })
    }
}

/// Whether an address is one of the public internet. Source: IANA special-purpose address registries
/// (RFC 6890 and what was added to them).
pub fn is_public(address: IpAddr) -> bool {
    match address.to_canonical() {
        IpAddr::V4(v4) => is_public_v4(v4),
        IpAddr::V6(v6) => is_public_v6(v6),
    }
}

fn is_public_v4(address: Ipv4Addr) -> bool {
    let [a, b, c, _] = address.octets();
    let special = address.is_loopback()
        || address.is_private()
        || address.is_link_local()
        || address.is_multicast()
        || address.is_documentation()
        || a == 0
        || a >= 240
        || (a == 100 && (64..128).contains(&b))
        || (a == 192 && b == 0 && c == 0)
        || (a == 198 && (18..20).contains(&b));
    !special
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    let segments = address.segments();
    // Addresses that hold an IPv4 address: translated (RFC 6052) and tunnelled (RFC 3056).
    let inner = match segments {
        [0x64, 0xff9b, 0, 0, 0, 0, high, low] | [0x2002, high, low, ..] => Some((high, low)),
        _ => None,
    };
    if let Some((high, low)) = inner {
        let bits = (u32::from(high) << 16) | u32::from(low);
        return is_public_v4(Ipv4Addr::from_bits(bits));
    }
    // Only 2000::/3 is given out; of it, documentation and protocol blocks are not reachable.
    let [first, second, ..] = segments;
    (0x2000..0x4000).contains(&first)
        && !(first == 0x2001 && (second < 0x200 || second == 0xdb8))
        && first != 0x3fff
}

/// The deepest cause of a failure: it says what a person can act on, and holds no address.
pub fn cause(error: reqwest::Error) -> String {
    use std::error::Error;
    let error = error.without_url();
    let mut cause: &dyn Error = &error;
    while let Some(deeper) = cause.source() {
        cause = deeper;
    }
    cause.to_string()
}

/// Reads an answer up to a size.
///
/// # Errors
/// When it is larger, or breaks off.
pub async fn read(mut answer: Response, largest: usize) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    while let Some(chunk) = answer.chunk().await.map_err(cause)? {
        if bytes.len() + chunk.len() > largest {
            return Err(format!("the answer is larger than {largest} bytes"));
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn knows_public_addresses_from_special_ones() {
        for public in [
            "1.1.1.1",
            "203.0.114.1",
            "2606:4700::1",
            "2002:101:101::1",
            "64:ff9b::101:101",
        ] {
            assert!(is_public(public.parse().unwrap()), "{public}");
        }
        let special = [
            "127.0.0.1",
            "10.1.2.3",
            "172.16.0.1",
            "172.31.255.255",
            "192.168.0.1",
            "169.254.169.254",
            "0.0.0.0",
            "255.255.255.255",
            "224.0.0.1",
            "100.64.0.1",
            "192.0.0.8",
            "198.18.0.1",
            "::1",
            "::",
            "fe80::1",
            "fc00::1",
            "fd12::1",
            "ff02::1",
            "::ffff:127.0.0.1",
            "64:ff9b::7f00:1",
            "2002:7f00:1::",
            "2001:db8::1",
            "2001::1",
        ];
        for address in special {
            assert!(!is_public(address.parse().unwrap()), "{address}");
        }
    }
}
