"""Blends and manure of 200 random farms each, put to SciPy in programs written here anew from what the crate says it
does: the same cost to a millionth, and what cannot be called so."""

import json
import math
import os
import random
import subprocess
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from common import ROOT, Table

FARMS = os.environ.get("STOOK_FARMS", str(ROOT / "target/release/examples/farms"))
NUTRIENTS = ["n", "p2o5", "k2o", "s"]
GRADES = {"urea": (46, 0, 0, 0), "map": (11, 52, 0, 0), "potash": (0, 0, 60, 0), "ams": (21, 0, 0, 24), "dap": (18, 46, 0, 0)}
FLUIDS = {"uan28": ((28, 0, 0, 0), "liquid"), "anhydrous": ((82, 0, 0, 0), "gas"), "app10_34": ((10, 34, 0, 0), "liquid"), "ats": ((12, 0, 0, 26), "liquid")}
table = Table()


def ask(cases):
    done = subprocess.run([FARMS], input="".join(json.dumps(c) + "\n" for c in cases), text=True, capture_output=True)
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    if len(lines) != len(cases):
        raise SystemExit(f"{len(cases)} farms asked, {len(lines)} answered. {done.stderr.strip()}")
    return lines


def four(*x):
    return dict(zip(NUTRIENTS, x))


# ---- blends ----

def blend_farm(rng):
    wet = rng.random() < 0.4
    lands = []
    for i in range(rng.randint(1, 4)):
        p = rng.uniform(0, 45)
        lands.append({
            "key": f"f{i}", "name": f"Field {i}", "area_ha": rng.uniform(20, 130),
            "need_kg_ha": four(rng.uniform(30, 130), p, rng.choice([0, rng.uniform(5, 40)]), rng.choice([0, rng.uniform(3, 18)])),
            "with_seed_kg_ha": four(0, rng.choice([0, min(p, rng.uniform(8, 40))]), 0, 0),
            "limits": {"urea_n_kg_ha": 22.0, "p2o5_kg_ha": 33.0, "n_k_kg_ha": 20.0}, "band": True, "no_gas": rng.random() < 0.3,
        })
    offers = [{"key": k, "name": k, "grade_pct": four(*GRADES[k]), "per_kg": rng.uniform(0.4, 1.1), "near_seed": k == "map"} for k in GRADES]
    for o in offers:
        o["least_kg_ha"] = rng.choice([0.0, 0.0, rng.uniform(5, 30)])
    if wet:
        for k in rng.sample(list(FLUIDS), rng.randint(1, 3)):
            grade, carrier = FLUIDS[k]
            price = rng.uniform(0.6, 1.4) * sum(grade) * 0.013
            offers.append({"key": k, "name": k, "grade_pct": four(*grade), "per_kg": price, "near_seed": k == "app10_34", "carrier": carrier})
    settings = {
        "most_blends": rng.randint(1, 4), "rate_step_kg_ha": rng.choice([0.5, 1.0, 2.0]), "part_step_kg_t": 10.0,
        "rate_max_kg_ha": 700.0, "short_kg_ha": 0.5, "n_over_kg_ha": 20.0, "blend_least_kg": rng.choice([0.0, 0.0, 4000.0]),
        "seed_meter": {"least_kg_ha": rng.choice([0.0, rng.uniform(10, 40)]), "most_kg_ha": None},
        "band_meter": {"least_kg_ha": rng.choice([0.0, rng.uniform(20, 90)]), "most_kg_ha": rng.choice([None, rng.uniform(180, 400)])},
    }
    return {"lands": lands, "offers": offers, "settings": settings}


def vec(n):
    return np.array([n[k] for k in NUTRIENTS])


