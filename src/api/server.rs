//! The application behind a socket.

use std::io;
use std::net::TcpListener;

use actix_web::body::MessageBody;
use actix_web::dev::{Server, ServiceFactory, ServiceRequest, ServiceResponse};
use actix_web::middleware::from_fn;
use actix_web::web::{self, Data};
use actix_web::{App, Error, HttpServer};

use super::connections::{Connections, StandstillLimits};
use super::endpoint::{self, Endpoint};
use super::middleware::{access, envelope};
use super::state::AppState;

/// The whole application: middleware, the endpoints, and the answer for every other path.
pub fn app(
    state: Data<AppState>,
    endpoints: Vec<Endpoint>,
) -> App<
    impl ServiceFactory<
        ServiceRequest,
        Config = (),
        Response = ServiceResponse<impl MessageBody>,
        Error = Error,
        InitError = (),
    >,
> {
    App::new()
        .app_data(state)
        .configure(|config| endpoint::register(config, &endpoints))
        .default_service(web::to(endpoint::unknown_path))
        .wrap(from_fn(access::access))
        .wrap(from_fn(envelope::envelope))
}

/// Starts the service on a socket that is open already. The caller awaits what it gives.
///
/// HTTP/1.1 only: a proxy in front ends TLS and HTTP/2.
///
/// # Errors
/// When the socket cannot be used.
pub fn listen(
    listener: TcpListener,
    state: Data<AppState>,
    endpoints: Vec<Endpoint>,
) -> io::Result<Server> {
    let settings = state.settings.clone();
    let limits = StandstillLimits {
        idle: settings.keep_alive + settings.head_timeout,
        sending: settings.stall_timeout,
    };
    let counted = state.clone();
    let connections = Connections::guarded(limits, move || counted.metrics.stuck.one())?;
    let per_worker = settings.connections.get().div_ceil(settings.workers.get());
    let server = HttpServer::new(move || app(state.clone(), endpoints.clone()))
        .on_connect(move |io, data| connections.watch(io, data))
        .workers(settings.workers.get())
        .max_connections(per_worker)
        // Signals are the command line's: see `drain`.
        .disable_signals()
        .keep_alive(settings.keep_alive)
        .client_request_timeout(settings.head_timeout)
        // Without this the client of a refused upload sees a broken pipe and not the answer.
        .client_disconnect_timeout(std::time::Duration::from_secs(1))
        // A streamed answer would otherwise wait for acknowledgements, 40 ms each.
        .tcp_nodelay(true)
        // A caller that has left frees what it asked for.
        .h1_allow_half_closed(false)
        .shutdown_timeout(settings.shutdown_timeout.as_secs())
        .listen(listener)?;
    Ok(server.run())
}
