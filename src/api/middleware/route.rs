//! The pattern of a request's path, such as `/v1/boards/{id}`.
//!
//! Looking it up tries the pattern of every endpoint, so it is done once for each request.

use std::rc::Rc;

use actix_web::HttpMessage;
use actix_web::dev::ServiceRequest;

/// The pattern, if there is an endpoint at the path.
#[derive(Debug, Clone)]
pub struct Route(Option<Rc<str>>);

impl Route {
    /// That of a request: found before, or now.
    pub fn of(request: &ServiceRequest) -> Self {
        if let Some(found) = request.extensions().get::<Self>() {
            return found.clone();
        }
        let found = Self(request.match_pattern().map(Rc::from));
        request.extensions_mut().insert(found.clone());
        found
    }

    /// As text.
    pub fn pattern(&self) -> Option<&str> {
        self.0.as_deref()
    }
}
