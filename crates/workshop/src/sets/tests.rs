use super::*;
use crate::file;

fn demo() -> Workshop {
    file::read(include_str!("../../../../demo-data/demo-shop.json")).unwrap()
}

fn low_fourth() -> Choices {
    Choices {
        notes: Some(["G3", "C4", "E4", "A4"].map(String::from).to_vec()),
        from_stock: false,
        ..Choices::default()
    }
}

fn tension(set: &SetProposal) -> Vec<f64> {
    set.strings
        .iter()
        .map(|s| s.figures.tension_n.unwrap())
        .collect()
}

#[test]
fn a_tenor_gets_three_whole_low_fourth_sets_from_the_demo_rack() {
    let shop = demo();
    let answer = propose(&shop, "inst-tenor-5", &low_fourth()).unwrap();
    assert_eq!(answer.sets.len(), 3, "{answer:?}");
    assert!(answer.proven);
    for set in &answer.sets {
        assert_eq!(set.strings.len(), 4);
        assert!(set.departs_most <= 0.15 + 1e-9);
        for string in &set.strings {
            assert!((string.figures.tension_n.unwrap() / 45.0).ln().abs() <= 1.15_f64.ln());
            assert_ne!(string.verdict, Verdict::RuledOut);
            assert!(matches!(string.from, From::Rack(_)));
        }
        assert_eq!(set.to_order, 0);
        assert!(!set.why.is_empty());
    }
    let first = &answer.sets[0];
    assert!(first.why.contains("the least of all sets"), "{}", first.why);
    assert!(!first.gains.is_empty() || !first.gives_up.is_empty());
    assert!(answer.sets.is_sorted_by(|a, b| a.score <= b.score));
}

#[test]
fn each_set_differs_from_every_better_one_in_two_places() {
    let answer = propose(&demo(), "inst-tenor-5", &low_fourth()).unwrap();
    let ids =
        |set: &SetProposal| -> Vec<From> { set.strings.iter().map(|s| s.from.clone()).collect() };
    for (i, a) in answer.sets.iter().enumerate() {
        for b in &answer.sets[..i] {
            let differ = ids(a).iter().zip(ids(b)).filter(|(x, y)| **x != *y).count();
            assert!(differ >= 2);
        }
    }
}

#[test]
fn locked_courses_stay_and_set_the_level() {
    let shop = demo();
    let choices = Choices {
        // Named twice, and one that is not there: no harm.
        locked: vec![2, 1, 2, 9],
        ..low_fourth()
    };
    let answer = propose(&shop, "inst-tenor-5", &choices).unwrap();
    let set = &answer.sets[0];
    let report = crate::report::instrument_report(&shop.instruments[6], &shop.rack);
    assert_eq!(report.id, "inst-tenor-5");
    assert_eq!(set.strings.len(), 4);
    for course in [1, 2] {
        assert!(set.strings[course].locked);
        assert_eq!(
            set.strings[course].figures.tension_n,
            report.courses[course].strings[0].tension_n
        );
    }
    assert!(
        answer.aim.contains("the courses that stay"),
        "{}",
        answer.aim
    );
    let strung = strung_with(&shop.instruments[6], set, None);
    assert_eq!(strung.courses[1], shop.instruments[6].courses[1]);
    assert!(strung.courses[0].strings[0].rack.is_some());
}

#[test]
fn a_limit_on_the_load_is_kept_and_costs_something() {
    let shop = demo();
    let free = propose(&shop, "inst-tenor-5", &low_fourth()).unwrap();
    let most = free.sets[0].total_n.unwrap() - 5.0;
    let mut choices = low_fourth();
    choices.limits.total_n = Some(most);
    let kept = propose(&shop, "inst-tenor-5", &choices).unwrap();
    assert!(kept.sets.iter().all(|s| s.total_n.unwrap() <= most));
    assert!(kept.sets[0].score > free.sets[0].score);
    let total: f64 = tension(&kept.sets[0]).iter().sum();
    assert!((total - kept.sets[0].total_n.unwrap()).abs() < 1e-9);
}

