//! Fetches boards and modules again and again from the addresses that the operator set.
//!
//! What was good stays in use until something better comes: an address that cannot be reached, or
//! gives something that cannot be used, is told and tried again. Its tag (`ETag`) is only remembered
//! for an answer that was taken, so nothing bad is ever taken for known.

use std::sync::Arc;
use std::time::Duration;

use reqwest::header::{CONTENT_TYPE, ETAG, HeaderValue, IF_NONE_MATCH};
use reqwest::{Client, StatusCode, Url};
use ring::rand::{SecureRandom, SystemRandom};

use super::guard::{self, Limits};
use super::settings::{Feed, Holds, checked_address, secret};
use crate::catalogue::live::Offer;
use crate::catalogue::load::{Content, Text};
use crate::catalogue::sources::Sources;

/// The largest answer that is read, in bytes.
const LARGEST: usize = 64 << 20;

/// The longest time for one call.
const WITHIN: Duration = Duration::from_secs(30);

/// How often a feed is asked unless it says so itself.
const EVERY: Duration = Duration::from_secs(300);

/// The first pause after a failure; each further one is twice as long.
const FIRST_PAUSE: Duration = Duration::from_secs(2);

/// A feed that is looked after.
pub struct Follower {
    feed: Feed,
    url: Url,
    client: Client,
    token: Option<String>,
    tag: Option<HeaderValue>,
    failures: u32,
}

/// What an address gave.
enum Given {
    /// What it gave last.
    Same,
    /// Something else.
    New(Text, Option<HeaderValue>),
}

impl Follower {
    /// Gets ready to ask.
    ///
    /// # Errors
    /// In words for the operator.
    pub fn new(feed: Feed) -> Result<Self, String> {
        let client = guard::client(Limits {
            within: WITHIN,
            private: feed.private,
            ca_file: feed.ca_file.as_deref(),
        })?;
        Ok(Self {
            url: checked_address(&feed.address, feed.private)?,
            client,
            token: feed.token_file.as_deref().map(secret).transpose()?,
            tag: None,
            failures: 0,
            feed,
        })
    }

    /// The name of the source.
    pub fn name(&self) -> String {
        format!("feed `{}`", self.feed.name)
    }

    /// Begins with what was kept of the last run, if there is something good.
    pub fn begin(&self, place: usize, sources: &Sources) {
        let Some(path) = &self.feed.keep_file else {
            return;
        };
        let Ok(bytes) = std::fs::read(path) else {
            return;
        };
        let Some((content, bytes)) = of_kept(self.feed.holds, &bytes) else {
            return;
        };
        let text = Text {
            name: self.name(),
            content,
            bytes,
        };
        match sources.offer(place, vec![text]) {
            Ok(_) => tracing::info!(feed = self.feed.name, "began with what was kept"),
            Err(why) => tracing::warn!(feed = self.feed.name, why, "what was kept cannot be used"),
        }
    }

    /// Asks for ever, on a thread of its own.
    ///
    /// # Errors
    /// When there is no thread to be had.
    pub fn follow(mut self, place: usize, sources: Arc<Sources>) -> std::io::Result<()> {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()?;
        let body = move || {
            loop {
                let result = runtime.block_on(self.ask());
                self.take(result, place, &sources);
                std::thread::sleep(self.pause());
            }
        };
        let name = "feed".to_owned();
        std::thread::Builder::new().name(name).spawn(body)?;
        Ok(())
    }

    async fn ask(&self) -> Result<Given, String> {
        let mut request = self.client.get(self.url.clone());
        if let Some(tag) = &self.tag {
            request = request.header(IF_NONE_MATCH, tag);
        }
        if let Some(token) = &self.token {
            request = request.bearer_auth(token);
        }
        let answer = request.send().await.map_err(guard::cause)?;
        match answer.status() {
            StatusCode::NOT_MODIFIED if self.tag.is_some() => return Ok(Given::Same),
            StatusCode::OK => {}
            other => return Err(format!("the address answered {}", other.as_u16())),
        }
        let tag = answer.headers().get(ETAG).cloned();
        let kind = answer.headers().get(CONTENT_TYPE);
        let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
        let kind = kind
            .split(';')
            .next()
            .unwrap_or_default()
            .trim()
            .to_ascii_lowercase();
        let content = content_of(self.feed.holds, &kind);
        let content = content.ok_or_else(|| {
            format!(
                "the answer is of a type that is not read here: `{}`",
                shown(&kind)
            )
        })?;
        let bytes = guard::read(answer, LARGEST).await?;
        let text = Text {
            name: self.name(),
            content,
            bytes,
        };
        Ok(Given::New(text, tag))
    }

