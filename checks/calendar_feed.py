"""The calendar feed read by a general iCalendar library: every event is there, in the order and at the times it says."""

import datetime as dt
import json
import subprocess
import tempfile
from pathlib import Path

import icalendar

from common import STOOK


def run():
    """Makes the demo's calendar and reads it back; returns what is wrong."""
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "demo.stook"
        subprocess.run([STOOK, "demo", book, "--day", "06-28"], check=True, capture_output=True)
        ask = [STOOK, "calendar", "--book", book, "--as-of", "2026-06-28", "--members", "60"]
        text = subprocess.run(ask, check=True, capture_output=True).stdout
        again = subprocess.run(ask, check=True, capture_output=True).stdout
        listed = json.loads(subprocess.run([*ask, "--json"], check=True, capture_output=True).stdout)
    if text != again:
        wrong.append("the same book on the same day gave two texts")
    long = [line for line in text.split(b"\r\n") if len(line) > 75]
    if long:
        wrong.append(f"{len(long)} lines are over 75 octets")
    events = {str(e["UID"]): e for e in icalendar.Calendar.from_ical(text).walk("VEVENT")}
    if len(events) != len(listed):
        wrong.append(f"{len(listed)} events written, {len(events)} read")
    for e in listed:
        got = events.get(e["uid"])
        if got is None:
            wrong.append(f"{e['uid']} is not read")
            continue
        if str(got["SUMMARY"]) != e["summary"] or str(got["DESCRIPTION"]) != e["about"]:
            wrong.append(f"{e['uid']}: its words changed on the way")
        start, end = got["DTSTART"].dt, got["DTEND"].dt
        if "days" in e["when"]:
            first, last = (dt.date.fromisoformat(e["when"]["days"][k]) for k in ("from", "to"))
            if (start, end) != (first, last + dt.timedelta(days=1)):
                wrong.append(f"{e['uid']}: {start} to {end}")
        else:
            # Manitoba in summer: five hours behind UTC.
            hours = [dt.datetime.fromisoformat(e["when"]["moments"][k]) for k in ("from", "to")]
            utc = [h.replace(tzinfo=dt.timezone(dt.timedelta(hours=-5))) for h in hours]
            if [start, end] != utc:
                wrong.append(f"{e['uid']}: {start} to {end}")
    return len(events), wrong


if __name__ == "__main__":
    count, wrong = run()
    print(f"calendar: {count} events read by icalendar {icalendar.__version__}, {'agrees' if not wrong else 'DIFFERS'}")
    for w in wrong:
        print(f"  {w}")
    raise SystemExit(1 if wrong else 0)
