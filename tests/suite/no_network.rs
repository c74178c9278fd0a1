//! The program has no network: what it was linked with, and what it asks of the system while the whole job runs.
//!
//! The first holds wherever the tests run on Linux: the built program imports from the C library none of the
//! functions by which one reaches a network, and whatever Rust or C code is in it would need them. The
//! second runs the job under `strace`, where there is one, and reads what was called.

#![cfg(all(target_os = "linux", target_env = "gnu", target_pointer_width = "64"))]

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::hands::program::{repository, run};

/// Without these of the C library no connection is made or taken, no name looked up.
const REACHING: [&str; 12] = [
    "socket",
    "connect",
    "bind",
    "listen",
    "accept",
    "accept4",
    "getaddrinfo",
    "gethostbyname",
    "gethostbyname_r",
    "getnameinfo",
    "res_query",
    "sendto",
];

/// A number of so many bytes, least first.
fn number(bytes: &[u8], at: usize, count: usize) -> usize {
    let digits = bytes[at..at + count].iter().rev();
    digits.fold(0, |number, byte| number << 8 | usize::from(*byte))
}

/// The names that a program takes from shared libraries: the undefined symbols of its `.dynsym`.
/// Layout: System V ABI, gABI 4.1, chapter 4, "ELF Header", "Sections" and "Symbol Table", for 64 bits.
fn imported(program: &[u8]) -> Vec<String> {
    const DYNSYM: usize = 11;
    assert_eq!(
        program[..6],
        *b"\x7fELF\x02\x01",
        "64 bits, least byte first"
    );
    let (sections, size, count) = (
        number(program, 0x28, 8),
        number(program, 0x3a, 2),
        number(program, 0x3c, 2),
    );
    let section = |index: usize| &program[sections + index * size..][..size];
    let place = |header: &[u8]| (number(header, 0x18, 8), number(header, 0x20, 8));
    let symbols = (0..count).map(section);
    let symbols = symbols.filter(|header| number(header, 4, 4) == DYNSYM);
    let mut names = Vec::new();
    for header in symbols {
        let (names_at, _) = place(section(number(header, 0x28, 4)));
        let (start, length) = place(header);
        for symbol in program[start..start + length].chunks_exact(24) {
            if number(symbol, 6, 2) == 0 {
                let name = &program[names_at + number(symbol, 0, 4)..];
                let end = name.iter().position(|byte| *byte == 0).unwrap();
                names.push(String::from_utf8_lossy(&name[..end]).into_owned());
            }
        }
    }
    names
}

#[test]
fn nothing_that_reaches_a_network_is_linked() {
    let ours = imported(&fs::read(env!("CARGO_BIN_EXE_paperweight")).unwrap());
    // The reading works: files are opened, and signals come through a pair of sockets of the process's own.
    for name in ["write", "socketpair", "pthread_create"] {
        assert!(ours.iter().any(|at| at == name), "{name}: {ours:?}");
    }
    let reaching: Vec<&str> = REACHING
        .into_iter()
        .filter(|name| ours.iter().any(|at| at == name))
        .collect();
    assert!(reaching.is_empty(), "{reaching:?}");
    // And it sees them where they are: this program does what the other must not.
    let socket = std::net::UdpSocket::bind("127.0.0.1:0");
    assert!(socket.is_ok_and(|socket| socket.local_addr().is_ok()));
    let own = imported(&fs::read(std::env::current_exe().unwrap()).unwrap());
    for name in ["socket", "bind"] {
        assert!(own.iter().any(|at| at == name), "{name}");
    }
}

/// Crates that speak to a network, in whatever form they come.
#[test]
fn no_crate_of_the_program_speaks_to_a_network() {
    const SPEAKING: [&str; 16] = [
        "attohttpc",
        "curl",
        "h2",
        "hickory-resolver",
        "hyper",
        "isahc",
        "minreq",
        "native-tls",
        "openssl",
        "quinn",
        "reqwest",
        "rustls",
        "socket2",
        "tokio",
        "tungstenite",
        "ureq",
    ];
    let lock = fs::read_to_string(repository().join("Cargo.lock")).unwrap();
    let names: Vec<&str> = lock
        .lines()
        .filter_map(|line| line.strip_prefix("name = \"")?.strip_suffix('"'))
        .collect();
    assert!(names.contains(&"rusqlite"), "the reading works");
    let speaking: Vec<&&str> = names
        .iter()
        .filter(|name| SPEAKING.contains(*name))
        .collect();
    assert!(speaking.is_empty(), "{speaking:?}");
}

