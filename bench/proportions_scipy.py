"""Plain proportions by SciPy: the beta distribution, an integral over two of them, the score interval."""

import json
import sys
import time

from scipy.integrate import quad
from scipy.stats import beta, binomtest, norm

for line in sys.stdin:
    case = json.loads(line)
    given = case["input"]
    first = beta(1 + given["hits"], 1 + given["of"] - given["hits"])
    second = beta(1 + given["other_hits"], 1 + given["of_other"] - given["other_hits"])
    clock = time.perf_counter()
    middle = [float(first.mean()), float(second.mean())]
    greater, _ = quad(lambda p: first.pdf(p) * second.cdf(p), 0, 1, points=middle, epsabs=1e-13, limit=400)
    level = 1 - 2 * norm.sf(given["z"])
    low, high = binomtest(given["hits"], given["of"]).proportion_ci(level, method="wilson")
    result = {
        "at_least": float(first.sf(given["rate"])),
        "greater": greater,
        "low": float(low),
        "high": float(high),
    }
    seconds = time.perf_counter() - clock
    print(json.dumps({"case": case["case"], "result": result, "seconds": seconds}), flush=True)
