use super::*;
use crate::records::{Course, FittedString, Make, Plain};
use crate::report::{instrument_report, report};

fn shop_file() -> crate::records::Workshop {
    crate::file::read(include_str!("../../../../demo-data/demo-shop.json")).unwrap()
}

#[test]
fn a_customer_reads_strings_heights_and_cautions() {
    let shop_file = shop_file();
    let instrument = &shop_file.instruments[0];
    let report = instrument_report(instrument, &shop_file.rack);
    let sheet = customer(
        instrument,
        &report,
        Beside {
            owner: "Ines",
            day: "2026-02-01",
            units: Units::default(),
        },
    );
    let text = sheet.text();
    for said in [
        instrument.name.as_str(),
        "Owner: Ines",
        "Day: 2026-02-01",
        "plain nylon, 0.70 mm",
        "0.60 mm",
        "2.60 mm",
        "check the rules in force",
        "eyes protected",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    assert_eq!(sheet.parts[1].rows.len(), 4);
    // The shop's own notes stay in the shop.
    assert!(!text.contains(&instrument.note));
}

#[test]
fn a_string_near_breaking_is_cautioned_on_the_page_and_on_both_sheets() {
    // Steel of 0.254 mm on 648 mm is stressed at A4 to 0.96 of its least strength, and by the square of the pitch less below.
    for (note, caution) in [
        ("F4", None),
        ("G#4", Some(("near-breaking", "Wear eye protection"))),
        ("A4", Some(("breaking", "Do not string it so"))),
    ] {
        let thin = FittedString::of(Make::Plain(Plain {
            material: "steel".into(),
            diameter_mm: 0.254,
            ..Plain::default()
        }));
        let instrument = Instrument {
            scale_mm: 648.0,
            courses: vec![Course {
                note: note.into(),
                strings: vec![thin],
                ..Course::default()
            }],
            ..Instrument::default()
        };
        let report = instrument_report(&instrument, &[]);
        let near = report.warnings.iter();
        let near = near.filter(|w| w.code.ends_with("breaking"));
        let codes: Vec<&str> = near.map(|w| w.code).collect();
        assert_eq!(codes, Vec::from_iter(caution.map(|c| c.0)), "{note}");
        for sheet in [customer, shop] {
            let text = sheet(&instrument, &report, Beside::default()).text();
            let said = caution.map_or("of the least breaking load", |c| c.1);
            assert_eq!(text.contains(said), caution.is_some(), "{note}: {text}");
        }
    }
}

#[test]
fn the_shop_s_sheet_has_the_report_s_figures() {
    let shop_file = shop_file();
    let whole = report(&shop_file);
    for (instrument, report) in shop_file.instruments.iter().zip(&whole.instruments) {
        let text = shop(instrument, report, Beside::default()).text();
        for course in &report.courses {
            for string in &course.strings {
                assert!(text.contains(&Units::default().force(string.tension_n)));
                let twelfth = string.fretting.frets.iter().find(|f| f.fret == 12);
                if let Some(f) = twelfth.filter(|_| string == &course.strings[0]) {
                    assert!(text.contains(&signed(f.cents, 1)), "{}", instrument.name);
                }
            }
        }
        for warning in &report.warnings {
            assert!(text.contains(&warning.text));
        }
        assert!(!text.contains("NaN") && !text.contains("inf "), "{text}");
    }
}

#[test]
fn hostile_names_stay_on_their_line() {
    let instrument = Instrument {
        name: "a\nb\u{1b}[31m".repeat(200),
        ..Instrument::default()
    };
    let report = instrument_report(&instrument, &[]);
    let text = customer(&instrument, &report, Beside::default()).text();
    assert!(text.lines().all(|line| line.chars().count() < 400));
    assert!(!text.contains('\u{1b}'));
}
