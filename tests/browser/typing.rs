//! What is typed wrong stays as typed, says what is wrong, and the last valid value goes on counting.

use crate::fixtures::{Bench, Failed};

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_scale_of_nothing_is_refused_and_kept() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Add an instrument").await?;
    page.press_in("form.add", "Add").await?;
    let figure = "#strings .course-row[data-course='1'] [data-figure='tension']";
    let field = "[data-field='scale_mm']";
    let before = page.text(figure).await?;

    for (typed, said) in [
        ("0", "50 to 2000"),
        ("38l", "cannot be read"),
        ("90 in", "50 to 2000"),
    ] {
        page.type_into(field, typed).await?;
        let message = page
            .until_text("#field-scale_mm-message", |t| t.contains(said))
            .await?;
        assert!(
            message.contains("Counting with 381.00 mm"),
            "{typed}: {message}"
        );
        assert_eq!(page.value(field).await?, typed);
        assert_eq!(page.attr(field, "aria-invalid").await?, "true");
        assert_eq!(page.text(figure).await?, before, "{typed}");
    }
    // It even survives a reload.
    page.reload().await?;
    page.find(field).await?;
    assert_eq!(page.value(field).await?, "90 in");
    assert_eq!(page.text(figure).await?, before);

    // Bench notation is read, and the figures follow.
    page.type_into(field, "13 7/8 in").await?;
    page.until_text("#field-scale_mm-message", str::is_empty)
        .await?;
    page.until_text(figure, |t| t != before).await?;
    assert_eq!(page.value(field).await?, "352.425");
    browser.close().await
}
