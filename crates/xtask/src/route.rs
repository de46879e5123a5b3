//! Which way the page is compiled for the browser: chosen by looking at the machine.

use crate::apt;
use crate::run::{Failed, asks, say};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const TARGET: &str = "wasm32-unknown-unknown";
const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_SOURCE: &str = "/usr/lib/rustlib/src/rust/library";

/// How cargo is called for the browser's target.
pub struct Route {
    /// Arguments after `cargo build`.
    pub args: Vec<&'static str>,
    /// Variables for cargo.
    pub with: Vec<(&'static str, String)>,
}

/// Looks which way there is, and makes one where it may: the toolchain's own target, the same after rustup fetched it, or
/// Debian's compiler with the standard library built from source.
///
/// # Errors
/// Where nothing is there and nothing may be installed, the commands to run by hand.
pub fn choose() -> Result<Route, Failed> {
    let sysroot = asks("rustc", &["--print", "sysroot"]).map(PathBuf::from);
    let has_target = || {
        sysroot
            .as_ref()
            .is_some_and(|s| s.join("lib/rustlib").join(TARGET).join("lib").exists())
    };
    let plain = Route {
        args: vec!["--target", TARGET],
        with: Vec::new(),
    };
    if has_target() {
        say(&format!(
            "building for the browser with the toolchain's {TARGET}"
        ));
        return Ok(plain);
    }
    if !debian_is_there() && rustup_fetches() && has_target() {
        say(&format!(
            "building for the browser with {TARGET}, fetched by rustup"
        ));
        return Ok(plain);
    }
    let linker = sysroot
        .map(|s| s.join("lib/rustlib").join(host()).join("bin/rust-lld"))
        .filter(|l| l.exists())
        .ok_or("the toolchain has no rust-lld to link for the browser; run: rustup target add wasm32-unknown-unknown")?;
    if !debian_is_there() {
        apt::install(&["rustc-web", "rust-web-src"])
            .map_err(|why| format!("{why}. Or, with rustup: rustup target add {TARGET}"))?;
    }
    say("building for the browser with Debian's rustc-web, its standard library from source");
    Ok(Route {
        args: vec!["-Z", "build-std=std,panic_abort", "--target", TARGET],
        with: vec![
            ("RUSTC", DEBIAN_RUSTC.into()),
            ("RUSTC_BOOTSTRAP", "1".into()),
            (
                "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER",
                linker.to_string_lossy().into_owned(),
            ),
        ],
    })
}

fn debian_is_there() -> bool {
    Path::new(DEBIAN_RUSTC).exists() && Path::new(DEBIAN_SOURCE).exists()
}

fn host() -> String {
    asks("rustc", &["-vV"])
        .and_then(|text| {
            text.lines()
                .find_map(|l| l.strip_prefix("host: ").map(str::to_owned))
        })
        .unwrap_or_else(|| "x86_64-unknown-linux-gnu".into())
}

/// Asks rustup for the target. A machine that cannot fetch it says no at once or hangs, so it gets a minute.
fn rustup_fetches() -> bool {
    say(&format!("asking rustup for {TARGET}"));
    let started = Command::new("rustup")
        .args(["target", "add", TARGET])
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let Ok(mut child) = started else { return false };
    let until = Instant::now() + Duration::from_secs(60);
    while Instant::now() < until {
        match child.try_wait() {
            Ok(Some(status)) => return status.success(),
            Ok(None) => std::thread::sleep(Duration::from_millis(200)),
            Err(_) => break,
        }
    }
    let _ = child.kill();
    let _ = child.wait();
    false
}
