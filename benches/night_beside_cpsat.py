#!/usr/bin/env python3
"""Pour times by this project's search and by a general constraint solver, on the same cases, in one run.

    python3 -m venv target/venv
    target/venv/bin/pip install ortools
    cargo build --release
    target/venv/bin/python benches/night_beside_cpsat.py          # or with the path of another build

The cases are invented and seeded: layers with beds and doses, sleep, busy hours, windows with levels of risk, sanding at a
price. Both are asked for the least of (wake-ups and sandings at their price, finish, risk, doses away), in that order; CP-SAT
gets one variable a layer for its slot, its dose and its bed, tables of windows looked up by element constraints, and one
weighted sum. Printed beside each other: what each finds, and how long it takes. Any difference ends the run with an error.
"""

import json
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from ortools.sat.python import cp_model

NEVER = 65535
LEVELS = {"early": [500, 100, 30, 10], "late": [100, 30, 10, 2], "early_asleep": 100}
BUILT = Path(__file__).resolve().parent.parent / "target" / "release" / "nightpour"
PROGRAM = sys.argv[1] if len(sys.argv) > 1 else BUILT
STEP_MIN = 5
# The weights of the parts: none can run over into the one before it.
AWAY, RISK, FINISH, COST = 1, 1_000, 1_000_000, 10_000_000_000


