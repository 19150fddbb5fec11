"""Parts of the listener by SciPy, NumPy and librosa, on the same samples."""

import json
import os
import sys
import time

# One thread, as ours has; read when the libraries are loaded.
for threads in ("OMP", "OPENBLAS", "MKL", "NUMBA"):
    os.environ[f"{threads}_NUM_THREADS"] = "1"

import librosa
import numpy as np
from scipy import signal

WEIGHTS = np.array([0.5] * 3 + [1.0] * 22 + [0.6])


def solve(given):
    if given["kind"] == "spectrum":
        return {"power": (np.abs(np.fft.rfft(given["samples"])) ** 2).tolist()}
    if given["kind"] in ("high-pass", "low-pass"):
        kind = given["kind"].replace("-", "")
        b, a = signal.butter(2, given["corner_hz"], kind, fs=given["rate_hz"])
        return {"out": signal.lfilter(b, a, given["samples"]).tolist()}
    if given["kind"] == "rising":
        powers = np.array(given["powers"]).reshape(-1, given["bands"]).T
        logs = np.log10(1 + powers / given["floor"])
        rising = librosa.onset.onset_strength(
            S=logs,
            lag=2,
            max_size=3,
            center=False,
            aggregate=lambda x, axis: np.sum(x * WEIGHTS[:, None], axis=axis),
        )
        return {"novelty": rising.tolist()}
    steps = np.array(given["steps"])
    return {
        "median": float(np.median(steps)),
        "low": float(np.quantile(steps, 0.3)),
        "high": float(np.quantile(steps, 0.95)),
    }


for line in sys.stdin:
    case = json.loads(line)
    solve(case["input"])  # compiles what it compiles
    clock = time.perf_counter()
    result = solve(case["input"])
    seconds = time.perf_counter() - clock
    print(json.dumps({"case": case["case"], "result": result, "seconds": seconds}), flush=True)
