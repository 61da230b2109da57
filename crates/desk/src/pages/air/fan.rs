//! The fan on its bed: where the two meet, too deep or not, and what one more foot costs.

use std::sync::Arc;

use axum::extract::{Path, State};
use maud::{Markup, html};
use stook_book::farm::BinRecord;
use stook_book::payload::{LengthUnit, UnitChoice};
use stook_grain::air::{M3_S_PER_CFM, PA_PER_IN_WATER};
use stook_keep::Work;
use stook_keep::bed_view::BedView;
use stook_measure::{figure, units};

use super::{caution, of_one_bin, others, temp};
use crate::draw::curves::{self, Axes, Line};
use crate::pages::{Frame, Place, Reply, capital, page};
use crate::state::Desk;

/// `/bins/{id}/fan`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Reply {
    of_one_bin(desk, id, view).await
}

fn view(frame: &Frame, r: &BinRecord, found: Result<&Work, &str>) -> Markup {
    let u = &frame.units;
    let name = &r.bin().name;
    let body = html! {
        h1 { (name) ": the fan on its bed" }
        @match found {
            Err(why) => p { (why) },
            Ok(w) => {
                @let b = w.bed_view();
                (meeting(u, &b))
                @for o in &w.answer().fan.objections { p.note { (capital(o)) "." } }
                (depths(u, &b))
                (emc(u, &b))
            }
        }
        @if r.bin().fan.is_none() { p.act { a.btn href={ "/enter/bin?key=" (r.bin().id) } { "Write down its fan" } } }
        p.caution { "Guards on before it is switched; no loose clothing near the intake. When it freezes, leave a hatch open: iced vents can lift a roof. Cover the fan when it is off." }
        (caution())
        (others(r.bin().id.as_str(), "fan"))
    };
    page(frame, Place::Bins, &format!("{name}, fan"), &body)
}

fn meeting(u: &UnitChoice, b: &BedView) -> Markup {
    let to_cfm = |m3_s: f64| m3_s / M3_S_PER_CFM;
    let inches = |pa: f64| pa / PA_PER_IN_WATER;
    let most = b.curve.iter().map(|p| p.1).chain(b.bed.iter().map(|p| p.1)).fold(1.0, f64::max);
    let widest = b.curve.iter().map(|p| p.0).fold(0.1, f64::max);
    let as_us = |points: &[(f64, f64)]| {
        points.iter().map(|(q, pa)| (to_cfm(*q) / 1000.0, inches(*pa))).collect::<Vec<_>>()
    };
    let said = match &b.at {
        Ok(p) => format!(
            "Fan and bed meet at {} thousand cubic feet a minute and {} inches of water",
            figure(to_cfm(p.flow_m3_s_m2 * b.area_m2) / 1000.0, 1),
            figure(inches(p.pa), 1)
        ),
        Err(why) => why.clone(),
    };
    html! {
        p.big { (said) "." }
        @if let Ok(p) = &b.at { p { "That is " b { (figure(p.cfm_bu, 2)) " cfm for each bushel" } " through " (height(u, b.depth_m)) " of grain, " (figure(p.kw, 1)) " kW, and the air warms by " (figure(if u.temperature == stook_book::payload::TemperatureUnit::Fahrenheit { 1.8 * p.rise_k } else { p.rise_k }, 1)) " degrees on its way." } }
        @if b.curve.len() > 1 {
            (curves::draw(
                &Axes { title: "Where fan and bed meet", x: "air, thousand cfm", y: "in of water", x_range: (0.0, (to_cfm(widest) / 1000.0).ceil()), y_range: (0.0, inches(most.min(b.curve.iter().map(|p| p.1).fold(0.0, f64::max) * 1.15)).ceil().max(1.0)), said: &said },
                &[
                    Line { name: "fan", class: "fan-past", points: as_us(&b.curve) },
                    Line { name: "this bed", class: "fan-middle", points: as_us(&b.bed) },
                ],
                b.at.as_ref().ok().map(|p| (to_cfm(p.flow_m3_s_m2 * b.area_m2) / 1000.0, inches(p.pa))),
            ))
            p.key { "The ink line is the fan's own curve from the book; the broken one is what this bed holds back. Packing and fines can make it a quarter more or less." }
        } @else { p.note { "The fan's curve is not in the book, so where it meets the bed is reckoned from its power or taken. Two points from the maker's table are enough." } }
    }
}

fn depths(u: &UnitChoice, b: &BedView) -> Markup {
    html! {
        h2 { "What one more foot costs" }
        div.scroll tabindex="0" role="region" aria-label="By depth" { table {
            thead { tr { th scope="col" { "Depth" } th.num scope="col" { "Air a bushel" } th.num scope="col" { "Pressure" } th.num scope="col" { "A cooling front" } th.num scope="col" { "Days to dry" } } }
            tbody { @for d in &b.depths {
                tr {
                    td { @if d.here { b { (height(u, d.depth_m)) ", now" } } @else { (height(u, d.depth_m)) } }
                    @match &d.push {
                        Ok(p) => {
                            td.num { (figure(p.cfm_bu, 2)) " cfm" }
                            td.num { (figure(p.pa / PA_PER_IN_WATER, 1)) " in" }
                            td.num { (figure(d.front_h, 0)) " h" }
                            td.num { @match d.dry_days { Some(x) if x.is_finite() => { (figure(x, 0)) }, _ => { "this air does not dry" } } }
                        }
                        Err(why) => td colspan="4" { "Too deep: " (why) }
                    }
                }
            } }
        } }
        p.key { "Days to dry: the wettest layer to what keeps, with air of " (temp(u, b.air_c)) " and " (figure(b.air_rh_pct, 0)) " % running all the time: the mean of the weathers of the coming days. Quick; the bin's own page plays every hour." }
    }
}

fn height(u: &UnitChoice, m: f64) -> String {
    match u.length {
        LengthUnit::Feet => format!("{} ft", figure(units::m_to_ft(m), 0)),
        LengthUnit::Metres => format!("{} m", figure(m, 1)),
    }
}

/// What moisture air makes of this grain.
fn emc(u: &UnitChoice, b: &BedView) -> Markup {
    let names: Vec<String> = b.emc.iter().map(|(t, _)| temp(u, *t)).collect();
    let lines: Vec<Line<'_>> = b
        .emc
        .iter()
        .zip(&names)
        .enumerate()
        .map(|(i, ((_, points), name))| Line {
            name,
            class: if i % 2 == 0 { "fan-past" } else { "fan-middle" },
            points: points.clone(),
        })
        .collect();
    html! {
        h2 { "What the air makes of this grain" }
        (curves::draw(
            &Axes { title: "Moisture it settles at", x: "humidity of the air past the fan, %", y: "% of the weight", x_range: (30.0, 90.0), y_range: (6.0, 22.0), said: "Moisture that the grain settles at, by humidity of the air, a curve for each temperature; the figures are in the table" },
            &lines,
            None,
        ))
        details {
            summary { "The figures" }
            div.scroll tabindex="0" role="region" aria-label="Equilibrium moisture" { table {
                thead { tr { th scope="col" { "Air" } @for h in &b.emc_at { th.num scope="col" { (figure(*h, 0)) " %" } } } }
                tbody { @for (t, points) in &b.emc { tr { td { (temp(u, *t)) } @for h in &b.emc_at { td.num { @if let Some(p) = points.iter().find(|p| (p.0 - h).abs() < 0.01) { (figure(p.1, 1)) } } } } } }
            } }
        }
        p.key { "Good to about a point. Grain that takes up water settles 0.5 to 1.5 points lower." }
    }
}