def floor_of(job):
    """Each field by itself: products with the seed, then in the band."""
    grade = np.array([vec(o["grade_pct"]) / 100 for o in job["offers"]])
    price = np.array([o["per_kg"] for o in job["offers"]])
    n = len(price)
    urea = np.array([o["key"] == "urea" for o in job["offers"]])
    near = np.array([o["near_seed"] for o in job["offers"]])
    total = 0.0
    for land in job["lands"]:
        need, wanted, limit = vec(land["need_kg_ha"]), vec(land["with_seed_kg_ha"]), land["limits"]
        rows, rhs = [], []
        both = np.hstack([grade.T, grade.T])
        for i in range(4):
            if need[i] > 1e-6:
                rows.append(-both[i]); rhs.append(-need[i])
        rows.append(both[0]); rhs.append(need[0] + job["settings"]["n_over_kg_ha"])
        zero = np.zeros(n)
        seed = lambda c: np.concatenate([c, zero])
        if wanted[1] > 1e-6:
            rows.append(-seed(grade[:, 1])); rhs.append(-min(wanted[1], limit["p2o5_kg_ha"]))
        rows += [seed(grade[:, 1]), seed(grade[:, 0] * urea), seed(grade[:, 0] * ~urea), seed(grade[:, 2])]
        rhs += [limit["p2o5_kg_ha"], limit["urea_n_kg_ha"], limit["n_k_kg_ha"], 0.0]
        gas = np.array([o.get("carrier") == "gas" for o in job["offers"]])
        high = np.concatenate([np.where(near & (wanted[1] > 1e-6), np.inf, 0.0), np.where(gas & land["no_gas"], 0.0, np.inf)])
        res = linprog(np.concatenate([price, price]), np.array(rows), np.array(rhs), bounds=np.column_stack([np.zeros(2 * n), high]), method="highs")
        if not res.success:
            return None
        total += res.fun * land["area_ha"]
    return total


def leasts(job, mixes):
    """The rate at which every product of a mix is at its own least."""
    return np.array([max(job["offers"][o].get("least_kg_ha", 0.0) / share for o, share in mix["parts"]) for mix in mixes])


def raised(least, asked):
    """Steps asked for, no fewer than the meter holds; none when nothing is asked."""
    most = max(asked, default=0)
    return max(most, least) if most > 0 else 0


def streams_of(job, land, mixes):
    """Every seed row, band and liquid of one field, sized in turn, with what each costs: for farms with liquids."""
    s, step, short = job["settings"], job["settings"]["rate_step_kg_ha"], job["settings"]["short_kg_ha"]
    grade = [sum(share * vec(job["offers"][o]["grade_pct"]) / 100 for o, share in mix["parts"]) for mix in mixes]
    price = [sum(share * job["offers"][o]["per_kg"] for o, share in mix["parts"]) for mix in mixes]
    kind = [job["offers"][mix["parts"][0][0]].get("carrier", "dry") for mix in mixes]
    near = [all(job["offers"][o]["near_seed"] for o, _ in mix["parts"]) for mix in mixes]
    least, need, wanted = leasts(job, mixes), vec(land["need_kg_ha"]), land["with_seed_kg_ha"]["p2o5"]
    limit = land["limits"]
    for j in [j for j in range(len(mixes)) if near[j]] if wanted > 1e-6 else [None]:
        seed, given = 0.0, np.zeros(4)
        if j is not None:
            g = grade[j]
            if g[1] <= 0 or g[2] > 0:
                continue
            low = max(least[j], s["seed_meter"]["least_kg_ha"] if kind[j] == "dry" else 0.0)
            most = min(s["rate_max_kg_ha"], (s["seed_meter"]["most_kg_ha"] or 1e9) if kind[j] == "dry" else 1e9)
            bears = min(limit["p2o5_kg_ha"] / g[1], limit["n_k_kg_ha"] / g[0] if g[0] > 0 else np.inf)
            seed = step * min(math.ceil(max(wanted / g[1], low) / step - 1e-9), math.floor(bears / step))
            if seed <= 0 or seed < low - 1e-9 or seed > most + 1e-9 or g[1] * (seed + step) < min(wanted, limit["p2o5_kg_ha"]) - 1e-9:
                continue
            given = g * seed

        def rest(have):
            r = np.maximum(need - have, 0)
            return np.where(r > short, r, 0)

        def size(i, want, meter):
            if i is None:
                return 0.0 if want.max() <= 1e-6 else None
            if want.max() <= 1e-6 or any(w > 1e-6 and g <= 0 for w, g in zip(want, grade[i])):
                return None
            asked = max(w / g for w, g in zip(want, grade[i]) if w > 1e-6)
            rate = step * math.ceil(max(asked, least[i], meter.get("least_kg_ha") or 0.0) / step - 1e-9)
            return rate if rate <= min(s["rate_max_kg_ha"], meter.get("most_kg_ha") or 1e9) + 1e-9 else None

        def content(i, rate):
            return np.zeros(4) if i is None else grade[i] * rate

        for i in [None] + [i for i in range(len(mixes)) if kind[i] == "dry"]:
            for k in [None] + [k for k in range(len(mixes)) if kind[k] == "liquid" or kind[k] == "gas" and not land["no_gas"]]:
                if j is not None and kind[j] == "liquid" and k is not None and kind[k] == "liquid":
                    continue
                lead = None if k is None else next((n for n in (1, 2, 3) if grade[k][n] > 0), 0)
                band = fluid = None
                if k is None:
                    fluid = 0.0
                    band = size(i, rest(given), s["band_meter"])
                elif lead == 0:
                    band = size(i, rest(given) * [0, 1, 1, 1], s["band_meter"])
                    fluid = None if band is None else size(k, rest(given + content(i, band)), {})
                else:
                    fluid = size(k, rest(given) * (np.arange(4) == lead), {})
                    band = None if fluid is None else size(i, rest(given + content(k, fluid)), s["band_meter"])
                if band is None or fluid is None:
                    continue
                total = given + content(i, band) + content(k, fluid)
                last = k if k is not None else i if i is not None else j
                if total[0] > need[0] + s["n_over_kg_ha"] + step * (0 if last is None else grade[last][0]) + 1e-9:
                    continue
                rates = [(m, r) for m, r in [(j, seed), (i, band), (k, fluid)] if m is not None]
                yield rates, land["area_ha"] * sum(price[m] * r for m, r in rates)


