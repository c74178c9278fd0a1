//! Rows, whose a mark was, ids that are merely alike, and that a damaged copy is noticed.

use super::*;
use crate::table::declared::Options;
use crate::text::DecimalMark;

fn entry<'a>(id: &'a str, name: &'a str, text: &'a str) -> Entry<'a> {
    Entry {
        id,
        name,
        text: Some(text),
        ours: None,
    }
}

fn wanted() -> Wanted<'static> {
    Wanted {
        columns: &["ropes-1"],
        ..Wanted::default()
    }
}

fn fill(text: &str, entries: &[Entry<'_>]) -> Result<(Changes, String), Vec<Diagnostic>> {
    let is_student = |id: &str| entries.iter().any(|entry| entry.id == id);
    let gradebook = Gradebook::find(text.as_bytes(), "g.csv", &wanted(), &is_student)?;
    let plan = plan(&gradebook, entries, &Links::default(), DecimalMark::Point)?;
    let after = filled(&gradebook, &plan.changes)?;
    check(&gradebook, &after, &plan.changes).unwrap();
    Ok((plan, String::from_utf8(after).unwrap()))
}

#[test]
fn only_the_target_cells_change() {
    let entries = [entry("007", "Ada", "13"), entry("010", "Bo", "12.5")];
    let before =
        "id;\"name\";ropes-1;\"x\"\r\n 007 ;\"A;\"\"B\"\"\";;1\n010;Bo;\"\";\r\n\r\n999;Cy;4;\n";
    let (plan, after) = fill(before, &entries).unwrap();
    let expected = "id;\"name\";ropes-1;\"x\"\r\n 007 ;\"A;\"\"B\"\"\";13;1\n010;Bo;\"12.5\";\r\n\r\n999;Cy;4;\n";
    assert_eq!(after, expected);
    assert_eq!(
        (plan.changes.len(), plan.strange, plan.without.len()),
        (2, 1, 0)
    );
    let (again, after) = fill(&after, &entries).unwrap();
    assert_eq!((again.changes.len(), again.same), (0, 2));
    assert_eq!(after, expected);
}

/// At the desk nobody can type `--id-column`; the course file can say it.
#[test]
fn a_column_of_ids_that_is_not_found_is_named_where_one_can() {
    let of = |options, id_column, expected: &str| {
        let wanted = Wanted {
            id_column,
            declared: Declared {
                options,
                ..Declared::default()
            },
            ..wanted()
        };
        let found = Gradebook::find(b"who,ropes-1\n1,\n", "g.csv", &wanted, &|_| false);
        let help = found.unwrap_err().remove(0).help.unwrap_or_default();
        assert!(help.contains(expected), "{help}");
        assert_eq!(help.contains("--id-column"), expected == "--id-column");
    };
    of(Options::Plain, None, "--id-column");
    for id_column in [None, Some("whom")] {
        of(Options::Desk, id_column, "[gradebook]");
    }
}

#[test]
fn whose_a_mark_was_decides() {
    let text = "id,ropes-1\n1,\n2,5\n3,5.00\n4,6\n5,7\n6,5\n7,\n8, \n";
    let ours = |id, text, ours| Entry {
        id,
        name: "",
        text,
        ours,
    };
    let entries = [
        ours("1", Some("8"), None),
        ours("2", Some("8"), Some("5.0")),
        ours("3", Some("5"), Some("4")),
        ours("4", Some("8"), Some("5")),
        ours("5", Some("8"), None),
        ours("6", None, Some("5")),
        ours("7", Some("5"), Some("5")),
        ours("8", Some("8"), Some("")),
    ];
    let (plan, _) = fill(text, &entries).unwrap();
    let before: Vec<_> = plan
        .changes
        .iter()
        .map(|change| (change.line, change.before.clone()))
        .collect();
    assert_eq!(
        before,
        [
            (2, Before::Blank),
            (3, Before::Ours),
            (5, Before::Changed("5".into())),
            (6, Before::Unknown),
            (8, Before::Changed("5".into())),
            (9, Before::Blank),
        ]
    );
    assert_eq!((plan.same, plan.stale), (1, vec![(7, 5)]));
}

#[test]
fn a_damaged_copy_is_noticed() {
    let entries = [entry("1", "", "8"), entry("2", "", "9")];
    let text = "id,name,ropes-1\r\n1,Ada,\r\n2,Bo,\r\n";
    let gradebook = Gradebook::find(text.as_bytes(), "g.csv", &wanted(), &|_| true).unwrap();
    let plan = plan(&gradebook, &entries, &Links::default(), DecimalMark::Point).unwrap();
    let after = filled(&gradebook, &plan.changes).unwrap();
    let after = String::from_utf8(after).unwrap();
    check(&gradebook, after.as_bytes(), &plan.changes).unwrap();
    for (from, to) in [
        ("Ada", "Ava"),
        ("8", "7"),
        ("9\r\n", "9\n"),
        ("9\r\n", "9"),
        ("2,Bo,9\r\n", ""),
        ("Bo,", "Bo,,"),
        ("id", "id "),
        ("9\r\n", "9\r\n\r\n"),
        ("Bo,9", "Bo,\"9"),
        ("Ada,8", "Ada,"),
    ] {
        let damaged = after.replacen(from, to, 1);
        assert!(
            check(&gradebook, damaged.as_bytes(), &plan.changes).is_err(),
            "{from:?} {to:?}"
        );
    }
    // every byte counts
    for at in 0..after.len() {
        let mut damaged = after.clone().into_bytes();
        damaged[at] ^= 1;
        assert!(check(&gradebook, &damaged, &plan.changes).is_err(), "{at}");
    }
}

#[test]
fn an_id_that_is_merely_alike_needs_the_name_if_there_is_one() {
    let entries = [entry("007", "Ada Brandt", "1"), entry("010", "", "2")];
    for (row, is_only) in [
        ("Brandt,Ada B.,A", true),
        ("Brant,Ada,A", true),
        (",,A", true),
        (",,12", true),
        ("Ek,Bo,A", false),
        ("Brandt,Bo,A", false),
        ("Brandt,,A", false),
    ] {
        let text = format!("id,name,given,set,ropes-1\n7,{row},\n10,Ek,Bo,A,\n");
        let (plan, _) = fill(&text, &entries).unwrap();
        let near: Vec<_> = plan.near.iter().map(|near| near.is_only).collect();
        assert_eq!(near, [is_only, true], "{row}");
        assert_eq!(plan.near[0].is_other_name, !is_only, "{row}");
    }
}

/// Below the last row that is looked at may stand another that is like the same student.
#[test]
fn nobody_is_like_one_row_alone_where_not_all_rows_were_looked_at() {
    let ids: Vec<String> = (0..1500).map(|at| format!("0{}", at + 1)).collect();
    let entries: Vec<Entry<'_>> = ids.iter().map(|id| entry(id, "", "1")).collect();
    let rows = |count: usize| {
        let rows = (0..count).map(|at| format!("{},\n", at + 1));
        format!("id,ropes-1\n{}", rows.collect::<String>())
    };
    let only = |count| {
        let (plan, _) = fill(&rows(count), &entries).unwrap();
        plan.near.iter().filter(|near| near.is_only).count()
    };
    assert_eq!((only(900), only(1200)), (900, 0));
}

/// In Shift_JIS ポ is 0x83 0x7C, and the second byte is that of a bar.
/// Comparing each word with each would never end here, and a long word with another would take a gibibyte.
#[test]
fn names_are_sought_in_texts_of_any_length() {
    let entries = [
        entry("007", "Ada Brandt", "13"),
        entry("008", "Adabel Brandtner", "11"),
    ];
    let text = "brandt ".repeat(100_000) + &"a".repeat(10_000_000);
    let (plan, _) = fill(&format!("id,ropes-1,x\n1,,{text}\n"), &entries).unwrap();
    assert!(plan.near.is_empty());
    let (plan, _) = fill(&format!("id,ropes-1,x\n1,,{text} ada\n"), &entries).unwrap();
    let near: Vec<_> = plan.near.iter().map(|near| near.student).collect();
    assert_eq!(near, [0]);
}

#[test]
fn a_bar_that_may_be_half_of_a_character_separates_nothing() {
    let entries = [entry("1", "", "8")];
    let find = |text: &str, name: &str, delimiter: Option<u8>| {
        let encoding = encoding_rs::Encoding::for_label(name.as_bytes()).unwrap();
        let bytes = encoding.encode(text).0.into_owned();
        let wanted = Wanted {
            declared: Declared {
                encoding: Some(crate::table::encoding::Encoding::named(name).unwrap()),
                delimiter,
                ..Declared::default()
            },
            ..wanted()
        };
        let gradebook = Gradebook::find(&bytes, "g.csv", &wanted, &|id| id == "1")?;
        let plan = plan(&gradebook, &entries, &Links::default(), DecimalMark::Point)?;
        filled(&gradebook, &plan.changes).map(|after| encoding.decode(&after).0.into_owned())
    };
    for name in ["shift_jis", "gbk", "big5", "gb18030"] {
        let text = |mark: char| "id,name,ropes-1\n1,ポ,\n".replace(',', &mark.to_string());
        for mark in [',', ';', '\t'] {
            let after = format!("{}8\n", text(mark).trim_end_matches('\n'));
            assert_eq!(find(&text(mark), name, None).unwrap(), after, "{name}");
        }
        let told = find(&text('|'), name, Some(b'|')).unwrap_err();
        assert!(told[0].message.contains("half of a character"), "{name}");
        let by_line = find(&format!("sep=|\n{}", text('|')), name, None).unwrap_err();
        assert!(by_line[0].message.contains("half of a character"), "{name}");
        assert!(find(&text('|'), name, None).is_err(), "{name}");
    }
    let bars = "id|name|ropes-1\n1|Zoë|\n";
    let after = find(bars, "windows-1252", None).unwrap();
    assert_eq!(after, "id|name|ropes-1\n1|Zoë|8\n");
}

#[test]
fn the_row_of_a_student_is_no_half_of_a_heading() {
    let entries = [entry("1", "", "8"), entry("2", "", "9")];
    // the second line names the column in a remark of the first student
    for id in ["1", " 1", "=\"1\""] {
        let text = format!("id,name,note\n{id},Ada,ropes-1\n2,Bo,\n");
        assert!(fill(&text, &entries).is_err(), "{id}");
    }
    let text = "id,name,\n,,ropes-1\n1,Ada,\n2,Bo,\n";
    let (plan, after) = fill(text, &entries).unwrap();
    assert_eq!(plan.changes.len(), 2);
    assert_eq!(after, "id,name,\n,,ropes-1\n1,Ada,8\n2,Bo,9\n");
}

#[test]
fn near_matches_are_listed_and_never_taken() {
    let entries = [
        entry("004071", "Amina Okonjo-Bello", "1"),
        entry("1230000000000417", "Li Wei", "2"),
        entry("AB-12", "Bo Ek", "3"),
        entry("555", "Zoë D’Ambrisi", "4"),
        entry("777", "Mohamed Salah", "5"),
        entry("0088", "Same One", "6"),
        entry("088", "Same Two", "7"),
    ];
    let text = "id,surname,given,ropes-1\n4071,,,\n1.23E+15,,,\nab 12,,,\n9,\"D'Ambrisi\",Zoe,\n10,Salah,Mohammed,\n88,,,\n11,Other,Person,\n";
    let (plan, after) = fill(text, &entries).unwrap();
    assert_eq!(after, text);
    let near: Vec<_> = plan
        .near
        .iter()
        .map(|near| (near.student, near.line, near.likeness, near.is_only))
        .collect();
    assert_eq!(
        near,
        [
            (0, 2, Likeness::Zeros, true),
            (1, 3, Likeness::Rounded, true),
            (2, 4, Likeness::Spelling, true),
            (3, 5, Likeness::Name, true),
            (4, 6, Likeness::NearlyName, true),
            (5, 7, Likeness::Zeros, false),
            (6, 7, Likeness::Zeros, false),
        ]
    );
    let links: Links = [("4071".to_owned(), "004071".to_owned())]
        .into_iter()
        .collect();
    let gradebook = Gradebook::find(text.as_bytes(), "g.csv", &wanted(), &|_| false).unwrap();
    let linked = super::plan(&gradebook, &entries, &links, DecimalMark::Point).unwrap();
    assert_eq!(
        (linked.linked, linked.changes.len(), linked.changes[0].line),
        (1, 1, 2)
    );
}
