//! From what happened to where each field stands: observed weather and the book's entries played through the models.

use jiff::civil::Date;
use stook_book::farm::{Farm, FieldRecord};
use stook_book::payload::{CropPlan, CropStage, Operation as BookOperation, SprayPurpose, ThumbResult};
use stook_crop::Phase;
use stook_crop::observe::Seen;
use stook_crop::ripening::{Thumb, thumb_moisture_pct};
use stook_soil::Operation;

use crate::answer::{Happened, Job};
use crate::field::{Air, FieldState, soil};
use crate::model::{FieldModel, Model};
use crate::run::Track;

/// Something in the book that the field's state takes in.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// The day.
    pub date: Date,
    /// What.
    pub what: What,
    /// Entry in the book.
    pub entry: String,
}

/// What an event does.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A job on some or all of the field, ha.
    Did(Job, Option<f64>),
    /// A stage seen.
    Saw(Seen, String),
    /// Kernel moisture, % wet basis, and how it was found.
    Moisture(f64, String),
    /// Go or no at the gate.
    Gate(BookOperation, bool),
}

/// The events of a field in time order, to the day before `as_of`, and on `as_of` itself what was done already.
pub fn events(record: &FieldRecord, as_of: Date) -> (Vec<Event>, Vec<String>) {
    let mut all = Vec::new();
    let mut odd = Vec::new();
    let mut add = |date: Date, what: What, entry: uuid::Uuid| {
        if date <= as_of {
            all.push(Event { date, what, entry: entry.to_string() });
        }
    };
    for s in &record.seedings {
        if s.is.done || s.is.area_ha.is_some() {
            let date = s.is.finished.unwrap_or(s.happened).date();
            add(date, What::Did(Job::Seed, if s.is.done { None } else { s.is.area_ha }), s.entry);
        }
    }
    for h in &record.harrowings {
        add(h.on(), What::Did(Job::Harrow, None), h.entry);
    }
    for s in &record.sprays {
        let job = match s.is.purpose {
            SprayPurpose::Herbicide => Job::Herbicide,
            SprayPurpose::Fungicide => Job::Fungicide,
            _ => continue,
        };
        add(s.is.finished.unwrap_or(s.happened).date(), What::Did(job, s.is.area_ha), s.entry);
    }
    for c in &record.cuts {
        if c.is.done || c.is.area_ha.is_some() {
            let date = c.is.finished.unwrap_or(c.happened).date();
            add(date, What::Did(Job::Cut, if c.is.done { None } else { c.is.area_ha }), c.entry);
        }
    }
    for e in &record.emergence {
        add(e.on(), What::Saw(Seen::Emerged, "emergence seen".into()), e.entry);
    }
    for s in &record.stages {
        match seen(&s.is.stage) {
            Some((seen, words)) => add(s.on(), What::Saw(seen, words), s.entry),
            None => odd.push(format!(
                "{}: the stage seen on {} (\"{}\") was not understood and is not used; give leaves or a Zadoks number.",
                record.field().name,
                s.on(),
                match &s.is.stage {
                    CropStage::Words(w) => w.clone(),
                    other => format!("{other:?}"),
                }
            )),
        }
    }
    for m in &record.moistures {
        let words = format!("kernels {:.1} % by {}", m.is.moisture_wb_pct, m.is.method.words());
        add(m.on(), What::Moisture(m.is.moisture_wb_pct, words), m.entry);
    }
    for t in &record.thumb_tests {
        let (middle, ..) = thumb_moisture_pct(thumb(t.is.result));
        let words = format!("thumb test: {}", t.is.result.words());
        add(t.on(), What::Moisture(middle, words), t.entry);
    }
    for g in &record.go_no_go {
        add(g.on(), What::Gate(g.is.operation, g.is.go), g.entry);
    }
    all.sort_by_key(|e| e.date);
    (all, odd)
}

fn thumb(result: ThumbResult) -> Thumb {
    match result {
        ThumbResult::Watery | ThumbResult::Milky => Thumb::Juice,
        ThumbResult::SoftDough => Thumb::Mashes,
        ThumbResult::HardDough => Thumb::Dents,
        ThumbResult::ThumbnailDent => Thumb::Marks,
        ThumbResult::BitesHard | ThumbResult::Cracks => Thumb::Cracks,
    }
}

/// A stage in the crop model's terms.
pub(crate) fn seen(stage: &CropStage) -> Option<(Seen, String)> {
    match stage {
        CropStage::Leaves(n) => Some((Seen::Leaves(*n), format!("{n} leaves seen"))),
        CropStage::Zadoks(z) => {
            let words = format!("Zadoks {z:.0} seen");
            if (11.0..20.0).contains(z) {
                return Some((Seen::Leaves(z - 10.0), words));
            }
            Phase::ALL
                .into_iter()
                .rev()
                .find(|p| f64::from(p.zadoks()) <= *z)
                .map(|p| (Seen::Begun(p), words))
        }
        CropStage::Words(w) => {
            let wanted = w.trim().to_lowercase();
            Phase::ALL
                .into_iter()
                .find(|p| p.words().starts_with(&wanted) || wanted.starts_with(p.words()))
                .map(|p| (Seen::Begun(p), format!("{} seen", p.words())))
        }
    }
}

