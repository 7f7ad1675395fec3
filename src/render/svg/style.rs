//! Colours and patterns as style rules, and the shapes that are used many times.

use super::super::palette::{DARK, LIGHT, Palette};
use std::fmt::Write;
use std::sync::LazyLock;

/// The style and the patterns: the same for every drawing.
pub fn head() -> &'static str {
    &HEAD
}

/// The style rules alone.
pub fn rules() -> &'static str {
    &RULES
}

static HEAD: LazyLock<String> =
    LazyLock::new(|| format!("<style>{}</style><defs>{}</defs>", rules(), patterns()));

static RULES: LazyLock<String> = LazyLock::new(|| {
    format!(
        "{FIXED}{}@media screen and (prefers-color-scheme:dark){{{}}}",
        colours(&LIGHT),
        colours(&DARK)
    )
});

/// Everything but colours.
const FIXED: &str = ".kp{font:12px system-ui,'Noto Sans','Liberation Sans',Arial,sans-serif}\
.kp-h{font-size:14px;font-weight:700}.kp-b{font-weight:700}.kp-c{text-anchor:middle}\
.kp-t{font-size:11px}.kp-l{fill:none;stroke-width:1.2}.kp-o{stroke-width:1.5;stroke-dasharray:4 3}\
.kp-m{stroke-width:1.8}.kp-x{stroke-width:1.6;fill:none}";

fn colours(palette: &Palette) -> String {
    let Palette {
        paper,
        ink,
        line,
        alarm,
        modules,
    } = palette;
    let mut css = format!(
        ".kp-p{{fill:{paper}}}.kp text{{fill:{ink}}}.kp .kp-s{{fill:{line}}}.kp .kp-on{{fill:{paper}}}\
.kp-l,.kp-x{{stroke:{line}}}.kp-o{{fill:{paper};stroke:{line}}}.kp-m{{stroke:{ink}}}\
.kp-k{{fill:{ink}}}.kp-a{{fill:{alarm}}}"
    );
    for (index, colour) in modules.iter().enumerate() {
        let _ = write!(
            css,
            ".kp-f{index}{{fill:{colour}}}.kp-g{index}{{stroke:{colour};fill:none}}"
        );
    }
    css
}

/// Lines of a pattern of 8 by 8, and how thick they are. They differ in shape, not only in colour.
const PATTERNS: [(&str, &str); 6] = [
    ("M-2,2L2,-2M0,8L8,0M6,10L10,6", "2"),
    ("M2,2h2M6,6h2", "2.6"),
    ("M0,2h8M0,6h8", "1.6"),
    ("M-2,6L2,10M0,0L8,8M6,-2L10,2", "2"),
    ("M0,4h8M4,0v8", "1.6"),
    ("M2,0v8M6,0v8", "1.6"),
];

/// How many patterns there are.
pub const PATTERN_COUNT: usize = PATTERNS.len();

fn patterns() -> String {
    let mut defs = String::new();
    for (index, (path, width)) in PATTERNS.iter().enumerate() {
        let _ = write!(
            defs,
            "<pattern id=\"kp-p{index}\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\">\
<path class=\"kp-g{index}\" stroke-width=\"{width}\" d=\"{path}\"/></pattern>"
        );
    }
    defs
}
