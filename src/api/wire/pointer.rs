//! JSON Pointers to lines and entries of a request. An answer has one for each slot and several for each
//! finding, so they are put together by hand.

/// `/LIST/INDEX`.
pub fn entry(list: &str, index: usize) -> String {
    written(list, index, "")
}

/// `/LIST/INDEX/MEMBER`.
pub fn member(list: &str, index: usize, member: &str) -> String {
    written(list, index, member)
}

fn written(list: &str, index: usize, member: &str) -> String {
    let mut pointer = String::with_capacity(list.len() + member.len() + 8);
    pointer.push('/');
    pointer.push_str(list);
    pointer.push('/');
    digits(&mut pointer, index);
    if !member.is_empty() {
        pointer.push('/');
        pointer.push_str(member);
    }
    pointer
}

fn digits(text: &mut String, number: usize) {
    if number >= 10 {
        digits(text, number / 10);
    }
    text.push(char::from(b'0' + (number % 10) as u8));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_everywhere() {
        for index in (0..1200).chain([99_999, 100_000, usize::MAX]) {
            assert_eq!(entry("kit", index), format!("/kit/{index}"));
        }
        assert_eq!(member("installed", 40, "module"), "/installed/40/module");
    }
}
