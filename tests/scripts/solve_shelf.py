#!/usr/bin/env python3
"""Solve every assignment of the shelf by an independent road: closed forms worked out by hand.

In: numbers as students got them. With the path of the program as argument, a class of 50 made-up
students is issued each assignment anew in a folder of its own; without, the numbers that stand in
tests/shelf/*.csv are solved again.
Out: tests/shelf/CODE.csv, one row a student: the givens as printed, every unknown in coherent SI
units to 15 digits (angles in radians, temperatures in kelvins), and the right word of every choice
under the id of its part.
Refused: a unit or a given that is not in the tables below, and an assignment without a closed form.

Of the assignment files only names are used here: codes, and what a column is called. Not one equation is
read. Where one body moves the road is often energy instead of forces or the other way round; what
two bodies share is written with the reduced mass; the word of a choice comes from the given numbers.

Run: python3 tests/scripts/solve_shelf.py [target/release/paperweight]   (needs mpmath)
"""

import csv
import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from mpmath import arg, asin, atan, cos, expj, mp, mpf, nstr, pi, sin, sqrt, tan

mp.dps = 40

ROOT = Path(__file__).resolve().parent.parent.parent
SHELF = ROOT / "tests" / "shelf"
STUDENTS = 50

# In coherent SI units; exact, from the definitions in the SI Brochure, 9th edition (foot: 0.3048 m,
# nautical mile: 1852 m, kilogram-force: 9.80665 N, thermochemical calorie: 4.184 J, by definition).
UNITS = {
    "": 1,
    "%": mpf(1) / 100,
    "kg": 1,
    "g": mpf(1) / 1000,
    "t": 1000,
    "m": 1,
    "cm": mpf(1) / 100,
    "mm": mpf(1) / 1000,
    "ft": mpf("0.3048"),
    "nmi": 1852,
    "s": 1,
    "min": 60,
    "h": 3600,
    "°": pi / 180,
    "m/s": 1,
    "km/h": 1 / mpf("3.6"),
    "ft/s": mpf("0.3048"),
    "kn": mpf(1852) / 3600,
    "rpm": 2 * pi / 60,
    "Hz": 1,
    "m/s²": 1,
    "ft/s²": mpf("0.3048"),
    "N": 1,
    "kN": 1000,
    "kgf": mpf("9.80665"),
    "N/m": 1,
    "N/s": 1,
    "kg m²": 1,
    "W": 1,
    "L": mpf(1) / 1000,
    "g/cm³": 1000,
    "V": 1,
    "A": 1,
    "Ω": 1,
    "cal/(g K)": 4184,
    "kJ/(kg K)": 1000,
}
ZERO = {"°C": mpf("273.15")}


def quantity(text):
    """A value in SI units from a text as printed on a paper, such as `2.00 kg` or `-0.50 m/s`."""
    number, _, unit = text.replace("\u2212", "-").replace("\u00a0", " ").partition(" ")
    if number.endswith("°"):
        number, unit = number[:-1], "°"
    if unit in ZERO:
        return mpf(number) + ZERO[unit]
    if unit not in UNITS:
        raise SystemExit(f"the unit of {text} is not in UNITS: add its size in SI units, with where it is from")
    return mpf(number) * UNITS[unit]


SOLVERS = {}


def shelf(solver):
    """Files a solver under the code that its name stands for: `ramp_drum_1` solves `ramp-drum-1`."""
    SOLVERS[solver.__name__.replace("_", "-")] = solver
    return solver


def word(first, is_first, second):
    return first if is_first else second


# Motion in a line


@shelf
def tram_1(a, t1, D):
    v = a * t1
    t = D / v + t1 / 2  # the first stage costs half its time
    return {"v": v, "s1": v**2 / (2 * a), "t2": t - t1, "t": t, "u": D / t}


@shelf
def ferries_1(D, v1, v2, t0):
    gap = D - v1 * t0
    t = t0 + gap / (v1 + v2)
    x = v1 * t
    return {"t": t, "x": x, "T": t0 + D / v2, "(c)": word("northern", 2 * x < D, "southern")}


@shelf
def braking_1(v0, tr, a, D):
    sb = v0**2 / (2 * a)
    s = v0 * tr + sb
    return {"sr": v0 * tr, "sb": sb, "s": s, "tb": v0 / a, "t": tr + v0 / a, "(c)": word("yes", s < D, "no")}


