//! What is refused, and the sentence about it.

use super::*;

/// The sentence about the whole shop with one value put in at a pointer.
fn said_with(pointer: &str, wrong: Value) -> String {
    let mut value = whole_shop();
    *value
        .pointer_mut(pointer)
        .expect("the pointer leads somewhere") = wrong;
    read_value(&value)
        .expect_err("it should be refused")
        .to_string()
}

#[test]
fn bad_input_is_said_with_record_and_field() {
    let string = "instrument \"Concert, spruce and walnut\" (course 2, string 1)";
    for (pointer, wrong, said) in [
        (
            "/instruments/0/scale_mm",
            json!(0),
            "instrument \"Concert, spruce and walnut\": scale_mm reads 0; a scale length in mm from 50 to 2000 is accepted"
                .to_owned(),
        ),
        (
            "/instruments/0/courses/0/note",
            json!("H9"),
            "instrument \"Concert, spruce and walnut\" (course 1): note reads \"H9\"; a note such as G3 or Bb2 (a letter \
             A to G, perhaps # or b, and an octave from 0 to 8) is accepted"
                .to_owned(),
        ),
        (
            "/instruments/0/former/courses/0/strings/0/rack",
            json!("r99"),
            "instrument \"Concert, spruce and walnut\" (former, course 1, string 1): rack reads \"r99\"; the id of a rack \
             string in this file is accepted"
                .to_owned(),
        ),
        (
            "/instruments/0/settling/strung",
            json!("yesterday"),
            "instrument \"Concert, spruce and walnut\" (settling): strung reads \"yesterday\"; a moment written as \
             2026-01-31T10:00Z (or with a zone such as +01:00 for the Z) is accepted"
                .to_owned(),
        ),
        (
            "/instruments/0/courses/1/strings/0/make/rated/diameter_mm",
            json!("abc"),
            format!("{string}: diameter_mm reads \"abc\"; a diameter in mm from 0.05 to 10 is accepted"),
        ),
        (
            "/instruments/0/courses/0/strings/0/rack",
            json!("r99"),
            "instrument \"Concert, spruce and walnut\" (course 1, string 1): rack reads \"r99\"; the id of a rack string in \
             this file is accepted"
                .to_owned(),
        ),
        (
            "/instruments/0/courses/1/strings/0/make",
            json!({ "rope": { "diameter_mm": 1 } }),
            format!(
                "{string}: make reads \"rope\"; a record with exactly one of plain, wound, weighed, rated, density is accepted"
            ),
        ),
        (
            "/instruments/0/courses/1/strings/0/make",
            json!({ "plain": {}, "wound": {} }),
            format!(
                "{string}: make reads plain, wound together; a record with exactly one of plain, wound, weighed, rated, \
                 density is accepted"
            ),
        ),
        (
            "/rack/1/make/wound/wraps/0/material",
            json!("cheese"),
            format!(
                "rack string \"wound\" (wrap 1): material reads \"cheese\"; one of {} is accepted",
                strungwell_physics::material::MATERIALS.map(|row| row.key).join(", ")
            ),
        ),
        (
            "/rack/1/make/wound/core/diameter_mm",
            Value::Null,
            "rack string \"wound\" (core): diameter_mm reads nothing; a core diameter in mm from 0.05 to 5 is accepted".into(),
        ),
        (
            "/rack/1/make/wound/wraps",
            json!([]),
            "rack string \"wound\": wraps reads a list of 0; a list of 1 to 6 wraps is accepted".into(),
        ),
        (
            "/instruments/0/visits/0/as_found/relief_mm",
            json!(-5.5),
            "instrument \"Concert, spruce and walnut\" (visit 1, as found): relief_mm reads -5.5; a relief in mm from -5 to 5 \
             is accepted"
                .into(),
        ),
        (
            "/instruments/0/visits/0/date",
            json!("2023-02-29"),
            "instrument \"Concert, spruce and walnut\" (visit 1): date reads \"2023-02-29\"; a day written as 2026-01-31 is \
             accepted"
                .into(),
        ),
        (
            "/instruments/0/setup/fret_tops_mm/1",
            json!("high"),
            "instrument \"Concert, spruce and walnut\" (setup): fret_tops_mm 2 reads \"high\"; a height of a fret's top in mm \
             from -5 to 5 is accepted"
                .into(),
        ),
        (
            "/instruments/0/frets",
            json!(17.5),
            "instrument \"Concert, spruce and walnut\": frets reads 17.5; a number of frets from 0 to 40, a whole number, is \
             accepted"
                .into(),
        ),
        (
            "/instruments/0/owner",
            json!("nobody"),
            "instrument \"Concert, spruce and walnut\": owner reads \"nobody\"; the id of an owner in this file, or null, is \
             accepted"
                .into(),
        ),
        (
            "/instruments/0/neck/rod",
            json!("yes"),
            "instrument \"Concert, spruce and walnut\" (neck): rod reads \"yes\"; true or false is accepted".into(),
        ),
        (
            "/rack/1/id",
            json!("r1"),
            "rack string \"wound\": id reads \"r1\"; an id that no other rack string has is accepted".into(),
        ),
        (
            "/owners/0",
            json!([1, 2]),
            "the file: owners 1 reads a list of 2; a record is accepted".into(),
        ),
        ("/format", json!("other"), "the file: format reads \"other\"; \"strungwell-workshop\" is accepted".into()),
        (
            "/version",
            json!(2),
            "the file: version reads 2, which a newer version of this program wrote; version 1 is accepted".into(),
        ),
        ("/version", json!(0), "the file: version reads 0; version 1 is accepted".into()),
        ("/version", json!("1"), "the file: version reads something else than a number; version 1 is accepted".into()),
        ("/version", Value::Null, "the file: version reads nothing; version 1 is accepted".into()),
    ] {
        assert_eq!(said_with(pointer, wrong), said, "{pointer}");
    }
}

