//! The page kept on the machine: without a network, with a newer one, and with files of two builds.

use crate::fixtures::{Bench, Failed, Page};
use std::path::{Path, PathBuf};
use strungwell_xtask::run;

/// A copy of the built page that a test may change; it goes with it.
struct Copy(PathBuf);

impl Copy {
    fn new(name: &str) -> Result<Self, Failed> {
        let folder = std::env::temp_dir().join(format!("strungwell-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder)?;
        for entry in std::fs::read_dir(run::root().join("dist"))? {
            let entry = entry?;
            std::fs::copy(entry.path(), folder.join(entry.file_name()))?;
        }
        Ok(Self(folder))
    }

    fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Copy {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// Names the build of a copied page otherwise, as a newer one is.
fn rename(worker: &Path) -> Result<(), Failed> {
    let text = std::fs::read_to_string(worker)?;
    let stamp = text.split('"').nth(1).ok_or("the worker has no stamp")?;
    std::fs::write(worker, text.replace(stamp, "newer001"))?;
    Ok(())
}

const KEPT: &str =
    "return navigator.serviceWorker.ready.then(r => r.active?.state === 'activated')";

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_page_opens_without_a_network_after_the_first_visit() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.until(KEPT).await?;
    page.demo("Concert 9").await?;
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
async fn a_newer_page_takes_nothing_that_was_typed() -> Result<(), Failed> {
    // A browser now and then sits on its look for a newer page and asks the server nothing; then another one is begun with.
    for _ in 0..3 {
        if newer_is_taken().await? {
            return Ok(());
        }
    }
    Err("no browser looked for a newer page".into())
}

/// Types in two windows, takes a newer page in one of them, and looks for what was typed. False where the browser did not look for
/// the newer page at all.
async fn newer_is_taken() -> Result<bool, Failed> {
    let copy = Copy::new("newer")?;
    let bench = Bench::over(copy.0.clone()).await?;
    let browser = bench.browser().await?;
    let page = browser
        .open(&format!("{}/#/demo/", bench.address()))
        .await?;
    page.until(KEPT).await?;
    page.reload().await?;
    let notes = "#sets [data-field='retune_notes']";
    let player = "#plan [data-field='player_name']";
    let typed = async |page: &Page| -> Result<(), Failed> {
        for css in ["#sets", "#plan"] {
            page.run(
                &format!("document.querySelector('{css}').scrollIntoView(); document.querySelectorAll('{css} details').forEach(d => d.open = true); window.mark = 1"),
                vec![],
            )
            .await?;
        }
        page.find(notes).await?;
        page.find(player).await?;
        Ok(())
    };
    let [first, second] = page
        .another_window(&format!("{}/#/demo/", bench.address()))
        .await?;
    typed(&page).await?;
    page.put(notes, "the other window").await?;
    page.switch(&first).await?;
    typed(&page).await?;
    page.put(notes, "D4 G4 B4 E5").await?;
    page.put(player, "soft fingers").await?;
    page.put("[data-field='scale_mm']", "38l").await?;

    rename(&copy.file("worker.js"))?;
    // A look for a newer page that the browser began before there was one answers this one too, so it is asked again.
    let looked = "return (async () => { const place = await navigator.serviceWorker.getRegistration(), end = performance.now() + 15000; \
                  while (performance.now() < end) { place.update().catch(() => {}); \
                  if (place.installing || place.waiting) return true; \
                  await new Promise(done => setTimeout(done, 250)); } return false })()";
    if page.run(looked, vec![]).await? != true {
        browser.close().await?;
        return Ok(false);
    }
    page.until_text("[data-figure='newer']", |t| {
        t.contains("newer version lies ready")
    })
    .await?;
    page.press("Use it now").await?;
    page.until("return window.mark === undefined && !!document.querySelector('main')")
        .await?;
    typed(&page).await?;
    page.until_value(notes, "D4 G4 B4 E5").await?;
    page.until_value(player, "soft fingers").await?;
    page.until_value("[data-field='scale_mm']", "38l").await?;
    page.until("return caches.keys().then(k => k.length === 1 && k[0].endsWith('newer001'))")
        .await?;

    // The other window was told, and goes on with what is typed in it.
    page.switch(&second).await?;
    page.until_text("[data-figure='newer']", |t| {
        t.contains("Another window took")
    })
    .await?;
    assert_eq!(page.value(notes).await?, "the other window");
    assert_eq!(page.run("return window.mark", vec![]).await?, 1);
    browser.close().await?;
    Ok(true)
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn files_of_two_builds_are_not_kept_and_a_broken_set_mends() -> Result<(), Failed> {
    let copy = Copy::new("mixed")?;
    let wasm = copy.file("strungwell_bg.wasm");
    let whole = std::fs::read(&wasm)?;
    // The same program with an empty section of its own at the end: it runs, but is not the one that was listed.
    std::fs::write(&wasm, [&whole[..], &[0, 2, 1, b'x']].concat())?;
    let bench = Bench::over(copy.0.clone()).await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    let tried = "return navigator.serviceWorker.register('./worker.js').then(r => new Promise(done => { \
                 const w = r.installing || r.waiting || r.active; const look = () => \
                 ['redundant', 'activated'].includes(w?.state) ? done(w.state) : setTimeout(look, 20); look() }))";
    assert_eq!(page.run(tried, vec![]).await?, "redundant");
    let names = page.run("return caches.keys()", vec![]).await?;
    assert_eq!(names, serde_json::json!([]), "files of two builds are kept");

    std::fs::write(&wasm, &whole)?;
    page.reload().await?;
    page.until(KEPT).await?;
    page.until("return caches.keys().then(k => k.length === 1)")
        .await?;
    // What is kept goes bad: the page does not start with it, fetches it again and opens.
    page.run(
        "return caches.keys().then(([k]) => caches.open(k)).then(c => c.put('./strungwell_bg.wasm', \
         new Response('no program', { headers: { 'content-type': 'application/wasm' } }))).then(() => true)",
        vec![],
    )
    .await?;
    page.reload().await?;
    page.until_text(".brand", |t| t.starts_with("Strungwell"))
        .await?;
    // And it is whole again: no network is needed.
    bench.stop_serving();
    page.without_network().await?;
    page.reload().await?;
    browser.close().await
}
