//! Measures the import of thirty years of hours in the public archive's layout. Prints seconds.

use std::fmt::Write;
use std::time::Instant;

use jiff::Timestamp;
use jiff::civil::date;
use jiff::tz::TimeZone;
use stook_book::Store;
use stook_book::weather_file::{Answers, Reading, read};

const HEADING: &str = "\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time (LST)\",\"Year\",\"Month\",\
\"Day\",\"Time (LST)\",\"Temp (°C)\",\"Temp Flag\",\"Dew Point Temp (°C)\",\"Dew Point Temp Flag\",\"Rel Hum (%)\",\
\"Rel Hum Flag\",\"Precip. Amount (mm)\",\"Precip. Amount Flag\",\"Wind Dir (10s deg)\",\"Wind Dir Flag\",\
\"Wind Spd (km/h)\",\"Wind Spd Flag\",\"Visibility (km)\",\"Visibility Flag\",\"Stn Press (kPa)\",\"Stn Press Flag\",\
\"Hmdx\",\"Hmdx Flag\",\"Wind Chill\",\"Wind Chill Flag\",\"Weather\"\n";

fn main() {
    let file = file();
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut store = Store::create(folder.path().join("farm.stook")).expect("a new book");
    let zone = TimeZone::get("America/Regina").expect("a zone");

    let start = Instant::now();
    let Ok(Reading::Done(sheet)) = read(&file, &zone, &Answers::default()) else {
        panic!("the file is complete")
    };
    let hours = sheet.hours(false).expect("no bad rows");
    let read_in = start.elapsed().as_secs_f64();
    let put = store.put_hours("1234567", "hours.csv", Timestamp::UNIX_EPOCH, &hours).expect("room");
    let all = start.elapsed().as_secs_f64();
    let mb = file.len() as f64 / 1e6;
    println!("{all:>8.3} s  import of {} hours from {mb:.0} MB, of which {read_in:.3} s reading", put.new);

    let start = Instant::now();
    let again = store.put_hours("1234567", "hours.csv", Timestamp::UNIX_EPOCH, &hours).expect("room");
    println!("{:>8.3} s  the same again ({} same)", start.elapsed().as_secs_f64(), again.same);
    let start = Instant::now();
    let days = store.observed().expect("readable");
    println!("{:>8.3} s  {} days observed, from those hours", start.elapsed().as_secs_f64(), days.len());
}

fn file() -> Vec<u8> {
    let mut text = String::from(HEADING);
    let mut at = date(1994, 1, 1).at(0, 0, 0, 0);
    for i in 0..263_000_u32 {
        let t = 3.0
            + 18.0 * (f64::from(i) * std::f64::consts::TAU / 8766.0).sin()
            + 5.0 * (f64::from(i % 24) - 12.0) / 12.0;
        let (d, h) = (at.date(), at.hour());
        let (y, m, day) = (d.year(), d.month(), d.day());
        writeln!(
            text,
            "\"-104.67\",\"50.43\",\"ALDER BEND\",\"1234567\",\"{d} {h:02}:00\",\"{y}\",\"{m:02}\",\"{day:02}\",\"{h:02}:00\",\
             \"{t:.1}\",\"\",\"{:.1}\",\"\",\"{}\",\"\",\"0.0\",\"\",\"32\",\"\",\"{}\",\"\",\"16.1\",\"\",\"94.12\",\"\",\"\",\"\",\
             \"\",\"\",\"NA\"",
            t - 4.0,
            50 + i % 40,
            i % 30
        )
        .expect("a string takes it");
        at += jiff::Span::new().hours(1);
    }
    text.into_bytes()
}
