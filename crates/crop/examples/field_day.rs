//! What a field-day of the crop costs: `cargo run --release -p stook-crop --example field_day`.

use std::hint::black_box;
use std::time::Instant;

use stook_crop::cover::cover;
use stook_crop::ripening::KernelMoisture;
use stook_crop::waiting::Weathering;
use stook_crop::{CropParams, WheatState};
use stook_weather::{Day, Forcing};

fn main() {
    const SEASONS: u32 = 20_000;
    const DAYS: u32 = 130;
    let p = *CropParams::shipped();
    let year: Vec<Forcing> = (0..DAYS).map(weather).collect();
    let start = Instant::now();
    let mut sum = 0.0;
    for _ in 0..SEASONS {
        let mut w = WheatState::sown(4.0, &p);
        let mut m = KernelMoisture::filling(&w, &p);
        let mut worn = Weathering::default();
        for f in black_box(&year) {
            w.step(&p, f, f.tmean_c, true);
            sum += cover(&w, &p).kcb;
            m.step(&w, f, &p);
            worn.step(m.pct(), f.rain_mm, &p.waiting);
        }
        sum += m.pct() + worn.wet_hours;
    }
    let ns = start.elapsed().as_nanos() as f64 / f64::from(SEASONS * DAYS);
    println!("{ns:.1} ns a field-day over {SEASONS} seasons of {DAYS} days ({sum:.0})");
}

fn weather(n: u32) -> Forcing {
    let warm = 12.0 + 14.0 * (std::f64::consts::PI * f64::from(n + 10) / 150.0).sin();
    let rain_mm = if n.is_multiple_of(4) { 8.0 } else { 0.0 };
    Forcing {
        day: Day {
            tmax_c: warm + 6.0,
            tmin_c: warm - 7.0,
            precip_mm: rain_mm,
            rs_mj_m2: 20.0,
            ea_kpa: 1.2,
            wind_2m_ms: 3.0,
        },
        tmean_c: warm - 0.5,
        rain_mm,
        snow_mm: 0.0,
        eto_mm: 4.0,
        vpd_kpa: 0.8,
        rh_min_pct: 45.0,
        rh_max_pct: 92.0,
        daylight_h: 15.0,
    }
}
