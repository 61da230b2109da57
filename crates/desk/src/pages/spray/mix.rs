//! `/spray/mix`: the tank mix sheet, on one page of paper, with the check of nozzle and speed.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_book::payload::{AreaUnit, MachineKind, UnitChoice};
use stook_book::{FieldId, SprayProductId};
use stook_measure::{Reference, figure, units};
use stook_season::spraying::mix::{self, Boom, MixAsk, MixSheet, NozzleCheck};
use stook_season::spraying::record::amount;
use stook_season::words;

use super::super::{Frame, Place, Reply, Trouble, page, send, working};
use super::record::water;
use crate::forms::Values;
use crate::forms::spraying::{L_PER_US_GAL, l_ha_to_gal_ac};
use crate::server::beside;
use crate::state::{Desk, Known};

/// Products on one sheet.
const MOST: usize = 4;

/// What was asked, in the farm's units, as typed.
struct Asked {
    values: Values,
    acres: bool,
    mph: bool,
}

impl Asked {
    fn text(&self, key: &str) -> &str {
        self.values.get(key).map_or("", |v| v.trim())
    }

    fn number(&self, key: &str, label: &str) -> Result<Option<f64>, String> {
        let text = self.text(key).replace(',', ".");
        if text.is_empty() {
            return Ok(None);
        }
        match text.parse::<f64>() {
            Ok(x) if x.is_finite() && x >= 0.0 => Ok(Some(x)),
            _ => Err(format!(
                "{label}: \"{}\" is no figure to reckon with; write it as 12 or 12.5.",
                self.text(key)
            )),
        }
    }

    fn litres(&self, x: f64) -> f64 {
        if self.acres { x * L_PER_US_GAL } else { x }
    }

    fn volume_unit(&self) -> &'static str {
        if self.acres { "US gal" } else { "L" }
    }
}

/// `/spray/mix`
pub async fn show(State(desk): State<Arc<Desk>>, Query(values): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let u = &frame.units;
        let mut asked = Asked {
            values,
            acres: u.area == AreaUnit::Acres,
            mph: u.speed == stook_book::payload::SpeedUnit::Mph,
        };
        prefill(&mut asked, &known, u);
        let has_product = (0..MOST).any(|i| !asked.text(&format!("product{i}")).is_empty());
        let sheet = has_product.then(|| read(&asked, &known));
        let check = match &sheet {
            Some(Ok(s)) => boom(&asked, &known).map(|b| {
                let (reference, _) = known.farm.reference(&Reference::shipped());
                mix::nozzle_check(s.water_l_ha, &b, &reference)
            }),
            _ => Ok(None),
        };
        Ok(send(view(&frame, &known, &asked, sheet.as_ref(), &check)))
    })
    .await?
}

/// The farm's own sprayer and field, where nothing was asked.
fn prefill(a: &mut Asked, known: &Known, u: &UnitChoice) {
    let sprayer = known.farm.machine(MachineKind::Sprayer);
    let mut put = |key: &str, x: Option<f64>, decimals: u8| {
        if let (None, Some(x)) = (a.values.get(key), x) {
            a.values.insert(key.into(), figure(x, decimals).replace(',', ""));
        }
    };
    let volume = |l: f64| if u.area == AreaUnit::Acres { l / L_PER_US_GAL } else { l };
    put("tank", sprayer.and_then(|m| m.tank_l).map(volume), 0);
    let mph = u.speed == stook_book::payload::SpeedUnit::Mph;
    put("speed", sprayer.map(|m| if mph { units::kmh_to_mph(m.speed_kmh) } else { m.speed_kmh }), 1);
    put("spacing", Some(20.0), 0);
    let field = a.values.get("field").map(|f| FieldId::from(f.as_str()));
    let area = field.and_then(|f| known.farm.fields.get(&f)).map(|r| r.field().area_ha);
    let shown = area.map(|ha| if u.area == AreaUnit::Acres { units::ha_to_acre(ha) } else { ha });
    // A field chosen anew brings its area; an area typed stays.
    if a.text("area").is_empty() || a.text("area_of") != a.text("field") {
        if let Some(x) = shown {
            a.values.insert("area".into(), figure(x, 0).replace(',', ""));
        }
    }
}

fn read(a: &Asked, known: &Known) -> Result<MixSheet, String> {
    let area = a.number("area", "Area")?.ok_or("Choose a field, or write the area.")?;
    let area_ha = if a.acres { units::acre_to_ha(area) } else { area };
    let water =
        a.number("water", "Water")?.map(|w| if a.acres { w * L_PER_US_GAL / units::HA_PER_ACRE } else { w });
    let tank =
        a.number("tank", "Tank")?.ok_or("Say what the tank holds; set-up keeps it with the sprayer.")?;
    let left = a.number("left", "Still in the tank")?.unwrap_or(0.0);
    let products = (0..MOST)
        .map(|i| a.text(&format!("product{i}")).to_string())
        .filter(|p| !p.is_empty())
        .map(|p| SprayProductId::from(p.as_str()))
        .collect();
    mix::sheet(
        &known.farm,
        &MixAsk {
            products,
            area_ha,
            water_l_ha: water,
            tank_l: a.litres(tank),
            left_l: a.litres(left),
            even: a.text("even") == "true",
        },
    )
}

