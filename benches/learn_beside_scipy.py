#!/usr/bin/env python3
"""Censored fits by this program, by scipy and by lifelines, on the same tables, on one machine in one run.

    python3 -m venv target/venv
    target/venv/bin/pip install numpy scipy lifelines
    cargo build --release
    target/venv/bin/python benches/learn_beside_scipy.py

The model on all sides: ln t = b0 + (E/R)(1/T - 1/T0) + n ln(dose_ref/dose) + sigma Z, with left-, right- and
interval-censored and exact times. scipy minimises the negative log-likelihood written here from its normal distribution;
lifelines fits its LogNormalAFTFitter. Both print their estimates beside ours, on the tables of tests/reference and on five
thousand invented rows. Timed are whole processes that read the same file and fit it, the shortest of several runs; for
scipy and lifelines also what the fit alone takes, so that nobody counts their imports against them. `cargo bench --bench
learn` has what our fit alone takes.
"""

import csv
import json
import math
import random
import subprocess
import sys
import tempfile
import time
import warnings
from pathlib import Path

import numpy as np
import pandas
from lifelines import LogNormalAFTFitter
from scipy.optimize import minimize
from scipy.stats import norm

ROOT = Path(__file__).resolve().parent.parent
OURS = ROOT / "target/release/nightpour"
GAS_KJ = 8.31446261815324e-3
RUNS = 5
warnings.filterwarnings("ignore")


class Looks:
    """Hours `after` (0: open) and `by` (inf: open), temperature in C, dose in percent, each row `count` times."""

    def __init__(self, name, rows, reference_c):
        self.name, self.reference_c = name, reference_c
        self.after, self.by, self.c, self.dose, self.count = (np.array(column, float) for column in zip(*rows))
        self.warmth = (1 / (self.c + 273.15) - 1 / (reference_c + 273.15)) / GAS_KJ
        self.strength = -np.log(self.dose)
        self.dosed = len(set(self.dose)) > 1

    def columns(self):
        columns = [np.ones_like(self.c), self.warmth] + ([self.strength] if self.dosed else [])
        return np.column_stack(columns)

    def write(self, path):
        with open(path, "w", newline="") as file:
            table = csv.writer(file)
            table.writerow(["stage", "c", "dose_percent", "after_h", "by_h", "count"])
            for after, by, c, dose, count in zip(self.after, self.by, self.c, self.dose, self.count):
                table.writerow(["gel", c, dose, after or "", "" if math.isinf(by) else by, int(count)])


def synthetic(dosed):
    with open(ROOT / "tests/reference/synthetic_settimes.csv") as file:
        rows = [
            (float(r["lo_h"]), float(r["hi_h"]), float(r["T_C"]), float(r["dose_pct"]) if dosed else 1.0, 1)
            for r in csv.DictReader(file)
        ]
    return Looks("synthetic, with the dose" if dosed else "synthetic, without the dose", rows, 25.0)


def device():
    with open(ROOT / "tests/reference/interval_censored_device_ic.csv") as file:
        rows = [
            (float(r["lo_h"]), float(r["hi_h"]), float(r["temp_K"]) - 273.15, 1.0, int(r["count"]))
            for r in csv.DictReader(line for line in file if not line.startswith("#"))
        ]
    return Looks("device IC (Meeker & Escobar 1998, Example 19.11)", rows, 250.0)


def invented(rows):
    rng, out = random.Random(5), []
    for _ in range(rows):
        c, dose = rng.choice(range(12, 29, 2)), rng.choice([0.7, 1.0, 1.5, 2.0])
        t = math.exp(1.0 + 59 * (1 / (c + 273.15) - 1 / 298.15) / GAS_KJ - 0.95 * math.log(dose) + rng.gauss(0, 0.17))
        kind = rng.random()
        if kind < 0.15:
            out.append((0.0, t * rng.uniform(1.02, 1.5), c, dose, 1))
        elif kind < 0.3:
            out.append((t * rng.uniform(0.6, 0.98), math.inf, c, dose, 1))
        elif kind < 0.4:
            out.append((t, t, c, dose, 1))
        else:
            out.append((t * rng.uniform(0.8, 0.98), t * rng.uniform(1.02, 1.3), c, dose, 1))
    return Looks(f"{rows} invented rows", out, 25.0)


def read(path, reference_c):
    number = lambda text, blank: float(text) if text else blank
    with open(path) as file:
        rows = [
            (number(r["after_h"], 0.0), number(r["by_h"], math.inf), float(r["c"]), float(r["dose_percent"]), int(r["count"]))
            for r in csv.DictReader(file)
        ]
    return Looks("", rows, reference_c)


def by_ours(path, looks):
    ask = [OURS, "learn", "--from", str(path), "--no-prior", "--reference-c", str(looks.reference_c), "--json"]
    told, seconds = timed(ask)
    fit, errors = json.loads(told), json.loads(told)["standard_errors"]
    figures = [fit["b0"], fit["temperature"]["activation_kj"], fit["dose_exponent"], fit["sigma"], fit["log_likelihood"]]
    return figures, [errors["b0"], errors["activation_kj"], errors["dose_exponent"], errors["sigma"]], seconds, None


