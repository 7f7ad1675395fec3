//! What an operator can set. A plain struct with working defaults; the command line fills it.

mod access;

pub use access::Access;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::time::Duration;

/// How log lines are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LogFormat {
    /// One readable line for each event.
    #[default]
    Text,
    /// One JSON object for each event.
    Json,
}

impl std::str::FromStr for LogFormat {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, Self::Err> {
        match word {
            "text" => Ok(Self::Text),
            "json" => Ok(Self::Json),
            _ => Err(format!("`{word}` is no log format; known: `text`, `json`")),
        }
    }
}

/// Bodies up to this size are always read, in bytes: the connections bound how many there are.
pub const SMALL_BODY: usize = 16 * 1024;

/// All settings of the service.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Address to listen on. Loopback by default: opening the service to a network is a decision.
    pub address: IpAddr,
    /// TCP port to listen on; 0 lets the system choose.
    pub port: u16,
    /// Threads that serve requests.
    pub workers: NonZeroUsize,
    /// Largest request body, in bytes.
    pub body_limit: usize,
    /// Longest time in which a body must have arrived.
    pub body_timeout: Duration,
    /// Longest time in which the head of a connection's first request must have arrived.
    pub head_timeout: Duration,
    /// Longest time in which a reader may take nothing of an answer that is being sent.
    pub stall_timeout: Duration,
    /// How long an idle connection is kept open.
    pub keep_alive: Duration,
    /// Longest time in which an answer must have been computed.
    pub answer_timeout: Duration,
    /// How many computations may run or wait at once before further ones are turned away.
    pub computations: NonZeroUsize,
    /// Memory for bodies that are larger than [`SMALL_BODY`], all together, in KiB; further ones are
    /// turned away.
    pub bodies_kib: usize,
    /// How many connections may be open; further ones wait until one closes.
    pub connections: NonZeroUsize,
    /// How long requests are still taken after a stop signal, so that a balancer sees in time that
    /// this instance is not ready any more.
    pub grace: Duration,
    /// How many bulk streams may run at once before further ones are turned away.
    pub streams: NonZeroUsize,
    /// How long running requests may finish after a stop signal.
    pub shutdown_timeout: Duration,
    /// Folder of boards and modules; the embedded catalogue when not given.
    pub catalogue: Option<PathBuf>,
    /// File of all addresses that the service may call by itself; it calls none when not given.
    pub outbound: Option<PathBuf>,
    /// File of the keys that sign receipts; none are given when not set.
    pub receipt_keys: Option<PathBuf>,
    /// How long a receipt is good.
    pub receipt_good_for: Duration,
    /// Who may reach the service, and how often.
    pub access: Access,
    /// How log lines are written.
    pub log_format: LogFormat,
}

impl Default for Settings {
    fn default() -> Self {
        let workers = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
        Self {
            address: IpAddr::V4(Ipv4Addr::LOCALHOST),
            port: 8080,
            workers,
            body_limit: 1024 * 1024,
            body_timeout: Duration::from_secs(5),
            head_timeout: Duration::from_secs(5),
            stall_timeout: Duration::from_secs(30),
            answer_timeout: Duration::from_secs(10),
            keep_alive: Duration::from_secs(15),
            computations: workers.saturating_mul(NonZeroUsize::MIN.saturating_add(7)),
            bodies_kib: 64 * 1024,
            connections: NonZeroUsize::MIN.saturating_add(1023),
            grace: Duration::from_secs(5),
            streams: workers.saturating_mul(NonZeroUsize::MIN.saturating_add(1)),
            shutdown_timeout: Duration::from_secs(10),
            catalogue: None,
            outbound: None,
            receipt_keys: None,
            receipt_good_for: Duration::from_secs(3600),
            access: Access::default(),
            log_format: LogFormat::Text,
        }
    }
}

impl Settings {
    /// Address and port to listen on.
    pub fn socket(&self) -> SocketAddr {
        SocketAddr::new(self.address, self.port)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn listens_on_loopback_unless_told_otherwise() {
        assert_eq!(Settings::default().socket().to_string(), "127.0.0.1:8080");
    }

    #[test]
    fn a_wrong_log_format_names_the_known_ones() {
        assert_eq!("json".parse(), Ok(LogFormat::Json));
        let error = "xml".parse::<LogFormat>().unwrap_err();
        assert!(error.contains("`text`, `json`"));
    }
}
