"""Compares the hauling simulation with the same rules written as processes for SimPy, on three set-ups."""

import math
import sys

import numpy as np
import simpy

from common import Table, calc

DAYS = 1000
CALL_SHARE = 0.7  # a combine that unloads going calls the cart at this share of its tank
NEAR_FULL = 0.1  # a truck loaded by carts leaves when less than this share is empty

BASE = dict(
    combines=1, cuts_t_h=36, tank_t=8, unloads_t_h=240, unloading="going", edge_min=4, carts=1, cart_t=24, cart_pours_t_h=480,
    cart_trip_min=3, trucks=2, truck_t=16, out_min=14, back_min=12, pits=1, pit_t_h=120, pit_setup_min=4, drier_t_h=0,
    wet_bin_t=25, field_t=240, day_h=400, warm_up_h=0, cv_fill=0.2, cv_field=0.4, cv_road=0.2, cv_yard=0.25,
)  # fmt: skip
SETUPS = {
    "edge, two trucks": {**BASE, "carts": 0, "unloading": "edge"},
    "stopped, one cart, three trucks, drier": {**BASE, "unloading": "stopped", "trucks": 3, "drier_t_h": 22, "wet_bin_t": 30},
    "two combines going, one cart, two trucks": {**BASE, "combines": 2, "pit_t_h": 70},
}


