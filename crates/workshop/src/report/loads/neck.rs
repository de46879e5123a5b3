//! How the neck bends under the strings, now and before, and what relief that makes.

mod figures;

pub use figures::{NeckPlace, NeckReport, SectionFigures, WoodFigures};

use super::stringing::{CourseAt, Stringing};
use super::{finite, pair};
use crate::problem::quoted;
use crate::records::{self, Instrument};
use crate::report::fret_positions_mm;
use crate::report::fretting::{crowns, relief_fret};
use crate::units::{Units, figure, per_cent};
use strungwell_physics::neck::{Bar, Neck, Pull, Taper, USUAL_RELIEF_MM, bar_material, dip};
use strungwell_physics::quantity::{InBenchUnits, Length, Pressure, gpa, mm, newtons};
use strungwell_physics::range::within;
use strungwell_physics::strung::Banded;
use strungwell_physics::wood::{SCATTER, WOODS, movement_in_air, wood};

const TRUST: &str = "Good for the sign and the order of the change, not for the last tenth. Wood of one kind differs by a fifth each way (USDA \
     Wood Handbook), which the range holds; sizes count as exact. Not in it: creep, which goes on for weeks and adds to the bend, frets \
     that wedge the board, a joint or heel that gives, the headstock, and a rod's own setting. Measure the relief a day and a \
     month after the change.";

/// The relative humidities, as shares, between which a board's swelling is told, at [`ROOM_C`]. Common practice: a dry and a damp room
/// that an instrument may live in.
pub const DRY_AND_DAMP: [f64; 2] = [0.4, 0.6];
/// The temperature of that room in degrees Celsius.
const ROOM_C: f64 = 20.0;

/// Gaps in mm at the first and the twelfth fret where they are not measured. Common practice; the arm of the strings hardly
/// feels them.
const USUAL_GAPS: [f64; 2] = [0.6, 2.6];

/// The names of the woods in the table, for a list to choose from.
pub fn wood_names() -> impl Iterator<Item = &'static str> {
    WOODS.iter().map(|row| row.label)
}

