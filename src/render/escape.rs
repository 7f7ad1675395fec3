//! Text of callers and records inside markup: nothing of it is ever markup.

use std::borrow::Cow;

/// Text for XML and HTML, in elements and in quoted attributes.
///
/// Characters that XML 1.0 (section 2.2) does not allow become U+FFFD, so that a control character
/// in a name cannot spoil a whole drawing.
pub fn xml(text: &str) -> Cow<'_, str> {
    let plain = |c: char| !matches!(c, '&' | '<' | '>' | '"' | '\'') && is_allowed(c);
    if text.chars().all(plain) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if is_allowed(c) => out.push(c),
            _ => out.push('\u{FFFD}'),
        }
    }
    Cow::Owned(out)
}

/// Allowed in XML 1.0, and in HTML without a fault of its parser. Marks that turn the direction of
/// what follows are left out as well: a name must not rearrange the sentence around it.
fn is_allowed(c: char) -> bool {
    match c {
        '\t' | '\n' => true,
        c if c.is_control() => false,
        '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' => false,
        c => u32::from(c) & 0xFFFE != 0xFFFE && !('\u{FDD0}'..='\u{FDEF}').contains(&c),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_in_a_name_is_shown_and_not_obeyed() {
        assert_eq!(
            xml("<script>a('b') && \"c\"</script>"),
            "&lt;script&gt;a(&#39;b&#39;) &amp;&amp; &quot;c&quot;&lt;/script&gt;"
        );
        assert!(matches!(xml("ERW-3R32-4x4"), Cow::Borrowed(_)));
    }

    #[test]
    fn characters_that_xml_refuses_are_replaced() {
        assert_eq!(
            xml("a\u{0}b\u{1b}c\u{fffe}d\r"),
            "a\u{FFFD}b\u{FFFD}c\u{FFFD}d\u{FFFD}"
        );
        assert_eq!(xml("x\u{202e}y"), "x\u{FFFD}y");
        assert_eq!(xml("tab\tline\n"), "tab\tline\n");
    }
}
