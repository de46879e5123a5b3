//! Retuning, winding, borrowing and measuring.

use super::borrow::{Borrowing, End, borrowed};
use super::measure::{self, PullTest, Weighing};
use super::retune::{Retuning, retuned, scale_that_feels, tunings};
use super::winding::{self, Wanted, WoundSize, windings};
use super::*;
use crate::choose::Ask;
use crate::file;
use crate::records::{Plain, Rated};
use crate::report::{instrument_report, string_make};

fn demo() -> Workshop {
    file::read(include_str!("../../../../demo-data/demo-shop.json")).unwrap()
}

fn of<'a>(shop: &'a Workshop, id: &str) -> &'a Instrument {
    shop.instruments.iter().find(|i| i.id == id).unwrap()
}

fn nylon(diameter_mm: f64) -> Make {
    Make::Plain(Plain {
        material: "nylon".into(),
        diameter_mm,
        ..Plain::default()
    })
}

#[test]
fn a_semitone_down_slackens_by_its_square_and_a_fifth_is_too_slack() {
    let shop = demo();
    let tenor = of(&shop, "inst-tenor-5");
    let down = |notes: [&str; 4]| Retuning {
        notes: Some(notes.map(String::from).to_vec()),
        ..Retuning::default()
    };
    let semitone = retuned(
        tenor,
        &shop.rack,
        &down(["F#3", "B3", "D#4", "G#4"]),
        Units::default(),
    )
    .unwrap();
    for string in &semitone.strings {
        // (2^(-1/12))^2
        assert!((string.change.unwrap() + 1.0 - 0.890_899).abs() < 1e-6);
        assert_ne!(string.verdict, Verdict::RuledOut);
    }
    let fifth = retuned(
        tenor,
        &shop.rack,
        &down(["C3", "F3", "A3", "D4"]),
        Units::default(),
    )
    .unwrap();
    assert_eq!(fifth.verdict, Verdict::RuledOut);
    assert!(fifth.said.contains("Too slack"), "{}", fifth.said);
    // The scale and the pitch standard do the same by their squares.
    let longer = Retuning {
        scale_mm: Some(430.0 * 1.1),
        a4_hz: Some(415.0),
        ..Retuning::default()
    };
    let longer = retuned(tenor, &shop.rack, &longer, Units::default()).unwrap();
    let by = (1.1_f64 * 415.0 / 440.0).powi(2);
    assert!((longer.total_after_n.unwrap() / longer.total_before_n.unwrap() - by).abs() < 1e-9);
    assert!(retuned(tenor, &shop.rack, &down(["H9"; 4]), Units::default()).is_err());
    let bad = Retuning {
        scale_mm: Some(f64::NAN),
        ..Retuning::default()
    };
    assert!(retuned(tenor, &shop.rack, &bad, Units::default()).is_err());
}

#[test]
fn a_fanned_scale_keeps_its_fan() {
    let shop = demo();
    let fan = of(&shop, "inst-tenor-fan");
    let longer = Retuning {
        scale_mm: Some(fan.scale_mm * 1.05),
        ..Retuning::default()
    };
    let table = retuned(fan, &shop.rack, &longer, Units::default()).unwrap();
    for string in &table.strings {
        assert!((string.change.unwrap() + 1.0 - 1.05_f64.powi(2)).abs() < 1e-9);
    }
}

#[test]
fn a_steel_set_tuned_up_comes_near_breaking() {
    let shop = demo();
    let borne = tunings(of(&shop, "inst-guitar-steel"), &shop.rack, Units::default()).unwrap();
    assert_eq!(borne.len(), 15);
    let at = |label: &str| borne.iter().find(|b| b.label == label).unwrap();
    assert_eq!(at("as it is").verdict, Verdict::Good);
    let up = at("5 semitones higher");
    assert_eq!(up.verdict, Verdict::RuledOut);
    assert_eq!(at("7 semitones lower").verdict, Verdict::RuledOut);
    assert!(at("7 semitones lower").total_n < up.total_n);
}

#[test]
fn the_scale_at_which_a_set_feels_as_another() {
    let shop = demo();
    let concert = of(&shop, "inst-concert-10");
    // The same strings tuned two semitones higher pull the same on a scale shorter by two frets.
    let mut high = concert.clone();
    for (course, note) in high.courses.iter_mut().zip(["A3", "D4", "F#4", "B4"]) {
        course.note = note.into();
    }
    let found = scale_that_feels(&high, concert, &shop.rack, Units::default()).unwrap();
    assert!(
        (found.scale_mm - 381.0 * 2.0_f64.powf(-2.0 / 12.0)).abs() < 1e-6,
        "{found:?}"
    );
    assert!(found.departs.iter().all(|d| d.abs() < 1e-9));
    assert!(
        scale_that_feels(
            &high,
            of(&shop, "inst-guitar-steel"),
            &shop.rack,
            Units::default()
        )
        .is_err()
    );
}

