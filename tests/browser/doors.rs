//! Closed doors: nothing is loaded from elsewhere, nothing inline is run, types are right.

use crate::fixtures::{Bench, Failed, exported};

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_page_opens_without_a_complaint_and_asks_nobody() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    let loaded = page.loaded().await?;
    assert!(loaded.len() >= 3, "{loaded:?}");
    let count = loaded.len();
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
    // Worked on, the page asks nobody either: not for a sheet, not for a file out, not for a link.
    page.demo("Concert 9").await?;
    page.type_into("[data-field='scale_mm']", "383").await?;
    exported(&page).await?;
    // Names of people stand in no address, no link and no line of the console.
    let owner = "Petronella Quill";
    page.type_into("[data-field='owner-name']", owner).await?;
    page.until_text("#instrument", |_| true).await?;
    let seen = page
        .run(
            "return [location.href, document.title, ...[...document.querySelectorAll('a')].map(a => a.href)].join(' ')",
            vec![],
        )
        .await?;
    let seen = seen.as_str().unwrap_or_default().to_owned();
    let said = page.console().await?.join(" ");
    for word in ["Petronella", "Quill"] {
        assert!(
            !seen.contains(word) && !said.contains(word),
            "{seen} {said}"
        );
    }
    // What was asked for is only known once it was answered.
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    let own = page.loaded().await?;
    assert_eq!(own.len(), count, "asked for after the page stood: {own:?}");
    assert_eq!(page.complaints().await?, Vec::<String>::new());
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