pub(super) fn neck_report(
    instrument: &Instrument,
    strings: &Stringing<'_>,
    former: Option<&Stringing<'_>>,
    units: Units,
    warn: &mut impl FnMut(&'static str, String),
) -> Option<NeckReport> {
    let record = instrument.neck.as_ref()?;
    let mut report = NeckReport {
        relief_frets: [1, relief_fret(instrument), instrument.frets],
        relief_before_mm: instrument
            .former
            .as_ref()
            .and_then(|f| finite(f.relief_mm?)),
        measured_mm: instrument.setup.relief_mm.and_then(finite),
        trust: TRUST,
        ..NeckReport::default()
    };
    if let Err(why) = fill(&mut report, instrument, record, strings, former) {
        report.missing = Some(why);
    }
    report.board_swells_mm = board_swells(record);
    report.words = words(&report, record, units);
    if let Some(predicted) = report.predicted_mm {
        let [low, high] = USUAL_RELIEF_MM;
        if !(low..=high).contains(&predicted) {
            warn(
                "relief-predicted",
                format!(
                    "With these strings the relief is expected to become {}, outside the usual {} to {}. Measure it once they are at pitch, \
                     before the action is set.",
                    units.length(predicted),
                    units.length_number(low),
                    units.length(high)
                ),
            );
        }
    }
    Some(report)
}

fn fill(
    report: &mut NeckReport,
    instrument: &Instrument,
    record: &records::Neck,
    strings: &Stringing<'_>,
    former: Option<&Stringing<'_>>,
) -> Result<(), String> {
    report.wood = wood_of("neck", &record.wood, record.wood_gpa)?;
    let board_mm = record
        .board_mm
        .ok_or("the board's thickness is needed (0 for none)")?;
    if board_mm > 0.0 {
        report.board = wood_of("board", &record.board_wood, record.board_gpa)?;
    }
    let neck = neck_of(report, instrument, record, board_mm)?;
    let end = |at: usize| {
        let x = if at == 0 { mm(0.0) } else { neck.length() };
        let section = neck.section(x);
        Some(SectionFigures {
            x_mm: x.bench(),
            width_mm: [record.width_nut_mm, record.width_body_mm][at]?,
            depth_mm: [record.depth_nut_mm, record.depth_body_mm][at]?,
            stiffness_nm2: finite(section.stiffness_nm2)?,
            neutral_mm: finite(section.neutral.bench())?,
        })
    };
    report.sections = [0, 1].into_iter().filter_map(end).collect();
    report.length_mm = finite(neck.length().bench());
    let [near, at, far] = report.relief_frets;
    if !(near < at && at < far) {
        return Err("the relief's fret must lie between the first and the last".into());
    }
    let stations: Vec<Length> = fret_positions_mm(instrument.scale_mm, instrument.frets)
        .into_iter()
        .map(mm)
        .collect();
    let now = pulls(instrument, strings, &neck, &mut report.heights_are_usual)
        .ok_or_else(|| strings.why().unwrap_or_default())?;
    let raised = neck.raise(&now, &stations);
    let before = former.and_then(|f| pulls(instrument, f, &neck, &mut report.heights_are_usual));
    let raised_before = before.map(|pulls| neck.raise(&pulls, &stations));
    let index = |fret: u32| usize::try_from(fret).unwrap_or_default();
    let relief = |raised: Option<&Vec<Length>>| {
        let raised = raised?;
        let place = |fret| Some((*stations.get(index(fret))?, *raised.get(index(fret))?));
        finite(dip(place(near)?, place(at)?, place(far)?).bench())
    };
    [report.now_mm, report.before_mm] = [Some(&raised), raised_before.as_ref()].map(relief);
    report.places = (0..=instrument.frets)
        .filter_map(|fret| {
            Some(NeckPlace {
                fret,
                x_mm: stations.get(index(fret))?.bench(),
                now_mm: finite(raised.get(index(fret))?.bench())?,
                before_mm: raised_before
                    .as_ref()
                    .and_then(|raised| finite(raised.get(index(fret))?.bench())),
            })
        })
        .collect();
    if let (Some(now), Some(before), Some(former)) = (report.now_mm, report.before_mm, former) {
        let change = Banded::exact(now - before);
        let change = doubted(change, now, strings, former);
        report.change_mm = finite(change.value);
        report.change_band_mm = pair(change);
        if let Some(measured) = report.relief_before_mm {
            report.predicted_mm = finite(measured + change.value);
            report.predicted_band_mm = pair(change).map(|band| band.map(|c| measured + c));
        }
    }
    Ok(())
}

/// The change with the scatter of the wood (the whole bend goes with one over its modulus) and the range of the strings' masses, the two
/// as independent.
fn doubted(change: Banded, now_mm: f64, strings: &Stringing<'_>, former: &Stringing<'_>) -> Banded {
    let wood = [1.0 / (1.0 + SCATTER) - 1.0, 1.0 / (1.0 - SCATTER) - 1.0].map(|s| s * change.value);
    // So many mm of bend for each newton, as the present strings pull.
    let per_n = strings.tension().map_or(0.0, |t| now_mm / t.value);
    let strings = strings.more_than(former).map_or([0.0; 2], |more| {
        [more.low - more.value, more.high - more.value].map(|n| n * per_n)
    });
    let side = |sign: f64| {
        let most = |ends: [f64; 2]| ends.iter().map(|e| sign * e).fold(0.0, f64::max);
        most(wood).hypot(most(strings))
    };
    Banded {
        value: change.value,
        low: change.value - side(-1.0),
        high: change.value + side(1.0),
    }
}

fn wood_of(part: &str, name: &str, measured: Option<f64>) -> Result<Option<WoodFigures>, String> {
    let row = wood(name);
    let (modulus, source) = match (measured, row) {
        (Some(measured), _) => {
            within("a modulus", measured, "GPa", 1.0, 100.0)
                .map_err(|why| format!("{part}: {why}"))?;
            (gpa(measured), "noted with the neck".to_owned())
        }
        (None, Some(row)) => (
            row.modulus(),
            format!("{} ({})", row.source, row.provenance.words()),
        ),
        (None, None) if name.trim().is_empty() => {
            return Err(format!("the {part}'s wood is needed, or its modulus"));
        }
        (None, None) => {
            return Err(format!(
                "the {part}'s wood {} is not in the table; note its modulus along the grain",
                quoted(name)
            ));
        }
    };
    let value = modulus.bench() * 1e-3;
    let scatter = if measured.is_some() { 0.0 } else { SCATTER };
    Ok(Some(WoodFigures {
        name: row.map_or_else(|| name.to_owned(), |row| row.label.to_owned()),
        gpa: value,
        gpa_band: [value * (1.0 - scatter), value * (1.0 + scatter)],
        is_measured: measured.is_some(),
        source,
    }))
}

fn board_swells(record: &records::Neck) -> Option<[f64; 2]> {
    let is_bare = record.board_mm == Some(0.0);
    let name = if is_bare {
        &record.wood
    } else {
        &record.board_wood
    };
    let [radial, tangential, _] = wood(name)?.shrinkage?;
    let width = within("a width", record.width_body_mm?, "mm", 5.0, 200.0).ok()?;
    let widens = |shrinkage| {
        let moved = movement_in_air(mm(width), shrinkage, ROOM_C, DRY_AND_DAMP).ok()?;
        finite(moved.bench())
    };
    Some([widens(radial)?, widens(tangential)?])
}

fn neck_of(
    report: &NeckReport,
    instrument: &Instrument,
    record: &records::Neck,
    board_mm: f64,
) -> Result<Neck, String> {
    let joint = instrument
        .body_fret
        .ok_or("the fret at which neck and body meet is needed")?;
    let length = fret_positions_mm(instrument.scale_mm, joint);
    let length = length.last().copied().unwrap_or_default();
    let ends = |a: Option<f64>, b: Option<f64>, what: &str| match (a, b) {
        (Some(a), Some(b)) => Ok([mm(a), mm(b)]),
        _ => Err(format!(
            "the neck's {what} at the nut and at the body is needed"
        )),
    };
    let taper = Taper {
        length: mm(length),
        width: ends(record.width_nut_mm, record.width_body_mm, "width")?,
        depth: ends(record.depth_nut_mm, record.depth_body_mm, "depth")?,
        board: mm(board_mm),
    };
    let modulus = |of: &Option<WoodFigures>| of.as_ref().map(|wood| gpa(wood.gpa));
    let wood = modulus(&report.wood).ok_or("the neck's wood is needed")?;
    let board: Pressure = modulus(&report.board).unwrap_or(wood);
    let bars = record.bars.iter().filter_map(|bar| {
        Some(Bar {
            modulus: bar_material(bar.material.word())?.modulus(),
            width: mm(bar.width_mm),
            height: mm(bar.height_mm),
            down: mm(bar.down_mm),
        })
    });
    Neck::new(taper, wood, board, bars.collect()).map_err(|why| why.to_string())
}

/// The pull of each course; none when a tension is not known.
fn pulls(
    instrument: &Instrument,
    strings: &Stringing<'_>,
    neck: &Neck,
    usual: &mut bool,
) -> Option<Vec<Pull>> {
    let mut pull = |(index, on): (usize, &CourseAt<'_>)| {
        let tension = newtons(on.tension()?.value);
        let first = on.course.first_fret;
        let x = fret_positions_mm(
            on.course.scale_mm.unwrap_or(instrument.scale_mm),
            first + 12,
        );
        let at = |fret: u32| x.get(usize::try_from(fret).ok()?).copied().map(mm);
        let setup = instrument.setup.courses.get(index);
        let gaps = setup.and_then(|s| Some([s.gap_1_mm?, s.gap_12_mm?]));
        *usual |= gaps.is_none();
        let over = |gap: f64| crowns(instrument) + mm(gap + on.half_diameter_mm());
        let [low, high] = gaps.unwrap_or(USUAL_GAPS);
        let heights = [(at(first + 1)?, over(low)), (at(first + 12)?, over(high))];
        Some(Pull::through(tension, at(first)?, heights, neck.length()))
    };
    strings.courses.iter().enumerate().map(&mut pull).collect()
}

fn words(report: &NeckReport, record: &records::Neck, units: Units) -> Vec<String> {
    let mut words = Vec::new();
    let fine = |value: Option<f64>| match units.length {
        crate::units::LengthUnit::Mm => format!("{} mm", figure(value, 3)),
        crate::units::LengthUnit::Inch => units.length(value),
    };
    let [near, at, far] = report.relief_frets;
    if let Some(now) = report.now_mm {
        words.push(format!(
            "These strings alone bend the neck so that the board dips by {} at fret {at}, under a straightedge from fret {near} to fret {far}.",
            fine(Some(now)),
        ));
    }
    if let (Some(before), Some(change), Some([low, high])) =
        (report.before_mm, report.change_mm, report.change_band_mm)
    {
        words.push(format!(
            "Those before made it {}: the relief changes by {} (from {} to {}).",
            fine(Some(before)),
            fine(Some(change)),
            fine(Some(low)),
            fine(Some(high)),
        ));
    } else if report.now_mm.is_some() {
        words.push("Note the strings before to see by how much the relief changes.".to_owned());
    }
    if let (Some(measured), Some(predicted), Some([low, high])) = (
        report.relief_before_mm,
        report.predicted_mm,
        report.predicted_band_mm,
    ) {
        words.push(format!(
            "From the {} measured under those it is expected to become {} (from {} to {}).",
            fine(Some(measured)),
            fine(Some(predicted)),
            fine(Some(low)),
            fine(Some(high)),
        ));
    } else if report.change_mm.is_some() {
        words.push(
            "With the relief noted that was measured under the strings before, the relief to expect is said."
                .to_owned(),
        );
    }
    if record.rod && record.bars.is_empty() {
        words.push(
            "The neck has a rod whose stiffness is not described, so it bends somewhat less than this; the rod can take the change back. Turn \
             it by little, and leave one that resists to a repairer."
                .to_owned(),
        );
    }
    if let Some([quarter, flat]) = report.board_swells_mm {
        words.push(format!(
            "From {} to {} humidity, once the wood has followed, the board at the body widens by {} quarter-sawn or {} flat-sawn, and shrinks as much the \
             other way: feel for fret ends in a dry room.",
            per_cent(DRY_AND_DAMP[0]),
            per_cent(DRY_AND_DAMP[1]),
            units.length(quarter),
            units.length(flat),
        ));
    }
    if report.heights_are_usual && report.now_mm.is_some() {
        words.push("Heights of strings that were not measured are taken as usual.".to_owned());
    }
    words
}
