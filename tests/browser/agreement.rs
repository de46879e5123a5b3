//! The page and the terminal say the same, to the last digit that the page shows.

use crate::fixtures::{Bench, DEMO_SHOP, Failed, terminal_report};
use strungwell_workshop::units::{Units, figure, per_cent};

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn every_string_of_the_demo_shop_reads_as_at_the_terminal() -> Result<(), Failed> {
    let report = terminal_report(DEMO_SHOP)?;
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Look round the demo shop").await?;
    let units = Units::default();
    let mut held = 0;
    for instrument in report["instruments"].as_array().ok_or("no instruments")? {
        let name = instrument["name"].as_str().ok_or("no name")?;
        page.press_in("#bench", name).await?;
        page.until_text(".sheet h1", |t| t == name).await?;
        for (c, course) in instrument["courses"]
            .as_array()
            .into_iter()
            .flatten()
            .enumerate()
        {
            for (s, string) in course["strings"]
                .as_array()
                .into_iter()
                .flatten()
                .enumerate()
            {
                let place = format!(
                    "#strings .course-row[data-course='{}'] .one-string:nth-of-type({})",
                    c + 1,
                    s + 2
                );
                for (word, expected) in [
                    ("tension", units.force(string["tension_n"].as_f64())),
                    ("kappa", figure(string["kappa"].as_f64(), 1)),
                    (
                        "breaking",
                        string["breaking_fraction"]
                            .as_f64()
                            .map_or_else(|| "no figure".to_owned(), per_cent),
                    ),
                ] {
                    let shown = page
                        .text(&format!("{place} [data-figure='{word}']"))
                        .await?;
                    assert_eq!(
                        shown,
                        expected,
                        "{name}, course {}, string {}, {word}",
                        c + 1,
                        s + 1
                    );
                    held += 1;
                }
            }
        }
        let total = page.text("[data-figure='total_tension'] .num").await?;
        assert_eq!(
            total,
            units.force(instrument["total_tension_n"].as_f64()),
            "{name}"
        );
    }
    assert!(held > 100, "only {held} figures were held");
    browser.close().await
}
