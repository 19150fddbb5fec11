"""Speed curves by SciPy's least_squares on times; the time at a distance by Lambert's W."""

import json
import sys
import time

import numpy as np
from scipy.optimize import least_squares
from scipy.special import lambertw


def time_at(distance_m, v_max_mps, tau_s):
    scaled = distance_m / (v_max_mps * tau_s)
    return tau_s * (scaled + 1 + lambertw(-np.exp(-(scaled + 1))).real)


def misses(start, x, t):
    if start == "free":
        return (lambda p: time_at(x, p[0], p[1]) + p[2] - t), [1.0, 0.0]
    if "flying_m" in start:
        d = start["flying_m"]
        return (lambda p: time_at(x + d, p[0], p[1]) - time_at(np.array([d]), p[0], p[1]) - t), [1.0]
    return (lambda p: time_at(x, p[0], p[1]) + start["known_s"] - t), [1.0]


for line in sys.stdin:
    case = json.loads(line)
    given = case["input"]
    x = np.array(given["distance_m"])
    result = {key: [] for key in ("v_max_mps", "tau_s", "rse_s", "v_max_error_mps", "tau_error_s")}
    seconds = 0.0
    for times in given["time_s"]:
        t = np.array(times)
        miss, more = misses(given["start"], x, t)
        clock = time.perf_counter()
        begin = [float(np.max(np.diff(x) / np.diff(t))), *more]
        found = least_squares(miss, begin, method="lm", xtol=1e-14, ftol=1e-14, gtol=1e-14)
        variance = float(found.fun @ found.fun) / (len(t) - len(begin))
        spread = np.linalg.inv(found.jac.T @ found.jac) * variance
        seconds += time.perf_counter() - clock
        result["v_max_mps"].append(float(found.x[0]))
        result["tau_s"].append(float(found.x[1]))
        result["rse_s"].append(variance**0.5)
        result["v_max_error_mps"].append(float(spread[0, 0] ** 0.5))
        result["tau_error_s"].append(float(spread[1, 1] ** 0.5))
    print(json.dumps({"case": case["case"], "result": result, "seconds": seconds}), flush=True)
