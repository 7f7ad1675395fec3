//! What an endpoint is, and how a list of them becomes routes.
//!
//! Path, method and documentation come from the handler's `#[utoipa::path]`, so routing and the
//! OpenAPI document cannot differ.

use std::collections::BTreeMap;

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::{Method, header};
use actix_web::middleware::{Condition, Next, from_fn};
use actix_web::web::{self, ServiceConfig};
use actix_web::{Error, HttpRequest, HttpResponse, Route};
use utoipa::openapi::path::{HttpMethod, Operation};
use utoipa::openapi::{RefOr, Schema};

use super::accept::{self, JSON};
use super::language::tell_language;
use super::problem::{Code, Problem};
use super::scope::NeededByPath;
use crate::wirecheck::fault::{ParameterPlace, quoted};
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode};

/// Named schemas, as utoipa collects them.
pub type NamedSchemas = Vec<(String, RefOr<Schema>)>;

/// A request with its answer, as JSON text. `kitproof generate` writes the answer; a test sends the
/// request and compares.
#[derive(Debug, Clone, Copy)]
pub struct Example {
    /// The name of its files in `openapi/examples`.
    pub name: &'static str,
    /// Where it is sent: the path with its parameters, and a query.
    pub path: &'static str,
    /// What is sent.
    pub request: Option<&'static str>,
    /// What comes back with status 200.
    pub answer: &'static str,
}

/// One operation of the service.
#[derive(Debug, Clone, Copy)]
pub struct Endpoint {
    path: fn() -> String,
    methods: fn() -> Vec<HttpMethod>,
    operation: fn() -> Operation,
    tags: fn() -> Vec<&'static str>,
    schemas: fn(&mut NamedSchemas),
    handler: fn(Route) -> Route,
    produces: &'static [&'static str],
    example: Option<Example>,
    documented: bool,
    speaks: bool,
}

impl Endpoint {
    /// An endpoint: `P` is the `__path_…` type that `#[utoipa::path]` makes beside the handler
    /// function, `handler` is `|route| route.to(function)`.
    pub const fn new<P>(handler: fn(Route) -> Route) -> Self
    where
        P: utoipa::Path + utoipa::__dev::Tags<'static> + utoipa::__dev::SchemaReferences,
    {
        Self {
            path: P::path,
            methods: P::methods,
            operation: P::operation,
            tags: P::tags,
            schemas: P::schemas,
            handler,
            produces: &[JSON],
            example: None,
            documented: true,
            speaks: false,
        }
    }

    /// The media types that it can answer with, the usual one first. Any other wish gives 406.
    #[must_use]
    pub const fn produces(mut self, kinds: &'static [&'static str]) -> Self {
        self.produces = kinds;
        self
    }

    /// It answers with sentences, in the language that the caller likes best.
    #[must_use]
    pub const fn speaks(mut self) -> Self {
        self.speaks = true;
        self
    }

    /// An example for the document.
    #[must_use]
    pub const fn example(mut self, example: Example) -> Self {
        self.example = Some(example);
        self
    }

    /// Leaves it out of the document: files of a page and the like.
    #[must_use]
    pub const fn undocumented(mut self) -> Self {
        self.documented = false;
        self
    }

    /// Its path, with parameters in braces.
    pub fn path(&self) -> String {
        (self.path)()
    }

    /// Its method.
    pub fn method(&self) -> Method {
        // The macro takes one method here; more would be listed one by one.
        match (self.methods)().first() {
            Some(HttpMethod::Post) => Method::POST,
            Some(HttpMethod::Put) => Method::PUT,
            Some(HttpMethod::Delete) => Method::DELETE,
            Some(HttpMethod::Patch) => Method::PATCH,
            Some(HttpMethod::Options) => Method::OPTIONS,
            Some(HttpMethod::Head) => Method::HEAD,
            Some(HttpMethod::Trace) => Method::TRACE,
            Some(HttpMethod::Get) | None => Method::GET,
        }
    }

    /// Its method, as utoipa names it.
    pub fn documented_method(&self) -> HttpMethod {
        (self.methods)()
            .into_iter()
            .next()
            .unwrap_or(HttpMethod::Get)
    }

    /// Its description for the document.
    pub fn operation(&self) -> Operation {
        let mut operation = (self.operation)();
        operation.tags = Some((self.tags)().into_iter().map(str::to_owned).collect());
        operation
    }

    /// Its tag: the part of the service that it belongs to.
    pub fn tag(&self) -> Option<&'static str> {
        (self.tags)().into_iter().next()
    }

    /// Adds the schemas that its description refers to.
    pub fn schemas(&self, into: &mut NamedSchemas) {
        (self.schemas)(into);
    }

    /// Its example.
    pub fn shown_example(&self) -> Option<Example> {
        self.example
    }

    /// Whether the document shows it.
    pub fn is_documented(&self) -> bool {
        self.documented
    }

    /// `GET /path`
    pub fn line(&self) -> String {
        format!("{} {}", self.method(), self.path())
    }
}