#[test]
fn a_limit_on_the_price_is_kept() {
    let shop = demo();
    let free = propose(&shop, "inst-tenor-5", &low_fourth()).unwrap();
    let mut choices = low_fourth();
    choices.limits.price = Some(free.sets[0].price - 0.2);
    let kept = propose(&shop, "inst-tenor-5", &choices).unwrap();
    assert!(
        kept.sets
            .iter()
            .all(|s| s.price <= free.sets[0].price - 0.2 && s.unpriced == 0)
    );
    choices.limits.price = Some(0.01);
    let none = propose(&shop, "inst-tenor-5", &choices).unwrap();
    assert!(none.sets.is_empty() && !none.notes.is_empty());
}

#[test]
fn one_string_on_hand_goes_on_one_course_only() {
    let mut shop = demo();
    // Two courses at the same note on a rack with one string that suits, and one that suits less.
    let mut pair = shop.instruments[6].clone();
    pair.courses.truncate(2);
    pair.courses[0].note = "C4".into();
    shop.rack
        .retain(|s| s.id == "rack-fluorocarbon-0.81" || s.id == "rack-fluorocarbon-0.85");
    for string in &mut shop.rack {
        string.on_hand = Some(1);
    }
    let choices = Choices {
        from_stock: false,
        ..Choices::default()
    };
    let answer = propose_on(&pair, &shop.rack, &[], &choices).unwrap();
    let set = &answer.sets[0];
    assert_ne!(set.strings[0].from, set.strings[1].from);
    // A pair in unison wants two of one string, and there are none.
    let unison = Instrument {
        courses: vec![Course {
            strings: vec![pair.courses[1].strings[0].clone(); 2],
            ..pair.courses[1].clone()
        }],
        ..pair
    };
    let answer = propose_on(&unison, &shop.rack, &[], &choices).unwrap();
    assert!(answer.sets.is_empty());
    assert!(
        answer.notes[0].contains("not on hand in that number"),
        "{:?}",
        answer.notes
    );
    for string in &mut shop.rack {
        string.on_hand = Some(2);
    }
    let answer = propose_on(&unison, &shop.rack, &[], &choices).unwrap();
    assert_eq!(
        answer.sets[0].strings[0].from,
        answer.sets[0].strings[1].from
    );
}

#[test]
fn an_octave_pair_takes_two_strings_an_octave_apart() {
    let mut shop = demo();
    let mandolin = shop
        .instruments
        .iter_mut()
        .find(|i| i.id == "inst-mandolin-4")
        .unwrap();
    mandolin.courses[0].strings[1].semitones = 12;
    let answer = propose(&shop, "inst-mandolin-4", &Choices::default()).unwrap();
    let set = &answer.sets[0];
    assert_eq!(set.strings.len(), 8);
    assert_eq!(
        (set.strings[0].note.as_str(), set.strings[1].note.as_str()),
        ("G3", "G4")
    );
    assert_ne!(set.strings[0].from, set.strings[1].from);
    let pitch = |i: usize| set.strings[i].figures.pitch_hz.unwrap();
    assert!((pitch(1) / pitch(0) - 2.0).abs() < 1e-12);
    // The other pairs stay alike.
    assert_eq!(set.strings[2].make, set.strings[3].make);
    let strung = strung_with(
        shop.instruments
            .iter()
            .find(|i| i.id == "inst-mandolin-4")
            .unwrap(),
        set,
        None,
    );
    assert_eq!(strung.courses[0].strings[1].semitones, 12);
}

