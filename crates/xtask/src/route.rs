//! Which way the page is compiled for the browser: chosen by looking at the machine.

use crate::machine::{Compiler, DEBIAN_RUSTC, Machine, TARGET, This};
use crate::run::{Failed, say};

/// The variable by which cargo is told what links for the browser.
pub(crate) const LINKER: &str = "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER";

/// How the standard library is built with the page.
pub(crate) const FROM_SOURCE: [&str; 4] = [
    "-Z",
    "build-std=std,panic_abort",
    "-Z",
    "build-std-features=optimize_for_size",
];

/// How cargo is called for the browser's target.
#[derive(Debug, PartialEq, Eq)]
pub struct Route {
    /// Arguments after `cargo build`.
    pub args: Vec<&'static str>,
    /// Variables for cargo.
    pub with: Vec<(&'static str, String)>,
}

impl Route {
    /// A toolchain that has the target: nothing special but what links, where that must be named.
    fn ready(linker: Option<String>) -> Self {
        Self {
            args: vec!["--target", TARGET],
            with: linker.map(|path| (LINKER, path)).into_iter().collect(),
        }
    }

    /// A compiler with its source: the standard library is built small, with the page.
    fn from_source(compiler: Compiler, linker: Option<String>) -> Self {
        let mut with = vec![
            // A library built here may be built small: a panic, which the page has none of by intent, ends it without a text.
            (
                "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS",
                "-Zunstable-options -Cpanic=immediate-abort -Zlocation-detail=none".into(),
            ),
            ("RUSTC_BOOTSTRAP", "1".into()),
        ];
        with.extend(compiler.variable());
        with.extend(linker.map(|path| (LINKER, path)));
        let mut args = FROM_SOURCE.to_vec();
        args.extend(["--target", TARGET]);
        Self { args, with }
    }
}

/// Looks which way there is, and makes one where it may. First the ways that build the standard library from source, since they
/// make the smaller page: the toolchain's own source, Debian's compiler with its source, the toolchain's source fetched by
/// rustup; then the toolchain's ready target, if it is there; then Debian's packages, and the target, installed.
///
/// # Errors
/// Where nothing is there and nothing may be installed, the commands to run by hand.
pub fn choose() -> Result<Route, Failed> {
    choose_on(&This::look()?)
}

/// Whether this machine builds the standard library with the page, as the weight that is refused supposes.
#[must_use]
pub fn builds_small() -> bool {
    This::look().is_ok_and(|machine| {
        [Compiler::Toolchain, Compiler::Debian]
            .into_iter()
            .any(|compiler| machine.has_source(compiler) && machine.has_std_crates(compiler, false))
    })
}

fn choose_on(machine: &impl Machine) -> Result<Route, Failed> {
    let mut lacks: Vec<Failed> = Vec::new();
    // A compiler with its source serves where what that source needs is at hand as well.
    let mut from_source = |compiler: Compiler, how: &str| {
        if !machine.has_source(compiler) {
            return None;
        }
        let what = compiler.words();
        if !machine.has_std_crates(compiler, true) {
            say(&format!(
                "{what} has the standard library's source, but the crates that it is built of are not on this machine and cannot be fetched"
            ));
            lacks.push(format!(
                "the crates that {what}'s standard library is built of are not on this machine and cannot be fetched: build once with a network"
            ));
            return None;
        }
        let linker = match machine.linker(compiler) {
            Ok(linker) => linker,
            Err(why) => {
                say(&why);
                lacks.push(why);
                return None;
            }
        };
        say(&format!(
            "building for the browser with {what}, its standard library from source{how}"
        ));
        Some(Route::from_source(compiler, linker))
    };
    if let Some(route) = from_source(Compiler::Toolchain, "") {
        return Ok(route);
    }
    if let Some(route) = from_source(Compiler::Debian, "") {
        return Ok(route);
    }
    let had_source = machine.has_source(Compiler::Toolchain);
    if !had_source
        && machine.rustup_adds("component", "rust-src")
        && let Some(route) = from_source(Compiler::Toolchain, ", fetched by rustup")
    {
        return Ok(route);
    }
    let ready = || {
        let linker = machine.linker(Compiler::Toolchain)?;
        say(&format!(
            "building for the browser with the toolchain's ready {TARGET}: the page will be a tenth heavier"
        ));
        Ok(Route::ready(linker))
    };
    if machine.has_target() {
        return ready();
    }
    let installed = if had_source || machine.has_source(Compiler::Debian) {
        None
    } else {
        Some(machine.install(&["rustc-web", "rust-web-src"]))
    };
    if installed.is_some()
        && let Some(route) = from_source(Compiler::Debian, "")
    {
        return Ok(route);
    }
    if machine.rustup_adds("target", TARGET) && machine.has_target() {
        return ready();
    }
    match installed {
        Some(Err(why)) => lacks.push(why),
        Some(Ok(())) if !machine.has_source(Compiler::Debian) => lacks.push(format!(
            "{DEBIAN_RUSTC} is older than {} or has no source beside it",
            env!("CARGO_PKG_RUST_VERSION")
        )),
        _ => {}
    }
    let source = if had_source {
        ""
    } else {
        "rustup component add rust-src, or: "
    };
    lacks.push(format!(
        "with rustup run: {source}rustup target add {TARGET}"
    ));
    Err(lacks.join(". Or "))
}

#[cfg(test)]
mod tests;
