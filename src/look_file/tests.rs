use super::*;

fn read(text: &str, map: &[&str], fixed: &[&str]) -> Result<Vec<LookRow>, String> {
    let mut columns = ColumnMap::default();
    for pair in map {
        columns.name(pair).unwrap();
    }
    for pair in fixed {
        columns.fix(pair).unwrap();
    }
    read_looks(text.as_bytes(), &columns)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

#[test]
fn blank_is_open_and_equal_is_exact() {
    let rows =
        read("stage,c,dose_percent,after_h,by_h\ngel,20,1,0.5,\ngel,20,1,,0.7\n\n# note\nGel,20,,0.6,0.6\n", &[], &[]);
    let hours = |row: &LookRow| (row.after.map(crate::units::Hours::get), row.by.map(crate::units::Hours::get));
    let rows = rows.unwrap();
    assert_eq!(
        rows.iter().map(hours).collect::<Vec<_>>(),
        [(Some(0.5), None), (None, Some(0.7)), (Some(0.6), Some(0.6))]
    );
    assert_eq!((rows[2].line, rows[2].dose, rows[2].count), (6, None, 1));
}

#[test]
fn columns_may_have_other_names_and_other_units() {
    let text = "Room;Set after;What\n19,5;45;Gel\n";
    let rows = read(text, &["c=room", "by_min=Set after", "stage=What"], &["trust=guess"]).unwrap();
    assert_eq!(rows[0].celsius.get().to_bits(), 19.5f64.to_bits());
    assert_eq!(rows[0].by.unwrap().get().to_bits(), 0.75f64.to_bits());
    assert!(rows[0].guessed);
}

#[test]
fn everything_that_is_wrong_is_told_at_its_place() {
    let text = "stage,c,after_h,by_h\nkicked,20,1,2\ngel,warm,1,2\ngel,20,3,2\ngel,20,,\ngel,,1,2\n";
    let told = read(text, &[], &[]).unwrap_err();
    for words in [
        "line 2, column 'stage', 'kicked' is not one of pot-life, gel",
        "line 3, column 'c', 'warm' is not a temperature in °C",
        "line 4, not there yet at 3 h, but there at 2 h",
        "line 5, neither a time",
        "line 6, column 'c', nothing is written. Write a temperature in °C, such as 19.5",
    ] {
        assert!(told.contains(words), "{words} not in:\n{told}");
    }
}

#[test]
fn a_file_without_the_columns_says_which_it_has() {
    let told = read("when,how\n1,2\n", &["stage=What"], &[]).unwrap_err();
    assert!(told.contains("no column is called 'What'; found 'when', 'how'"), "{told}");
    assert!(told.contains("no column is called 'c'") && told.contains("no column holds times"), "{told}");
    assert!(read("", &[], &[]).unwrap_err().contains("is empty"));
    assert!(read("c,by_h\n", &[], &[]).unwrap_err().contains("no observations"));
    let mut map = ColumnMap::default();
    assert!(map.name("colour=red").unwrap_err().to_string().contains("FACT one of: stage, c, dose_percent"));
}