def case(rng, slots, layers, beds, doses, pressed):
    """One invented case: a night, layers that open after some slots and close many later. Pressed, it has to begin before the
    night, and no window lasts through it."""
    night = slots * 3 // 10
    asleep_from = rng.randrange(slots // 8, slots // 3)
    hands = ["free"] * slots
    for slot in range(asleep_from, min(slots, asleep_from + night)):
        hands[slot] = "asleep"
    busy = rng.randrange(slots)
    for slot in range(busy, min(slots, busy + slots // 20)):
        hands[slot] = "busy"

    def choice(place, away, speed):
        after = []
        for slot in range(slots):
            if rng.random() < 0.02:
                after.append(None)
            else:
                done = (slot + round(40 / speed)) * STEP_MIN + rng.randrange(5)
                opens = slot + max(1, round(rng.uniform(5, 7) / speed))
                soft = rng.randrange(1, 3)
                shut = slot + round(rng.uniform(10, 22) if pressed else rng.uniform(25, 60) / speed)
                gone = rng.randrange(1, 4)
                window = {
                    "open": [opens + soft * k for k in range(4)],
                    "shut": [max(shut - gone * k, 0) for k in range(4)],
                    "sand": opens + soft if rng.random() < 0.7 else NEVER,
                }
                after.append({"done_min": done, "next": window if place < layers - 1 else None})
        return {"away": away, "after": after}

    speeds = [(0, 1.0), (1, 0.8), (2, 0.6), (1, 1.15), (2, 1.3)][:doses]
    return {
        "hands": hands,
        "first": {"window": {"open": [0] * 4, "shut": [slots // 8 if pressed else NEVER] * 4, "sand": NEVER},
                  "warm_until": rng.randrange(slots // 4), "warm_bed": rng.randrange(beds)},
        "layers": [{"beds": [[choice(place, away, speed) for away, speed in speeds] for _ in range(beds)]}
                   for place in range(layers)],
        "warm_slots": rng.randrange(8, 30),
        "levels": LEVELS,
        "sanding": rng.choice([None, 50, 150]),
    }


def ours(path):
    begun = time.perf_counter()
    run = subprocess.run([PROGRAM, "night", "--case", path], capture_output=True, text=True, check=True)
    return json.loads(run.stdout), time.perf_counter() - begun


def theirs(asked):
    slots, layers = len(asked["hands"]), asked["layers"]
    model = cp_model.CpModel()
    terms, dones = [], []
    at = [model.new_int_var(0, slots - 1, f"at{i}") for i in range(len(layers))]
    beds, doses = len(layers[0]["beds"]), len(layers[0]["beds"][0])
    bed = [model.new_int_var(0, beds - 1, f"bed{i}") for i in range(len(layers))]
    dose = [model.new_int_var(0, doses - 1, f"dose{i}") for i in range(len(layers))]
    asleep = [int(h == "asleep") for h in asked["hands"]]
    busy = [int(h == "busy") for h in asked["hands"]]

    def look_up(place, table, name, low, high):
        """table[bed][dose][slot] of a layer."""
        index = model.new_int_var(0, beds * doses * slots - 1, f"i_{name}")
        model.add(index == (bed[place] * doses + dose[place]) * slots + at[place])
        flat = [table(b, d, s) for b in range(beds) for d in range(doses) for s in range(slots)]
        found = model.new_int_var(low, high, name)
        model.add_element(index, flat, found)
        return found

    def whether(name, constraint, other):
        truth = model.new_bool_var(name)
        model.add(constraint).only_enforce_if(truth)
        model.add(other).only_enforce_if(~truth)
        return truth

    # The first layer's own window: open, and shut at a slot or never.
    model.add(at[0] < min(asked["first"]["window"]["shut"][0], slots))
    if asked["first"]["window"]["shut"][0] != NEVER:
        terms.append(LEVELS["late"][3] * RISK)

    for place, layer in enumerate(layers):
        def after(b, d, s, layer=layer):
            return layer["beds"][b][d]["after"][s]

        wakes = model.new_int_var(0, 1, f"wakes{place}")
        model.add_element(at[place], asleep, wakes)
        terms.append(wakes * 100 * COST)
        hindered = model.new_int_var(0, 1, f"busy{place}")
        model.add_element(at[place], busy, hindered)
        model.add(hindered == 0)
        possible = look_up(place, lambda b, d, s: int(after(b, d, s) is not None), f"possible{place}", 0, 1)
        model.add(possible == 1)
        terms.append(look_up(place, lambda b, d, s, layer=layer: layer["beds"][b][d]["away"], f"away{place}", 0, 4) * AWAY)

        # The bed: cold where the one below was poured long enough ago.
        before = at[place - 1] + asked["warm_slots"] if place else asked["first"]["warm_until"]
        warm = whether(f"warm{place}", at[place] < before, at[place] >= before)
        onto = model.new_int_var(0, beds - 1, f"onto{place}")
        if place:
            model.add_min_equality(onto, [bed[place - 1] + 1, beds - 1])
        else:
            model.add(onto == asked["first"]["warm_bed"])
        model.add(bed[place] == onto).only_enforce_if(warm)
        model.add(bed[place] == 0).only_enforce_if(~warm)

        if place:
            below = layers[place - 1]

            def window(b, d, s, key, k=None, below=below):
                made = below["beds"][b][d]["after"][s]
                if made is None:
                    return NEVER
                return made["next"][key] if k is None else made["next"][key][k]

            opens = [look_up(place - 1, lambda b, d, s, k=k: window(b, d, s, "open", k), f"o{place}_{k}", 0, NEVER)
                     for k in range(4)]
            shuts = [look_up(place - 1, lambda b, d, s, k=k: window(b, d, s, "shut", k), f"s{place}_{k}", 0, NEVER)
                     for k in range(4)]
            sanded = model.new_bool_var(f"sanded{place}")
            if asked["sanding"] is None:
                model.add(sanded == 0)
            else:
                sand = look_up(place - 1, lambda b, d, s: window(b, d, s, "sand"), f"sand{place}", 0, NEVER)
                model.add(at[place] >= sand).only_enforce_if(sanded)
                terms.append(sanded * asked["sanding"] * COST)
            model.add(at[place] >= opens[0]).only_enforce_if(~sanded)
            model.add(at[place] < shuts[0]).only_enforce_if(~sanded)
            # Level by level, each step a little less risk.
            for k in range(1, 4):
                early = whether(f"early{place}_{k}", at[place] < opens[k], at[place] >= opens[k])
                late = whether(f"late{place}_{k}", at[place] >= shuts[k], at[place] < shuts[k])
                for name, truth, levels in (("e", early, LEVELS["early"]), ("l", late, LEVELS["late"])):
                    counts = model.new_bool_var(f"{name}{place}_{k}")
                    model.add_bool_and([truth, ~sanded]).only_enforce_if(counts)
                    model.add_bool_or([~truth, sanded]).only_enforce_if(~counts)
                    terms.append(counts * (levels[k - 1] - levels[k]) * RISK)
            for levels in (LEVELS["early"], LEVELS["late"]):
                terms.append((1 - sanded) * levels[3] * RISK)
            # Nobody is woken for what is open with less than the level that allows it.
            surely = LEVELS["early"].index(LEVELS["early_asleep"])
            model.add(at[place] >= opens[surely]).only_enforce_if(~sanded).only_enforce_if(
                whether(f"up{place}", wakes == 1, wakes == 0))
        dones.append(look_up(place, lambda b, d, s: (after(b, d, s) or {"done_min": 0})["done_min"], f"done{place}", 0, 100_000))
    finish = model.new_int_var(0, 100_000, "finish")
    model.add_max_equality(finish, dones)
    terms.append(finish * FINISH)
    model.minimize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = 240
    begun = time.perf_counter()
    status = solver.solve(model)
    took = time.perf_counter() - begun
    if status == cp_model.INFEASIBLE:
        return None, took
    if status != cp_model.OPTIMAL:
        return "not proven", took
    return round(solver.objective_value), took


def main():
    rng = random.Random(20260302)
    sizes = [(60, 4, 2, 2), (96, 5, 2, 3), (144, 6, 3, 3), (192, 6, 4, 3), (288, 8, 4, 3)]
    print(f"{'slots':>5} {'layers':>6} {'beds':>4} {'doses':>5}  {'ours: cost finish risk away':>30} {'ms':>6}  {'CP-SAT':>18} {'ms':>8}")
    wrong = 0
    for slots, layers, beds, doses in sizes:
        for pressed in (False, True, True):
            asked = case(rng, slots, layers, beds, doses, pressed)
            with tempfile.NamedTemporaryFile("w", suffix=".json") as file:
                json.dump(asked, file)
                file.flush()
                found, our_s = ours(file.name)
            least, their_s = theirs(asked)
            mine = None
            if found["cost_hundredths"] is not None:
                mine = (found["cost_hundredths"] * COST + found["finish_min"] * FINISH
                        + found["risk_thousandths"] * RISK + found["doses_away"] * AWAY)
            parts = " ".join(str(found[key]) for key in ("cost_hundredths", "finish_min", "risk_thousandths", "doses_away"))
            same = "same" if mine == least else f"{least} against {mine}"
            wrong += mine != least
            print(f"{slots:5} {layers:6} {beds:4} {doses:5}  {parts:>30} {our_s * 1e3:6.0f}  {same:>18} {their_s * 1e3:8.0f}",
                  flush=True)
    sys.exit(wrong)


if __name__ == "__main__":
    main()