/// The methods of a path, for the `Allow` header.
#[derive(Debug, Clone)]
struct Allowed(String);

/// The media types of a path.
#[derive(Debug, Clone, Copy)]
struct Produces(&'static [&'static str]);

/// The paths there are, to find the one that was meant.
#[derive(Debug, Clone)]
struct Paths(Vec<String>);

/// Makes one resource for each path: its methods, HEAD where there is GET, OPTIONS, and 405 for
/// everything else.
pub fn register(config: &mut ServiceConfig, endpoints: &[Endpoint]) {
    let mut by_path: BTreeMap<String, Vec<&Endpoint>> = BTreeMap::new();
    for endpoint in endpoints {
        by_path.entry(endpoint.path()).or_default().push(endpoint);
    }
    config.app_data(NeededByPath::of(endpoints));
    config.app_data(Paths(by_path.keys().cloned().collect()));
    // Paths are tried one after the other: those with a parameter, which take an expression, come last.
    let (with_parameter, plain): (Vec<_>, Vec<_>) =
        by_path.iter().partition(|(path, _)| path.contains('{'));
    for (path, endpoints) in plain.into_iter().chain(with_parameter) {
        config.service(resource(path, endpoints));
    }
}

fn resource(
    path: &str,
    endpoints: &[&Endpoint],
) -> impl actix_web::dev::HttpServiceFactory + use<> {
    let mut resource = web::resource(path.to_owned());
    let mut methods = Vec::new();
    for endpoint in endpoints {
        let method = endpoint.method();
        if method == Method::GET {
            methods.push(Method::HEAD);
            resource = resource.route((endpoint.handler)(web::head()));
        }
        resource = resource.route((endpoint.handler)(web::method(method.clone())));
        methods.push(method);
    }
    methods.push(Method::OPTIONS);
    methods.sort_by(|a, b| a.as_str().cmp(b.as_str()));
    let names: Vec<&str> = methods.iter().map(Method::as_str).collect();
    let produces = endpoints.iter().map(|endpoint| endpoint.produces);
    resource
        .app_data(Allowed(names.join(", ")))
        .app_data(Produces(
            produces.max_by_key(|kinds| kinds.len()).unwrap_or(&[JSON]),
        ))
        .default_service(web::to(other_method))
        .wrap(Condition::new(
            endpoints.iter().any(|endpoint| endpoint.speaks),
            from_fn(tell_language),
        ))
        .wrap(from_fn(check_accept))
}

/// Refuses a request whose answer the caller would not take, before any work is done.
async fn check_accept(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let produces = request.app_data::<Produces>().copied();
    if let Some(Produces(kinds)) = produces {
        accept::choose(request.headers(), kinds)?;
    }
    next.call(request).await
}

/// OPTIONS, and the methods that a path does not take.
async fn other_method(request: HttpRequest) -> Result<HttpResponse, Problem> {
    let allowed = request.app_data::<Allowed>();
    let allowed = allowed.map_or("", |Allowed(methods)| methods);
    if request.method() == Method::OPTIONS {
        let answer = HttpResponse::NoContent()
            .insert_header((header::ALLOW, allowed))
            .finish();
        return Ok(answer);
    }
    let method = quoted(request.method().as_str());
    let detail = format!("{method} does not apply here; allowed: {allowed}");
    Err(Problem::new(Code::MethodNotAllowed, detail).header(header::ALLOW, allowed))
}

/// Whatever is at no path.
pub async fn unknown_path(request: HttpRequest) -> Result<HttpResponse, Problem> {
    let path = request.path();
    let paths = request.app_data::<Paths>();
    let paths = paths.map_or(&[][..], |Paths(paths)| paths.as_slice());
    let near = close_matches(path, paths.iter().map(String::as_str));
    let detail = format!("nothing is at {}", quoted(path));
    let (place, code) = (ParameterPlace::Path, FaultCode::UnknownName);
    let fault = Fault::of_address(place, None, code, &detail).close_matches(near);
    Err(Problem::new(Code::UnknownPath, detail).faults(fault))
}
