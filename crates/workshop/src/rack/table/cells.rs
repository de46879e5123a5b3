//! Comma-separated values as RFC 4180 has them, in and out. Semicolons and tabs divide as well: many spreadsheets write them.

use super::Wrong;

/// A line of a table; a cell may hold line breaks, so it may be longer than a line of text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// The line of the text on which it begins, counted from 1.
    pub(super) line: usize,
    pub(super) cells: Vec<String>,
}

/// The most cells that a line may have.
const MOST_CELLS: usize = 200;

/// The lines that hold anything. The divider is that of comma, semicolon and tab which the first line has most of.
///
/// # Errors
/// [`Wrong`] names the line with a quotation mark that is not closed or is followed by text, or with too many cells.
pub(super) fn rows(text: &str) -> Result<Vec<Row>, Wrong> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let divider = divider(text);
    let mut rows: Vec<Row> = Vec::new();
    let mut line = 1;
    let mut row = Row {
        line,
        cells: Vec::new(),
    };
    let mut cell = String::new();
    let mut was_quoted = false;
    let mut letters = text.chars().peekable();
    loop {
        let letter = letters.next();
        match letter {
            Some('"') if cell.is_empty() && !was_quoted => {
                was_quoted = true;
                let begun = line;
                loop {
                    match letters.next() {
                        Some('"') if letters.peek() == Some(&'"') => {
                            letters.next();
                            cell.push('"');
                        }
                        Some('"') => break,
                        Some(inside) => {
                            line += usize::from(inside == '\n');
                            cell.push(inside);
                        }
                        None => return Err(wrong(begun, "a quotation mark is not closed")),
                    }
                }
            }
            Some('\r') if letters.peek() == Some(&'\n') => {}
            None | Some('\n' | '\r') => {
                row.cells.push(std::mem::take(&mut cell));
                if row.cells.len() > MOST_CELLS {
                    return Err(wrong(row.line, "it has more cells than a rack has columns"));
                }
                if row.cells.iter().any(|c| !c.trim().is_empty()) {
                    rows.push(row);
                }
                was_quoted = false;
                line += 1;
                row = Row {
                    line,
                    cells: Vec::new(),
                };
                if letter.is_none() {
                    return Ok(rows);
                }
            }
            Some(other) if other == divider => {
                row.cells.push(std::mem::take(&mut cell));
                was_quoted = false;
            }
            Some(other) if was_quoted => {
                if other != ' ' {
                    return Err(wrong(line, "text follows a closing quotation mark"));
                }
            }
            Some(other) => cell.push(other),
        }
    }
}

fn wrong(line: usize, text: &str) -> Wrong {
    Wrong {
        line,
        column: String::new(),
        text: text.into(),
    }
}

fn divider(text: &str) -> char {
    let head = text.lines().next().unwrap_or_default();
    let count = |of: char| head.chars().filter(|c| *c == of).count();
    [';', '\t']
        .into_iter()
        .filter(|c| count(*c) > count(','))
        .max_by_key(|c| count(*c))
        .unwrap_or(',')
}

/// Writes one line, quoting what must be.
pub(super) fn write_row<'a>(out: &mut String, cells: impl Iterator<Item = &'a str>) {
    for (n, cell) in cells.enumerate() {
        if n > 0 {
            out.push(',');
        }
        let cell = guarded(cell);
        if cell.contains(['"', ',', ';', '\t', '\n', '\r']) || cell.trim() != cell {
            out.push('"');
            out.push_str(&cell.replace('"', "\"\""));
            out.push('"');
        } else {
            out.push_str(&cell);
        }
    }
    out.push_str("\r\n");
}

/// A text that a spreadsheet would take for a formula gets an apostrophe before it, which tells the spreadsheet that it is
/// text; [`unguarded`] takes it away again. A text that looks guarded already is guarded once more.
fn guarded(cell: &str) -> String {
    if would_compute(cell.trim_start_matches('\'')) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

pub(super) fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if would_compute(rest.trim_start_matches('\'')) => rest,
        _ => cell,
    }
}

fn would_compute(cell: &str) -> bool {
    cell.starts_with(['=', '+', '-', '@', '\t', '\r'])
}
