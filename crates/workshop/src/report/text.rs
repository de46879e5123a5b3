//! The report as text, for a terminal or a printer.

use super::plan::PlanView;
use super::{InstrumentReport, Report};
use crate::problem::clean;
use crate::rack::Price;
use crate::units::{Units, signed};
use std::fmt::Write as _;

/// The report as text: an instrument a block, a course a line, then what to know.
#[must_use]
pub fn text(report: &Report) -> String {
    let mut out = String::new();
    for instrument in &report.instruments {
        instrument_text(instrument, &mut out);
        out.push('\n');
    }
    if !report.due.is_empty() {
        out.push_str("What the shop waits for\n");
        for due in &report.due {
            let _ = writeln!(out, "  {}", due.text);
        }
    }
    if report.instruments.is_empty() {
        out.push_str("The file holds no instrument.\n");
    }
    out
}

fn cell(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |v| format!("{v:.decimals$}"))
}

/// A text of a record on one line, without what could disturb a terminal.
fn line(text: &str) -> String {
    clean(text, 80)
}

fn instrument_text(instrument: &InstrumentReport, out: &mut String) {
    let name = line(&instrument.name);
    // Writing to a String cannot fail.
    let _ = writeln!(out, "{name}");
    let _ = writeln!(
        out,
        "  {:<6} {:>8} {:>7} {:>8} {:>8} {:>7} {:>6} {:>6}  string",
        "course", "Hz", "mm", "g/m", "N", "MPa", "% brk", "kappa"
    );
    for course in &instrument.courses {
        for string in &course.strings {
            let _ = writeln!(
                out,
                "  {:<6} {:>8} {:>7} {:>8} {:>8} {:>7} {:>6} {:>6}  {}",
                line(&course.note),
                cell(string.pitch_hz, 2),
                cell(string.diameter_mm, 2),
                cell(string.g_per_m, 3),
                cell(string.tension_n, 1),
                cell(string.stress_mpa, 0),
                cell(string.breaking_fraction.map(|f| 100.0 * f), 0),
                cell(string.kappa, 1),
                line(&string.name),
            );
        }
    }
    let _ = writeln!(
        out,
        "  all strings together: {} N",
        cell(instrument.total_tension_n, 1)
    );
    let strings: usize = instrument.courses.iter().map(|c| c.strings.len()).sum();
    let price = Price {
        sum: instrument.strings_price,
        priced: strings.saturating_sub(instrument.strings_unpriced),
        unpriced: instrument.strings_unpriced,
    };
    if price.priced > 0 {
        let _ = writeln!(out, "  price of the stringing: {}", price.text());
    }
    super::loads::text::loads_text(&instrument.loads, out);
    for warning in &instrument.warnings {
        let _ = writeln!(out, "  ! {}", warning.text);
    }
    if let Some(plan) = &instrument.plan {
        plan_text(plan, out);
    }
}

/// The plan: where it goes, what to do, what stops it.
fn plan_text(plan: &PlanView, out: &mut String) {
    let units = Units::default();
    if plan.courses.is_empty() {
        for missing in &plan.missing {
            let _ = writeln!(out, "  plan: {}", missing.text);
        }
        return;
    }
    let _ = writeln!(
        out,
        "  plan: {}; a pluck of {} must stay clear",
        plan.target.label,
        units.force(plan.player.force_n)
    );
    for (when, standing) in [("as found", &plan.found), ("as left", &plan.left)] {
        let _ = writeln!(
            out,
            "    {when}: finger {}, headroom {}, worst note {} cents",
            units.force(standing.finger_n),
            units.force(standing.headroom_n),
            signed(standing.cents, 1)
        );
    }
    if plan.steps.is_empty() {
        let _ = writeln!(out, "    nothing is left to do");
    }
    for (number, step) in (1..).zip(&plan.steps) {
        let _ = writeln!(out, "    {number}. {}", step.what);
        let _ = writeln!(out, "       {}", step.effect_text);
        let _ = writeln!(out, "       Then: {}", step.check);
        for said in step.warning.iter() {
            let _ = writeln!(out, "       ! {said}");
        }
    }
    let loosen = plan.loosen.iter().map(|l| &l.text);
    let notes = plan.notes.iter().map(|n| &n.text);
    let missing = plan.missing.iter().map(|m| &m.text);
    for said in loosen.chain(notes).chain(missing) {
        let _ = writeln!(out, "    ! {said}");
    }
}
