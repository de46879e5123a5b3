use super::*;
use crate::records::Workshop;
use crate::report::instrument_report;

fn shop() -> Workshop {
    crate::file::read(include_str!("../../../../../demo-data/demo-shop.json")).unwrap()
}

fn instrument(id: &str) -> (Workshop, Instrument) {
    let shop = shop();
    let found = shop
        .instruments
        .iter()
        .find(|i| i.id == id)
        .unwrap()
        .clone();
    (shop, found)
}

fn seen(shop: &Workshop, instrument: &Instrument, aim: SaddleAim) -> SaddleView {
    saddle_view(instrument, &instrument_report(instrument, &shop.rack), &aim)
}

#[test]
fn the_usual_aim_proposes_what_the_report_does() {
    for instrument in &shop().instruments {
        let report = instrument_report(instrument, &shop().rack);
        let view = saddle_view(instrument, &report, &SaddleAim::default());
        let saddle = report.saddle.as_ref().unwrap();
        assert!((saddle.offset_mm - view.offset_mm.unwrap()).abs() < 1e-9);
        assert!((saddle.slant_mm - view.slant_mm.unwrap()).abs() < 1e-9);
        for ((said, course), at) in saddle
            .courses
            .iter()
            .zip(&view.courses)
            .zip(&report.courses)
        {
            assert!((said.setback_mm - course.line_mm.unwrap()).abs() < 1e-9);
            assert!((said.cost_cents.unwrap() - course.cost_cents.unwrap()).abs() < 1e-9);
            assert!(
                said.cost_cents.unwrap() > -1e-9,
                "{} {said:?}",
                instrument.name
            );
            let string = &at.strings[0].fretting;
            assert!((course.best_mm.unwrap() - string.saddle_setback_mm.unwrap()).abs() < 1e-9);
        }
        for strand in &view.strands {
            let string = &report.courses[strand.course].strings[strand.string].fretting;
            assert!((strand.rms_now.unwrap() - string.rms_now_cents.unwrap()).abs() < 1e-9);
            assert!((strand.rms_best.unwrap() - string.rms_cents.unwrap()).abs() < 1e-6);
            for (note, figures) in strand.notes.iter().zip(&string.frets) {
                assert!((note.best.unwrap() - figures.cents_best.unwrap()).abs() < 1e-6);
            }
        }
    }
}

#[test]
fn a_plain_nylon_low_fourth_is_the_sharpest_and_a_wound_one_is_not() {
    let (shop, plain) = instrument("inst-concert-9");
    let (_, wound) = instrument("inst-concert-10");
    let (plain, wound) = (
        seen(&shop, &plain, SaddleAim::default()),
        seen(&shop, &wound, SaddleAim::default()),
    );
    assert_eq!(plain.sharpest, Some(0));
    assert_ne!(wound.sharpest, Some(0));
    // The saddle slants forward towards the treble, and its middle lies between the outer courses.
    let (slant, offset) = (plain.slant_mm.unwrap(), plain.offset_mm.unwrap());
    assert!(slant < -1.5, "{slant}");
    assert!(
        plain.courses[3].line_mm.unwrap() < offset && offset < plain.courses[0].line_mm.unwrap()
    );
    let at = |view: &SaddleView| view.strands[0].octave_cents.unwrap();
    assert!(
        at(&plain) > 3.0 * at(&wound),
        "{} {}",
        at(&plain),
        at(&wound)
    );
}

#[test]
fn a_proposal_written_down_does_what_it_said() {
    let (shop, before) = instrument("inst-concert-9");
    let view = seen(&shop, &before, SaddleAim::default());
    for place in [Place::Best, Place::Line] {
        let mut after = before.clone();
        put_saddle(&mut after, &view, place);
        let now = seen(&shop, &after, SaddleAim::default());
        for (strand, was) in now.strands.iter().zip(&view.strands) {
            let said = if place == Place::Best {
                was.rms_best
            } else {
                was.rms_line
            };
            // A hundredth of a millimetre and the gaps measured anew leave a little.
            assert!(
                (strand.rms_now.unwrap() - said.unwrap()).abs() < 0.1,
                "{strand:?}"
            );
            assert!(strand.rms_now < was.rms_now);
        }
        let setbacks: Vec<f64> = after
            .setup
            .courses
            .iter()
            .map(|c| c.saddle_setback_mm.unwrap())
            .collect();
        let bend = setbacks
            .windows(3)
            .map(|w| (w[0] - 2.0 * w[1] + w[2]).abs())
            .fold(0.0, f64::max);
        assert_eq!(bend < 0.021, place == Place::Line, "{setbacks:?}");
    }
}

