"""Runs every bench in one go on one machine and makes one table of them.

python3 benches/all.py                      all of it, about ten minutes; writes benches/results.md
python3 benches/all.py marking desk         those sections alone, printed and not written

Each row has a time and what it is held against: something that must be done anyway, measured in the same go,
so that tables of two machines can be compared by their ratios. Times of whole commands are the best of some
runs, peak memory is the system's own account; where divan measured, medians. The script's side needs pandas
and pint, and is left out without them. Let nothing else run meanwhile.
"""

import os
import pathlib
import platform
import re
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
PROGRAM = str(ROOT / "target/release/paperweight")
ASSIGNMENT = "assignments/ropes-1.toml"
ENTRIES = 5
RUNS = 5
UNITS = {"ns": 1e-9, "µs": 1e-6, "ms": 1e-3, "s": 1.0}


# Measuring.

def text_of(command, cwd=ROOT):
    """What a command prints; the script ends where the command fails."""
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True)
    if done.returncode not in (0, 1):
        sys.exit(f"failed: {' '.join(map(str, command))}\n{done.stderr}")
    return done.stdout


def timed(command, runs=RUNS, cwd=ROOT, before=None):
    """Seconds, the best of some runs, and peak memory in megabytes."""
    best, peak = None, 0
    for _ in range(runs):
        if before:
            before()
        started = time.perf_counter()
        process = subprocess.Popen(command, cwd=cwd, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - started
        if os.waitstatus_to_exitcode(status) not in (0, 1):
            sys.exit(f"failed: {' '.join(map(str, command))}")
        best = seconds if best is None else min(best, seconds)
        peak = max(peak, usage.ru_maxrss / 1024)
    return best, peak


def divan(bench):
    """Medians in seconds of what a bench measures, by name."""
    printed = text_of(["cargo", "bench", "--quiet", "--bench", bench])
    rows = re.findall(r"[├╰]─ (\w+) +[\d.]+ \S+ +│ [\d.]+ \S+ +│ ([\d.]+) (\S+)", printed)
    return {name: float(number) * UNITS[unit] for name, number, unit in rows}


def example(name):
    return str(ROOT / "target/release/examples" / name)


def made_class(folder, students):
    """A class of so many, with roster, answers and keys."""
    text_of([example("class"), ASSIGNMENT, str(students), str(folder)])


def csv_floor(folder, marks, runs=RUNS):
    """Seconds in which the csv crate reads the roster and the answers and writes the marks."""
    command = [example("csv_only"), folder / "roster.csv", folder / "answers.csv", marks, folder / "copy.csv"]
    return min(float(text_of(command).split()[0]) for _ in range(runs))


def mark(folder, threads):
    return [PROGRAM, "mark", ASSIGNMENT, "--roster", str(folder / "roster.csv"), "--answers", str(folder / "answers.csv"),
            "--record", ":memory:", "--threads", str(threads), "--out", str(folder / "marks.csv")]


# Writing.

def seconds_text(seconds):
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6), ("ns", 1e-9)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return "0 s"


class Table:
    """Rows of one section, the first of them what the others are held against."""

    def __init__(self, title, floor, seconds):
        self.floor = seconds
        self.lines = [f"\n## {title}\n", "| | time | ratio | peak memory |", "|---|--:|--:|--:|"]
        self.row(floor, seconds)

    def row(self, what, seconds, peak=None):
        memory = f"{peak:.0f} MB" if peak else ""
        self.lines.append(f"| {what} | {seconds_text(seconds)} | {seconds / self.floor:.3g} | {memory} |")


# The sections; each gives its table.

def marking(scratch):
    tables = []
    for students in (2_000, 20_000, 200_000, 2_000_000):
        runs = 2 if students > 1_000_000 else RUNS
        folder = scratch / str(students)
        made_class(folder, students)
        two, peak_two = timed(mark(folder, 2), runs)
        one, peak_one = timed(mark(folder, 1), runs)
        floor = csv_floor(folder, folder / "marks.csv", runs)
        table = Table(f"Marking {students * ENTRIES:,} entries", "the csv crate, reading and writing the same files", floor)
        table.row("`mark`, one marking thread", one, peak_one)
        table.row("`mark`, two marking threads", two, peak_two)
        tables.append(table)
        shutil.rmtree(folder)
    return tables


