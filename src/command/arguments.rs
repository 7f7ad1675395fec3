//! What the command line takes.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

use super::key::KeyCommand;
use super::receipt::ReceiptCommand;
use crate::api::form::Form;
use crate::api::language::Language;
use crate::api::wire::explain::AboutName;
use crate::settings::{Access, LogFormat, Settings};

/// Says whether memory modules work in a server board, where each goes and how fast they run.
///
/// Try it on an example: `kitproof check --report openapi/examples/cart-too-many-ranks.json`
#[derive(Debug, Parser)]
#[command(version)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Answer HTTP requests until stopped.
    Serve(Serve),
    /// Decide one request: a JSON file, or `-` for standard input.
    ///
    /// Exits with 0 if the kit is allowed, 1 if not, 2 if the request cannot be used.
    Check(Check),
    /// Find the best kit for a board: a JSON file, or `-` for standard input.
    ///
    /// Exits with 0 if it found a kit, 1 if not, 2 if the request cannot be used.
    Optimise(Optimise),
    /// Explain the answer to a request: why, why not another kit, how many at most, or how to do the work.
    ///
    /// The file is a request as for `check`. Exits with 0 once it has explained, 2 if the request cannot
    /// be used.
    Explain(Explain),
    /// Ask whether the server at an address takes requests.
    ///
    /// Exits with 0 if it does, 2 if not.
    Health {
        /// The server's address, such as `http://127.0.0.1:8080`.
        url: String,
    },
    /// Read a module's label or SPD image, or an inventory report of a machine, from a file or `-`.
    ///
    /// Which of them it is shows by its content. Exits with 2 if nothing can be read.
    Read(Read),
    /// Compare a plan with what a machine reports after the work, and say what to try first.
    ///
    /// Exits with 0 if what was found is what was planned, 1 if not or if that can't be told, 2 if the
    /// request cannot be used.
    Verify(Verify),
    /// Work on a catalogue of one's own.
    #[command(subcommand)]
    Catalogue(CatalogueCommand),
    /// Make, list and remove the keys of callers.
    #[command(subcommand)]
    Key(KeyCommand),
    /// Make keys for receipts, and check a receipt.
    #[command(subcommand)]
    Receipt(ReceiptCommand),
    /// Write the files that are made from the code.
    Generate {
        /// Only compare; fail when a file is stale.
        #[arg(long)]
        check: bool,
        /// The root of the repository.
        #[arg(long, default_value = ".")]
        root: PathBuf,
    },
}

/// What can be done with a catalogue.
#[derive(Debug, Subcommand)]
pub enum CatalogueCommand {
    /// Name every fault of a catalogue's folder: file, place, what is wrong, what would be right.
    ///
    /// Exits with 0 if there is none, 2 if there is one.
    Check {
        /// The folder, with `boards` and `modules` in it.
        folder: PathBuf,
    },
}

/// What `check` takes.
#[derive(Debug, clap::Args)]
pub struct Check {
    /// The request (as for `POST /v1/validate`), or `-` for standard input.
    pub file: PathBuf,
    /// A catalogue's folder to use instead of the embedded one.
    #[arg(long, value_name = "FOLDER")]
    pub catalogue: Option<PathBuf>,
    /// Ask the server at this address instead; prints its answer as JSON.
    #[arg(long, value_name = "URL", conflicts_with = "catalogue")]
    pub server: Option<String>,
    /// An inventory report of the machine: what is installed. The request must not tell it too.
    #[arg(long, value_name = "FILE")]
    pub installed: Option<PathBuf>,
    /// The file has many requests, one on each line, even if it does not look so. Answers come as JSON,
    /// one on each line, then a line with the counts.
    #[arg(long)]
    pub lines: bool,
    /// Of many requests, begin with this line.
    #[arg(long, value_name = "NUMBER")]
    pub from_line: Option<u64>,
    /// How the answer is written.
    #[command(flatten)]
    pub shown: Shown,
    /// Exit with 0 once it has answered, whatever the verdict: for reading, not for scripts.
    #[arg(long)]
    pub report: bool,
}

/// What `optimise` takes.
#[derive(Debug, clap::Args)]
pub struct Optimise {
    /// The request (as for `POST /v1/optimise`), or `-` for standard input.
    pub file: PathBuf,
    /// A catalogue's folder to use instead of the embedded one.
    #[arg(long, value_name = "FOLDER")]
    pub catalogue: Option<PathBuf>,
    /// Print the answer as JSON instead of a report.
    #[arg(long)]
    pub json: bool,
}

