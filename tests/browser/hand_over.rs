//! What is printed, read back from the paper.

use crate::fixtures::{A4, Bench, Failed, Glass, Page};

/// Papers, with their width and height in centimetres; a letter is 8.5 by 11 inches.
const PAPERS: [(&str, (f64, f64)); 2] = [("A4", A4), ("Letter", (21.59, 27.94))];

/// What stands on a printed paper without its spaces, which print sets by distance, and how many pages there are. Every page is of the
/// paper's size.
async fn on_paper(page: &Page, paper: (f64, f64)) -> Result<(String, usize), Failed> {
    let bytes = page.printed(paper).await?;
    let document = pdf_extract::Document::load_mem(&bytes)?;
    let pages = document.get_pages();
    for id in pages.values() {
        let sheet = document.get_dictionary(*id)?;
        let bounds = sheet.get(b"MediaBox")?.as_array()?;
        let sides = [bounds[2].as_float()?, bounds[3].as_float()?];
        for (side, cm) in sides.into_iter().zip([paper.0, paper.1]) {
            // 72 points to the inch, as PDF counts.
            let off = f64::from(side) - cm / 2.54 * 72.0;
            assert!(off.abs() < 1.5, "{sides:?} points are not {paper:?} cm");
        }
    }
    let text = pdf_extract::extract_text_from_mem(&bytes)?;
    Ok((close(&text), pages.len()))
}

/// A text without its spaces.
fn close(text: &str) -> String {
    text.split_whitespace().collect()
}

fn says(paper: &str, text: &str, said: &[&str], hidden: &[&str]) {
    for word in said {
        assert!(text.contains(&close(word)), "{paper}: {word} in {text}");
    }
    for word in hidden {
        assert!(!text.contains(&close(word)), "{paper}: {word} in {text}");
    }
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_sheets_stand_on_a4_and_letter_alone_and_black_on_white() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.demo("Concert 9").await?;
    // The instrument's own sheet, as the browser's menu prints it: what can hurt is said once where it matters.
    page.run("document.querySelector('#plan').scrollIntoView()", vec![])
        .await?;
    page.find("[data-caution='dust']").await?;
    page.run("document.querySelector('#loads').scrollIntoView()", vec![])
        .await?;
    page.find("[data-caution='border']").await?;
    // Each stands once, where its work is done: strings, filing, woods, a bridge that bears too much.
    let places = page
        .run(
            "return [...document.querySelectorAll('[data-caution]')].map(c => [c.dataset.caution, c.closest('section').id])",
            vec![],
        )
        .await?;
    let mut places: Vec<(String, String)> = serde_json::from_value(places)?;
    places.sort();
    let stand = [
        ("border", "loads"),
        ("bridge", "loads"),
        ("dust", "plan"),
        ("wire", "strings"),
    ];
    assert_eq!(places, stand.map(|(c, s)| (c.to_owned(), s.to_owned())));
    for (paper, size) in PAPERS {
        let (text, pages) = on_paper(&page, size).await?;
        assert!(pages >= 2, "{paper}: {pages}");
        let cautions = [
            "wire and of wound strings",
            "Dust of bone",
            "Lifting a bridge",
            "check the rules in force",
        ];
        says(
            paper,
            &text,
            &["Concert 9", "Strings", "Heights", "N"],
            &[
                "Look round the demo shop",
                "Copies of your records",
                "Print this sheet",
            ],
        );
        for caution in cautions {
            let times = text.matches(&close(caution)).count();
            assert_eq!(times, 1, "{paper}: {caution}");
        }
    }

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
    let others = [
        "Bench",
        "Print this sheet",
        "Propose whole sets",
        "Copies of your records",
        "Dust of bone",
    ];
    let customer = [
        "Concert 9",
        "Tuning and strings",
        "Heights as left",
        "2.70 mm",
        "humidity",
        "check the rules in force",
        "eyes protected",
    ];
    let shop = ["Concert 9", "Sharp or flat, cents", "2.70 mm", "Headroom"];
    for (sheet, said) in [("customer", &customer[..]), ("shop", &shop[..])] {
        page.run(
            &format!(
                "document.documentElement.removeAttribute('data-print'); document.querySelector(\"[data-sheet='{sheet}']\").click(); \
                 document.documentElement.setAttribute('data-print', 'handout')"
            ),
            vec![],
        )
        .await?;
        page.until(&format!(
            "return document.querySelector(\"[data-sheet='{sheet}']\").ariaPressed === 'true'"
        ))
        .await?;
        let mut read = Vec::new();
        for (paper, size) in PAPERS {
            let (text, _) = on_paper(&page, size).await?;
            says(paper, &text, said, &others);
            read.push(text);
        }
        assert_eq!(read[0], read[1], "the same words on either paper");
    }
    // Which paper is the person's choice: no style asks for one, and nothing sticks out of either within its margins.
    let asks = "const all = rules => [...rules].flatMap(r => [r, ...(r.cssRules ? all(r.cssRules) : [])]); \
        return [...document.styleSheets].flatMap(s => all(s.cssRules)).filter(r => r instanceof CSSPageRule && r.style.size).length";
    assert_eq!(page.run(asks, vec![]).await?, 0);
    for (paper, (cm, _)) in PAPERS {
        // A centimetre on either side; 96 CSS pixels to the inch.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let width = ((cm - 2.0) / 2.54 * 96.0) as u32;
        page.look_through(Glass {
            width,
            height: 1000,
            night: true,
        })
        .await?;
        page.as_printed().await?;
        assert_eq!(page.sideways().await?, 0, "{paper}");
    }
    // A white sheet with black ink, also by night.
    let ink = "const s = getComputedStyle(document.querySelector('.handout')); return [s.color, getComputedStyle(document.body).backgroundColor]";
    let ink = page.run(ink, vec![]).await?;
    assert_eq!(ink[0], "rgb(0, 0, 0)");
    assert!(
        ink[1] == "rgb(255, 255, 255)" || ink[1] == "rgba(0, 0, 0, 0)",
        "{ink}"
    );
    browser.close().await
}
