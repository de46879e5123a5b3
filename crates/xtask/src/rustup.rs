//! Asking over a network for what is missing, for a while at most, and remembering that it was refused.

use crate::run::{asks, say, target};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant, SystemTime};

/// How long rustup gets: one that cannot fetch says so at once or hangs.
const PATIENCE: Duration = Duration::from_secs(90);
/// How long a refusal is remembered.
const REMEMBERED: Duration = Duration::from_secs(12 * 60 * 60);

/// Asks rustup for something, and says so when it has none to give.
pub(crate) fn adds(kind: &str, name: &str) -> bool {
    if asks("rustup", &["--version"]).is_none() {
        return false;
    }
    remembered(name, || {
        say(&format!("asking rustup for {name}"));
        let fetched = ends_well_within(
            Command::new("rustup")
                .args([kind, "add", name])
                .stdin(Stdio::null())
                .stdout(Stdio::null())
                .stderr(Stdio::null()),
            PATIENCE,
        );
        if !fetched {
            say(&format!("rustup could not fetch {name}"));
        }
        fetched
    })
}

/// Asks, unless it was refused in the last hours: then a build need not wait for it again.
pub(crate) fn remembered(name: &str, ask: impl FnOnce() -> bool) -> bool {
    remembered_in(
        &target().join(format!("refused-{name}")),
        SystemTime::now(),
        ask,
    )
}

fn remembered_in(note: &Path, now: SystemTime, ask: impl FnOnce() -> bool) -> bool {
    let written = fs::metadata(note).and_then(|about| about.modified());
    // A note from the future, by a clock that was set back, counts for nothing.
    let age = written.ok().and_then(|at| now.duration_since(at).ok());
    if age.is_some_and(|age| age < REMEMBERED) {
        say(&format!(
            "not asked for again today, since it was refused; to ask anew, remove {}",
            note.display()
        ));
        return false;
    }
    let given = ask();
    // Where the note cannot be written or removed, the next build asks again, or waits until the note is old.
    let _ = if given {
        fs::remove_file(note)
    } else {
        fs::create_dir_all(note.parent().unwrap_or(note)).and_then(|()| fs::write(note, ""))
    };
    given
}

/// Runs a command for so long at most; ended and false when it takes longer.
pub(crate) fn ends_well_within(command: &mut Command, patience: Duration) -> bool {
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

    #[test]
    fn a_refusal_is_remembered_for_hours_and_no_longer() {
        let name = format!("strungwell-refused-{}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        let note = folder.join("refused-it");
        let mut asked = 0;
        let mut ask = |now: SystemTime, gives: bool| {
            remembered_in(&note, now, || {
                asked += 1;
                gives
            })
        };
        let now = SystemTime::now() + Duration::from_secs(1);
        assert!(!ask(now, false));
        // Would be given, and is not asked for.
        assert!(!ask(now, true));
        assert!(ask(now + REMEMBERED, true));
        // What was given once is not refused afterwards.
        assert!(ask(now, true));
        assert!(!ask(now, false));
        // A clock set back.
        assert!(ask(now - 2 * REMEMBERED, true));
        assert_eq!(asked, 5);
        fs::remove_dir_all(&folder).unwrap();
    }
}
