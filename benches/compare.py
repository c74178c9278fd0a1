"""Times marking against its floor and against a short script, all in one go on one machine.

python3 benches/compare.py      needs pandas and pint for the script's side; without them it is left out

Prints a table for ten thousand to ten million entries: seconds (the best of five, of two for the largest),
entries a second, the ratio to the csv crate reading and writing the same files, and peak memory. Where time
is linear and memory flat, entries a second and memory stay.
"""

import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
ASSIGNMENT = "assignments/ropes-1.toml"
ENTRIES = 5
RUNS = 5


def build():
    subprocess.run(["cargo", "build", "--release", "--quiet", "--bin", "paperweight", "--examples"], cwd=ROOT, check=True)


def timed(command, runs):
    """Seconds and peak memory in kilobytes of a command, by the system's own account."""
    best, peak = None, 0
    for _ in range(runs):
        started = time.perf_counter()
        process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - started
        if os.waitstatus_to_exitcode(status) not in (0, 1):
            sys.exit(f"failed: {' '.join(command)}")
        best = seconds if best is None else min(best, seconds)
        peak = max(peak, usage.ru_maxrss)
    return best, peak


def example(name):
    return str(ROOT / "target/release/examples" / name)


def mark(folder, threads):
    out = folder / f"marks-{threads}.csv"
    return ["target/release/paperweight", "mark", ASSIGNMENT, "--roster", str(folder / "roster.csv"),
            "--answers", str(folder / "answers.csv"), "--record", ":memory:", "--threads", str(threads),
            "--out", str(out)]


def row(name, seconds, entries, floor, peak=None):
    memory = f"{peak / 1024:8.0f} MB" if peak else ""
    print(f"{name:<44} {seconds:8.3f} s {entries / seconds:12,.0f}/s {seconds / floor:8.1f} x {memory}")


def main():
    build()
    with tempfile.TemporaryDirectory() as scratch:
        scratch = pathlib.Path(scratch)
        for students in (2_000, 20_000, 200_000, 2_000_000):
            runs = 2 if students > 1_000_000 else RUNS
            folder = scratch / str(students)
            subprocess.run([example("class"), ASSIGNMENT, str(students), str(folder)], cwd=ROOT, check=True)
            one, peak_one = timed(mark(folder, 1), runs)
            two, peak_two = timed(mark(folder, 2), runs)
            floor = min(
                float(subprocess.run(
                    [example("csv_only"), str(folder / "roster.csv"), str(folder / "answers.csv"),
                     str(folder / "marks-1.csv"), str(folder / "copy.csv")],
                    check=True, capture_output=True, text=True).stdout.split()[0])
                for _ in range(runs))
            entries = students * ENTRIES
            print(f"\n{students:,} students, {entries:,} entries")
            row("csv crate, reads and writes the same files", floor, entries, floor)
            row("paperweight mark, one marking thread", one, entries, floor, peak_one)
            row("paperweight mark, two marking threads", two, entries, floor, peak_two)
            if students == 200_000:
                each_of_ours = two / entries
            shutil.rmtree(folder)
        folder = scratch / "script"
        subprocess.run([example("class"), ASSIGNMENT, "2000", str(folder)], cwd=ROOT, check=True)
        script = subprocess.run(
            [sys.executable, "benches/units_only.py", str(folder / "answers.csv"), str(folder / "keys.csv")],
            cwd=ROOT, capture_output=True, text=True)
        if script.returncode != 0:
            print("\nthe script's side needs pandas and pint: left out")
            return
        seconds, entries, _, *version = script.stdout.split()
        each = float(seconds) / int(entries)
        print(f"\nscript on pandas and {' '.join(version)}, value, unit and figures only")
        print(f"  {1 / each:,.0f} entries/s; paperweight at 200,000 students is {each / each_of_ours:,.0f} times as fast")


if __name__ == "__main__":
    main()
