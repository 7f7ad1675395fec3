//! Examples: requests written by hand, answers written by `kitproof generate`.
//!
//! All of it is invented: the boards and modules of the demo catalogue. The files stand in
//! `openapi/examples`: `NAME.json` is a request, `NAME.answer.json` its answer.

use super::ENDPOINTS;
use super::endpoint::Example;

/// An example from its files: `example!("name", "/path")` is asked with GET,
/// `example!(post "name", "/path")` with POST.
macro_rules! example {
    (post $name:literal, $path:literal) => {
        $crate::api::endpoint::Example {
            name: $name,
            path: $path,
            request: Some(include_str!(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/openapi/examples/",
                $name,
                ".json"
            ))),
            answer: include_str!(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/openapi/examples/",
                $name,
                ".answer.json"
            )),
        }
    };
    ($name:literal, $path:literal) => {
        $crate::api::endpoint::Example {
            name: $name,
            path: $path,
            request: None,
            answer: include_str!(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/openapi/examples/",
                $name,
                ".answer.json"
            )),
        }
    };
}
pub(super) use example;

/// The cart that must be refused: what the document shows and the README begins with.
pub const CART: Example = example!(post "cart-too-many-ranks", "/v1/validate");

/// Requests to validate.
pub const VALIDATE: &[Example] = &[
    CART,
    example!(post "cart-fits", "/v1/validate"),
    example!(post "population-wrong-order", "/v1/validate"),
    example!(post "ranks-not-told", "/v1/validate"),
    example!(post "upgrade-keep", "/v1/validate"),
    example!(post "wishes-must", "/v1/validate"),
    example!(post "mirrored", "/v1/validate"),
    example!(post "ecc-widths-mixed", "/v1/validate"),
    example!(post "report-and-cart", "/v1/validate"),
];

/// The module that is not seen: what the document shows of a comparison.
pub const NOT_SEEN: Example = example!(post "verify-not-seen", "/v1/verify");

/// Requests to compare.
pub const VERIFY: &[Example] = &[
    NOT_SEEN,
    example!(post "verify-agrees", "/v1/verify"),
    example!(post "verify-slow", "/v1/verify"),
];

/// The best kit beside what is installed: what the document shows.
pub const BEST_KIT: Example = example!(post "optimise", "/v1/optimise");

/// Requests to optimise.
pub const OPTIMISE: &[Example] = &[
    BEST_KIT,
    example!(post "optimise-infeasible", "/v1/optimise"),
    example!(post "optimise-front", "/v1/optimise"),
];

/// Requests to explain.
pub const EXPLAIN: &[Example] = &[WHY, example!(post "explain-choice", "/v1/explain")];

/// Why a cart is refused: what the document shows.
pub const WHY: Example = example!(post "explain", "/v1/explain");

/// Every example once: those of the document, then the others.
pub fn all() -> Vec<Example> {
    let shown = ENDPOINTS
        .iter()
        .filter_map(|endpoint| endpoint.shown_example());
    let mut all: Vec<Example> = shown.collect();
    for more in VALIDATE.iter().chain(VERIFY).chain(OPTIMISE).chain(EXPLAIN) {
        if all.iter().all(|known| known.name != more.name) {
            all.push(*more);
        }
    }
    all
}
