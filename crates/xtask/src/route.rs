//! Which way the page is compiled for the browser: chosen by looking at the machine.

use crate::apt;
use crate::run::{Failed, asks, say};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const TARGET: &str = "wasm32-unknown-unknown";
const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_SOURCE: &str = "/usr/lib/rustlib/src/rust/library/std/Cargo.toml";
/// How long rustup gets to fetch the target: one that cannot says so at once or hangs.
const RUSTUP_PATIENCE: Duration = Duration::from_secs(90);

/// How cargo is called for the browser's target.
#[derive(Debug, PartialEq, Eq)]
pub struct Route {
    /// Arguments after `cargo build`.
    pub args: Vec<&'static str>,
    /// Variables for cargo.
    pub with: Vec<(&'static str, String)>,
}

impl Route {
    /// A toolchain that has the target: nothing special.
    fn plain() -> Self {
        Self {
            args: vec!["--target", TARGET],
            with: Vec::new(),
        }
    }

    /// A compiler with its source: the standard library is built small, with the page.
    fn from_source(compiler: Vec<(&'static str, String)>) -> Self {
        let mut with = vec![
            // A library built here may be built small: a panic, which the page has none of by intent, ends it without a text.
            (
                "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS",
                "-Zunstable-options -Cpanic=immediate-abort -Zlocation-detail=none".into(),
            ),
            ("RUSTC_BOOTSTRAP", "1".into()),
        ];
        with.extend(compiler);
        Self {
            args: vec![
                "-Z",
                "build-std=std,panic_abort",
                "-Z",
                "build-std-features=optimize_for_size",
                "--target",
                TARGET,
            ],
            with,
        }
    }

    /// Debian's compiler with its source, and the toolchain's linker.
    fn debian(linker: &Path) -> Self {
        Self::from_source(vec![
            ("RUSTC", DEBIAN_RUSTC.into()),
            (
                "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER",
                linker.to_string_lossy().into_owned(),
            ),
        ])
    }
}

/// Looks which way there is, and makes one where it may. First the ways that build the standard library from source, since they
/// make the smaller page: the toolchain's own source, Debian's compiler with its source, the toolchain's source fetched by
/// rustup; then the toolchain's ready target, if it is there; then Debian's packages, and the target, installed.
///
/// # Errors
/// Where nothing is there and nothing may be installed, the commands to run by hand.
pub fn choose() -> Result<Route, Failed> {
    let sysroot = sysroot().ok_or("there is no working rustc to be found; install Rust")?;
    let lib = sysroot.join("lib/rustlib");
    let linker = lib.join(host()).join("bin/rust-lld");
    let own = |how: &str| {
        say(&format!(
            "building for the browser with the toolchain, its standard library from source{how}"
        ));
        Ok(Route::from_source(Vec::new()))
    };
    if has_source(&sysroot) {
        return own("");
    }
    let debian = || {
        say("building for the browser with Debian's rustc-web, its standard library from source");
        Ok(Route::debian(&linker))
    };
    if linker.exists() && debian_is_ready() {
        return debian();
    }
    if rustup_fetches("component", "rust-src") && has_source(&sysroot) {
        return own(", fetched by rustup");
    }
    let target = lib.join(TARGET).join("lib");
    let ready = || {
        say(&format!(
            "building for the browser with the toolchain's ready {TARGET}: the page will be a tenth heavier"
        ));
        Ok(Route::plain())
    };
    if target.exists() {
        return ready();
    }
    let installed = apt::install(&["rustc-web", "rust-web-src"]);
    if linker.exists() && debian_is_ready() {
        return debian();
    }
    if rustup_fetches("target", TARGET) && target.exists() {
        return ready();
    }
    let by_hand =
        format!("with rustup run: rustup component add rust-src, or: rustup target add {TARGET}");
    Err(match installed {
        Err(why) => format!("{why}. Or {by_hand}"),
        Ok(()) if !linker.exists() => format!(
            "the toolchain in {} has neither {TARGET} nor rust-lld to link for it; {by_hand}",
            sysroot.display()
        ),
        Ok(()) => format!(
            "{DEBIAN_RUSTC} is older than {} or has no source beside it; {by_hand}",
            env!("CARGO_PKG_RUST_VERSION")
        ),
    })
}

/// Whether this machine builds the standard library with the page, as the weight that is refused supposes.
#[must_use]
pub fn builds_small() -> bool {
    sysroot().is_some_and(|sysroot| {
        let linker = sysroot
            .join("lib/rustlib")
            .join(host())
            .join("bin/rust-lld");
        has_source(&sysroot) || (linker.exists() && debian_is_ready())
    })
}

fn sysroot() -> Option<PathBuf> {
    asks("rustc", &["--print", "sysroot"]).map(PathBuf::from)
}

/// Whether the toolchain has the standard library's source.
fn has_source(sysroot: &Path) -> bool {
    sysroot
        .join("lib/rustlib/src/rust/library/std/Cargo.toml")
        .exists()
}

/// Whether Debian's compiler is there with its source, and new enough for this workspace.
fn debian_is_ready() -> bool {
    Path::new(DEBIAN_SOURCE).exists()
        && asks(DEBIAN_RUSTC, &["--version"])
            .is_some_and(|said| at_least(&said, env!("CARGO_PKG_RUST_VERSION")))
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

fn host() -> String {
    asks("rustc", &["-vV"])
        .and_then(|text| {
            text.lines()
                .find_map(|l| l.strip_prefix("host: ").map(str::to_owned))
        })
        .unwrap_or_else(|| "x86_64-unknown-linux-gnu".into())
}

/// Asks rustup for something, and says so when it has none to give.
fn rustup_fetches(kind: &str, name: &str) -> bool {
    if asks("rustup", &["--version"]).is_none() {
        return false;
    }
    say(&format!("asking rustup for {name}"));
    let fetched = ends_well_within(
        Command::new("rustup")
            .args([kind, "add", name])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null()),
        RUSTUP_PATIENCE,
    );
    if !fetched {
        say(&format!("rustup could not fetch {name}"));
    }
    fetched
}

/// Runs a command for so long at most; ended and false when it takes longer.
fn ends_well_within(command: &mut Command, patience: Duration) -> bool {
    let Ok(mut child) = command.spawn() else {
        return false;
    };
    let until = Instant::now() + patience;
    while Instant::now() < until {
        match child.try_wait() {
            Ok(Some(status)) => return status.success(),
            Ok(None) => std::thread::sleep(Duration::from_millis(100)),
            Err(_) => break,
        }
    }
    let _ = child.kill();
    let _ = child.wait();
    false
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
    fn a_command_that_hangs_is_ended() {
        let start = Instant::now();
        assert!(!ends_well_within(
            Command::new("sleep").arg("30"),
            Duration::from_millis(200)
        ));
        assert!(start.elapsed() < Duration::from_secs(10));
        assert!(ends_well_within(
            &mut Command::new("true"),
            Duration::from_secs(10)
        ));
        assert!(!ends_well_within(
            &mut Command::new("false"),
            Duration::from_secs(10)
        ));
    }
}