/// What the replay of one field found on the way.
#[derive(Debug, Clone, Default)]
pub struct Replay {
    /// Track of every day played.
    pub track: Track,
    /// Water over field capacity on the evening of each go or no for seeding, with the answer.
    pub gate: Vec<(f64, bool)>,
    /// Kernel moistures far from what the weather had made of the crop: the day, as read, as reckoned, %.
    pub far: Vec<(Date, f64, f64)>,
}

/// Plays days through one field, taking in the events of each day after its weather.
///
/// `dates` runs beside `air`. Rain of the field's own gauge is already in `air`.
pub fn replay(
    model: &Model,
    field: &FieldModel,
    state: &mut FieldState,
    air: &[Air],
    first: Date,
    events: &[Event],
    found: Option<&mut Replay>,
) {
    let mut date = first;
    let mut found = found;
    let mut next = events.iter().skip_while(|e| e.date < first).peekable();
    for a in air {
        if date.month() == 11 && date.day() == 1 {
            state.new_year(field);
        }
        state.step(model, field, a);
        while let Some(e) = next.next_if(|e| e.date <= date) {
            if let (What::Moisture(read, _), Some(f)) = (&e.what, found.as_deref_mut())
                && state.kernel.is_some()
                && (read - state.moisture()).abs() > model.season.reading_far_points
            {
                f.far.push((e.date, *read, state.moisture()));
            }
            take(model, field, state, a.doy, e);
            if let (What::Gate(BookOperation::Seed, go), Some(f)) = (&e.what, found.as_deref_mut()) {
                let depth = field.limits.of(Operation::Seed).depth_m;
                let x = state.water.surface_relative_to_fc(soil(field, state.variant), depth);
                f.gate.push((x, *go));
            }
        }
        if let Some(f) = found.as_deref_mut() {
            state.record(field, &mut f.track);
        }
        date = date.tomorrow().expect("dates of a farm are inside the calendar");
    }
}

/// Takes one event in.
pub fn take(model: &Model, field: &FieldModel, state: &mut FieldState, doy: u16, event: &Event) {
    match &event.what {
        What::Did(job, ha) => {
            // A crop sprayed or cut was seeded, whatever the book forgot.
            if *job != Job::Harrow && *job != Job::Seed && state.wheat.is_none() {
                state.mark_done(model, field, Job::Seed, doy, None);
            }
            state.mark_done(model, field, *job, doy, *ha);
        }
        What::Saw(seen, _) => {
            if state.wheat.is_none() {
                state.mark_done(model, field, Job::Seed, doy, None);
            }
            state.saw(field, *seen);
        }
        What::Moisture(pct, _) => state.measured(model, field, doy, *pct),
        What::Gate(..) => {}
    }
}

/// What happened to a field in the crop year, in words.
pub fn happened(events: &[Event], year: i16) -> Vec<Happened> {
    events
        .iter()
        .filter(|e| CropPlan::year_on(e.date) == year)
        .filter_map(|e| {
            let what = match &e.what {
                What::Did(Job::Harrow, _) => "harrowed".into(),
                What::Did(Job::Seed, None) => "seeded".into(),
                What::Did(Job::Seed, Some(_)) => "part seeded".into(),
                What::Did(Job::Herbicide, _) => "sprayed for weeds".into(),
                What::Did(Job::Fungicide, _) => "sprayed fungicide".into(),
                What::Did(Job::Cut, None) => "cut".into(),
                What::Did(Job::Cut, Some(_)) => "part cut".into(),
                What::Saw(_, words) | What::Moisture(_, words) => words.clone(),
                What::Gate(op, go) => {
                    format!("{} at the gate ({})", if *go { "go" } else { "no" }, op.words())
                }
            };
            Some(Happened { date: e.date, what, entry: e.entry.clone() })
        })
        .collect()
}

/// Rain of the gauges by day for a field: its own gauge before the yard's.
///
/// A reading before noon is the rain of the day before; a later one is of its own day.
pub fn gauge(farm: &Farm, record: &FieldRecord) -> std::collections::BTreeMap<Date, f64> {
    let mut by_day = std::collections::BTreeMap::new();
    for source in [&farm.rain, &record.rain] {
        let mut own = std::collections::BTreeMap::new();
        for r in source {
            let day = if r.happened.hour() < 12 { r.on().yesterday().unwrap_or(r.on()) } else { r.on() };
            *own.entry(day).or_insert(0.0) += r.is.rain_mm;
        }
        by_day.extend(own);
    }
    by_day
}
