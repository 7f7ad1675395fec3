//! The command line: arguments to one of the commands. The only place that exits.

use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Duration;

use actix_web::web::Data;
use clap::Parser as _;
use kitproof::api;
use kitproof::api::decide::decide;
use kitproof::api::form::{Form, Written};
use kitproof::api::read_any::read_any;
use kitproof::api::wire::explain::{AboutName, ExplainRequest};
use kitproof::api::wire::optimise::OptimiseRequest;
use kitproof::api::wire::verify::VerifyRequest;
use kitproof::api::{AppState, ENDPOINTS, document, drain, server};
use kitproof::catalogue::{Catalogue, directory};
use kitproof::command::arguments::{
    Arguments, CatalogueCommand, Check, Command, Explain, Optimise, Read, Serve, Shown, Verify,
};
use kitproof::command::input::{
    Failure, catalogue, content, in_words, parsed, refused, request, with_report,
};
use kitproof::command::key::{self, KeyCommand};
use kitproof::command::many::{self, Input, Many, Worker};
use kitproof::command::operate;
use kitproof::command::receipt::{self, ReceiptCommand};
use kitproof::domain::verify::Agreement;
use kitproof::generated;
use kitproof::remote::client::Client;
use kitproof::remote::traces::Traces;
use kitproof::render::words::Words;
use kitproof::settings::Settings;
use kitproof::telemetry;

/// The variable that holds the key for a server that asks for one: a command line can be seen by
/// others, and is kept in a shell's history.
const KEY_VARIABLE: &str = "KITPROOF_KEY";

