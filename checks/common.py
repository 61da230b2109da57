"""Shared by the checks: asks Stook's calculators and keeps the table of verdicts."""

import json
import os
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
STOOK = os.environ.get("STOOK_BIN", str(ROOT / "target/release/stook"))


def calc(name, cases):
    """Runs one calculator on many cases; every case must be answered."""
    text = "".join(json.dumps(case) + "\n" for case in cases)
    done = subprocess.run([STOOK, "calc", name, "--input", "-"], input=text, text=True, capture_output=True)
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    if len(lines) != len(cases):
        raise SystemExit(f"{name}: {len(cases)} cases asked, {len(lines)} answered. {done.stderr.strip()}")
    for case, line in zip(cases, lines):
        if not line["ok"]:
            raise SystemExit(f"{name} refused {case}: {line['error']}")
    return [line["out"] for line in lines]


class Table:
    """One row for each quantity compared."""

    def __init__(self):
        self.agree = True
        print(f"{'what':<52} {'cases':>6} {'largest diff':>13} {'allowed':>10}  verdict")

    def row(self, what, differences, allowed):
        # NaN must not slip through, so the test is "not within" rather than "above".
        differences = [abs(float(d)) for d in differences]
        good = len(differences) > 0 and all(d <= allowed for d in differences)
        self.agree &= good
        worst = max(differences, default=float("nan"))
        print(f"{what:<52} {len(differences):>6} {worst:>13.3g} {allowed:>10.3g}  {'agrees' if good else 'DIFFERS'}")
