//! Odd values, changed bytes and any text.

use super::*;
use proptest::prelude::*;

/// A value that a hostile or careless hand may have put anywhere.
fn odd_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        (-3.0..50.0f64).prop_map(Value::from),
        any::<String>().prop_map(Value::from),
        Just(json!([])),
        Just(json!([1, "x"])),
        Just(json!({})),
        Just(json!({ "plain": {} })),
        Just(json!({ "id": "r1" })),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, ..ProptestConfig::default() })]

    /// Whatever the table lets through the types hold, and it goes round; whatever it refuses is said in a sentence.
    #[test]
    fn a_changed_value_is_read_whole_or_refused(which in any::<prop::sample::Index>(), odd in odd_value()) {
        let mut all = Vec::new();
        pointers(&whole_shop(), "", &mut all);
        let mut value = whole_shop();
        *value.pointer_mut(which.get::<String>(&all)).unwrap() = odd;
        match read_value(&value) {
            Ok(workshop) => {
                prop_assert_eq!(check(&workshop), Ok(()));
                prop_assert_eq!(read(&write(&workshop)), Ok(workshop));
            }
            Err(problem) => {
                let said = problem.to_string();
                prop_assert!(said.chars().count() < 600 && !said.chars().any(char::is_control), "{}", said);
                prop_assert!(!problem.accept.starts_with("a record as the workshop file"), "a gap in the table: {}", said);
            }
        }
    }

    #[test]
    fn a_changed_byte_never_panics(at in any::<prop::sample::Index>(), byte in any::<u8>(), cut in any::<bool>()) {
        let mut bytes = whole_shop().to_string().into_bytes();
        let at = at.index(bytes.len());
        bytes[at] = byte;
        if cut {
            bytes.truncate(at + 1);
        }
        if let Ok(workshop) = read_bytes(&bytes) {
            prop_assert_eq!(check(&workshop), Ok(()));
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        prop_assert!(read(&text).is_err());
    }

    /// A number comes back to the last bit, so that importing a file twice changes nothing.
    #[test]
    fn numbers_go_round_to_the_last_bit(scale in 50.0..2000.0f64, gap in -5.0..20.0f64) {
        let mut value = whole_shop();
        value["instruments"][0]["scale_mm"] = json!(scale);
        value["instruments"][0]["setup"]["courses"][0]["gap_1_mm"] = json!(gap);
        let instrument = &read_value(&value).unwrap().instruments[0];
        prop_assert_eq!(instrument.scale_mm.to_bits(), scale.to_bits());
        prop_assert_eq!(instrument.setup.courses[0].gap_1_mm.unwrap().to_bits(), gap.to_bits());
    }
}
