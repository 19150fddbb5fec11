"""The two-state chain along the lane by hmmlearn's CategoricalHMM on the same runs."""

import json
import sys
import time

import numpy as np
from hmmlearn.hmm import CategoricalHMM

for line in sys.stdin:
    case = json.loads(line)
    given = case["input"]
    model = CategoricalHMM(n_components=2, n_features=2)
    model.startprob_ = np.array(given["start"])
    model.transmat_ = np.array(given["change"])
    model.emissionprob_ = np.array([[1 - p, p] for p in given["knock"]])
    lengths = [len(run) for run in given["runs"]]
    symbols = np.concatenate([np.array(run) for run in given["runs"]]).reshape(-1, 1)
    clock = time.perf_counter()
    log_likelihood, posterior = model.score_samples(symbols, lengths)
    seconds = time.perf_counter() - clock
    result = {"log_likelihood": float(log_likelihood), "places_broken": float(posterior[:, 1].sum())}
    if len(posterior) <= 200:
        result["broken"] = [float(p) for p in posterior[:, 1]]
    print(json.dumps({"case": case["case"], "result": result, "seconds": seconds}), flush=True)
