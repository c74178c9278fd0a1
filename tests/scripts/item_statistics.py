#!/usr/bin/env python3
"""Writes partial_credit.csv, partial_credit_statistics.csv and lsat6_intervals.csv in tests/data.

    python3 -m venv /tmp/items && /tmp/items/bin/pip install pingouin==0.7.0
    /tmp/items/bin/python tests/scripts/item_statistics.py

The first file holds the points of 60 invented papers on four parts out of 4, 3, 3 and 2, half points
among them; the second what general-purpose libraries say of them: pingouin for Cronbach's alpha, scipy for
correlations, numpy for means, standard deviations (n - 1) and groups. The third file holds scipy's Wilson
intervals of the five items of lsat6.csv. The points come from a generator written
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


def mean_of_first(part, total, share):
    """The mean of a part over the papers with the least total, those at the edge by an equal part each."""
    room = share * len(total)
    weight = pd.Series(0.0, index=total.index)
    for value in sorted(total.unique()):
        equal = total == value
        weight[equal] = np.clip((room - (total < value).sum()) / equal.sum(), 0, 1)
    return np.average(part, weights=weight)


def intervals():
    """Wilson's 95 % interval of each item of LSAT section 6."""
    items = pd.read_csv(DATA / "lsat6.csv", dtype={"pattern": str})
    for at in range(5):
        right = int(items.persons[items.pattern.str[at] == "1"].sum())
        test = stats.binomtest(right, int(items.persons.sum()))
        found = test.proportion_ci(confidence_level=0.95, method="wilson")
        yield right, float(found.low), float(found.high)


def main():
    with open(DATA / "lsat6_intervals.csv", "w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["right", "low", "high"])
        writer.writerows((right, repr(low), repr(high)) for right, low, high in intervals())
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
        share = table[part] / most
        half = stats.norm.ppf(0.975) * share.std(ddof=1) / np.sqrt(len(share))
        upper = mean_of_first(share, -total, 0.27)
        found += [
            ("facility", part, table[part].mean() / most),
            ("low", part, share.mean() - half),
            ("high", part, share.mean() + half),
            ("upper_lower", part, upper - mean_of_first(share, total, 0.27)),
            ("item_total", part, stats.pearsonr(table[part], total)[0]),
            ("item_rest", part, stats.pearsonr(table[part], rest)[0]),
            ("without", part, pingouin.cronbach_alpha(data=table.drop(columns=part))[0]),
        ]
    with open(DATA / "partial_credit_statistics.csv", "w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["statistic", "part", "value"])
        writer.writerows((name, part, repr(float(value))) for name, part, value in found)


main()