/// What `explain` takes.
#[derive(Debug, clap::Args)]
pub struct Explain {
    /// The request (as for `POST /v1/validate`; for `choice` as for `POST /v1/optimise`), or `-` for
    /// standard input.
    pub file: PathBuf,
    /// What to explain.
    #[arg(long, value_enum, default_value = "verdict")]
    pub about: AboutName,
    /// For `compare`: the request to hold beside the first.
    #[arg(long, value_name = "FILE")]
    pub other: Option<PathBuf>,
    /// For `choice`: the kit to hold against the optimiser's, `{"kit": [...]}`,
    /// `{"population": [...]}` or `{"plan": 2}`.
    #[arg(long, value_name = "FILE")]
    pub alternative: Option<PathBuf>,
    /// For `limit`: the kit line, counted from 0.
    #[arg(long)]
    pub line: Option<u16>,
    /// A catalogue's folder to use instead of the embedded one.
    #[arg(long, value_name = "FOLDER")]
    pub catalogue: Option<PathBuf>,
    /// How the answer is written.
    #[command(flatten)]
    pub shown: Shown,
}

/// How an answer is shown.
#[derive(Debug, clap::Args)]
pub struct Shown {
    /// The form: to read, for a ticket, to print, or the drawing of the board alone.
    #[arg(long, value_enum, default_value = "text")]
    pub form: Form,
    /// The same as `--form json`.
    #[arg(long)]
    pub json: bool,
    /// The language of sentences: `en` or `de`.
    #[arg(long, default_value = "en", value_name = "TAG")]
    pub language: Language,
}

/// What `read` takes.
#[derive(Debug, clap::Args)]
pub struct Read {
    /// The file, or `-` for standard input.
    pub file: PathBuf,
    /// The board that a report is of: an id of the catalogue.
    #[arg(long, value_name = "ID")]
    pub board: Option<String>,
    /// A catalogue's folder to use instead of the embedded one.
    #[arg(long, value_name = "FOLDER")]
    pub catalogue: Option<PathBuf>,
    /// Print the answer as JSON instead of a report.
    #[arg(long)]
    pub json: bool,
}

/// What `verify` takes.
#[derive(Debug, clap::Args)]
pub struct Verify {
    /// The request (as for `POST /v1/verify`), or with `--found` the plan alone (as for
    /// `POST /v1/validate`); `-` for standard input.
    pub file: PathBuf,
    /// The inventory report that the machine gave after the work.
    #[arg(long, value_name = "FILE")]
    pub found: Option<PathBuf>,
    /// A catalogue's folder to use instead of the embedded one.
    #[arg(long, value_name = "FOLDER")]
    pub catalogue: Option<PathBuf>,
    /// Print the answer as JSON instead of a report.
    #[arg(long)]
    pub json: bool,
    /// The language of sentences: `en` or `de`.
    #[arg(long, default_value = "en", value_name = "TAG")]
    pub language: Language,
    /// Exit with 0 once it has answered, whatever the result: for reading, not for scripts.
    #[arg(long)]
    pub report: bool,
}

/// What `serve` takes.
#[derive(Debug, clap::Args)]
pub struct Serve {
    /// Address to listen on.
    #[arg(long, default_value_t = Settings::default().address)]
    pub address: std::net::IpAddr,
    /// Port to listen on.
    #[arg(long, default_value_t = Settings::default().port)]
    pub port: u16,
    /// Threads that serve requests.
    #[arg(long, default_value_t = Settings::default().workers)]
    pub workers: std::num::NonZeroUsize,
    /// A catalogue's folder to use instead of the embedded one. Read again when it changes.
    #[arg(long, value_name = "FOLDER")]
    pub catalogue: Option<PathBuf>,
    /// File of all addresses that the service may call by itself: feeds of the catalogue, destinations
    /// that answers may be sent to, and a collector of traces. Without it, the service calls none.
    #[arg(long, value_name = "FILE")]
    pub outbound: Option<PathBuf>,
    /// File of the keys that sign receipts, made by `kitproof receipt key`. Read again when it
    /// changes.
    #[arg(long, value_name = "FILE")]
    pub receipt_keys: Option<PathBuf>,
    /// Minutes for which a receipt is good.
    #[arg(long, value_name = "MINUTES", default_value_t = 60, value_parser = clap::value_parser!(u32).range(1..=525_600))]
    pub receipt_minutes: u32,
    /// Who may ask.
    #[command(flatten)]
    pub access: Access,
    /// `text` or `json` log lines.
    #[arg(long, default_value = "text")]
    pub log_format: LogFormat,
    /// Seconds in which requests are still taken after SIGTERM, while `/health/ready` says no:
    /// longer than a balancer needs to notice.
    #[arg(long, value_name = "SECONDS", default_value_t = Settings::default().grace.as_secs())]
    pub grace: u64,
    /// How many connections may be open at once.
    #[arg(long, default_value_t = Settings::default().connections)]
    pub connections: std::num::NonZeroUsize,
}
