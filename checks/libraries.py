"""Compares calculators with independent general-purpose libraries on seeded random cases."""

import random
import sys

import numpy as np
import pandas as pd
import psychrolib
import pvlib
import pyet
import refet
from scipy.optimize import brentq

from common import Table, calc

rng = random.Random(20260401)
table = Table()
psychrolib.SetUnitSystem(psychrolib.SI)


def column(rows, key):
    return np.array([row[key] for row in rows])


def moist_air():
    # Half the cases are below freezing. The 0.5 K around 0 C is left out: the wet bulb's branch
    # from ice to water jumps there and either branch is right.
    cases = []
    while len(cases) < 10_000:
        temp = rng.uniform(-40, 0) if len(cases) % 2 else rng.uniform(0, 50)
        cases.append({"temp_c": temp, "rh_pct": rng.uniform(3, 100), "pressure_kpa": rng.uniform(70, 104)})
    ours = calc("weather.moist_air", cases)
    theirs = [psychrolib.CalcPsychrometricsFromRelHum(c["temp_c"], c["rh_pct"] / 100, c["pressure_kpa"] * 1000) for c in cases]
    # W, wet bulb, dew point, vapour pressure, enthalpy, volume, saturation
    ratio, wet, dew, _, heat, volume, _ = map(np.array, zip(*theirs))
    table.row("moist air: humidity ratio, relative", column(ours, "humidity_ratio") / ratio - 1, 1e-4)
    clear = np.abs(wet) > 0.5
    table.row("moist air: wet bulb away from 0 C, K", (column(ours, "wet_bulb_c") - wet)[clear], 0.01)
    table.row("moist air: dew point, K", column(ours, "dew_point_c") - dew, 0.01)
    table.row("moist air: heat content, kJ/kg", column(ours, "enthalpy_kj_kg") - heat / 1000, 0.01)
    table.row("moist air: volume, relative", column(ours, "volume_m3_kg") / volume - 1, 1e-4)

    cases = [{"temp_c": rng.uniform(-60, 100)} for _ in range(1000)]
    ours = column(calc("weather.saturation", cases), "ashrae_kpa")
    theirs = np.array([psychrolib.GetSatVapPres(c["temp_c"]) / 1000 for c in cases])
    table.row("saturation (ice below 0 C), relative", ours / theirs - 1, 1e-4)

    cases = [{"elev_m": rng.uniform(-100, 4000)} for _ in range(500)]
    ours = column(calc("weather.air_pressure", cases), "standard_kpa")
    theirs = np.array([psychrolib.GetStandardAtmPressure(c["elev_m"]) / 1000 for c in cases])
    table.row("standard pressure, relative", ours / theirs - 1, 1e-4)


def evapotranspiration():
    # Wind of 1 m/s and more: FAO-56 raises less to 0.5 m/s at 2 m, which the library leaves to its user.
    cases = []
    for _ in range(1000):
        doy = rng.randint(80, 300)
        lat = rng.uniform(35, 55)
        elev = rng.uniform(0, 1500)
        tmin = rng.uniform(-5, 18)
        tmax = tmin + rng.uniform(4, 20)
        tdew = tmin - rng.uniform(0, 6)
        ra = calc_ra(lat, doy)
        cases.append({
            "lat_deg": lat, "day_of_year": doy, "elev_m": elev, "tmax_c": tmax, "tmin_c": tmin,
            "wind_ms": rng.uniform(1, 8), "wind_height_m": 10,
            "ea_kpa": 0.6108 * np.exp(17.27 * tdew / (tdew + 237.3)), "rs_mj_m2": ra * rng.uniform(0.25, 0.72),
        })
    arrays = {key: np.array([case[key] for case in cases]) for key in cases[0]}
    theirs = refet.Daily(
        tmin=arrays["tmin_c"], tmax=arrays["tmax_c"], ea=arrays["ea_kpa"], rs=arrays["rs_mj_m2"], uz=arrays["wind_ms"],
        zw=10, elev=arrays["elev_m"], lat=arrays["lat_deg"].copy(), doy=arrays["day_of_year"], method="asce",
    )
    # The library takes the simple clear sky by default; the same convention is asked of ours.
    ours = calc("weather.et_asce_daily", [{**case, "clear_sky": "simple"} for case in cases])
    table.row("ASCE daily, short, mm (refet)", column(ours, "short_mm") - theirs.eto(), 0.001)
    table.row("ASCE daily, tall, mm (refet)", column(ours, "tall_mm") - theirs.etr(), 0.001)

    ours = calc("weather.et0_daily", cases)
    ratios, days = [], []
    for case, row in zip(cases, ours):
        day = pd.DatetimeIndex([pd.Timestamp("2023-01-01") + pd.Timedelta(days=case["day_of_year"] - 1)])

        def one(value):
            return pd.Series([float(value)], index=day)

        mean = (case["tmax_c"] + case["tmin_c"]) / 2
        wind = case["wind_ms"] * 4.87 / np.log(67.8 * 10 - 5.42)
        eto = pyet.pm_fao56(
            one(mean), one(wind), rs=one(case["rs_mj_m2"]), elevation=case["elev_m"], lat=np.radians(case["lat_deg"]),
            tmax=one(case["tmax_c"]), tmin=one(case["tmin_c"]), ea=one(case["ea_kpa"]), clip_zero=False,
        ).iloc[0]
        days.append(row["eto_mm"] - eto)
        ra = pyet.extraterrestrial_r(day, np.radians(case["lat_deg"]))
        ratios.append(row["ra_mj_m2"] / float(np.asarray(ra).ravel()[0]) - 1)
    table.row("FAO-56 daily, mm (pyet)", days, 0.001)
    table.row("radiation above the air, relative (pyet)", ratios, 0.002)


