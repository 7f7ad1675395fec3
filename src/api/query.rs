//! Query parameters: known ones only, each at most once.

use actix_web::web;

use super::problem::Problem;
use crate::wirecheck::fault::{ParameterPlace, quoted};
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode, Faults};

/// The parameters of a request, all of them known and single.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Query {
    pairs: Vec<(String, String)>,
}

impl Query {
    /// Reads a query string that may hold the parameters of `known`.
    ///
    /// # Errors
    /// An `invalid-query` problem that names every parameter that is unknown or stands twice.
    pub fn read(text: &str, known: &[&str]) -> Result<Self, Problem> {
        let pairs = web::Query::<Vec<(String, String)>>::from_query(text)
            .map_err(|_| Problem::invalid_query(unreadable()))?
            .into_inner();
        let mut faults = Faults::default();
        for (place, (name, _)) in pairs.iter().enumerate() {
            if !known.contains(&name.as_str()) {
                faults.push(unknown(name, known));
            } else if pairs.iter().take(place).any(|(earlier, _)| earlier == name) {
                faults.push(fault(name, format!("{} stands twice", quoted(name))));
            }
        }
        if faults.is_empty() {
            Ok(Self { pairs })
        } else {
            Err(Problem::invalid_query(faults))
        }
    }

    /// The value of a parameter.
    pub fn get(&self, name: &str) -> Option<&str> {
        let pair = self.pairs.iter().find(|(known, _)| known == name);
        pair.map(|(_, value)| value.as_str())
    }

    /// Name and value of each parameter, in the order of the request.
    pub fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        self.pairs
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
    }
}

/// A parameter whose value cannot be used.
pub fn fault(name: &str, message: impl Into<String>) -> Fault {
    let name: String = name.chars().take(60).collect();
    let place = ParameterPlace::Query;
    Fault::of_address(place, Some(&name), FaultCode::Unusable, message)
}

fn unreadable() -> Fault {
    let message = "the query cannot be read";
    Fault::of_address(ParameterPlace::Query, None, FaultCode::Unusable, message)
}

fn unknown(name: &str, known: &[&str]) -> Fault {
    let mut fault = fault(name, format!("{} is not a parameter here", quoted(name)));
    fault.code = FaultCode::UnknownName;
    if known.is_empty() {
        return fault.hint("this endpoint has no parameters");
    }
    let names: Vec<String> = known.iter().map(|name| quoted(name)).collect();
    fault
        .hint(format!("one of {}", names.join(", ")))
        .close_matches(close_matches(name, known.iter().copied()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name_of(fault: &Fault) -> Option<&str> {
        fault.parameter.as_ref()?.name.as_deref()
    }

    #[test]
    fn reads_known_parameters() {
        let query = Query::read("limit=3&cursor=a%2Fb+c", &["limit", "cursor"]).unwrap();
        assert_eq!(
            (query.get("limit"), query.get("cursor")),
            (Some("3"), Some("a/b c"))
        );
        assert_eq!(Query::read("", &[]).unwrap().get("limit"), None);
    }

    #[test]
    fn names_every_parameter_that_is_unknown_or_repeated() {
        let problem = Query::read("limit=1&limit=2&cursr=x", &["limit", "cursor"]).unwrap_err();
        let faults = problem.faults.list;
        assert_eq!(name_of(&faults[0]), Some("limit"));
        assert_eq!(
            (name_of(&faults[1]), &faults[1].close_matches),
            (Some("cursr"), &vec!["cursor".to_owned()])
        );
    }
}
