//! The HTTP edge. Start reading at [`ENDPOINTS`], the one list of what the service offers.
//!
//! A request passes [`middleware`], then the resource that [`endpoint`] made for its path, then a
//! handler of [`routes`] with its four steps: extract ([`extract`], [`query`], [`page`]), convert,
//! call, convert. Everything that goes wrong is a [`problem`]. [`document`] makes the OpenAPI
//! document from the same list, and [`server`] puts it all behind a socket, where [`connections`]
//! closes those that stand still.

pub mod accept;
pub mod connections;
pub mod decide;
pub mod document;
pub mod endpoint;
pub mod etag;
pub mod extract;
pub mod middleware;
pub mod page;
pub mod problem;
pub mod query;
pub mod routes;
pub mod server;
pub mod state;
pub mod wire;

pub use endpoint::Endpoint;
pub use extract::Strict;
pub use problem::{Code, Problem};
pub use state::AppState;

use endpoint::Example;
use routes::{
    board, board_fits, boards, docs, health_live, health_ready, module, modules, openapi,
    problem as problem_page, problems, rule, rules, validate,
};

/// Every endpoint: the routes and the OpenAPI document both come from here.
pub const ENDPOINTS: &[Endpoint] = &[
    Endpoint::new::<validate::__path_validate>(|route| route.to(validate::validate)),
    Endpoint::new::<boards::__path_boards>(|route| route.to(boards::boards)),
    Endpoint::new::<board::__path_board>(|route| route.to(board::board)),
    Endpoint::new::<board_fits::__path_board_fits>(|route| route.to(board_fits::board_fits)),
    Endpoint::new::<modules::__path_modules>(|route| route.to(modules::modules)),
    Endpoint::new::<module::__path_module>(|route| route.to(module::module)),
    Endpoint::new::<rules::__path_rules>(|route| route.to(rules::rules)),
    Endpoint::new::<rule::__path_rule>(|route| route.to(rule::rule)),
    Endpoint::new::<problems::__path_problems>(|route| route.to(problems::problems)),
    Endpoint::new::<problem_page::__path_problem>(|route| route.to(problem_page::problem)),
    Endpoint::new::<health_live::__path_health_live>(|route| route.to(health_live::health_live))
        .example(Example {
            request: None,
            answer: Some(r#"{"status":"live"}"#),
        }),
    Endpoint::new::<health_ready::__path_health_ready>(|route| {
        route.to(health_ready::health_ready)
    })
    .example(Example {
        request: None,
        answer: Some(r#"{"status":"ready"}"#),
    }),
    Endpoint::new::<openapi::__path_openapi>(|route| route.to(openapi::openapi)),
    Endpoint::new::<docs::__path_docs>(|route| route.to(docs::docs)).produces(&[docs::HTML]),
    Endpoint::new::<docs::__path_docs_file>(|route| route.to(docs::docs_file))
        .produces(&[docs::CSS, docs::SCRIPT])
        .undocumented(),
];
