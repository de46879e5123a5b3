//! Running other programs, saying what is run.

use std::ffi::OsStr;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// What went wrong, in a sentence or a few.
pub type Failed = String;

/// The workspace's folder: the nearest one with a lock file over the package that cargo runs now. What was known when this was
/// built serves only without cargo, since a checkout may be moved together with what was built in it.
#[must_use]
pub fn root() -> PathBuf {
    let here = std::env::var_os("CARGO_MANIFEST_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    here.ancestors()
        .find(|folder| folder.join("Cargo.lock").exists())
        .unwrap_or(&here)
        .to_path_buf()
}

/// The folder that cargo builds into.
#[must_use]
pub fn target() -> PathBuf {
    let chosen = std::env::var_os("CARGO_TARGET_DIR").filter(|dir| !dir.is_empty());
    // A relative one is meant from where cargo runs its subcommands: the workspace's folder.
    root().join(chosen.map_or_else(|| PathBuf::from("target"), PathBuf::from))
}

/// Says what is being done.
#[allow(clippy::print_stdout)]
pub fn say(what: &str) {
    println!("xtask: {what}");
}

/// Runs a program in the workspace's folder and waits for it.
///
/// # Errors
/// When it cannot be started or ends badly.
pub fn run(program: impl AsRef<OsStr>, args: &[&str], with: &[(&str, &str)]) -> Result<(), Failed> {
    let program = program.as_ref();
    let shown = format!("{} {}", program.to_string_lossy(), args.join(" "));
    let status = Command::new(program)
        .args(args)
        .envs(with.iter().copied())
        .current_dir(root())
        .stdin(Stdio::null())
        .status()
        .map_err(|why| format!("{shown} cannot be started: {why}"))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("{shown} ended with {status}"))
    }
}

/// What a program prints, trimmed; none when it cannot be run or ends badly.
#[must_use]
pub fn asks(program: impl AsRef<OsStr>, args: &[&str]) -> Option<String> {
    let out = Command::new(program.as_ref())
        .args(args)
        .stdin(Stdio::null())
        .output()
        .ok()?;
    let text = String::from_utf8(out.stdout).ok()?;
    out.status.success().then(|| text.trim().to_owned())
}

/// The cargo that runs this.
#[must_use]
pub fn cargo() -> String {
    std::env::var("CARGO").unwrap_or_else(|_| "cargo".into())
}