def calc_ra(lat_deg, doy):
    """Only to draw plausible radiation; both sides are then given the same number."""
    lat, tilt = np.radians(lat_deg), 0.409 * np.sin(2 * np.pi * doy / 365 - 1.39)
    angle = np.arccos(-np.tan(lat) * np.tan(tilt))
    near = 1 + 0.033 * np.cos(2 * np.pi * doy / 365)
    return 37.6 * near * (angle * np.sin(lat) * np.sin(tilt) + np.cos(lat) * np.cos(tilt) * np.sin(angle))


def sun():
    cases = [
        {"lat_deg": rng.uniform(35, 55), "lon_deg": rng.uniform(-120, -90), "utc_offset_h": -6, "day_of_year": rng.randint(1, 365)}
        for _ in range(500)
    ]
    ours = calc("weather.sun_times", cases)
    rise, fall = [], []
    for case, row in zip(cases, ours):
        midnight = pd.Timestamp("2023-01-01", tz="Etc/GMT+6") + pd.Timedelta(days=case["day_of_year"] - 1)
        times = pvlib.solarposition.sun_rise_set_transit_spa(pd.DatetimeIndex([midnight]), case["lat_deg"], case["lon_deg"]).iloc[0]
        for ours_h, theirs, keep in ((row["sunrise_h"], times["sunrise"], rise), (row["sunset_h"], times["sunset"], fall)):
            minutes = (theirs - midnight).total_seconds() / 60
            keep.append((ours_h * 60 - minutes + 720) % 1440 - 720)
    # The calculator takes the day of the year without the year, so the leap cycle alone moves the sun by up to
    # 0.2 degree at the equinox, a minute at 55 N; hence 3 minutes here for "about two".
    table.row("sunrise, minutes (pvlib)", rise, 3)
    table.row("sunset, minutes (pvlib)", fall, 3)


def wet_bulb_by_root():
    """The wet bulb again, by a plain root search on the published energy balance: no library's shortcut in it."""
    cases = [{"temp_c": rng.uniform(5, 45), "rh_pct": rng.uniform(10, 95), "pressure_kpa": rng.uniform(80, 103)} for _ in range(300)]
    ours = column(calc("weather.moist_air", cases), "wet_bulb_c")
    gaps = []
    for case, wet in zip(cases, ours):
        pa = case["pressure_kpa"] * 1000
        ratio = psychrolib.GetHumRatioFromRelHum(case["temp_c"], case["rh_pct"] / 100, pa)

        def balance(guess):
            full = psychrolib.GetSatHumRatio(guess, pa)
            return ((2501 - 2.326 * guess) * full - 1.006 * (case["temp_c"] - guess)) / (2501 + 1.86 * case["temp_c"] - 4.186 * guess) - ratio

        root = brentq(balance, -20, case["temp_c"])
        if root > 0.5:  # the balance above is the one over water
            gaps.append(wet - root)
    table.row("wet bulb by root search (scipy), K", gaps, 0.01)


for check in (moist_air, wet_bulb_by_root, evapotranspiration, sun):
    check()
sys.exit(0 if table.agree else 1)
