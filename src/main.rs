//! The command line: arguments to one of the commands. The only place that exits.

use std::path::PathBuf;
use std::process::ExitCode;

use actix_web::web::Data;
use clap::{Parser, Subcommand};
use kitproof::api::{AppState, ENDPOINTS, document, server};
use kitproof::generated;
use kitproof::settings::{LogFormat, Settings};
use kitproof::telemetry;

/// Says whether memory modules work in a server board, where each goes and how fast they run.
#[derive(Debug, Parser)]
#[command(version)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Answer HTTP requests until stopped.
    Serve(Serve),
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

#[derive(Debug, clap::Args)]
struct Serve {
    /// Address to listen on.
    #[arg(long, default_value_t = Settings::default().address)]
    address: std::net::IpAddr,
    /// Port to listen on.
    #[arg(long, default_value_t = Settings::default().port)]
    port: u16,
    /// Threads that serve requests.
    #[arg(long, default_value_t = Settings::default().workers)]
    workers: std::num::NonZeroUsize,
    /// `text` or `json` log lines.
    #[arg(long, default_value = "text")]
    log_format: LogFormat,
}

/// What went wrong, in words for the terminal.
type Failure = Box<dyn std::error::Error>;

fn main() -> ExitCode {
    let result = match Arguments::parse().command {
        Command::Serve(options) => serve(options),
        Command::Generate { check: true, root } => check_generated(&root),
        Command::Generate { check: false, root } => generate(&root),
    };
    match result {
        Ok(code) => code,
        Err(failure) => {
            say(&format!("error: {failure}"));
            ExitCode::from(2)
        }
    }
}

fn serve(options: Serve) -> Result<ExitCode, Failure> {
    let settings = Settings {
        address: options.address,
        port: options.port,
        workers: options.workers,
        log_format: options.log_format,
        ..Settings::default()
    };
    telemetry::start(settings.log_format)?;
    let document = document::build(ENDPOINTS)?;
    let state = Data::new(AppState::new(settings, document, "none"));
    actix_web::rt::System::new().block_on(async {
        tracing::info!(socket = %state.settings.socket(), "listening");
        server::serve(state)?.await
    })?;
    Ok(ExitCode::SUCCESS)
}

fn generate(root: &std::path::Path) -> Result<ExitCode, Failure> {
    let written = generated::write(root)?;
    for path in &written {
        say(&format!("wrote {}", path.display()));
    }
    say(&format!("{} files written", written.len()));
    Ok(ExitCode::SUCCESS)
}

fn check_generated(root: &std::path::Path) -> Result<ExitCode, Failure> {
    let stale = generated::check(root)?;
    for path in &stale {
        say(&format!("stale: {}", path.display()));
    }
    if stale.is_empty() {
        say("generated files are up to date");
        return Ok(ExitCode::SUCCESS);
    }
    say(&format!("write them with `{}`", generated::COMMAND));
    Ok(ExitCode::from(1))
}

#[expect(
    clippy::print_stderr,
    reason = "the command line speaks to its user here"
)]
fn say(line: &str) {
    eprintln!("{line}");
}
