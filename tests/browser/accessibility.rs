//! An automated audit of the page's accessibility: what can be told by a program of names, roles, contrast and sizes, on each place
//! of the page, by day and by night, wide and narrow. It does not replace a walk by ear and by keyboard.

use crate::fixtures::{Bench, Failed, Glass, Page};
use serde_json::json;
use std::time::Duration;

const ENGINE: &str = include_str!("../vendor/axe-core/axe.min.js");

/// Runs the engine over what stands there: its rules for WCAG 2.0 to 2.2, levels A and AA, and what it calls best practice.
const AUDIT: &str = "return axe.run(document, { resultTypes: ['violations'], runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', \
    'wcag21aa', 'wcag22aa', 'best-practice'] }).then(found => ({ looked: found.passes.length, wrong: found.violations.flatMap(v => \
    v.nodes.map(n => `${v.id} (${v.help}) at ${n.target.join(' ')}: ${n.html.slice(0, 160)} [${n.any.concat(n.all, n.none).map(c => \
    c.message).join('; ').slice(0, 200)}]`)) }))";

const SECTIONS: [&str; 10] = [
    "instrument",
    "strings",
    "sets",
    "heights",
    "intonation",
    "plan",
    "loads",
    "playing-in",
    "visits",
    "hand-over",
];

/// The violations of what stands there, each with its rule and place.
async fn audit(page: &Page) -> Result<Vec<String>, Failed> {
    // Put in by the driver: the page's own policy would not let it in.
    if page.run("return typeof axe", vec![]).await? != "object" {
        page.run(ENGINE, vec![]).await?;
    }
    let found = page.run(AUDIT, vec![]).await?;
    if found["looked"].as_u64().unwrap_or(0) < 10 {
        return Err(format!("the audit looked at next to nothing: {found}").into());
    }
    Ok(serde_json::from_value(found["wrong"].clone())?)
}

/// Audits each place of the page as it is looked at.
async fn places(glass: Glass, wrong: &mut Vec<String>) -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.look_through(glass).await?;
    let mut seen = async |place: &str| -> Result<(), Failed> {
        for found in audit(&page).await? {
            wrong.push(format!(
                "{} {}, {place}: {found}",
                glass.width,
                if glass.night { "night" } else { "day" }
            ));
        }
        Ok(())
    };
    seen("welcome").await?;
    page.press("Look round the demo shop").await?;
    page.find("#bench").await?;
    seen("demo shop").await?;
    let narrow = glass.width < 700;
    if narrow {
        page.press("Bench").await?;
        seen("bench open").await?;
    }
    page.press_in("#bench", "Concert 9").await?;
    page.until_text("#strings .course-row[data-course='1'] .note", |note| {
        note.contains("G3")
    })
    .await?;
    for section in SECTIONS {
        page.step(&format!("show #{section}")).await?;
        tokio::time::sleep(Duration::from_millis(300)).await;
    }
    seen("sheet").await?;
    page.run(
        "document.querySelectorAll('details').forEach(d => d.open = true); scrollTo(0, 0)",
        vec![],
    )
    .await?;
    tokio::time::sleep(Duration::from_millis(300)).await;
    seen("sheet with everything open").await?;
    if narrow {
        page.press("Bench").await?;
    }
    page.press_in("#bench", "The rack").await?;
    page.find(".rack").await?;
    seen("rack").await?;
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn an_audit_finds_nothing() -> Result<(), Failed> {
    let mut wrong = Vec::new();
    for glass in [Glass::WIDE, Glass::NARROW] {
        places(glass, &mut wrong).await?;
        places(glass.by_night(), &mut wrong).await?;
    }
    assert!(
        wrong.is_empty(),
        "{}\n{} in all",
        wrong.join("\n"),
        wrong.len()
    );
    Ok(())
}

/// What can be pressed or typed into, and the drawings' own handles, that lie over one another: none should.
const OVER_ONE_ANOTHER: &str = "const all = [...document.querySelectorAll('.sheet input, .sheet select, .sheet button, .sheet textarea, \
    .sheet .unit, .sheet label')].map(e => [e, e.getBoundingClientRect()]).filter(([e, r]) => r.width > 0 && e.checkVisibility()); \
    const over = []; for (let i = 0; i < all.length; i++) for (let j = i + 1; j < all.length; j++) { const [a, p] = all[i], [b, q] = all[j]; \
    if (a.contains(b) || b.contains(a)) continue; if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > 2 && Math.min(p.bottom, \
    q.bottom) - Math.max(p.top, q.top) > 4) over.push((a.id || a.textContent) + ' and ' + (b.id || b.textContent)); } return over";

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn letters_twice_as_large_lie_over_nothing() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    // As a person sets it in the browser, not as a page's zoom.
    let sizes = json!({ "fontSizes": { "standard": 32, "fixed": 26 } });
    let page = browser.open(bench.address()).await?;
    page.devtools("Page.setFontSizes", sizes).await?;
    let size = "return getComputedStyle(document.documentElement).fontSize";
    assert_eq!(page.run(size, vec![]).await?, "32px");
    page.press("Look round the demo shop").await?;
    page.press("Bench").await?;
    page.press_in("#bench", "Concert 9").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 9"))
        .await?;
    for section in SECTIONS {
        page.step(&format!("show #{section}")).await?;
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    let over = page.run(OVER_ONE_ANOTHER, vec![]).await?;
    assert_eq!(over, json!([]));
    assert_eq!(page.sideways().await?, 0);
    // The fields follow the drawing, whose letters are as large as those around it.
    assert_eq!(page.all(".heights-figure.wide").await?.len(), 0);
    browser.close().await
}
