//! The published strings as records of a workshop file: the report must give the published tensions, setbacks and residuals.

use strungwell_tests::reference::{check, checks_of};
use strungwell_workshop::file;
use strungwell_workshop::report::{InstrumentReport, report};

fn published() -> Vec<InstrumentReport> {
    let text = include_str!("../../demo-data/reference-strings.json");
    report(&file::read(text).unwrap()).instruments
}

/// The report of a published string: `NL`, `NN` or `FN`, string 1 (treble) to 6 (bass).
fn string<'a>(
    reports: &'a [InstrumentReport],
    set: &str,
    number: usize,
) -> &'a strungwell_workshop::report::StringFigures {
    let instrument = reports
        .iter()
        .find(|r| r.id.to_uppercase().contains(set))
        .unwrap();
    &instrument.courses[6 - number].strings[0]
}

#[test]
pub(crate) fn published_tensions_come_out_of_the_report() {
    let reports = published();
    for set in ["NL", "NN", "FN"] {
        for number in 1..=6 {
            check(&format!("TEN-{set}{number}"))
                .hold(&[string(&reports, set, number).tension_n.unwrap()]);
        }
    }
}

#[test]
pub(crate) fn published_setbacks_and_residuals_come_out_of_the_report() {
    let reports = published();
    let mut held = 0;
    for c in checks_of("COMP-")
        .into_iter()
        .filter(|c| c.inputs["string"].is_number())
    {
        let code = c.id.trim_start_matches("COMP-");
        let (set, number) = code.split_at(2);
        let fretting = &string(&reports, set, number.parse().unwrap()).fretting;
        c.hold(&[
            fretting.saddle_setback_mm.unwrap(),
            fretting.nut_setback_mm.unwrap(),
            fretting.rms_cents.unwrap(),
        ]);
        held += 1;
    }
    assert_eq!(held, 18);
}

#[test]
fn a_plain_nylon_low_fourth_is_the_sharpest() {
    let text = include_str!("../../demo-data/demo-shop.json");
    let report = report(&file::read(text).unwrap());
    let octave = |name: &str, course: usize| {
        let instrument = report
            .instruments
            .iter()
            .find(|r| r.name.starts_with(name))
            .unwrap();
        instrument.courses[course].strings[0]
            .fretting
            .octave()
            .unwrap()
            .cents
            .unwrap()
    };
    // Common practice, and the project's own worked example: the loose plain nylon goes sharpest when pressed.
    for course in 1..4 {
        assert!(octave("Concert 9", 0) > octave("Concert 9", course));
    }
    assert!(octave("Concert 9", 0) > 2.0 * octave("Concert 10", 0));
}
