//! Pictures of the page. With the tests they go to a folder that is thrown away, which shows that each scene can still be
//! reached, fits its width and complains of nothing; `cargo xtask screenshots` keeps them, `cargo xtask look` takes others.

use crate::fixtures::{A4, Bench, Failed, Glass, Page};
use std::env;
use std::fs;
use std::path::PathBuf;

/// A picture: how it is looked at, the way to what it shows, and the name of its file.
struct Scene {
    name: String,
    glass: Glass,
    /// The whole page rather than what fits the view.
    whole: bool,
    /// On paper too.
    paper: bool,
    steps: Vec<String>,
}

/// The pictures that the project keeps. A name ends in the width and the hour.
const SCENES: [(&str, Glass, &[&str]); 9] = [
    ("bench-wide-day", Glass::WIDE, &[]),
    ("bench-narrow-night", Glass::NARROW.by_night(), &[]),
    ("choosing-wide-day", Glass::WIDE, CHOOSING),
    ("sheet-wide-night", Glass::WIDE.by_night(), SHEET),
    ("sheet-narrow-day", Glass::NARROW, SHEET),
    ("choosing-narrow-night", Glass::NARROW.by_night(), CHOOSING),
    ("strings-wide-night", Glass::WIDE.by_night(), STRINGS),
    ("heights-wide-day", Glass::WIDE, HEIGHTS),
    ("intonation-wide-day", Glass::WIDE, INTONATION),
];

const STRINGS: &[&str] = &[
    "press Look round the demo shop",
    "press-in #bench | Concert 9",
    "until #strings .course-row[data-course='1'] .note | G3",
    "show #strings",
];

const HEIGHTS: &[&str] = &[
    "press Look round the demo shop",
    "press-in #bench | Concert 9",
    "until #strings .course-row[data-course='1'] .note | G3",
    "show #heights",
];

const INTONATION: &[&str] = &[
    "press Look round the demo shop",
    "press-in #bench | Concert 9",
    "until #strings .course-row[data-course='1'] .note | G3",
    "show #intonation",
];

const SHEET: &[&str] = &[
    "press Add an instrument",
    "press-in form.add | Add",
    "until #strings .course-row[data-course='1'] .note | G4",
];

const CHOOSING: &[&str] = &[
    "press Add an instrument",
    "press-in form.add | Add",
    "until #strings .course-row[data-course='1'] .note | G4",
    "press-in #strings .course-row[data-course='1'] | Choose a string",
    "label G3",
    "until [data-list='ruled-out'] | Too slack",
    "show .choosing",
];

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn scenes_can_be_reached_fit_their_width_and_are_pictured() -> Result<(), Failed> {
    let scratch = env::temp_dir().join(format!("strungwell-pictures-{}", std::process::id()));
    let kept = env::var_os("STRUNGWELL_PICTURES").map(PathBuf::from);
    let folder = kept.as_ref().unwrap_or(&scratch);
    fs::create_dir_all(folder)?;
    let scenes = match env::var("STRUNGWELL_LOOK") {
        Ok(steps) => vec![asked_for(&steps)?],
        Err(_) => kept_scenes(),
    };
    let mut wrong = Vec::new();
    for scene in &scenes {
        match taken(scene).await {
            Ok(files) => {
                for (ending, bytes) in files {
                    let path = folder.join(format!("{}.{ending}", scene.name));
                    println!("{} ({} bytes)", path.display(), bytes.len());
                    fs::write(path, bytes)?;
                }
            }
            Err(why) => wrong.push(format!("{}: {why}", scene.name)),
        }
    }
    if kept.is_none() {
        fs::remove_dir_all(&scratch)?;
    }
    assert_eq!(wrong, Vec::<String>::new());
    Ok(())
}

fn kept_scenes() -> Vec<Scene> {
    SCENES
        .iter()
        .map(|(name, glass, steps)| Scene {
            name: (*name).into(),
            glass: *glass,
            whole: false,
            paper: false,
            steps: steps.iter().map(|s| (*s).into()).collect(),
        })
        .collect()
}

/// The one picture that `cargo xtask look` asks for.
fn asked_for(steps: &str) -> Result<Scene, Failed> {
    let set = |name: &str| env::var_os(name).is_some();
    let mut glass = Glass::WIDE;
    if let Ok(width) = env::var("STRUNGWELL_LOOK_WIDTH") {
        glass.width = width.parse()?;
    }
    glass.night = set("STRUNGWELL_LOOK_NIGHT");
    let hour = if glass.night { "night" } else { "day" };
    Ok(Scene {
        name: format!("look-{}-{hour}", glass.width),
        glass,
        whole: true,
        paper: set("STRUNGWELL_LOOK_PRINT"),
        steps: steps.lines().map(str::to_owned).collect(),
    })
}

/// Walks to a scene in a new browser and gives the files it makes, each with its ending.
async fn taken(scene: &Scene) -> Result<Vec<(&'static str, Vec<u8>)>, Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.look_through(scene.glass).await?;
    for step in &scene.steps {
        page.step(step).await?;
    }
    let files = pictured(&page, scene).await?;
    let sideways = page.sideways().await?;
    let complaints = page.complaints().await?;
    browser.close().await?;
    // What is only looked at may still be wrong; what is kept may not.
    if env::var_os("STRUNGWELL_LOOK").is_some() {
        println!("sticks out sideways by {sideways} px; complaints: {complaints:?}");
    } else if sideways != 0 || !complaints.is_empty() {
        return Err(
            format!("sticks out sideways by {sideways} px; complaints: {complaints:?}").into(),
        );
    }
    Ok(files)
}

async fn pictured(page: &Page, scene: &Scene) -> Result<Vec<(&'static str, Vec<u8>)>, Failed> {
    let png = if scene.whole {
        page.whole_picture(scene.glass).await?
    } else {
        page.picture().await?
    };
    let width = png
        .get(16..20)
        .and_then(|b| b.try_into().ok())
        .map(u32::from_be_bytes);
    if !png.starts_with(b"\x89PNG") || width != Some(scene.glass.width) {
        return Err(format!("the picture is {width:?} wide, not {}", scene.glass.width).into());
    }
    let mut files = vec![("png", png)];
    if scene.paper {
        files.push(("pdf", page.printed(A4).await?));
    }
    Ok(files)
}
