"""How long the rations and the joint plan take against SciPy's HiGHS on the same models, and that both find the same optimum.

The ratio is ours over SciPy's solver alone, the model already built as arrays for it: ours builds its model in the time counted."""

import json
import os
import subprocess
import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from common import ROOT, Table

MODELS = os.environ.get("STOOK_MODELS", str(ROOT / "target/release/examples/models"))
INF = float("inf")


def end(x, other):
    return other if x is None else x


def arrays(p):
    """Costs, bounds and a sparse matrix of rows."""
    at, to, k = [], [], []
    for i, row in enumerate(p["rows"]):
        for c, x in row["terms"]:
            at.append(i)
            to.append(c)
            k.append(x)
    a = csr_array((k, (at, to)), shape=(len(p["rows"]), len(p["columns"])))
    low = np.array([end(r["low"], -INF) for r in p["rows"]])
    high = np.array([end(r["high"], INF) for r in p["rows"]])
    bounds = Bounds([end(c["low"], -INF) for c in p["columns"]], [end(c["high"], INF) for c in p["columns"]])
    return np.array([c["cost"] for c in p["columns"]]), LinearConstraint(a, low, high), bounds


lines = [json.loads(x) for x in subprocess.run([MODELS], text=True, capture_output=True, check=True).stdout.splitlines()]
table = Table()
for name, allowed in (("ration", 2.0), ("plan", 1.0)):
    ours = [x for x in lines if x["name"] == name]
    theirs, off = 0.0, []
    for x in ours:
        cost, rows, bounds = arrays(x["problem"])
        start = time.perf_counter()
        found = milp(cost, constraints=rows, bounds=bounds)
        theirs += time.perf_counter() - start
        assert found.status == 0, found.message
        off.append((x["objective"] - found.fun) / max(1.0, abs(found.fun)))
    seconds = sum(x["seconds"] for x in ours)
    size = ours[-1]["problem"]
    table.row(f"{name}: same optimum, relative", off, 1e-7)
    table.row(f"{name}: seconds for {len(ours)}, at most {allowed:g}", [seconds], allowed)
    print(f"    {len(size['columns'])} columns, {len(size['rows'])} rows: ours {seconds:.3f} s, SciPy {theirs:.3f} s, ratio {seconds / theirs:.2f}")
sys.exit(0 if table.agree else 1)
