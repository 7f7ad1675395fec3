//! Asks the service's own road and compares its answer with what must come out.

use crate::checks::{Asked, Checked};
use crate::table::{Expect, Region, Share};
use kitproof::api::decide::{Decided, decide};
use kitproof::api::extract::read_json;
use kitproof::api::read_module;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::Catalogue;
use kitproof::render::words::Words;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Everything that came out otherwise.
pub fn faults(catalogue: &Catalogue, row: &Checked) -> Vec<String> {
    let checks = row.checks.iter();
    checks
        .flat_map(|(asked, expect)| {
            let faults = match asked {
                Asked::Verdict(request) => compare(catalogue, request, expect),
                Asked::Reading(input, tells) => compare_reading(input, tells),
            };
            faults
                .into_iter()
                .map(|fault| format!("{}: {fault}", row.at))
                .collect::<Vec<_>>()
        })
        .collect()
}

fn compare(catalogue: &Catalogue, request: &Value, expect: &Expect) -> Vec<String> {
    let read = match read_request(request) {
        Ok(read) => read,
        Err(fault) => return vec![fault],
    };
    let decided = match decide(&read, catalogue) {
        Ok(decided) => decided,
        Err(faults) => return vec![format!("not to be resolved: {:?}\n{request}", faults.list)],
    };
    let mut found = Found {
        body: serde_json::to_value(decided.body(Words::english())).unwrap(),
        faults: Vec::new(),
    };
    found.verdict(expect);
    found.outcome(expect);
    found.channels(expect);
    found.rules(expect);
    if let Some(share) = &expect.share {
        found.share(share, catalogue);
    }
    found.places(expect, &decided, request);
    found.faults
}

fn compare_reading(input: &Value, tells: &BTreeMap<String, Value>) -> Vec<String> {
    let text = input.to_string();
    let read = match read_json(text.as_bytes()) {
        Ok(read) => read_module::read(&read),
        Err(refusal) => return vec![format!("no request: {refusal:?}\n{text}")],
    };
    let body = match read {
        Ok(body) => serde_json::to_value(body).unwrap(),
        Err(problem) => return vec![format!("not to be read: {problem:?}\n{text}")],
    };
    let mut found = Found {
        body,
        faults: Vec::new(),
    };
    found.members(tells);
    found.faults
}

fn read_request(request: &Value) -> Result<ValidateRequest, String> {
    let text = request.to_string();
    read_json(text.as_bytes()).map_err(|refusal| format!("no request: {refusal:?}\n{text}"))
}

struct Found {
    body: Value,
    faults: Vec<String>,
}

impl Found {
    fn same(&mut self, what: &str, wanted: Option<Value>, found: Value) {
        if let Some(wanted) = wanted
            && wanted != found
        {
            self.faults.push(format!("{what} is {found}, not {wanted}"));
        }
    }

    fn verdict(&mut self, expect: &Expect) {
        let verdict = self.body["verdict"].clone();
        self.same(
            "the verdict",
            expect.verdict.clone().map(Value::from),
            verdict.clone(),
        );
        let works = match verdict.as_str() {
            Some("fits" | "fits_with_warnings") => json!(true),
            Some("does_not_fit") => json!(false),
            _ => verdict,
        };
        if expect.works.is_some_and(|wanted| works != wanted) {
            let broken = self.broken("blocker");
            self.faults.push(format!(
                "whether it works is {works}; blockers: {broken:?}; missing: {}",
                self.body["missing"]
            ));
        }
    }

    fn outcome(&mut self, expect: &Expect) {
        let outcome = self.body["outcome"].clone();
        let number = |value: Option<u64>| value.map(Value::from);
        let members = [
            ("rate_mts", number(expect.rate_mts.map(u64::from))),
            ("supply_mv", number(expect.supply_mv.map(u64::from))),
            ("installed_mib", number(expect.installed_mib)),
            ("usable_mib", number(expect.usable_mib)),
        ];
        for (name, wanted) in members {
            self.same(name, wanted, outcome[name].clone());
        }
        if expect
            .rate_is_not
            .is_some_and(|other| outcome["rate_mts"] == other)
        {
            self.faults
                .push("the rate is the other source's".to_owned());
        }
        let bounds = [
            ("uniform_mb_per_s", expect.uniform_mb_per_s),
            ("peak_mb_per_s", expect.peak_mb_per_s),
        ];
        for (name, bound) in bounds {
            let Some([low, high]) = bound else { continue };
            let inside = outcome[name]
                .as_u64()
                .is_some_and(|v| (low..=high).contains(&v));
            if !inside {
                let found = &outcome[name];
                self.faults
                    .push(format!("{name} is {found}, not {low} to {high}"));
            }
        }
        let limits = &outcome["rate_limits"];
        let kinds: Vec<&str> = list(limits)
            .filter_map(|limit| limit["kind"].as_str())
            .collect();
        for wanted in &expect.limited_by {
            if !kinds.contains(&wanted.as_str()) {
                self.faults
                    .push(format!("limited by {kinds:?}, not by {wanted}"));
            }
        }
        self.members(&expect.body);
    }

