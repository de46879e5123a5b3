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

    /// Debian's compiler, and the standard library built from its source.
    fn from_source(linker: &Path) -> Self {
        Self {
            args: vec![
                "-Z",
                "build-std=std,panic_abort",
                "-Z",
                "build-std-features=optimize_for_size",
                "--target",
                TARGET,
            ],
            with: vec![
                // A library built here may be built small: a panic, which the page has none of by intent, ends it without a text.
                (
                    "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS",
                    "-Zunstable-options -Cpanic=immediate-abort -Zlocation-detail=none".into(),
                ),
                ("RUSTC", DEBIAN_RUSTC.into()),
                ("RUSTC_BOOTSTRAP", "1".into()),
                (
                    "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER",
                    linker.to_string_lossy().into_owned(),
                ),
            ],
        }
    }
}

/// Looks which way there is, and makes one where it may: the toolchain's own target, the same after rustup fetched it, or
/// Debian's compiler with the standard library built from source.
///
/// # Errors
/// Where nothing is there and nothing may be installed, the commands to run by hand.
pub fn choose() -> Result<Route, Failed> {
    let sysroot = asks("rustc", &["--print", "sysroot"])
        .map(PathBuf::from)
        .ok_or("there is no working rustc to be found; install Rust")?;
    let has_target = || {
        sysroot
            .join("lib/rustlib")
            .join(TARGET)
            .join("lib")
            .exists()
    };
    if has_target() {
        say(&format!(
            "building for the browser with the toolchain's {TARGET}"
        ));
        return Ok(Route::plain());
    }
    // Asked only where Debian's way is not ready: a machine without that network would wait at every build.
    if !debian_is_ready() && rustup_fetches() && has_target() {
        say(&format!(
            "building for the browser with {TARGET}, fetched by rustup"
        ));
        return Ok(Route::plain());
    }
    let linker = sysroot
        .join("lib/rustlib")
        .join(host())
        .join("bin/rust-lld");
    if !linker.exists() {
        return Err(format!(
            "the toolchain in {} has neither {TARGET} nor rust-lld to link for it; with rustup run: rustup target add {TARGET}",
            sysroot.display()
        ));
    }
    if !debian_is_ready() {
        apt::install(&["rustc-web", "rust-web-src"])
            .map_err(|why| format!("{why}. Or, with rustup: rustup target add {TARGET}"))?;
    }
    if !debian_is_ready() {
        return Err(format!(
            "{DEBIAN_RUSTC} is older than {} or has no source beside it; with rustup run: rustup target add {TARGET}",
            env!("CARGO_PKG_RUST_VERSION")
        ));
    }
    say("building for the browser with Debian's rustc-web, its standard library from source");
    Ok(Route::from_source(&linker))
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

/// Asks rustup for the target, and says so when it has none to give.
fn rustup_fetches() -> bool {
    if asks("rustup", &["--version"]).is_none() {
        return false;
    }
    say(&format!("asking rustup for {TARGET}"));
    let fetched = ends_well_within(
        Command::new("rustup")
            .args(["target", "add", TARGET])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null()),
        RUSTUP_PATIENCE,
    );
    if !fetched {
        say(&format!("rustup could not fetch {TARGET}"));
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
