//! A client of this service, for the command line: is it healthy, and what does it decide?

use std::time::Duration;

use reqwest::header::{ACCEPT, CONTENT_TYPE};
use reqwest::{Client as Http, Response, Url};

/// How long an answer may take.
const PATIENCE: Duration = Duration::from_secs(30);

/// How long the answers to many requests may take: a busy server lets single ones go first.
const PATIENCE_WITH_MANY: Duration = Duration::from_secs(600);

/// The largest answer that is read, in bytes.
const LARGEST_ANSWER: usize = 8 << 20;

/// Why a server gave no usable answer.
#[derive(Debug, thiserror::Error)]
pub enum ClientError {
    /// The address cannot be used.
    #[error("`{0}` is no address of a server: write it as http://HOST:PORT")]
    Address(String),
    /// The client could not be made or the server not reached.
    #[error("cannot reach the server: {0}")]
    Unreachable(String),
    /// The answer is larger than any of this service.
    #[error("the answer is larger than {LARGEST_ANSWER} bytes")]
    TooLarge,
    /// The server refused the request.
    #[error("the server answered {status}: {body}")]
    Refused {
        /// HTTP status.
        status: u16,
        /// What it said.
        body: String,
    },
}

/// A server of this service.
#[derive(Clone)]
pub struct Client {
    http: Http,
    base: Url,
    key: Option<String>,
}

impl Client {
    /// A client of the server at an address such as `http://127.0.0.1:8080`.
    ///
    /// # Errors
    /// [`ClientError::Address`], or [`ClientError::Unreachable`] when no client can be made.
    pub fn new(address: &str) -> Result<Self, ClientError> {
        let bad = || ClientError::Address(address.to_owned());
        let base = Url::parse(address).map_err(|_| bad())?;
        if !matches!(base.scheme(), "http" | "https") || base.host().is_none() {
            return Err(bad());
        }
        // The one provider of cryptography that is built in; a second call changes nothing.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let http = Http::builder()
            .timeout(PATIENCE)
            .redirect(reqwest::redirect::Policy::none())
            .build();
        let http = http.map_err(unreachable)?;
        Ok(Self {
            http,
            base,
            key: None,
        })
    }

    /// The same client with a key to show.
    #[must_use]
    pub fn with_key(mut self, key: Option<String>) -> Self {
        self.key = key;
        self
    }

    /// Whether the server takes requests.
    ///
    /// # Errors
    /// Whatever kept it from saying yes.
    pub async fn health(&self) -> Result<(), ClientError> {
        let answer = self.http.get(self.at("/health/ready")).send().await;
        read(answer.map_err(unreachable)?).await.map(|_| ())
    }

    /// Has a request decided; gives the answer's JSON text.
    ///
    /// # Errors
    /// Whatever kept it from being decided.
    pub async fn validate(&self, request: String) -> Result<String, ClientError> {
        let post = self.http.post(self.at("/v1/validate"));
        let post = match &self.key {
            Some(key) => post.bearer_auth(key),
            None => post,
        };
        let post = post
            .header(CONTENT_TYPE, "application/json")
            .header(ACCEPT, "application/json");
        let answer = post.body(request).send().await;
        read(answer.map_err(unreachable)?).await
    }

    /// Has many requests decided, one on each line; gives the answer's text.
    ///
    /// # Errors
    /// Whatever kept them from being decided.
    pub async fn bulk(&self, lines: Vec<u8>) -> Result<String, ClientError> {
        let post = self.http.post(self.at("/v1/validate/bulk"));
        let post = post
            .timeout(PATIENCE_WITH_MANY)
            .header(CONTENT_TYPE, "application/x-ndjson")
            .header(ACCEPT, "application/x-ndjson");
        let post = match &self.key {
            Some(key) => post.bearer_auth(key),
            None => post,
        };
        let answer = post.body(lines).send().await;
        read(answer.map_err(unreachable)?).await
    }

    fn at(&self, path: &str) -> Url {
        let mut url = self.base.clone();
        url.set_path(&format!("{}{path}", self.base.path().trim_end_matches('/')));
        url
    }
}

fn unreachable(error: reqwest::Error) -> ClientError {
    use std::error::Error;
    // The cause says what a person can act on ("connection refused"); the rest repeats the address.
    let mut cause: &dyn Error = &error;
    while let Some(deeper) = cause.source() {
        cause = deeper;
    }
    ClientError::Unreachable(cause.to_string())
}

async fn read(mut answer: Response) -> Result<String, ClientError> {
    let status = answer.status();
    let mut bytes = Vec::new();
    while let Some(chunk) = answer.chunk().await.map_err(unreachable)? {
        if bytes.len() + chunk.len() > LARGEST_ANSWER {
            return Err(ClientError::TooLarge);
        }
        bytes.extend_from_slice(&chunk);
    }
    let body = String::from_utf8_lossy(&bytes).into_owned();
    match status.is_success() {
        true => Ok(body),
        false => Err(ClientError::Refused {
            status: status.as_u16(),
            body,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_addresses_of_servers_only() {
        assert!(Client::new("http://127.0.0.1:8080").is_ok());
        for bad in ["127.0.0.1:8080", "ftp://host/", "", "http://"] {
            assert!(
                matches!(Client::new(bad), Err(ClientError::Address(_))),
                "{bad}"
            );
        }
    }

    #[test]
    fn keeps_the_path_of_a_server_behind_a_prefix() {
        let client = Client::new("http://127.0.0.1:8080/kit/").unwrap();
        assert_eq!(
            client.at("/v1/validate").as_str(),
            "http://127.0.0.1:8080/kit/v1/validate"
        );
    }
}
