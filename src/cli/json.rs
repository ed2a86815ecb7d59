//! JSON as every command prints it.

use crate::text::is_hostile;
use serde::Serialize;
use serde_json::Serializer;
use serde_json::ser::{Formatter, PrettyFormatter};
use std::io::{self, Write};

/// Prints pretty JSON with a line end. Characters that a terminal could take as an order, which may stand in the text of
/// a file and which JSON leaves as they are, are written as `\uXXXX`: the same text to whoever reads the JSON.
pub(super) fn print_json(value: &impl Serialize, out: &mut impl Write) -> io::Result<()> {
    value.serialize(&mut Serializer::with_formatter(&mut *out, Harmless(PrettyFormatter::new())))?;
    writeln!(out)
}

/// Pretty printing with all hostile characters escaped.
struct Harmless(PrettyFormatter<'static>);

impl Formatter for Harmless {
    fn write_string_fragment<W: ?Sized + Write>(&mut self, out: &mut W, fragment: &str) -> io::Result<()> {
        for piece in fragment.split_inclusive(is_hostile) {
            let harmless = piece.trim_end_matches(is_hostile);
            out.write_all(harmless.as_bytes())?;
            for unit in piece[harmless.len()..].encode_utf16() {
                write!(out, "\\u{unit:04x}")?;
            }
        }
        Ok(())
    }

    fn begin_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.0.begin_array(out)
    }

    fn end_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.0.end_array(out)
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.0.begin_array_value(out, first)
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.0.end_array_value(out)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.0.begin_object(out)
    }

    fn end_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.0.end_object(out)
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.0.begin_object_key(out, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.0.begin_object_value(out)
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.0.end_object_value(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    fn printed(value: &impl Serialize) -> String {
        let mut out = Vec::new();
        print_json(value, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn hostile_characters_are_escaped_in_values_and_keys() {
        let shown = printed(&json!({ "a\u{9b}": "pond\u{202e}\u{7f} ü \u{e0001}\"\n" }));
        assert_eq!(shown, "{\n  \"a\\u009b\": \"pond\\u202e\\u007f ü \\udb40\\udc01\\\"\\n\"\n}\n");
    }

    #[test]
    fn harmless_json_is_printed_as_ever() {
        let value =
            json!({ "batches": [{ "batch": 1, "bench_c": 19.5, "note": null }, []], "empty": {}, "stands": true });
        assert_eq!(printed(&value), format!("{}\n", serde_json::to_string_pretty(&value).unwrap()));
    }

    proptest! {
        #[test]
        fn any_text_reads_back_and_nothing_hostile_is_printed(text in any::<String>()) {
            let shown = printed(&text);
            prop_assert_eq!(&serde_json::from_str::<String>(&shown).unwrap(), &text);
            prop_assert!(!shown.trim_end_matches('\n').chars().any(is_hostile));
        }
    }
}