fn wanted() -> Wanted {
    Wanted {
        course: 0,
        tension_n: 45.0,
        diameter_mm: Some(0.70),
        kappa: None,
        breaking_most: 0.75,
        wraps: 1,
        rack_only: false,
        units: Units::default(),
    }
}

#[test]
fn a_wound_string_to_order_comes_near_what_is_wanted() {
    let shop = demo();
    let tenor = of(&shop, "inst-tenor-5");
    let found = windings(tenor, &shop.rack, &wanted()).unwrap();
    assert!(found.len() >= 3, "{}", found.len());
    let best = &found[0];
    assert!(
        (best.figures.tension_n.unwrap() / 45.0 - 1.0).abs() < 0.05,
        "{}",
        best.said
    );
    assert!(
        (best.figures.diameter_mm.unwrap() / 0.70 - 1.0).abs() < 0.05,
        "{}",
        best.said
    );
    assert_ne!(best.verdict, Verdict::RuledOut);
    let section = &best.section;
    assert!((section.layers[0].outside_mm - section.outside_mm).abs() < 1e-9);
    assert!((section.outside_mm - best.figures.diameter_mm.unwrap()).abs() < 1e-9);
    let double = windings(
        tenor,
        &shop.rack,
        &Wanted {
            wraps: 2,
            ..wanted()
        },
    )
    .unwrap();
    assert!(double.iter().all(|w| w.section.layers.len() == 2) && !double.is_empty());
    // A steel core is held to its breaking share.
    let guitar = of(&shop, "inst-guitar-steel");
    let steel = Wanted {
        tension_n: 115.0,
        diameter_mm: None,
        breaking_most: 0.5,
        ..wanted()
    };
    for winding in windings(guitar, &shop.rack, &steel).unwrap() {
        assert!(winding.figures.breaking_fraction.unwrap() <= 0.5);
    }
    assert!(
        windings(
            tenor,
            &shop.rack,
            &Wanted {
                course: 9,
                ..wanted()
            }
        )
        .is_err()
    );
    assert!(
        windings(
            tenor,
            &shop.rack,
            &Wanted {
                tension_n: f64::NAN,
                ..wanted()
            }
        )
        .is_err()
    );
}

#[test]
fn only_the_wire_on_the_rack_is_used_when_it_is_asked() {
    let mut shop = demo();
    let tenor = of(&shop, "inst-tenor-5").clone();
    let only = Wanted {
        rack_only: true,
        diameter_mm: None,
        ..wanted()
    };
    assert!(windings(&tenor, &shop.rack, &only).unwrap().is_empty());
    for size in [0.06, 0.08, 0.10, 0.12] {
        shop.rack.push(RackString {
            id: format!("wire-{size}"),
            make: Make::Plain(Plain {
                material: "silver-plated-copper".into(),
                diameter_mm: size,
                ..Plain::default()
            }),
            ..RackString::default()
        });
    }
    let found = windings(&tenor, &shop.rack, &only).unwrap();
    assert!(!found.is_empty() && found.iter().all(|w| w.on_rack));
    // Such wire is no candidate for a course.
    let answer = propose_on(&tenor, &shop.rack, &[], &Choices::default()).unwrap();
    assert!(
        answer
            .sets
            .iter()
            .flat_map(|s| &s.strings)
            .all(|s| !s.figures.name.contains("silver-plated copper, 0."))
    );
}

#[test]
fn equivalence_goes_both_ways() {
    let g = |make: &Make| string_make(make).unwrap().g_per_m().value;
    let plain = nylon(1.17);
    for size in [WoundSize::Diameter(0.70), WoundSize::CoreShare(0.6)] {
        let wound = winding::wound_as_heavy_as(&plain, "nylon", "bronze", size).unwrap();
        assert!((g(&wound) / g(&plain) - 1.0).abs() < 1e-9);
        let back = winding::plain_as_heavy_as(&wound, "nylon").unwrap();
        assert!(matches!(back, Make::Plain(p) if (p.diameter_mm - 1.17).abs() < 1e-9));
    }
    assert!(
        winding::wound_as_heavy_as(&plain, "nylon", "bronze", WoundSize::Diameter(3.0)).is_err()
    );
    assert!(
        winding::wound_as_heavy_as(&plain, "rope", "bronze", WoundSize::CoreShare(0.6)).is_err()
    );
}

