//! The way through is the order of `lib.rs`: a module uses only those above it, and every file says
//! first what it is.
//!
//! Read as text: `crate::x` and `super::x` outside comments. A path that is put together by a macro or
//! renamed on the way would escape; there are none.

use std::path::{Path, PathBuf};

/// A source file: its path below `src`, with slashes, and its text.
struct File {
    path: String,
    text: String,
}

/// What is wrong with the files, for the modules in this order.
fn faults(order: &[String], files: &[File]) -> Vec<String> {
    let mut faults = Vec::new();
    for file in files {
        if !file.text.trim_start().starts_with("//!") {
            faults.push(format!(
                "src/{}: begin the file with //!: what goes in, what comes out, what is refused",
                file.path
            ));
        }
        let modules = module_path(&file.path);
        let Some(own) = modules.first() else { continue };
        let Some(own_place) = order.iter().position(|module| module == own) else {
            faults.push(format!(
                "src/{}: `{own}` is not declared in lib.rs as `pub mod {own};`",
                file.path
            ));
            continue;
        };
        for (number, line) in file.text.lines().enumerate() {
            let code = line.split("//").next().unwrap_or_default();
            for used in used(code, modules.len()) {
                let place = order.iter().position(|module| *module == used);
                if place.is_some_and(|place| place > own_place) {
                    faults.push(format!(
                        "src/{}:{}: `{own}` uses `{used}`, which comes after it in lib.rs: move what is shared up, \
                         or the caller down",
                        file.path,
                        number + 1,
                    ));
                }
            }
        }
    }
    faults
}

/// Modules above and including the file's own; none for the roots of the crate and the program.
fn module_path(path: &str) -> Vec<&str> {
    let path = path.strip_suffix(".rs").unwrap_or(path);
    let path = path.strip_suffix("/mod").unwrap_or(path);
    if path == "lib" || path == "main" {
        vec![]
    } else {
        path.split('/').collect()
    }
}

/// The names right below the crate's root that a line uses, in a file so many modules deep.
fn used(code: &str, depth: usize) -> Vec<String> {
    let mut names = Vec::new();
    for (at, _) in code.match_indices("crate::") {
        let before = code[..at].chars().next_back();
        if !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '$') {
            names.extend(heads(&code[at + "crate::".len()..]));
        }
    }
    let to_root = "super::".repeat(depth);
    for (at, _) in code.match_indices(&to_root) {
        // one `super` more comes from a module within the file, and this one does not reach the root
        if depth > 0 && !code[..at].ends_with("super::") {
            names.extend(heads(&code[at + to_root.len()..]));
        }
    }
    names
}

/// The first names of a path or of a group of paths: `a::{b, c}`, `{a::b, c::{d, e}}`.
fn heads(path: &str) -> Vec<String> {
    let Some(group) = path.strip_prefix('{') else {
        let end = path
            .find(|c: char| !c.is_alphanumeric() && c != '_')
            .unwrap_or(path.len());
        return vec![path[..end].to_owned()];
    };
    let mut heads = Vec::new();
    let mut depth = 0;
    let mut head = String::new();
    for c in group.chars() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => heads.push(std::mem::take(&mut head)),
            _ if depth == 0 => head.push(c),
            _ => {}
        }
    }
    heads.push(head);
    let first = |head: String| {
        head.split("::")
            .next()
            .unwrap_or_default()
            .trim()
            .to_owned()
    };
    heads.into_iter().map(first).collect()
}

fn order(lib: &str) -> Vec<String> {
    let modules = lib
        .lines()
        .filter_map(|line| line.trim().strip_prefix("pub mod ")?.strip_suffix(';'));
    modules.map(str::to_owned).collect()
}

fn files(folder: &Path, root: &Path, found: &mut Vec<File>) {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            files(&path, root, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            let below: Vec<_> = path
                .strip_prefix(root)
                .unwrap()
                .iter()
                .map(|part| part.to_string_lossy())
                .collect();
            found.push(File {
                path: below.join("/"),
                text: std::fs::read_to_string(&path).unwrap(),
            });
        }
    }
}

