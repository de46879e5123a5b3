//! Closed doors: nothing is loaded from elsewhere, nothing inline is run, types are right.

use crate::fixtures::{Bench, Failed};

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_page_opens_without_a_complaint_and_asks_nobody() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    let loaded = page.loaded().await?;
    assert!(loaded.len() >= 3, "{loaded:?}");
    for address in loaded {
        assert!(
            address.starts_with(bench.address()),
            "the page asked for {address}"
        );
    }
    // A script put into the page must not run: the policy has to hold, not only be sent.
    let ran = page
        .run(
            "window.ran = false; const s = document.createElement('script'); s.textContent = 'window.ran = true'; \
             document.body.append(s); return window.ran",
            vec![],
        )
        .await?;
    assert_eq!(ran, false);
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn every_file_has_its_media_type_and_the_policy() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    for (file, media) in [
        ("", "text/html"),
        ("start.js", "text/javascript"),
        ("strungwell.js", "text/javascript"),
        ("strungwell_bg.wasm", "application/wasm"),
        ("style.css", "text/css"),
        ("favicon.svg", "image/svg+xml"),
    ] {
        let head = page
            .run(
                &format!(
                    "return fetch('./{file}').then(r => [r.status, r.headers.get('content-type'), \
                     r.headers.get('content-security-policy'), r.headers.get('x-content-type-options')])"
                ),
                vec![],
            )
            .await?;
        assert_eq!(head[0], 200, "{file}");
        assert!(
            head[1].as_str().unwrap_or("").starts_with(media),
            "{file}: {head}"
        );
        let policy = head[2].as_str().unwrap_or("");
        assert!(
            policy.contains("default-src 'none'") && !policy.contains("unsafe-inline"),
            "{file}: {policy}"
        );
        assert_eq!(head[3], "nosniff", "{file}");
    }
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_page_opens_without_a_network_after_the_first_visit() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    let ready = "return navigator.serviceWorker.ready.then(r => new Promise(done => { \
                 const look = () => r.active?.state === 'activated' ? done(true) : setTimeout(look, 50); look() }))";
    assert_eq!(page.run(ready, vec![]).await?, true);
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 9").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 9"))
        .await?;
    bench.stop_serving();
    page.without_network().await?;
    page.reload().await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 9"))
        .await?;
    page.until_text("[data-figure='version']", |t| t.contains("build "))
        .await?;
    let tension = page
        .text("#strings .course-row[data-course='1'] [data-figure='tension']")
        .await?;
    assert!(tension.ends_with(" N"), "{tension}");
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_sheet_for_the_customer_is_printed_alone() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 9").await?;
    page.run(
        "document.querySelector('#hand-over').scrollIntoView(); window.print = () => { \
         window.printed = document.documentElement.dataset.print }",
        vec![],
    )
    .await?;
    page.until_text(".handout", |t| t.contains("Tuning and strings"))
        .await?;
    page.press_in("#hand-over", "Print this sheet").await?;
    assert_eq!(page.run("return window.printed", vec![]).await?, "handout");
    page.as_printed().await?;
    page.run(
        "document.documentElement.setAttribute('data-print', 'handout')",
        vec![],
    )
    .await?;
    let seen = page.run("return document.body.innerText", vec![]).await?;
    let seen = seen.as_str().unwrap_or_default();
    for said in [
        "Concert 9",
        "Heights as left",
        "2.70 mm",
        "check the rules in force",
    ] {
        assert!(seen.contains(said), "{said} in {seen}");
    }
    for hidden in [
        "Bench",
        "Finger's force",
        "Print this sheet",
        "Propose whole sets",
    ] {
        assert!(!seen.contains(hidden), "{hidden} in {seen}");
    }
    // A white sheet with black ink, also by night.
    let ground = "return getComputedStyle(document.querySelector('.handout')).color";
    assert_eq!(page.run(ground, vec![]).await?, "rgb(0, 0, 0)");
    let paper = page.printed().await?;
    assert!(paper.starts_with(b"%PDF") && paper.len() > 5_000);
    browser.close().await
}
