//! A prescription: one field, one product, treatment zones on a grid.

use std::fmt::Write as _;

use crate::units::{grid_bytes, kg_ha_to_mg_m2};
use crate::{TaskDataError, ddi};

/// A ring of corners, longitude and latitude, degrees.
pub type Ring = Vec<(f64, f64)>;

/// Polygons, each its outer ring and then its holes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outline(pub Vec<Vec<Ring>>);

impl Outline {
    /// Whether a point is inside, by counting the sides a ray crosses.
    pub fn holds(&self, lon: f64, lat: f64) -> bool {
        self.0.iter().any(|polygon| {
            let crossings = polygon.iter().map(|ring| crossings(ring, lon, lat)).sum::<usize>();
            crossings % 2 == 1
        })
    }

    /// West, south, east, north; `None` when empty.
    pub fn bounds(&self) -> Option<(f64, f64, f64, f64)> {
        let mut points = self.0.iter().flatten().flatten();
        let &(x, y) = points.next()?;
        Some(points.fold((x, y, x, y), |b, &(x, y)| (b.0.min(x), b.1.min(y), b.2.max(x), b.3.max(y))))
    }
}

fn crossings(ring: &Ring, lon: f64, lat: f64) -> usize {
    let n = ring.len();
    (0..n)
        .filter(|&i| {
            let ((x1, y1), (x2, y2)) = (ring[i], ring[(i + 1) % n]);
            (y1 > lat) != (y2 > lat) && lon < (x2 - x1) * (lat - y1) / (y2 - y1) + x1
        })
        .count()
}

/// A treatment zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// Name.
    pub name: String,
    /// Rate, kg/ha.
    pub rate_kg_ha: f64,
    /// Where; empty for the rest of the field.
    pub outline: Outline,
}

/// A prescription.
#[derive(Debug, Clone, PartialEq)]
pub struct Prescription {
    /// Farm.
    pub farm: String,
    /// Field.
    pub field: String,
    /// Its area, m2.
    pub area_m2: f64,
    /// Its outline.
    pub outline: Outline,
    /// Product.
    pub product: String,
    /// Task.
    pub task: String,
    /// Zones; the first that holds a cell's middle gives its rate.
    pub zones: Vec<Zone>,
    /// Side of a cell, m.
    pub cell_m: f64,
}

/// Files of the TASKDATA folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Files {
    /// TASKDATA.XML.
    pub xml: String,
    /// GRD00001.bin.
    pub grid: Vec<u8>,
    /// Columns and rows of the grid.
    pub size: (usize, usize),
}

/// Name of the grid in the XML; its file adds `.bin`.
pub const GRID: &str = "GRD00001";

