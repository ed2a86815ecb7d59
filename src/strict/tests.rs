use super::{Field, Key, Mistake, Problem, Reported, Table, read};
use crate::units::Millimetres;

const DEPTH: Key = Key::new("depth_mm", "10");
const LABEL: Key = Key::new("label", "\"pond\"");
const LAYER: Key = Key::new("layer", "[[layer]]");

fn problems<T: std::fmt::Debug>(
    source: &str,
    reader: impl FnOnce(&mut Table<'_>) -> Result<T, Reported>,
) -> Vec<Problem> {
    read(source, reader).unwrap_err()
}

fn depth(table: &mut Table<'_>) -> Result<Millimetres, Reported> {
    Ok(table.required(DEPTH, |field| field.quantity(Millimetres::new))?.into_inner())
}

#[test]
fn whole_and_decimal_figures_read_in_every_toml_spelling() {
    for (source, expected) in [("10", 10.0), ("1_000", 1000.0), ("0x10", 16.0), ("2.5", 2.5), ("25e-1", 2.5)] {
        let read = read(&format!("depth_mm = {source}"), depth).unwrap();
        assert_eq!(read.value, Millimetres::new(expected).unwrap(), "{source}");
    }
}

#[test]
fn every_problem_is_kept_in_the_order_of_the_file() {
    let found = problems("label = 3\ndepht_mm = 2\n", |table| {
        let (depth, label) = (depth(table), table.required(LABEL, Field::text));
        Ok((depth?, label?))
    });
    let spans: Vec<_> = found.iter().map(|problem| problem.span.clone()).collect();
    assert_eq!(spans, [8..9, 10..18]);
    assert_eq!(found[1].remedy, "write depth_mm = 2");
}

#[test]
fn unknown_keys_alone_refuse_a_file() {
    let found = problems("depth_mm = 3\ncolour = \"amber\"", depth);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].remedy, "take it out; known here: depth_mm");
}

#[test]
fn where_the_deciding_key_is_bad_nothing_is_said_of_the_others() {
    let kind = Key::new("kind", "\"round\"");
    let found = problems("kind = 1\nradius = 3", |table| {
        table.deciding(kind, |field| field.choice(&[("round", 1), ("square", 2)]))?;
        Ok(())
    });
    assert_eq!(found.len(), 1);
    assert!(found[0].what.contains("'kind'"));
}

#[test]
fn every_table_of_a_list_is_read() {
    let found = problems("[[layer]]\ndepth_mm = 0\n[[layer]]\ndepth_mm = 3\n[[layer]]\n", |table| {
        table.required(LAYER, |field| field.tables(depth))
    });
    let words: Vec<&str> = found.iter().map(|problem| problem.what.as_str()).collect();
    assert_eq!(words, ["'depth_mm' must be a length in millimetres above 0", "'depth_mm' is missing in [[layer]]"]);
}

#[test]
fn a_file_that_is_no_toml_tells_each_bad_line() {
    let found = problems("depth_mm = 1 in\nlabel = pond water\nlabel = \"x\"\n", depth);
    let remedies: Vec<&str> = found.iter().map(|problem| problem.remedy.as_str()).collect();
    assert_eq!(
        remedies,
        ["write depth_mm = 25.4", "write label = \"pond water\"", "keep one of the two and take the other out"]
    );
}

#[test]
fn text_with_its_own_form_says_its_own_mistake() {
    let found = problems("label = \"3:4:5\"", |table| {
        table.required(LABEL, |field| {
            field.parsed(|text| -> Result<(), Mistake> {
                Err(Mistake { what: format!("{text} is odd"), remedy: "write less".to_owned() })
            })
        })
    });
    assert_eq!((found[0].what.as_str(), found[0].remedy.as_str()), ("3:4:5 is odd", "write less"));
}

#[test]
fn nothing_hostile_gets_into_a_message() {
    let found = problems("\"de\\u001bpth\" = 1\n\"x\\u202e\" = \"\\u0007y\"\ndepth_mm = \"\\u009b1m\"", depth);
    assert_eq!(found.len(), 3);
    for Problem { what, value, remedy, .. } in &found {
        let all = format!("{what}{}{remedy}", value.as_deref().unwrap_or_default());
        assert!(!all.chars().any(crate::text::is_hostile), "{all:?}");
    }
}

#[test]
fn warnings_do_not_refuse_a_file() {
    let outcome = read("depth_mm = 90", |table| {
        let depth = table.required(DEPTH, |field| field.quantity(Millimetres::new))?;
        table.warn(Problem::new(depth.span(), "that is deep", Some("90"), "pour less"));
        Ok(depth.into_inner())
    });
    assert_eq!(outcome.unwrap().warnings.len(), 1);
}