def best_of_streams(job, mixes):
    """One program over sized streams: for farms with liquids."""
    s, m = job["settings"], len(mixes)
    ways = [list(streams_of(job, land, mixes)) for land in job["lands"]]
    size = m + sum(len(w) for w in ways)
    cost, rows, lows, highs = np.zeros(size), [], [], []

    def row(terms, lo, hi):
        r = np.zeros(size)
        for i, x in terms:
            r[i] += x
        rows.append(r); lows.append(lo); highs.append(hi)

    row([(i, 1) for i in range(m)], -np.inf, s["most_blends"])
    at, made = m, [[] for _ in range(m)]
    for land, options in zip(job["lands"], ways):
        row([(at + x, 1) for x in range(len(options))], 1, 1)
        for x, (rates, money) in enumerate(options):
            cost[at + x] = money
            for i, rate in rates:
                row([(at + x, 1), (i, -1)], -np.inf, 0)
                made[i].append((at + x, land["area_ha"] * rate))
        at += len(options)
    if s["blend_least_kg"] > 0:
        for i in range(m):
            row(made[i] + [(i, -s["blend_least_kg"])], -1e-6, np.inf)
    res = milp(cost, constraints=LinearConstraint(np.array(rows), lows, highs), bounds=Bounds(0, 1), integrality=np.ones(size), options={"mip_rel_gap": 0, "time_limit": 60})
    return res.fun if res.status == 0 else None


