"""The causes' regression by scikit-learn: logistic regression with a normal prior on every effect.

A prior of standard deviation s on an effect is a unit ridge penalty once its column is multiplied by s. The spread of
the effects is the root of the diagonal of the inverse curvature at the solution, by NumPy.
"""

import json
import sys
import time

import numpy as np
from scipy.sparse import csr_matrix
from sklearn.linear_model import LogisticRegression

for line in sys.stdin:
    case = json.loads(line)
    given = case["input"]
    sds = np.array(given["sds"])
    rows, columns, values, outcome, weight = [], [], [], [], []
    for effects, hits, of in given["rows"]:
        for fell, count in ((1, hits), (0, of - hits)):
            if count == 0:
                continue
            for column, factor in effects:
                rows.append(len(outcome))
                columns.append(column)
                values.append(factor * sds[column])
            outcome.append(fell)
            weight.append(count)
    design = csr_matrix((values, (rows, columns)), shape=(len(outcome), len(sds))).toarray()
    model = LogisticRegression(C=1.0, fit_intercept=False, solver="newton-cholesky", tol=1e-10, max_iter=200)
    clock = time.perf_counter()
    model.fit(design, np.array(outcome), sample_weight=np.array(weight))
    p = model.predict_proba(design)[:, 1]
    curvature = design.T @ (design * (np.array(weight) * p * (1 - p))[:, None]) + np.eye(len(sds))
    spreads = sds * np.sqrt(np.diag(np.linalg.inv(curvature)))
    seconds = time.perf_counter() - clock
    result = {
        "effects": [float(value) for value in model.coef_[0] * sds],
        "spreads": [float(value) for value in spreads],
    }
    print(json.dumps({"case": case["case"], "result": result, "seconds": seconds}), flush=True)
