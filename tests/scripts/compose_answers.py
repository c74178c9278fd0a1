#!/usr/bin/env python3
"""Composes the made-up classes' answers in tests/data, and those of the tour, from recipes in tests/scripts/answers.

    python3 tests/scripts/compose_answers.py

In: for each file a recipe, and every student's givens as `cargo run --example keys` prints them. Out:
the file that FILES names. The physics is written down here a second time, by hand, and must agree
with the program's key: a recipe is refused where it does not. Compose again whenever an assignment
draws other numbers; the same recipes give the same bytes.

A recipe is a table: `student | <column> | ... | # why`, one row a student. In a cell
  =            the right answer, as asked for (a word, or three figures with the unit)
  !            the wrong word, where one of two is asked for
  {expr}       a value to three figures, without its sign; {expr:2} to two, {expr:t3} cut off after
               three, {expr:+3} with its sign; in it the names of MODELS, `my.b` for the number this
               student wrote in (b), `of("004118").T1` for another student's
  @g=10 @...   in the last column: the student reckons with this value instead
Anything else stands as it is written. Students whose roster says so write decimal commas in values.
"""

import csv
import io
import math
import re
import subprocess
import sys
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from pathlib import Path
from types import SimpleNamespace

ROOT = Path(__file__).resolve().parents[2]
RECIPES = Path(__file__).resolve().parent / "answers"
UNITS = {"kg": 1, "m": 1, "cm": 0.01, "s": 1, "m/s": 1, "m/s²": 1, "°": math.pi / 180, "": 1}


def sign(x):
    return 1 if x > 0 else -1


def ropes(n):
    n.total = n.mB + n.mM + n.mS
    n.drive = n.mB - n.mM - n.mS
    n.s = sign(n.drive)  # +1 where the sandbag sinks
    n.a = abs(n.drive) * n.g / n.total
    n.T1 = n.mB * (n.g - n.s * n.a)
    n.T2 = n.mS * (n.g + n.s * n.a)
    return {"a": ("down", "up")[n.s < 0], "b": (n.a, "m/s^2"), "c": (n.T1, "N"), "d": (n.T2, "N")}


def pulley(n):
    n.total = n.mL + n.mR + n.M / 2
    n.s = sign(n.mL - n.mR)  # +1 where the left bucket sinks
    n.d = abs(n.mL - n.mR)
    n.a = n.d * n.g / n.total
    n.alpha = n.a / n.R
    n.TL = n.mL * (n.g - n.s * n.a)
    n.TR = n.mR * (n.g + n.s * n.a)
    return {
        "a": ("left", "right")[n.s < 0],
        "b": (n.a, "m/s^2"),
        "c": (n.alpha, "rad/s^2"),
        "d": (n.TL, "N"),
        "e": (n.TR, "N"),
    }


def incline(n):
    n.sin, n.cos = math.sin(n.theta), math.cos(n.theta)
    n.f = n.mu * n.mB * n.g * n.cos
    n.pull = n.mK * n.g - n.mB * n.g * n.sin
    n.total = n.mB + n.mK
    n.a = (n.pull - n.f) / n.total
    n.T = n.mK * (n.g - n.a)
    n.v = math.sqrt(2 * n.a * n.s)
    return {
        "a": (n.f, "N"),
        "b": (n.a, "m/s^2"),
        "c": (n.T, "N"),
        "d": (n.v, "m/s"),
        "e": ("stays", "slides back")[n.mu < math.tan(n.theta)],
    }


def projectile(n):
    n.vy = n.v0 * math.sin(n.theta)
    n.vx = n.v0 * math.cos(n.theta)
    n.root = math.sqrt(n.vy**2 - 2 * n.g * n.h)
    n.t = (n.vy + n.root) / n.g
    n.early = (n.vy - n.root) / n.g
    n.x = n.vx * n.t
    n.u = n.g * n.t - n.vy
    n.v = math.hypot(n.vx, n.u)
    n.phi = math.degrees(math.atan2(n.u, n.vx))
    n.angle = math.degrees(n.theta)
    return {
        "a": (n.vy, "m/s"),
        "b": (n.t, "s"),
        "c": (n.x, "m"),
        "d": (n.v, "m/s"),
        "e": ("horizontal", "vertical")[n.u > n.vx],
        "f": (n.phi, "°"),
    }