fn boom(a: &Asked, known: &Known) -> Result<Boom, String> {
    let speed = a.number("speed", "Speed")?;
    let speed = speed.map(|s| if a.mph { units::mph_to_kmh(s) } else { s });
    let sprayer = known.farm.machine(MachineKind::Sprayer).map(|m| m.speed_kmh);
    Ok(Boom {
        speed_kmh: speed.or(sprayer).unwrap_or(0.0),
        spacing_m: a.number("spacing", "Nozzle spacing")?.unwrap_or(20.0) * 0.0254,
        size: a.number("size", "Nozzle size")?,
        caught_ml: a.number("caught", "Caught")?,
        seconds_100_m: a.number("seconds", "Seconds over 100 m")?,
    })
}

fn view(
    frame: &Frame,
    known: &Known,
    a: &Asked,
    sheet: Option<&Result<MixSheet, String>>,
    check: &Result<Option<NozzleCheck>, String>,
) -> Markup {
    let name = known.farm.fields.get(&FieldId::from(a.text("field"))).map(|r| r.field().name.clone());
    let body = html! {
        div {
            h1 { "Tank mix" @if let Some(n) = &name { ", " (n) } }
            p.caution { "The label rules: rate, order, water, wear and rinsing. Eyes and hands first: goggles and gloves before the cap comes off." }
        }
        @match sheet {
            None => {}
            Some(Err(e)) => { p.wrong-all role="alert" { (e) } }
            Some(Ok(s)) => { (tanks(s, a, &frame.units)) }
        }
        @if let Some(Ok(_)) = sheet {
            @match check {
                Ok(Some(c)) => { (nozzles(c, &frame.units)) }
                Ok(None) => {}
                Err(e) => { p.wrong-all role="alert" { (e) } }
            }
        }
        (ask(known, a, &frame.units))
    };
    page(frame, Place::Fields, "Tank mix", &body)
}

/// The table of fills: alike ones in one column.
fn tanks(s: &MixSheet, a: &Asked, u: &UnitChoice) -> Markup {
    let volume = |l: f64| {
        if a.acres {
            format!("{} US gal, {} L", figure(l / L_PER_US_GAL, 0), figure(l, 0))
        } else {
            format!("{} L", figure(l, 0))
        }
    };
    // Columns: the first fill, those like it counted together, and the last when it differs.
    let mut columns: Vec<(usize, usize)> = Vec::new();
    for (i, f) in s.sheet.fills.iter().enumerate() {
        match columns.last_mut() {
            Some((first, n)) if (s.sheet.fills[*first].mix_l - f.mix_l).abs() < 0.5 => *n += 1,
            _ => columns.push((i, 1)),
        }
    }
    let title = |first: usize, n: usize| {
        if n > 1 {
            format!("Each of {n} fills")
        } else if first + 1 == s.sheet.fills.len() && first > 0 {
            "Last, part tank".into()
        } else {
            format!("Fill {}", first + 1)
        }
    };
    html! {
        section {
            p { b { (words::area(u, s.area_ha)) } " at " (water(u, s.water_l_ha)) ": " b { (s.sheet.fills.len()) @if s.sheet.fills.len() == 1 { " fill" } @else { " fills" } } ". A full tank of " (volume(s.tank_l)) " goes for " (words::area(u, s.sheet.ha_per_tank)) "." }
            @if s.sheet.fills.is_empty() { p { "What is left in the tank does the whole job." } }
            @else {
                div.scroll tabindex="0" role="region" aria-label="What goes in each tank" { table.mix {
                    thead { tr { th scope="col" { "In this order" } @for (first, n) in &columns { th.num scope="col" { (title(*first, *n)) } } th.num scope="col" { "In all" } } }
                    tbody {
                        tr { td { "Water first: half" } @for (first, _) in &columns { td.num { (volume(s.sheet.fills[*first].water_l * 0.5)) } } td.num { (volume(s.sheet.water_l * 0.5)) } }
                        @for (k, p) in s.products.iter().enumerate() {
                            tr {
                                td { (k + 1) ". " b { (p.name) } br; span.quiet { (p.rate) } }
                                @for (first, _) in &columns { td.num { (amount(p.fills[*first], p.unit)) } }
                                td.num { (amount(p.total, p.unit)) @if let Some((n, rest, holds)) = p.containers { br; span.quiet { (n) " of " (figure(holds, 0)) " " (p.unit) @if rest > 0.005 { ", " (amount(rest, p.unit)) " left" } } } }
                            }
                        }
                        tr { td { "Water to fill" } @for (first, _) in &columns { td.num { (volume(s.sheet.fills[*first].water_l * 0.5)) } } td.num { (volume(s.sheet.water_l * 0.5)) } }
                        tr { td { b { "Tank shows" } } @for (first, _) in &columns { td.num { b { (volume(s.sheet.fills[*first].mix_l)) } } } td.num {} }
                        tr { td { "Good for" } @for (first, _) in &columns { td.num { (words::area(u, s.sheet.fills[*first].mix_l / s.water_l_ha)) } } td.num { (words::area(u, s.area_ha)) } }
                    }
                } }
            }
            p { (s.order) }
            @for p in s.products.iter().filter(|p| p.mixing.is_some()) { p { b { (p.name) ": " } (p.mixing.as_deref().unwrap_or("")) } }
            @if !s.look.is_empty() { ul { @for l in &s.look { li { (l) } } } }
            details.working.screen { summary { "How this was reckoned" } (working::open(&s.working)) }
        }
    }
}