@shelf
def toss_1(t, h, g):
    v0 = g * t / 2
    return {"tu": t / 2, "v0": v0, "y": g * t**2 / 8, "v": -v0, "w": sqrt(v0**2 + 2 * g * h)}


# Projectiles


@shelf
def jet_1(v0, theta, g):
    y = (v0 * sin(theta)) ** 2 / (2 * g)
    x = v0**2 * sin(2 * theta) / (2 * g)
    return {
        "vx": v0 * cos(theta),
        "vy": v0 * sin(theta),
        "t": v0 * sin(theta) / g,
        "y": y,
        "x": x,
        "s": sqrt(x * x + y * y),
        "phi": atan(tan(theta) / 2),
    }


@shelf
def dock_1(h, v0, g):
    w = sqrt(2 * g * h)
    return {"t": w / g, "x": v0 * w / g, "w": w, "v": sqrt(v0**2 + 2 * g * h), "phi": atan(w / v0)}


@shelf
def balcony_1(theta, h, x, g):
    # the parabola through hand and catch: y = x tan(theta) - k x^2, with k = g/(2 vx^2)
    k = (x * tan(theta) - h) / x**2
    vx = sqrt(g / (2 * k))
    w = vx * (2 * h / x - tan(theta))
    return {
        "t": x / vx,
        "v0": vx / cos(theta),
        "w": w,
        "v": sqrt(vx**2 + w**2),
        "(c)": word("rise", w > 0, "fall"),
    }


@shelf
def projectile_1(v0, theta, h, g):
    vx, vy = v0 * cos(theta), v0 * sin(theta)
    u = -sqrt(vy**2 - 2 * g * h)
    t = (vy - u) / g
    return {
        "vx": vx,
        "vy": vy,
        "t": t,
        "x": vx * t,
        "u": u,
        "v": sqrt(v0**2 - 2 * g * h),
        "phi": atan(-u / vx),
        "(e)": word("horizontal", vx > -u, "vertical"),
    }


# Newton's second law


@shelf
def lift_1(m, a, R, g):
    b = R / m - g
    return {"F1": m * (g + a), "F2": m * g, "b": b, "(c)": word("up", b > 0, "down")}


@shelf
def tug_1(m, m1, m2, k, t):
    F, M = k * t, m + m1 + m2
    return {"a": F / M, "v": F * t / (2 * M), "T1": F * (m1 + m2) / M, "T2": F * m2 / M}


@shelf
def tins_1(mL, mR, d, g):
    a = g * (mL - mR) / (mL + mR)
    return {
        "a": a,
        "T": 2 * g * mL * mR / (mL + mR),
        "t": sqrt(d / abs(a)),  # each tin moves half of d
        "(a)": word("left", mL > mR, "right"),
    }


@shelf
def tray_1(mT, mB, h, g):
    return {
        "a": g * mB / (mT + mB),
        "T": g * mT * mB / (mT + mB),
        "v": sqrt(2 * g * h * mB / (mT + mB)),
    }


@shelf
def chute_1(m, theta, f, s, g):
    work = m * g * s * sin(theta) - f * s
    return {
        "a1": g * sin(theta),
        "a2": work / (m * s),
        "N": m * g * cos(theta),
        "mu": f / (m * g * cos(theta)),
        "v": sqrt(2 * work / m),
    }


@shelf
def boxes_1(m1, m2, mu, g):
    return {"N1": m1 * g, "T": mu * m1 * g, "N2": (m1 + m2) * g, "P": mu * g * (3 * m1 + m2)}


@shelf
def dogs_1(F1, F2, F3, b, c):
    # The three forces as complex numbers; the size from the law of cosines.
    sum_of = F1 + F2 * expj(b) + F3 * expj(c)
    pairs = F1 * F2 * cos(b) + F1 * F3 * cos(c) + F2 * F3 * cos(c - b)
    size = sqrt(F1**2 + F2**2 + F3**2 + 2 * pairs)
    return {"X": sum_of.real, "Y": sum_of.imag, "R": size, "t": arg(sum_of)}


@shelf
def toolbox_1(mT, mN, mu, g):
    if mN < mu * mT:  # friction holds what the bag pulls
        return {"F": mN * g, "a": 0, "T": mN * g, "(a)": "stays at rest"}
    # What the bag pulls less what friction takes, shared by both; the cord from the toolbox's side.
    a = g * (mN - mu * mT) / (mT + mN)
    return {"F": mu * mT * g, "a": a, "T": g * mN * mT * (1 + mu) / (mT + mN), "(a)": "slides"}


