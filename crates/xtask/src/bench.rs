//! The benchmarks: the same code timed natively and in a real browser, in one run.

use crate::run::{Failed, cargo, root, run, say, target};
use crate::{apt, page};
use page::Build;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Runs all benchmarks and gives their figures: a table, or with `--json` one object.
///
/// `note_ns` is one fretted note with its clearance, natively, and `note_ns_browser` the same in the browser; `report_us_native` and `report_us_browser` the report of four
/// courses of eighteen frets; `report_ratio` the second over the first; `sets_ms_native` and `sets_ms_browser` three whole sets
/// for twelve strings from a rack of 500 under every limit; `plan_ms_native` and `plan_ms_browser` the plan of six courses of
/// twenty-two frets, and `curve_ms_native` and `curve_ms_browser` its trade curve of forty points; `pitch_ms_native` and
/// `pitch_ms_browser` the pitch of half a second of sound at 48 kHz; `chord_ms_native` and `chord_ms_browser` two seconds of a
/// chord of four strings rendered.
///
/// Of the page, each beside the same of a bare counter made with the same libraries, command and profile: `page_gz_bytes`, program,
/// glue and style gzipped; `usable_ms`, from the first visit's navigation to the painted bench, and `slider_p95_ms`, from a pointer's
/// move on a handle to what it changed painted, at the 95th percentile, both in Chromium on a CPU slowed four times.
///
/// `--page` measures these alone, and `--rough` with a page built roughly, to look whether it works.
///
/// # Errors
/// When something cannot be built or run, or the words are not understood.
pub fn run_all(words: &[String]) -> Result<String, Failed> {
    let has = |flag: &str| words.iter().any(|word| word == flag);
    let (json, only_page, rough) = (has("--json"), has("--page"), has("--rough"));
    if let Some(unknown) = words
        .iter()
        .find(|word| !["--json", "--page", "--rough"].contains(&word.as_str()))
    {
        return Err(format!(
            "not understood: {unknown}; bench [--json] [--page] [--rough]"
        ));
    }
    apt::browser()?;
    let mut rows = if only_page { Vec::new() } else { code()? };
    rows.extend(pages(if rough { Build::Rough } else { Build::Whole })?);
    let lines: Vec<String> = if json {
        rows.iter()
            .map(|(name, value)| format!("\"{name}\": {value:.3}"))
            .collect()
    } else {
        rows.iter()
            .map(|(name, value)| format!("{name:<22} {value:>10.2}"))
            .collect()
    };
    Ok(if json {
        format!("{{ {} }}", lines.join(", "))
    } else {
        lines.join("\n")
    })
}

/// The figures of the code alone, natively and in the browser.
fn code() -> Result<Vec<(&'static str, f64)>, Failed> {
    let native = native()?;
    let browser = browser()?;
    Ok(vec![
        ("note_ns", figure(&native, "note_ns")?),
        ("note_ns_browser", figure(&browser, "note_ns")?),
        ("sets_ms_native", figure(&native, "sets_ms")?),
        ("sets_ms_browser", figure(&browser, "sets_ms")?),
        ("plan_ms_native", figure(&native, "plan_ms")?),
        ("plan_ms_browser", figure(&browser, "plan_ms")?),
        ("curve_ms_native", figure(&native, "curve_ms")?),
        ("curve_ms_browser", figure(&browser, "curve_ms")?),
        ("pitch_ms_native", figure(&native, "pitch_ms")?),
        ("pitch_ms_browser", figure(&browser, "pitch_ms")?),
        ("chord_ms_native", figure(&native, "chord_ms")?),
        ("chord_ms_browser", figure(&browser, "chord_ms")?),
        ("report_us_native", figure(&native, "report_us")?),
        ("report_us_browser", figure(&browser, "report_us")?),
        (
            "report_ratio",
            figure(&browser, "report_us")? / figure(&native, "report_us")?,
        ),
    ])
}

/// The figures of the page and of the counter beside it.
fn pages(build: Build) -> Result<Vec<(&'static str, f64)>, Failed> {
    let page = page::build_as(build)?;
    let counter = page::build_into(
        "strungwell-counter",
        &root().join("crates/counter/page"),
        target().join("counter-page"),
        build,
    )?;
    say("timing the page and the counter in the browser");
    let timed = timed(
        "page_and_counter",
        &[("STRUNGWELL_PAGE", &page), ("STRUNGWELL_COUNTER", &counter)],
    )?;
    #[allow(clippy::cast_precision_loss)] // Far below what a float counts.
    let weight = |folder: &Path| page::gzipped(folder).map(|bytes| bytes as f64);
    Ok(vec![
        ("page_gz_bytes", weight(&page)?),
        ("counter_gz_bytes", weight(&counter)?),
        ("usable_ms", figure(&timed, "usable_ms")?),
        ("counter_usable_ms", figure(&timed, "counter_usable_ms")?),
        ("slider_p95_ms", figure(&timed, "slider_p95_ms")?),
        (
            "counter_slider_p95_ms",
            figure(&timed, "counter_slider_p95_ms")?,
        ),
    ])
}

fn figure(text: &str, name: &str) -> Result<f64, Failed> {
    number(text, name).ok_or_else(|| format!("the benchmark gave no {name}: {text}"))
}

/// A number of a flat JSON object.
fn number(text: &str, name: &str) -> Option<f64> {
    let after = text.split_once(&format!("\"{name}\":"))?.1;
    let end = after.find([',', '}'])?;
    after[..end].trim().parse().ok()
}

fn native() -> Result<String, Failed> {
    run(
        cargo(),
        &[
            "build",
            "--quiet",
            "--release",
            "--package",
            "strungwell-bench",
        ],
        &[],
    )?;
    let program = target().join("release/strungwell-bench");
    output(&mut Command::new(&program))
}

fn browser() -> Result<String, Failed> {
    let folder = target().join("bench-page");
    page::build_into(
        "strungwell-bench",
        &root().join("crates/bench/page"),
        folder.clone(),
        Build::Whole,
    )?;
    say("timing in the browser");
    timed(
        "figures_in_the_browser",
        &[("STRUNGWELL_BENCH_PAGE", &folder)],
    )
}

/// Runs one of the benchmarks of `tests/bench` over the folders that it asks for.
fn timed(name: &str, folders: &[(&str, &PathBuf)]) -> Result<String, Failed> {
    let mut test = Command::new(cargo());
    test.args(["test", "--quiet", "--package", "strungwell-tests"])
        .args(["--test", "bench", name, "--", "--ignored", "--nocapture"])
        .envs(folders.iter().copied())
        .current_dir(root());
    output(&mut test)
}

fn output(command: &mut Command) -> Result<String, Failed> {
    let out = command
        .stdin(Stdio::null())
        .stderr(Stdio::inherit())
        .output()
        .map_err(|why| format!("{command:?} cannot be started: {why}"))?;
    if !out.status.success() {
        return Err(format!("{command:?} ended with {}", out.status));
    }
    String::from_utf8(out.stdout).map_err(|why| why.to_string())
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn a_figure_is_found_by_its_name() {
        let text = "running\n{\"note_ns\":301.5,\"report_us\":92}\nok";
        assert_eq!(number(text, "note_ns"), Some(301.5));
        assert_eq!(number(text, "report_us"), Some(92.0));
        assert_eq!(number(text, "other"), None);
    }
}
