"""Rations: the grower ration against SciPy on 200 random markets, the model built here from the ingredient table."""

import csv
import random
import sys

import numpy as np
from scipy.optimize import linprog

from common import ROOT, Table, calc

KEYS = {
    "wheat_hrs": "wheat", "barley": "barley", "field_pea": "pea", "sbm_dehulled": "soymeal", "canola_meal": "canola_meal",
    "canola_oil": "oil", "limestone": "limestone", "monocal": "monocal", "salt": "salt", "lys_hcl": "lysine",
    "dl_met": "methionine", "l_thr": "threonine", "l_trp": "tryptophan", "l_val": "valine", "premix": "premix",
}
PRICES = [230, 200, 300, 520, 380, 1300, 120, 900, 150, 2200, 4000, 2400, 12000, 7000, 3000]
MOST = {"field_pea": 0.3, "canola_meal": 0.15, "barley": 0.6, "canola_oil": 0.04}
RATIOS = {"met": 0.29, "mc": 0.56, "thr": 0.6, "trp": 0.17, "val": 0.65, "ile": 0.52}

rows = {r["key"]: r for r in csv.DictReader(open(ROOT / "reference/feed-ingredients.csv"))}


def number(key, column):
    return float(rows[key][column] or 0)


names = list(KEYS)
ne = np.array([number(k, "ne_kcal_kg") for k in names])
sid = {n: np.array([number(k, f"{n}_sid_pct") for k in names]) for n in ("lys", "met", "cys", "thr", "trp", "val", "ile")}
sid["mc"] = sid["met"] + sid["cys"]
p, ca, na = (np.array([number(k, c) for k in names]) for c in ("p_sttd_pct", "ca_pct", "na_pct"))
bounds = [(0.005, 0.005) if k == "premix" else (0, MOST.get(k, 1)) for k in names]


def ours(case):
    """Least cost by SciPy: rows as at most."""
    a, b = [-ne / 1000], [-case["ne_kcal_kg"] / 1000]
    a.append(-(10 * sid["lys"] - case["lys_g_mcal"] * ne / 1000))
    b.append(0)
    for n, rho in RATIOS.items():
        a.append(-10 * (sid[n] - rho * sid["lys"]))
        b.append(0)
    a += [-p, -ca, ca, -na]
    b += [-(case["sttd_p_pct"] - 0.1), -0.6, 0.72, -0.18]
    return linprog(case["price"], A_ub=np.array(a), b_ub=b, A_eq=[np.ones(len(names))], b_eq=[1], bounds=bounds, method="highs")


rng = random.Random(11)
cases, asked = [], []
while len(cases) < 200:
    case = {
        "price": [t * rng.uniform(0.6, 1.5) for t in PRICES],
        "ne_kcal_kg": rng.uniform(2250, 2450),
        "lys_g_mcal": rng.uniform(2.5, 5.0),
        "sttd_p_pct": rng.uniform(0.22, 0.36),
    }
    found = ours(case)
    if found.status != 0:
        continue
    cases.append(found)
    asked.append({f"{KEYS[k]}_t": t for k, t in zip(names, case["price"])} | {k: case[k] for k in ("ne_kcal_kg", "lys_g_mcal", "sttd_p_pct")})

answers = calc("feed.grower_ration", asked)
table = Table()
table.row("grower ration, cost of a tonne", [a["cost_t"] - f.fun for a, f in zip(answers, cases)], 1e-5)
table.row("grower ration, wheat %", [a["wheat_pct"] - 100 * f.x[0] for a, f in zip(answers, cases)], 1e-3)
table.row("grower ration, price of energy", [a["energy_price"] + f.ineqlin.marginals[0] for a, f in zip(answers, cases)], 1e-3)
table.row("grower ration, price of lysine", [a["lysine_price"] + f.ineqlin.marginals[1] for a, f in zip(answers, cases)], 1e-3)
sys.exit(0 if table.agree else 1)