#[test]
fn a_hidden_character_is_refused_wherever_it_stands() {
    let cases = [
        ("depth_mm = 3 # \u{9b}2J", 15..17, "U+009B"),
        ("# shells\r\n#\t\u{202e}3\u{202c}\r\ndepth_mm = 3", 12..15, "U+202E"),
        ("depth_mm = 3\nlabel = \"po\u{200b}nd\"", 24..27, "U+200B"),
        ("\u{feff}depth_mm = 3 # \u{feff}", 18..21, "U+FEFF"),
        ("depth_mm = 3 # \u{e0041}", 15..19, "U+E0041"),
        ("depth_mm = 3 # \u{1b}[2J", 15..16, "U+001B"),
    ];
    for (source, span, code) in cases {
        let found = problems(source, |table| {
            let (depth, label) = (depth(table), table.optional(LABEL, Field::text));
            Ok((depth?, label?))
        });
        assert_eq!(found.len(), 1, "{source:?}: {found:?}");
        assert_eq!(found[0].span, span, "{source:?}");
        assert!(found[0].what.ends_with(&format!("({code})")), "{}", found[0].what);
    }
}

#[test]
fn hidden_characters_are_told_beside_every_other_problem() {
    let spans = |source| problems(source, depth).into_iter().map(|problem| problem.span).collect::<Vec<_>>();
    assert_eq!(spans("# \u{9b}\u{9b}\ndepth_mm = 0"), [2..4, 18..19]);
    assert_eq!(spans("depth_mm = 3mm\n# \u{9b}\n"), [11..14, 17..19], "where the file is no TOML at all");
}

#[test]
fn tabs_line_ends_and_a_byte_order_mark_are_no_hidden_characters() {
    assert!(read("\u{feff}# a pond,\t° and ü\r\n\tdepth_mm = 3\r\n", depth).is_ok());
}

#[test]
fn true_and_false_are_read_and_their_likes_are_corrected() {
    let held = Key::new("held", "true");
    let truth = |table: &mut Table<'_>| table.required(held, Field::truth).map(super::Spanned::into_inner);
    assert!(read("held = true", truth).unwrap().value && !read("held = false", truth).unwrap().value);
    for (source, remedy) in [
        ("held = \"No\"", "write held = false"),
        ("held = \"yes\"", "write held = true"),
        ("held = 1", "write held = true"),
        ("held = True", "write held = true, or held = \"True\" where it is a text"),
        ("held = no", "write held = false, or held = \"no\" where it is a text"),
    ] {
        assert_eq!(problems(source, truth)[0].remedy, remedy);
    }
}

#[test]
fn every_figure_of_a_list_is_read_in_its_place() {
    let depths = Key::new("depths_mm", "[10, 8]");
    let list = |table: &mut Table<'_>| {
        table.required(depths, |field| field.list("a list of depths", |depth| depth.quantity(Millimetres::new)))
    };
    let lengths: Vec<f64> =
        read("depths_mm = [10, 2.5]", list).unwrap().value.iter().map(|depth| depth.get_ref().get()).collect();
    assert_eq!(lengths, [10.0, 2.5]);
    let found = problems("depths_mm = [\"1 in\", 0]", list);
    let told: Vec<_> = found.iter().map(|problem| (problem.span.clone(), problem.remedy.as_str())).collect();
    let length = "write a length in millimetres above 0, as in depths_mm = [10, 8]";
    assert_eq!(told, [(13..19, "write 25.4 in its place"), (21..22, length)]);
    assert_eq!(problems("depths_mm = 10", list)[0].remedy, "write depths_mm = [10, 8]");
}

#[test]
fn a_list_that_is_too_long_is_told_at_the_first_too_many() {
    let found = problems("[[layer]]\n[[layer]]\ndepth_mm = 1\n[[layer]]\n", |table| {
        table.required(LAYER, |field| field.counted(0..=1)?.tables(depth))
    });
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].span.clone(), found[0].what.contains("1 fit, and there are 3")), (10..19, true));
}

#[test]
fn one_of_several_missing_keys_may_be_there_in_disguise() {
    let one_of = |table: &mut Table<'_>| -> Result<(), Reported> {
        let (depth, label) = (table.optional(DEPTH, Field::number), table.optional(LABEL, Field::text));
        match (depth?, label?) {
            (None, None) => Err(table.missing_any(&[DEPTH, LABEL], "nothing says which", "add one")),
            _ => Ok(()),
        }
    };
    assert_eq!(problems("", one_of)[0].what, "nothing says which");
    let found = problems("lable = \"pond\"", one_of);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].remedy, "write label = \"pond\"");
}

#[test]
fn what_is_said_of_a_value_later_repeats_it_as_written() {
    let found = problems("depth_mm = 0x10\nlabel = \"pond\"", |table| {
        let depth = table.required(DEPTH, |field| field.quantity(Millimetres::new))?;
        let label = table.required(LABEL, Field::text)?;
        table.fault(depth.span(), "too deep", "pour less");
        table.doubt(label.span(), "short", "write more");
        Ok(())
    });
    assert_eq!(found[0].value.as_deref(), Some("0x10"));
}

#[test]
fn a_key_that_is_refused_here_is_not_offered_here() {
    let found = problems("lable = \"x\"", |table| {
        table.unwanted(&[LABEL], "a depth has no label", "take it out");
        table.optional(DEPTH, Field::number)
    });
    assert_eq!(found[0].remedy, "take it out; known here: depth_mm");
}