fn main() -> ExitCode {
    let result = match Arguments::parse().command {
        Command::Serve(options) => serve(options),
        Command::Check(options) => check(&options),
        Command::Optimise(options) => optimise(&options),
        Command::Explain(options) => explain(&options),
        Command::Health { url } => health(&url),
        Command::Read(options) => read(&options),
        Command::Verify(options) => verify(&options),
        Command::Catalogue(CatalogueCommand::Check { folder }) => check_catalogue(&folder),
        Command::Key(command) => run_key(command),
        Command::Receipt(command) => run_receipt(&command),
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

/// The exit status of a question that was answered.
fn status(yes: bool) -> ExitCode {
    match yes {
        true => ExitCode::SUCCESS,
        false => ExitCode::from(1),
    }
}

fn check_catalogue(folder: &Path) -> Result<ExitCode, Failure> {
    let report = directory::check(folder);
    print(report.text().trim_end())?;
    Ok(if report.is_usable() {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(2)
    })
}

fn check(options: &Check) -> Result<ExitCode, Failure> {
    let catalogue = catalogue(options.catalogue.as_deref())?;
    let text = match lines_or_one(options)? {
        Input::One(text) => text,
        Input::Many(input) => return check_many(options, catalogue, input),
    };
    let report = options.installed.as_deref().map(content).transpose()?;
    if let Some(server) = &options.server {
        let text = match &report {
            None => String::from_utf8(text)?,
            Some(report) => with_report(&text, report)?,
        };
        return ask(server, text, options.report);
    }
    let request = request(&text, report.as_deref())?;
    let decided = decide(&request, &catalogue).map_err(refused)?;
    let words = options.shown.language.0;
    show(&options.shown, &decided, &decided.body(words))?;
    Ok(status(options.report || decided.allowed()))
}

fn optimise(options: &Optimise) -> Result<ExitCode, Failure> {
    let catalogue = catalogue(options.catalogue.as_deref())?;
    let request = parsed::<OptimiseRequest>(&content(&options.file)?)?;
    let found = api::optimise::optimise(&request, &catalogue).map_err(refused)?;
    let words = Words::english();
    if options.json {
        print(&serde_json::to_string_pretty(&found.body(words))?)?;
    } else {
        print(found.report(words).trim_end())?;
    }
    Ok(status(!found.found().plans.is_empty()))
}

/// The content of the file: one request, or many.
fn lines_or_one(options: &Check) -> Result<Input, Failure> {
    let input: Box<dyn std::io::Read + Send> = if options.file.as_os_str() == "-" {
        Box::new(std::io::stdin())
    } else {
        let unreadable = |error| format!("cannot read `{}`: {error}", options.file.display());
        Box::new(std::fs::File::open(&options.file).map_err(unreadable)?)
    };
    if options.lines || options.from_line.is_some() {
        return Ok(Input::Many(input));
    }
    Ok(many::look(input)?)
}

/// Decides many requests, one on each line.
fn check_many(
    options: &Check,
    catalogue: Arc<Catalogue>,
    input: Box<dyn std::io::Read + Send>,
) -> Result<ExitCode, Failure> {
    if options.installed.is_some() {
        return Err("`--installed` goes with one request".into());
    }
    let worker = match &options.server {
        Some(server) => Worker::there(client(server)?),
        None => Worker::Here(catalogue),
    };
    let many = Many {
        input,
        size: std::fs::metadata(&options.file).ok().map(|file| file.len()),
        from: options.from_line.unwrap_or(1),
        worker,
        at_once: std::thread::available_parallelism()?,
    };
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    let ended = match many.run(&mut out) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => {
            return Ok(ExitCode::SUCCESS);
        }
        other => other?,
    };
    if let Some(failure) = ended.failure {
        return Err(format!("{failure}; go on with `--from-line {}`", ended.next).into());
    }
    let counts = ended.tally.body();
    Ok(match counts {
        _ if counts.problems > 0 => ExitCode::from(2),
        _ => status(options.report || counts.allowed == counts.answered),
    })
}

fn explain(options: &Explain) -> Result<ExitCode, Failure> {
    let catalogue = catalogue(options.catalogue.as_deref())?;
    let mut asked = ExplainRequest {
        about: Some(options.about),
        line: options.line,
        ..ExplainRequest::default()
    };
    let file = content(&options.file)?;
    match options.about {
        AboutName::Choice => asked.optimise = Some(parsed(&file)?),
        _ => asked.request = Some(request(&file, None)?),
    }
    if let Some(other) = &options.other {
        asked.other = Some(request(&content(other)?, None)?);
    }
    if let Some(alternative) = &options.alternative {
        asked.alternative = Some(parsed(&content(alternative)?)?);
    }
    let explained = api::explain::explain(&asked, &catalogue).map_err(refused)?;
    let words = options.shown.language.0;
    show(&options.shown, &explained, &explained.body(words))?;
    Ok(ExitCode::SUCCESS)
}

/// Has a server decide.
fn ask(server: &str, request: String, report: bool) -> Result<ExitCode, Failure> {
    /// The one member that the exit status follows.
    #[derive(serde::Deserialize)]
    struct Allowed {
        allowed: bool,
    }
    let client = client(server)?;
    let answer = actix_web::rt::System::new().block_on(client.validate(request))?;
    print(&answer)?;
    let answer: Allowed = serde_json::from_str(&answer)?;
    Ok(status(report || answer.allowed))
}

/// A client of the server at this address, with the caller's key.
fn client(server: &str) -> Result<Client, Failure> {
    Ok(Client::new(server)?.with_key(std::env::var(KEY_VARIABLE).ok()))
}

fn health(url: &str) -> Result<ExitCode, Failure> {
    let client = Client::new(url)?;
    actix_web::rt::System::new().block_on(client.health())?;
    print("ready")?;
    Ok(ExitCode::SUCCESS)
}

fn read(options: &Read) -> Result<ExitCode, Failure> {
    let catalogue = catalogue(options.catalogue.as_deref())?;
    let content = content(&options.file)?;
    let read = read_any(&content, options.board.as_deref(), &catalogue);
    let read = read.map_err(|problem| in_words(&problem))?;
    if options.json {
        print(&serde_json::to_string_pretty(&read.body())?)?;
    } else {
        print(read.report().trim_end())?;
    }
    Ok(ExitCode::SUCCESS)
}

fn verify(options: &Verify) -> Result<ExitCode, Failure> {
    let catalogue = catalogue(options.catalogue.as_deref())?;
    let text = content(&options.file)?;
    let request = match &options.found {
        Some(report) => VerifyRequest::of_report(request(&text, None)?, &content(report)?),
        None => parsed::<VerifyRequest>(&text)?,
    };
    let verified = api::verify::verify(&request, &catalogue).map_err(refused)?;
    let words = options.language.0;
    if options.json {
        print(&serde_json::to_string_pretty(&verified.body(words))?)?;
    } else {
        print(verified.report(words).trim_end())?;
    }
    let agrees = verified.agreement() == Agreement::Agrees;
    Ok(status(options.report || agrees))
}

fn run_receipt(command: &ReceiptCommand) -> Result<ExitCode, Failure> {
    let (receipt, request, keys) = match command {
        ReceiptCommand::Key { file } => {
            print(&receipt::make_key(file)?)?;
            return Ok(ExitCode::SUCCESS);
        }
        ReceiptCommand::Check {
            receipt,
            request,
            keys,
        } => (receipt, request, keys),
    };
    let claims = receipt::checked(&content(receipt)?, request, keys)?;
    print(&serde_json::to_string_pretty(&claims)?)?;
    Ok(status(claims.allowed))
}

fn run_key(command: KeyCommand) -> Result<ExitCode, Failure> {
    print(&key::run(command)?)?;
    Ok(ExitCode::SUCCESS)
}

/// Something in the form that was asked for; `json` is the same as JSON.
fn show(shown: &Shown, what: &impl Written, json: &impl serde::Serialize) -> Result<(), Failure> {
    if shown.json || shown.form == Form::Json {
        return print(&serde_json::to_string_pretty(json)?);
    }
    let bytes = shown.form.write(what, shown.language.0);
    let bytes = bytes.map_err(|problem| problem.to_string())?;
    print(String::from_utf8(bytes)?.trim_end())
}

/// Writes to standard output; a closed pipe is no failure.
fn print(text: &str) -> Result<(), Failure> {
    use std::io::Write;
    let written = writeln!(std::io::stdout().lock(), "{text}");
    match written {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(()),
    }
}

fn serve(options: Serve) -> Result<ExitCode, Failure> {
    options.access.check(options.address)?;
    let outbound = operate::outbound(options.outbound.as_deref())?;
    let catalogue = match (&options.catalogue, outbound.feeds.is_empty()) {
        (None, false) => Arc::new(Catalogue::empty()),
        (folder, _) => catalogue(folder.as_deref())?,
    };
    let settings = Settings {
        address: options.address,
        port: options.port,
        workers: options.workers,
        catalogue: options.catalogue,
        outbound: options.outbound,
        receipt_keys: options.receipt_keys,
        receipt_good_for: std::time::Duration::from_secs(60 * u64::from(options.receipt_minutes)),
        access: options.access,
        grace: Duration::from_secs(options.grace),
        connections: options.connections,
        log_format: options.log_format,
        ..Settings::default()
    };
    let traces = Traces::new(outbound.traces.as_ref())?;
    telemetry::start(settings.log_format, traces.spans())?;
    let document = document::build(ENDPOINTS)?;
    let mut state = AppState::new(settings, document, catalogue);
    state.keys = operate::keys(&state.settings.access)?;
    state.receipts = operate::receipts(&state.settings)?;
    state.deliver = operate::deliver(outbound.destinations)?;
    operate::follow(&state, outbound.feeds)?;
    let state = Data::new(state);
    let served = actix_web::rt::System::new().block_on(async {
        let listener = std::net::TcpListener::bind(state.settings.socket())?;
        let socket = listener.local_addr()?;
        let server = server::listen(listener, state.clone(), ENDPOINTS.to_vec())?;
        drain::run(server, state, socket).await
    });
    traces.finish();
    served?;
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
