use super::*;
use crate::units::{ForceUnit, LengthUnit};
use proptest::prelude::*;

fn mm(text: &str) -> Result<f64, String> {
    length_mm(text, LengthUnit::Mm).map_err(|unread| unread.to_string())
}

#[test]
fn lengths_as_the_bench_writes_them() {
    for (text, expected) in [
        ("381", 381.0),
        ("381 mm", 381.0),
        ("381mm", 381.0),
        (" 381 MM. ", 381.0),
        ("38.1 cm", 381.0),
        ("0.381 m", 381.0),
        ("15 in", 381.0),
        ("15in.", 381.0),
        ("15 inches", 381.0),
        ("15\"", 381.0),
        ("15''", 381.0),
        ("15″", 381.0),
        ("15”", 381.0),
        ("13 7/8 in", 352.425),
        ("13-7/8\"", 352.425),
        ("13 - 7/8 in", 352.425),
        ("13+7/8 in", 352.425),
        ("13 7/8", 352.425),
        ("13⅞", 352.425),
        ("13 ⅞ ″", 352.425),
        ("13\u{a0}7⁄8 in", 352.425),
        ("⅞ in", 22.225),
        ("½\"", 12.7),
        (".028\"", 0.7112),
        ("0.028 in", 0.7112),
        ("28 thou", 0.7112),
        ("0,7 mm", 0.7),
        (",7", 0.7),
        ("7.", 7.0),
        ("1/64\"", 0.396_875),
        ("5/64 in", 1.984_375),
        ("5/64", 1.984_375),
        ("1/2 mm", 0.5),
        ("1/3 mm", 0.333_333_333_333),
        ("-0.36 mm", -0.36),
        ("−0,36", -0.36),
        ("+ 1.5", 1.5),
        ("-13-7/8\"", -352.425),
        ("1.5e1 in", 381.0),
        ("0", 0.0),
    ] {
        assert_eq!(mm(text), Ok(expected), "{text}");
    }
}

#[test]
fn a_number_alone_follows_the_setting() {
    let inch = |text| length_mm(text, LengthUnit::Inch).unwrap();
    assert_eq!(inch("15"), 381.0);
    assert_eq!(inch(".028"), 0.7112);
    assert_eq!(inch("1/3"), 8.466_666_666_67);
    assert_eq!(inch("0.7 mm"), 0.7);
}

#[test]
fn what_is_no_length_is_said_in_words() {
    for (text, why) in [
        ("", "no number is written"),
        ("   ", "no number is written"),
        ("abc", "\"abc\" is not a number"),
        ("ca. 5", "\"ca.\" is not a number"),
        ("mm", "\"mm\" is not a number"),
        ("381 foo", "\"foo\" is no unit of length here"),
        ("381 mm mm", "\"mm mm\" is no unit of length here"),
        ("5'", "feet are not read here"),
        ("1 000 mm", "two numbers, 1 and 000, stand side by side"),
        (
            "13 9/8 in",
            "the fraction after a whole number must be less than one",
        ),
        ("13.5 7/8 in", "\"7/8 in\" stands after the number"),
        ("1,234.5", "it has more than one decimal point or comma"),
        ("7/", "a number is missing in the fraction"),
        ("/8", "a number is missing in the fraction"),
        ("7/0 in", "the fraction is divided by nothing"),
        ("7/8/9 in", "\"/9 in\" stands after the number"),
        ("1/3", "a fraction like this needs its unit, mm or in"),
        ("1/123456 in", "the fraction has too many digits"),
        (".", "a decimal point stands without digits"),
        ("--5", "\"-\" is not a number"),
        ("1e999", "\"e999\" is no unit of length here"),
        ("200 m", "the number is too large"),
        ("1e99", "the number is too large"),
        ("NaN", "\"NaN\" is not a number"),
        ("inf", "\"inf\" is not a number"),
        ("٣ mm", "\"٣\" is not a number"),
    ] {
        let said = mm(text).unwrap_err();
        assert!(
            said.contains(&format!("cannot be read: {why}; a length such as")),
            "{text}: {said}"
        );
        assert!(said.ends_with("is accepted"), "{said}");
    }
    assert!(
        mm(&"1".repeat(41))
            .unwrap_err()
            .contains("longer than 40 characters")
    );
    assert!(mm("").unwrap_err().starts_with("nothing cannot be read"));
}