def best_of(job, mixes):
    """One program: which mixes, one in the seed row where phosphate is wanted there, one in the band, whole steps."""
    s, lands = job["settings"], job["lands"]
    step, m = s["rate_step_kg_ha"], len(mixes)
    grade = np.array([sum(share * vec(job["offers"][o]["grade_pct"]) / 100 for o, share in mix["parts"]) for mix in mixes])
    price = np.array([sum(share * job["offers"][o]["per_kg"] for o, share in mix["parts"]) for mix in mixes])
    near = [all(job["offers"][o]["near_seed"] for o, _ in mix["parts"]) for mix in mixes]
    least = leasts(job, mixes)
    band_least = np.ceil(np.maximum(least, s["band_meter"]["least_kg_ha"]) / step - 1e-9)
    band_most = math.floor((min(s["rate_max_kg_ha"], s["band_meter"]["most_kg_ha"] or 1e9) + 1e-9) / step)
    width = 4 * m  # for each field: mix with the seed, mix in the band, steps of the band's rate, nothing else
    size = m + len(lands) * width
    cost, whole, low, high = np.zeros(size), np.ones(size), np.zeros(size), np.ones(size)
    rows, lows, highs = [], [], []

    def row(terms, lo, hi):
        r = np.zeros(size)
        for i, k in terms:
            r[i] += k
        rows.append(r); lows.append(lo); highs.append(hi)

    row([(i, 1) for i in range(m)], -np.inf, s["most_blends"])
    made = [[] for _ in range(m)]
    for f, land in enumerate(lands):
        at = m + f * width
        seed, band, steps = at, at + m, at + 2 * m
        high[at + 3 * m : at + width] = 0
        need, wanted, limit = vec(land["need_kg_ha"]), land["with_seed_kg_ha"]["p2o5"], land["limits"]
        seed_kg, left = np.zeros(m), [need] * m
        for i in range(m):
            ok = near[i] and wanted > 1e-6 and grade[i, 1] > 0 and grade[i, 2] == 0
            if ok:
                bears = min(limit["p2o5_kg_ha"] / grade[i, 1], limit["n_k_kg_ha"] / grade[i, 0] if grade[i, 0] > 0 else np.inf)
                low_seed = max(least[i], s["seed_meter"]["least_kg_ha"])
                asked = max(wanted / grade[i, 1], low_seed)
                seed_kg[i] = step * min(math.ceil(asked / step - 1e-9), math.floor(bears / step))
                # Only the phosphate limit excuses a short seed row.
                short = grade[i, 1] * (seed_kg[i] + step) < min(wanted, limit["p2o5_kg_ha"]) - 1e-9
                ok = seed_kg[i] >= low_seed - 1e-9 and seed_kg[i] > 0 and not short
            if ok:
                rest = np.maximum(need - grade[i] * seed_kg[i], 0)
                left[i] = np.where(rest > s["short_kg_ha"], rest, 0)
            else:
                high[seed + i] = 0
        for i in range(m):
            cost[seed + i] = land["area_ha"] * price[i] * seed_kg[i]
            high[steps + i] = band_most
            cost[steps + i] = land["area_ha"] * price[i] * step
            row([(steps + i, 1), (band + i, -high[steps + i])], -np.inf, 0)
            row([(steps + i, 1), (band + i, -band_least[i])], 0, np.inf)
            # No more than the need and the meter ask, even where a dealer's least would be met by it.
            ask_of = lambda rest: raised(band_least[i], [math.ceil(x / g / step - 1e-9) if g > 0 else 0 for x, g in zip(rest, grade[i]) if x > 1e-6])
            if wanted > 1e-6:
                row([(steps + i, 1)] + [(seed + j, -ask_of(left[j])) for j in range(m)], -np.inf, 0)
            else:
                high[steps + i] = min(high[steps + i], ask_of(need))
            row([(seed + i, 1), (i, -1)], -np.inf, 0)
            row([(band + i, 1), (i, -1)], -np.inf, 0)
            made[i] += [(seed + i, land["area_ha"] * seed_kg[i]), (steps + i, land["area_ha"] * step)]
        row([(seed + i, 1) for i in range(m)], *((1, 1) if wanted > 1e-6 else (0, 0)))
        row([(band + i, 1) for i in range(m)], 0, 1)
        for n in range(4):
            have = [(steps + i, grade[i, n] * step) for i in range(m)]
            if wanted > 1e-6:
                row(have + [(seed + i, -left[i][n]) for i in range(m)], -1e-7, np.inf)
            elif need[n] > s["short_kg_ha"]:
                row(have, need[n] - 1e-7, np.inf)
        terms = [(seed + i, grade[i, 0] * seed_kg[i]) for i in range(m)]
        terms += [(steps + i, grade[i, 0] * step) for i in range(m)] + [(band + i, -grade[i, 0] * step) for i in range(m)]
        row(terms, -np.inf, need[0] + s["n_over_kg_ha"] + 1e-7)
    if s["blend_least_kg"] > 0:
        for i in range(m):
            row(made[i] + [(i, -s["blend_least_kg"])], -1e-6, np.inf)
    res = milp(cost, constraints=LinearConstraint(np.array(rows), lows, highs), bounds=Bounds(low, high), integrality=whole, options={"mip_rel_gap": 0, "time_limit": 60})
    return res.fun if res.status == 0 else None


# ---- manure ----

def manure_farm(rng):
    stores, grounds = [], []
    for i in range(rng.randint(1, 2)):
        n, p, k = rng.uniform(1.5, 4.5), rng.uniform(0.4, 1.6), rng.uniform(0.8, 2.4)
        held = rng.uniform(500, 6000)
        stores.append({
            "key": f"p{i}", "name": f"Pit {i}", "held_m3": held, "must_m3": rng.choice([0, held * rng.uniform(0, 1)]),
            "available_kg_m3": four(n * rng.uniform(0.3, 0.8), 0.7 * p, 0.9 * k, 0), "whole_kg_m3": four(n, p, k, 0),
        })
    for i in range(rng.randint(1, 8)):
        grounds.append({
            "key": f"f{i}", "name": f"Field {i}", "area_ha": rng.uniform(15, 120),
            "need_kg_ha": four(rng.uniform(0, 130), rng.uniform(0, 50), rng.uniform(0, 40), 0),
            "p2o5_most_kg_ha": rng.choice([None, rng.uniform(15, 90)]), "later_p_share": rng.choice([0, 0.5]),
            "pass_per_ha": rng.choice([0, 15]), "haul_per_m3": [rng.uniform(1.5, 7) for _ in stores],
        })
    return {"stores": stores, "grounds": grounds, "per_kg": four(rng.uniform(0.9, 1.8), rng.uniform(0.9, 1.8), rng.uniform(0.5, 1.1), 0), "least_m3_ha": 20.0, "most_m3_ha": rng.uniform(40, 110)}


