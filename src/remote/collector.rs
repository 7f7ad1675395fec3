//! The way to a collector of traces: through the same guard as every call to the outside.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use async_trait::async_trait;
use opentelemetry_http::{Bytes, HttpClient, HttpError, Request, Response};
use reqwest::header::{AUTHORIZATION, HeaderValue};
use reqwest::{Client, Url};
use tokio::runtime::Runtime;

use super::guard::{self, Limits};
use super::settings::{Collector, checked_address, secret};

/// The longest time for one call, with all its tries.
pub const WITHIN: Duration = Duration::from_secs(5);

/// The largest answer that is read, in bytes; a good one is almost empty.
const LARGEST: usize = 64 * 1024;

/// Where traces go when the address has no path of its own.
const PATH: &str = "/v1/traces";

/// Whatever posts spans to the collector.
#[derive(Debug)]
pub struct Post {
    url: Url,
    client: Client,
    token: Option<HeaderValue>,
    runtime: Runtime,
    /// Whether the last call failed: only a change is logged, or a collector that is away fills the log.
    away: AtomicBool,
}

impl Post {
    /// Gets ready to call.
    ///
    /// # Errors
    /// In words for the operator.
    pub fn new(collector: &Collector) -> Result<Self, String> {
        let mut url = checked_address(&collector.address, collector.private)?;
        if url.path() == "/" {
            url.set_path(PATH);
        }
        let client = guard::client(Limits {
            within: WITHIN,
            private: collector.private,
            ca_file: collector.ca_file.as_deref(),
        })?;
        let token = collector.token_file.as_deref().map(bearer).transpose()?;
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build();
        Ok(Self {
            url,
            client,
            token,
            runtime: runtime.map_err(|error| error.to_string())?,
            away: AtomicBool::new(false),
        })
    }

    /// Where spans go.
    pub fn address(&self) -> String {
        self.url.to_string()
    }

    /// The address is the one that was checked, whatever the request says.
    async fn send(&self, request: Request<Bytes>) -> Result<Response<Bytes>, String> {
        let (head, body) = request.into_parts();
        let mut call = self.client.post(self.url.clone());
        call = call.headers(head.headers).body(body);
        if let Some(token) = &self.token {
            call = call.header(AUTHORIZATION, token.clone());
        }
        let answer = call.send().await.map_err(guard::cause)?;
        let (status, headers) = (answer.status(), answer.headers().clone());
        let bytes = guard::read(answer, LARGEST).await?;
        let mut given = Response::new(Bytes::from(bytes));
        *given.status_mut() = status;
        *given.headers_mut() = headers;
        Ok(given)
    }

    /// Says once that the collector is away, and once that it is back.
    fn note(&self, outcome: &Result<Response<Bytes>, String>) {
        let why = match outcome {
            Ok(answer) if answer.status().is_success() => None,
            Ok(answer) => Some(format!("the address answered {}", answer.status().as_u16())),
            Err(why) => Some(why.clone()),
        };
        let was_away = self.away.swap(why.is_some(), Ordering::Relaxed);
        match why {
            Some(why) if !was_away => {
                tracing::warn!(why, "traces are not taken; what stays untaken is lost");
            }
            None if was_away => tracing::info!("traces are taken again"),
            _ => {}
        }
    }
}

#[async_trait]
impl HttpClient for Post {
    async fn send_bytes(&self, request: Request<Bytes>) -> Result<Response<Bytes>, HttpError> {
        // Only the thread that sends spans comes here, and it drives no runtime that this could hold up.
        let outcome = self.runtime.block_on(self.send(request));
        self.note(&outcome);
        Ok(outcome?)
    }
}

/// What a file of a token gives to send; never shown.
fn bearer(path: &str) -> Result<HeaderValue, String> {
    let value = HeaderValue::from_str(&format!("Bearer {}", secret(path)?));
    let mut value = value.map_err(|_| format!("`{path}` holds no token that can be sent"))?;
    value.set_sensitive(true);
    Ok(value)
}
