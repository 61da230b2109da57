//! Sees that the pages' files are built and stamps them.

use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};
use std::path::Path;

fn main() {
    let dist = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../web/dist");
    let mut stamp = DefaultHasher::new();
    for name in ["style.css", "desk.js", "hyperlegible-400.woff2", "hyperlegible-700.woff2"] {
        let path = dist.join(name);
        println!("cargo::rerun-if-changed={}", path.display());
        let Ok(bytes) = std::fs::read(&path) else {
            println!(
                "cargo::error=the pages' styles and scripts are not built yet: run ./run (or npm ci && npm run build in web/)"
            );
            return;
        };
        bytes.hash(&mut stamp);
    }
    println!("cargo::rustc-env=STOOK_WEB_STAMP={:016x}", stamp.finish());
}
