//! The page and a bare counter in a browser on a CPU slowed four times: how long until a first visit can be used, and how long from
//! a pointer's move to what it changed on the screen.

use crate::fixtures::{Bench, Failed, Page};
use serde_json::json;
use std::path::PathBuf;
use std::time::Duration;

/// How often a first visit is made; the middle one counts.
const VISITS: usize = 5;
/// Moves of the pointer that are timed.
const MOVES: usize = 120;

/// Before anything of the page runs: notes when an element of the selector was painted, and how long each frame of a pointer's move
/// took. What is posted in a frame's callback runs once that frame is painted.
const WATCH: &str = "(() => {
    const painted = then => requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => then(performance.now());
        channel.port2.postMessage(0);
    });
    const look = () => {
        if (!document.querySelector('SELECTOR')) return false;
        painted(at => window.usableAt = at);
        return true;
    };
    const watching = new MutationObserver(() => look() && watching.disconnect());
    watching.observe(document, { childList: true, subtree: true });
    window.moves = [];
    let waiting = false;
    addEventListener('pointermove', event => {
        if (!event.buttons || waiting) return;
        const begun = performance.now();
        waiting = true;
        painted(at => { waiting = false; window.moves.push(at - begun); });
    }, true);
})()";

/// A page to be measured.
struct Measured {
    folder: PathBuf,
    /// What can be used once it stands there.
    usable: &'static str,
    /// What is drawn with the pointer, and what shows that it moved.
    slider: &'static str,
    shows: &'static str,
    steps: &'static [&'static str],
    /// Pixels of a move, to the right and down.
    by: (f64, f64),
}

fn folder(name: &str) -> Result<PathBuf, Failed> {
    let folder = std::env::var_os(name).ok_or("run this with: cargo xtask bench")?;
    Ok(PathBuf::from(folder))
}

async fn slowed(page: &Page, usable: &str) -> Result<(), Failed> {
    let watch = WATCH.replace("SELECTOR", usable);
    let source = json!({ "source": watch });
    page.devtools("Page.addScriptToEvaluateOnNewDocument", source)
        .await?;
    page.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": 4 }))
        .await?;
    Ok(())
}

impl Measured {
    /// Milliseconds from a first visit's navigation until it can be used: each with a browser that never saw it, the middle one.
    async fn usable_ms(&self) -> Result<f64, Failed> {
        let mut all = Vec::new();
        for _ in 0..VISITS {
            let bench = Bench::over(self.folder.clone()).await?;
            let browser = bench.browser().await?;
            slowed(&browser.empty(), self.usable).await?;
            let page = browser.open(bench.address()).await?;
            page.find(self.usable).await?;
            let at = page
                .run(
                    "return new Promise(done => { const look = () => window.usableAt ? done(window.usableAt) : setTimeout(look, 50); \
                     look(); })",
                    vec![],
                )
                .await?;
            all.push(at.as_f64().ok_or("no moment")?);
            browser.close().await?;
        }
        all.sort_by(f64::total_cmp);
        eprintln!("{}: usable after {all:.0?} ms", self.usable);
        Ok(all[VISITS / 2])
    }

    /// Milliseconds from a pointer's move to the painted frame that it changed, at the 95th percentile.
    async fn slider_p95_ms(&self) -> Result<f64, Failed> {
        let bench = Bench::over(self.folder.clone()).await?;
        let browser = bench.browser().await?;
        slowed(&browser.empty(), self.usable).await?;
        let page = browser.open(bench.address()).await?;
        for step in self.steps {
            page.step(step).await?;
        }
        let middle = page
            .run(
                &format!(
                    "const e = document.querySelector(\"{}\"); e.scrollIntoView({{block: 'center', behavior: 'instant'}}); \
                     const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]",
                    self.slider
                ),
                vec![],
            )
            .await?;
        let (x, y) = (
            middle[0].as_f64().ok_or("no place")?,
            middle[1].as_f64().ok_or("no place")?,
        );
        tokio::time::sleep(Duration::from_secs(2)).await;
        let mouse = |kind: &'static str, step: f64, buttons: u8| {
            json!({ "type": kind, "x": x + self.by.0 * step, "y": y + self.by.1 * step, "button": "left", "buttons": buttons,
                "clickCount": 1 })
        };
        let shown = page.text(self.shows).await?;
        page.devtools("Input.dispatchMouseEvent", mouse("mousePressed", 0.0, 1))
            .await?;
        let mut changes = 0;
        let mut last = shown;
        for step in 1..=MOVES {
            // To and fro, so that the hand never leaves what can be set.
            let along = (step as f64 / 6.0).sin();
            page.devtools("Input.dispatchMouseEvent", mouse("mouseMoved", along, 1))
                .await?;
            if step % 10 == 0 {
                let now = page.text(self.shows).await?;
                changes += usize::from(now != last);
                last = now;
            }
        }
        page.devtools("Input.dispatchMouseEvent", mouse("mouseReleased", 0.0, 0))
            .await?;
        let moves = page.run("return window.moves", vec![]).await?;
        let mut moves: Vec<f64> = serde_json::from_value(moves)?;
        browser.close().await?;
        // Figures of a slider that did not move would be figures of nothing.
        if moves.len() < MOVES / 2 || changes < MOVES / 20 {
            return Err(format!(
                "{}: {} frames timed, {} of {} looks found a change",
                self.slider,
                moves.len(),
                changes,
                MOVES / 10
            )
            .into());
        }
        moves.sort_by(f64::total_cmp);
        let at = |share: usize| moves[(moves.len() * share / 100).min(moves.len() - 1)];
        eprintln!(
            "{}: {} frames, median {:.1} ms, 95th percentile {:.1} ms, most {:.1} ms",
            self.slider,
            moves.len(),
            at(50),
            at(95),
            at(100)
        );
        Ok(at(95))
    }
}

#[tokio::test]
#[ignore = "needs the page and the counter built: cargo xtask bench"]
async fn page_and_counter() -> Result<(), Failed> {
    let page = Measured {
        folder: folder("STRUNGWELL_PAGE")?,
        usable: ".bench button",
        slider: "[data-handle='gap_12'] .knob",
        shows: "[data-figure='note_finger']",
        steps: &[
            "press Look round the demo shop",
            "press-in #bench | Concert 12",
            "until .sheet h1 | Concert 12",
            "show #heights",
            "wait [data-figure='note_finger']",
        ],
        by: (0.0, 12.0),
    };
    let counter = Measured {
        folder: folder("STRUNGWELL_COUNTER")?,
        usable: "button",
        slider: "input",
        shows: "output",
        steps: &["wait input"],
        by: (50.0, 0.0),
    };
    let figures = json!({
        "usable_ms": page.usable_ms().await?,
        "counter_usable_ms": counter.usable_ms().await?,
        "slider_p95_ms": page.slider_p95_ms().await?,
        "counter_slider_p95_ms": counter.slider_p95_ms().await?,
    });
    println!("{figures}");
    Ok(())
}
