//! How a file parts its columns and writes its numbers.

/// How the file is written.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Dialect {
    delimiter: u8,
}

impl Dialect {
    /// Told from the header: semicolons or tabs where there are any, otherwise commas.
    pub fn of_header(header: &str) -> Self {
        Self { delimiter: [b';', b'\t'].into_iter().find(|d| header.as_bytes().contains(d)).unwrap_or(b',') }
    }

    pub fn reader(self, text: &[u8]) -> csv::Reader<&[u8]> {
        csv::ReaderBuilder::new()
            .delimiter(self.delimiter)
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text)
    }

    /// A finite number, with a decimal comma where commas do not part the columns.
    pub fn number(self, text: &str) -> Option<f64> {
        let plain = if self.delimiter == b',' { text.parse() } else { text.replacen(',', ".", 1).parse() };
        plain.ok().filter(|n: &f64| n.is_finite())
    }
}
