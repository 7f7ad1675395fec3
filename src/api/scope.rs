//! What a key may do: each operation that needs a key needs one scope of it.
//!
//! An operation is public only if it is listed here. A new one needs a key by itself, in the scope of
//! its tag.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::endpoint::Endpoint;

/// A part of the service that a key may open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Scope {
    /// One decision at a time: verdicts, purchases, explanations.
    Decide,
    /// Many requests in one stream.
    Bulk,
    /// Labels, images and reports to records.
    Read,
    /// Boards and modules.
    Catalogue,
    /// Sending answers to the destinations that the operator set.
    Deliver,
    /// Figures and state of the service.
    Status,
}

impl Scope {
    /// Every scope.
    pub const ALL: [Self; 6] = [
        Self::Decide,
        Self::Bulk,
        Self::Read,
        Self::Catalogue,
        Self::Deliver,
        Self::Status,
    ];

    /// Its name in a key file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Decide => "decide",
            Self::Bulk => "bulk",
            Self::Read => "read",
            Self::Catalogue => "catalogue",
            Self::Deliver => "deliver",
            Self::Status => "status",
        }
    }
}

impl fmt::Display for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl std::str::FromStr for Scope {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, Self::Err> {
        let known = Self::ALL.into_iter().find(|scope| scope.name() == word);
        known.ok_or_else(|| {
            let names: Vec<String> = Self::ALL.iter().map(|scope| format!("`{scope}`")).collect();
            format!("`{word}` is no scope; known: {}", names.join(", "))
        })
    }
}

/// What a caller needs for an operation, where keys are set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needed {
    /// Nothing: what a balancer, a reader of the documents or a checker of receipts asks.
    Nothing,
    /// A key with this scope.
    Key(Scope),
    /// Any key.
    AnyKey,
}

/// Paths of the service's own that anybody may read.
const PUBLIC: [&str; 6] = [
    "/health/live",
    "/health/ready",
    "/openapi.json",
    "/docs",
    "/docs/{file}",
    "/.well-known/jwks.json",
];

/// What an operation of this path and tag needs.
pub fn needed(path: &str, tag: Option<&str>) -> Needed {
    match tag {
        // Rules and problems say nothing that is not in the program's own pages.
        Some("reference") => Needed::Nothing,
        Some("decide") if path.ends_with("/bulk") => Needed::Key(Scope::Bulk),
        Some("decide") => Needed::Key(Scope::Decide),
        Some("read") => Needed::Key(Scope::Read),
        Some("catalogue") => Needed::Key(Scope::Catalogue),
        _ if PUBLIC.contains(&path) => Needed::Nothing,
        Some("service") => Needed::Key(Scope::Status),
        _ => Needed::AnyKey,
    }
}

/// What each path needs; a path that nobody listed needs a key.
#[derive(Clone, Debug, Default)]
pub struct NeededByPath(BTreeMap<String, Needed>);

impl NeededByPath {
    /// Of these operations. All operations of a path have one tag.
    pub fn of(endpoints: &[Endpoint]) -> Self {
        let one = |endpoint: &Endpoint| {
            let path = endpoint.path();
            let needed = needed(&path, endpoint.tag());
            (path, needed)
        };
        Self(endpoints.iter().map(one).collect())
    }

    /// What a path needs, as its pattern with parameters in braces.
    pub fn at(&self, pattern: Option<&str>) -> Needed {
        let known = pattern.and_then(|pattern| self.0.get(pattern));
        known.copied().unwrap_or(Needed::AnyKey)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_nobody_listed_needs_a_key() {
        assert_eq!(needed("/v1/new", None), Needed::AnyKey);
        assert_eq!(
            needed("/metrics", Some("service")),
            Needed::Key(Scope::Status)
        );
        assert_eq!(NeededByPath::default().at(None), Needed::AnyKey);
    }

    #[test]
    fn scopes_are_read_by_their_names() {
        for scope in Scope::ALL {
            assert_eq!(scope.name().parse(), Ok(scope));
            assert_eq!(serde_json::to_value(scope).unwrap(), scope.name());
        }
        assert!("all".parse::<Scope>().unwrap_err().contains("`decide`"));
    }
}
