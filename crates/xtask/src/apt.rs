//! Installing what is missing, where that is allowed.

use crate::run::{Failed, asks, run, say};
use std::path::Path;

/// Installs Debian packages with apt, after a fresh look at the package lists, when this is a Debian and we are root. Nothing
/// that is installed is ever removed to make room: then the person decides.
///
/// # Errors
/// Where it may not install, the command to run by hand.
pub fn install(packages: &[&str]) -> Result<(), Failed> {
    let by_hand = format!(
        "apt-get update && apt-get install -y {}",
        packages.join(" ")
    );
    let root = asks("id", &["-u"]).as_deref() == Some("0");
    if !root || !Path::new("/usr/bin/apt-get").exists() {
        return Err(format!(
            "missing: {}. As root on Debian run: {by_hand}",
            packages.join(", ")
        ));
    }
    say(&format!("installing {} with apt", packages.join(", ")));
    let quiet = [("DEBIAN_FRONTEND", "noninteractive")];
    run("apt-get", &["update", "-q"], &quiet)?;
    let mut args = vec![
        "install",
        "-y",
        "-q",
        "--no-install-recommends",
        "--no-remove",
    ];
    args.extend(packages);
    run("apt-get", &args, &quiet).map_err(|why| format!("{why}. Run by hand: {by_hand}"))
}

/// The browser that the tests drive, and its driver; installed when missing.
///
/// # Errors
/// As [`install`].
pub fn browser() -> Result<(), Failed> {
    let missing: Vec<&str> = [
        ("/usr/bin/chromium", "chromium"),
        ("/usr/bin/chromedriver", "chromium-driver"),
    ]
    .into_iter()
    .filter(|(path, _)| !Path::new(path).exists())
    .map(|(_, package)| package)
    .collect();
    if missing.is_empty() {
        Ok(())
    } else {
        install(&missing)
    }
}
