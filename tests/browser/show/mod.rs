//! An instrument shown to a player: what is seen, felt and heard is what the report says, and a link shows it elsewhere.

mod heard;
mod link;
mod seen;

use crate::fixtures::{Failed, Page, stored};
use serde_json::{Value, json};

const INSTRUMENT: &str = "inst-concert-12";

/// From the welcome to the demo's concert instrument, and its view for a player.
pub(crate) async fn opened(page: &Page) -> Result<Value, Failed> {
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 12").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 12"))
        .await?;
    let workshop = stored(page, Some(INSTRUMENT)).await?;
    page.press("Show a player").await?;
    page.find(".player .note-button[data-course='2'][aria-pressed='true']")
        .await?;
    Ok(workshop)
}

/// Moves a slider as a hand does.
pub(crate) async fn slide(page: &Page, name: &str, value: &str) -> Result<(), Failed> {
    let slider = page.find(&format!("[data-field='{name}']")).await?;
    page.run(
        "arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input', { bubbles: true }))",
        vec![serde_json::to_value(&slider)?, json!(value)],
    )
    .await?;
    Ok(())
}

/// Picks one of the setups for the first or the second side, by its words.
async fn side_by(page: &Page, side: usize, words: &str) -> Result<(), Failed> {
    page.run(
        "const s = document.getElementById(arguments[0]);
         s.value = [...s.options].find(o => o.text.startsWith(arguments[1])).value;
         s.dispatchEvent(new Event('change', { bubbles: true }))",
        vec![json!(format!("show-side-{side}")), json!(words)],
    )
    .await?;
    Ok(())
}

/// What the setup on a side is called.
pub(crate) async fn called(page: &Page, side: usize) -> Result<String, Failed> {
    let name = page
        .run(
            "return document.getElementById(arguments[0]).selectedOptions[0].text",
            vec![json!(format!("show-side-{}", side - 1))],
        )
        .await?;
    Ok(name.as_str().unwrap_or_default().to_owned())
}

/// Finger's force, cents and headroom of a side, as shown.
async fn shown(page: &Page, side: usize) -> Result<[String; 3], Failed> {
    let mut all = [const { String::new() }; 3];
    for (text, figure) in all
        .iter_mut()
        .zip(["show_finger", "show_cents", "show_headroom"])
    {
        let css = format!("[data-side='{side}'] [data-figure='{figure}']");
        *text = page.text(&css).await?;
    }
    Ok(all)
}

/// All gaps at the twelfth fret of a workshop's instrument moved, in mm.
fn moved(workshop: &Value, by: f64) -> Result<Value, Failed> {
    let mut workshop = workshop.clone();
    let courses = workshop["instruments"][0]["setup"]["courses"]
        .as_array_mut()
        .ok_or("no setup")?;
    for course in courses {
        let gap = course["gap_12_mm"].as_f64().ok_or("no gap")?;
        course["gap_12_mm"] = json!(((gap + by) * 1e4).round() / 1e4);
    }
    Ok(workshop)
}
