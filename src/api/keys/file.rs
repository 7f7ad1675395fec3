//! The file of keys: what an operator keeps, and how it is read and written.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::text::{ID_LENGTH, SecretDigest};
use crate::api::extract::{Refusal, read_json};
use crate::api::problem::Problem;
use crate::api::scope::Scope;

/// The file of keys. It holds no secret: only digests of them.
#[derive(Clone, Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KeyFile {
    /// The keys.
    #[schema(max_items = 10_000)]
    pub keys: Vec<KeyRecord>,
}

/// A key: whose it is, what it opens and how often.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KeyRecord {
    /// The part of the key that is no secret.
    #[schema(min_length = 8, max_length = 8)]
    pub id: String,
    /// Whose it is, for people.
    #[schema(min_length = 1, max_length = 100)]
    pub name: String,
    /// SHA-256 over the secret, in hexadecimal digits.
    #[schema(min_length = 64, max_length = 64)]
    pub secret_sha256: String,
    /// What it opens.
    #[schema(min_items = 1, max_items = 6)]
    pub scopes: Vec<Scope>,
    /// The last day on which it is good (UTC), such as `2027-12-31`; always good if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(min_length = 10, max_length = 10)]
    pub last_day: Option<String>,
    /// Requests that it may make in each minute; as the service says for all if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 10_000_000)]
    pub per_minute: Option<u32>,
}

/// Reads a file of keys.
///
/// # Errors
/// Everything that is wrong with it, a line each. Nothing of the content is repeated but names.
pub fn read(bytes: &[u8]) -> Result<KeyFile, String> {
    let file: KeyFile = read_json(bytes).map_err(|refusal| told(refusal).join("\n"))?;
    let faults = faults(&file);
    if faults.is_empty() {
        Ok(file)
    } else {
        Err(faults.join("\n"))
    }
}

/// A refusal of a file of settings, a line for each fault.
pub fn told(refusal: Refusal) -> Vec<String> {
    let problem = Problem::from(refusal);
    if problem.faults.list.is_empty() {
        return vec![problem.detail];
    }
    let faults = problem.faults.list.iter();
    let line = |fault: &crate::wirecheck::Fault| match fault.pointer.as_str() {
        "" => fault.message.clone(),
        place => format!("{place}: {}", fault.message),
    };
    faults.map(line).collect()
}

fn faults(file: &KeyFile) -> Vec<String> {
    let mut faults = Vec::new();
    let mut ids = BTreeSet::new();
    for (place, key) in file.keys.iter().enumerate() {
        let mut fault = |member: &str, text: &str| {
            faults.push(format!("/keys/{place}/{member}: {text}"));
        };
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
        if key.id.len() != ID_LENGTH || !key.id.chars().all(plain) {
            fault("id", "an id has 8 small letters and digits");
        }
        if !ids.insert(&key.id) {
            fault("id", "the id stands twice");
        }
        if SecretDigest::from_hex(&key.secret_sha256).is_none() {
            fault("secret_sha256", "the digest has 64 hexadecimal digits");
        }
        if key.name.chars().any(char::is_control) {
            fault("name", "the name holds a control character");
        }
        if key
            .last_day
            .as_deref()
            .is_some_and(|day| end_of(day).is_none())
        {
            fault("last_day", "a day is written as `2027-12-31`");
        }
    }
    faults
}

/// The first second after a day that is written as `YYYY-MM-DD`, counted from 1970 in UTC.
pub fn end_of(day: &str) -> Option<u64> {
    let mut parts = day.split('-').map(str::parse::<i64>);
    let (Some(Ok(year)), Some(Ok(month)), Some(Ok(date)), None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return None;
    };
    let leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    let longest = match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        _ => return None,
    };
    if !(1..=longest).contains(&date) || !(1970..=9999).contains(&year) || day.len() != 10 {
        return None;
    }
    // Days from a March-based year, so that the leap day comes last.
    let (y, m) = if month > 2 {
        (year, month - 3)
    } else {
        (year - 1, month + 9)
    };
    let days = 365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + date - 1 - 719_468;
    u64::try_from((days + 1) * 86_400).ok()
}

/// The file's text.
pub fn write(file: &KeyFile) -> String {
    // Text, numbers and lists only: this cannot fail.
    let mut text = serde_json::to_string_pretty(file).unwrap_or_default();
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_end_when_the_next_begins() {
        // Known instants of POSIX time.
        assert_eq!(end_of("1970-01-01"), Some(86_400));
        assert_eq!(end_of("1999-12-31"), Some(946_684_800));
        assert_eq!(end_of("2000-02-29"), Some(951_868_800));
        assert_eq!(end_of("2023-11-14"), Some(1_700_006_400));
        for bad in [
            "2027-02-29",
            "2027-13-01",
            "2027-1-1",
            "2027-00-10",
            "soon",
            "2027-01-01-01",
        ] {
            assert_eq!(end_of(bad), None, "{bad}");
        }
    }

    #[test]
    fn everything_wrong_is_told_at_once() {
        let text = r#"{"keys": [
            {"id": "ABCDEFGH", "name": "a", "secret_sha256": "0000000000000000000000000000000000000000000000000000000000000000", "scopes": ["decide"]},
            {"id": "abcdefgh", "name": "b", "secret_sha256": "zz00000000000000000000000000000000000000000000000000000000000000", "scopes": ["read"], "last_day": "2027-02-30"}
        ]}"#;
        let told = read(text.as_bytes()).unwrap_err();
        assert_eq!(told.lines().count(), 3, "{told}");
        let told = read(br#"{"keys": [{"id": "abcdefgh", "nam": "a"}]}"#).unwrap_err();
        assert!(
            told.contains("/keys/0/nam") && told.lines().count() >= 3,
            "{told}"
        );
        assert!(read(b"{").is_err());
    }
}
