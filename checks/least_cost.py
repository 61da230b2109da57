"""The solver as Stook drives it against SciPy on 500 random problems: optimum, prices where they are unique, and
problems nothing meets called so."""

import json
import os
import random
import subprocess
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from common import ROOT, Table

SOLVE = os.environ.get("STOOK_SOLVE", str(ROOT / "target/release/examples/solve"))
INF = float("inf")
table = Table()


def problem(rng):
    """Columns with bounds, rows with floors, ceilings or both; some whole, some that nothing meets."""
    n, m = rng.randint(2, 14), rng.randint(1, 12)
    whole = rng.random() < 0.4
    columns = []
    for i in range(n):
        low = 0.0 if rng.random() < 0.8 else round(rng.uniform(-5, 5), 3)
        high = None if rng.random() < 0.3 else low + round(rng.uniform(0, 12), 3)
        is_whole = whole and rng.random() < 0.5
        if is_whole:
            low, high = 0.0, float(rng.randint(1, 6))
        columns.append({"name": f"c{i}", "cost": round(rng.uniform(-2, 10), 3), "low": low, "high": high, "whole": is_whole})
    rows = []
    for i in range(m):
        terms = [(c, round(rng.uniform(-3, 9), 3)) for c in range(n) if rng.random() < 0.6]
        at = round(rng.uniform(0, 40), 3)
        low, high = {0: (at, None), 1: (None, at), 2: (at, at + round(rng.uniform(0, 20), 3)), 3: (at, at)}[rng.choice([0, 0, 1, 1, 2, 3])]
        rows.append({"name": f"r{i}", "low": low, "high": high, "terms": terms})
    return {"sense": rng.choice(["minimise", "maximise"]), "columns": columns, "rows": rows}


def end(x, other):
    return other if x is None else x


def arrays(p):
    sign = 1.0 if p["sense"] == "minimise" else -1.0
    cost = sign * np.array([c["cost"] for c in p["columns"]])
    a = np.zeros((len(p["rows"]), len(cost)))
    for i, row in enumerate(p["rows"]):
        for c, k in row["terms"]:
            a[i, c] += k
    low = np.array([end(r["low"], -INF) for r in p["rows"]])
    high = np.array([end(r["high"], INF) for r in p["rows"]])
    xlow = np.array([end(c["low"], -INF) for c in p["columns"]])
    xhigh = np.array([end(c["high"], INF) for c in p["columns"]])
    return sign, cost, a, low, high, xlow, xhigh


def prices(p, held=None):
    """Optimum, row prices and reduced costs by SciPy, and whether they are the only ones."""
    sign, cost, a, low, high, xlow, xhigh = arrays(p)
    for i, c in enumerate(p["columns"]):
        if c["whole"]:
            xlow[i] = xhigh[i] = round(held[i])
    up, down = np.isfinite(high), np.isfinite(low)
    res = linprog(cost, np.vstack([a[up], -a[down]]), np.concatenate([high[up], -low[down]]), bounds=np.column_stack([xlow, xhigh]), method="highs")
    if not res.success:
        return None
    dual = np.zeros(len(low))
    k = up.sum()
    dual[up] += res.ineqlin.marginals[:k]
    dual[down] -= res.ineqlin.marginals[k:]
    reduced = res.lower.marginals + res.upper.marginals
    value = a @ res.x
    near = lambda x, y: np.isfinite(y) & (np.abs(x - np.where(np.isfinite(y), y, 0)) < 1e-7)
    tight = (near(value, low) | near(value, high)).sum() + (near(res.x, xlow) | near(res.x, xhigh)).sum()
    # A corner where just as many limits meet as there are columns has one set of prices.
    return sign * res.fun, sign * dual, sign * reduced, tight == len(cost)


def scipy_status(p):
    """By SciPy's whole-number solver, which takes plain ones too; a doubtful one is tried without costs."""
    sign, cost, a, low, high, xlow, xhigh = arrays(p)
    whole = np.array([int(c["whole"]) for c in p["columns"]])
    run = lambda c: milp(c, constraints=LinearConstraint(a, low, high), bounds=Bounds(xlow, xhigh), integrality=whole, options={"mip_rel_gap": 0})
    res = run(cost)
    if res.status == 0:
        return "optimal", sign * res.fun
    return ("unbounded" if run(np.zeros(len(cost))).status == 0 else "infeasible"), None


rng = random.Random(20270101)
problems = [problem(rng) for _ in range(500)]
done = subprocess.run([SOLVE], input="".join(json.dumps(p) + "\n" for p in problems), text=True, capture_output=True)
ours = [json.loads(line) for line in done.stdout.splitlines()]
if len(ours) != len(problems):
    raise SystemExit(f"500 problems asked, {len(ours)} answered. {done.stderr.strip()}")

same_status, optimum, dual, reduced, counts = [], [], [], [], {}
for p, o in zip(problems, ours):
    status, value = scipy_status(p)
    whole = any(c["whole"] for c in p["columns"])
    counts[(status, "whole numbers" if whole else "plain")] = counts.get((status, "whole numbers" if whole else "plain"), 0) + 1
    same_status.append(0 if status == o["status"] else 1)
    if status != "optimal" or o["status"] != "optimal":
        continue
    optimum.append((o["objective"] - value) / max(1.0, abs(value)))
    known = prices(p, o["x"])
    if known is None:
        optimum.append(1.0)  # our whole numbers, held, must be possible
        continue
    optimum.append((o["objective"] - known[0]) / max(1.0, abs(known[0])))
    if known[3]:
        dual.extend(np.array(o["dual"]) - known[1])
        reduced.extend(np.array(o["reduced_cost"]) - known[2])
for (status, kind), count in sorted(counts.items()):
    print(f"{count:>6} {kind}, {status}")
table.row("called optimal, infeasible or without end alike", same_status, 0)
table.row("optimum, relative", optimum, 1e-7)
table.row("prices of rows where unique", dual, 1e-6)
table.row("reduced costs where unique", reduced, 1e-6)
sys.exit(0 if table.agree else 1)
