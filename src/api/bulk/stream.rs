//! A request's body becomes its answer while it still comes.

use std::convert::Infallible;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use actix_web::dev::Payload;
use actix_web::web::{Bytes, Data};
use futures_util::stream::FuturesOrdered;
use futures_util::{FutureExt, Stream, StreamExt};
use tokio::time::{Instant, Sleep, sleep};

use super::block::{Answered, Terms};
use super::lines::{Block, Lines};
use super::tally::Tally;
use crate::api::in_use::InUse;
use crate::api::pool::{Broken, Place};
use crate::api::problem::{Code, Problem};
use crate::api::state::AppState;
use crate::api::wire::bulk::EndBody;
use crate::domain::stop::Stop;
use crate::render::words::Words;

type Running = Pin<Box<dyn Future<Output = Result<Answered, Broken>>>>;

/// What a stream begins with.
pub struct Begin {
    /// The request's body.
    pub payload: Payload,
    /// The service.
    pub state: Data<AppState>,
    /// The right to one stream.
    pub place: Place,
    /// The one catalogue of the stream.
    pub catalogue: InUse,
    /// The language of the stream.
    pub words: &'static Words,
    /// The number of the first line.
    pub first: u64,
}

/// Gives the lines of the answer.
pub struct Answers {
    state: Data<AppState>,
    place: Arc<Place>,
    catalogue: InUse,
    words: &'static Words,
    /// None once nothing more will come.
    payload: Option<Payload>,
    lines: Lines,
    running: FuturesOrdered<Running>,
    /// How many blocks are answered at once.
    at_once: usize,
    patience: Pin<Box<Sleep>>,
    tally: Tally,
    next: u64,
    cut: Option<Problem>,
    ended: bool,
}

impl Answers {
    /// Begins to answer.
    pub fn new(begin: Begin) -> Self {
        let settings = &begin.state.settings;
        Self {
            place: Arc::new(begin.place),
            catalogue: begin.catalogue,
            words: begin.words,
            payload: Some(begin.payload),
            lines: Lines::new(settings.body_limit, begin.first),
            running: FuturesOrdered::new(),
            at_once: settings.workers.get() + 1,
            patience: Box::pin(sleep(settings.stall_timeout)),
            tally: Tally::default(),
            next: begin.first,
            cut: None,
            ended: false,
            state: begin.state,
        }
    }

    /// Takes what has come, as long as threads want work.
    fn take_input(&mut self, context: &mut Context<'_>) {
        if self.payload.is_some() && !self.state.is_ready() {
            self.end_early(Problem::new(Code::NotReady, "the service is about to stop"));
        }
        while self.running.len() < self.at_once {
            if let Some(block) = self.lines.full() {
                self.begin(block);
                continue;
            }
            let Some(payload) = &mut self.payload else {
                match self.lines.any() {
                    Some(block) => self.begin(block),
                    None => return,
                }
                continue;
            };
            match payload.poll_next_unpin(context) {
                Poll::Ready(Some(Ok(bytes))) => {
                    self.patience_anew();
                    self.lines.feed(&bytes);
                }
                Poll::Ready(Some(Err(_))) => {
                    self.end_early(Problem::new(Code::MalformedJson, "the body broke off"));
                }
                Poll::Ready(None) => {
                    self.payload = None;
                    self.lines.finish();
                }
                // Nobody waits for a block to be full.
                Poll::Pending => match self.lines.any() {
                    Some(block) => self.begin(block),
                    None => return,
                },
            }
        }
    }

    fn begin(&mut self, block: Block) {
        let (state, place) = (self.state.clone(), Arc::clone(&self.place));
        let (catalogue, words) = (self.catalogue.clone(), self.words);
        let longest = state.settings.body_limit;
        let shared = state.clone();
        let work = move |stop: &Stop| {
            let terms = Terms {
                metrics: Some(&shared.metrics),
                catalogue: &catalogue,
                words,
                longest,
            };
            terms.answer(&block, stop)
        };
        let run = async move { state.bulk.run(place, work).await };
        self.running.push_back(Box::pin(run));
    }

    fn patience_anew(&mut self) {
        let until = Instant::now() + self.state.settings.stall_timeout;
        self.patience.as_mut().reset(until);
    }

    /// Nothing more is read; what was begun is still answered.
    fn end_early(&mut self, why: Problem) {
        self.payload = None;
        self.lines = Lines::new(0, 0);
        self.cut.get_or_insert(why);
    }

    fn answered(&mut self, result: Result<Answered, Broken>) -> Option<Bytes> {
        match result {
            Ok(answered) => {
                self.tally.add(&answered.tally);
                self.next = answered.last.map_or(self.next, |last| last + 1);
                self.patience_anew();
                Some(answered.text.into())
            }
            Err(Broken) => {
                self.state.metrics.panics.one();
                tracing::error!("a block of a bulk stream panicked");
                self.end_early(Problem::internal());
                self.running = FuturesOrdered::new();
                None
            }
        }
    }

    fn end(&mut self) -> Bytes {
        self.ended = true;
        if self.cut.is_none() {
            self.next = self.lines.next_number();
        }
        let end = EndBody {
            summary: self.tally.body(),
            catalogue_revision: self.catalogue.revision().to_owned(),
            next_line: self.next,
            complete: self.cut.is_none(),
            problem: self.cut.as_ref().map(Problem::body),
        };
        let mut text = serde_json::to_vec(&end).unwrap_or_default();
        text.push(b'\n');
        text.into()
    }
}

impl Stream for Answers {
    type Item = Result<Bytes, Infallible>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        loop {
            self.take_input(context);
            match ready_or_idle(self.running.poll_next_unpin(context)) {
                Next::Ready(result) => {
                    if let Some(bytes) = self.answered(result) {
                        return Poll::Ready(Some(Ok(bytes)));
                    }
                }
                Next::Busy => return Poll::Pending,
                Next::Idle if self.payload.is_some() => {
                    ready!(self.patience.poll_unpin(context));
                    let within = self.state.settings.stall_timeout;
                    self.end_early(came_nothing(within));
                }
                Next::Idle if self.ended => return Poll::Ready(None),
                Next::Idle => {
                    let end = self.end();
                    return Poll::Ready(Some(Ok(end)));
                }
            }
        }
    }
}

enum Next {
    Ready(Result<Answered, Broken>),
    Busy,
    Idle,
}

fn ready_or_idle(next: Poll<Option<Result<Answered, Broken>>>) -> Next {
    match next {
        Poll::Ready(Some(result)) => Next::Ready(result),
        Poll::Ready(None) => Next::Idle,
        Poll::Pending => Next::Busy,
    }
}

fn came_nothing(within: Duration) -> Problem {
    let detail = format!("no line came for {} ms", within.as_millis());
    Problem::new(Code::RequestTimeout, detail)
}
