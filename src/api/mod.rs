//! The HTTP edge. Start reading at [`ENDPOINTS`], the one list of what the service offers.
//!
//! A request passes [`middleware`], then the resource that [`endpoint`] made for its path, then a
//! handler of [`routes`] with its four steps: extract ([`extract`], [`query`], [`page`]), convert,
//! call, convert. Everything that goes wrong is a [`problem`]. [`document`] makes the OpenAPI
//! document from the same list, and [`server`] puts it all behind a socket, where [`connections`]
//! closes those that stand still.

pub mod accept;
pub mod bulk;
pub mod clock;
pub mod connections;
pub mod decide;
pub mod document;
pub mod drain;
pub mod endpoint;
pub mod etag;
pub mod examples;
pub mod explain;
pub mod extract;
pub mod extras;
pub mod form;
pub mod in_use;
pub mod inventory;
pub mod keys;
pub mod language;
pub mod metrics;
pub mod middleware;
pub mod optimise;
pub mod page;
pub mod pool;
pub mod problem;
pub mod query;
pub mod rate;
pub mod read_any;
pub mod read_inventory;
pub mod read_module;
pub mod receipt;
pub mod routes;
pub mod scope;
pub mod server;
pub mod state;
pub mod verify;
pub mod wire;

pub use endpoint::Endpoint;
pub use extract::Strict;
pub use in_use::InUse;
pub use problem::{Code, Problem};
pub use state::AppState;

use examples::example;
use routes::{
    board, board_fits, boards, docs, explain as explainer, health_live, health_ready, jwks,
    metrics as figures, module, modules, openapi, optimise as optimiser, problem as problem_page,
    problems, read_inventory as inventory_reader, read_module as module_reader, rule, rules,
    status, validate, validate_bulk, verify as verifier,
};

/// Every endpoint: the routes and the OpenAPI document both come from here.
pub const ENDPOINTS: &[Endpoint] = &[
    Endpoint::new::<validate::__path_validate>(|route| route.to(validate::validate))
        .produces(form::KINDS)
        .speaks()
        .example(examples::CART),
    Endpoint::new::<validate_bulk::__path_validate_bulk>(|route| {
        route.to(validate_bulk::validate_bulk)
    })
    .produces(&[bulk::NDJSON])
    .speaks(),
    Endpoint::new::<optimiser::__path_optimise>(|route| route.to(optimiser::optimise))
        .produces(optimiser::FORMS)
        .speaks()
        .example(examples::BEST_KIT),
    Endpoint::new::<explainer::__path_explain>(|route| route.to(explainer::explain))
        .produces(form::KINDS)
        .speaks()
        .example(examples::WHY),
    Endpoint::new::<verifier::__path_verify>(|route| route.to(verifier::verify))
        .speaks()
        .example(examples::NOT_SEEN),
    Endpoint::new::<module_reader::__path_read_module>(|route| {
        route.to(module_reader::read_module)
    })
    .speaks()
    .example(example!(post "read-module", "/v1/read/module")),
    Endpoint::new::<inventory_reader::__path_read_inventory>(|route| {
        route.to(inventory_reader::read_inventory)
    })
    .speaks()
    .example(example!(post "read-inventory", "/v1/read/inventory")),
    Endpoint::new::<boards::__path_boards>(|route| route.to(boards::boards))
        .example(example!("boards", "/v1/boards?limit=2")),
    Endpoint::new::<board::__path_board>(|route| route.to(board::board))
        .example(example!("board", "/v1/boards/beck")),
    Endpoint::new::<board_fits::__path_board_fits>(|route| route.to(board_fits::board_fits))
        .example(example!("board-fits", "/v1/boards/beck/fits?limit=4")),
    Endpoint::new::<modules::__path_modules>(|route| route.to(modules::modules))
        .example(example!("modules", "/v1/modules?limit=2")),
    Endpoint::new::<module::__path_module>(|route| route.to(module::module))
        .example(example!("module", "/v1/modules/ERW-3R16-2x4")),
    Endpoint::new::<rules::__path_rules>(|route| route.to(rules::rules))
        .speaks()
        .example(example!("rules", "/v1/rules?limit=2")),
    Endpoint::new::<rule::__path_rule>(|route| route.to(rule::rule))
        .speaks()
        .example(example!("rule", "/v1/rules/rank-budget-exceeded")),
    Endpoint::new::<problems::__path_problems>(|route| route.to(problems::problems))
        .example(example!("problems", "/v1/problems?limit=2")),
    Endpoint::new::<problem_page::__path_problem>(|route| route.to(problem_page::problem))
        .example(example!("problem", "/v1/problems/invalid-body")),
    Endpoint::new::<health_live::__path_health_live>(|route| route.to(health_live::health_live))
        .example(example!("health-live", "/health/live")),
    Endpoint::new::<health_ready::__path_health_ready>(|route| {
        route.to(health_ready::health_ready)
    })
    .example(example!("health-ready", "/health/ready")),
    Endpoint::new::<jwks::__path_jwks>(|route| route.to(jwks::jwks))
        .example(example!("jwks", "/.well-known/jwks.json")),
    Endpoint::new::<status::__path_status>(|route| route.to(status::status)),
    Endpoint::new::<figures::__path_metrics>(|route| route.to(figures::metrics))
        .produces(&[figures::PLAIN]),
    Endpoint::new::<openapi::__path_openapi>(|route| route.to(openapi::openapi)),
    Endpoint::new::<docs::__path_docs>(|route| route.to(docs::docs)).produces(&[docs::HTML]),
    Endpoint::new::<docs::__path_docs_file>(|route| route.to(docs::docs_file))
        .produces(&[docs::CSS, docs::SCRIPT])
        .undocumented(),
];