class Day:
    """One day of one set-up."""

    def __init__(self, s, rng):
        self.s, self.rng, self.env = s, rng, simpy.Environment()
        self.standing = s["field_t"]
        self.cut = self.waits = self.last_cut = self.served = self.queued = 0.0
        self.working = s["combines"]
        self.trucks = simpy.FilterStore(self.env)
        self.bay = simpy.Resource(self.env, 1)
        self.pit = simpy.Resource(self.env, s["pits"])
        self.wet, self.wet_at = 0.0, 0.0
        self.calls, self.news = [], self.env.event()
        self.cart_loads = [0.0] * s["carts"]
        for _ in range(s["trucks"]):
            self.trucks.put({"load": 0.0})
        for _ in range(s["combines"]):
            self.env.process(self.at_edge() if s["carts"] == 0 else self.with_cart())
        for i in range(s["carts"]):
            self.env.process(self.cart(i))

    def time(self, cv, mean):
        if cv <= 0 or mean <= 0:
            return max(mean, 0.0)
        shape = 1 / cv**2
        return self.rng.gamma(shape, mean / shape)

    def tell(self):
        news, self.news = self.news, self.env.event()
        news.succeed()

    def tank(self):
        load = min(self.s["tank_t"], self.standing)
        self.standing -= load
        return load, self.time(self.s["cv_fill"], load / self.s["cuts_t_h"] * 60)

    def off(self, amount):
        self.cut += amount
        self.last_cut = self.env.now

    def at_edge(self):
        s = self.s
        while self.standing > 1e-12:
            load, fill = self.tank()
            yield self.env.timeout(fill)
            self.off(load)
            yield self.env.timeout(self.time(s["cv_field"], s["edge_min"]))
            with self.bay.request() as turn:
                yield turn
                truck = yield self.trucks.get()
                yield self.env.timeout(load / s["unloads_t_h"] * 60)
                truck["load"] += load
                # A truck without room for a tank leaves; else it stays first in line.
                if s["truck_t"] - truck["load"] < s["tank_t"] - 1e-9:
                    self.env.process(self.road(truck))
                else:
                    self.trucks.items.insert(0, truck)
            yield self.env.timeout(self.time(s["cv_field"], s["edge_min"]))
        self.working -= 1

    def with_cart(self):
        s, going = self.s, self.s["unloading"] == "going"
        while self.standing > 1e-12:
            load, fill = self.tank()
            began = self.env.now
            part = min(1.0, CALL_SHARE * s["tank_t"] / load) if going else 1.0
            yield self.env.timeout(fill * part)
            call = {"taken": self.env.event(), "poured": self.env.event(), "content": lambda b=began, f=fill, x=load: x * min(1.0, (self.env.now - b) / f)}
            self.calls.append(call)
            self.tell()
            full = self.env.timeout(fill * (1 - part))
            yield call["taken"] | full
            if not call["taken"].triggered:
                since = self.env.now
                yield call["taken"]
                self.waits += self.env.now - since
            amount = call["amount"]
            self.standing += load - amount
            self.off(amount)
            if not going:
                yield call["poured"]
        self.working -= 1
        self.tell()

    def cart(self, i):
        s = self.s
        load = 0.0
        while True:
            if self.calls and (load <= 1e-12 or load + self.calls[0]["content"]() <= s["cart_t"] + 1e-9):
                call = self.calls.pop(0)
                call["amount"] = amount = call["content"]()
                call["taken"].succeed()
                yield self.env.timeout(amount / s["unloads_t_h"] * 60)
                load += amount
                call["poured"].succeed()
                yield self.env.timeout(0)
                continue
            no_room = load + s["tank_t"] > s["cart_t"]
            if load > 1e-12 and (self.calls or no_room or self.working == 0 or self.trucks.items):
                yield self.env.timeout(self.time(s["cv_field"], s["cart_trip_min"]))
                while load > 1e-9:
                    with self.bay.request() as turn:
                        yield turn
                        truck = yield self.trucks.get()
                        amount = min(load, s["truck_t"] - truck["load"])
                        yield self.env.timeout(amount / s["cart_pours_t_h"] * 60)
                        truck["load"] += amount
                        load -= amount
                        if s["truck_t"] - truck["load"] < NEAR_FULL * s["truck_t"] - 1e-9:
                            self.env.process(self.road(truck))
                        else:
                            self.trucks.items.insert(0, truck)
                load = 0.0
                yield self.env.timeout(self.time(s["cv_field"], s["cart_trip_min"]))
                continue
            if self.working == 0 and load <= 1e-12:
                return
            yield self.news

    def road(self, truck):
        s = self.s
        yield self.env.timeout(self.time(s["cv_road"], s["out_min"]))
        since = self.env.now
        with self.pit.request() as turn:
            yield turn
            self.queued += self.env.now - since
            self.served += 1
            load = truck["load"]
            pour = self.time(s["cv_yard"], s["pit_setup_min"] + load / s["pit_t_h"] * 60)
            if s["drier_t_h"] > 0:
                rate = s["drier_t_h"] / 60
                self.wet = max(0.0, self.wet - rate * (self.env.now - self.wet_at))
                self.wet_at = self.env.now
                pour = max(pour, (load - max(0.0, s["wet_bin_t"] - self.wet)) / rate)
                self.wet += load
            yield self.env.timeout(pour)
        truck["load"] = 0.0
        yield self.env.timeout(self.time(s["cv_road"], s["back_min"]))
        self.trucks.put(truck)

    def run(self):
        self.env.run()
        # The last part load leaves when all is cut; it does not change what is compared here.
        return 60 * self.cut / self.last_cut, self.waits / (self.last_cut * self.s["combines"])


rng = np.random.default_rng(20260820)
table = Table()
for name, setup in SETUPS.items():
    ours = calc("harvest.hauling_day", [{**setup, "days": DAYS, "seed": 7}])[0]
    theirs = np.array([Day(setup, rng).run() for _ in range(DAYS)])
    mean = theirs.mean(axis=0)
    half = 1.96 * theirs.std(axis=0, ddof=1) / math.sqrt(DAYS)
    assert abs(theirs[:, 0]).min() > 0
    table.row(f"{name}: t/h", [ours["cut_t_h"] - mean[0]], math.hypot(half[0], ours["cut_half"]))
    if setup["carts"]:
        table.row(f"{name}: waiting full", [ours["combine_waits"] - mean[1]], max(0.01, 2 * half[1]))
sys.exit(0 if table.agree else 1)
