//! The benchmarks in a real browser; `cargo xtask bench` builds their page and runs this. It prints the figures.

#[allow(dead_code, unused_imports)]
#[path = "../browser/fixtures/mod.rs"]
mod fixtures;
mod pages;

use fixtures::{Bench, Failed};
use std::path::PathBuf;
use std::time::Duration;

#[tokio::test]
#[ignore = "needs the benchmarks' page: cargo xtask bench"]
async fn figures_in_the_browser() -> Result<(), Failed> {
    let folder =
        std::env::var_os("STRUNGWELL_BENCH_PAGE").ok_or("run this with: cargo xtask bench")?;
    let bench = Bench::over(PathBuf::from(folder)).await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    for _ in 0..600 {
        let figures = page.attr("html", "data-figures").await?;
        if !figures.is_empty() {
            println!("{figures}");
            return browser.close().await;
        }
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    Err("the browser gave no figures in two minutes".into())
}
