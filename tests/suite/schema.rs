//! The JSON Schema agrees with the reader: what the reader takes the schema takes, and keys the
//! reader does not know fail in both.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use paperweight::assignment::{PaperRules, PartRules, read, schema};
use paperweight::course::Course;
use paperweight::diagnostic::Source;
use serde_json::Value;

fn files(folder: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<_> = fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
    assert!(!paths.is_empty(), "{folder}");
    paths
}

/// A file's content as JSON; nothing where it is no TOML.
fn json(path: &Path) -> Option<Value> {
    let text = fs::read_to_string(path).unwrap();
    let table: toml::Table = text.parse().ok()?;
    Some(serde_json::to_value(table).unwrap())
}

#[test]
fn it_is_a_schema() {
    assert!(jsonschema::meta::is_valid(&schema()));
}

#[test]
fn every_good_file_satisfies_it() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    for folder in ["assignments", "tests/corpus/assignments", "tests/published"] {
        for path in files(folder) {
            let errors: Vec<String> = validator
                .iter_errors(&json(&path).unwrap())
                .map(|error| format!("{}: {error}", error.instance_path()))
                .collect();
            assert!(errors.is_empty(), "{}: {errors:?}", path.display());
        }
    }
}

#[test]
fn errors_of_form_fail_it() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let mut count = 0;
    let of_form = [
        "unknown-key-",
        "paper-rule-",
        "missing-",
        "wrong-",
        "empty-list",
        "too-many-variants",
        "sheet-with-a-part",
        "sheet-empty",
        "find-unit-missing",
        "late-without-limit",
        "cost-negative",
        "tolerance-bare-number",
    ];
    for path in files("tests/corpus/errors") {
        let name = path.file_stem().unwrap().to_str().unwrap();
        if !of_form.iter().any(|begin| name.starts_with(begin)) {
            continue;
        }
        count += 1;
        assert!(
            !validator.is_valid(&json(&path).unwrap()),
            "{name} satisfies the schema"
        );
    }
    assert!(count >= 20, "only {count} files looked at");
}

#[test]
fn every_key_is_explained() {
    let schema = schema();
    for (table, definition) in schema["definitions"].as_object().unwrap() {
        assert!(definition["description"].is_string(), "{table}");
        for (key, property) in definition["properties"].as_object().unwrap() {
            let description = property["description"].as_str().unwrap();
            assert!(description.contains("Example: "), "{table}.{key}");
        }
    }
}

#[test]
fn it_keeps_to_what_editors_know() {
    // Constructs of drafts 5 to 7 and later that draft 4 lacks (json-schema.org, release notes of
    // drafts 6 and 7; from memory).
    let text = schema().to_string();
    for newer in [
        "\"const\"",
        "\"contains\"",
        "\"if\"",
        "\"propertyNames\"",
        "\"examples\"",
        "exclusiveM",
        "$defs",
        "prefixItems",
    ] {
        assert!(!text.contains(newer), "{newer}");
    }
}

/// What a `[scheme]` of this one line comes to, for the paper and for its part.
fn scheme(line: &str) -> (PaperRules, PartRules) {
    let source = Source {
        name: "scheme.toml".into(),
        text: format!(
            r#"title = "t"
code = "c"
given.m = {{ fixed = "1 kg" }}
find.a = "kg"
equation.e = "a = m"
part = [{{ id = "a", ask = "?", answer = "a", points = 3 }}]
[scheme]
{line}"#
        ),
    };
    let outcome = read(&Arc::new(source), &Course::default());
    let sheet = outcome
        .sheet
        .unwrap_or_else(|| panic!("{line}: {:?}", outcome.findings));
    (
        sheet.paper.clone(),
        sheet.problems[0].parts[0].rules.clone(),
    )
}

/// The README lists what `[scheme]` may set, with the default that the key's own words name; and that is the
/// default.
#[test]
fn the_readme_lists_the_scheme() {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = fs::read_to_string(readme).unwrap();
    let schema = schema();
    let keys = schema["definitions"]["mark_scheme"]["properties"]
        .as_object()
        .unwrap();
    assert!(keys.len() > 10);
    for (key, shape) in keys {
        let mut rows = readme.lines().filter(|line| line.starts_with("| `"));
        let row = rows.find(|row| row.contains(&format!("`{key}`")));
        let row = row.unwrap_or_else(|| panic!("README.md: no row for `{key}`"));
        let about = shape["description"].as_str().unwrap();
        let Some((before, after)) = about.split_once("(default") else {
            continue;
        };
        // `(default 1)`, or the word before: `"once" a paper (default)`.
        let named = after.split([')', ';']).next().unwrap().trim();
        let before = before.rsplit(';').next().unwrap();
        let default = match before.split('"').nth(1) {
            Some(word) if named.is_empty() => word,
            _ if named.is_empty() => before.trim().rsplit(' ').next().unwrap(),
            _ => named,
        };
        let cell = row.split('|').nth(2).unwrap();
        assert!(
            cell.contains(default),
            "README.md: `{key}` is {default} by default"
        );
        let quoted = format!("\"{}\"", default.trim_matches('"'));
        let bare = default.parse::<f64>().is_ok() || default == "false";
        let line = format!("{key} = {}", if bare { default } else { &quoted });
        assert_eq!(scheme(&line), scheme(""), "{line} is the default");
    }
}