@shelf
def bend_1(m, r, v, mu, g):
    u = sqrt(mu * g * r)
    return {"F": m * v**2 / r, "mu0": v**2 / (r * g), "u": u, "(c)": word("yes", v < u, "no")}


@shelf
def velodrome_1(m, r, v, w, g):
    return {
        "theta": atan(v**2 / (r * g)),
        "N": m * sqrt(g**2 + v**4 / r**2),
        "F": m * v**2 / r,
        "(d)": word("up", w < v, "down"),
    }


@shelf
def ropes_1(mB, mM, mS, g):
    M = mB + mM + mS
    drive = mB - mM - mS
    return {
        "a": g * drive / M,
        "T1": 2 * g * mB * (mM + mS) / M,
        "T2": 2 * g * mB * mS / M,
        "(a)": word("down", drive > 0, "up"),
    }


@shelf
def incline_1(mB, mK, theta, mu, s, g):
    N = mB * g * cos(theta)
    work = (mK * g - mB * g * sin(theta) - mu * N) * s
    a = work / (s * (mB + mK))
    return {
        "N": N,
        "f": mu * N,
        "a": a,
        "T": mB * mK * g * (1 + sin(theta) + mu * cos(theta)) / (mB + mK),
        "v": sqrt(2 * work / (mB + mK)),
        "(e)": word("stays", mu > tan(theta), "slides back"),
    }


# Statics


@shelf
def sign_1(m, alpha, beta, g):
    # the triangle of forces, by the law of sines
    ratio = m * g / sin(alpha + beta)
    return {"T1": ratio * cos(beta), "T2": ratio * cos(alpha), "(a)": word("left", alpha > beta, "right")}


@shelf
def rope_1(m, theta, F, g):
    return {"T": m * g / (2 * sin(theta)), "phi": asin(m * g / (2 * F))}


@shelf
def ladder_1(m, L, theta, M, d, g):
    W = g * (m / 2 + M * d / L) / tan(theta)
    N = g * (m + M)
    return {"N": N, "W": W, "f": W, "mu": W / N}


@shelf
def plank_1(P, Q, S, L, x, y):
    A = P / 2 + Q * (L - x) / L + S * y / L
    B = P / 2 + Q * x / L + S * (L - y) / L
    # about the middle: the plasterer against the sack
    z = L / 2 - S * (L / 2 - y) / Q
    return {"A": A, "B": B, "z": z, "(a)": word("left", A > B, "right")}


@shelf
def mobile_1(m, m1, m2, x, x1, x2, x3, g):
    m3 = (m1 * x1 + m2 * x2 + m * x) / x3
    return {"m3": m3, "F": g * (m + m1 + m2 + m3)}


@shelf
def seesaw_1(m1, m2, m3, r1, r3, g):
    return {"r2": m1 * r1 / m2, "F": g * (m1 + m2), "q": (m1 * r1 - m3 * r3) / m2}


# Work and energy


@shelf
def launcher_1(m, k, d, h, g):
    w = sqrt(k / m)
    return {
        "E": k * d**2 / 2,
        "v1": d * w,  # a quarter of a swing
        "v2": sqrt((d * w) ** 2 - 2 * g * h),
        "H": k * d**2 / (2 * m * g),
    }


@shelf
def sledge_1(m, s, theta, mu, g):
    a = g * (sin(theta) - mu * cos(theta))
    return {
        "h": s * sin(theta),
        "Q": mu * m * g * s * cos(theta),
        "v": sqrt(2 * a * s),
        "d": s * (sin(theta) / mu - cos(theta)),
    }


@shelf
def pump_1(V, h, eta, T, g):
    W = 1000 * V * g * h
    PM = W / 60 / eta
    return {"W": W, "P": W / 60, "PM": PM, "E": PM * T}


# Momentum


@shelf
def wagons_1(m1, m2, v1, v2):
    reduced = m1 * m2 / (m1 + m2)
    return {
        "v": v2 + (v1 - v2) * m1 / (m1 + m2),
        "J": reduced * (v1 - v2),
        "E": reduced * (v1 - v2) ** 2 / 2,
    }


@shelf
def gliders_1(m1, m2, v1):
    M = m1 + m2
    return {
        "u1": v1 * (m1 - m2) / M,
        "u2": v1 * 2 * m1 / M,
        "K": 4 * m1 * m2 / M**2,
        "(b)": word("right", m1 > m2, "left"),
    }


