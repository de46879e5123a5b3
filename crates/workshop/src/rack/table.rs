//! The rack as a table of comma-separated values, in and out. `docs/rack-csv.md` is its description for people.
//!
//! An import is all or nothing: [`read`] gives a [`Preview`] of what would be added and changed, or every line that is wrong,
//! and changes nothing; [`Preview::apply`] does it. A string that the table does not name stays as it is.

mod cells;
mod columns;
mod make;
mod out;

use crate::file;
use crate::problem::{clean, quoted};
use crate::records::{RackString, Workshop};
use cells::Row;
use columns::{Column, Heading, heading};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// The largest table that is read, in bytes: 4 MiB.
pub const MOST_BYTES: usize = 4 * 1024 * 1024;

/// The most lines, the headings among them.
pub const MOST_ROWS: usize = 20_000;

/// The most lines that are named as wrong.
const MOST_WRONG: usize = 20;

/// A line of the table that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// The line, counted from 1 (the headings); 0 for the table as a whole.
    pub line: usize,
    /// The column as the table heads it; empty when the line as a whole is meant.
    pub column: String,
    /// What is wrong and what would be accepted.
    pub text: String,
}

impl fmt::Display for Wrong {
    /// `line 37, column "diameter (mm)": reads "thick"; a diameter in mm from 0.05 to 10 is accepted`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.line, self.column.is_empty()) {
            (0, _) => write!(f, "the table: {}", self.text),
            (line, true) => write!(f, "line {line}: {}", self.text),
            (line, false) => write!(
                f,
                "line {line}, column {}: {}",
                quoted(&self.column),
                self.text
            ),
        }
    }
}

/// What a table would do to the rack.
#[derive(Clone, Debug, PartialEq)]
pub struct Preview {
    /// Strings that are new.
    pub added: Vec<RackString>,
    /// Strings that change: as they are, and as they would be.
    pub changed: Vec<(RackString, RackString)>,
    /// How many strings the table names that stay as they are.
    pub same: usize,
    /// How many strings of the rack the table does not name.
    pub untouched: usize,
    /// Headings that are not known here and are passed over.
    pub passed_over: Vec<String>,
}

impl Preview {
    /// The preview in a sentence.
    #[must_use]
    pub fn text(&self) -> String {
        let strings = |n: usize| format!("{n} string{}", if n == 1 { "" } else { "s" });
        let mut said = format!(
            "{} new, {} changed, {} as they are; {} of the rack not named and left alone.",
            strings(self.added.len()),
            self.changed.len(),
            self.same,
            self.untouched
        );
        if !self.passed_over.is_empty() {
            said.push_str(&format!(
                " Columns not known here, passed over: {}.",
                self.passed_over
                    .iter()
                    .map(|h| quoted(h))
                    .collect::<Vec<_>>()
                    .join(", ")
            ));
        }
        said
    }

    /// Puts it on the rack.
    ///
    /// # Errors
    /// A sentence when the rack was changed since the preview was made, so that it no longer fits; nothing is changed then.
    pub fn apply(&self, workshop: &mut Workshop) -> Result<(), String> {
        let since = || "the rack was changed since; read the table again".to_owned();
        let mut rack = workshop.rack.clone();
        let places: BTreeMap<String, usize> = rack
            .iter()
            .enumerate()
            .map(|(at, s)| (s.id.clone(), at))
            .collect();
        for (before, after) in &self.changed {
            let place = places
                .get(&before.id)
                .and_then(|at| rack.get_mut(*at))
                .filter(|s| *s == before)
                .ok_or_else(since)?;
            place.clone_from(after);
        }
        for new in &self.added {
            if places.contains_key(&new.id) {
                return Err(since());
            }
            rack.push(new.clone());
        }
        workshop.rack = rack;
        Ok(())
    }
}

