//! The pictures of the docs, taken from the page in a real browser. `cargo xtask screenshots` runs this; nothing is checked
//! here but that each scene can be reached.

#[allow(dead_code)]
#[path = "../browser/fixtures/mod.rs"]
mod fixtures;

use fixtures::{Bench, Failed, Page};
use std::path::PathBuf;
use strungwell_xtask::run;

const WIDE: (u32, u32) = (1280, 900);
const NARROW: (u32, u32) = (500, 900);

#[tokio::test]
#[ignore = "writes the pictures of the docs: cargo xtask screenshots"]
async fn pictures_of_the_docs() -> Result<(), Failed> {
    let folder = run::root().join("docs/pictures");
    std::fs::create_dir_all(&folder)?;
    for (night, ground) in [(false, "day"), (true, "night")] {
        for (size, width) in [(WIDE, "wide"), (NARROW, "narrow")] {
            let bench = Bench::new().await?;
            let browser = bench.browser_of(size, night).await?;
            let page = browser.open(bench.address()).await?;
            page.press("Look round the demo shop").await?;
            if size == NARROW {
                page.press("Bench").await?;
            }
            page.press_in("#bench", "Concert 9").await?;
            page.until_text(".sheet h1", |t| t.starts_with("Concert 9"))
                .await?;
            let name = |scene: &str| folder.join(format!("{scene}-{width}-{ground}.png"));
            take(&page, "#instrument", name("sheet")).await?;
            for section in ["strings", "heights", "intonation"] {
                take(&page, &format!("#{section}"), name(section)).await?;
            }
            page.press_in("#strings .course-row[data-course='1']", "Choose a string")
                .await?;
            page.press("Compare what is on now").await?;
            page.press_in(
                "[data-list='usable'] .candidate[data-name^='wound']",
                "Compare",
            )
            .await?;
            page.until_count(".compare-one", 2).await?;
            take(&page, ".choosing", name("choosing")).await?;
            browser.close().await?;
        }
    }
    Ok(())
}

/// Takes the window with a place of the page at its top.
async fn take(page: &Page, place: &str, file: PathBuf) -> Result<(), Failed> {
    let element = page.find(place).await?;
    page.run(
        "arguments[0].scrollIntoView({block: 'start'})",
        vec![serde_json::to_value(&element)?],
    )
    .await?;
    std::fs::write(file, page.picture().await?)?;
    Ok(())
}