/// Runs the program under a trace of what may reach a network; none where there is no `strace` that works.
fn trace(place: &Path, arguments: &[&str]) -> Option<String> {
    let file = place.join("trace");
    let mut command = Command::new("strace");
    command
        .current_dir(place)
        .args(["-f", "-qq", "-e", "trace=%network,execve", "-o"])
        .arg(&file)
        .arg(env!("CARGO_BIN_EXE_paperweight"))
        .args(arguments)
        .stdin(std::process::Stdio::null());
    let output = command.output().ok()?;
    let traced = fs::read_to_string(&file).unwrap_or_default();
    let said = String::from_utf8_lossy(&output.stderr);
    // In some containers a process may not be traced.
    if !traced.contains("execve(") && said.contains("ptrace") {
        return None;
    }
    assert!(
        matches!(output.status.code(), Some(0 | 1)),
        "{arguments:?}: {said}"
    );
    Some(traced)
}

/// The traces of the whole job, done in a place of its own; none where nothing can be traced.
fn job(place: &Path) -> Option<Vec<String>> {
    // Check, issue (with PDFs, where the program has them), mark, explain, adjust, reissue, export, report:
    // each a process of its own, and each is followed.
    let tour = trace(place, &["tour", "--yes"])?;
    let begun = tour.matches("execve(").count();
    assert!(begun >= 9, "each step is followed: {tour}");
    let folder = place.join("paperweight-tour");
    let problem = "assignments/tram-1.toml";
    let mut traces = vec![tour];
    let mut more = vec![
        vec!["remark", problem],
        vec![
            "reissue",
            problem,
            "--roster",
            "rosters/demo.csv",
            "--practice",
            "--out",
            "next",
        ],
        vec!["new", "--from", "lift-1"],
        vec!["backup", "copy.sqlite"],
        vec!["record", "check"],
        vec!["schema"],
    ];
    if cfg!(feature = "paper") {
        more.push(vec!["report", problem, "--out", "report.pdf"]);
        more.push(vec!["feedback", problem, "--out", "slips.pdf"]);
    }
    for arguments in more {
        traces.extend(trace(&folder, &arguments));
    }
    Some(traces)
}

#[test]
fn the_whole_job_opens_no_connection() {
    // Of a thread that ends with its process `strace` may not learn which call it was at: then the job is done
    // once more, so that no call is taken on trust.
    let is_known = |traces: &Vec<String>| !traces.iter().any(|trace| trace.contains("???("));
    let (mut place, mut traces) = (tempfile::tempdir().unwrap(), None);
    for _ in 0..5 {
        place = tempfile::tempdir().unwrap();
        traces = job(place.path());
        if traces.as_ref().is_none_or(is_known) {
            break;
        }
    }
    let Some(traces) = traces else {
        // Then what is linked must speak for it, as above.
        return nothing_that_reaches_a_network_is_linked();
    };
    for line in traces.iter().flat_map(|trace| trace.lines()) {
        // A pair of sockets of the process itself is how a signal wakes it, and leads nowhere.
        let is_inside = line.contains("execve(") || line.contains("socketpair(AF_UNIX");
        let is_inside = is_inside || line.contains("+++") || line.contains("---");
        assert!(is_inside, "{line}");
    }
    // The trace tells a connection where there is one.
    let mut other = Command::new("strace");
    let file = place.path().join("seen");
    other
        .args(["-f", "-qq", "-e", "trace=%network", "-o"])
        .arg(&file)
        .arg(std::env::current_exe().unwrap())
        .args([
            "--exact",
            "no_network::nothing_that_reaches_a_network_is_linked",
        ]);
    assert_eq!(run(&mut other).code, 0);
    let seen = fs::read_to_string(file).unwrap();
    assert!(seen.contains("socket(AF_INET"), "{seen}");
}