/// Reads a table and holds it against the rack. Nothing is changed.
///
/// # Errors
/// Every line that is wrong, up to twenty and then how many more; the table as a whole when it is too large, not closed, or
/// without the headings that it needs.
pub fn read(text: &str, rack: &[RackString]) -> Result<Preview, Vec<Wrong>> {
    let whole = |text: String| {
        vec![Wrong {
            line: 0,
            column: String::new(),
            text,
        }]
    };
    if text.len() > MOST_BYTES {
        return Err(whole(format!(
            "it is larger than {} MiB",
            MOST_BYTES / 1024 / 1024
        )));
    }
    let rows = cells::rows(text).map_err(|wrong| vec![wrong])?;
    if rows.len() > MOST_ROWS {
        return Err(whole(format!("it has more than {MOST_ROWS} lines")));
    }
    let mut rows = rows.into_iter();
    let Some(head) = rows.next() else {
        return Err(whole("it is empty; a first line with headings is needed, such as name,material,diameter (mm)".into()));
    };
    let headings = headings(&head)?;
    let mut wrong: Vec<Wrong> = Vec::new();
    let mut more = 0;
    let mut known = Known::of(rack);
    let mut preview = Preview {
        added: Vec::new(),
        changed: Vec::new(),
        same: 0,
        untouched: 0,
        passed_over: headings
            .iter()
            .filter(|h| h.column.is_none() && !h.text.is_empty())
            .map(|h| clean(&h.text, 60))
            .collect(),
    };
    for row in rows {
        match one(&row, &headings, &mut known) {
            Ok((Some(before), after)) => {
                if before == after {
                    preview.same += 1;
                } else {
                    preview.changed.push((before, after));
                }
            }
            Ok((None, new)) => preview.added.push(new),
            Err(found) => {
                for one in found {
                    if wrong.len() < MOST_WRONG {
                        wrong.push(one);
                    } else {
                        more += 1;
                    }
                }
            }
        }
    }
    if more > 0 {
        wrong.extend(whole(format!("{more} more values are wrong")));
    }
    if wrong.is_empty() {
        // Each line names another string, or it would be wrong.
        preview.untouched = rack
            .len()
            .saturating_sub(preview.same + preview.changed.len());
        Ok(preview)
    } else {
        Err(wrong)
    }
}

/// The headings, each known at most once, with what a table cannot do without.
fn headings(head: &Row) -> Result<Vec<Heading>, Vec<Wrong>> {
    let headings: Vec<Heading> = head.cells.iter().map(|text| heading(text)).collect();
    let mut wrong = Vec::new();
    for (n, this) in headings.iter().enumerate() {
        let mut say = |text: String| {
            wrong.push(Wrong {
                line: head.line,
                column: this.text.clone(),
                text,
            });
        };
        if let Some(why) = &this.wrong {
            say(why.clone());
        }
        if this.column.is_some()
            && headings[..n]
                .iter()
                .any(|other| other.column == this.column)
        {
            say("stands twice in the headings".into());
        }
    }
    let has = |column: Column| headings.iter().any(|h| h.column == Some(column));
    if !has(Column::Id) && !has(Column::Name) {
        wrong.push(Wrong {
            line: head.line,
            column: String::new(),
            text: "a column headed id or name is needed, to tell the strings apart".into(),
        });
    }
    if wrong.is_empty() {
        Ok(headings)
    } else {
        Err(wrong)
    }
}

/// The rack by id and by name, and what lines before named: a large table on a large rack must not be looked through again
/// for each line.
struct Known<'a> {
    by_id: BTreeMap<&'a str, &'a RackString>,
    by_name: BTreeMap<&'a str, Vec<&'a RackString>>,
    /// The ids of the rack and of new strings.
    ids: BTreeSet<String>,
    /// The line on which a string was named.
    seen: BTreeMap<String, usize>,
}

impl<'a> Known<'a> {
    fn of(rack: &'a [RackString]) -> Self {
        let mut by_name: BTreeMap<&str, Vec<&RackString>> = BTreeMap::new();
        for string in rack {
            by_name.entry(string.name.trim()).or_default().push(string);
        }
        Self {
            by_id: rack.iter().map(|s| (s.id.as_str(), s)).collect(),
            by_name,
            ids: rack.iter().map(|s| s.id.clone()).collect(),
            seen: BTreeMap::new(),
        }
    }

