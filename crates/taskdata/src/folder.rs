//! A TASKDATA folder, as it comes from a terminal: loose files, or packed into one archive.

use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};

use crate::applied::{Applied, applied};
use crate::clean::{Cleaned, Rules, clean, points, width_m};
use crate::log::{TimeLog, read_log};
use crate::read::{Task, TaskData, read};
use crate::{TaskDataError, ddi};

/// The most an archive may unpack to, bytes: a season of logs is some tens of megabytes.
const MOST: u64 = 512 * 1024 * 1024;

/// Files by name, in small letters, folders left off: terminals write names in either case.
#[derive(Debug, Clone, Default)]
pub struct Folder(BTreeMap<String, Vec<u8>>);

/// What a task did.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// The task.
    pub task: Task,
    /// Field's name in the file; empty when it names none.
    pub field: String,
    /// First and last record, seconds since 1 January 1980.
    pub span_s: Option<(f64, f64)>,
    /// Records.
    pub records: usize,
    /// Yield, cleaned, when a combine wrote it.
    pub yielded: Option<Cleaned>,
    /// What a drill or spreader put on, each with the product's name where the file gives it.
    pub applied: Vec<(Applied, Option<String>)>,
}

impl Folder {
    /// From files as they were chosen; an archive among them is unpacked.
    ///
    /// # Errors
    /// When an archive cannot be read.
    pub fn of(files: impl IntoIterator<Item = (String, Vec<u8>)>) -> Result<Self, TaskDataError> {
        let mut out = Self::default();
        for (name, bytes) in files {
            if bytes.starts_with(b"PK\x03\x04") { out.unpack(bytes)? } else { out.put(&name, bytes) }
        }
        Ok(out)
    }

    fn put(&mut self, name: &str, bytes: Vec<u8>) {
        let short = name.rsplit(['/', '\\']).next().unwrap_or(name);
        self.0.insert(short.to_lowercase(), bytes);
    }

    fn unpack(&mut self, bytes: Vec<u8>) -> Result<(), TaskDataError> {
        let bad =
            |e: &dyn std::fmt::Display| TaskDataError::Cannot(format!("the archive cannot be read: {e}"));
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|e| bad(&e))?;
        let mut left = MOST;
        for i in 0..archive.len() {
            let file = archive.by_index(i).map_err(|e| bad(&e))?;
            if !file.is_file() {
                continue;
            }
            let name = file.name().map_err(|e| bad(&e))?.into_owned();
            let mut out = Vec::new();
            // What its header says of its size is not believed.
            file.take(left + 1).read_to_end(&mut out).map_err(|e| bad(&e))?;
            left = left.checked_sub(out.len() as u64).ok_or_else(|| {
                TaskDataError::Cannot(
                    "the archive unpacks to more than half a gigabyte; send one field at a time".into(),
                )
            })?;
            self.put(&name, out);
        }
        Ok(())
    }

    /// One archive of everything, for keeping.
    ///
    /// # Errors
    /// When it cannot be packed.
    pub fn pack(&self) -> Result<Vec<u8>, TaskDataError> {
        pack(self.0.iter().map(|(n, b)| (n.as_str(), b.as_slice())))
    }

    /// A file by name, in either case.
    pub fn file(&self, name: &str) -> Option<&[u8]> {
        self.0.get(&name.to_lowercase()).map(Vec::as_slice)
    }

    /// The first file whose name ends so.
    pub fn ending(&self, end: &str) -> Option<&[u8]> {
        self.0.iter().find(|(n, _)| n.ends_with(end)).map(|(_, b)| b.as_slice())
    }

    fn needed(&self, name: &str) -> Result<&[u8], TaskDataError> {
        self.file(name).ok_or_else(|| {
            TaskDataError::Cannot(format!(
                "there is no {name} among the files; choose every file of the TASKDATA folder"
            ))
        })
    }

    /// What the tasks did: yield cleaned by the rules, and what was put on.
    ///
    /// # Errors
    /// When a file is missing or cannot be read.
    pub fn done(&self, rules: &Rules) -> Result<(TaskData, Vec<Done>), TaskDataError> {
        let data = read(&String::from_utf8_lossy(self.needed("TASKDATA.XML")?))?;
        let done = data.tasks.iter().map(|t| self.task(&data, t, rules)).collect::<Result<_, _>>()?;
        Ok((data, done))
    }

    /// What one task did.
    ///
    /// # Errors
    /// When a file of it is missing or cannot be read.
    pub fn task(&self, data: &TaskData, t: &Task, rules: &Rules) -> Result<Done, TaskDataError> {
        let mut out = Done {
            task: t.clone(),
            field: t
                .field
                .as_ref()
                .and_then(|id| data.fields.iter().find(|f| f.id == *id))
                .map_or_else(String::new, |f| f.name.clone()),
            span_s: None,
            records: 0,
            yielded: None,
            applied: Vec::new(),
        };
        let (mut raw, mut width) = (Vec::new(), None);
        for name in &t.logs {
            let log = self.log(name)?;
            out.records += log.records.len();
            for s in log.records.iter().map(crate::LogRecord::seconds) {
                let (from, to) = out.span_s.unwrap_or((s, s));
                out.span_s = Some((from.min(s), to.max(s)));
            }
            if log.has(ddi::YIELD_PER_AREA) {
                width = width.into_iter().chain(width_m(&log)).reduce(f64::max);
                raw.extend(points(&log));
            } else {
                out.applied.extend(applied(&log).into_iter().map(|a| {
                    let product =
                        t.product_of(&a.element).and_then(|id| data.product(id)).map(str::to_string);
                    (a, product)
                }));
            }
        }
        if !raw.is_empty() {
            raw.sort_by(|a, b| a.t_s.total_cmp(&b.t_s));
            out.yielded = Some(clean(&raw, rules, width));
        }
        Ok(out)
    }

    fn log(&self, name: &str) -> Result<TimeLog, TaskDataError> {
        let header = self.needed(&format!("{name}.xml"))?;
        read_log(name, &String::from_utf8_lossy(header), self.needed(&format!("{name}.bin"))?)
    }
}