def manure_best(job):
    """Per field: volume of each pit, area, phosphate used, phosphate for later, potash used."""
    k, price = len(job["stores"]), job["per_kg"]
    per, size = k + 4, (k + 4) * len(job["grounds"])
    cost, high, rows, rhs = np.zeros(size), np.full(size, np.inf), [], []
    leave = np.zeros((k, size))

    def most(terms, limit=0.0):
        r = np.zeros(size)
        for i, x in terms:
            r[i] += x
        rows.append(r); rhs.append(limit)

    for f, g in enumerate(job["grounds"]):
        v = list(range(f * per, f * per + k))
        area, p_now, p_later, k_now = range(f * per + k, f * per + k + 4)
        high[area] = g["area_ha"]
        cost[area] = g["pass_per_ha"]
        cost[[p_now, p_later, k_now]] = [-price["p2o5"], -price["p2o5"] * g["later_p_share"], -price["k2o"]]
        content = lambda which, n: [(v[i], s[which][n]) for i, s in enumerate(job["stores"])]
        for i, s in enumerate(job["stores"]):
            cost[v[i]] = g["haul_per_m3"][i] - s["available_kg_m3"]["n"] * price["n"]
            leave[i, v[i]] = 1
        need = g["need_kg_ha"]
        most(content("available_kg_m3", "n") + [(area, -need["n"])])
        if g["p2o5_most_kg_ha"] is not None:
            most(content("whole_kg_m3", "p2o5") + [(area, -g["p2o5_most_kg_ha"])])
        most([(i, 1) for i in v] + [(area, -job["most_m3_ha"])])
        most([(i, -1) for i in v] + [(area, job["least_m3_ha"])])
        most([(p_now, 1), (area, -need["p2o5"])])
        most([(k_now, 1), (area, -need["k2o"])])
        most([(p_now, 1), (p_later, 1)] + [(i, -x) for i, x in content("available_kg_m3", "p2o5")])
        most([(k_now, 1)] + [(i, -x) for i, x in content("available_kg_m3", "k2o")])
    for i, s in enumerate(job["stores"]):
        rows += [leave[i], -leave[i]]
        rhs += [s["held_m3"], -s["must_m3"]]
    res = linprog(cost, np.array(rows), np.array(rhs), bounds=np.column_stack([np.zeros(size), high]), method="highs")
    return -res.fun if res.success else None


rng = random.Random(20270214)
jobs = [blend_farm(rng) for _ in range(200)]
floors, best, called, planned, wets = [], [], [], 0, 0
for job, answer in zip(jobs, ask([{"blends": j, "mixes": 14} for j in jobs])):
    floor = floor_of(job)
    wet = any(o.get("carrier") for o in job["offers"])
    known = (best_of_streams if wet else best_of)(job, answer["mixes"]) if "mixes" in answer else None
    wets += wet
    called.append(0 if (known is None) == ("cannot" in answer) else 1)
    if "plan" in answer and known is not None:
        planned += 1
        floors.append(answer["plan"]["floor"] / floor - 1)
        best.append(answer["plan"]["money"] / known - 1)
print(f"{planned:>6} of 200 farms can be served with so few blends; {wets} have liquids or ammonia, most have least rates of meters or products")
table.row("blends: every field by itself, relative", floors, 1e-6)
table.row("blends: best few from the same mixes, relative", best, 1e-6)
table.row("blends: called impossible alike", called, 0)

jobs = [manure_farm(rng) for _ in range(200)]
worth, called, planned = [], [], 0
for job, answer in zip(jobs, ask([{"manure": j} for j in jobs])):
    known = manure_best(job)
    called.append(0 if (known is None) == ("cannot" in answer) else 1)
    if "plan" in answer and known is not None:
        planned += 1
        worth.append((answer["plan"]["net"] - known) / max(1.0, abs(known)))
print(f"{planned:>6} of 200 farms have room for what must leave")
table.row("manure: worth over haul, relative", worth, 1e-6)
table.row("manure: called impossible alike", called, 0)
sys.exit(0 if table.agree else 1)
