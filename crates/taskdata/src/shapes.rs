//! Field outlines from a shapefile (the 1998 public description): `.shp` with its `.dbf` and `.prj`.
//!
//! Only polygons, and only longitude and latitude: a file in another reference system is refused, since its corners
//! would land elsewhere.

use crate::TaskDataError;
use crate::prescription::{Outline, Ring};

/// An outline with its row of the table: column and text.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Outline.
    pub outline: Outline,
    /// Table row.
    pub row: Vec<(String, String)>,
}

/// Reads outlines.
///
/// # Errors
/// When the reference system is not stated or not longitude and latitude, or the file is not one of polygons.
pub fn shapes(shp: &[u8], dbf: Option<&[u8]>, prj: Option<&str>) -> Result<Vec<Shape>, TaskDataError> {
    let cannot = |text: String| TaskDataError::Cannot(text);
    let prj = prj.ok_or_else(|| {
        cannot("there is no .prj beside the .shp, so nobody knows where its corners are; export it again in longitude and latitude (WGS 84)".into())
    })?;
    let system = prj.trim_start().to_uppercase();
    if system.starts_with("PROJCS")
        || system.starts_with("PROJCRS")
        || !(system.contains("WGS") || system.contains("NORTH_AMERICAN_1983") || system.contains("NAD83"))
    {
        let name = prj.split('"').nth(1).unwrap_or("another system");
        return Err(cannot(format!(
            "the shapefile is in {name}; export it again in longitude and latitude (WGS 84)"
        )));
    }
    let short = || cannot("the .shp ends in the middle of a shape".into());
    let be = |at: usize| Some(u32::from_be_bytes(shp.get(at..at + 4)?.try_into().ok()?));
    let le = |at: usize| Some(u32::from_le_bytes(shp.get(at..at + 4)?.try_into().ok()?));
    let float = |at: usize| Some(f64::from_le_bytes(shp.get(at..at + 8)?.try_into().ok()?));
    if be(0) != Some(9994) {
        return Err(cannot("this is not a .shp file".into()));
    }
    let rows = dbf.map(table).transpose()?.unwrap_or_default();
    let mut out = Vec::new();
    let mut at = 100;
    let mut n = 0;
    while at + 8 <= shp.len() {
        let words = be(at + 4).ok_or_else(short)? as usize;
        let body = at + 8;
        let end = body + 2 * words;
        if end > shp.len() {
            return Err(short());
        }
        match le(body).ok_or_else(short)? {
            0 => {}
            5 | 15 | 25 => {
                let parts = le(body + 36).ok_or_else(short)? as usize;
                let points = le(body + 40).ok_or_else(short)? as usize;
                let first_point = body + 44 + 4 * parts;
                if first_point + 16 * points > end {
                    return Err(short());
                }
                let starts: Vec<usize> = (0..parts)
                    .map(|i| le(body + 44 + 4 * i).map(|x| x as usize).ok_or_else(short))
                    .collect::<Result<_, _>>()?;
                let mut rings: Vec<Ring> = Vec::new();
                for (i, &from) in starts.iter().enumerate() {
                    let to = starts.get(i + 1).copied().unwrap_or(points);
                    if from > to || to > points {
                        return Err(short());
                    }
                    let ring: Ring = (from..to)
                        .map(|k| Some((float(first_point + 16 * k)?, float(first_point + 16 * k + 8)?)))
                        .collect::<Option<_>>()
                        .ok_or_else(short)?;
                    if ring.iter().any(|(x, y)| !(x.abs() <= 180.0 && y.abs() <= 90.0)) {
                        return Err(cannot(
                            "a corner is not on the earth; the file is not in degrees".into(),
                        ));
                    }
                    rings.push(ring);
                }
                out.push(Shape { outline: polygons(rings), row: rows.get(n).cloned().unwrap_or_default() });
            }
            other => {
                return Err(cannot(format!(
                    "the shapefile holds shapes of type {other}; field outlines are polygons"
                )));
            }
        }
        n += 1;
        at = end;
    }
    Ok(out)
}

/// Twice the signed area: negative for a clockwise ring.
fn signed(ring: &Ring) -> f64 {
    let n = ring.len();
    (0..n).map(|i| ring[i].0 * ring[(i + 1) % n].1 - ring[(i + 1) % n].0 * ring[i].1).sum()
}

/// Outer rings run clockwise; a hole belongs to the outer ring it lies in. Turned about as GeoJSON wants them.
fn polygons(rings: Vec<Ring>) -> Outline {
    let (outer, holes): (Vec<Ring>, Vec<Ring>) = rings.into_iter().partition(|r| signed(r) <= 0.0);
    let turned = |mut r: Ring| {
        r.reverse();
        r
    };
    let mut out: Vec<Vec<Ring>> = outer.into_iter().map(|r| vec![turned(r)]).collect();
    for hole in holes {
        let Some(&(x, y)) = hole.first() else { continue };
        let home = out.iter().position(|p| Outline(vec![vec![p[0].clone()]]).holds(x, y));
        match home {
            Some(i) => out[i].push(turned(hole)),
            // Wound the wrong way by its writer: an outline all the same.
            None => out.push(vec![hole]),
        }
    }
    Outline(out)
}