    /// An id that no other string has, made of the name's letters and digits.
    fn fresh_id(&self, name: &str) -> String {
        let mut stem = String::from("rack-");
        for letter in name.chars().take(60) {
            if letter.is_alphanumeric() || letter == '.' {
                stem.extend(letter.to_lowercase());
            } else if !stem.ends_with('-') {
                stem.push('-');
            }
        }
        let stem = stem.trim_end_matches('-').to_owned();
        if !self.ids.contains(&stem) {
            return stem;
        }
        // From how many begin so on, so that many names of one stem are not tried over and over.
        let begin_so = self
            .ids
            .range(stem.clone()..)
            .take_while(|id| id.starts_with(&stem))
            .count();
        (begin_so + 1..)
            .map(|n| format!("{stem}-{n}"))
            .find(|id| !self.ids.contains(id))
            .unwrap_or(stem)
    }
}

/// One line: the rack string that it names, if any, and what it makes of it.
fn one(
    row: &Row,
    headings: &[Heading],
    known: &mut Known<'_>,
) -> Result<(Option<RackString>, RackString), Vec<Wrong>> {
    let mut line = make::Line::new(row, headings);
    let id = line.text(Column::Id);
    let name = line.text(Column::Name);
    let named: Vec<&RackString> = match (&id, &name) {
        (Some(id), _) if !id.is_empty() => {
            known.by_id.get(id.as_str()).copied().into_iter().collect()
        }
        (_, Some(name)) if !name.is_empty() => known
            .by_name
            .get(name.as_str())
            .cloned()
            .unwrap_or_default(),
        _ => {
            line.say(
                None,
                "a string without an id and a name cannot be told apart".into(),
            );
            Vec::new()
        }
    };
    if named.len() > 1 {
        line.say(
            Some(Column::Name),
            format!(
                "{} strings of the rack have this name; an id is needed",
                named.len()
            ),
        );
    }
    let before = named.first().map(|s| (*s).clone());
    let mut after = before.clone().unwrap_or_default();
    if before.is_none() {
        after.id = match &id {
            Some(id) if !id.is_empty() => id.clone(),
            _ => known.fresh_id(name.as_deref().unwrap_or_default()),
        };
    }
    // Two new strings of one name are one string written twice, whatever ids they would get.
    let key = match (&before, &id) {
        (None, None) => name.clone().unwrap_or_default(),
        (None, Some(id)) if id.is_empty() => name.clone().unwrap_or_default(),
        _ => after.id.clone(),
    };
    if let Some(other) = known.seen.insert(key, row.line) {
        line.say(
            None,
            format!("the same string stands in line {other} already"),
        );
    }
    known.ids.insert(after.id.clone());
    line.fill(&mut after, before.is_none());
    let wrong = line.wrong;
    if wrong.is_empty() {
        // What the columns' own checks do not see: the file's reader has the last word.
        match file::check_rack_string(&after) {
            Ok(()) => Ok((before, after)),
            Err(problem) => Err(vec![Wrong {
                line: row.line,
                column: String::new(),
                text: problem.to_string(),
            }]),
        }
    } else {
        Err(wrong)
    }
}

/// Writes the rack as a table: every column that a string of it uses, lengths in mm, lines ended as RFC 4180 has it. Reading
/// it back changes nothing.
#[must_use]
pub fn write(rack: &[RackString]) -> String {
    let rows: Vec<Vec<(Column, String)>> = rack.iter().map(out::cells_of).collect();
    let columns: Vec<Column> = Column::all()
        .filter(|c| c.is_always() || rows.iter().flatten().any(|(other, _)| other == c))
        .collect();
    let mut out = String::new();
    let heads: Vec<String> = columns.iter().map(|c| c.head()).collect();
    cells::write_row(&mut out, heads.iter().map(String::as_str));
    for row in &rows {
        cells::write_row(
            &mut out,
            columns.iter().map(|c| {
                row.iter()
                    .find(|(other, _)| other == c)
                    .map_or("", |(_, text)| text.as_str())
            }),
        );
    }
    out
}

#[cfg(test)]
mod tests;