def script(scratch):
    folder = scratch / "script"
    made_class(folder, 2000)
    done = subprocess.run([sys.executable, "benches/units_only.py", folder / "answers.csv", folder / "keys.csv"],
                          cwd=ROOT, capture_output=True, text=True)
    if done.returncode != 0:
        print("the script's side needs pandas and pint: left out", file=sys.stderr)
        return []
    seconds, _, _, *version = done.stdout.split()
    ours, peak = timed(mark(folder, 2))
    table = Table("A class of 2,000, beside a script", "`mark`, two marking threads", ours)
    table.row(f"a script on pandas and {' '.join(version)}: value, unit and figures alone", float(seconds))
    return [table]


def stages(_):
    times = divan("stages")
    table = Table("One paper, by stages", "the csv crate, reading and writing its row", times.pop("floor") / 256)
    for name, seconds in times.items():
        table.row(name.replace("_", ", "), seconds / 256)
    return [table]


def gradebook(_):
    times = divan("gradebook")
    table = Table("A column of a gradebook of 100,000 rows", "copying such a file durably", times.pop("copy_durably"))
    for name, seconds in times.items():
        table.row(name.replace("_", " "), seconds)
    return [table]


def desk(_):
    printed = text_of([example("desk_speed")])
    found = re.findall(r"^(.+?)  +median ([\d.]+) ms, 99th percentile ([\d.]+) ms", printed, re.MULTILINE)
    times = {name: (float(median) * 1e-3, float(late) * 1e-3) for name, median, late in found}
    frames = Table("The desk, 200 students and 40 assignments", "an empty frame", times["an empty frame"][0])
    for name in ("key to frame", "an act of others to frame", "a class of acts to frame"):
        frames.row(f"{name}, median", times[name][0])
        frames.row(f"{name}, 99th percentile", times[name][1])
    starts = Table("Starting the desk", "`paperweight --version` in a terminal, median", times["start to the version"][0])
    starts.row("to the first frame, median", times["start to first frame"][0])
    starts.row("to the first frame, 99th percentile", times["start to first frame"][1])
    return [frames, starts]


def papers(_):
    rows = dict(re.findall(r"^(papers.pdf|one document by hand) +([\d.]+ +[\d.]+)", text_of([example("papers"), "150"]), re.MULTILINE))
    ours, by_hand = ([float(number) for number in rows[name].split()] for name in ("papers.pdf", "one document by hand"))
    table = Table("150 papers with figures as PDF", "one Typst document by hand", by_hand[0])
    table.row("`papers.pdf`", *ours)
    return [table]


def diagnosis(_):
    printed = text_of([example("diagnosis"), "--papers", "40", "--of", "shipped,shelf"])
    rows = re.findall(r"^  (\S+|marking them) +(?:\d+ +)*(\d+) +([\d.]+) +([\d.]+) +([\d.]+) +([\d.]+)", printed, re.MULTILINE)
    times = {name: [float(number) * 1e-3 for number in numbers] for name, _, *numbers in rows}
    floor = times.pop("marking them")
    everything = times.pop("all")
    table = Table("Diagnosis of a wrong paper, mean", "marking it", floor[0])
    table.row("all assignments", everything[0])
    for name, (mean, *_) in sorted(times.items(), key=lambda item: -item[1][0])[:5]:
        table.row(name, mean)
    return [table]


def shelf(scratch):
    files = sorted(str(path.relative_to(ROOT)) for path in (ROOT / "assignments").rglob("*.toml"))
    printed = text_of([PROGRAM, "check", *files])
    solved = sum(int(number.replace(",", "")) for number in re.findall(r"solved ([\d,]+) variants", printed))
    folder = scratch / "check"
    made_class(folder, 200_000)
    floor, _ = timed(mark(folder, 2))
    shutil.rmtree(folder)
    checked, peak = timed([PROGRAM, "check", *files], 2)
    table = Table(f"`check` on the shelf, {len(files)} files, {solved:,} variants", "`mark` of 1,000,000 entries", floor)
    table.row("`check`", checked, peak)
    return [table]


