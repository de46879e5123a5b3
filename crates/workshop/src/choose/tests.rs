use super::*;
use crate::records::{Course, Density, FittedString, Plain};
use crate::units::Units;

fn plain(material: &str, diameter_mm: f64) -> Make {
    Make::Plain(Plain {
        material: material.into(),
        diameter_mm,
        ..Plain::default()
    })
}

fn course(note: &str, make: Make) -> Course {
    Course {
        note: note.into(),
        strings: vec![FittedString::of(make)],
        ..Course::default()
    }
}

/// A concert instrument whose other three courses stand near 40 N.
fn concert() -> Instrument {
    Instrument {
        family: "ukulele-concert".into(),
        scale_mm: 381.0,
        courses: vec![
            course("G3", plain("nylon", 1.02)),
            course("C4", plain("fluorocarbon", 0.86)),
            course("E4", plain("fluorocarbon", 0.68)),
            course("A4", plain("fluorocarbon", 0.52)),
        ],
        ..Instrument::default()
    }
}

fn ask(note: &str) -> Ask {
    Ask {
        course: 0,
        note: note.into(),
        tension_n: None,
        units: Units::default(),
    }
}

fn rack_string(id: &str, make: Make, on_hand: Option<u32>) -> RackString {
    RackString {
        id: id.into(),
        name: id.into(),
        make,
        kappa: None,
        kappa_give: None,
        bend_modulus_gpa: None,
        on_hand,
        price: None,
        note: String::new(),
        changed: None,
        extra: Default::default(),
    }
}

fn wound() -> Make {
    Make::Density(Density {
        g_per_m: 1.85,
        diameter_mm: 0.74,
        ..Density::default()
    })
}

#[test]
fn the_loose_plain_nylon_is_ruled_out_and_the_wound_one_taken() {
    let rack = [
        rack_string("loose", plain("nylon", 1.02), None),
        rack_string("wound", wound(), Some(2)),
    ];
    let answer = candidates(&concert(), &rack, &ask("G3")).unwrap();
    let find = |id: &str| {
        answer
            .candidates
            .iter()
            .find(|c| c.from == From::Rack(id.into()))
            .unwrap()
    };
    let loose = find("loose");
    assert_eq!(loose.verdict, Verdict::RuledOut);
    assert!(
        loose.findings[0].text.contains("rubbery"),
        "{:?}",
        loose.findings
    );
    assert!(
        loose.findings[0].text.contains("20.8 N"),
        "{:?}",
        loose.findings
    );
    let wound = find("wound");
    assert_eq!(wound.verdict, Verdict::Good, "{:?}", wound.findings);
    assert!(wound.findings.iter().any(|f| f.code == "tension"));
}

#[test]
fn candidates_stand_from_best_to_worst() {
    let answer = candidates(&concert(), &[], &ask("G3")).unwrap();
    assert!(answer.candidates.len() >= 6, "{}", answer.candidates.len());
    let mut before = (Verdict::Good, 0.0);
    for candidate in &answer.candidates {
        let distance = (candidate.figures.tension_n.unwrap() / answer.wanted_n)
            .ln()
            .abs();
        assert!((candidate.verdict, distance) >= before, "{candidate:?}");
        before = (candidate.verdict, distance);
        assert!(!candidate.findings.is_empty());
    }
}

#[test]
fn stock_gauges_stand_near_the_wanted_tension() {
    let wanted = Ask {
        tension_n: Some(42.0),
        ..ask("G3")
    };
    let answer = candidates(&concert(), &[], &wanted).unwrap();
    let best = &answer.candidates[0];
    assert!(
        (best.figures.tension_n.unwrap() / 42.0 - 1.0).abs() < 0.10,
        "{best:?}"
    );
    assert_eq!(best.from, From::Stock);
    // Of the same mass a plain nylon string would be thicker than any gauge sold, so its nearest is ruled out.
    let nylon = answer
        .candidates
        .iter()
        .find(|c| c.make == plain("nylon", 1.10))
        .unwrap();
    assert_eq!(nylon.verdict, Verdict::RuledOut);
}

#[test]
fn a_string_too_thick_for_its_slot_is_ruled_out() {
    let mut instrument = concert();
    instrument.courses[0].slot_mm = Some(0.70);
    let rack = [rack_string("wound", wound(), None)];
    let answer = candidates(&instrument, &rack, &ask("G3")).unwrap();
    let thick = answer
        .candidates
        .iter()
        .find(|c| c.from == From::Rack("wound".into()))
        .unwrap();
    assert_eq!(thick.verdict, Verdict::RuledOut);
    assert!(
        thick.findings[0]
            .text
            .contains("0.74 mm in a slot of 0.70 mm"),
        "{:?}",
        thick.findings
    );
}

