//! A link shows the same elsewhere.

use super::{called, opened, shown, side_by, slide};
use crate::fixtures::{Bench, Failed, Glass, Page};
use strungwell_workshop::link;
use strungwell_workshop::show::Which;

/// The link that is made of what is shown, after the address.
async fn link_made(page: &Page) -> Result<String, Failed> {
    page.press("Make a link").await?;
    let link = page.value("[data-field='show_link']").await?;
    let (_, carried) = link.split_once("#/show/").ok_or("no link")?;
    Ok(carried.to_owned())
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_link_shows_the_same_in_a_browser_that_knows_nothing() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    let workshop = opened(&page).await?;
    slide(&page, "show_action", "2.2").await?;
    page.until_text(".show-controls", |t| t.contains("2.20 mm"))
        .await?;
    let [first, second] = [shown(&page, 1).await?, shown(&page, 2).await?];
    let carried = link_made(&page).await?;
    assert!(carried.len() <= 2900, "{}", carried.len());
    let lower = carried.to_lowercase();
    let instrument = &workshop["instruments"][0];
    for field in ["name", "note", "id", "owner", "serial", "maker", "family"] {
        for word in instrument[field].as_str().unwrap_or("").split(' ') {
            let word = word.to_lowercase();
            assert!(word.len() < 4 || !lower.contains(&word), "{field}: {word}");
        }
    }
    page.find(".qr path").await?;

    // Another instrument stays at home; and it is no first setup of a link.
    let names = [called(&page, 1).await?, called(&page, 2).await?];
    assert_eq!(names[0], "As it leaves, with the height tried");
    side_by(&page, 1, "Concert 9").await?;
    let alone = link::decode(&link_made(&page).await?)?;
    assert_eq!((alone.which, alone.other), (Which::Tried, None));
    side_by(&page, 0, "Concert 9").await?;
    page.press("Make a link").await?;
    page.until_text(".show-share", |t| t.contains("No link: it shows another"))
        .await?;

    // On a phone the finger follows a hand, and nothing sticks out.
    page.look_through(Glass::NARROW).await?;
    page.find(".neck-side").await?;
    assert_eq!(page.sideways().await?, 0);
    page.drag("[data-side='1'] .touch-finger", -60.0, 0.0)
        .await?;
    page.until_text(".show-controls", |t| !t.contains("fret 5"))
        .await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await?;

    let other = Bench::new().await?;
    let fresh = other.browser().await?;
    let address = format!("{}/#/show/", other.address());
    let page = fresh.open(&format!("{address}{carried}")).await?;
    assert_eq!(called(&page, 1).await?, "With the height tried");
    assert_eq!(called(&page, 2).await?, names[1]);
    assert_eq!(shown(&page, 1).await?, first);
    assert_eq!(shown(&page, 2).await?, second);
    // Another height again is still a height tried.
    slide(&page, "show_action", "3.3").await?;
    page.until_text(".show-controls", |t| t.contains("3.30 mm"))
        .await?;
    assert_eq!(called(&page, 1).await?, "With the height tried");
    assert_eq!(page.complaints().await?, Vec::<String>::new());

    // A link that was cut short, and one that never was one, are refused in a sentence.
    let short = &carried[..carried.len() - 9];
    let long = format!("show1:{}", "1,".repeat(2000));
    for (bad, says) in [
        (short, "cut short"),
        ("<b>hello</b>", "shows no instrument"),
        (long.as_str(), "too long"),
    ] {
        let page = fresh.open(&format!("{address}{bad}")).await?;
        let why = page
            .until_text("[data-show='refused']", |t| t.contains(says))
            .await?;
        assert!(why.starts_with("Sorry"), "{why}");
        assert_eq!(page.complaints().await?, Vec::<String>::new());
    }
    fresh.close().await
}