def collision(n):
    n.m = n.m1 + n.m2
    n.p1, n.p2 = n.m1 * n.v1, n.m2 * n.v2
    n.K1, n.K2 = n.p1 * n.v1 / 2, n.p2 * n.v2 / 2
    n.v = abs(n.p1 - n.p2) / n.m
    n.K = n.m * n.v**2 / 2
    n.E = n.K1 + n.K2 - n.K
    n.s = n.v**2 / (2 * n.mu * n.g)
    n.t = n.v / (n.mu * n.g)
    return {
        "a": ("east", "west")[n.p1 < n.p2],
        "b": (n.v, "m/s"),
        "c": (n.E, "J"),
        "d": (n.s, "m"),
        "e": (n.t, "s"),
    }


def tram(n):
    n.v = n.a * n.t1
    n.s1 = n.v / 2 * n.t1
    n.t = n.t1 + (n.D - n.s1) / n.v
    n.u = n.D / n.t * 3.6
    return {"a": (n.v, "m/s"), "b": (n.s1, "m"), "c": (n.t, "s"), "d": (n.u, "km/h")}


MODELS = {
    "ropes-1": ropes,
    "pulley-disc-1": pulley,
    "incline-1": incline,
    "projectile-1": projectile,
    "collision-1": collision,
    "motion/tram-1": tram,
}

# Recipe, problems, roster, layout, cell separator and line break, and the file.
FILES = [
    ("ropes-1-set-3", ["ropes-1"], "rosters/set-3.csv", "wide", ",", "\n", None),
    ("pulley-disc-1-set-5", ["pulley-disc-1"], "rosters/set-5.csv", "wide", ";", "\r\n", None),
    ("incline-1-set-3", ["incline-1"], "rosters/set-3.csv", "wide", ",", "\n", None),
    ("projectile-1-set-5", ["projectile-1"], "rosters/set-5.csv", "long", ",", "\n", None),
    ("collision-1-set-3", ["collision-1"], "rosters/set-3.csv", "wide", ",", "\n", None),
    ("sheet-1-set-5", ["ropes-1", "incline-1", "collision-1"], "rosters/set-5.csv", "wide", ",", "\n", None),
    ("tram-1-tour", ["motion/tram-1"], "assets/tour/roster.csv", "wide", ",", "\n", "assets/tour/answers.csv"),
]

OPPOSITE = dict(
    pair
    for one, two in [
        ("up", "down"),
        ("left", "right"),
        ("stays", "slides back"),
        ("horizontal", "vertical"),
        ("east", "west"),
    ]
    for pair in [(one, two), (two, one)]
)


def to_figures(value, figures, rounding):
    """`value` in plain decimals with so many significant figures."""
    number = Decimal(repr(value))
    if number == 0:
        return "0"
    for _ in range(2):  # 9.996 becomes 10.0, which has one place less
        last = number.adjusted() - figures + 1
        number = number.quantize(Decimal(1).scaleb(last), rounding)
    return format(number, "f")


def written(value, form):
    found = re.fullmatch(r"(\+?)(t?)(\d)", form)
    if not found:
        sys.exit(f"no such form: {form}")
    signed, cut, figures = found.groups()
    if not signed:
        value = abs(value)
    return to_figures(value, int(figures), ROUND_DOWN if cut else ROUND_HALF_UP)


def keys(code, roster):
    """Givens and keys of all students, by column."""
    command = ["cargo", "run", "-q", "--example", "keys", "--", f"assignments/{code}.toml"]
    command += [roster, "--csv", "--figures", "13"]
    printed = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)
    return {row["student"]: row for row in csv.DictReader(io.StringIO(printed.stdout))}


def model(code, row, prefix, changed):
    """The names of one problem for one student, and the right answers."""
    names = SimpleNamespace()
    for column, cell in row.items():
        found = re.fullmatch(f"given:{prefix}" + r"([A-Za-z]\w*)", column)
        if found:
            number, _, unit = cell.partition(" ")
            setattr(names, found[1], float(number) * UNITS[unit])
    for name, value in changed.items():
        setattr(names, name, value)
    return names, MODELS[code](names)


