#!/usr/bin/env python3
"""Writes tests/data/partial_credit.csv and tests/data/partial_credit_statistics.csv.

    python3 -m venv /tmp/items && /tmp/items/bin/pip install pingouin==0.7.0
    /tmp/items/bin/python tests/scripts/item_statistics.py

The first file holds the points of 60 invented papers on four parts out of 4, 3, 3 and 2, half points
among them; the second what general-purpose libraries say of them: pingouin for Cronbach's alpha, scipy for
correlations, numpy for means and standard deviations (n - 1). The points come from a generator written
out below, so that the files can be made again anywhere.
"""

import csv
import pathlib

import numpy as np
import pandas as pd
import pingouin
from scipy import stats

DATA = pathlib.Path(__file__).resolve().parent.parent / "data"
OUT_OF = {"a": 4, "b": 3, "c": 3, "d": 2}


def points():
    """Points in halves, stronger students earning more: a linear congruential generator."""
    state = 20261125
    rows = []
    for _ in range(60):
        draws = []
        for _ in range(5):
            state = (1664525 * state + 1013904223) % 2**32
            draws.append(state / 2**32)
        strength = draws[0]
        row = {}
        for (part, most), draw in zip(OUT_OF.items(), draws[1:]):
            row[part] = min(most, round(2 * most * (0.6 * strength + 0.55 * draw)) / 2)
        rows.append(row)
    return pd.DataFrame(rows)


def main():
    table = points()
    with open(DATA / "partial_credit.csv", "w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["student", *OUT_OF])
        for at, row in table.iterrows():
            writer.writerow([f"p{at + 1:02}", *(f"{value:g}" for value in row)])
    total = table.sum(axis=1)
    alpha = pingouin.cronbach_alpha(data=table)[0]
    found = [
        ("mean", "", total.mean()),
        ("median", "", total.median()),
        ("sd", "", total.std(ddof=1)),
        ("alpha", "", alpha),
        ("sem", "", total.std(ddof=1) * np.sqrt(1 - alpha)),
    ]
    for part, most in OUT_OF.items():
        rest = total - table[part]
        found += [
            ("facility", part, table[part].mean() / most),
            ("item_total", part, stats.pearsonr(table[part], total)[0]),
            ("item_rest", part, stats.pearsonr(table[part], rest)[0]),
            ("without", part, pingouin.cronbach_alpha(data=table.drop(columns=part))[0]),
        ]
    with open(DATA / "partial_credit_statistics.csv", "w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["statistic", "part", "value"])
        writer.writerows((name, part, repr(float(value))) for name, part, value in found)


main()
