//! The service under test: all real endpoints and a few that only tests need.

use std::convert::Infallible;
use std::net::{SocketAddr, TcpListener};
use std::num::NonZeroUsize;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::Duration;

use actix_web::web::{Bytes, Data, Json};
use actix_web::{HttpResponse, error};
use futures_util::{StreamExt, stream};
use kitproof::api::server::listen;
use kitproof::api::{AppState, ENDPOINTS, Endpoint, Problem, Strict, document};
use kitproof::domain::stop::Stop;
use kitproof::settings::Settings;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The revision of the catalogue that the service under test uses.
pub fn revision() -> &'static str {
    kitproof::catalogue::embedded::catalogue().revision()
}

/// A body of the kinds that real ones are made of.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TestKit {
    /// A name.
    #[schema(min_length = 1, max_length = 60)]
    pub board: String,
    /// A list.
    #[schema(max_items = 20_000)]
    pub modules: Vec<TestModule>,
    /// A missing limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<u32>,
}

/// A member of a list.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TestModule {
    /// A bounded number.
    #[schema(minimum = 1, maximum = 8)]
    pub ranks: u8,
    /// An alternative with a tag.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub named: Option<TestName>,
    /// Anything below.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(no_recursion)]
    pub parts: Vec<TestModule>,
}

/// How a module is named.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(tag = "by", rename_all = "kebab-case", deny_unknown_fields)]
pub enum TestName {
    /// By an id.
    Id {
        /// The id.
        id: String,
    },
    /// By what is printed on it.
    Label {
        /// The text.
        text: String,
    },
}

/// Gives back what it read.
#[utoipa::path(post, path = "/test/echo", request_body = TestKit,
    responses((status = 200, description = "The same.", body = TestKit)))]
async fn echo(Strict(kit): Strict<TestKit>) -> Json<TestKit> {
    Json(kit)
}

/// Panics.
#[utoipa::path(get, path = "/test/panic", responses((status = 200, description = "Never.")))]
async fn panicking() -> HttpResponse {
    panic!("secret-inside");
}

/// Fails in the framework's own way.
#[utoipa::path(get, path = "/test/foreign", responses((status = 200, description = "Never.")))]
async fn foreign() -> Result<HttpResponse, actix_web::Error> {
    Err(error::ErrorBadGateway("secret-inside"))
}

/// Computes for a while.
#[utoipa::path(get, path = "/test/compute", responses((status = 200, description = "Done.")))]
async fn compute(state: Data<AppState>) -> Result<&'static str, Problem> {
    state
        .compute(|_| std::thread::sleep(Duration::from_millis(500)))
        .await?;
    Ok("done")
}

/// Computes and panics.
#[utoipa::path(get, path = "/test/compute-panic", responses((status = 200, description = "Never.")))]
async fn compute_panic(state: Data<AppState>) -> Result<&'static str, Problem> {
    state.compute(|_| panic!("secret-inside")).await?;
    Ok("never")
}

/// How many computations of `/test/until-stopped` have begun and ended.
pub static UNTIL_STOPPED: [AtomicU32; 2] = [AtomicU32::new(0), AtomicU32::new(0)];

/// Computes until it is asked to stop.
#[utoipa::path(get, path = "/test/until-stopped", responses((status = 200, description = "Never.")))]
async fn until_stopped(state: Data<AppState>) -> Result<&'static str, Problem> {
    let work = |stop: &Stop| {
        UNTIL_STOPPED[0].fetch_add(1, Ordering::Relaxed);
        while !stop.is_asked() {
            std::thread::sleep(Duration::from_millis(5));
        }
        UNTIL_STOPPED[1].fetch_add(1, Ordering::Relaxed);
    };
    state.compute(work).await?;
    Ok("never")
}

/// How many computations of `/test/held` have begun, and whether they may end.
pub static HELD: (AtomicU32, AtomicBool) = (AtomicU32::new(0), AtomicBool::new(false));

/// Computes until the test lets it end.
#[utoipa::path(get, path = "/test/held", responses((status = 200, description = "Done.")))]
async fn held(state: Data<AppState>) -> Result<&'static str, Problem> {
    let work = |stop: &Stop| {
        HELD.0.fetch_add(1, Ordering::Relaxed);
        while !HELD.1.load(Ordering::Relaxed) && !stop.is_asked() {
            std::thread::sleep(Duration::from_millis(5));
        }
    };
    state.compute(work).await?;
    Ok("done")
}

/// Sends as long as somebody reads.
#[utoipa::path(get, path = "/test/endless", responses((status = 200, description = "Much.")))]
async fn endless() -> HttpResponse {
    let block = Bytes::from(vec![b'.'; 64 * 1024]);
    HttpResponse::Ok().streaming(stream::repeat_with(move || {
        Ok::<_, Infallible>(block.clone())
    }))
}

/// Sends little, slowly.
#[utoipa::path(get, path = "/test/drops", responses((status = 200, description = "Little.")))]
async fn drops() -> HttpResponse {
    HttpResponse::Ok().streaming(stream::iter(0..3).then(|_| async {
        actix_web::rt::time::sleep(Duration::from_millis(1600)).await;
        Ok::<_, Infallible>(Bytes::from_static(b"drop"))
    }))
}

/// The endpoints for tests.
pub const TEST_ENDPOINTS: &[Endpoint] = &[
    Endpoint::new::<__path_echo>(|route| route.to(echo)),
    Endpoint::new::<__path_endless>(|route| route.to(endless)),
    Endpoint::new::<__path_drops>(|route| route.to(drops)),
    Endpoint::new::<__path_panicking>(|route| route.to(panicking)),
    Endpoint::new::<__path_foreign>(|route| route.to(foreign)),
    Endpoint::new::<__path_compute>(|route| route.to(compute)),
    Endpoint::new::<__path_compute_panic>(|route| route.to(compute_panic)),
    Endpoint::new::<__path_until_stopped>(|route| route.to(until_stopped)),
    Endpoint::new::<__path_held>(|route| route.to(held)),
];

/// A service that runs until the tests end.
pub fn start(settings: Settings) -> (SocketAddr, Data<AppState>) {
    start_with(settings, |_| {})
}

/// The same, with a state that is changed before it starts.
pub fn start_with(
    settings: Settings,
    change: impl FnOnce(&mut AppState),
) -> (SocketAddr, Data<AppState>) {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    let address = listener.local_addr().expect("an address");
    let document = document::build(ENDPOINTS).expect("a document");
    let catalogue = kitproof::catalogue::embedded::shared();
    let mut state = AppState::new(settings, document, catalogue);
    change(&mut state);
    let state = Data::new(state);
    let endpoints = [ENDPOINTS, TEST_ENDPOINTS].concat();
    let shared = state.clone();
    std::thread::spawn(move || {
        actix_web::rt::System::new()
            .block_on(async { listen(listener, shared, endpoints).expect("a server").await })
    });
    (address, state)
}

pub fn settings() -> Settings {
    Settings {
        workers: NonZeroUsize::MIN.saturating_add(1),
        computations: NonZeroUsize::MIN.saturating_add(1),
        body_timeout: Duration::from_millis(700),
        // A build for tests is slow, and others may use the machine.
        answer_timeout: Duration::from_secs(300),
        ..Settings::default()
    }
}

/// The service that most tests share.
pub fn address() -> SocketAddr {
    static SHARED: OnceLock<SocketAddr> = OnceLock::new();
    *SHARED.get_or_init(|| start(settings()).0)
}