/// Writes a prescription: planned task, zone 0 outside the field at no rate, a type 1 grid from the south-west corner
/// eastward and then north.
///
/// # Errors
/// When there is no outline, no zone, too many zones, or a rate or cell that cannot be.
pub fn prescription(p: &Prescription) -> Result<Files, TaskDataError> {
    let cannot = |text: &str| Err(TaskDataError::Cannot(text.into()));
    let Some((west, south, east, north)) = p.outline.bounds() else {
        return cannot("the field has no outline; bring in its boundary first");
    };
    if p.zones.is_empty() {
        return cannot("give at least one rate");
    }
    if p.zones.len() > 254 {
        return cannot("task data knows 254 zones; merge some");
    }
    if p.zones.iter().any(|z| !(0.0..=20_000.0).contains(&z.rate_kg_ha)) {
        return cannot("a rate should be 0 to 20,000 kg/ha");
    }
    if !(1.0..=200.0).contains(&p.cell_m) {
        return cannot("a cell should be 1 to 200 m");
    }
    // Degrees a cell, from the ellipsoid's mean radius; good to a part in 200.
    const M_PER_DEG: f64 = 111_195.0;
    let (cell_lat, cell_lon) =
        (p.cell_m / M_PER_DEG, p.cell_m / (M_PER_DEG * (0.5 * (south + north)).to_radians().cos()));
    let columns = (((east - west) / cell_lon).ceil() as usize).max(1);
    let rows = (((north - south) / cell_lat).ceil() as usize).max(1);
    if columns * rows > 4_000_000 {
        return cannot("the grid would hold more than four million cells; take larger ones");
    }
    let mut grid = Vec::with_capacity(columns * rows);
    for row in 0..rows {
        for column in 0..columns {
            let (lon, lat) = (west + (column as f64 + 0.5) * cell_lon, south + (row as f64 + 0.5) * cell_lat);
            let code = if p.outline.holds(lon, lat) {
                p.zones
                    .iter()
                    .position(|z| z.outline.0.is_empty() || z.outline.holds(lon, lat))
                    .map_or(0, |i| i as u8 + 1)
            } else {
                0
            };
            grid.push(code);
        }
    }
    debug_assert_eq!(grid.len(), grid_bytes(1, columns, rows, 1));

    let mut x = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    x.push_str("<ISO11783_TaskData VersionMajor=\"4\" VersionMinor=\"3\" ManagementSoftwareManufacturer=\"Stook\" ManagementSoftwareVersion=\"0.1\" DataTransferOrigin=\"1\">\n");
    let farm = name(&p.farm);
    let _ = writeln!(x, "  <CTR A=\"CTR1\" B=\"{farm}\"/>");
    let _ = writeln!(x, "  <FRM A=\"FRM1\" B=\"{farm}\" I=\"CTR1\"/>");
    let _ = writeln!(x, "  <PDT A=\"PDT1\" B=\"{}\"/>", name(&p.product));
    let _ = writeln!(
        x,
        "  <PFD A=\"PFD1\" C=\"{}\" D=\"{:.0}\" E=\"CTR1\" F=\"FRM1\">",
        name(&p.field),
        p.area_m2.max(0.0)
    );
    for polygon in &p.outline.0 {
        x.push_str("    <PLN A=\"1\">\n");
        for (i, ring) in polygon.iter().enumerate() {
            let _ = writeln!(x, "      <LSG A=\"{}\">", if i == 0 { 1 } else { 2 });
            for (lon, lat) in ring {
                let _ = writeln!(x, "        <PNT A=\"2\" C=\"{lat:.9}\" D=\"{lon:.9}\"/>");
            }
            x.push_str("      </LSG>\n");
        }
        x.push_str("    </PLN>\n");
    }
    x.push_str("  </PFD>\n");
    let _ = writeln!(
        x,
        "  <TSK A=\"TSK1\" B=\"{}\" C=\"CTR1\" D=\"FRM1\" E=\"PFD1\" G=\"1\" H=\"1\" I=\"0\" J=\"0\">",
        name(&p.task)
    );
    let mut zone = |code: usize, label: &str, kg_ha: f64| {
        let _ = writeln!(x, "    <TZN A=\"{code}\" B=\"{}\">", name(label));
        let _ = writeln!(
            x,
            "      <PDV A=\"{:04X}\" B=\"{:.0}\" C=\"PDT1\"/>",
            ddi::SETPOINT_MASS_PER_AREA,
            kg_ha_to_mg_m2(kg_ha)
        );
        x.push_str("    </TZN>\n");
    };
    zone(0, "outside", 0.0);
    for (i, z) in p.zones.iter().enumerate() {
        zone(i + 1, &z.name, z.rate_kg_ha);
    }
    let _ = writeln!(
        x,
        "    <GRD A=\"{south:.9}\" B=\"{west:.9}\" C=\"{cell_lat:.12}\" D=\"{cell_lon:.12}\" E=\"{columns}\" F=\"{rows}\" G=\"{GRID}\" H=\"{}\" I=\"1\"/>",
        grid.len()
    );
    x.push_str("  </TSK>\n</ISO11783_TaskData>\n");
    Ok(Files { xml: x, grid, size: (columns, rows) })
}

