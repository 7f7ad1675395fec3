//! The forms of an answer that is made of sentences: JSON, or something to read.

use actix_web::http::header::{self, HeaderMap};
use actix_web::{HttpResponse, HttpResponseBuilder};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::sync::LazyLock;

use super::accept::{self, JSON};
use super::problem::{Code, Problem};
use crate::render::page::Page;
use crate::render::words::Words;
use crate::render::{html, markdown, svg, text};

/// A form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Form {
    /// For programs.
    Json,
    /// Plain text, for a terminal.
    Text,
    /// For tickets.
    Markdown,
    /// To read and to print, with a drawing.
    Html,
    /// The drawing alone.
    Svg,
}

/// The media types of the forms, the usual one first.
pub const KINDS: &[&str] = &[
    JSON,
    "text/plain",
    "text/markdown",
    "text/html",
    "image/svg+xml",
];

/// What can be written in any form.
pub trait Written {
    /// As JSON.
    ///
    /// # Errors
    /// A fault of this program.
    fn json(&self, words: &Words) -> Result<Vec<u8>, Problem>;
    /// As a page.
    fn page(&self, words: &Words) -> Page;
    /// As a drawing (an SVG element), if there is something to draw.
    fn drawing(&self, words: &Words) -> Option<String>;
}

impl Form {
    /// The form that a caller likes best.
    ///
    /// # Errors
    /// A `not-acceptable` problem when the caller takes none.
    pub fn wished(headers: &HeaderMap) -> Result<Self, Problem> {
        Ok(match accept::choose(headers, KINDS)? {
            "text/plain" => Self::Text,
            "text/markdown" => Self::Markdown,
            "text/html" => Self::Html,
            "image/svg+xml" => Self::Svg,
            _ => Self::Json,
        })
    }

    /// The media type with its parameters.
    const fn content_type(self) -> &'static str {
        match self {
            Self::Json => JSON,
            Self::Text => "text/plain; charset=utf-8",
            Self::Markdown => "text/markdown; charset=utf-8; variant=GFM",
            Self::Html => "text/html; charset=utf-8",
            Self::Svg => "image/svg+xml",
        }
    }

    /// Writes something in this form.
    ///
    /// # Errors
    /// A `not-acceptable` problem where there is nothing to draw.
    pub fn write(self, what: &impl Written, words: &Words) -> Result<Vec<u8>, Problem> {
        let page = || what.page(words);
        Ok(match self {
            Self::Json => return what.json(words),
            Self::Text => text::plain(&page()).into_bytes(),
            Self::Markdown => markdown::markdown(&page()).into_bytes(),
            Self::Html => html::html(&page(), words).into_bytes(),
            Self::Svg => {
                let nothing = || {
                    let detail = "there is nothing to draw here; ask for another form";
                    Problem::new(Code::NotAcceptable, detail)
                };
                svg::document(&what.drawing(words).ok_or_else(nothing)?).into_bytes()
            }
        })
    }

    /// The begin of an answer with what was written.
    pub fn begin(self) -> HttpResponseBuilder {
        let mut answer = HttpResponse::Ok();
        answer.insert_header((header::CONTENT_TYPE, self.content_type()));
        if matches!(self, Self::Html | Self::Svg) {
            answer.insert_header((header::CONTENT_SECURITY_POLICY, POLICY.as_str()));
        }
        answer
    }
}

/// Pages may use their own style rules, known by their digests, and nothing else.
static POLICY: LazyLock<String> = LazyLock::new(|| {
    let digest = |rules: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(rules)));
    let rules: Vec<String> = html::styles().into_iter().map(digest).collect();
    format!(
        "default-src 'none'; style-src {}; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
        rules.join(" ")
    )
});
