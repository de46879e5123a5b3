//! A gap under the hand: what waits for it is marked, and a second knob under a second finger keeps what the first one moved.

use crate::fixtures::{Bench, Failed, Page, stored};
use serde_json::{Value, json};

const INSTRUMENT: &str = "inst-concert-12";

/// The middle of a knob on the screen.
async fn middle(page: &Page, name: &str) -> Result<[f64; 2], Failed> {
    let at = page
        .run(
            "const r = document.querySelector(`[data-handle='${arguments[0]}'] .knob`).getBoundingClientRect();
             return [r.x + r.width / 2, r.y + r.height / 2]",
            vec![json!(name)],
        )
        .await?;
    Ok(serde_json::from_value(at)?)
}

/// What the fingers do; each is a place on the screen, and how far below it the finger is now.
async fn touch(page: &Page, what: &str, fingers: &[([f64; 2], f64)]) -> Result<(), Failed> {
    let points: Vec<Value> = fingers
        .iter()
        .enumerate()
        .map(|(id, ([x, y], down))| json!({ "x": x, "y": y + down, "id": id }))
        .collect();
    let event = json!({ "type": what, "touchPoints": points });
    page.devtools("Input.dispatchTouchEvent", event).await?;
    // A frame of the screen.
    tokio::time::sleep(std::time::Duration::from_millis(30)).await;
    Ok(())
}

/// The two gaps of the first course as they are kept.
async fn gaps(page: &Page) -> Result<[f64; 2], Failed> {
    let workshop = stored(page, Some(INSTRUMENT)).await?;
    let course = &workshop["instruments"][0]["setup"]["courses"][0];
    let gap = |name: &str| course[name].as_f64().ok_or("no gap");
    Ok([gap("gap_1_mm")?, gap("gap_12_mm")?])
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_second_knob_under_a_second_finger_keeps_the_first_one_s_gap() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.demo("Concert 12").await?;
    page.step("show #heights").await?;
    page.find("[data-handle='gap_1'] .knob").await?;
    let before = gaps(&page).await?;
    let (far, near) = (
        middle(&page, "gap_12").await?,
        middle(&page, "gap_1").await?,
    );

    touch(&page, "touchStart", &[(far, 0.0)]).await?;
    touch(&page, "touchMove", &[(far, 6.0)]).await?;
    touch(&page, "touchMove", &[(far, 12.0)]).await?;
    touch(&page, "touchStart", &[(far, 12.0), (near, 0.0)]).await?;
    touch(&page, "touchMove", &[(far, 12.0), (near, -4.0)]).await?;
    touch(&page, "touchMove", &[(far, 12.0), (near, -8.0)]).await?;
    touch(&page, "touchEnd", &[]).await?;
    page.until("return !document.querySelector('#heights.moving')")
        .await?;
    let after = gaps(&page).await?;
    assert!(after[0] > before[0] + 0.05, "{before:?} {after:?}");
    assert!(after[1] < before[1] - 0.05, "{before:?} {after:?}");
    for (name, gap) in [("gap_1", after[0]), ("gap_12", after[1])] {
        let shown: f64 = page
            .attr(&format!("[data-handle='{name}']"), "aria-valuenow")
            .await?
            .parse()?;
        assert!((shown - gap).abs() < 0.006, "{name}: {shown} for {gap}");
    }
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

/// What each section's heading says beside its name, and where everything lies.
const MARKS: &str = "return [[...document.querySelectorAll('.sheet-section > h2')].map(h => [h.parentElement.id, \
    getComputedStyle(h, '::after').content]), [...document.querySelectorAll('.sheet-section:not(#heights)')].map(s => \
    s.getBoundingClientRect().height)]";

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn what_waits_for_the_hand_is_marked_and_nothing_is_moved_by_it() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.demo("Concert 12").await?;
    page.step("show #heights").await?;
    page.find("[data-handle='gap_12'] .knob").await?;
    let still = page.run(MARKS, vec![]).await?;
    // Drawn on without rest until it is looked at.
    let moving = "const knob = document.querySelector(\"[data-handle='gap_12']\"), y = knob.getBoundingClientRect().y; \
        const does = (what, by) => knob.dispatchEvent(new PointerEvent(what, { pointerId: 7, clientY: y + by, bubbles: true })); \
        does('pointerdown', 0); let by = 0; window.drawn = setInterval(() => does('pointermove', by = (by + 1) % 9), 20); \
        window.let_go = () => { clearInterval(window.drawn); does('pointerup', by); }";
    page.run(moving, vec![]).await?;
    page.find("#heights.moving").await?;
    tokio::time::sleep(std::time::Duration::from_millis(400)).await;
    let marked = page.run(MARKS, vec![]).await?;
    page.run("window.let_go()", vec![]).await?;
    page.until("return !document.querySelector('#heights.moving')")
        .await?;
    let said = |marks: &Value| -> Vec<(String, bool)> {
        let all = marks[0].as_array().cloned().unwrap_or_default();
        all.iter()
            .map(|one| {
                let words = one[1].as_str().unwrap_or_default();
                let id = one[0].as_str().unwrap_or_default().to_owned();
                (id, words == "\"follows when the hand rests\"")
            })
            .collect()
    };
    assert!(said(&still).iter().all(|(_, waits)| !waits));
    assert!(said(&marked).len() == 10);
    for (id, waits) in said(&marked) {
        assert_eq!(waits, id != "heights", "{id}");
    }
    assert_eq!(marked[1], still[1], "a section became higher or lower");
    let rested = page.run(MARKS, vec![]).await?;
    assert!(said(&rested).iter().all(|(_, waits)| !waits));
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