    fn take(&mut self, result: Result<Given, String>, place: usize, sources: &Sources) {
        let feed = self.feed.name.as_str();
        let taken = match result {
            Ok(Given::Same) => {
                sources.confirm(place);
                Ok(())
            }
            Ok(Given::New(text, tag)) => {
                let kept = self.feed.keep_file.as_ref().map(|path| (path, kept(&text)));
                sources.offer(place, vec![text]).map(|offer| {
                    self.tag = tag;
                    if offer == Offer::Taken {
                        tracing::info!(feed, "took a newer catalogue");
                        kept.into_iter()
                            .for_each(|(path, bytes)| keep(path, &bytes));
                    }
                })
            }
            Err(why) => {
                sources.unreachable(place, &why);
                Err(why)
            }
        };
        match taken {
            Ok(()) => self.failures = 0,
            Err(why) => {
                self.failures = self.failures.saturating_add(1);
                tracing::error!(
                    feed,
                    why,
                    "kept the catalogue: the feed gives nothing that can be used"
                );
            }
        }
    }

    /// Until the next call: longer after each failure, and never the same for all that ask.
    fn pause(&self) -> Duration {
        let every = self
            .feed
            .every_seconds
            .map_or(EVERY, |seconds| Duration::from_secs(seconds.into()));
        let pause = match self.failures {
            0 => every,
            n => every.min(FIRST_PAUSE * 2_u32.saturating_pow((n - 1).min(12))),
        };
        jittered(pause)
    }
}

/// A type as it may stand in a message.
fn shown(kind: &str) -> String {
    kind.chars()
        .filter(|c| c.is_ascii_graphic())
        .take(60)
        .collect()
}

/// What an answer of a type holds. A type has a short name in a file that is kept.
fn content_of(holds: Holds, kind: &str) -> Option<Content> {
    Some(match (holds, kind) {
        (Holds::Boards, "application/json" | "json") => Content::Boards,
        (Holds::Modules, "application/json" | "json") => Content::Modules,
        (Holds::Modules, "application/x-ndjson" | "application/jsonl" | "ndjson") => {
            Content::ModuleLines
        }
        (Holds::Modules, "text/csv" | "csv") => Content::ModuleTable,
        _ => return None,
    })
}

/// What is written into the file that is kept: the type's short name, a line feed, the answer.
fn kept(text: &Text) -> Vec<u8> {
    let kind = match text.content {
        Content::ModuleTable => "csv",
        Content::ModuleLines => "ndjson",
        _ => "json",
    };
    [kind.as_bytes(), b"\n", &text.bytes].concat()
}

fn of_kept(holds: Holds, bytes: &[u8]) -> Option<(Content, Vec<u8>)> {
    let end = bytes.iter().position(|byte| *byte == b'\n')?;
    let kind = std::str::from_utf8(bytes.get(..end)?).ok()?;
    Some((content_of(holds, kind)?, bytes.get(end + 1..)?.to_vec()))
}

fn keep(path: &str, bytes: &[u8]) {
    let path = std::path::Path::new(path);
    if let Err(error) = crate::watch::replace(path, bytes) {
        tracing::warn!(error, "the catalogue cannot be kept for the next start");
    }
}

/// A time between nine and eleven tenths of this one.
fn jittered(time: Duration) -> Duration {
    let mut byte = [128];
    // Without random bytes all pauses are alike, which is no fault.
    let _ = SystemRandom::new().fill(&mut byte);
    time.mul_f64(0.9 + 0.2 * f64::from(byte.first().copied().unwrap_or(128)) / 255.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pauses_differ_but_not_by_much() {
        let minute = Duration::from_secs(60);
        for _ in 0..100 {
            let pause = jittered(minute);
            assert!(
                pause >= Duration::from_secs(54) && pause <= Duration::from_secs(66),
                "{pause:?}"
            );
        }
    }

    #[test]
    fn the_type_of_an_answer_tells_how_it_is_read() {
        assert_eq!(
            content_of(Holds::Modules, "text/csv").unwrap(),
            Content::ModuleTable
        );
        assert_eq!(
            content_of(Holds::Boards, "application/json").unwrap(),
            Content::Boards
        );
        for (holds, kind) in [
            (Holds::Boards, "text/csv"),
            (Holds::Modules, "text/html"),
            (Holds::Modules, ""),
        ] {
            assert!(content_of(holds, kind).is_none(), "{kind}");
        }
    }
}
