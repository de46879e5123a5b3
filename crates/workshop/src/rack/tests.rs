use super::*;
use crate::file;
use crate::sets::{Choices, propose};

fn demo() -> Workshop {
    file::read(include_str!("../../../../demo-data/demo-shop.json")).unwrap()
}

fn on_hand(shop: &Workshop, id: &str) -> Option<u32> {
    shop.rack_string(id).unwrap().on_hand
}

#[test]
fn a_string_put_on_falls_and_one_taken_off_goes_where_it_is_said() {
    let mut shop = demo();
    let (new, was) = ("rack-fluorocarbon-0.85", "rack-fluorocarbon-0.81");
    let before = (on_hand(&shop, new).unwrap(), on_hand(&shop, was).unwrap());
    let lacks = fit(&mut shop, "inst-tenor-5", 1, 0, new, Old::Away).unwrap();
    assert!(lacks.is_empty());
    assert_eq!(on_hand(&shop, new), Some(before.0 - 1));
    assert_eq!(on_hand(&shop, was), Some(before.1));
    // The same again moves nothing.
    fit(&mut shop, "inst-tenor-5", 1, 0, new, Old::ToRack).unwrap();
    assert_eq!(on_hand(&shop, new), Some(before.0 - 1));
    // Taking it back: both counts are as they were, but for the one that was thrown away.
    fit(&mut shop, "inst-tenor-5", 1, 0, was, Old::ToRack).unwrap();
    assert_eq!(on_hand(&shop, new), Some(before.0));
    assert_eq!(on_hand(&shop, was), Some(before.1 - 1));
    assert_eq!(file::check(&shop), Ok(()));
}

#[test]
fn none_on_hand_is_told_and_the_count_stays_at_nought() {
    let mut shop = demo();
    assert_eq!(on_hand(&shop, "rack-fluorocarbon-0.52"), Some(0));
    let lacks = fit(
        &mut shop,
        "inst-tenor-5",
        3,
        0,
        "rack-fluorocarbon-0.52",
        Old::Away,
    )
    .unwrap();
    assert_eq!(lacks.len(), 1);
    assert_eq!(lacks[0].lacking(), 1);
    assert!(lacks[0].text().contains("get 1 more"));
    assert_eq!(on_hand(&shop, "rack-fluorocarbon-0.52"), Some(0));
}

#[test]
fn what_cannot_be_put_on_changes_nothing() {
    let mut shop = demo();
    let before = shop.clone();
    assert!(
        fit(
            &mut shop,
            "inst-tenor-5",
            9,
            0,
            "rack-fluorocarbon-0.85",
            Old::Away
        )
        .is_err()
    );
    assert!(fit(&mut shop, "inst-tenor-5", 0, 0, "nothing", Old::Away).is_err());
    assert!(
        fit(
            &mut shop,
            "nobody",
            0,
            0,
            "rack-fluorocarbon-0.85",
            Old::Away
        )
        .is_err()
    );
    assert_eq!(shop, before);
}

#[test]
fn a_course_taken_out_gives_its_string_back_when_it_is_said() {
    let mut shop = demo();
    let at = place_of(&shop, "inst-tenor-5").unwrap();
    let before = shop.instruments[at].clone();
    let mut after = before.clone();
    crate::records::remove_course(&mut after, 3);
    let was = on_hand(&shop, "rack-fluorocarbon-0.47").unwrap();
    recount(&mut shop.rack, Some(&before), Some(&after), Old::ToRack);
    assert_eq!(on_hand(&shop, "rack-fluorocarbon-0.47"), Some(was + 1));
    // An instrument that is gone gives all of them back.
    recount(&mut shop.rack, Some(&after), None, Old::ToRack);
    assert_eq!(on_hand(&shop, "rack-fluorocarbon-0.47"), Some(was + 1));
    assert!(on_hand(&shop, "rack-fluorocarbon-0.81").unwrap() > 0);
}

#[test]
fn a_proposed_set_put_on_is_what_was_proposed() {
    let mut shop = demo();
    let choices = Choices {
        from_stock: false,
        ..Choices::default()
    };
    let set = propose(&shop, "inst-tenor-5", &choices)
        .unwrap()
        .sets
        .remove(0);
    let before = shop.clone();
    let lacks = fit_set(&mut shop, "inst-tenor-5", &set, None, Old::Away).unwrap();
    assert!(lacks.is_empty(), "{lacks:?}");
    let report = crate::report::report(&shop);
    let of = report
        .instruments
        .iter()
        .find(|i| i.id == "inst-tenor-5")
        .unwrap();
    assert_eq!(of.total_tension_n, set.total_n);
    assert_eq!(file::check(&shop), Ok(()));
    let fallen: u32 = before
        .rack
        .iter()
        .zip(&shop.rack)
        .map(|(a, b)| a.on_hand.unwrap_or(0) - b.on_hand.unwrap_or(0))
        .sum();
    assert!((1..=4).contains(&fallen));
}

#[test]
fn the_price_of_a_stringing_says_what_it_leaves_out() {
    let shop = demo();
    let of = |id: &str| price(&shop.instruments[place_of(&shop, id).unwrap()], &shop.rack);
    let concert = of("inst-concert-12");
    assert_eq!((concert.priced, concert.unpriced), (4, 0));
    assert!((concert.sum - (0.95 + 1.10 + 1.00 + 0.91)).abs() < 1e-9);
    assert_eq!(concert.text(), "3.96");
    let own = of("inst-concert-7");
    assert_eq!(own.unpriced, 1);
    assert!(
        own.text().ends_with("for 3 strings; 1 has no price"),
        "{}",
        own.text()
    );
}