@shelf
def release_1(m1, m2, v1, v2, u1):
    push = m1 * (v1 - u1)
    u2 = v2 + push / m2
    K1 = (m1 * v1 * v1 + m2 * v2 * v2) / 2
    W = push * ((v2 + u2) / 2 - (v1 + u1) / 2)  # the push times the mean velocities
    return {"u2": u2, "K1": K1, "K2": K1 + W, "W": W}


@shelf
def ice_1(m1, m2, v1, v2):
    p, q = m1 * v1, m2 * v2
    return {
        "vx": p / (m1 + m2),
        "vy": q / (m1 + m2),
        "v": sqrt(p * p + q * q) / (m1 + m2),
        "phi": atan(q / p),
        "E": m1 * m2 / (m1 + m2) * (v1**2 + v2**2) / 2,
        "(a)": word("east", p > q, "north"),
    }


@shelf
def collision_1(m1, m2, v1, v2, mu, g):
    p = m1 * v1 - m2 * v2
    v = p / (m1 + m2)
    return {
        "v": v,
        "E": m1 * m2 / (m1 + m2) * (v1 + v2) ** 2 / 2,
        "s": v**2 / (2 * mu * g),
        "t": abs(v) / (mu * g),
        "(a)": word("east", p > 0, "west"),
    }


# Motion in a circle


@shelf
def bucket_1(m, r, v, g):
    F1 = m * (v**2 / r - g)
    return {"v0": sqrt(g * r), "F1": F1, "u": sqrt(v**2 + 4 * g * r), "F2": F1 + 6 * m * g}


@shelf
def swings_1(R, L, theta, m, g):
    r = R + L * sin(theta)
    T = 2 * pi * sqrt(r / (g * tan(theta)))
    return {"r": r, "v": 2 * pi * r / T, "T": T, "F": m * g / cos(theta)}


# Rotation


@shelf
def ramp_drum_1(m, theta, M, R, mu, s, g):
    a = g * (sin(theta) - mu * cos(theta)) / (1 + M / (2 * m))
    return {"a": a, "T": M * a / 2, "alpha": a / R, "W": M * a * s / 2}


@shelf
def drum_1(I, r, F, d, g):
    share = 1 / (1 + F * r**2 / (g * I))
    w1 = sqrt(2 * F * d / I)
    return {"alpha": F * r / I, "w1": w1, "w2": w1 * sqrt(share), "T": F * share}


@shelf
def ball_1(m, r, s, theta, g):
    a = 5 * g * sin(theta) / 7
    v = sqrt(2 * a * s)
    return {"a": a, "v": v, "w": v / r, "f": 2 * m * g * sin(theta) / 7, "t": sqrt(2 * s / a)}


@shelf
def flywheel_1(m, D, n, F):
    E = m * D**2 * n**2 / 16
    alpha = 4 * F / (m * D)
    return {"w": n, "E": E, "alpha": alpha, "t": n / alpha, "N": E / (pi * D * F)}


@shelf
def barrier_1(m, L, theta, g):
    return {
        "alpha": 3 * g * cos(theta) / (2 * L),
        "E": m * g * L * sin(theta) / 2,
        "w": sqrt(3 * g * sin(theta) / L),
        "v": sqrt(3 * g * L * sin(theta)),
    }


@shelf
def pulley_disc_1(mL, mR, M, R, g):
    a = g * (mL - mR) / (mL + mR + M / 2)
    return {
        "a": a,
        "alpha": a / R,
        "TL": mL * (g - a),
        "TR": mR * (g + a),
        "(a)": word("left", mL > mR, "right"),
    }


# Oscillation


@shelf
def pendulum_1(L, N, tN, m, T2):
    T = tN / N
    g = L * (2 * pi / T) ** 2
    return {"T": T, "g": g, "G": m * g, "L2": L * (T2 / T) ** 2}


@shelf
def scale_1(m, x, A, g):
    w = sqrt(g / x)
    return {"k": m * g / x, "w": w, "T": 2 * pi / w, "v": A * w, "F": m * g * (1 + A / x)}


# Fluids


@shelf
def raft_1(n, l, b, h, rho, water, Q):
    V = n * l * b * h
    M = (water - rho) * V
    return {"m": rho * V, "t": h * rho / water, "M": M, "(d)": word("yes", Q < M, "no")}


@shelf
def jack_1(d, D, F, y, g):
    return {"p": 4 * F / (pi * d**2), "m": F / g * (D / d) ** 2, "x": y * (d / D) ** 2, "W": F * y}