/// Packs files into an archive.
///
/// # Errors
/// When it cannot be written.
pub fn pack<'a>(files: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> Result<Vec<u8>, TaskDataError> {
    let bad =
        |e: &dyn std::fmt::Display| TaskDataError::Cannot(format!("the archive cannot be written: {e}"));
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Deflated);
    for (name, bytes) in files {
        archive.start_file(name, options).map_err(|e| bad(&e))?;
        archive.write_all(bytes).map_err(|e| bad(&e))?;
    }
    Ok(archive.finish().map_err(|e| bad(&e))?.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;
    use stook_measure::Reference;

    fn rules() -> Rules {
        Rules::from_reference(&Reference::shipped(), 14.5)
    }

    const XML: &str = r#"<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="2">
        <PDT A="PDT1" B="Urea"/><PFD A="PFD1" C="Tower" D="640000"/>
        <TSK A="TSK1" B="Combine Tower" E="PFD1" G="4"><TLG A="TLG00001" C="1"/></TSK>
        <TSK A="TSK2" B="Seed Tower" E="PFD1" G="4"><PAN A="PDT1" E="DET2"/><TLG A="TLG00002" C="1"/></TSK>
    </ISO11783_TaskData>"#;

    fn log(fields: &str, values: &[i32], n: u32) -> (String, Vec<u8>) {
        let header = format!("<TIM A=\"\" D=\"4\"><PTN A=\"\" B=\"\" D=\"\"/>{fields}</TIM>");
        let mut b = Vec::new();
        for i in 0..n {
            b.extend((36_000_000 + 1000 * i).to_le_bytes());
            b.extend(17_000_u16.to_le_bytes());
            b.extend((501_000_000 + 180 * i as i32).to_le_bytes());
            b.extend((-1_013_000_000_i32).to_le_bytes());
            b.push(4);
            b.push(values.len() as u8);
            for (k, v) in values.iter().enumerate() {
                b.push(k as u8);
                b.extend(v.to_le_bytes());
            }
        }
        (header, b)
    }

    fn files() -> Vec<(String, Vec<u8>)> {
        let a = log(
            "<DLV A=\"0054\" B=\"\" C=\"DET1\"/><DLV A=\"0063\" B=\"\" C=\"DET1\"/>",
            &[300_000, 145_000],
            120,
        );
        let b = log(
            "<DLV A=\"0007\" B=\"\" C=\"DET2\"/><DLV A=\"0043\" B=\"\" C=\"DET1\"/>",
            &[11_000, 15_000],
            60,
        );
        vec![
            ("TASKDATA/TaskData.xml".into(), XML.as_bytes().to_vec()),
            ("TASKDATA/TLG00001.XML".into(), a.0.into_bytes()),
            ("TASKDATA/TLG00001.BIN".into(), a.1),
            ("TLG00002.xml".into(), b.0.into_bytes()),
            ("TLG00002.bin".into(), b.1),
        ]
    }

    #[test]
    fn a_folder_is_read_loose_or_packed() {
        let loose = Folder::of(files()).unwrap();
        let packed = Folder::of([("x.zip".to_string(), loose.pack().unwrap())]).unwrap();
        for f in [loose, packed] {
            let (data, done) = f.done(&rules()).unwrap();
            assert_eq!(data.fields.len(), 1);
            let y = done[0].yielded.as_ref().unwrap();
            assert_eq!(
                (done[0].field.as_str(), done[0].records, y.points.len()),
                ("Tower", 120, 120 - 12 - 6 - 4)
            );
            assert!((y.mean_kg_ha - 3000.0).abs() < 1e-6);
            let (a, product) = &done[1].applied[0];
            assert_eq!(product.as_deref(), Some("Urea"));
            assert!((a.rate_kg_ha - 110.0).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_missing_is_named() {
        let e = |files: Vec<(String, Vec<u8>)>| {
            Folder::of(files).and_then(|f| f.done(&rules())).unwrap_err().to_string()
        };
        assert!(e(vec![]).contains("no TASKDATA.XML"));
        assert!(e(files()[..2].to_vec()).contains("TLG00001.bin"));
        assert!(e(vec![("x.zip".into(), b"PK\x03\x04nothing".to_vec())]).contains("archive cannot be read"));
    }
}