/// A designator: escaped, at most 32 characters.
fn name(text: &str) -> String {
    let short: String = text.trim().chars().take(32).collect();
    quick_xml::escape::escape(short).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn square(w: f64, s: f64, e: f64, n: f64) -> Outline {
        Outline(vec![vec![vec![(w, s), (e, s), (e, n), (w, n), (w, s)]]])
    }

    fn field() -> Prescription {
        Prescription {
            farm: "Alder & Bend".into(),
            field: "Tower".into(),
            area_m2: 640_000.0,
            outline: square(-101.35, 50.10, -101.338, 50.107),
            product: "46-0-0".into(),
            task: "urea on Tower".into(),
            zones: vec![
                Zone {
                    name: "knoll".into(),
                    rate_kg_ha: 60.0,
                    outline: square(-101.35, 50.10, -101.344, 50.107),
                },
                Zone { name: "rest".into(), rate_kg_ha: 110.0, outline: Outline::default() },
            ],
            cell_m: 20.0,
        }
    }

    #[test]
    fn it_is_read_back_as_written() {
        let files = prescription(&field()).unwrap();
        let back = crate::read(&files.xml).unwrap();
        assert_eq!(back.fields[0].name, "Tower");
        assert_eq!(back.fields[0].outline.0[0][0].len(), 5);
        let task = &back.tasks[0];
        assert_eq!((task.status, task.field.as_deref()), (1, Some("PFD1")));
        assert_eq!(task.zones.len(), 3);
        // 100 kg/ha is 10,000 mg/m2.
        assert_eq!(task.zones[2].rates[0], (ddi::SETPOINT_MASS_PER_AREA, 11_000));
        let grid = task.grid.as_ref().unwrap();
        assert_eq!(grid.columns * grid.rows, files.grid.len());
        assert_eq!(grid.check(files.grid.len()), Ok(()));
        assert!(grid.check(7).is_err());
        assert_eq!(back.farm.as_deref(), Some("Alder & Bend"));
    }

    #[test]
    fn the_grid_runs_east_then_north_and_halves_as_drawn() {
        let f = prescription(&field()).unwrap();
        let (columns, rows) = f.size;
        let at = |c: usize, r: usize| f.grid[r * columns + c];
        assert_eq!((at(0, 0), at(columns - 2, 0)), (1, 2));
        assert_eq!((at(0, rows - 2), at(columns - 2, rows - 2)), (1, 2));
        let share = f.grid.iter().filter(|c| **c == 1).count() as f64
            / f.grid.iter().filter(|c| **c > 0).count() as f64;
        assert!((share - 0.5).abs() < 0.03, "{share}");
    }

    #[test]
    fn what_cannot_be_is_said() {
        let e = |p: Prescription| prescription(&p).unwrap_err().to_string();
        assert!(e(Prescription { outline: Outline::default(), ..field() }).contains("no outline"));
        assert!(e(Prescription { zones: vec![], ..field() }).contains("at least one rate"));
        assert!(e(Prescription { cell_m: 0.1, ..field() }).contains("1 to 200 m"));
    }

    proptest! {
        #[test]
        fn the_mean_rate_is_between_the_rates(low in 0.0..100.0f64, high in 100.0..300.0f64, cell in 5.0..60.0f64) {
            let mut p = field();
            p.zones[0].rate_kg_ha = low;
            p.zones[1].rate_kg_ha = high;
            p.cell_m = cell;
            let f = prescription(&p).unwrap();
            prop_assert!(f.grid.iter().all(|c| *c <= 2));
            let inside: Vec<f64> = f.grid.iter().filter(|c| **c > 0).map(|c| p.zones[usize::from(*c) - 1].rate_kg_ha).collect();
            let mean = inside.iter().sum::<f64>() / inside.len() as f64;
            prop_assert!((low..=high).contains(&mean));
        }
    }
}
