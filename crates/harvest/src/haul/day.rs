//! One day, event by event.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

use serde::Serialize;

use super::draw::{For, Streams};
use super::{HaulError, Setup, Unloading};

/// Share of a tank at which a combine that unloads going calls the cart.
const CALL_SHARE: f64 = 0.7;
/// A truck loaded by carts leaves when less than this share of it is empty.
const NEAR_FULL: f64 = 0.1;

/// What a day came to. Minutes are summed over the machines of a kind, after the warm-up.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Counts {
    /// Minutes counted.
    pub minutes: f64,
    /// Grain off the field in them, t.
    pub cut_t: f64,
    /// Grain poured in the yard in them, t.
    pub hauled_t: f64,
    /// Minute the last of the field was cut; the day's end when it was not.
    pub cut_by_min: f64,
    /// Whether the whole field was cut.
    pub finished: bool,
    /// Combines waiting with a full tank.
    pub combine_waits: f64,
    /// Combines stopped for unloading, driving to the edge included.
    pub combine_unloads: f64,
    /// Carts at work.
    pub cart_works: f64,
    /// Carts full, waiting for a truck.
    pub cart_waits: f64,
    /// Trucks waiting in the field, being loaded not counted.
    pub truck_waits_field: f64,
    /// Trucks in line for the auger.
    pub truck_waits_yard: f64,
    /// Augers pouring or held by a full wet bin.
    pub pit_works: f64,
    /// Of that, held by a full wet bin or full bins.
    pub pit_held: f64,
    /// Drier running.
    pub drier_runs: f64,
    /// Loads that began to pour.
    pub loads: f64,
    /// Their waits in line, summed.
    pub load_wait_min: f64,
    /// Whether the bins ran full.
    pub bins_full: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Event {
    /// A combine's tank has reached the level at which it calls.
    Call(usize, u32),
    /// A combine's tank is full.
    Full(usize, u32),
    /// A combine is at the edge.
    AtEdge(usize),
    /// A tank has been poured into a cart.
    TankInCart(usize),
    /// A tank has been poured into the truck at the edge.
    TankInTruck(usize),
    /// A combine is back from the edge.
    Back(usize),
    /// A cart has reached the trucks.
    CartAtTrucks(usize),
    /// A cart has poured an amount into the truck.
    CartPoured(usize),
    /// A cart is back among the combines.
    CartBack(usize),
    /// A truck has reached the yard.
    AtYard(usize),
    /// A truck has poured out.
    Emptied(usize),
    /// A truck is back at the field.
    AtField(usize),
}

#[derive(Debug, Clone, Copy)]
struct Timed {
    at: f64,
    nth: u64,
    event: Event,
}
impl PartialEq for Timed {
    fn eq(&self, o: &Self) -> bool {
        self.nth == o.nth
    }
}
impl Eq for Timed {}
impl PartialOrd for Timed {
    fn partial_cmp(&self, o: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(o))
    }
}
impl Ord for Timed {
    fn cmp(&self, o: &Self) -> std::cmp::Ordering {
        self.at.total_cmp(&o.at).then(self.nth.cmp(&o.nth))
    }
}

#[derive(Debug, Clone, Copy, Default)]
struct Combine {
    /// Which tank it is on: a call or a full tank of an earlier one is stale.
    tank: u32,
    /// In this tank when full, t.
    load: f64,
    /// Minutes it takes to fill.
    fills: f64,
    /// Minute it is full.
    full_at: f64,
    /// Since when it stands with a full tank.
    since_full: Option<f64>,
    /// Since when it is stopped to unload.
    stopped: Option<f64>,
    done: bool,
}