/// Rows of a dBASE table as text.
fn table(b: &[u8]) -> Result<Vec<Vec<(String, String)>>, TaskDataError> {
    let short = || TaskDataError::Cannot("the .dbf ends too soon".into());
    let count = u32::from_le_bytes(b.get(4..8).ok_or_else(short)?.try_into().expect("four bytes")) as usize;
    let head = u16::from_le_bytes(b.get(8..10).ok_or_else(short)?.try_into().expect("two bytes")) as usize;
    let width = u16::from_le_bytes(b.get(10..12).ok_or_else(short)?.try_into().expect("two bytes")) as usize;
    let mut columns = Vec::new();
    let mut at = 32;
    while b.get(at).is_some_and(|x| *x != 0x0d) && at + 32 <= head {
        let name: String = b[at..at + 11].iter().take_while(|c| **c != 0).map(|c| char::from(*c)).collect();
        columns.push((name, usize::from(b[at + 16])));
        at += 32;
    }
    (0..count)
        .map(|i| {
            let row = b.get(head + i * width..head + (i + 1) * width).ok_or_else(short)?;
            let mut from = 1;
            columns
                .iter()
                .map(|(name, w)| {
                    let cell = row.get(from..from + w).ok_or_else(short)?;
                    from += w;
                    Ok((name.clone(), String::from_utf8_lossy(cell).trim().to_string()))
                })
                .collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const WGS: &str = "GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\"]]";

    fn file(rings: &[Ring]) -> Vec<u8> {
        let points: usize = rings.iter().map(Vec::len).sum();
        let mut body = 5_u32.to_le_bytes().to_vec();
        body.extend([0.0_f64; 4].iter().flat_map(|x| x.to_le_bytes()));
        body.extend((rings.len() as u32).to_le_bytes());
        body.extend((points as u32).to_le_bytes());
        let mut start = 0_u32;
        for r in rings {
            body.extend(start.to_le_bytes());
            start += r.len() as u32;
        }
        for (x, y) in rings.iter().flatten() {
            body.extend(x.to_le_bytes());
            body.extend(y.to_le_bytes());
        }
        let mut b = 9994_u32.to_be_bytes().to_vec();
        b.resize(100, 0);
        b.extend(1_u32.to_be_bytes());
        b.extend((body.len() as u32 / 2).to_be_bytes());
        b.extend(body);
        b
    }

    fn table_of(name: &str) -> Vec<u8> {
        let mut b = vec![3, 0, 0, 0];
        b.extend(1_u32.to_le_bytes());
        b.extend(65_u16.to_le_bytes());
        b.extend(13_u16.to_le_bytes());
        b.resize(32, 0);
        let mut column = b"NAME".to_vec();
        column.resize(11, 0);
        column.push(b'C');
        column.resize(16, 0);
        column.push(12);
        column.resize(32, 0);
        b.extend(column);
        b.push(0x0d);
        b.push(b' ');
        b.extend(format!("{name:<12}").into_bytes());
        b
    }

    /// Clockwise, as a shapefile wants its outer rings.
    fn square(w: f64, s: f64, side: f64) -> Ring {
        vec![(w, s), (w, s + side), (w + side, s + side), (w + side, s), (w, s)]
    }

    #[test]
    fn an_outline_with_a_slough_and_its_name() {
        let mut slough = square(-101.33, 50.11, 0.002);
        slough.reverse();
        let s = shapes(&file(&[square(-101.34, 50.10, 0.02), slough]), Some(&table_of("Tower")), Some(WGS))
            .unwrap();
        assert_eq!(s.len(), 1);
        assert_eq!(s[0].row, [("NAME".to_string(), "Tower".to_string())]);
        let o = &s[0].outline;
        assert_eq!((o.0.len(), o.0[0].len()), (1, 2));
        assert!(signed(&o.0[0][0]) > 0.0, "outer rings run counter-clockwise in GeoJSON");
        assert!(o.holds(-101.335, 50.105) && !o.holds(-101.329, 50.111));
    }

    #[test]
    fn what_cannot_be_placed_is_refused() {
        let f = file(&[square(-101.0, 50.0, 0.01)]);
        let e = |prj| shapes(&f, None, prj).unwrap_err().to_string();
        assert!(e(None).contains("no .prj"));
        assert!(e(Some("PROJCS[\"NAD_1983_UTM_Zone_14N\",GEOGCS[\"x\"]]")).contains("NAD_1983_UTM_Zone_14N"));
        assert!(shapes(&f[..120], None, Some(WGS)).is_err());
        assert!(shapes(b"PK", None, Some(WGS)).unwrap_err().to_string().contains("not a .shp"));
    }
}