#[test]
fn a_string_comes_from_one_place() {
    let at = "/instruments/0/courses/0/strings/0";
    let make = json!({ "plain": { "material": "nylon", "diameter_mm": 1 } });
    assert!(
        said_with(at, json!({ "rack": "r1", "make": make }))
            .contains("rack, make reads both; exactly one")
    );
    assert!(said_with(at, json!({})).contains("rack, make reads neither; exactly one"));
}

#[test]
fn names_from_a_file_cannot_spoil_the_sentence() {
    let mut value = whole_shop();
    value["instruments"][0]["name"] = json!("\u{1b}[2J\u{202e}evil\n".repeat(9));
    value["instruments"][0]["scale_mm"] = json!("y".repeat(100_000));
    let said = read_value(&value).unwrap_err().to_string();
    assert!(
        said.chars().count() < 300 && !said.chars().any(char::is_control),
        "{said}"
    );
}

#[test]
fn a_nameless_record_is_named_by_id_or_place() {
    let mut value = whole_shop();
    value["instruments"][0]["name"] = json!("");
    value["instruments"][0]["frets"] = json!(-1);
    assert!(read_value(&value).unwrap_err().record == "instrument \"i1\"");
    value["instruments"][0]["id"] = json!(7);
    assert!(read_value(&value).unwrap_err().record == "instrument 1");
}

#[test]
fn a_file_cut_short_anywhere_is_refused() {
    let text = whole_shop().to_string();
    for end in 0..text.len() {
        let problem = read(&text[..end]).unwrap_err();
        assert_eq!(problem.record, "the file");
        assert!(problem.field.starts_with("line "), "{problem}");
    }
    assert_eq!(
        read("{\n \"format\": \"strungwell-workshop\",")
            .unwrap_err()
            .to_string(),
        "the file: line 2, column 33 reads the end of the text, so the file is cut short; a whole workshop file in JSON is \
         accepted"
    );
}

#[test]
fn what_is_not_json_is_refused() {
    let said = |text: &str| read(text).unwrap_err().to_string();
    assert!(
        said("G C E A")
            .contains("line 1, column 1 reads something that is not JSON (expected value)")
    );
    assert!(said("[]").contains("the file reads something else than one JSON record"));
    assert!(said("{}").contains("format reads nothing"));
    assert!(said("{\"a\":1e999}").contains("number out of range"));
    assert!(
        said("{\"a\":1,\n\"a\":2}")
            .contains("reads the field \"a\" for the second time in one record")
    );
    let deep = format!("{}{}", "[".repeat(200_000), "]".repeat(200_000));
    assert!(said(&deep).contains("more than 127 records or lists inside one another"));
    assert!(
        said(&" ".repeat(MOST_BYTES + 1))
            .contains("its size reads 33554433 bytes; at most 33554432")
    );
    assert!(
        read_bytes(b"{\"a\": \"\xff\"}")
            .unwrap_err()
            .to_string()
            .contains("byte 8 reads something that is not text")
    );
    let whole = format!("\u{feff}{}", whole_shop());
    assert!(read(&whole).is_ok(), "a byte order mark is no harm");
}
