//! Building the page: the program, its glue, and the files beside it, in one folder.

use crate::route;
use crate::run::{Failed, cargo, root, run, say, target};
use flate2::Compression;
use flate2::write::GzEncoder;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use wasm_bindgen_cli_support::Bindgen;

/// What program, glue and style should weigh together at most, gzipped, in bytes. More is said, not refused.
pub const WANTED_GZIPPED: u64 = 250_000;

/// From this weight on the page is refused.
pub const MOST_GZIPPED: u64 = 900_000;

/// How the page is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Build {
    /// As it is handed out: small and quick.
    Whole,
    /// In a fraction of the time, several times as heavy: for looking at a change.
    Rough,
}

impl Build {
    fn profile(self) -> &'static str {
        match self {
            Self::Whole => "page",
            Self::Rough => "rough",
        }
    }
}

/// Builds the page into `dist` and gives that folder.
///
/// # Errors
/// Whatever stopped it, in words.
pub fn build() -> Result<PathBuf, Failed> {
    build_as(Build::Whole)
}

/// Builds the page, one way or the other, into `dist` and gives that folder.
///
/// # Errors
/// Whatever stopped it, in words.
pub fn build_as(build: Build) -> Result<PathBuf, Failed> {
    build_into(
        "strungwell-web",
        &root().join("web/assets"),
        root().join("dist"),
        build,
    )
}

/// Builds a program for the browser and writes it with its glue and the files beside it into a folder, as `strungwell.js`
/// and `strungwell_bg.wasm`.
///
/// # Errors
/// Whatever stopped it, in words.
pub fn build_into(
    package: &str,
    assets: &Path,
    folder: PathBuf,
    build: Build,
) -> Result<PathBuf, Failed> {
    let route = route::choose()?;
    // A target folder of its own: another compiler and other flags would make native builds start over.
    let target = target().join("page");
    let target_text = target.to_string_lossy().into_owned();
    let mut args = vec!["build", "--package", package, "--profile", build.profile()];
    args.extend(&route.args);
    let mut with: Vec<(&str, &str)> = route.with.iter().map(|(k, v)| (*k, v.as_str())).collect();
    with.push(("CARGO_TARGET_DIR", &target_text));
    run(cargo(), &args, &with)?;
    let wasm = target.join(format!(
        "wasm32-unknown-unknown/{}/{package}.wasm",
        build.profile()
    ));
    say("writing the page's folder");
    write_dist(&wasm, assets, &folder).map_err(|why| {
        format!(
            "the page could not be written to {}: {why}",
            folder.display()
        )
    })?;
    Ok(folder)
}

/// Writes the folder beside the wanted one and swaps them at the end, so that a build that fails leaves the last page standing.
fn write_dist(wasm: &Path, assets: &Path, dist: &Path) -> Result<(), Failed> {
    let said = |why: io::Error| why.to_string();
    let fresh = dist.with_extension(format!("new-{}", std::process::id()));
    remove(&fresh).map_err(said)?;
    let written = write_files(wasm, assets, &fresh);
    let swapped = written.and_then(|()| {
        remove(dist).map_err(said)?;
        fs::rename(&fresh, dist).map_err(said)
    });
    if swapped.is_err() {
        let _ = remove(&fresh);
    }
    swapped
}

fn write_files(wasm: &Path, assets: &Path, folder: &Path) -> Result<(), Failed> {
    fs::create_dir_all(folder).map_err(|why| why.to_string())?;
    Bindgen::new()
        .web(true)
        .and_then(|glue| {
            glue.input_path(wasm)
                .out_name("strungwell")
                .typescript(false)
                .remove_name_section(true)
                .remove_producers_section(true)
                .generate(folder)
        })
        .map_err(|why| format!("the glue could not be written: {why:#}"))?;
    copy_all(assets, folder).map_err(|why| format!("{}: {why}", assets.display()))?;
    stamp(folder).map_err(|why| format!("{}: {why}", folder.display()))
}

/// Where a file of the page names the build.
const STAMP: &str = "{stamp}";

/// Where a file of the page lists all the others.
const FILES: &str = "{files}";

/// Names the build in the files that ask for it, and lists the files with their lengths and checksums where that is asked for: the
/// page's own keeper tells a newer page from an older one by this name, so it comes from all files' contents, and by the list it
/// knows a file of another build.
fn stamp(folder: &Path) -> io::Result<()> {
    let mut names: Vec<PathBuf> = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        if entry.file_type()?.is_file() {
            names.push(entry.path());
        }
    }
    names.sort();
    let mut sum = flate2::Crc::new();
    for name in &names {
        sum.update(&fs::read(name)?);
    }
    let stamp = format!("{:08x}", sum.sum());
    let with = |word: &str, text: &str| -> io::Result<()> {
        let scripts = names
            .iter()
            .filter(|n| n.extension().is_some_and(|e| e == "js"));
        for name in scripts {
            let before = fs::read_to_string(name)?;
            if before.contains(word) {
                fs::write(name, before.replace(word, text))?;
            }
        }
        Ok(())
    };
    with(STAMP, &stamp)?;
    let mut lines = Vec::new();
    for path in &names {
        let bytes = fs::read(path)?;
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        // The one that lists the others cannot list itself; the browser keeps it by itself.
        if String::from_utf8_lossy(&bytes).contains(FILES) {
            continue;
        }
        let mut sum = flate2::Crc::new();
        sum.update(&bytes);
        let line = |name: &str| format!("  \"./{name}\": [{}, {}]", bytes.len(), sum.sum());
        lines.push(line(&name));
        if name == "index.html" {
            lines.push(line(""));
        }
    }
    with(FILES, &format!("{{\n{}\n}}", lines.join(",\n")))
}