impl Combine {
    /// In the tank at a minute.
    fn content(&self, now: f64) -> f64 {
        if self.fills <= 0.0 {
            self.load
        } else {
            self.load * (1.0 - (self.full_at - now).max(0.0) / self.fills)
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum CartIs {
    Free,
    Taking,
    OnTheWay,
    AtTrucks,
}

#[derive(Debug, Clone, Copy)]
struct CartState {
    is: CartIs,
    load: f64,
    since: f64,
    /// Being poured into it, or out of it, t.
    pouring: f64,
    /// The combine it stands beside.
    beside: Option<usize>,
}

struct Day<'a> {
    s: &'a Setup,
    now: f64,
    end: f64,
    nth: u64,
    queue: BinaryHeap<Reverse<Timed>>,
    draw: Streams,
    standing: f64,
    combines: Vec<Combine>,
    calls: VecDeque<usize>,
    carts: Vec<CartState>,
    /// Trucks at the field in order; the first is loaded.
    at_field: VecDeque<usize>,
    loading: bool,
    truck_load: Vec<f64>,
    truck_since: Vec<f64>,
    edge_line: VecDeque<usize>,
    /// When the last grain so far was cut.
    last_cut: f64,
    yard_line: VecDeque<usize>,
    pits_busy: u32,
    wet_t: f64,
    wet_at: f64,
    room: f64,
    c: Counts,
    cutting: usize,
}

/// Runs one day; `day` chooses its draws.
///
/// # Errors
/// When the set-up cannot be.
pub fn simulate(s: &Setup, seed: u64, day: u64) -> Result<Counts, HaulError> {
    s.check()?;
    let n = s.trucks.len();
    let mut d = Day {
        s,
        now: 0.0,
        end: s.day_min,
        nth: 0,
        queue: BinaryHeap::new(),
        draw: Streams::new(seed, day, &s.varies),
        standing: s.field_t,
        combines: vec![Combine::default(); s.combines as usize],
        calls: VecDeque::new(),
        carts: s
            .carts
            .iter()
            .map(|_| CartState { is: CartIs::Free, load: 0.0, since: 0.0, pouring: 0.0, beside: None })
            .collect(),
        at_field: (0..n).collect(),
        loading: false,
        truck_load: vec![0.0; n],
        truck_since: vec![0.0; n],
        edge_line: VecDeque::new(),
        last_cut: 0.0,
        yard_line: VecDeque::new(),
        pits_busy: 0,
        wet_t: 0.0,
        wet_at: 0.0,
        room: s.room_t,
        c: Counts { cut_by_min: s.day_min, ..Counts::default() },
        cutting: s.combines as usize,
    };
    for k in 0..d.combines.len() {
        d.start_tank(k);
    }
    while let Some(Reverse(t)) = d.queue.pop() {
        if t.at > d.end {
            break;
        }
        d.now = t.at;
        d.take(t.event);
        d.last_truck();
        if d.cutting == 0 && d.everything_is_home() {
            break;
        }
    }
    Ok(d.close())
}

impl Day<'_> {
    fn at(&mut self, after: f64, event: Event) {
        self.nth += 1;
        self.queue.push(Reverse(Timed { at: self.now + after.max(0.0), nth: self.nth, event }));
    }

    /// Minutes of a span that count: after the warm-up, before the end.
    fn counted(&self, from: f64, to: f64) -> f64 {
        (to.min(self.end) - from.max(self.s.warm_up_min)).max(0.0)
    }

    fn begin_counting(&self) -> bool {
        self.now >= self.s.warm_up_min
    }

    /// A combine starts on an empty tank; it is done when nothing stands.
    fn start_tank(&mut self, k: usize) {
        let load = self.s.tank_t.min(self.standing);
        if load <= 1e-12 {
            self.combines[k].done = true;
            self.cutting -= 1;
            if self.cutting == 0 {
                self.c.finished = true;
                self.c.cut_by_min = self.last_cut;
                self.send_carts();
            }
            return;
        }
        self.standing -= load;
        let fills = self.draw.time(For::Fill, load / self.s.cuts_t_min);
        let tank = self.combines[k].tank + 1;
        self.combines[k] = Combine { tank, load, fills, full_at: self.now + fills, ..Combine::default() };
        if self.going() {
            let part = (CALL_SHARE * self.s.tank_t / load).min(1.0);
            self.at(fills * part, Event::Call(k, tank));
        }
        self.at(fills, Event::Full(k, tank));
    }

    fn going(&self) -> bool {
        self.s.unloading == Unloading::Going && !self.s.to_the_edge()
    }

    fn cut(&mut self, t: f64) {
        self.last_cut = self.now;
        if self.begin_counting() {
            self.c.cut_t += t;
        }
    }

    fn take(&mut self, e: Event) {
        match e {
            Event::Call(k, tank) if self.combines[k].tank == tank => {
                self.calls.push_back(k);
                self.send_carts();
            }
            Event::Full(k, tank) if self.combines[k].tank == tank => self.full(k),
            Event::Call(..) | Event::Full(..) => {}
            Event::AtEdge(k) => {
                self.edge_line.push_back(k);
                self.load_at_edge();
            }
            Event::TankInCart(i) => self.tank_in_cart(i),
            Event::TankInTruck(k) => self.tank_in_truck(k),
            Event::Back(k) => {
                let from = self.combines[k].stopped.take().unwrap_or(self.now);
                self.c.combine_unloads += self.counted(from, self.now);
                self.start_tank(k);
            }
            Event::CartAtTrucks(i) => {
                self.carts[i].is = CartIs::AtTrucks;
                self.c.cart_works += self.counted(self.carts[i].since, self.now);
                self.carts[i].since = self.now;
                self.load_from_carts();
            }
            Event::CartPoured(i) => self.cart_poured(i),
            Event::CartBack(i) => {
                self.c.cart_works += self.counted(self.carts[i].since, self.now);
                self.carts[i].is = CartIs::Free;
                self.send_carts();
            }
            Event::AtYard(t) => {
                self.truck_since[t] = self.now;
                self.yard_line.push_back(t);
                self.pour_in_yard();
            }
            Event::Emptied(t) => {
                self.pits_busy -= 1;
                self.truck_load[t] = 0.0;
                let back = self.draw.time(For::Road, self.s.trucks[t].back_min);
                self.at(back, Event::AtField(t));
                self.pour_in_yard();
            }
            Event::AtField(t) => {
                self.truck_since[t] = self.now;
                self.at_field.push_back(t);
                if self.s.to_the_edge() { self.load_at_edge() } else { self.load_from_carts() }
            }
        }
    }

    /// A tank is full.
    fn full(&mut self, k: usize) {
        if self.s.to_the_edge() {
            self.cut(self.combines[k].load);
            self.combines[k].stopped = Some(self.now);
            let drive = self.draw.time(For::Field, self.s.edge_min);
            self.at(drive, Event::AtEdge(k));
            return;
        }
        self.combines[k].since_full = Some(self.now);
        if !self.going() {
            self.calls.push_back(k);
            self.send_carts();
        }
    }

    /// Gives every free cart the next call it has room for; one without room, or with nothing better to do, goes to pour.
    fn send_carts(&mut self) {
        for i in 0..self.carts.len() {
            if self.carts[i].is != CartIs::Free {
                continue;
            }
            let (has, holds) = (self.carts[i].load, self.s.carts[i].holds_t);
            let next = self.calls.front().copied();
            if let Some(k) = next
                && (has <= 1e-12 || has + self.combines[k].content(self.now) <= holds + 1e-9)
            {
                self.calls.pop_front();
                self.take_tank(i, k);
                continue;
            }
            let no_room = has + self.s.tank_t > holds;
            let go = next.is_some() || no_room || self.cutting == 0 || !self.at_field.is_empty();
            if has > 1e-12 && go {
                self.carts[i].is = CartIs::OnTheWay;
                self.carts[i].since = self.now;
                let trip = self.draw.time(For::Field, self.s.cart_trip_min);
                self.at(trip, Event::CartAtTrucks(i));
            }
        }
    }

    /// A cart comes beside a combine. One that unloads going has room again at once and cuts on; one that stops stands
    /// until its tank is empty.
    fn take_tank(&mut self, i: usize, k: usize) {
        let amount = self.combines[k].content(self.now);
        let uncut = self.combines[k].load - amount;
        if let Some(from) = self.combines[k].since_full.take() {
            self.c.combine_waits += self.counted(from, self.now);
        }
        self.cut(amount);
        self.standing += uncut;
        let cart = &mut self.carts[i];
        (cart.is, cart.since, cart.pouring, cart.beside) = (CartIs::Taking, self.now, amount, Some(k));
        self.at(amount / self.s.unloads_t_min, Event::TankInCart(i));
        if self.going() {
            self.start_tank(k);
        } else {
            self.combines[k].stopped = Some(self.now);
        }
    }

    fn tank_in_cart(&mut self, i: usize) {
        self.c.cart_works += self.counted(self.carts[i].since, self.now);
        let cart = &mut self.carts[i];
        cart.load += cart.pouring;
        cart.is = CartIs::Free;
        let k = cart.beside.take();
        if let Some(k) = k
            && let Some(from) = self.combines[k].stopped.take()
        {
            self.c.combine_unloads += self.counted(from, self.now);
            self.start_tank(k);
        }
        self.send_carts();
    }

    fn tank_in_truck(&mut self, k: usize) {
        self.loading = false;
        let t = *self.at_field.front().expect("a truck was being loaded");
        self.truck_load[t] += self.combines[k].load;
        let drive = self.draw.time(For::Field, self.s.edge_min);
        self.at(drive, Event::Back(k));
        self.leave_if_full(t);
        self.load_at_edge();
    }

    fn load_at_edge(&mut self) {
        if self.loading {
            return;
        }
        let (Some(&k), Some(&t)) = (self.edge_line.front(), self.at_field.front()) else { return };
        self.edge_line.pop_front();
        self.loading = true;
        self.c.truck_waits_field += self.counted(self.truck_since[t], self.now);
        let minutes = self.combines[k].load / self.s.unloads_t_min;
        self.truck_since[t] = self.now + minutes;
        self.at(minutes, Event::TankInTruck(k));
    }

    fn load_from_carts(&mut self) {
        if self.loading {
            return;
        }
        let Some(&t) = self.at_field.front() else { return };
        let Some(i) = (0..self.carts.len())
            .filter(|&i| self.carts[i].is == CartIs::AtTrucks)
            .min_by(|&a, &b| self.carts[a].since.total_cmp(&self.carts[b].since))
        else {
            return;
        };
        self.loading = true;
        self.c.truck_waits_field += self.counted(self.truck_since[t], self.now);
        self.c.cart_waits += self.counted(self.carts[i].since, self.now);
        let amount = self.carts[i].load.min((self.s.trucks[t].holds_t - self.truck_load[t]).max(0.0));
        self.carts[i].pouring = amount;
        self.carts[i].since = self.now;
        let minutes = amount / self.s.carts[i].pours_t_min;
        self.truck_since[t] = self.now + minutes;
        self.at(minutes, Event::CartPoured(i));
    }

    fn cart_poured(&mut self, i: usize) {
        self.loading = false;
        let t = *self.at_field.front().expect("a truck was being loaded");
        self.truck_load[t] += self.carts[i].pouring;
        self.carts[i].load -= self.carts[i].pouring;
        self.c.cart_works += self.counted(self.carts[i].since, self.now);
        self.carts[i].since = self.now;
        self.leave_if_full(t);
        if self.carts[i].load <= 1e-9 {
            self.carts[i].load = 0.0;
            self.carts[i].is = CartIs::OnTheWay;
            let trip = self.draw.time(For::Field, self.s.cart_trip_min);
            self.at(trip, Event::CartBack(i));
        }
        self.load_from_carts();
    }

    fn leave_if_full(&mut self, t: usize) {
        let free = self.s.trucks[t].holds_t - self.truck_load[t];
        let room_for_next =
            if self.s.to_the_edge() { self.s.tank_t } else { NEAR_FULL * self.s.trucks[t].holds_t };
        if free < room_for_next - 1e-9 || free <= 1e-9 {
            self.leave(t);
        }
    }

    fn leave(&mut self, t: usize) {
        self.at_field.pop_front();
        let out = self.draw.time(For::Road, self.s.trucks[t].out_min);
        self.at(out, Event::AtYard(t));
    }

    /// The last truck leaves part full when no more grain comes.
    fn last_truck(&mut self) {
        let no_more = self.cutting == 0
            && !self.loading
            && self.carts.iter().all(|c| c.load <= 1e-9 && c.is != CartIs::Taking);
        if no_more
            && let Some(&t) = self.at_field.front()
            && self.truck_load[t] > 1e-9
        {
            self.leave(t);
        }
    }

    fn pour_in_yard(&mut self) {
        while self.pits_busy < self.s.pits {
            let Some(t) = self.yard_line.pop_front() else { return };
            let load = self.truck_load[t];
            if load > self.room + 1e-9 {
                // Nowhere to go: it stays in line to the end.
                self.c.bins_full = true;
                self.yard_line.push_front(t);
                return;
            }
            self.room -= load;
            self.pits_busy += 1;
            let wait = self.counted(self.truck_since[t], self.now);
            self.c.truck_waits_yard += wait;
            if self.begin_counting() {
                self.c.loads += 1.0;
                self.c.load_wait_min += self.now - self.truck_since[t];
                self.c.hauled_t += load;
            }
            let pour = self.draw.time(For::Yard, self.s.pit_setup_min + load / self.s.pit_t_min);
            let minutes = match self.s.drier {
                None => pour,
                Some(d) => {
                    self.dry_until(self.now);
                    let free = (d.wet_bin_t - self.wet_t).max(0.0);
                    let minutes = pour.max((load - free) / d.t_min);
                    self.wet_t += load;
                    minutes
                }
            };
            self.c.pit_works += self.counted(self.now, self.now + minutes);
            self.c.pit_held += self.counted(self.now + pour, self.now + minutes);
            self.at(minutes, Event::Emptied(t));
        }
    }

    /// Runs the drier to a minute; it runs while there is wet grain.
    fn dry_until(&mut self, to: f64) {
        let Some(d) = self.s.drier else { return };
        let ran = (self.wet_t / d.t_min).min(to - self.wet_at);
        self.c.drier_runs += self.counted(self.wet_at, self.wet_at + ran);
        self.wet_t = (self.wet_t - ran * d.t_min).max(0.0);
        self.wet_at = to;
    }

    fn everything_is_home(&self) -> bool {
        self.carts.iter().all(|c| c.load <= 1e-9) && self.truck_load.iter().all(|l| *l <= 1e-9)
    }

    /// Closes the books at the end of what was run.
    fn close(mut self) -> Counts {
        let stop = if self.cutting == 0 && self.everything_is_home() { self.now } else { self.end };
        self.now = stop;
        self.dry_until(stop);
        for k in 0..self.combines.len() {
            if let Some(from) = self.combines[k].since_full {
                self.c.combine_waits += self.counted(from, stop);
            }
            if let Some(from) = self.combines[k].stopped {
                self.c.combine_unloads += self.counted(from, stop);
            }
        }
        for i in 0..self.carts.len() {
            let span = self.counted(self.carts[i].since, stop);
            match self.carts[i].is {
                CartIs::AtTrucks if !self.loading => self.c.cart_waits += span,
                CartIs::Free => {}
                _ => self.c.cart_works += span,
            }
        }
        let (field, yard) = (self.at_field.clone(), self.yard_line.clone());
        for t in field {
            self.c.truck_waits_field += self.counted(self.truck_since[t], stop);
        }
        for t in yard {
            self.c.truck_waits_yard += self.counted(self.truck_since[t], stop);
        }
        self.c.minutes = self.counted(self.s.warm_up_min, stop);
        self.c
    }
}
