//! Alder Bend's inputs: soil tests, seed, the drill's rows and tanks, prices, plans and what went on.

use jiff::civil::{Date, date};
use stook_book::payload::{
    Crop, DrillSetUp, DrillTank, FertilizerApplied, FertilizerPlacement, FertilizerPlan, NutrientRates,
    PlantBack, Price, ProductUsed, ProteinPremium, SeedLot, StrawBaled, TankLeft,
};
use stook_book::{Entry, Farm, FieldId, Payload};
use stook_inputs::lab::{self, Answers, Reading};
use stook_measure::units::{in_to_mm, lb_ac_to_kg_ha};

use super::YEAR;
use super::farm::entry;

const LAB: &str = include_str!("../../../../demo/lab-2025-fall.csv");

/// Fields whose sheet came first, by paper; the rest lie in the file until February.
const BY_PAPER: [&str; 3] = ["slough-quarter", "long-90", "tower"];

/// Plans: field, day accepted, N, P2O5, K2O, S in lb/ac, phosphate with the seed.
const PLANS: [(&str, i8, i8, [f64; 4], f64); 6] = [
    ("slough-quarter", 1, 10, [45.0, 22.0, 0.0, 10.0], 22.0),
    ("long-90", 1, 10, [48.0, 15.0, 0.0, 10.0], 15.0),
    ("tower", 1, 12, [52.0, 25.0, 0.0, 10.0], 25.0),
    ("schoolhouse", 2, 20, [42.0, 12.0, 0.0, 10.0], 12.0),
    ("north-bench", 2, 20, [50.0, 30.0, 15.0, 15.0], 25.0),
    ("crossing", 2, 22, [40.0, 15.0, 0.0, 10.0], 15.0),
];

/// Entries from the fall before to the end of seeding.
pub fn entries(before: &[Entry]) -> anyhow::Result<Vec<Entry>> {
    let farm = Farm::fold(before);
    let mut out = Vec::new();
    let mut n = 5_000;
    let mut add = |at: jiff::civil::DateTime, payload: Payload| {
        n += 1;
        out.push(entry(at, n, payload));
    };
    let Reading::Done(sheet) = lab::read(LAB.as_bytes(), &farm, &Answers::default(), date(YEAR, 1, 1))?
    else {
        anyhow::bail!("the demo's laboratory file asks something");
    };
    for t in sheet.tests {
        let early = BY_PAPER.contains(&t.is.field.as_str());
        let day = if early { t.is.sampled.at(16, 30, 0, 0) } else { date(YEAR, 2, 12).at(19, 40, 0, 0) };
        add(day, t.is.into());
    }
    let winter = date(YEAR, 1, 8).at(20, 40, 0, 0);
    for (what, value) in [("urea", 640.0), ("map", 880.0), ("potash", 560.0), ("ams", 470.0)] {
        add(winter, Price { what: what.into(), value, unit: "t".into() }.into());
    }
    for (what, value) in [("canola", 14.0), ("barley", 5.2), ("peas", 9.0)] {
        add(winter, Price { what: what.into(), value, unit: "bu".into() }.into());
    }
    add(
        winter,
        ProteinPremium {
            buyer: "mill in town".into(),
            base_pct: 13.5,
            up_per_t_point: 10.0,
            down_per_t_point: 12.0,
            cap_pct: 15.0,
            step_pct: 0.1,
        }
        .into(),
    );
    let tank = DrillTank::new;
    add(
        date(YEAR - 3, 11, 20).at(19, 45, 0, 0),
        DrillSetUp {
            machine: "drill".into(),
            row_spacing_cm: in_to_mm(10.0) / 10.0,
            spread_cm: in_to_mm(1.5) / 10.0,
            double_disc: false,
            band: FertilizerPlacement::SideBand,
            tanks: vec![tank("seed", 5.3), tank("starter", 2.6), tank("band", 7.2)],
            refill_min: Some(30.0),
            liquid_m3: None,
            liquid_with_seed: false,
            anhydrous_m3: None,
        }
        .into(),
    );
    for (id, cultivar, tkw, germination, vigour, fusarium, treated) in [
        ("wheat-bin-3", "our own, bin 3", 36.5, 95.0, 91.0, 1.0, true),
        ("wheat-bin-5", "our own, bin 5", 33.0, 88.0, 80.0, 3.5, false),
    ] {
        add(
            date(YEAR, 1, 6).at(19, 0, 0, 0),
            SeedLot {
                id: id.into(),
                crop: Crop::SpringWheat,
                cultivar: Some(cultivar.into()),
                tkw_g: Some(tkw),
                germination_pct: Some(germination),
                vigour_pct: Some(vigour),
                treated,
                bin: treated.then(|| "bin-11".into()),
                fusarium_pct: Some(fusarium),
                on_hand_kg: Some(52_000.0),
            }
            .into(),
        );
    }
    add(
        date(YEAR - 1, 11, 12).at(20, 0, 0, 0),
        PlantBack {
            field: "gravel-pit".into(),
            product: "broadleaf herbicide with soil life".into(),
            applied: date(YEAR - 1, 6, 9),
            crop: Crop::Peas,
            months: 22.0,
            june_to_august_mm: Some(175.0),
        }
        .into(),
    );
    for (id, month, day, rates, with_seed) in PLANS {
        add(date(YEAR, month, day).at(20, 30, 0, 0), plan(id, rates, with_seed).into());
    }
    for (field, day) in seeded(before) {
        let Some((_, _, _, rates, with_seed)) = PLANS.iter().find(|p| p.0 == field.as_str()) else {
            continue;
        };
        let Some(record) = farm.fields.get(&field) else { continue };
        let on = went_on(&field, *rates, *with_seed, record.field().area_ha);
        // What stood in each tank at the end, by the tote scale.
        for (tank, in_row, left_kg) in [("starter", true, 140.0), ("band", false, 420.0)] {
            let sown: f64 = on.products.iter().filter(|p| p.with_seed == in_row).map(|p| p.kg).sum();
            add(
                day.at(21, 20, 0, 0),
                TankLeft {
                    field: field.clone(),
                    crop_year: YEAR,
                    tank: tank.into(),
                    filled_kg: sown + left_kg,
                    left_kg,
                    area_ha: None,
                }
                .into(),
            );
        }
        add(day.at(21, 10, 0, 0), on.into());
    }
    // Straw of last year's wheat for the barn's bedding.
    add(
        date(YEAR - 1, 9, 9).at(18, 0, 0, 0),
        StrawBaled { field: "gravel-pit".into(), bales: 210.0, bale_kg: 520.0 }.into(),
    );
    Ok(out)
}