PIECE = """
set -e
{ head -n 1 rosters/year.csv; cat "$1"; } > "$1.roster.csv"
awk -F, 'NR == FNR { mine[$1]; next } FNR == 1 || $1 in mine' "$1" answers.csv > "$1.answers.csv"
cp issued.sqlite "$1.sqlite"
"$0" mark assignments/ropes-1.toml --roster "$1.roster.csv" --class year --record "$1.sqlite" \\
    --answers "$1.answers.csv" --out "$1.marks.csv"
"""


def record(scratch):
    """A course whose record keeps everything; and marked in pieces, as the README says."""
    folder = scratch / "course"
    made_class(folder, 100_000)
    floor, _ = timed(mark(folder, 2))
    for name in ("assignments", "rosters", "pieces"):
        (folder / name).mkdir()
    for name in ("ropes-1.toml", "ropes-1.svg"):
        shutil.copy(ROOT / "assignments" / name, folder / "assignments")
    _, *rows = (folder / "roster.csv").read_text().splitlines(keepends=True)
    for at in range(4):
        (folder / f"pieces/{at}").write_text("".join(rows[at * 25_000:(at + 1) * 25_000]))
    (folder / "roster.csv").rename(folder / "rosters/year.csv")
    of = [PROGRAM, "mark", ASSIGNMENT, "--roster", "rosters/year.csv", "--answers", "answers.csv", "--out", "whole.csv"]
    table = Table("A class of 100,000 in the record", "`mark` without a record", floor)

    def row(what, command):
        seconds, peak = timed(command, 1, folder)
        table.row(what, seconds, peak)

    row("`issue`", [PROGRAM, "issue", ASSIGNMENT, "--roster", "rosters/year.csv"])
    shutil.copy(folder / "paperweight.sqlite", folder / "issued.sqlite")
    row("`mark`", of)
    pieces = f"ls pieces/? | xargs -P 2 -n 1 sh -c '{PIECE.replace(chr(39), chr(39) + chr(92) + chr(39) * 2)}' {PROGRAM}"
    row("`mark` in four pieces, two at a time", ["sh", "-c", pieces])
    joined = [line for at in range(4) for line in (folder / f"pieces/{at}.marks.csv").read_text().splitlines()[1:]]
    if joined != (folder / "whole.csv").read_text().splitlines()[1:]:
        sys.exit("the pieces differ from the whole")
    row("`report`", [PROGRAM, "report", ASSIGNMENT])
    row("`export`", [PROGRAM, "export", ASSIGNMENT, "--out", "again.csv"])
    return [table]


SECTIONS = (marking, script, stages, gradebook, desk, papers, diagnosis, shelf, record)


def machine():
    cpu = re.search(r"model name\s*: (.+)", pathlib.Path("/proc/cpuinfo").read_text())
    compiler = text_of(["rustc", "--version"]).strip()
    return f"{os.cpu_count()} cores ({cpu.group(1) if cpu else platform.processor()}), {platform.system()}, {compiler}"


def main(names):
    wanted = [section for section in SECTIONS if not names or section.__name__ in names]
    if len(wanted) < len(names):
        sys.exit(f"expected some of {', '.join(section.__name__ for section in SECTIONS)}")
    subprocess.run(["cargo", "build", "--release", "--quiet", "--bin", "paperweight", "--examples"], cwd=ROOT, check=True)
    size = os.path.getsize(PROGRAM) / 1e6
    pages = ["# What it takes\n", f"`python3 benches/all.py` on {machine()}; the program has {size:.0f} MB. "
             "In each table, ratios are to its first row."]
    print("\n".join(pages))
    with tempfile.TemporaryDirectory() as scratch:
        for section in wanted:
            for table in section(pathlib.Path(scratch)):
                pages.extend(table.lines)
                print("\n".join(table.lines), flush=True)
    if not names:
        (ROOT / "benches/results.md").write_text("\n".join(pages) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
