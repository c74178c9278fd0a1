#!/usr/bin/env python3
"""Solve the published examples with sympy, independently of Paperweight.

In: tests/published/w*.toml (givens, ranges and equations) and answers.csv beside them.
Out: tests/published/solved.csv, every unknown in coherent SI units to 15 digits; angles in radians.
Refused: a system without exactly one solution in range, a unit or a spelling not in the tables
below, and a solution further than 1e-5 from a value under `computed` in answers.csv.

Run: python3 tests/scripts/solve_published.py   (needs sympy)
"""

import csv
import platform
import re
import sys
import tomllib
from pathlib import Path

import mpmath
import sympy
from sympy import Rational

PUBLISHED = Path(__file__).resolve().parent.parent / "published"

# In coherent SI units; exact, from the definitions in the SI Brochure, 9th edition.
UNITS = {
    "1": 1,
    "kg": 1,
    "g": Rational(1, 1000),
    "m": 1,
    "cm": Rational(1, 100),
    "s": 1,
    "m/s": 1,
    "m/s^2": 1,
    "N": 1,
    "N/m": 1,
    "N/s": 1,
    "J": 1,
    "N m": 1,
    "kg m^2": 1,
    "rad/s": 1,
    "rad/s^2": 1,
    "deg": sympy.pi / 180,
}

FUNCTIONS = {name: getattr(sympy, name) for name in ("sin", "cos", "tan", "atan", "sqrt", "pi")}


def quantity(text):
    """An exact value in SI units from a text such as `2.00 kg` or `0.400`."""
    number, _, unit = text.partition(" ")
    return Rational(number) * UNITS[unit or "1"]


def expression(text, names):
    """A sympy expression; names stand for what `names` holds."""
    plain = text.replace("^", "**")
    unknown = set(re.findall(r"[A-Za-z_]\w*", plain)) - names.keys() - FUNCTIONS.keys()
    if unknown:
        raise SystemExit(f"`{text}`: no meaning for {', '.join(sorted(unknown))}")
    return sympy.sympify(plain, locals=FUNCTIONS | names, rational=True)


def solve(problem):
    """The one solution in range: a name to an exact value for each unknown."""
    names = {name: quantity(given["fixed"]) for name, given in problem["given"].items()}
    unknowns = {name: sympy.Symbol(name, real=True) for name in problem["find"]}
    scope = names | unknowns
    equations = []
    for text in problem["equation"].values():
        left, right = text.split("=")
        equations.append(expression(left, scope) - expression(right, scope))
    found = [
        solution
        for solution in sympy.solve(equations, list(unknowns.values()), dict=True)
        if len(solution) == len(unknowns) and in_range(problem, scope, unknowns, solution)
    ]
    if len(found) != 1:
        raise SystemExit(f"{problem['code']}: {len(found)} solutions in range, expected one")
    return {name: found[0][symbol] for name, symbol in unknowns.items()}


def in_range(problem, scope, unknowns, solution):
    """Whether a solution keeps to every `above` and `below`."""
    for name, rule in problem["find"].items():
        if isinstance(rule, str):
            continue
        value = sympy.N(solution[unknowns[name]], 30)
        above, below = (expression(rule[side], scope) if side in rule else None for side in ("above", "below"))
        if above is not None and not value > sympy.N(above, 30):
            return False
        if below is not None and not value < sympy.N(below, 30):
            return False
    return True


def unit_asked(problem, unknown):
    """The unit an unknown is asked for in, as a factor to SI."""
    rule = problem["find"][unknown]
    return UNITS[rule if isinstance(rule, str) else rule["unit"]]


def check(problem, values, computed):
    """Compares with the values worked out by hand, which have at least five digits."""
    for part in problem["part"]:
        name = part["answer"]
        for expected in computed[problem["code"], part["id"]]:
            value = sympy.N(values[name] / unit_asked(problem, name), 30)
            if abs(value / Rational(expected) - 1) > Rational(1, 100_000):
                raise SystemExit(f"{problem['code']} {part['id']}: solved {value}, by hand {expected}")


def main():
    computed = {}
    with (PUBLISHED / "answers.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            computed.setdefault((row["assignment"], row["part"]), []).append(row["computed"])
    files = sorted(PUBLISHED.glob("w*.toml"), key=lambda path: int(path.stem[1:]))
    rows = []
    for path in files:
        problem = tomllib.loads(path.read_text(encoding="utf-8"))
        values = solve(problem)
        check(problem, values, computed)
        rows += [(problem["code"], name, sympy.N(value, 15)) for name, value in values.items()]
    with (PUBLISHED / "solved.csv").open("w", encoding="utf-8", newline="") as file:
        file.write(
            f"# sympy {sympy.__version__}, mpmath {mpmath.__version__}, Python {platform.python_version()};"
            " coherent SI units, angles in rad\n"
        )
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["assignment", "unknown", "value"])
        table.writerows(rows)
    print(f"{len(files)} examples solved, {len(computed)} answers agree with those by hand", file=sys.stderr)


if __name__ == "__main__":
    main()
