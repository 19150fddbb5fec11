"""The lesson as a mixed-integer program, solved by HiGHS through scipy.

Blocks have whole minutes, every lane one main drill in each; what a child gains at a drill is concave in its minutes, so
straight lines between whole minutes bound it from above and meet it at whole minutes. Re-setting is counted where a
lane takes up a gap that it did not have in the block before. The time is that of HiGHS alone.
"""

import json
import math
import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix


def solve(given):
    lanes, blocks = given["lanes"], given["blocks_max"]
    low, high = given["block_minutes"]
    drills = len(lanes[0]["rho"])
    integer, upper, rows = [], [], []

    def variables(shape, whole, most):
        first, count = len(integer), int(np.prod(shape))
        integer.extend([int(whole)] * count)
        upper.extend([most] * count)
        return np.arange(first, first + count).reshape(shape)

    def row(terms, at_least, at_most):
        rows.append((terms, at_least, at_most))

    used = variables(blocks, True, 1)
    minutes = variables(blocks, True, high)
    change = variables(blocks, True, 1)
    stands = variables((blocks, drills), True, 1)
    main = variables((len(lanes), blocks, drills), True, 1)
    spent = variables((len(lanes), blocks, drills), False, high)
    for b in range(blocks):
        row([(minutes[b], 1), (used[b], -high)], -np.inf, 0)
        row([(minutes[b], 1), (used[b], -low)], 0, np.inf)
        row([(stands[b, d], 1) for d in range(drills)], -np.inf, given["mains_max"])
        if b > 0:
            row([(used[b], 1), (used[b - 1], -1)], -np.inf, 0)
    row(
        [(m, 1) for m in minutes] + [(c, given["change_minutes"]) for c in change[1:]],
        -np.inf,
        given["minutes"],
    )
    gains = []
    for g, lane in enumerate(lanes):
        settings = lane["setting"]
        for b in range(blocks):
            row([(main[g, b, d], 1) for d in range(drills)] + [(used[b], -1)], 0, 0)
            row([(spent[g, b, d], 1) for d in range(drills)] + [(minutes[b], -1)], 0, 0)
            for d in range(drills):
                row([(main[g, b, d], 1), (stands[b, d], -1)], -np.inf, 0)
                row([(spent[g, b, d], 1), (main[g, b, d], -high)], -np.inf, 0)
            if b > 0:
                for setting in set(settings):
                    here = [(main[g, b, d], 1) for d in range(drills) if settings[d] == setting]
                    before = [(main[g, b - 1, d], -1) for d in range(drills) if settings[d] == setting]
                    row(here + before + [(change[b], -1)], -np.inf, 0)
        alike = {}
        for child in lane["children"]:
            worth = alike.setdefault(tuple(child["does"]), np.zeros(drills))
            worth += np.array(child["worth"])
        for does, worth in alike.items():
            for d in range(drills):
                mains = [m for m in range(drills) if does[m] == d]
                if not mains:
                    continue
                most = high * blocks
                gain = variables(1, False, worth[d])[0]
                gains.append(gain)
                rate = lane["rho"][d] / given["runs_scale"]
                value = [worth[d] * -math.expm1(-rate * k) for k in range(most + 2)]
                for k in range(most + 1):
                    slope = value[k + 1] - value[k]
                    terms = [(spent[g, b, m], -slope) for b in range(blocks) for m in mains]
                    row([(gain, 1)] + terms, -np.inf, value[k] - slope * k)
    entries = [(r, v, f) for r, (terms, _, _) in enumerate(rows) for v, f in terms]
    index, column, factor = zip(*entries)
    matrix = coo_matrix((factor, (index, column)), shape=(len(rows), len(integer))).tocsr()
    cost = np.zeros(len(integer))
    cost[gains] = -1
    clock = time.perf_counter()
    answer = milp(
        cost,
        integrality=np.array(integer),
        bounds=Bounds(0, np.array(upper, dtype=float)),
        constraints=LinearConstraint(matrix, [low for _, low, _ in rows], [high for _, _, high in rows]),
        options={"mip_rel_gap": 0.0},
    )
    seconds = time.perf_counter() - clock
    if not answer.success:
        raise RuntimeError(answer.message)
    return {"value": -float(answer.fun)}, seconds


for line in sys.stdin:
    case = json.loads(line)
    result, seconds = solve(case["input"])
    print(json.dumps({"case": case["case"], "result": result, "seconds": seconds}), flush=True)
