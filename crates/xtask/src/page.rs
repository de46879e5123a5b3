//! Building the page: the program, its glue, and the files beside it, in one folder.

use crate::route;
use crate::run::{Failed, cargo, root, run, say};
use flate2::Compression;
use flate2::write::GzEncoder;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use wasm_bindgen_cli_support::Bindgen;

/// The most that program, glue and style may weigh together, gzipped, in bytes.
pub const MOST_GZIPPED: u64 = 250_000;

/// Builds the page into `dist` and gives that folder.
///
/// # Errors
/// Whatever stopped it, in words.
pub fn build() -> Result<PathBuf, Failed> {
    let route = route::choose()?;
    let target = root().join("target/page");
    let target_text = target.to_string_lossy().into_owned();
    let mut args = vec!["build", "--package", "strungwell-web", "--profile", "page"];
    args.extend(&route.args);
    let mut with: Vec<(&str, &str)> = route.with.iter().map(|(k, v)| (*k, v.as_str())).collect();
    with.push(("CARGO_TARGET_DIR", &target_text));
    run(cargo(), &args, &with)?;
    let wasm = target.join("wasm32-unknown-unknown/page/strungwell-web.wasm");
    let dist = root().join("dist");
    write_dist(&wasm, &dist)
        .map_err(|why| format!("the page could not be written to {}: {why}", dist.display()))?;
    Ok(dist)
}

fn write_dist(wasm: &Path, dist: &Path) -> Result<(), Failed> {
    let said = |why: std::io::Error| why.to_string();
    if dist.exists() {
        fs::remove_dir_all(dist).map_err(said)?;
    }
    fs::create_dir_all(dist).map_err(said)?;
    let mut glue = Bindgen::new();
    glue.web(true)
        .and_then(|glue| {
            glue.input_path(wasm)
                .out_name("strungwell")
                .typescript(false)
                .remove_name_section(true)
                .remove_producers_section(true)
                .generate(dist)
        })
        .map_err(|why| format!("the glue could not be written: {why:#}"))?;
    for entry in fs::read_dir(root().join("web/assets")).map_err(said)? {
        let entry = entry.map_err(said)?;
        if entry.file_type().map_err(said)?.is_file() {
            fs::copy(entry.path(), dist.join(entry.file_name())).map_err(said)?;
        }
    }
    Ok(())
}

/// The gzipped size in bytes of program, glue and style together.
///
/// # Errors
/// When a file of the page cannot be read.
pub fn gzipped(dist: &Path) -> Result<u64, Failed> {
    let mut sum = 0;
    for entry in fs::read_dir(dist).map_err(|why| why.to_string())? {
        let path = entry.map_err(|why| why.to_string())?.path();
        if path
            .extension()
            .is_some_and(|e| e == "wasm" || e == "js" || e == "css")
        {
            let bytes = fs::read(&path).map_err(|why| format!("{}: {why}", path.display()))?;
            let mut zipped = GzEncoder::new(Vec::new(), Compression::best());
            zipped.write_all(&bytes).map_err(|why| why.to_string())?;
            sum += zipped.finish().map_err(|why| why.to_string())?.len() as u64;
        }
    }
    Ok(sum)
}

/// Weighs the page and refuses one that is too heavy.
///
/// # Errors
/// When it is.
pub fn weigh(dist: &Path) -> Result<(), Failed> {
    let bytes = gzipped(dist)?;
    say(&format!(
        "program, glue and style weigh {bytes} bytes gzipped (at most {MOST_GZIPPED})"
    ));
    if bytes > MOST_GZIPPED {
        Err("the page is too heavy".into())
    } else {
        Ok(())
    }
}
