#!/usr/bin/env python3
"""A slab that heats itself, by this project's solver and by scipy's, on one machine in one run.

    python3 -m venv target/venv
    target/venv/bin/pip install numpy scipy
    target/venv/bin/python benches/heat_beside_scipy.py

The same equations on both sides: finite volumes over the thickness,
    rho c dT/dt = k d2T/dz2 + rho H da/dt,   da/dt = (k1 + k2 a)(1 - a) exp(-E/R (1/T - 1/T0)),
10 W/m2K at both faces. scipy takes 100 cells, with an exact sparse Jacobian for BDF and Radau, and an exact banded one for
LSODA, which is Fortran but for the equations. The two are compared at the error they really have: how far the peak in the
middle of 10 mm is from a fine solution. Beside each of our runs stands the fastest of each method that comes as near. The
shortest of several runs counts, so that a busy machine does less harm.

Then 20 mm, where a front runs from the middle to the faces: the peaks of both, and of scipy on finer and finer grids.
"""

import json
import subprocess
import time
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline
from scipy.sparse import csc_matrix

GAS = 8.31446261815324
ZERO_C = 273.15
ROOM = 25.0 + ZERO_C
DENSITY, SPECIFIC_HEAT, CONDUCTIVITY = 1150.0, 1700.0, 0.2
HEAT, ENERGY, K1, K2 = 300e3, 52950.0, 1e-5, 2e-4
FACE = 10.0
UNTIL_S = 30000.0

METHODS = ("BDF", "Radau", "LSODA")
CELLS = 100
TOLERANCES = (3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 1e-6, 1e-7, 1e-8)
RUNS = 5
AT_LEAST = 20.0


class Slab:
    """State: temperature in K and conversion of each cell, cell by cell."""

    def __init__(self, thickness_mm, cells):
        self.cells = cells
        depth = thickness_mm / 1000.0 / cells
        capacity = DENSITY * SPECIFIC_HEAT * depth
        self.behind_face = CONDUCTIVITY / (depth / 2)
        self.flow = CONDUCTIVITY / depth / capacity
        self.loss = 1.0 / (1.0 / FACE + 1.0 / self.behind_face) / capacity
        i = np.arange(cells)
        self.diagonal = np.full(cells, -2.0 * self.flow)
        self.diagonal[[0, -1]] = -self.flow - self.loss
        beside = np.full(cells - 1, self.flow)
        self.beside = np.concatenate([beside, beside])
        self.rows = np.concatenate([2 * i, 2 * i[1:], 2 * i[:-1], 2 * i, 2 * i + 1, 2 * i + 1])
        self.columns = np.concatenate([2 * i, 2 * i[1:] - 2, 2 * i[:-1] + 2, 2 * i + 1, 2 * i, 2 * i + 1])

    def slopes(self, _, y):
        t, alpha = y[0::2], y[1::2]
        rate = (K1 + K2 * alpha) * (1.0 - alpha) * np.exp(-ENERGY / GAS * (1.0 / t - 1.0 / ROOM))
        up = np.empty(self.cells + 1)
        up[1:-1] = self.flow * (t[:-1] - t[1:])
        up[0] = self.loss * (ROOM - t[0])
        up[-1] = self.loss * (t[-1] - ROOM)
        out = np.empty_like(y)
        out[0::2] = up[:-1] - up[1:] + HEAT / SPECIFIC_HEAT * rate
        out[1::2] = rate
        return out

    def parts(self, y):
        t, alpha = y[0::2], y[1::2]
        speed = np.exp(-ENERGY / GAS * (1.0 / t - 1.0 / ROOM))
        drive, left = K1 + K2 * alpha, 1.0 - alpha
        return speed * (K2 * left - drive), drive * left * speed * ENERGY / GAS / t**2

    def jacobian(self, _, y):
        by_alpha, by_t = self.parts(y)
        warm = HEAT / SPECIFIC_HEAT
        values = np.concatenate([self.diagonal + warm * by_t, self.beside, warm * by_alpha, by_t, by_alpha])
        return csc_matrix((values, (self.rows, self.columns)), shape=(2 * self.cells, 2 * self.cells))

    def banded(self, _, y):
        """Two diagonals up and two down, as LSODA wants them."""
        by_alpha, by_t = self.parts(y)
        warm = HEAT / SPECIFIC_HEAT
        band = np.zeros((5, 2 * self.cells))
        band[2, 0::2] = self.diagonal + warm * by_t
        band[2, 1::2] = by_alpha
        band[1, 1::2] = warm * by_alpha
        band[3, 0::2] = by_t
        band[0, 2::2] = band[4, 0:-2:2] = self.flow
        return band

    def solve(self, method, tolerance, finely=None):
        start = np.zeros(2 * self.cells)
        start[0::2] = ROOM
        options = {"jac": self.banded, "lband": 2, "uband": 2} if method == "LSODA" else {"jac": self.jacobian}
        options |= {"method": method, "rtol": tolerance, "atol": tolerance}
        if finely is None:
            return solve_ivp(self.slopes, (0.0, UNTIL_S), start, **options)
        # Through the peaks in short steps.
        from_s, to_s = finely
        before = solve_ivp(self.slopes, (0.0, from_s), start, **options).y[:, -1]
        return solve_ivp(self.slopes, (from_s, to_s), before, max_step=1.0, **options)

    def peaks(self, solved):
        """Of the middle and of the top face, °C, by cubics through the steps with their slopes."""
        slopes = np.array([self.slopes(0.0, y) for y in solved.y.T]).T
        half = self.cells // 2
        if self.cells % 2:
            middle = lambda y: y[0::2][half]
        else:
            middle = (
                lambda y: (9.0 * (y[0::2][half - 1] + y[0::2][half]) - y[0::2][half - 2] - y[0::2][half + 1]) / 16.0
            )
        share = self.behind_face / (self.behind_face + FACE)
        found = []
        for value, slope in [
            (middle(solved.y), middle(slopes)),
            (ROOM + share * (solved.y[-2] - ROOM), share * slopes[-2]),
        ]:
            cubic = CubicHermiteSpline(solved.t, value, slope)
            turns = cubic.derivative().roots(extrapolate=False)
            found.append(max(value.max(), cubic(turns[np.isfinite(turns)]).max(initial=0.0)) - ZERO_C)
        return found


