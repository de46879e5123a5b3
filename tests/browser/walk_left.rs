//! The walk of the view for a player, left by a hand that moves something in its midst.

use crate::fixtures::{Bench, Failed};
use crate::show::{called, opened, slide};

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_walk_ends_when_a_hand_moves_what_it_speaks_of() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    opened(&page).await?;
    slide(&page, "show_pluck", "2.5").await?;
    let before = page.text(".show-controls").await?;
    for way in ["action", "pluck", "string", "fret"] {
        page.press("Walk me through it").await?;
        page.until_text(".show-tour", |t| t.contains("1 of 3"))
            .await?;
        // The first setup is not called as if its strings lay so; the second does lie so.
        assert!(called(&page, 1).await?.ends_with(", with the height tried"));
        assert!(!called(&page, 2).await?.contains("tried"));
        match way {
            "action" => slide(&page, "show_action", "4").await?,
            "pluck" => slide(&page, "show_pluck", "7").await?,
            "fret" => slide(&page, "show_fret", "6").await?,
            _ => page.press_in(".player .note-buttons", "E4").await?,
        }
        let says = page
            .until_text(".show-tour", |t| t.contains("the walk has ended"))
            .await?;
        assert!(!says.contains("1 of 3"), "{way}: {says}");
        // What the hand did stays, until what stood before is asked for.
        match way {
            "action" => assert!(page.text(".show-controls").await?.contains("4.00 mm")),
            "pluck" => assert!(page.text(".show-controls").await?.contains("7.0 N")),
            _ => {}
        }
        page.press("Back to what stood before the walk").await?;
        page.until_text(".show-tour", |t| t.starts_with("Walk me"))
            .await?;
        assert_eq!(page.text(".show-controls").await?, before, "{way}");
        assert!(!called(&page, 1).await?.contains("tried"));
    }
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