fn plan(id: &str, [n, p, k, s]: [f64; 4], with_seed: f64) -> FertilizerPlan {
    let kg = lb_ac_to_kg_ha;
    FertilizerPlan {
        field: id.into(),
        crop_year: YEAR,
        n_kg_ha: kg(n),
        p2o5_kg_ha: kg(p),
        k2o_kg_ha: kg(k),
        s_kg_ha: kg(s),
        seed_row: Some(NutrientRates {
            n_kg_ha: kg((with_seed * 11.0 / 52.0).floor()),
            p2o5_kg_ha: kg(with_seed),
            ..NutrientRates::default()
        }),
        placement: FertilizerPlacement::SideBand,
        products: Vec::new(),
        target_yield_kg_ha: None,
        manure: None,
        why: None,
    }
}

/// Fields seeded whole, with the day.
fn seeded(entries: &[Entry]) -> Vec<(FieldId, Date)> {
    entries
        .iter()
        .filter_map(|e| match e.payload()? {
            Payload::Seeding(s) if s.done && e.on().year() == YEAR => Some((s.field.clone(), e.on())),
            _ => None,
        })
        .collect()
}

/// What the tank scales said: within a few percent of the plan, as meters are.
fn went_on(field: &FieldId, [n, p, k, s]: [f64; 4], with_seed: f64, area_ha: f64) -> FertilizerApplied {
    let off = 0.97 + 0.01 * (field.as_str().len() % 7) as f64;
    let kg = |lb: f64, pct: f64, along: f64| {
        ((lb_ac_to_kg_ha(lb) * 100.0 / pct * along * area_ha) / 10.0).round() * 10.0
    };
    let used = |product: &str, kg: f64, with_seed: bool| ProductUsed {
        product: product.into(),
        kg,
        with_seed,
        grade: None,
    };
    let along = p * 11.0 / 52.0 + s * 21.0 / 24.0;
    let mut products = vec![
        used("map", kg(with_seed, 52.0, 1.0), true),
        used("urea", kg((n - along).max(0.0), 46.0, off), false),
        used("ams", kg(s, 24.0, 1.0), false),
    ];
    if p > with_seed {
        products.push(used("map", kg(p - with_seed, 52.0, 1.0), false));
    }
    if k > 0.0 {
        products.push(used("potash", kg(k, 60.0, 1.0), false));
    }
    products.retain(|p| p.kg > 0.0);
    FertilizerApplied {
        field: field.clone(),
        crop_year: YEAR,
        products,
        area_ha: None,
        placement: Some(FertilizerPlacement::SideBand),
    }
}