#[test]
fn forces_masses_and_the_rest() {
    let force = |text| force_n(text, ForceUnit::Newton).unwrap();
    assert_eq!(force("50"), 50.0);
    assert_eq!(force("50 N"), 50.0);
    assert_eq!(force("5 kgf"), 49.03325);
    assert_eq!(force("5,5 kg"), 53.936575);
    assert_eq!(force("11 lbf"), 48.930_437_767_9);
    assert_eq!(force("11 lb"), force("11 pounds"));
    assert_eq!(force_n("11", ForceUnit::Lbf).unwrap(), force("11 lbf"));
    assert_eq!(force_n("5", ForceUnit::Kgf).unwrap(), force("5 kgf"));
    assert!(
        force_n("5 mm", ForceUnit::Newton)
            .unwrap_err()
            .to_string()
            .contains("no unit of force")
    );

    assert_eq!(mass_g("1.42").unwrap(), 1.42);
    assert_eq!(mass_g("142 mg").unwrap(), 0.142);
    assert_eq!(mass_g("1 oz").unwrap(), 28.349_523_125);
    assert_eq!(mass_per_length_g_m("2.10 mg/mm").unwrap(), 2.1);
    // 1 lb/in is 17.857967 kg/m.
    assert!((mass_per_length_g_m("2.215e-5 lb/in").unwrap() - 0.395_553_97).abs() < 1e-8);

    assert_eq!(cents("+3").unwrap(), 3.0);
    assert_eq!(cents("-2,5 c").unwrap(), -2.5);
    assert_eq!(frequency_hz("440 Hz").unwrap(), 440.0);
    assert_eq!(percent("45 %").unwrap(), 45.0);
    assert_eq!(degrees("14°").unwrap(), 14.0);
    assert_eq!(number("51,5").unwrap(), 51.5);
    assert!(
        number("51 x")
            .unwrap_err()
            .to_string()
            .contains("\"x\" stands after the number")
    );

    assert_eq!(count("18").unwrap(), 18);
    for text in ["1.5", "-1", "1e9", "many", ""] {
        assert!(count(text).is_err(), "{text}");
    }
}

#[test]
fn notes_are_read_or_refused_in_words() {
    for (text, name) in [
        ("G3", "G3"),
        ("c#4", "C#4"),
        ("Bb3", "A#3"),
        ("e♭2", "D#2"),
        (" a4 ", "A4"),
    ] {
        assert_eq!(note(text).unwrap().to_string(), name, "{text}");
    }
    let said = note("H9").unwrap_err().to_string();
    assert_eq!(
        said,
        "\"H9\" cannot be read: \"H\" is not a note letter; a letter A to G, perhaps # or b, and an octave \
         from 0 to 8, such as G3 or Bb2, is accepted"
    );
    assert!(note("G").is_err());
    assert!(note(&"G".repeat(1000)).unwrap_err().to_string().len() < 400);
}

/// Texts made of the characters that the readers look for.
fn bench_like() -> impl Strategy<Value = String> {
    proptest::string::string_regex("[-+−0-9.,/ ⅞½\"'″a-zA-Z°%\u{a0}\n]{0,45}").unwrap()
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        every_reader(&text)?;
    }

    #[test]
    fn any_bench_like_text_is_read_or_refused(text in bench_like()) {
        every_reader(&text)?;
    }

    #[test]
    fn mixed_numbers_read_as_their_sum(whole in 0..40u32, sixty_fourths in 1..64u32, negative: bool) {
        let sign = if negative { "-" } else { "" };
        let expected = f64::from(whole) + f64::from(sixty_fourths) / 64.0;
        let expected = 25.4 * if negative { -expected } else { expected };
        for between in [" ", "-"] {
            let text = format!("{sign}{whole}{between}{sixty_fourths}/64 in");
            prop_assert!((length_mm(&text, LengthUnit::Mm).unwrap() - expected).abs() < 1e-8, "{}", text);
        }
    }

    #[test]
    fn a_comma_reads_as_a_point(value in 0.0..5000.0f64) {
        let point = format!("{value:.4} mm");
        let comma = point.replace('.', ",");
        prop_assert_eq!(length_mm(&point, LengthUnit::Mm), length_mm(&comma, LengthUnit::Mm));
    }
}

fn every_reader(text: &str) -> Result<(), TestCaseError> {
    let read = [
        length_mm(text, LengthUnit::Mm),
        length_mm(text, LengthUnit::Inch),
        force_n(text, ForceUnit::Lbf),
        mass_g(text),
        mass_per_length_g_m(text),
        frequency_hz(text),
        cents(text),
        percent(text),
        degrees(text),
        number(text),
        count(text).map(f64::from),
    ];
    for result in read {
        match result {
            Ok(value) => prop_assert!(value.is_finite()),
            Err(unread) => {
                let said = unread.to_string();
                prop_assert!(
                    said.chars().count() < 400 && !said.chars().any(char::is_control),
                    "{}",
                    said
                );
            }
        }
    }
    let _ = note(text);
    Ok(())
}
