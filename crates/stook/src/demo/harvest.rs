//! Harvest at Alder Bend: what hauls and dries, and what was found behind the combine.

use jiff::civil::{DateTime, date};
use stook_book::boundary::outer_points;
use stook_book::payload::{Crop, LossMeasure, Machine, MachineKind, PanTest, YieldMap};
use stook_book::{Entry, FieldId, MachineId, Payload};
use stook_measure::{Reference, units};
use stook_taskdata::place::M_PER_DEG;
use stook_taskdata::{Rules, YieldPoint, clean};

use super::YEAR;
use super::farm::entry;

const HAULING: &str = include_str!("../../../../demo/hauling.csv");

/// What a machine of the list holds and moves, and whether it unloads on the go.
pub fn carries(id: &str) -> (Option<f64>, Option<f64>, Option<bool>) {
    rows().find(|r| r[0] == id).map_or((None, None, None), |r| {
        (wheat_kg(&r[3]), wheat_kg(&r[4]), (!r[6].is_empty()).then(|| r[6] == "true"))
    })
}

fn rows() -> impl Iterator<Item = Vec<&'static str>> {
    HAULING.lines().skip(1).map(|l| l.split(',').collect())
}

fn wheat_kg(bushels: &str) -> Option<f64> {
    bushels.parse::<f64>().ok().map(|b| units::lb_to_kg(60.0 * b))
}

/// Machines that carry, move and dry, and the tests of the season.
pub fn entries() -> Vec<Entry> {
    let start = date(YEAR - 3, 11, 20).at(19, 45, 0, 0);
    let mut n = 50_000;
    let mut next = |at: DateTime, payload: stook_book::Payload| {
        n += 1;
        entry(at, n, payload)
    };
    let mut out = Vec::new();
    for r in rows().filter(|r| r[1] != "combine") {
        let (holds_kg, moves_kg_h, unloads_going) = carries(r[0]);
        let machine = Machine {
            id: MachineId::from(r[0]),
            kind: MachineKind::from_key(r[1]).expect("demo machines have a known kind"),
            name: r[2].into(),
            width_m: 0.0,
            speed_kmh: r[5].parse::<f64>().map(units::mph_to_kmh).unwrap_or(0.0),
            field_efficiency: None,
            hours_per_day: if r[1] == "drier" { 24.0 } else { 14.0 },
            holds_kg,
            moves_kg_h,
            unloads_going,
            tank_l: None,
        };
        out.push(next(start, machine.into()));
    }
    let square_foot = units::ft_to_m(1.0) * units::ft_to_m(1.0);
    // Day, hour, minute, field, behind, cut ground, standing, straw, chaff, mph.
    for (day, h, m, field, behind, cut, standing, straw, chaff, mph) in [
        (17, 14, 20, "long-90", 96.0, 15.0, 4.0, Some(25.0), Some(50.0), 4.0),
        (19, 14, 40, "slough-quarter", 210.0, 18.0, 5.0, Some(128.0), Some(55.0), 5.2),
    ] {
        let test = PanTest {
            field: FieldId::from(field),
            measure: LossMeasure::Kernels,
            area_m2: square_foot,
            behind,
            cut_ground: Some(cut),
            standing: Some(standing),
            from_separator: straw,
            from_shoe: chaff,
            discharge_m: Some(units::ft_to_m(5.0)),
            speed_kmh: Some(units::mph_to_kmh(mph)),
            yield_kg_ha: Some(units::bu_ac_to_kg_ha(if field == "long-90" { 54.0 } else { 51.0 }, 60.0)),
            tkw_g: None,
            seen: None,
        };
        out.push(next(date(YEAR, 8, day).at(h, m, 0, 0), test.into()));
    }
    out.push(next(date(YEAR, 8, 18).at(18, 10, 0, 0), yield_map().into()));
    out
}

/// What the combine's monitor wrote on Long 90: passes up and down, a knoll that burnt, a wet end, and the odd points
/// every monitor writes; cleaned as a farm's own would be.
fn yield_map() -> YieldMap {
    const PASS_M: f64 = 12.2;
    let wheat = stook_yard::CropFacts::of(&Reference::shipped(), &Crop::SpringWheat);
    let rules = Rules::from_reference(
        &Reference::shipped(),
        wheat.market_wb_pct.expect("wheat has a market moisture"),
    );
    let outline = super::farm::entries().iter().find_map(|e| match e.payload() {
        Some(Payload::Field(f)) if f.id.as_str() == "long-90" => f.boundary.clone(),
        _ => None,
    });
    let corners = outer_points(&outline.expect("Long 90 has an outline"));
    let bound = |pick: fn(f64, f64) -> f64, of: fn(&(f64, f64)) -> f64| {
        corners.iter().map(of).reduce(pick).expect("it has corners")
    };
    let (south, north) = (bound(f64::min, |c| c.0), bound(f64::max, |c| c.0));
    let (west, east) = (bound(f64::min, |c| c.1), bound(f64::max, |c| c.1));
    let metre = (1.0 / (M_PER_DEG * south.to_radians().cos()), 1.0 / M_PER_DEG);
    let (wide, tall) = ((east - west) / metre.0, (north - south) / metre.1);
    let mut points = Vec::new();
    let (mut t_s, mut up) = (0.0, true);
    let mut n = 0_u32;
    for pass in 0..(wide / PASS_M) as usize {
        let x = (pass as f64 + 0.5) * PASS_M;
        for step in 0..(tall / 4.0) as usize {
            let along = 4.0 * (step as f64 + 0.5);
            let y = if up { along } else { tall - along };
            n = n.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let odd = f64::from(n >> 16) / 65_536.0;
            let knoll = 900.0 * (-((x - 0.72 * wide).powi(2) + (y - 0.4 * tall).powi(2)) / 9_000.0).exp();
            let wet_end = 700.0 * (-(tall - y) / 60.0).exp();
            let kg_ha = if odd < 0.004 {
                30_000.0
            } else {
                2_640.0 + 260.0 * (x / 90.0).sin() - knoll - wet_end + 300.0 * (odd - 0.5)
            };
            points.push(YieldPoint {
                t_s,
                lon: west + x * metre.0,
                lat: south + y * metre.1,
                kg_ha,
                moisture_pct: Some(14.0 + odd),
            });
            t_s += 2.0;
        }
        t_s += 25.0;
        up = !up;
    }
    let c = clean(&points, &rules, Some(PASS_M));
    let square_m = Reference::shipped().get("taskdata.map.square_m");
    stook_desk::yield_map(&c, &rules, square_m, FieldId::from("long-90"), Crop::SpringWheat, YEAR)
}
