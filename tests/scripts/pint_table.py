#!/usr/bin/env python3
"""Writes tests/data/pint.csv: every unit and every prefix with it, as the library pint has it.

    python3 -m venv /tmp/pint && /tmp/pint/bin/pip install pint==0.25.3
    /tmp/pint/bin/python tests/scripts/pint_table.py > tests/data/pint.csv

The first line names the library and its version. Columns: the symbol here, the expression in
pint, its factor to coherent SI units, the kelvin reading at zero (0 unless a temperature scale),
and the exponents of m, kg, s, A, K, mol, cd. The test fails when a unit of the program is not
in the table: add it to UNITS below and run the script again.
"""

import csv
import sys
from fractions import Fraction

import pint

# Symbol here, expression in pint, and which prefixes are used: "all", "large" (kilo and above)
# or none.
UNITS = [
    ("m", "meter", "all"), ("g", "gram", "all"), ("s", "second", "all"), ("A", "ampere", "all"),
    ("K", "kelvin", "all"), ("mol", "mole", "all"), ("cd", "candela", "all"),
    ("rad", "radian", "all"), ("sr", "steradian", "all"), ("Hz", "hertz", "all"),
    ("N", "newton", "all"), ("Pa", "pascal", "all"), ("J", "joule", "all"), ("W", "watt", "all"),
    ("C", "coulomb", "all"), ("V", "volt", "all"), ("F", "farad", "all"), ("Ω", "ohm", "all"),
    ("S", "siemens", "all"), ("Wb", "weber", "all"), ("T", "tesla", "all"), ("H", "henry", "all"),
    ("°C", "degree_Celsius", ""), ("°F", "degree_Fahrenheit", ""), ("lm", "lumen", "all"),
    ("lx", "lux", "all"), ("Bq", "becquerel", "all"), ("Gy", "gray", "all"),
    ("Sv", "sievert", "all"), ("kat", "katal", "all"),
    ("min", "minute", ""), ("h", "hour", ""), ("d", "day", ""), ("°", "degree", ""),
    ("′", "arcminute", ""), ("″", "arcsecond", ""), ("ha", "hectare", ""), ("L", "liter", "all"),
    ("t", "metric_ton", "large"), ("au", "astronomical_unit", ""), ("eV", "electron_volt", "all"),
    ("%", "percent", ""), ("‰", "permille", ""),
    ("r", "turn", ""), ("gon", "grade", ""), ("rpm", "revolutions_per_minute", ""),
    ("in", "inch", ""), ("ft", "foot", ""), ("yd", "yard", ""), ("mi", "mile", ""),
    ("nmi", "nautical_mile", ""), ("Å", "angstrom", ""), ("ly", "light_year", "large"),
    ("pc", "parsec", "large"), ("gal", "gallon", ""), ("gal(UK)", "imperial_gallon", ""),
    ("mph", "mile_per_hour", ""), ("kn", "knot", ""), ("g_n", "standard_gravity", ""),
    ("Gal", "galileo", "all"),
    ("lb", "pound", ""), ("oz", "ounce", ""), ("lbf", "force_pound", ""), ("slug", "slug", ""),
    ("kgf", "kilogram_force", ""), ("dyn", "dyne", "all"), ("pdl", "poundal", ""),
    ("bar", "bar", "all"), ("atm", "standard_atmosphere", ""), ("Torr", "torr", "all"),
    ("mmHg", "millimeter_Hg", ""), ("at", "technical_atmosphere", ""),
    ("psi", "pound_force_per_square_inch", ""),
    ("cal", "calorie", "all"), ("cal_IT", "international_calorie", "all"),
    ("Wh", "watt_hour", "all"), ("erg", "erg", "all"),
    ("Btu", "international_british_thermal_unit", ""), ("hp", "horsepower", ""),
    ("PS", "metric_horsepower", ""), ("hp(e)", "electrical_horsepower", ""),
]

# Symbol here, name in pint, power of ten; the large ones first.
PREFIXES = [
    ("Q", "quetta", 30), ("R", "ronna", 27), ("Y", "yotta", 24), ("Z", "zetta", 21),
    ("E", "exa", 18), ("P", "peta", 15), ("T", "tera", 12), ("G", "giga", 9), ("M", "mega", 6),
    ("k", "kilo", 3), ("h", "hecto", 2), ("da", "deca", 1), ("d", "deci", -1), ("c", "centi", -2),
    ("m", "milli", -3), ("µ", "micro", -6), ("n", "nano", -9), ("p", "pico", -12),
    ("f", "femto", -15), ("a", "atto", -18), ("z", "zepto", -21), ("y", "yocto", -24),
    ("r", "ronto", -27), ("q", "quecto", -30),
]

BASES = ["[length]", "[mass]", "[time]", "[current]", "[temperature]", "[substance]",
         "[luminosity]"]


def main():
    registry = pint.UnitRegistry(non_int_type=Fraction)
    out = csv.writer(sys.stdout, lineterminator="\n")
    print(f"# pint {pint.__version__}")
    out.writerow(["unit", "pint", "factor", "zero", *"m kg s A K mol cd".split()])
    for symbol, name, prefixes in UNITS:
        used = [("", "", 0)]
        if prefixes:
            least = 3 if prefixes == "large" else -30
            used += [prefix for prefix in PREFIXES if prefix[2] >= least]
        for sign, word, _ in used:
            row(out, registry, sign + symbol, word + name)


def row(out, registry, symbol, name):
    unit = registry.parse_units(name)
    zero = registry.Quantity(Fraction(0), unit).to_base_units()
    one = registry.Quantity(Fraction(1), unit).to_base_units()
    scale = name in ("degree_Celsius", "degree_Fahrenheit")
    offset = zero.magnitude if scale else Fraction(0)
    # The library's default system is metre, kilogram, second: these are coherent SI units.
    factor = one.magnitude - offset
    exponents = [one.dimensionality.get(base, 0) for base in BASES]
    out.writerow([symbol, name, repr(float(factor)), repr(float(offset)),
                  *(str(exponent) for exponent in exponents)])


if __name__ == "__main__":
    main()