#[test]
fn every_layout_of_the_demo_shop_is_answered_within_its_profile() {
    let shop = demo();
    for instrument in &shop.instruments {
        for profile in [
            Profile::Equal,
            Profile::Graded(1.2),
            Profile::FingerForce,
            Profile::Stretch,
            Profile::Like(instrument.id.clone()),
        ] {
            let choices = Choices {
                profile: profile.clone(),
                ..Choices::default()
            };
            let answer = propose(&shop, &instrument.id, &choices);
            let answer = match (answer, &profile) {
                (Ok(answer), _) => answer,
                (Err(why), Profile::FingerForce | Profile::Like(_)) => {
                    assert!(why.contains("gaps") || why.contains("known"), "{why}");
                    continue;
                }
                (Err(why), _) => panic!("{} {profile:?}: {why}", instrument.name),
            };
            assert!(
                !answer.sets.is_empty() || !answer.notes.is_empty(),
                "{} {profile:?}",
                instrument.name
            );
            for set in &answer.sets {
                for string in &set.strings {
                    assert_ne!(string.verdict, Verdict::RuledOut, "{string:?}");
                    let departs = (string.has.unwrap() / string.aim).ln().abs();
                    assert!(departs <= 1.15_f64.ln() + 1e-9, "{departs}");
                }
            }
        }
    }
}

#[test]
fn graded_by_pitch_a_re_entrant_course_stands_where_it_sounds() {
    let shop = demo();
    let choices = Choices {
        profile: Profile::Graded(1.3),
        ..Choices::default()
    };
    let answer = propose(&shop, "inst-concert-12", &choices).unwrap();
    // G4 C4 E4 A4: the first course sounds between E4 and A4.
    let aims: Vec<f64> = answer.sets[0].strings.iter().map(|s| s.aim).collect();
    assert!(
        aims[1] > aims[2] && aims[2] > aims[0] && aims[0] > aims[3],
        "{aims:?}"
    );
    assert!((aims[1] / aims[3] - 1.3).abs() < 1e-9);
}

#[test]
fn what_cannot_be_asked_is_said() {
    let shop = demo();
    let ask = |choices: Choices| propose(&shop, "inst-tenor-5", &choices).unwrap_err();
    assert!(propose(&shop, "nobody", &Choices::default()).is_err());
    assert!(
        ask(Choices {
            within: f64::NAN,
            ..Choices::default()
        })
        .contains("aim")
    );
    assert!(
        ask(Choices {
            level: Some(f64::NAN),
            ..Choices::default()
        })
        .contains("level")
    );
    assert!(
        ask(Choices {
            profile: Profile::Graded(0.0),
            ..Choices::default()
        })
        .contains("ratio")
    );
    assert!(
        ask(Choices {
            profile: Profile::Typed(vec![40.0]),
            ..Choices::default()
        })
        .contains("1 tensions")
    );
    assert!(
        ask(Choices {
            profile: Profile::Like("x".into()),
            ..Choices::default()
        })
        .contains("no instrument")
    );
    assert!(
        ask(Choices {
            notes: Some(vec!["H9".into(); 4]),
            ..Choices::default()
        })
        .contains("course 1")
    );
}

#[test]
fn an_octave_string_pulls_four_times_as_much_wherever_it_is_reckoned() {
    let mut shop = demo();
    let mandolin = shop
        .instruments
        .iter_mut()
        .find(|i| i.id == "inst-mandolin-4")
        .unwrap();
    mandolin.courses[0].strings[1].semitones = 12;
    let whole = crate::report::report(&shop);
    let of = whole
        .instruments
        .iter()
        .find(|i| i.id == "inst-mandolin-4")
        .unwrap();
    let pair: Vec<f64> = of.courses[0]
        .strings
        .iter()
        .map(|s| s.tension_n.unwrap())
        .collect();
    assert!((pair[1] / pair[0] - 4.0).abs() < 1e-9);
    let bridge = of.loads.bridge.as_ref().unwrap();
    assert!((bridge.now.tension_n - of.total_tension_n.unwrap()).abs() < 1e-6);
}
