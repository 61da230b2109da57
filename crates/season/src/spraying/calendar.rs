//! Windows and intervals as an iCalendar stream (RFC 5545, with the calendar properties of RFC 7986).

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use serde::Serialize;
use stook_book::Entry;
use stook_book::farm::Farm;
use stook_book::payload::{CropPlan, FieldId};

use crate::answer::{Job, Today};
use crate::decide::job_key;
use crate::words;

/// One thing in the calendar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Event {
    /// Stays the same from feed to feed, so that a phone moves an event instead of doubling it.
    pub uid: String,
    /// When.
    pub when: When,
    /// The line a phone shows.
    pub summary: String,
    /// What stands behind it.
    pub about: String,
    /// Reckoned, so it may move; else it is on record.
    pub may_move: bool,
}

impl Event {
    /// Its last day.
    pub fn ends(&self) -> Date {
        match self.when {
            When::Days { to, .. } => to,
            When::Moments { to, .. } => to.date(),
        }
    }
}

/// A time of an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// Whole days, the last included.
    Days {
        /// First.
        from: Date,
        /// Last.
        to: Date,
    },
    /// From one moment to another, by the farm's clock.
    Moments {
        /// From.
        from: DateTime,
        /// To.
        to: DateTime,
    },
}

/// The windows of `today` and the intervals of the crop year's sprays.
pub fn events(farm: &Farm, today: &Today) -> Vec<Event> {
    let year = CropPlan::year_on(today.as_of);
    let place = FieldId::from_name(farm.set_up.as_ref().map_or("farm", |f| f.is.name.as_str()));
    let mut out = Vec::new();
    for f in &today.fields {
        for w in &f.windows {
            let uid = format!("window-{}-{}-{year}-{place}@stook", job_key(w.job), f.field);
            let summary = match w.job {
                Job::Cut => format!("Ready to cut: {}", f.name),
                job => format!("Window to {}: {}", job.word(), f.name),
            };
            let range = |r: &crate::answer::DateRange| {
                if r.early == r.late {
                    words::day(r.middle)
                } else {
                    format!("{} ({} to {})", words::day(r.middle), words::day(r.early), words::day(r.late))
                }
            };
            let about = format!(
                "Opens about {}, done or closed by about {}. {} now. A reckoning of {}: it moves with the weather and the \
                 crop. The label and the field itself rule.",
                range(&w.opens),
                range(&w.closes),
                f.stage,
                words::day(today.as_of)
            );
            let when = When::Days { from: w.opens.middle, to: w.closes.middle.max(w.opens.middle) };
            out.push(Event { uid, when, summary, about, may_move: true });
        }
    }
    for r in farm.fields.values() {
        let name = &r.field().name;
        for s in r.sprays.iter().filter(|s| CropPlan::year_on(s.on()) == year) {
            let what = format!(
                "{} was sprayed on {} at {}. From the label as entered; the label rules.",
                s.products(),
                words::day(s.ended().date()),
                super::intervals::clock(s.ended())
            );
            if let Some(until) = s.enter_from().filter(|u| *u > s.ended()) {
                out.push(Event {
                    uid: format!("enter-{}@stook", s.first),
                    when: When::Moments { from: s.ended(), to: until },
                    summary: format!("Nobody enters {name}"),
                    about: what.clone(),
                    may_move: false,
                });
            }
            let last = s.earliest_cut().and_then(|d| d.yesterday().ok());
            if let Some(last) = last.filter(|l| *l >= s.ended().date()) {
                out.push(Event {
                    uid: format!("cut-{}@stook", s.first),
                    when: When::Days { from: s.ended().date(), to: last },
                    summary: format!("Do not cut {name}"),
                    about: what,
                    may_move: false,
                });
            }
        }
    }
    let key = |e: &Event| match e.when {
        When::Days { from, .. } => from.at(0, 0, 0, 0),
        When::Moments { from, .. } => from,
    };
    out.sort_by(|a, b| (key(a), &a.uid).cmp(&(key(b), &b.uid)));
    out
}