    fn members(&mut self, tells: &BTreeMap<String, Value>) {
        for (pointer, wanted) in tells {
            let found = self.body.pointer(pointer).cloned().unwrap_or(Value::Null);
            self.same(pointer, Some(wanted.clone()), found);
        }
    }

    fn channels(&mut self, expect: &Expect) {
        let channels = self.body["outcome"]["channels"].clone();
        let each = |name: &str| list(&channels).map(|c| c[name].clone()).collect::<Value>();
        let numbers = |wanted: &Option<Vec<u32>>| wanted.as_ref().map(|list| json!(list));
        let seen = expect.seen_ranks.as_ref().map(|list| json!(list));
        self.same("seen ranks", seen, each("ranks"));
        self.same("rates alone", numbers(&expect.alone_mts), each("alone_mts"));
        self.same("rates", numbers(&expect.channel_mts), each("rate_mts"));
        if let Some(wanted) = &expect.regions {
            let mut wanted = wanted.clone();
            let told = wanted.iter().all(|region| region.gib.is_some());
            let mut found: Vec<Region> = list(&self.body["outcome"]["regions"])
                .map(|region| Region {
                    channels: serde_json::from_value(region["channels"].clone()).unwrap(),
                    gib: region["capacity_mib"]
                        .as_u64()
                        .map(|mib| mib / 1024)
                        .filter(|_| told),
                })
                .collect();
            found.sort();
            wanted.sort();
            if found != wanted {
                self.faults
                    .push(format!("regions are {found:?}, not {wanted:?}"));
            }
        }
    }

    /// The uniform bandwidth as a share of another request's.
    fn share(&mut self, share: &Share, catalogue: &Catalogue) {
        let other = read_request(&share.of).unwrap();
        let other = decide(&other, catalogue).unwrap_or_else(|faults| panic!("{:?}", faults.list));
        let whole = other.answer().outcome.uniform.map(|bandwidth| bandwidth.0);
        let part = self.body["outcome"]["uniform_mb_per_s"].as_u64();
        let (Some(part), Some(whole)) = (part, whole) else {
            self.faults.push("no bandwidth is told".to_owned());
            return;
        };
        let [low, high] = share.percent;
        if !(low * whole..=high * whole).contains(&(part * 100)) {
            self.faults
                .push(format!("{part} of {whole} is not {low} % to {high} %"));
        }
    }

    /// Ids of rules with a broken finding of a severity, or of any.
    fn broken(&self, severity: &str) -> Vec<String> {
        list(&self.body["findings"])
            .filter(|f| f["state"] == "broken" && (severity == "any" || f["severity"] == severity))
            .map(|f| f["rule"].as_str().unwrap().to_owned())
            .collect()
    }

    fn rules(&mut self, expect: &Expect) {
        let (blocked, broken) = (self.broken("blocker"), self.broken("any"));
        for rule in expect
            .blocked_by
            .iter()
            .filter(|rule| !blocked.contains(rule))
        {
            self.faults
                .push(format!("{rule} blocks nothing, only {blocked:?}"));
        }
        for rule in expect.found.iter().filter(|rule| !broken.contains(rule)) {
            self.faults
                .push(format!("{rule} is not found, only {broken:?}"));
        }
        for rule in expect.not_found.iter().filter(|rule| broken.contains(rule)) {
            self.faults.push(format!("{rule} is found"));
        }
    }

    fn places(&mut self, expect: &Expect, decided: &Decided<'_>, request: &Value) {
        let cas = decided.answer().outcome.cas_latency;
        self.same(
            "the CAS latency",
            expect.cas_latency.map(Value::from),
            json!(cas),
        );
        let placed = self.body["placement"]["slots"].clone();
        if let Some(wanted) = &expect.slots {
            let mut found: Vec<&str> = list(&placed).filter_map(|s| s["slot"].as_str()).collect();
            let mut wanted: Vec<&str> = wanted.iter().map(String::as_str).collect();
            found.sort_unstable();
            wanted.sort_unstable();
            self.same("the slots", Some(json!(wanted)), json!(found));
        }
        if let Some(first) = expect.one_of.first() {
            let mut seats = vec![None; first.len()];
            for slot in list(&placed) {
                let position = slot["position"].as_u64().unwrap() as usize;
                seats[first.len() - position] = slot["module"].as_str().map(str::to_owned);
            }
            if !expect.one_of.contains(&seats) {
                let wanted = &expect.one_of;
                self.faults
                    .push(format!("placed as {seats:?}, not as one of {wanted:?}"));
            }
        }
        if !self.faults.is_empty() {
            self.faults.push(format!("the request was {request}"));
        }
    }
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}
