//! Who answers a block: this program, or a server.

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::mpsc::SyncSender;
use std::time::Duration;

use serde::Deserialize;

use super::Numbered;
use crate::api::bulk::block::{Answered, Terms, too_long};
use crate::api::bulk::lines::Block;
use crate::api::wire::bulk::SummaryBody;
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;
use crate::remote::client::{Client, ClientError};
use crate::render::words::Words;
use crate::settings::Settings;

/// An answered block, or why there is none.
pub type Done = Result<Answered, String>;

/// How often a block is sent before it is given up.
const TRIES: u32 = 6;

/// Who answers.
pub enum Worker {
    /// This program.
    Here(Arc<Catalogue>),
    /// A server.
    There(Box<There>),
}

/// A server that answers.
pub struct There {
    client: Client,
    /// The catalogue that it answered by so far.
    revision: Mutex<Option<String>>,
}

impl There {
    /// Nothing asked yet.
    pub fn new(client: Client) -> Self {
        Self {
            client,
            revision: Mutex::new(None),
        }
    }
}

impl Worker {
    /// A server's worker.
    pub fn there(client: Client) -> Self {
        Self::There(Box::new(There::new(client)))
    }

    /// The catalogue that decides.
    pub fn revision(&self) -> Option<String> {
        match self {
            Self::Here(catalogue) => Some(catalogue.revision().to_owned()),
            Self::There(there) => there.revision().clone(),
        }
    }

    /// Answers blocks until there are none.
    pub fn serve(
        &self,
        mut next: impl FnMut() -> Option<Numbered<Block>>,
        answers: &SyncSender<Numbered<Done>>,
    ) {
        let system = match self {
            Self::Here(_) => None,
            Self::There(_) => Some(actix_web::rt::System::new()),
        };
        while let Some((place, block)) = next() {
            let done = match (self, &system) {
                (Self::There(there), Some(system)) => system.block_on(there.answer(&block)),
                (Self::Here(catalogue), _) => Ok(here(catalogue, &block)),
                (Self::There(_), None) => Err("no connection can be made".to_owned()),
            };
            if answers.send((place, done)).is_err() {
                return;
            }
        }
    }
}

fn terms(catalogue: &Catalogue) -> Terms<'_> {
    Terms {
        catalogue,
        words: Words::english(),
        longest: Settings::default().body_limit,
        metrics: None,
    }
}

fn here(catalogue: &Catalogue, block: &Block) -> Answered {
    terms(catalogue).answer(block, &Stop::never())
}

/// The members of the last line that are needed.
#[derive(Deserialize)]
struct End {
    summary: SummaryBody,
    catalogue_revision: String,
    complete: bool,
}

impl There {
    fn revision(&self) -> std::sync::MutexGuard<'_, Option<String>> {
        self.revision.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Sends a block until it is answered whole. To ask twice changes nothing.
    async fn answer(&self, block: &Block) -> Done {
        let mut pause = Duration::from_millis(250);
        let mut failure = String::new();
        for _ in 0..TRIES {
            let text = self.client.bulk(block.text().to_vec()).await;
            match text.map(|text| self.taken(block, &text)) {
                Ok(Ok(answered)) => return Ok(answered),
                Ok(Err(Cut)) => failure = "the server's answer was cut".to_owned(),
                Err(error) if may_pass(&error) => failure = error.to_string(),
                Err(error) => return Err(error.to_string()),
            }
            tokio::time::sleep(pause).await;
            pause *= 2;
        }
        Err(failure)
    }

    /// The server's answer with the lines' own numbers.
    fn taken(&self, block: &Block, text: &str) -> Result<Answered, Cut> {
        let (lines, end) = text.trim_end().rsplit_once('\n').unwrap_or(("", text));
        let end: End = serde_json::from_str(end).map_err(|_| Cut)?;
        if !end.complete {
            return Err(Cut);
        }
        *self.revision() = Some(end.catalogue_revision);
        let mut answered = Answered::default();
        answered.tally.add(&(&end.summary).into());
        let mut lines = lines.lines();
        for (number, line) in block.lines() {
            if line.is_some() {
                let line = lines.next().and_then(after_number).ok_or(Cut)?;
                let text = format!("{{\"line\":{number},{line}\n");
                answered.text.extend_from_slice(text.as_bytes());
            } else {
                too_long(&mut answered, Settings::default().body_limit, number);
            }
            answered.last = Some(number);
        }
        Ok(answered)
    }
}

/// An answer without its end.
struct Cut;

/// What follows the number in `{"line":7,...`.
fn after_number(line: &str) -> Option<&str> {
    let rest = line.strip_prefix("{\"line\":")?;
    rest.split_once(',').map(|(_, rest)| rest)
}

/// Whether the same may work a moment later.
fn may_pass(error: &ClientError) -> bool {
    match error {
        ClientError::Unreachable(_) => true,
        ClientError::Refused { status, .. } => matches!(status, 408 | 429 | 502 | 503 | 504),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_the_number_off() {
        assert_eq!(
            after_number("{\"line\":17,\"answer\":{}}"),
            Some("\"answer\":{}}")
        );
        assert_eq!(after_number("{\"summary\":{}}"), None);
    }
}