fn nozzles(c: &NozzleCheck, u: &UnitChoice) -> Markup {
    html! {
        section {
            h2 { "Nozzle and speed" }
            div.ruled.loose { dl {
                div { dt { "One nozzle gives" } dd { (figure(c.output_l_min, 2)) " L/min (" (figure(c.output_l_min / L_PER_US_GAL, 3)) " US gal/min)" } }
                div { dt { "In the jug after 30 seconds" } dd { (figure(c.in_30_s_ml, 0)) " mL; let pass " (figure(c.pass_ml.0, 0)) " to " (figure(c.pass_ml.1, 0)) } }
                div { dt { "100 m at that speed" } dd { (figure(c.seconds_100_m, 1)) " s" } }
                @if let Some(kpa) = c.pressure_kpa { div { dt { "Pressure for the nozzle of that size" } dd { (figure(kpa, 0)) " kPa (" (figure(kpa / 6.894_757, 0)) " lb/in2)" } } }
                @if let (Some(w), Some(off)) = (c.worked_l_ha, c.off_pct) {
                    div { dt { "Worked, by your catch" } dd { (water(u, w)) ", " (if off >= 0.0 { "+" } else { "" }) (figure(off, 1)) " %" } }
                }
            } }
            @if c.off_pct.is_some_and(|o| o.abs() > 5.0) { p.caution { "More than 5 % off: mend speed, pressure or nozzles before the product goes in." } }
            details.working.screen { summary { "How the output was reckoned" } (working::open(&c.working)) }
        }
    }
}

fn ask(known: &Known, a: &Asked, u: &UnitChoice) -> Markup {
    let mut fields: Vec<_> = known.farm.fields.values().map(stook_book::FieldRecord::field).collect();
    fields.sort_by(|x, y| x.name.cmp(&y.name));
    let number = |key: &str, label: &str, unit: &str, hint: &str| {
        html! { div.field {
            label for=(key) { (label) }
            @if !hint.is_empty() { p.hint { (hint) } }
            div.with-unit { input id=(key) name=(key) value=(a.text(key)) inputmode="decimal" autocomplete="off"; span.unit { (unit) } }
        } }
    };
    let least = known
        .farm
        .spray_products
        .get(&SprayProductId::from(a.text("product0")))
        .and_then(|p| p.is.water_l_ha);
    let water_hint = least.map_or(String::new(), |w| {
        let said = if a.acres { figure(l_ha_to_gal_ac(w), 1) } else { figure(w, 0) };
        format!("Left empty: the label's {said}.")
    });
    html! {
        form method="get" action="/spray/mix" {
            h2 { "What is to be mixed" }
            @if known.farm.spray_products.is_empty() { p.note { "No product is in set-up yet. " a href="/enter/spray_product" { "Copy one from its label" } " first." } }
            input type="hidden" name="area_of" value=(a.text("field"));
            div.field { label for="field" { "Field" } select id="field" name="field" {
                option value="" { "none" }
                @for f in fields { option value=(f.id) selected[f.id.as_str() == a.text("field")] { (f.name) } }
            } }
            (number("area", "Area", u.area.words(), ""))
            @for i in 0..MOST {
                @let key = format!("product{i}");
                div.field { label for=(key) { @if i == 0 { "Product" } @else { "And" } } select id=(key) name=(key) {
                    option value="" { @if i == 0 { "choose" } @else { "nothing more" } }
                    @for p in known.farm.spray_products.values() { option value=(p.is.id) selected[p.is.id.as_str() == a.text(&key)] { (p.is.name) } }
                } }
            }
            (number("water", "Water and product together", if a.acres { "US gal/ac" } else { "L/ha" }, &water_hint))
            (number("tank", "The tank is filled to", a.volume_unit(), ""))
            (number("left", "Of this mix still in the tank", a.volume_unit(), ""))
            fieldset { legend { "Fills" } div.choices {
                label { input type="radio" name="even" value="false" checked[a.text("even") != "true"]; "full, then a part" }
                label { input type="radio" name="even" value="true" checked[a.text("even") == "true"]; "all alike" }
            } }
            h3 { "Nozzle and speed" }
            (number("speed", "Speed", u.speed.words(), ""))
            (number("spacing", "Nozzle to nozzle", "in", ""))
            (number("size", "Nozzle size, if known", "0.1 US gal/min", "A 04 is 4."))
            (number("caught", "Caught from one nozzle in 30 seconds", "mL", "The mean of several, in water."))
            (number("seconds", "Seconds over 100 m", "s", "Timed in the field, tank half full."))
            div.act { button.yes type="submit" { "Reckon it" } }
        }
    }
}
