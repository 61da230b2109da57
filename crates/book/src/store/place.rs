//! Putting a finished file under its name without ever overwriting one.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::StoreError;

/// Where to build the file that shall become `to`, which must not exist.
pub(super) fn part_name(to: &Path) -> Result<PathBuf, StoreError> {
    if to.exists() {
        return Err(StoreError::Exists(to.into()));
    }
    let mut name = to.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}.part", std::process::id()));
    let part = to.with_file_name(name);
    match std::fs::remove_file(&part) {
        Err(why) if why.kind() != ErrorKind::NotFound => Err(StoreError::File { path: part, why }),
        _ => Ok(part),
    }
}

/// Gives the finished `part` its name, so that a half-written file never carries it.
pub(super) fn put(part: &Path, to: &Path) -> Result<(), StoreError> {
    let file_error = |why| StoreError::File { path: to.into(), why };
    // A link refuses to overwrite, where a rename would not; a memory stick may know no links.
    match std::fs::hard_link(part, to) {
        Ok(()) => std::fs::remove_file(part).map_err(file_error)?,
        Err(why) if why.kind() == ErrorKind::AlreadyExists => {
            std::fs::remove_file(part).map_err(file_error)?;
            return Err(StoreError::Exists(to.into()));
        }
        Err(_) => std::fs::rename(part, to).map_err(file_error)?,
    }
    #[cfg(unix)]
    {
        let folder = match to.parent() {
            Some(p) if !p.as_os_str().is_empty() => p,
            _ => Path::new("."),
        };
        // The name itself must survive a power cut too.
        std::fs::File::open(folder).and_then(|f| f.sync_all()).map_err(file_error)?;
    }
    Ok(())
}