def check(code, student, row, prefix, right):
    """Holds the hand-made physics against the program's key."""
    for part, value in right.items():
        cell = row[prefix + part]
        if isinstance(value, str):
            agrees = cell == value
        else:
            agrees = math.isclose(abs(float(cell.split()[0])), value[0], rel_tol=1e-9)
        if not agrees:
            sys.exit(f"{code}, {student}, part {part}: the key is {cell}, reckoned is {value}")


def recipe(name):
    """The heading and the rows of a recipe; comments are left out."""
    rows = []
    for line in (RECIPES / f"{name}.txt").read_text(encoding="utf-8").splitlines():
        line = re.sub(r"(^|\s)#.*", "", line).strip()
        if line:
            rows.append([cell.strip() for cell in line.split("|")])
    return rows[0], rows[1:]


class Student:
    """One student's paper in the making."""

    def __init__(self, student, row, problems, changed, comma, known):
        self.comma = comma
        self.known = known
        self.models = {}
        for at, code in enumerate(problems):
            prefix = "" if len(problems) == 1 else str(at + 1)
            plain = model(code, row, prefix, {})
            check(code, student, row, prefix, plain[1])
            own = {name: value for place, name, value in changed if place in ("", prefix)}
            self.models[prefix] = (*model(code, row, prefix, own), SimpleNamespace())

    def cell(self, column, text):
        prefix = column[0] if column[0].isdigit() else ""
        if prefix not in self.models:
            return text  # status and the like on a sheet of several problems
        names, right, my = self.models[prefix]
        part = column[len(prefix) :]
        if part in right and text in ("=", "!"):
            value = right[part]
            if isinstance(value, str):
                return value if text == "=" else OPPOSITE[value]
            setattr(my, part, float(written(value[0], "3")))
            return self.number(written(value[0], "3")) + " " + value[1]

        def fill(found):
            expression, _, form = found[1].partition(":")
            others = {"my": my, "of": lambda other: self.known[other].models[prefix][0]}
            scope = {**vars(math), **vars(names), **others, "abs": abs}
            number = written(eval(expression, {"__builtins__": {}}, scope), form or "3")
            setattr(my, part, float(number))
            return self.number(number)

        return re.sub(r"\{([^{}]+)\}", fill, text)

    def number(self, text):
        return text.replace(".", ",") if self.comma else text


def compose(name, problems, roster, layout, separator, line_break, to):
    code = problems[0] if len(problems) == 1 else re.sub(r"-set-\d$", "", name)
    rows = keys(code, roster)
    with open(ROOT / roster, encoding="utf-8") as file:
        commas = {row["id"] for row in csv.DictReader(file) if row.get("decimal mark") == ","}
    heading, lines = recipe(name)
    columns = heading[:-1] if heading[-1] == "reckons with" else heading
    known = {}
    for line in lines:
        marks = line[len(columns)] if len(line) > len(columns) else ""
        changed = [
            (place, given, float(value) * UNITS[unit])
            for place, given, value, unit in re.findall(r"@(\d?)(\w+)=([\d.]+) ?(°|cm)?", marks)
        ]
        known[line[0]] = Student(line[0], rows[line[0]], problems, changed, line[0] in commas, known)
    # Only now does everyone know everyone: a neighbour may come later in the file.
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator=line_break)
    if layout == "long":
        writer.writerow(["student", "part", "entry"])
    else:
        writer.writerow(columns)
    for line in lines:
        cells = [known[line[0]].cell(*pair) for pair in zip(columns[1:], line[1:])]
        cells += [""] * (len(columns) - 1 - len(cells))
        if layout == "wide":
            writer.writerow([line[0], *cells])
            continue
        filled = [pair for pair in zip(columns[1:], cells) if pair[1]]
        for column, cell in filled:
            writer.writerow([line[0], column, cell])
    path = ROOT / (to or f"tests/data/{name}.csv")
    path.write_text(out.getvalue(), encoding="utf-8", newline="")
    print(f"{path.relative_to(ROOT)}: {len(lines)} students")


if __name__ == "__main__":
    for file in FILES:
        compose(*file)
