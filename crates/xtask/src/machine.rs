//! What a machine has for compiling the page, and what it can be given.

use crate::apt;
use crate::route::{FROM_SOURCE, LINKER};
use crate::run::{Failed, asks, cargo, root, say, target};
use crate::rustup;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// The browser's target.
pub(crate) const TARGET: &str = "wasm32-unknown-unknown";
/// Debian's own compiler.
pub(crate) const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_SYSROOT: &str = "/usr";
/// What links for the browser, as it is called on the path.
const LINKERS: [&str; 3] = ["rust-lld", "wasm-ld", "lld"];
/// How long cargo gets to fetch the crates of the standard library.
const FETCH_PATIENCE: Duration = Duration::from_secs(90);

/// One of the compilers that a machine may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Compiler {
    /// The one that cargo takes by itself.
    Toolchain,
    /// Debian's.
    Debian,
}

impl Compiler {
    /// The variable by which cargo takes it.
    pub(crate) fn variable(self) -> Option<(&'static str, String)> {
        (self == Self::Debian).then(|| ("RUSTC", DEBIAN_RUSTC.to_owned()))
    }

    /// What it is called in a sentence.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Toolchain => "the toolchain",
            Self::Debian => "Debian's rustc-web",
        }
    }

    /// Under what it is remembered that the crates of its standard library were refused.
    const fn refused_crates(self) -> &'static str {
        match self {
            Self::Toolchain => "std-crates-toolchain",
            Self::Debian => "std-crates-debian",
        }
    }
}

/// What is asked of a machine.
pub(crate) trait Machine {
    /// Whether the compiler is there, new enough, with the standard library's source beside it.
    fn has_source(&self, compiler: Compiler) -> bool;
    /// Whether the crates that the standard library is built of are at hand, or were fetched just now where that is wanted.
    fn has_std_crates(&self, compiler: Compiler, fetch: bool) -> bool;
    /// What must be named to cargo so that it links; none where the compiler finds its own.
    fn linker(&self, compiler: Compiler) -> Result<Option<String>, Failed>;
    /// Whether the toolchain has the browser's target ready.
    fn has_target(&self) -> bool;
    /// Whether rustup added this.
    fn rustup_adds(&self, kind: &str, name: &str) -> bool;
    /// Installs Debian's packages.
    fn install(&self, packages: &[&str]) -> Result<(), Failed>;
}

/// The machine that this runs on.
pub(crate) struct This {
    sysroot: PathBuf,
    host: String,
}

impl This {
    /// # Errors
    /// Where no compiler works.
    pub(crate) fn look() -> Result<Self, Failed> {
        let sysroot = asks("rustc", &["--print", "sysroot"])
            .map(PathBuf::from)
            .ok_or("there is no working rustc to be found; install Rust")?;
        let host = asks("rustc", &["-vV"]).and_then(|text| {
            text.lines()
                .find_map(|l| l.strip_prefix("host: ").map(str::to_owned))
        });
        Ok(Self {
            sysroot,
            host: host.unwrap_or_else(|| "x86_64-unknown-linux-gnu".into()),
        })
    }

    /// The linker that comes with a toolchain.
    fn own_linker(&self) -> PathBuf {
        let lib = self.sysroot.join("lib/rustlib");
        lib.join(&self.host).join("bin/rust-lld")
    }
}

impl Machine for This {
    fn has_source(&self, compiler: Compiler) -> bool {
        let has = |sysroot: &Path| {
            let source = sysroot.join("lib/rustlib/src/rust/library/std/Cargo.toml");
            source.exists()
        };
        match compiler {
            Compiler::Toolchain => has(&self.sysroot),
            Compiler::Debian => {
                has(Path::new(DEBIAN_SYSROOT))
                    && asks(DEBIAN_RUSTC, &["--version"])
                        .is_some_and(|said| at_least(&said, env!("CARGO_PKG_RUST_VERSION")))
            }
        }
    }

    fn has_std_crates(&self, compiler: Compiler, fetch: bool) -> bool {
        let Ok(manifest) = bare_crate(&target().join("std-crates")) else {
            return false;
        };
        let fetches = |how: &[&str]| {
            rustup::ends_well_within(
                Command::new(cargo())
                    .arg("fetch")
                    .args(FROM_SOURCE)
                    .args(["--target", TARGET, "--manifest-path"])
                    .arg(&manifest)
                    .args(how)
                    .env("RUSTC_BOOTSTRAP", "1")
                    .envs(compiler.variable())
                    .current_dir(root())
                    .stdin(Stdio::null())
                    .stdout(Stdio::null())
                    .stderr(Stdio::null()),
                FETCH_PATIENCE,
            )
        };
        fetches(&["--offline"])
            || fetch
                && rustup::remembered(compiler.refused_crates(), || {
                    say("fetching the crates that the standard library is built of");
                    fetches(&[])
                })
    }

