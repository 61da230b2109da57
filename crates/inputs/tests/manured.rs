//! Manure joined to the rest: what it gives, the field's sheet, the order, the card and the balance.

use jiff::civil::{Date, date};
use stook_book::payload::{
    BarnCount, BarnKind, Crop, CropPlan, DrillSetUp, DrillTank, FertilizerPlacement, FertilizerPlan, Field,
    Load, LoadFrom, LoadTo, Machine, ManureHauled, ManureLevel, ManureMethod, ManurePlan, ManureStore,
    ManureTest, NutrientRates, Price, ProductLeast, SoilDescription, StrawBaled, TankLeft, TextureClass,
    Weighed,
};
use stook_book::{Entry, Farm, FieldId, Payload};
use stook_fertility::{FertilityParams, Nutrient};
use stook_inputs::drill_card::{CardAsked, card};
use stook_inputs::manure::credit::{When, credit, evening};
use stook_inputs::manure::manure;
use stook_inputs::order::{Order, WhatIf, as_plans, order};
use stook_inputs::report::{Choices, FieldReport, field_report};
use stook_measure::Reference;
use stook_measure::units::{kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_season::ceiling::Ceiling;

const ON: Date = date(2026, 1, 15);

fn at(d: Date, payload: impl Into<Payload>) -> Entry {
    Entry::new(d.at(12, 0, 0, 0), "Ada", payload)
}

fn field(id: &str) -> Field {
    Field {
        id: id.into(),
        name: id.to_uppercase(),
        area_ha: 40.0,
        boundary: None,
        soil: SoilDescription::Class { class: TextureClass::ClayLoam },
        drainage: None,
        cover: None,
        distance_km: Some(2.0),
        lie: None,
    }
}

fn crop(id: &str, year: i16) -> CropPlan {
    CropPlan {
        field: id.into(),
        crop_year: year,
        crop: Crop::SpringWheat,
        cultivar_class: None,
        cultivar: None,
        head_blight: None,
        target_yield_kg_ha: None,
        best_seeding_until: None,
        last_seeding_day: None,
    }
}

/// Two fields of wheat, a pit with a test, prices by the tonne.
fn base() -> Vec<Entry> {
    let d = date(2024, 1, 1);
    let mut e = vec![at(d, field("a")), at(d, field("b"))];
    for id in ["a", "b"] {
        e.extend([at(d, crop(id, 2025)), at(d, crop(id, 2026)), at(d, crop(id, 2027))]);
    }
    e.push(at(d, Price { what: "wheat".into(), value: 7.5, unit: "bu".into() }));
    for (what, value) in [("urea", 640.0), ("map", 880.0), ("potash", 560.0), ("ams", 470.0)] {
        e.push(at(d, Price { what: what.into(), value, unit: "t".into() }));
    }
    e.push(at(
        d,
        ManureStore { id: "pit".into(), name: "Pit".into(), capacity_m3: 5_000.0, inflow_m3_day: None },
    ));
    e.push(at(d, BarnCount { store: "pit".into(), barn: BarnKind::FarrowToFinish, head: 100.0 }));
    e.push(at(date(2025, 10, 1), ManureLevel { store: "pit".into(), held_m3: 4_000.0 }));
    e.push(at(
        date(2025, 10, 1),
        ManureTest {
            store: "pit".into(),
            agitated: true,
            total_n_kg_m3: 3.5,
            ammonium_n_kg_m3: Some(1.8),
            p_kg_m3: 0.4,
            k_kg_m3: 1.5,
            s_kg_m3: None,
            dry_matter_pct: Some(3.0),
        },
    ));
    e
}

fn hauled(day: Date, m3: f64) -> Entry {
    at(
        day,
        ManureHauled {
            store: "pit".into(),
            field: "a".into(),
            volume_m3: m3,
            area_ha: None,
            method: ManureMethod::WorkedIn,
            days_to_work_in: Some(1.0),
        },
    )
}

fn meant(day: Date, m3: f64) -> Entry {
    at(
        day,
        ManurePlan {
            store: "pit".into(),
            field: "a".into(),
            crop_year: 2026,
            volume_m3: m3,
            area_ha: None,
            method: ManureMethod::Injected,
            days_to_work_in: None,
        },
    )
}

fn wanted(id: &str, manure: Option<NutrientRates>) -> FertilizerPlan {
    let kg = lb_ac_to_kg_ha;
    FertilizerPlan {
        field: id.into(),
        crop_year: 2026,
        n_kg_ha: kg(80.0),
        p2o5_kg_ha: kg(30.0),
        k2o_kg_ha: kg(15.0),
        s_kg_ha: 0.0,
        seed_row: Some(NutrientRates { n_kg_ha: kg(5.0), p2o5_kg_ha: kg(25.0), ..NutrientRates::default() }),
        placement: FertilizerPlacement::SideBand,
        products: vec![],
        target_yield_kg_ha: None,
        manure,
        why: None,
    }
}

fn gives(entries: &[Entry], year: i16, on: Date) -> stook_inputs::manure::Credit {
    let farm = Farm::fold(entries);
    credit(&farm, &farm.fields[&FieldId::from("a")], year, evening(on), FertilityParams::shipped())
}

fn order_of(entries: &[Entry], on: Date) -> Order {
    let o = order(&Farm::fold(entries), &Reference::shipped(), on, &WhatIf::default());
    assert!(!o.blends.is_empty(), "{} {} {:?}", o.headline, o.why, o.notes);
    o
}

fn report(entries: &[Entry], on: Date) -> FieldReport {
    let ceilings = vec![Ceiling {
        field: "a".into(),
        yields_kg_ha: (0..60).map(|i| 2600.0 + 40.0 * f64::from(i)).collect(),
        soil_temp_c: 4.0,
    }];
    let farm = Farm::fold(entries);
    let id = FieldId::from("a");
    field_report(&farm, &Reference::shipped(), &ceilings, &id, on, 2026, &Choices::default()).unwrap()
}

#[test]
fn the_reference_pages_own_manure_over_three_years() {
    let mut e = base();
    e.push(hauled(date(2025, 10, 10), 1_200.0));
    // 3.5 and 1.8 kg/m3, worked in within a day: 1.775 kg of use in a m3 (the page's own check), 30 m3 a hectare.
    let c = gives(&e, 2026, ON);
    assert_eq!(c.parts[0].when, When::Hauled(date(2025, 10, 10)));
    assert!((c.gives_kg_ha.n - 30.0 * 1.775).abs() < 1e-9, "{:?}", c.gives_kg_ha);
    let (p2o5, k2o) = (0.4 * 2.2913, 1.5 * 1.2046);
    assert!((c.gives_kg_ha.p2o5 - 30.0 * 0.7 * p2o5).abs() < 1e-2);
    assert!((c.gives_kg_ha.k2o - 30.0 * 0.9 * k2o).abs() < 1e-2);
    assert!((c.balance_kg_ha.p2o5 - 30.0 * p2o5).abs() < 1e-2, "the balance counts all of the phosphate");
    assert!(c.working.unwrap().adds_up(0.11));
    // 12 % of the organic nitrogen the year after, and no phosphate: the soil test has it.
    let second = gives(&e, 2027, date(2027, 1, 15));
    assert!((second.gives_kg_ha.n - 30.0 * 0.12 * 1.7).abs() < 1e-9 && second.gives_kg_ha.p2o5 == 0.0);
    assert_eq!(gives(&e, 2025, date(2026, 1, 15)).parts.len(), 0, "nothing for a crop already taken off");
}

#[test]
fn a_plan_counts_until_it_is_hauled_taken_back_or_too_late() {
    let mut e = base();
    e.push(meant(date(2025, 10, 5), 1_000.0));
    let planned = gives(&e, 2026, ON);
    assert_eq!((planned.parts.len(), planned.parts[0].when), (1, When::Planned));
    assert_eq!(planned.on_kg_ha.n, 0.0);
    e.push(hauled(date(2025, 10, 10), 400.0));
    let part = gives(&e, 2026, ON);
    assert!((part.parts.iter().map(|p| p.m3).sum::<f64>() - 1_000.0).abs() < 1e-9);
    let mut back = e.clone();
    back.push(meant(date(2025, 12, 1), 0.0));
    assert_eq!(gives(&back, 2026, ON).parts.len(), 1, "what was hauled stays");
    e.push(at(
        date(2026, 5, 5),
        stook_book::payload::Seeding {
            field: "a".into(),
            lot: None,
            finished: None,
            rate_kg_ha: None,
            depth_mm: None,
            area_ha: None,
            done: true,
        },
    ));
    assert_eq!(gives(&e, 2026, date(2026, 5, 6)).parts.len(), 1, "once seeded only what was hauled counts");
}

#[test]
fn a_manured_field_buys_less_on_its_sheet() {
    let plain = report(&base(), ON);
    let mut e = base();
    e.push(meant(date(2025, 10, 5), 1_000.0));
    let r = report(&e, ON);
    let gives = r.manure.gives_kg_ha;
    let less = plain.proposed.n_kg_ha - r.proposed.n_kg_ha;
    assert!((less - gives.n).abs() < lb_ac_to_kg_ha(1.01), "{less} {}", gives.n);
    assert!((r.manure_counted_kg_ha.n - less).abs() < 1e-9);
    assert!(r.manure_counted_kg_ha.p2o5 > 0.0 && r.proposed.p2o5_kg_ha < plain.proposed.p2o5_kg_ha);
    assert!(
        (r.manure_spares_ha - r.manure_counted_kg_ha.worth(r.prices.per_kg)).abs() < 1e-9
            && r.manure_spares_ha > 0.0
    );
    // typed by hand, it takes the book's place
    let farm = Farm::fold(&e);
    let typed = Choices { manure_n_kg_ha: Some(0.0), ..Choices::default() };
    let ceilings = [Ceiling { field: "a".into(), yields_kg_ha: vec![3_800.0], soil_temp_c: 4.0 }];
    let id = FieldId::from("a");
    let x = field_report(&farm, &Reference::shipped(), &ceilings, &id, ON, 2026, &typed).unwrap();
    assert_eq!(x.manure.gives_kg_ha.n, 0.0);
}

#[test]
fn the_order_takes_off_what_the_plan_did_not_count() {
    let mut e = base();
    e.extend([at(date(2026, 1, 5), wanted("a", None)), at(date(2026, 1, 5), wanted("b", None))]);
    let before = order_of(&e, ON);
    assert_eq!(before.manure_spares, 0.0);
    // Planned after the plan was accepted: the field needs so much less.
    e.push(meant(date(2026, 1, 10), 1_000.0));
    let after = order_of(&e, ON);
    let a = after.fields.iter().find(|f| f.name == "A");
    let b = after.fields.iter().find(|f| f.name == "B").unwrap();
    assert_eq!(b.need_kg_ha, before.fields.iter().find(|f| f.name == "B").unwrap().need_kg_ha);
    let gives = gives(&e, 2026, ON).gives_kg_ha;
    let need = a.unwrap().need_kg_ha;
    assert!((need.n - (lb_ac_to_kg_ha(80.0) - gives.n)).abs() < 1e-9, "{need:?} {gives:?}");
    assert!(after.money < before.money && after.manure_spares > 0.0);
    let saved = before.money - after.money;
    assert!((saved / after.manure_spares - 1.0).abs() < 0.15, "{saved} {}", after.manure_spares);
    assert!(after.notes[0].starts_with("Manure spares this order"), "{:?}", after.notes);
    // Counted when the plan was accepted: nothing more comes off; and when it is taken back, the need comes back.
    let counted = NutrientRates { n_kg_ha: gives.n, ..NutrientRates::default() };
    let mut e = base();
    e.push(meant(date(2025, 12, 1), 1_000.0));
    e.push(at(date(2026, 1, 5), wanted("a", Some(counted))));
    let same = order_of(&e, ON);
    assert!((same.fields[0].need_kg_ha.n - lb_ac_to_kg_ha(80.0)).abs() < 1e-9);
    e.push(meant(date(2026, 1, 12), 0.0));
    let back = order_of(&e, ON);
    assert!((back.fields[0].need_kg_ha.n - lb_ac_to_kg_ha(80.0) - gives.n).abs() < 1e-9);
}

#[test]
fn the_pit_is_planned_over_what_is_not_hauled_yet() {
    let mut e = base();
    e.push(at(date(2026, 1, 5), wanted("a", None)));
    let first = manure(&Farm::fold(&e), &Reference::shipped(), ON, None, None);
    let a = first.hauls.iter().find(|h| h.name == "A").unwrap();
    // In the book, the same plan comes again: a plan does not make itself needless.
    e.push(meant(date(2026, 1, 10), a.m3));
    let again = manure(&Farm::fold(&e), &Reference::shipped(), ON, None, None);
    assert!((again.hauls.iter().find(|h| h.name == "A").unwrap().m3 - a.m3).abs() < 1.0);
    assert_eq!(again.planned.len(), 1);
    assert!(again.ways.iter().any(|w| w.kept_by_equations.is_some()));
}

#[test]
fn loads_and_straw_stand_in_the_balance() {
    let mut e = base();
    e.push(hauled(date(2024, 10, 10), 800.0));
    let mut load = Load::new(
        LoadFrom::Field("a".into()),
        LoadTo::Buyer("mill".into()),
        Weighed::TruckScale,
        Some(20_000.0),
    );
    load.moisture_wb_pct = Some(14.5);
    for hour in [10, 13, 16, 19, 21, 22] {
        e.push(Entry::new(date(2025, 8, 25).at(hour, 0, 0, 0), "Ada", load.clone()));
    }
    let grain = report(&e, ON).balance;
    let y = grain.iter().find(|y| y.year == 2025).unwrap();
    assert_eq!(y.yield_from.as_deref(), Some("6 loads"));
    assert!((y.yield_kg_ha.unwrap() - 3_000.0).abs() < 60.0, "{:?}", y.yield_kg_ha);
    assert!(y.removed_kg_ha.p2o5 > 20.0 && y.manure_kg_ha.p2o5 > 10.0);
    assert!((y.sum_kg_ha.p2o5 - (y.applied_kg_ha.p2o5 - y.removed_kg_ha.p2o5)).abs() < 1e-9);
    e.push(at(date(2025, 9, 3), StrawBaled { field: "a".into(), bales: 100.0, bale_kg: 500.0 }));
    let straw = report(&e, ON).balance;
    let s = straw.iter().find(|y| y.year == 2025).unwrap();
    // 1.25 t of straw a hectare: 35 lb of K2O a short ton, the middle of 25 to 45, is 17.5 kg a tonne
    assert!((s.straw_kg_ha.k2o - 1.25 * 17.5).abs() < 1e-6, "{:?}", s.straw_kg_ha);
    assert!((s.sum_kg_ha.k2o - y.sum_kg_ha.k2o + s.straw_kg_ha.k2o).abs() < 1e-9);
}

fn drill() -> DrillSetUp {
    DrillSetUp {
        machine: "drill".into(),
        row_spacing_cm: 25.4,
        spread_cm: 3.8,
        double_disc: false,
        band: FertilizerPlacement::SideBand,
        tanks: vec![DrillTank::new("seed", 5.0), DrillTank::new("starter", 2.5), DrillTank::new("band", 7.0)],
        refill_min: Some(30.0),
        liquid_m3: None,
        liquid_with_seed: false,
        anhydrous_m3: None,
    }
}

fn drilled(d: DrillSetUp) -> Vec<Entry> {
    let day = date(2025, 11, 1);
    let mut e = base();
    e.push(at(
        day,
        serde_json::from_value::<Machine>(serde_json::json!({
            "id": "drill", "kind": "drill", "name": "drill", "width_m": 15.24, "speed_kmh": 7.2,
            "field_efficiency": 0.7, "hours_per_day": 12.0
        }))
        .unwrap(),
    ));
    e.push(at(day, d));
    e.extend([at(date(2026, 1, 5), wanted("a", None)), at(date(2026, 1, 5), wanted("b", None))]);
    e
}

fn card_of(entries: &[Entry], on: Date) -> stook_inputs::drill_card::Card {
    let farm = Farm::fold(entries);
    let id = FieldId::from("a");
    card(&farm, &Reference::shipped(), &id, on, 2026, Some(8.0), &CardAsked::default()).unwrap()
}

#[test]
fn the_order_fills_the_cards() {
    let mut e = drilled(drill());
    let farm = Farm::fold(&e);
    let o = order_of(&e, ON);
    let plans = as_plans(&farm, &Reference::shipped(), ON, &o);
    assert_eq!(plans.len(), 2);
    e.extend(plans.into_iter().map(|p| at(ON, p)));
    let c = card_of(&e, date(2026, 4, 20));
    assert!(c.products_from.contains("from the order") && c.refused.is_empty(), "{:?}", c.refused);
    let all = stook_inputs::drill_card::whole(&[c.clone(), c.clone()]);
    for p in &all.products {
        // MAP may be both with the seed and in the band
        let one: f64 = c.products.iter().filter(|x| x.name == p.name).map(|x| x.total_kg).sum();
        assert!((p.kg - 2.0 * one).abs() < 1e-6, "{p:?} {one}");
        assert!((1000.0 * p.totes.0 - p.totes.1 - p.kg).abs() < 1e-6 && p.bags * 25.0 >= p.kg - 1e-6);
    }
    assert_eq!((all.fields, all.lacking.len()), (2, 2), "no seed lot is in this book");
    let f = o.fields.iter().find(|f| f.name == "A").unwrap();
    for (want, n) in [(f.supplied_kg_ha.n, Nutrient::N), (f.supplied_kg_ha.p2o5, Nutrient::P2O5)] {
        let on_card: f64 = c
            .products
            .iter()
            .map(|p| stook_inputs::balance::nutrients_of(&p.key, None, p.kg_ha).unwrap()[n])
            .sum();
        assert!((on_card - want).abs() < 1e-6, "{on_card} {want}");
    }
    // The order does not change by being taken.
    let again = order_of(&e, ON);
    assert!((again.money - o.money).abs() < 1e-6 * o.money, "{} {}", again.money, o.money);
}

#[test]
fn meters_and_least_rates_of_the_book_hold() {
    let mut d = drill();
    d.tanks[1].least_kg_ha = Some(60.0);
    d.tanks[2].most_kg_ha = Some(400.0);
    let mut e = drilled(d);
    let loose = order_of(&drilled(drill()), ON);
    let o = order_of(&e, ON);
    assert!(o.fields.iter().all(|f| f.with_seed.as_ref().is_none_or(|(_, rate)| *rate >= 60.0 - 1e-9)));
    assert!(loose.fields.iter().any(|f| f.with_seed.as_ref().is_some_and(|(_, rate)| *rate < 60.0)));
    let least =
        |kg_ha| at(ON, ProductLeast { product: "potash".into(), least_kg_ha: Some(kg_ha), least_kg: None });
    // 15 lb of K2O are 28 kg of potash a hectare: at 31 the blend goes on a little heavier.
    e.push(least(31.0));
    let o = order_of(&e, ON);
    for f in &o.fields {
        let potash: f64 = f.parts.iter().filter(|p| p.product == "potash").map(|p| p.kg_ha).sum();
        assert!(potash >= 31.0 - 1e-6, "{potash}");
    }
    // At 60 it cannot be, and the reason is not that blends are too few.
    e.push(least(60.0));
    let o = order(&Farm::fold(&e), &Reference::shipped(), ON, &WhatIf::default());
    assert!(o.blends.is_empty() && o.why.contains("least rates") && o.why.starts_with('A'), "{}", o.why);
}

#[test]
fn liquids_and_ammonia_need_a_drill_that_carries_them() {
    let cheap = |e: &mut Vec<Entry>| {
        for (what, value) in [("uan28", 1.0), ("anhydrous", 0.9)] {
            e.push(at(ON, Price { what: what.into(), value, unit: "us_gal".into() }));
        }
    };
    let mut e = drilled(drill());
    cheap(&mut e);
    let without = order_of(&e, ON);
    assert!(without.notes.iter().any(|n| n.contains("has no liquid tank")), "{:?}", without.notes);
    assert!(without.notes.iter().any(|n| n.contains("pulls no nurse tank")));
    let mut d = drill();
    d.liquid_m3 = Some(3.8);
    let mut e = drilled(d.clone());
    cheap(&mut e);
    let o = order_of(&e, ON);
    for f in &o.fields {
        let (name, rate) = f.fluid.as_ref().expect("a solution at that price");
        assert!(name.contains("28-0-0") && f.with_seed.as_ref().unwrap().0.contains("MAP"));
        // 10.67 lb a US gallon
        assert!((f.fluid_l_ha.unwrap() - rate / 1.2786).abs() < 0.01 * rate);
        for n in Nutrient::ALL {
            assert!(f.supplied_kg_ha[n] >= f.need_kg_ha[n] - 0.6, "{} {f:?}", n.name());
        }
    }
    assert_eq!(o.caution, None);
    assert!(o.money < without.money, "{} {}", o.money, without.money);
    // The card runs it from its own tank.
    e.extend(as_plans(&Farm::fold(&e), &Reference::shipped(), ON, &o).into_iter().map(|p| at(ON, p)));
    let c = card_of(&e, date(2026, 4, 20));
    let tank = c.tanks.iter().find(|t| t.name == "liquid").unwrap();
    assert!(tank.ha_per_fill.is_some() && tank.holds.contains("28-0-0"), "{tank:?}");
    // Ammonia, with its caution, and never in the seed row.
    d.anhydrous_m3 = Some(5.5);
    let mut e = drilled(d);
    e.push(at(ON, Price { what: "anhydrous".into(), value: 300.0, unit: "t".into() }));
    let o = order_of(&e, ON);
    assert!(o.caution.unwrap().contains("Never in the seed row"));
    assert!(o.fields.iter().all(|f| f.parts.iter().all(|p| p.product != "anhydrous" || !p.with_seed)));
}

#[test]
fn a_drill_with_one_fertilizer_tank_bands_it_all() {
    let mut d = drill();
    d.tanks.truncate(2);
    let o = order_of(&drilled(d), ON);
    assert!(o.fields.iter().all(|f| f.with_seed.is_none() && f.band.is_some()));
    assert!(o.notes.iter().any(|n| n.contains("one tank for fertilizer")), "{:?}", o.notes);
}

#[test]
fn what_is_left_is_held_against_the_card() {
    let mut e = drilled(drill());
    let c = card_of(&e, date(2026, 4, 20));
    let band = c.tanks.iter().find(|t| t.name == "band").unwrap().rate_kg_ha;
    let filled = band * 40.0 + 1_500.0;
    let left = |left_kg: f64| {
        at(
            date(2026, 5, 9),
            TankLeft {
                field: "a".into(),
                crop_year: 2026,
                tank: "band".into(),
                filled_kg: filled,
                left_kg,
                area_ha: None,
            },
        )
    };
    e.push(left(1_500.0 - 0.08 * band * 40.0));
    let c = card_of(&e, date(2026, 5, 10));
    assert!((c.left[0].error_pct.unwrap() - 8.0).abs() < 1e-6, "{:?}", c.left);
    assert!(c.left[0].said.contains("8 % more than the card"));
    assert!((kg_ha_to_lb_ac(c.left[0].sown_kg_ha) / kg_ha_to_lb_ac(band) - 1.08).abs() < 1e-6);
    let stands = stook_inputs::drill_card::leftovers(&Farm::fold(&e), 2026, date(2026, 5, 10));
    assert_eq!((stands.len(), stands[0].field.as_str()), (1, "A"));
}
