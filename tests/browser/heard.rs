//! What a screen reader is given of a sheet, from top to bottom: the browser's own accessibility tree, written down in
//! docs/heard.md and compared with it.

use crate::fixtures::{Bench, Failed, Page};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

/// Roles that carry no word of their own, and those that only repeat what the one around them says.
const PASSED_OVER: [&str; 20] = [
    "none",
    "generic",
    "paragraph",
    "list",
    "listitem",
    "ListMarker",
    "DescriptionList",
    "term",
    "definition",
    "StaticText",
    "InlineTextBox",
    "LineBreak",
    "LabelText",
    "MenuListPopup",
    "option",
    "caption",
    "Figcaption",
    "rowgroup",
    "strong",
    "figure",
];

/// Roles that a hand comes to, and roles that stand for a drawing: none may be without a name.
const NAMED: [&str; 11] = [
    "button",
    "link",
    "textbox",
    "searchbox",
    "combobox",
    "checkbox",
    "slider",
    "image",
    "DisclosureTriangle",
    "region",
    "heading",
];

/// What of a section is worked out only when it is near the eye.
const LATE: [(&str, &str); 5] = [
    ("plan", ".plan-table"),
    ("plan", ".trade"),
    ("loads", ".loads-table"),
    ("loads", ".drawing"),
    ("hand-over", ".handout table"),
];

/// How long what is told may take to be what the document says.
const PATIENCE: Duration = Duration::from_secs(10);

fn word<'a>(node: &'a Value, of: &str) -> &'a str {
    node[of]["value"].as_str().unwrap_or_default()
}

/// One line for each thing that is read out, as deep as it lies.
fn tell(node: &Value, all: &BTreeMap<&str, &Value>, depth: usize, out: &mut Vec<(usize, String)>) {
    let role = word(node, "role");
    let name = word(node, "name");
    // A group, a row or a status without a name is passed through silently.
    let is_told = node["ignored"] != true
        && !PASSED_OVER.contains(&role)
        && (!name.is_empty() || NAMED.contains(&role));
    if is_told {
        let role = match role {
            "DisclosureTriangle" => "opens",
            "image" => "drawing",
            "RootWebArea" => "page",
            other => other,
        };
        let mut line = format!(
            "{role}: {}",
            name.split_whitespace().collect::<Vec<_>>().join(" ")
        );
        let said = word(node, "description");
        if !said.is_empty() {
            // Cannot fail.
            let _ = write!(line, " ({said})");
        }
        out.push((depth, line));
    }
    // What stands in a button or a cell is its name already.
    if is_told
        && matches!(
            role,
            "button" | "link" | "heading" | "DisclosureTriangle" | "cell"
        )
    {
        return;
    }
    for child in node["childIds"].as_array().into_iter().flatten() {
        if let Some(child) = child.as_str().and_then(|id| all.get(id)) {
            tell(child, all, depth + usize::from(is_told), out);
        }
    }
}

/// What is told at this moment, each line with how deep it lies.
async fn tree(page: &Page) -> Result<Vec<(usize, String)>, Failed> {
    let tree = page
        .devtools("Accessibility.getFullAXTree", json!({}))
        .await?;
    let nodes = tree["nodes"].as_array().ok_or("no tree")?;
    let all = nodes
        .iter()
        .filter_map(|node| Some((node["nodeId"].as_str()?, node)))
        .collect();
    let mut told = Vec::new();
    tell(nodes.first().ok_or("an empty tree")?, &all, 0, &mut told);
    Ok(told)
}

/// The lines of the sheet.
fn listed(told: &[(usize, String)]) -> String {
    let sheet = told
        .iter()
        .skip_while(|(_, line)| *line != "main: sheet" && !line.starts_with("heading: Concert 9"));
    let mut list = String::new();
    for (depth, line) in sheet {
        let _ = writeln!(list, "{}{line}", "  ".repeat(depth.saturating_sub(1)));
    }
    list
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn everything_on_a_sheet_is_told_by_name() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.demo("Concert 9").await?;
    let sections = page
        .run(
            "return [...document.querySelectorAll('.sheet-section')].map(s => s.id)",
            vec![],
        )
        .await?;
    let sections: Vec<String> = serde_json::from_value(sections)?;
    for section in &sections {
        page.step(&format!("show #{section}")).await?;
        for (_, part) in LATE.iter().filter(|(of, _)| of == section) {
            page.find(&format!("#{section} {part}")).await?;
        }
    }
    page.devtools("Accessibility.enable", json!({})).await?;
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/heard.md");
    let document = std::fs::read_to_string(&path)?;
    let (head, rest) = document
        .split_once("```text\n")
        .ok_or("docs/heard.md has no list")?;
    let (old, tail) = rest
        .split_once("```")
        .ok_or("docs/heard.md has no end of its list")?;
    let renews = std::env::var_os("STRUNGWELL_RENEW").is_some();
    // The browser makes its tree a moment after the page: looked at until it is the document's, or the same twice when that is made.
    let until = Instant::now() + PATIENCE;
    let mut before = String::new();
    let (told, list) = loop {
        let told = tree(&page).await?;
        let list = listed(&told);
        let rests = if renews { list == before } else { list == old };
        if rests || Instant::now() > until {
            break (told, list);
        }
        before = list;
        tokio::time::sleep(Duration::from_millis(500)).await;
    };
    browser.close().await?;

    let nameless: Vec<&String> = told
        .iter()
        .map(|(_, line)| line)
        .filter(|line| {
            line.split_once(": ")
                .is_none_or(|(_, name)| name.is_empty() || name.starts_with('('))
        })
        .collect();
    assert_eq!(nameless, Vec::<&String>::new());
    // Everything of the sheet is in it, though most lies off the screen.
    let regions = told.iter().filter(|(_, line)| line.starts_with("region: "));
    assert_eq!(regions.count(), sections.len());
    if renews {
        std::fs::write(&path, format!("{head}```text\n{list}```{tail}"))?;
        return Ok(());
    }
    let differs = list
        .lines()
        .zip(old.lines())
        .find(|(now, then)| now != then);
    assert!(
        list == old,
        "docs/heard.md is not what the page says, first at {differs:?}; renew it with STRUNGWELL_RENEW=1 cargo test -p strungwell-tests \
         --test browser -- --ignored heard"
    );
    Ok(())
}
