//! The answers to the examples, from the application itself.

use std::collections::BTreeMap;
use std::time::Duration;

use actix_web::test::{TestRequest, call_service, init_service, read_body};
use actix_web::web::Data;

use super::{GenerateError, Product};
use crate::api::endpoint::Example;
use crate::api::{AppState, ENDPOINTS, document, examples, server};
use crate::catalogue::embedded;
use crate::settings::Settings;

/// The folder of the examples, from the root of the repository.
const FOLDER: &str = "openapi/examples";

/// `NAME.answer.json` for every example.
pub fn files() -> Result<Vec<Product>, GenerateError> {
    let product = |(name, text)| Product::new(format!("{FOLDER}/{name}.answer.json"), text);
    Ok(answers()?.into_iter().map(product).collect())
}

/// What the application answers to every example, by the example's name.
pub fn answers() -> Result<BTreeMap<&'static str, String>, GenerateError> {
    let failed = |error: document::DocumentError| GenerateError::Content(error.to_string());
    let document = document::build(ENDPOINTS).map_err(failed)?;
    let settings = Settings {
        // An unoptimised build on a busy machine takes its time.
        answer_timeout: Duration::from_secs(600),
        ..Settings::default()
    };
    let state = AppState::new(settings, document, embedded::shared());
    let ask = ask_all(Data::new(state));
    actix_web::rt::System::new().block_on(ask)
}

async fn ask_all(state: Data<AppState>) -> Result<BTreeMap<&'static str, String>, GenerateError> {
    let app = init_service(server::app(state, ENDPOINTS.to_vec())).await;
    let mut all = BTreeMap::new();
    for example in examples::all() {
        let answer = call_service(&app, request(&example).to_request()).await;
        let status = answer.status();
        let body = read_body(answer).await;
        let text = String::from_utf8_lossy(&body);
        if status != 200 {
            let fault = format!(
                "the example `{}` is answered with {status}: {text}",
                example.name
            );
            return Err(GenerateError::Content(fault));
        }
        all.insert(example.name, pretty(&text));
    }
    Ok(all)
}

fn request(example: &Example) -> TestRequest {
    match example.request {
        Some(body) => TestRequest::post()
            .uri(example.path)
            .insert_header(("content-type", "application/json"))
            .set_payload(body),
        None => TestRequest::get().uri(example.path),
    }
}

/// Compact JSON with a line for each member, and a line's end at the end. The order stays, which a
/// parsed value would not keep.
fn pretty(compact: &str) -> String {
    let mut out = String::with_capacity(compact.len() * 2);
    let (mut depth, mut text, mut escaped, mut opened) = (0, false, false, false);
    for letter in compact.chars() {
        let closes = !text && matches!(letter, '}' | ']');
        if closes {
            depth -= 1;
        }
        if opened != closes {
            new_line(&mut out, depth);
        }
        opened = !text && matches!(letter, '{' | '[');
        if opened {
            depth += 1;
        }
        out.push(letter);
        match letter {
            ',' if !text => new_line(&mut out, depth),
            ':' if !text => out.push(' '),
            '"' if !escaped => text = !text,
            _ => {}
        }
        escaped = text && letter == '\\' && !escaped;
    }
    out.push('\n');
    out
}

fn new_line(out: &mut String, depth: usize) {
    out.push('\n');
    out.extend(std::iter::repeat_n("  ", depth));
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use std::path::Path;

    #[test]
    fn breaks_lines_as_the_usual_printer_does() {
        for value in [
            serde_json::json!({}),
            serde_json::json!([[], {}, [1, 2], {"a": {}, "b": []}]),
            serde_json::json!({"a": "x,:{}[]\"\\", "b\\\"": [true, null, -1.5, "\\"]}),
        ] {
            let usual = serde_json::to_string_pretty(&value).unwrap() + "\n";
            assert_eq!(pretty(&value.to_string()), usual);
        }
    }

    #[test]
    fn every_file_of_the_folder_belongs_to_an_example() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(FOLDER);
        let mut found: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|file| file.unwrap().file_name().into_string().unwrap())
            .collect();
        let mut listed = Vec::new();
        for example in examples::all() {
            listed.push(format!("{}.answer.json", example.name));
            listed.extend(example.request.map(|_| format!("{}.json", example.name)));
        }
        found.sort();
        listed.sort();
        assert_eq!(found, listed);
    }
}
