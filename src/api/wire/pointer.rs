//! JSON Pointers (RFC 6901) to lines and entries of a request.

/// `/LIST/INDEX`.
pub fn entry(list: &str, index: usize) -> String {
    format!("/{list}/{index}")
}

/// `/LIST/INDEX/MEMBER`.
pub fn member(list: &str, index: usize, member: &str) -> String {
    format!("/{list}/{index}/{member}")
}