#[test]
fn modules_use_only_those_above_them() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let order = order(&std::fs::read_to_string(root.join("lib.rs")).unwrap());
    let mut found = Vec::new();
    files(&root, &root, &mut found);
    assert!(
        order.len() > 1 && found.len() > order.len(),
        "the search for modules and files works"
    );
    let faults = faults(&order, &found);
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

/// What is of one system only, in a file's code before its tests.
fn of_one_system(text: &str) -> Option<&str> {
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    let marks = [
        "cfg(unix)",
        "cfg(windows)",
        "target_os",
        "std::os::",
        "rustix::",
        "signal_hook::",
        "libc::",
    ];
    marks.into_iter().find(|mark| code.contains(mark))
}

#[test]
fn what_differs_between_systems_has_its_places() {
    const PLACES: [&str; 3] = ["files/owner.rs", "tui/mod.rs", "tui/terminal.rs"];
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    files(&root, &root, &mut found);
    for file in &found {
        let is_test = file.path.ends_with("tests.rs");
        let mark = of_one_system(&file.text).filter(|_| !is_test);
        let is_place = PLACES.contains(&file.path.as_str());
        assert_eq!(mark.is_some(), is_place, "src/{}: {mark:?}", file.path);
    }
}

#[test]
fn a_file_with_its_faults_is_caught() {
    let order = order("//! x\npub mod text;\n\npub mod table;\npub mod roster;\nmod private;\n");
    assert_eq!(order, ["text", "table", "roster"]);
    let check = |path: &str, text: &str| {
        let file = File {
            path: path.into(),
            text: text.into(),
        };
        faults(&order, &[file])
            .into_iter()
            .map(|fault| fault.split(": ").take(2).collect::<Vec<_>>().join(": "))
            .collect::<Vec<_>>()
    };
    let uses = |place: &str, own: &str, used: &str| {
        vec![format!(
            "src/{place}: `{own}` uses `{used}`, which comes after it in lib.rs"
        )]
    };
    assert_eq!(
        check(
            "table/mod.rs",
            "//! x\nuse crate::text::safe;\nuse crate::table::Row;\n"
        ),
        [""; 0]
    );
    assert_eq!(
        check("table.rs", "//! x\n\nuse crate::roster::Roster;\n"),
        uses("table.rs:3", "table", "roster")
    );
    assert_eq!(
        check("table/a/b.rs", "//! x\nfn f() { crate::roster::read() }\n"),
        uses("table/a/b.rs:2", "table", "roster")
    );
    assert_eq!(
        check(
            "text.rs",
            "//! x\nuse crate::{text, table::{Row, roster}};\n"
        ),
        uses("text.rs:2", "text", "table")
    );
    assert_eq!(
        check("text/a.rs", "//! x\nuse super::super::table;\n"),
        uses("text/a.rs:2", "text", "table")
    );
    assert_eq!(
        check("text.rs", "//! x\nuse super::table;\n"),
        uses("text.rs:2", "text", "table")
    );
    assert_eq!(
        check("text/a.rs", "//! x\nuse super::table;\n"),
        [""; 0],
        "a sibling of that name"
    );
    assert_eq!(
        check("text.rs", "//! x\n/// see [`crate::table`]\n"),
        [""; 0],
        "a link is no use"
    );
    assert_eq!(
        check("text.rs", "//! x\nuse other_crate::table;\n"),
        [""; 0]
    );
    assert_eq!(
        check("text.rs", "use std::io;\n"),
        ["src/text.rs: begin the file with //!"]
    );
    assert_eq!(
        check("stray.rs", "//! x\n"),
        ["src/stray.rs: `stray` is not declared in lib.rs as `pub mod stray;`"]
    );
}