#[test]
fn a_steel_string_near_breaking_is_ruled_out() {
    let steel = |note: &str| course(note, plain("steel", 0.33));
    let instrument = Instrument {
        family: "guitar-steel".into(),
        scale_mm: 648.0,
        courses: vec![steel("E4"), steel("B3"), steel("G3")],
        ..Instrument::default()
    };
    let rack = [rack_string("thin", plain("steel", 0.254), None)];
    // A4 on 648 mm: 2552 MPa against a least strength of 2668.
    let answer = candidates(
        &instrument,
        &rack,
        &Ask {
            course: 0,
            note: "A4".into(),
            tension_n: Some(120.0),
            units: Units::default(),
        },
    )
    .unwrap();
    let thin = answer
        .candidates
        .iter()
        .find(|c| c.from == From::Rack("thin".into()))
        .unwrap();
    assert_eq!(thin.verdict, Verdict::RuledOut);
    assert!(
        thin.findings
            .iter()
            .any(|f| f.code == "breaking" && f.text.contains("eye")),
        "{:?}",
        thin.findings
    );
}

#[test]
fn steel_among_nylon_is_ruled_out() {
    let rack = [rack_string("steel", plain("steel", 0.40), None)];
    let answer = candidates(&concert(), &rack, &ask("G3")).unwrap();
    let steel = answer
        .candidates
        .iter()
        .find(|c| c.from == From::Rack("steel".into()))
        .unwrap();
    assert!(
        steel
            .findings
            .iter()
            .any(|f| f.code == "steel-on-soft" && f.verdict == Verdict::RuledOut)
    );
    // Nor does the stock offer any.
    assert!(!answer.candidates.iter().any(
        |c| c.from == From::Stock && matches!(&c.make, Make::Plain(p) if p.material == "steel")
    ));
}

#[test]
fn what_cannot_be_asked_is_said() {
    assert!(
        candidates(&concert(), &[], &ask("H9"))
            .unwrap_err()
            .contains("note letter")
    );
    let nowhere = Ask {
        course: 9,
        ..ask("G3")
    };
    assert!(candidates(&concert(), &[], &nowhere).is_err());
}

#[test]
fn the_low_fourth_and_the_re_entrant_one_stand_side_by_side() {
    let low = as_fitted(&concert(), &[], &ask("G3"), 0).unwrap();
    let high = as_fitted(&concert(), &[], &ask("G4"), 0).unwrap();
    // Common practice: the low fourth is an octave under the re-entrant one, so the same string bears a quarter.
    let ratio = high.figures.tension_n.unwrap() / low.figures.tension_n.unwrap();
    assert!((ratio - 4.0).abs() < 1e-9);
}

#[test]
fn a_measured_stretch_takes_no_caution_away() {
    // 4 times the pitch of a low fourth on the same plain nylon: some 400 MPa against 174 measured.
    let mut over = rack_string("over", plain("nylon", 1.02), None);
    let asked = Ask {
        tension_n: Some(330.0),
        ..ask("G5")
    };
    for kappa in [None, Some(50.0)] {
        over.kappa = kappa;
        let answer = candidates(&concert(), &[over.clone()], &asked).unwrap();
        let found = answer
            .candidates
            .iter()
            .find(|c| c.from == From::Rack("over".into()))
            .unwrap();
        let caution = found
            .findings
            .iter()
            .find(|f| f.code == "over-measured")
            .unwrap();
        assert_eq!(caution.verdict, Verdict::RuledOut);
        assert!(caution.text.contains("eye protection"), "{}", caution.text);
        assert!(
            crate::report::report(&crate::records::Workshop {
                instruments: vec![Instrument {
                    courses: vec![Course {
                        note: "G5".into(),
                        strings: vec![FittedString {
                            kappa,
                            ..FittedString::of(plain("nylon", 1.02))
                        }],
                        ..Course::default()
                    }],
                    ..concert()
                }],
                ..Default::default()
            })
            .instruments[0]
                .warnings
                .iter()
                .any(|w| w.code == "over-measured")
        );
    }
}

#[test]
fn a_thin_nylon_core_far_over_its_mark_is_ruled_out() {
    use crate::records::{Core, CoreShape, Wound, Wrap};
    let make = Make::Wound(Wound {
        core: Core {
            material: "nylon".into(),
            diameter_mm: 0.20,
            shape: CoreShape::Filaments,
            ..Core::default()
        },
        wraps: vec![Wrap {
            material: "silver".into(),
            size_mm: 0.25,
            ..Wrap::default()
        }],
        ..Wound::default()
    });
    let answer = candidates(&concert(), &[rack_string("thin", make, None)], &ask("G3")).unwrap();
    let thin = answer
        .candidates
        .iter()
        .find(|c| c.from == From::Rack("thin".into()))
        .unwrap();
    assert!(
        thin.findings
            .iter()
            .any(|f| f.code == "over-measured" && f.verdict == Verdict::RuledOut),
        "{:?}",
        thin.findings
    );
}