# Circuits


@shelf
def lamps_1(U, R1, R2, R3):
    # conductances: what flows through the strings for each volt across them
    G = 1 / R2 + 1 / R3
    U2 = U / (1 + R1 * G)
    return {"R": R1 + 1 / G, "I": U2 * G, "U2": U2, "I2": U2 / R2, "P": U2**2 / R2}


@shelf
def battery_1(I1, U1, I2, U2, R):
    # the straight line through both measurements, drawn on to both axes
    r = (U1 - U2) / (I2 - I1)
    E = (U1 * I2 - U2 * I1) / (I2 - I1)
    Is = (U1 * I2 - U2 * I1) / (U1 - U2)
    return {"r": r, "E": E, "Is": Is, "I": E / (r + R), "P": R * (E / (r + R)) ** 2}


# Heat


@shelf
def bath_1(V1, T1, V2, T2, T3):
    T = (V1 * T1 + V2 * T2) / (V1 + V2)
    return {"T": T, "V": V1 * (T3 - T1) / (T2 - T3), "(b)": word("too cold", T < T3, "too hot")}


@shelf
def iron_1(m, M, T1, T2, T, X, cw):
    # the share of the way that the water goes towards the metal depends on both heat capacities alone
    share = (T - T1) / (T2 - T1)
    Q = cw * M * (T - T1)
    return {"Q": Q, "c": Q / (m * (T2 - T)), "Y": T1 + share * (X - T1)}


@shelf
def kettle_1(P, V, T1, T2, t, c):
    Q = 1000 * V * c * (T2 - T1)
    return {"Q": Q, "E": P * t, "eta": Q / (P * t), "s": Q / P}


# Waves


@shelf
def line_1(L, m, F, f2):
    # Up and down in the time in which a wave runs there and back.
    f = sqrt(F / (m * L)) / 2
    return {"mu": m / L, "c": 2 * L * f, "f": f, "F2": F * (f2 / f) ** 2, "(e)": word("more", f2 > f, "less")}


def issued(program, path, folder):
    """The givens of a made-up class, as the program issues them."""
    assignments, rosters = folder / "assignments", folder / "rosters"
    for each in (assignments, rosters):
        each.mkdir(exist_ok=True)
    for file in (path, path.with_suffix(".svg")):
        if file.exists():
            shutil.copy(file, assignments)
    roster = rosters / "shelf.csv"
    lines = [f"s{at:02},Student {at:02}\n" for at in range(1, STUDENTS + 1)]
    roster.write_text("id,name\n" + "".join(lines), encoding="utf-8")
    command = [program, "issue", assignments / path.name, "--roster", roster, "--json"]
    run = subprocess.run(command, check=True, capture_output=True, text=True, encoding="utf-8")
    return [json.loads(line)["givens"] for line in run.stdout.splitlines()]


def kept(path):
    """The givens that stand in a file of results."""
    with path.open(encoding="utf-8", newline="") as file:
        table = csv.DictReader(file)
        names = [name[len("given:") :] for name in table.fieldnames if name.startswith("given:")]
        return [{name: row[f"given:{name}"] for name in names} for row in table]


def write(path, rows):
    """One row a student: givens as printed, unknowns in SI units, words."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        givens, solution = rows[0]
        table.writerow([f"given:{name}" for name in givens] + list(solution))
        for givens, solution in rows:
            cells = [value if isinstance(value, str) else nstr(value, 15, strip_zeros=False) for value in solution.values()]
            table.writerow(list(givens.values()) + cells)


def main():
    SHELF.mkdir(exist_ok=True)
    files = {path.stem: path for path in sorted((ROOT / "assignments").rglob("*.toml")) if "sheet" not in path.stem}
    if missing := sorted(files.keys() - SOLVERS.keys()):
        raise SystemExit(f"no closed form for {', '.join(missing)}")
    with tempfile.TemporaryDirectory() as folder:
        for code, path in files.items():
            to = SHELF / f"{code}.csv"
            variants = issued(Path(sys.argv[1]).resolve(), path, Path(folder)) if len(sys.argv) > 1 else kept(to)
            solved = SOLVERS[code]
            rows = [
                (givens, solved(**{name: quantity(text) for name, text in givens.items()}))
                for givens in variants
            ]
            write(to, rows)
    print(f"{len(files)} assignments solved", file=sys.stderr)


if __name__ == "__main__":
    main()