#[test]
fn another_aim_makes_another_proposal() {
    let (shop, instrument) = instrument("inst-concert-9");
    let usual = seen(&shop, &instrument, SaddleAim::default());
    let minimax = seen(
        &shop,
        &instrument,
        SaddleAim {
            minimax: true,
            ..SaddleAim::default()
        },
    );
    let worst = |view: &SaddleView| view.strands[0].worst_best.unwrap().1.abs();
    assert!(
        worst(&minimax) < worst(&usual) - 0.05,
        "{} {}",
        worst(&minimax),
        worst(&usual)
    );
    assert!(minimax.strands[0].rms_best > usual.strands[0].rms_best);

    let stays = seen(
        &shop,
        &instrument,
        SaddleAim {
            nut_stays: true,
            ..SaddleAim::default()
        },
    );
    let mut after = instrument.clone();
    after.setup.courses[0].nut_setback_mm = None;
    put_saddle(&mut after, &stays, Place::Best);
    assert_eq!(after.setup.courses[0].nut_setback_mm, None);
    assert_eq!(after.setup.courses[1].nut_setback_mm, Some(0.0));
    assert!(stays.strands[0].rms_best > usual.strands[0].rms_best);

    let short = seen(
        &shop,
        &instrument,
        SaddleAim {
            last_fret: 5,
            ..SaddleAim::default()
        },
    );
    assert!(short.strands[0].rms_best < usual.strands[0].rms_best);
    let none = seen(
        &shop,
        &instrument,
        SaddleAim {
            first_fret: 30,
            last_fret: 3,
            ..SaddleAim::default()
        },
    );
    assert_eq!(none.offset_mm, None);
    assert!(
        none.strands[0]
            .missing
            .as_ref()
            .unwrap()
            .contains("0 of the frets")
    );
    assert!(none.strands[0].octave_cents.is_some());
}

#[test]
fn what_is_not_measured_is_said_and_the_rest_goes_on() {
    let (shop, mut instrument) = instrument("inst-concert-9");
    instrument.setup.courses[1].gap_12_mm = None;
    instrument.setup.courses[2].gap_1_mm = Some(-0.4);
    let view = seen(&shop, &instrument, SaddleAim::default());
    assert!(
        view.strands[1]
            .missing
            .as_ref()
            .unwrap()
            .contains("not measured")
    );
    assert!(view.strands[1].notes.is_empty());
    assert!(view.strands[2].notes.iter().any(|n| n.blocked.is_some()));
    assert!(view.offset_mm.unwrap().is_finite());
    assert!(view.courses[1].line_mm.is_some() && view.courses[1].best_mm.is_none());
    assert!(view.strands[3].rms_best.is_some());

    instrument.setup.courses.clear();
    let report = instrument_report(&instrument, &shop.rack);
    assert_eq!(report.saddle, None);
    let view = seen(&shop, &instrument, SaddleAim::default());
    assert!(view.strands.iter().all(|s| s.missing.is_some()));
    // What is proposed for none of them writes nothing but room for it.
    let mut after = instrument.clone();
    put_saddle(&mut after, &view, Place::Best);
    assert!(
        after
            .setup
            .courses
            .iter()
            .all(|c| *c == CourseSetup::default())
    );
    assert!(setup_of(&mut after, 4).is_none());
    after.setup.courses.clear();
    assert!(setup_of(&mut after, 1).is_some());
    assert_eq!(after.setup.courses.len(), 2);
}

#[test]
fn strings_alike_stand_once_and_different_ones_share_a_place() {
    let (shop, mut mandolin) = instrument("inst-mandolin-4");
    let view = seen(&shop, &mandolin, SaddleAim::default());
    assert_eq!(view.strands.len(), 4);
    mandolin.courses[0].strings[1].kappa = Some(400.0);
    let view = seen(&shop, &mandolin, SaddleAim::default());
    assert_eq!(view.strands.len(), 5);
    let single = |string: usize| {
        let mut one = mandolin.clone();
        one.courses[0].strings = vec![mandolin.courses[0].strings[string].clone()];
        seen(&shop, &one, SaddleAim::default()).courses[0]
            .best_mm
            .unwrap()
    };
    let (a, b, both) = (single(0), single(1), view.courses[0].best_mm.unwrap());
    assert!((a.min(b)..=a.max(b)).contains(&both), "{a} {b} {both}");
}