    fn linker(&self, compiler: Compiler) -> Result<Option<String>, Failed> {
        if std::env::var_os(LINKER).is_some() {
            return Ok(None);
        }
        let own = self.own_linker();
        if own.exists() {
            // The toolchain's compiler finds it; another one has to be told.
            let told = own.to_string_lossy().into_owned();
            return Ok((compiler != Compiler::Toolchain).then_some(told));
        }
        let path = std::env::var_os("PATH").unwrap_or_default();
        on_path(&path).map(Some).ok_or_else(|| {
            format!(
                "{} has no rust-lld, and there is neither {} on the path to link for {TARGET}: install one (Debian: apt-get install -y lld), \
                 or name one in {LINKER}, even if cargo's configuration names one",
                compiler.words(),
                LINKERS.join(" nor ")
            )
        })
    }

    fn has_target(&self) -> bool {
        self.sysroot
            .join("lib/rustlib")
            .join(TARGET)
            .join("lib")
            .exists()
    }

    fn rustup_adds(&self, kind: &str, name: &str) -> bool {
        rustup::adds(kind, name)
    }

    fn install(&self, packages: &[&str]) -> Result<(), Failed> {
        apt::install(packages)
    }
}

/// The first linker that one of the path's folders has.
fn on_path(path: &std::ffi::OsStr) -> Option<String> {
    LINKERS
        .into_iter()
        .flat_map(|name| std::env::split_paths(path).map(move |folder| folder.join(name)))
        .find(|file| file.is_file())
        .map(|file| file.to_string_lossy().into_owned())
}

/// A crate of nothing, by which cargo is asked for the standard library's own crates and no others. Its manifest.
fn bare_crate(folder: &Path) -> std::io::Result<PathBuf> {
    fs::create_dir_all(folder.join("src"))?;
    fs::write(folder.join("src/lib.rs"), "")?;
    let manifest = folder.join("Cargo.toml");
    let text = "[package]\nname = \"std-crates\"\nversion = \"0.0.0\"\nedition = \"2024\"\n\n[workspace]\n";
    fs::write(&manifest, text)?;
    Ok(manifest)
}

/// Whether a compiler that says "rustc 1.96.0 (…)" is at least the version "1.95".
fn at_least(said: &str, wanted: &str) -> bool {
    let numbers = |text: &str| -> Option<(u32, u32)> {
        let mut parts = text.split(['.', '-']).map(str::parse);
        Some((parts.next()?.ok()?, parts.next()?.ok()?))
    };
    match (
        said.split_whitespace().nth(1).and_then(numbers),
        numbers(wanted),
    ) {
        (Some(has), Some(wanted)) => has >= wanted,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_are_compared_by_number() {
        assert!(at_least(
            "rustc 1.96.0 (abc 2026-05-01) (built from a source tarball)",
            "1.95"
        ));
        assert!(at_least("rustc 1.95.0-beta.3", "1.95"));
        assert!(at_least("rustc 2.0.0", "1.95"));
        assert!(!at_least("rustc 1.63.0", "1.95"));
        assert!(!at_least("rustc 1.9.0", "1.95"));
        assert!(!at_least("error: no toolchain", "1.95"));
        assert!(!at_least("", "1.95"));
    }

    #[test]
    fn a_linker_is_found_on_the_path_in_the_order_of_their_fitness() {
        let folder =
            std::env::temp_dir().join(format!("strungwell-linkers-{}", std::process::id()));
        fs::create_dir_all(folder.join("a")).unwrap();
        fs::create_dir_all(folder.join("b")).unwrap();
        let path = std::env::join_paths([folder.join("a"), folder.join("b")]).unwrap();
        assert_eq!(on_path(&path), None);
        fs::write(folder.join("a/lld"), "").unwrap();
        fs::write(folder.join("b/wasm-ld"), "").unwrap();
        let found = on_path(&path).unwrap();
        fs::remove_dir_all(&folder).unwrap();
        assert!(found.ends_with("b/wasm-ld"), "{found}");
    }
}
