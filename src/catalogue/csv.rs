//! Tables of comma-separated values (RFC 4180), as spreadsheets write them.
//!
//! Pure. A byte order mark and lines that end in LF only are taken, since spreadsheets write both;
//! everything else is read strictly, and a fault names its line.

/// A table: its columns and its rows, each with the number of its first line.
#[derive(Debug, PartialEq, Eq)]
pub struct Table {
    /// Names of the columns, from the first line.
    pub columns: Vec<String>,
    /// Rows that are not empty. Each has as many fields as there are columns.
    pub rows: Vec<(usize, Vec<String>)>,
}

/// A line that cannot be read.
#[derive(Debug, PartialEq, Eq)]
pub struct BadLine {
    /// Its number, counted from 1.
    pub line: usize,
    /// What is wrong with it.
    pub why: String,
}

/// Reads a table.
///
/// # Errors
/// The first line that cannot be read: what follows it cannot be told apart.
pub fn read(text: &str) -> Result<Table, BadLine> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut rest = Rest { text, line: 1 };
    let columns = rest.row()?.unwrap_or_default();
    let columns: Vec<String> = columns.iter().map(|name| name.trim().to_owned()).collect();
    let mut rows = Vec::new();
    loop {
        let line = rest.line;
        let Some(fields) = rest.row()? else { break };
        if matches!(fields.as_slice(), [only] if only.is_empty()) {
            continue;
        }
        if fields.len() != columns.len() {
            let why = format!("{} fields, but {} columns", fields.len(), columns.len());
            return Err(BadLine { line, why });
        }
        rows.push((line, fields));
    }
    Ok(Table { columns, rows })
}

/// What is still to be read.
struct Rest<'a> {
    text: &'a str,
    line: usize,
}

impl Rest<'_> {
    /// The fields of the next row; nothing at the end.
    fn row(&mut self) -> Result<Option<Vec<String>>, BadLine> {
        if self.text.is_empty() {
            return Ok(None);
        }
        let mut fields = Vec::new();
        loop {
            fields.push(self.field()?);
            if let Some(rest) = self.text.strip_prefix(',') {
                self.text = rest;
                continue;
            }
            let text = self.text;
            let ended = text
                .strip_prefix("\r\n")
                .or_else(|| text.strip_prefix('\n'));
            self.text = ended.unwrap_or_default();
            self.line += 1;
            return Ok(Some(fields));
        }
    }

    fn field(&mut self) -> Result<String, BadLine> {
        match self.text.strip_prefix('"') {
            Some(rest) => self.quoted(rest),
            None => self.plain(),
        }
    }

    fn plain(&mut self) -> Result<String, BadLine> {
        let end = self.text.find([',', '\n']).unwrap_or(self.text.len());
        let (field, rest) = self.text.split_at(end);
        let (field, rest) = match field.strip_suffix('\r') {
            Some(shorter) if !rest.starts_with(',') => (shorter, rest),
            _ => (field, rest),
        };
        if field.contains(['"', '\r']) {
            return Err(self.bad("a field with a quotation mark must stand in quotation marks"));
        }
        self.text = rest;
        Ok(field.to_owned())
    }

    /// A field after its opening mark.
    fn quoted(&mut self, mut rest: &str) -> Result<String, BadLine> {
        let first = self.line;
        let mut field = String::new();
        loop {
            let Some((before, after)) = rest.split_once('"') else {
                self.line = first;
                return Err(self.bad("a quotation mark is never closed"));
            };
            field.push_str(before);
            self.line += before.matches('\n').count();
            match after.strip_prefix('"') {
                Some(after) => {
                    field.push('"');
                    rest = after;
                }
                None => {
                    // Borrowed from the same text as `self.text`.
                    let from = self.text.len() - after.len();
                    self.text = self.text.get(from..).unwrap_or_default();
                    break;
                }
            }
        }
        let closed = self.text.is_empty()
            || [",", "\n", "\r\n"]
                .iter()
                .any(|end| self.text.starts_with(end));
        match closed {
            true => Ok(field),
            false => Err(self.bad("text stands after a closing quotation mark")),
        }
    }

    fn bad(&self, why: &str) -> BadLine {
        BadLine {
            line: self.line,
            why: why.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str) -> Vec<(usize, Vec<String>)> {
        read(text).unwrap().rows
    }

    fn bad(text: &str) -> usize {
        read(text).unwrap_err().line
    }

    /// RFC 4180, section 2, rules 1 to 7.
    #[test]
    fn reads_what_the_standard_shows() {
        for text in [
            "h,i,j\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
            "h,i,j\naaa,bbb,ccc\nzzz,yyy,xxx",
        ] {
            let table = read(text).unwrap();
            assert_eq!(table.columns, ["h", "i", "j"]);
            assert_eq!(
                table.rows[1],
                (3, vec!["zzz".into(), "yyy".into(), "xxx".into()])
            );
        }
        let marks = rows("h,i,j\r\n\"aaa\",\"b\r\nbb\",\"ccc\"\r\n\"a\"\"b\",,\r\n");
        assert_eq!(
            marks[0],
            (2, vec!["aaa".into(), "b\r\nbb".into(), "ccc".into()])
        );
        assert_eq!(
            marks[1],
            (4, vec!["a\"b".into(), String::new(), String::new()])
        );
    }

    #[test]
    fn takes_what_spreadsheets_add() {
        let table = read("\u{feff}part , label\r\nA,\"32GB, 2Rx4\"\r\n\r\n").unwrap();
        assert_eq!(table.columns, ["part", "label"]);
        assert_eq!(table.rows, [(2, vec!["A".into(), "32GB, 2Rx4".into()])]);
        assert_eq!(read("").unwrap().columns, Vec::<String>::new());
    }

    #[test]
    fn names_the_line_that_cannot_be_read() {
        assert_eq!(bad("a,b\n1,2\n3\n"), 3);
        assert_eq!(bad("a,b\n1,2\n3,4,5\n"), 3);
        assert_eq!(bad("a\n\"open\n\n"), 2);
        assert_eq!(bad("a\nx\"y\n"), 2);
        assert_eq!(bad("a\n\"x\"y\n"), 2);
        assert_eq!(bad("a,b\n1,\"x\ny\"\n3\n"), 4);
    }
}