def timed(slab, method, tolerance):
    seconds = []
    for _ in range(RUNS):
        start = time.perf_counter()
        solved = slab.solve(method, tolerance)
        seconds.append(time.perf_counter() - start)
    return min(seconds), solved


def ours():
    root = Path(__file__).resolve().parent.parent
    told = subprocess.run(
        ["cargo", "bench", "--quiet", "--bench", "heat_beside"], cwd=root, check=True, stdout=subprocess.PIPE, text=True
    ).stdout
    return [json.loads(line) for line in told.splitlines() if line.startswith("{")]


def scipys(truth):
    slab = Slab(10.0, CELLS)
    runs = {method: [] for method in METHODS}
    for method in METHODS:
        for tolerance in TOLERANCES:
            seconds, solved = timed(slab, method, tolerance)
            if solved.success:
                runs[method].append((seconds, abs(slab.peaks(solved)[0] - truth), tolerance))
    return runs


def beside(our_runs):
    fine = Slab(10.0, 1601)
    truth = fine.peaks(fine.solve("Radau", 1e-9))[0]
    print(f"10 mm, peak in the middle: {truth:.5f} °C (scipy, 1601 cells, Radau, 1e-9)")
    theirs = scipys(truth)
    print(
        f"{'ours':>20} {'error °C':>9} {'ms':>7}"
        + "".join(f" | {method:>7} {'error °C':>9} {'ms':>6} {'ratio':>5}" for method in METHODS)
    )
    enough = {method: [] for method in METHODS}
    for run in our_runs:
        if run["thickness_mm"] != 10.0:
            continue
        error = abs(run["centre_peak_c"] - truth)
        name = f"{run['cells']} cells, {run['tolerance_c']:.0e}"
        line = f"{name:>20} {error:9.5f} {1e3 * run['seconds']:7.3f}"
        for method in METHODS:
            as_near = [other for other in theirs[method] if other[1] <= error]
            if not as_near:
                line += f" | {'none comes as near':>30}"
                continue
            seconds, their_error, tolerance = min(as_near)
            ratio = seconds / run["seconds"]
            line += f" | {tolerance:7.0e} {their_error:9.5f} {1e3 * seconds:6.1f} {ratio:5.0f}"
            if ratio >= AT_LEAST:
                enough[method].append(error)
        print(line)
    for method in METHODS:
        least = f"down to an error of {min(enough[method]):.3f} °C" if enough[method] else "nowhere"
        print(f"{AT_LEAST:.0f} times as fast as {method} or more: {least}")


def front(our_runs):
    print("20 mm, peaks in the middle and at the top face, °C")
    for run in our_runs:
        if run["thickness_mm"] == 20.0:
            name = f"{run['cells']} cells, {run['tolerance_c']:.0e} °C"
            print(f"{'ours, ' + name:>35} {run['centre_peak_c']:9.4f} {run['top_face_peak_c']:9.4f}")
    for cells in (100, 400, 800, 1600):
        slab = Slab(20.0, cells)
        middle, face = slab.peaks(slab.solve("Radau", 1e-8, finely=(5800.0, 6300.0)))
        print(f"{f'scipy, {cells} cells, Radau, 1e-8':>35} {middle:9.4f} {face:9.4f}")


if __name__ == "__main__":
    runs = ours()
    beside(runs)
    front(runs)