#[test]
fn a_viola_string_as_a_low_fourth() {
    let shop = demo();
    let concert = of(&shop, "inst-concert-7");
    let ask = Ask {
        course: 0,
        note: "G3".into(),
        tension_n: None,
        units: Units::default(),
    };
    let borrowing = Borrowing {
        rating: Rated {
            tension_n: 52.0,
            note: "G3".into(),
            scale_mm: 370.0,
            diameter_mm: 0.76,
            ..Rated::default()
        },
        end: End::Ball,
        whole_mm: Some(650.0),
        holds: Some(End::Plain),
        behind_saddle_mm: Some(20.0),
        nut_to_post_mm: Some(80.0),
        turns: Some(2.0),
    };
    let found = borrowed(concert, &shop.rack, &ask, &borrowing).unwrap();
    // At equal pitch the tension goes with the square of the length.
    let expected = 52.0 * (381.0_f64 / 370.0).powi(2);
    assert!((found.candidate.figures.tension_n.unwrap() - expected).abs() < 1e-9);
    let post = concert.tuner.as_ref().unwrap().post_mm.unwrap();
    let needs = 381.0 + 20.0 + 80.0 + 2.0 * std::f64::consts::PI * (post + 0.76) + 40.0;
    assert!((found.needs_mm - needs).abs() < 1e-9);
    let finding = |b: &borrow::Borrowed, code: &str| {
        b.candidate
            .findings
            .iter()
            .find(|f| f.code == code)
            .unwrap()
            .clone()
    };
    assert_eq!(finding(&found, "length").verdict, Verdict::Good);
    assert!(finding(&found, "end").text.contains("cut it off"));
    let short = Borrowing {
        whole_mm: Some(500.0),
        ..borrowing.clone()
    };
    let found = borrowed(concert, &shop.rack, &ask, &short).unwrap();
    assert_eq!(found.candidate.verdict, Verdict::RuledOut);
    let unsaid = Borrowing {
        whole_mm: None,
        behind_saddle_mm: None,
        nut_to_post_mm: None,
        turns: None,
        holds: None,
        ..borrowing
    };
    let found = borrowed(concert, &shop.rack, &ask, &unsaid).unwrap();
    assert_eq!(finding(&found, "length").verdict, Verdict::Fair);
    assert_eq!(found.assumed.len(), 5, "{:?}", found.assumed);
}

#[test]
fn a_weighing_and_a_pull_test_narrow_every_band_that_depends_on_them() {
    let mut shop = demo();
    let id = "rack-nylon-1.02";
    let figures = |shop: &Workshop| {
        instrument_report(of(shop, "inst-concert-9"), &shop.rack).courses[0].strings[0].clone()
    };
    let width = |band: Option<[f64; 2]>| {
        let [low, high] = band.unwrap();
        high - low
    };
    let before = figures(&shop);
    let rack = shop.rack.iter_mut().find(|s| s.id == id).unwrap();
    let cut = Weighing {
        mass_g: 0.45,
        length_mm: 500.0,
        ..Weighing::default()
    };
    let weighed = measure::weighed(&rack.make, &cut).unwrap();
    assert!(
        weighed.said.starts_with("0.900 g/m, give or take 2.2 %"),
        "{}",
        weighed.said
    );
    rack.make = weighed.make;
    let after = figures(&shop);
    assert!(width(after.g_per_m_band) < 0.4 * width(before.g_per_m_band));
    assert!(width(after.tension_band_n) < 0.4 * width(before.tension_band_n));
    // It is nylon still: the same law of stretch, and the same caution outside what was measured.
    assert_eq!(after.measured_mpa, before.measured_mpa);
    assert_eq!(after.stress_bearer, before.stress_bearer);
    let test = PullTest {
        length_mm: 381.0,
        extra_mm: 1.0,
        extra_give_mm: 0.03,
        rise_cents: 113.6,
        rise_give_cents: 2.0,
    };
    let (kappa, give) = measure::pulled(&test).unwrap();
    assert!(
        (kappa - 51.0).abs() < 0.02 && (give - 50.0 * 0.03_f64.hypot(2.0 / 113.6)).abs() < 0.02
    );
    let rack = shop.rack.iter_mut().find(|s| s.id == id).unwrap();
    (rack.kappa, rack.kappa_give) = (Some(kappa), Some(give));
    let pulled = figures(&shop);
    assert!(width(pulled.kappa_band) < 0.5 * width(after.kappa_band));
    let octave = |s: &StringFigures| width(s.fretting.octave().unwrap().cents_band);
    assert!(octave(&pulled) < octave(&after));
    assert_eq!(file::check(&shop), Ok(()));
    let text = file::write(&shop);
    assert_eq!(file::read(&text).unwrap(), shop);
    assert!(measure::pulled(&PullTest::default()).is_err());
    assert!(measure::weighed(&nylon(1.0), &Weighing::default()).is_err());
}

#[test]
fn the_one_measurement_is_of_the_string_in_most_doubt() {
    let shop = demo();
    let choices = Choices {
        from_stock: false,
        ..Choices::default()
    };
    let answer = propose(&shop, "inst-tenor-5", &choices).unwrap();
    let told = measure::narrows(&answer).unwrap();
    assert!(
        told.weigh && told.said.contains("Weigh a cut length of plain nylon"),
        "{}",
        told.said
    );
    assert!(told.could_change);
    let stretch = Choices {
        profile: Profile::Stretch,
        ..choices.clone()
    };
    let told = measure::narrows(&propose(&shop, "inst-tenor-5", &stretch).unwrap());
    assert!(told.is_none_or(|t| !t.weigh && t.said.contains("pull test")));
    // Once it is weighed there is nothing more to say of it.
    let single = Choices { sets: 1, ..choices };
    assert!(measure::narrows(&propose(&shop, "inst-tenor-5", &single).unwrap()).is_none());
}