fn remove(folder: &Path) -> io::Result<()> {
    if folder.exists() {
        fs::remove_dir_all(folder)?;
    }
    Ok(())
}

fn copy_all(from: &Path, to: &Path) -> io::Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let name = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy_all(&entry.path(), &name)?;
        } else {
            fs::copy(entry.path(), name)?;
        }
    }
    Ok(())
}

/// The gzipped size in bytes of program, glue and style together.
///
/// # Errors
/// When a file of the page cannot be read.
pub fn gzipped(dist: &Path) -> Result<u64, Failed> {
    gzipped_under(dist).map_err(|why| format!("{}: {why}", dist.display()))
}

fn gzipped_under(folder: &Path) -> io::Result<u64> {
    let mut sum = 0;
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            sum += gzipped_under(&path)?;
        } else if path
            .extension()
            .is_some_and(|e| e == "wasm" || e == "js" || e == "css")
        {
            let mut zipped = GzEncoder::new(Vec::new(), Compression::best());
            zipped.write_all(&fs::read(&path)?)?;
            sum += zipped.finish()?.len() as u64;
        }
    }
    Ok(sum)
}

/// Weighs the page, says what it weighs, and refuses one that is far too heavy.
///
/// # Errors
/// When it is.
pub fn weigh(dist: &Path) -> Result<(), Failed> {
    let bytes = gzipped(dist)?;
    say(&format!(
        "program, glue and style weigh {bytes} bytes gzipped (wanted at most {WANTED_GZIPPED}, refused over {MOST_GZIPPED})"
    ));
    if bytes > MOST_GZIPPED && !route::builds_small() {
        say(
            "the standard library came ready and makes the page heavier than it is handed out; not refused for that",
        );
        Ok(())
    } else if bytes > MOST_GZIPPED {
        Err(format!(
            "the page is {} bytes too heavy",
            bytes - MOST_GZIPPED
        ))
    } else {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder that goes when the test ends.
    struct Scratch(PathBuf);

    impl Scratch {
        fn new(name: &str) -> Self {
            let folder =
                std::env::temp_dir().join(format!("strungwell-{name}-{}", std::process::id()));
            remove(&folder).unwrap();
            fs::create_dir_all(&folder).unwrap();
            Self(folder)
        }
    }

    impl Drop for Scratch {
        fn drop(&mut self) {
            let _ = remove(&self.0);
        }
    }

    #[test]
    fn a_build_that_fails_leaves_the_last_page() {
        let scratch = Scratch::new("dist");
        let dist = scratch.0.join("dist");
        let assets = scratch.0.join("assets");
        fs::create_dir_all(&dist).unwrap();
        fs::create_dir_all(&assets).unwrap();
        fs::write(dist.join("index.html"), "the last page").unwrap();
        let wasm = scratch.0.join("cut-short.wasm");
        fs::write(&wasm, b"\0asm").unwrap();
        assert!(write_dist(&wasm, &assets, &dist).is_err());
        assert_eq!(
            fs::read_to_string(dist.join("index.html")).unwrap(),
            "the last page"
        );
        assert_eq!(fs::read_dir(&scratch.0).unwrap().count(), 3);
    }

    #[test]
    fn a_build_is_named_by_its_contents() {
        let scratch = Scratch::new("stamp");
        let named = |css: &str| {
            let worker = "const STAMP = \"{stamp}\";\nconst FILES = {files};";
            fs::write(scratch.0.join("worker.js"), worker).unwrap();
            fs::write(scratch.0.join("index.html"), "x").unwrap();
            fs::write(scratch.0.join("style.css"), css).unwrap();
            stamp(&scratch.0).unwrap();
            fs::read_to_string(scratch.0.join("worker.js")).unwrap()
        };
        let one = named("a{}");
        assert!(!one.contains(STAMP) && one.starts_with("const STAMP = \""));
        // The checksum of "x" is the one that the ZIP format gives it.
        for file in [
            "\"./\": [1, 2363233923]",
            "\"./index.html\": [1, ",
            "\"./style.css\": [3, ",
        ] {
            assert!(one.contains(file), "{file} in {one}");
        }
        assert!(!one.contains("worker.js"), "{one}");
        assert_eq!(named("a{}"), one);
        assert_ne!(named("b{}"), one);
    }

    #[test]
    fn files_in_folders_are_weighed_and_pictures_are_not() {
        let scratch = Scratch::new("weight");
        fs::create_dir_all(scratch.0.join("snippets")).unwrap();
        fs::write(scratch.0.join("snippets/a.js"), vec![b'x'; 10_000]).unwrap();
        let one = gzipped(&scratch.0).unwrap();
        assert!(one > 0 && one < 1_000, "{one}");
        fs::write(scratch.0.join("b.css"), vec![b'x'; 10_000]).unwrap();
        fs::write(scratch.0.join("c.png"), vec![b'x'; 10_000]).unwrap();
        assert_eq!(gzipped(&scratch.0).unwrap(), 2 * one);
    }
}