/// The stream as text. `stamp` is when what it says was written down: the clock plays no part, so the same book on the
/// same day gives the same text.
pub fn text(name: &str, events: &[Event], zone: &TimeZone, stamp: Timestamp) -> String {
    let mut out = String::new();
    let mut line = |text: &str| fold(&mut out, text);
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line("PRODID:-//Stook//Windows and intervals//EN");
    line("CALSCALE:GREGORIAN");
    line("METHOD:PUBLISH");
    line(&format!("NAME:{}", escaped(name)));
    line("REFRESH-INTERVAL;VALUE=DURATION:PT6H");
    let stamp = utc(stamp);
    for e in events {
        line("BEGIN:VEVENT");
        line(&format!("UID:{}", escaped(&e.uid)));
        line(&format!("DTSTAMP:{stamp}"));
        match e.when {
            When::Days { from, to } => {
                // The end is the day after the last.
                let end = to.tomorrow().unwrap_or(to);
                line(&format!("DTSTART;VALUE=DATE:{}", day(from)));
                line(&format!("DTEND;VALUE=DATE:{}", day(end)));
            }
            When::Moments { from, to } => {
                line(&format!("DTSTART:{}", moment(from, zone)));
                line(&format!("DTEND:{}", moment(to, zone)));
            }
        }
        line(&format!("SUMMARY:{}", escaped(&e.summary)));
        line(&format!("DESCRIPTION:{}", escaped(&e.about)));
        line(if e.may_move { "STATUS:TENTATIVE" } else { "STATUS:CONFIRMED" });
        // Nothing here makes a person busy.
        line("TRANSP:TRANSPARENT");
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    out
}

/// When what the calendar says was last written down: the latest entry, or the morning of the day answered for, whichever
/// is later.
pub fn stamp(entries: &[Entry], as_of: Date) -> Timestamp {
    let written = entries.iter().map(|e| e.written).max();
    let morning = as_of.at(0, 0, 0, 0).to_zoned_datetime(TimeZone::UTC).map(|z| z.timestamp()).ok();
    written.max(morning).unwrap_or(Timestamp::UNIX_EPOCH)
}

fn day(d: Date) -> String {
    d.strftime("%Y%m%d").to_string()
}

fn utc(t: Timestamp) -> String {
    t.strftime("%Y%m%dT%H%M%SZ").to_string()
}

/// The farm's clock as an instant; a time that a spring-forward leaves out takes the one after it.
fn moment(t: DateTime, zone: &TimeZone) -> String {
    match zone.to_ambiguous_zoned_datetime(t).compatible() {
        Ok(z) => utc(z.timestamp()),
        Err(_) => t.strftime("%Y%m%dT%H%M%S").to_string(),
    }
}

/// Text as a property's value.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' => out.push_str("\\\\"),
            ';' => out.push_str("\\;"),
            ',' => out.push_str("\\,"),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// Adds a line, folded so that none is over 75 octets, never inside a letter.
fn fold(out: &mut String, text: &str) {
    const MOST: usize = 75;
    let mut used = 0;
    for c in text.chars() {
        if used + c.len_utf8() > MOST {
            out.push_str("\r\n ");
            used = 1;
        }
        out.push(c);
        used += c.len_utf8();
    }
    out.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;

    fn zone() -> TimeZone {
        TimeZone::get("America/Winnipeg").unwrap()
    }

    fn one() -> Event {
        Event {
            uid: "enter-x@stook".into(),
            when: When::Moments {
                from: date(2026, 6, 28).at(19, 30, 0, 0),
                to: date(2026, 6, 29).at(19, 30, 0, 0),
            },
            summary: "Nobody enters Slough, north; end".into(),
            about: "Line one\nline two".into(),
            may_move: false,
        }
    }

    #[test]
    fn an_event_is_written_as_the_standard_says() {
        let text = text("Bär's, hill", &[one()], &zone(), "2026-06-28T10:00:00Z".parse().unwrap());
        assert!(text.contains("\r\nDTSTART:20260629T003000Z\r\nDTEND:20260630T003000Z\r\n"), "{text}");
        assert!(text.contains("SUMMARY:Nobody enters Slough\\, north\\; end\r\n"));
        assert!(text.contains("DESCRIPTION:Line one\\nline two\r\n"));
        assert!(text.contains("DTSTAMP:20260628T100000Z\r\n") && text.contains("NAME:Bär's\\, hill\r\n"));
        assert!(text.ends_with("END:VCALENDAR\r\n"));
    }

    #[test]
    fn the_last_day_is_inside() {
        let e = Event { when: When::Days { from: date(2026, 7, 1), to: date(2026, 7, 3) }, ..one() };
        let text = text("x", &[e], &zone(), "2026-06-28T10:00:00Z".parse().unwrap());
        assert!(text.contains("DTSTART;VALUE=DATE:20260701\r\nDTEND;VALUE=DATE:20260704\r\n"), "{text}");
    }

    proptest! {
        #[test]
        fn lines_fold_and_unfold(words in "[a-zäß€𝄞 ,;\\\\]{0,300}") {
            let mut out = String::new();
            fold(&mut out, &words);
            for l in out.split("\r\n") {
                prop_assert!(l.len() <= 75, "{}", l.len());
            }
            let unfolded = out.replace("\r\n ", "");
            prop_assert_eq!(unfolded.trim_end_matches("\r\n"), words);
        }
    }
}