def by_other(name):
    def ask(path, looks):
        told, seconds = timed([sys.executable, __file__, name, str(path), str(looks.reference_c)])
        figures, errors, alone = json.loads(told)
        return figures, errors, seconds, alone

    return ask


def timed(command):
    seconds = math.inf
    for _ in range(RUNS):
        start = time.perf_counter()
        told = subprocess.run(command, capture_output=True, check=True).stdout
        seconds = min(seconds, time.perf_counter() - start)
    return told, seconds


def by_scipy(looks):
    columns, exact = looks.columns(), looks.after == looks.by
    low = np.log(np.where(looks.after > 0, looks.after, 1.0))
    high = np.log(np.where(np.isfinite(looks.by), looks.by, 1.0))

    def minus_ln_likelihood(p):
        mean, sigma = columns @ p[:-1], np.exp(p[-1])
        a = np.where(looks.after > 0, (low - mean) / sigma, -np.inf)
        b = np.where(np.isfinite(looks.by), (high - mean) / sigma, np.inf)
        # In the lower tail nothing cancels.
        a, b = np.where(a > 0, -b, a), np.where(a > 0, -a, b)
        with np.errstate(all="ignore"):
            between = norm.logcdf(b) + np.log1p(-np.exp(norm.logcdf(a) - norm.logcdf(b)))
        moment = norm.logpdf((high - mean) / sigma) - p[-1] - high
        return -np.sum(looks.count * np.where(exact, moment, between))

    start = time.perf_counter()
    p = np.array([1.0, 55.0] + ([0.9] if looks.dosed else []) + [-1.0])
    p = minimize(minus_ln_likelihood, p, method="Nelder-Mead", options={"maxiter": 4000, "xatol": 1e-9, "fatol": 1e-11}).x
    best = minimize(minus_ln_likelihood, p, method="BFGS", options={"gtol": 1e-9})
    seconds = time.perf_counter() - start
    errors = np.sqrt(np.diag(np.linalg.inv(hessian(minus_ln_likelihood, best.x))))
    sigma = np.exp(best.x[-1])
    exponent, exponent_error = (best.x[2], errors[2]) if looks.dosed else (None, None)
    return [best.x[0], best.x[1], exponent, sigma, -best.fun], [errors[0], errors[1], exponent_error, errors[-1] * sigma], seconds


def hessian(f, p):
    """Central differences with one step of Richardson's extrapolation."""
    n, h = len(p), 1e-4 * np.maximum(1, np.abs(p))
    out = np.zeros((n, n))
    for i in range(n):
        for j in range(n):
            def second(s):
                a, b = np.zeros(n), np.zeros(n)
                a[i], b[j] = h[i] * s, h[j] * s
                return (f(p + a + b) - f(p + a - b) - f(p - a + b) + f(p - a - b)) / (4 * h[i] * h[j] * s * s)
            out[i, j] = (4 * second(1) - second(2)) / 3
    return out


def by_lifelines(looks):
    # It cannot take a time of nought.
    frame = pandas.DataFrame({"after": np.maximum(looks.after, 1e-9), "by": looks.by, "warmth": looks.warmth, "count": looks.count})
    if looks.dosed:
        frame["strength"] = looks.strength
    start = time.perf_counter()
    fitter = LogNormalAFTFitter()
    fitter.fit_interval_censoring(frame, "after", "by", weights_col="count")
    seconds = time.perf_counter() - start
    of, spread = fitter.params_["mu_"], fitter.params_["sigma_"]["Intercept"]
    deviation = fitter.standard_errors_["mu_"]
    errors = [deviation["Intercept"], deviation["warmth"], deviation.get("strength"), None]
    return [of["Intercept"], of["warmth"], of.get("strength"), math.exp(spread), fitter.log_likelihood_], errors, seconds


def shown(figures):
    return "  ".join("         -" if figure is None else f"{figure:10.5f}" for figure in figures)


def main():
    ways = (("ours", by_ours), ("scipy", by_other("scipy")), ("lifelines", by_other("lifelines")))
    for looks in (device(), synthetic(True), synthetic(False), invented(5000)):
        print(f"{looks.name}: {int(looks.count.sum())} looks, b0 at {looks.reference_c:g} C")
        print("                   b0    E kJ/mol    exponent       sigma        ln L    whole process   fit alone")
        whole = {}
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "looks.csv"
            looks.write(path)
            for name, fit in ways:
                figures, errors, whole[name], alone = fit(path, looks)
                alone = "" if alone is None else f"{alone * 1000:9.1f} ms"
                print(f"  {name:9}  {shown(figures)}   {whole[name] * 1000:9.1f} ms {alone}")
                print(f"         ±   {shown(errors)}")
        ours = whole["ours"]
        print(f"  lifelines takes {whole['lifelines'] / ours:.0f} times as long, scipy {whole['scipy'] / ours:.0f}\n")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        # The other half: one fit of one file in a process of its own.
        way = {"scipy": by_scipy, "lifelines": by_lifelines}[sys.argv[1]]
        plain = lambda figures: [None if figure is None else float(figure) for figure in figures]
        told, errors_told, seconds_told = way(read(sys.argv[2], float(sys.argv[3])))
        print(json.dumps([plain(told), plain(errors_told), seconds_told]))
    else:
        main()
