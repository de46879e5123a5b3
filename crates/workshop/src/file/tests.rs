use super::schema::{Field, KINDS, Kind, Presence, Takes};
use super::*;
use proptest::prelude::*;
use serde_json::{Map, json};

/// A shop with every record and every field in it.
fn whole_shop() -> Value {
    json!({
        "format": "strungwell-workshop", "version": 1, "exported": "2026-01-31T10:00:00Z",
        "owners": [{ "id": "o1", "name": "Ada Fell", "contact": "at the mill", "note": "" }],
        "rack": [
            { "id": "r1", "name": "plain nylon 0.81", "make": { "plain": { "material": "nylon", "diameter_mm": 0.81 } },
              "kappa": 51.0, "kappa_give": 2.0, "bend_modulus_gpa": 5.5, "on_hand": 3, "price": 1.2, "note": "dry" },
            { "id": "r2", "name": "wound", "note": "",
              "make": { "wound": {
                "core": { "material": "nylon", "diameter_mm": 0.56, "shape": "filaments", "filaments": 120 },
                "wraps": [{ "material": "silver", "form": "ground", "size_mm": 0.1, "width_mm": 0.3, "ground_mm": 0.7 }] } },
              "kappa": null, "kappa_give": null, "bend_modulus_gpa": null, "on_hand": null, "price": null },
            { "id": "r3", "name": "weighed", "note": "",
              "make": { "weighed": { "mass_g": 0.42, "mass_give_g": 0.01, "length_mm": 200.0, "diameter_mm": 0.76,
                "core": { "material": "nylon", "diameter_mm": 0.5, "shape": "round", "filaments": null } } },
              "kappa": null, "kappa_give": null, "bend_modulus_gpa": null, "on_hand": null, "price": null },
            { "id": "r4", "name": "listed", "note": "",
              "make": { "density": { "g_per_m": 2.1, "diameter_mm": 0.76, "core": null } },
              "kappa": null, "kappa_give": null, "bend_modulus_gpa": null, "on_hand": null, "price": null }
        ],
        "instruments": [{
            "id": "i1", "owner": "o1", "name": "Concert, spruce and walnut", "family": "ukulele", "maker": "own",
            "serial": "12", "note": "",
            "a4_hz": 440.0, "scale_mm": 381.0, "frets": 18, "body_fret": 14, "fret_height_mm": 1.0,
            "camber_radius_mm": 300.0,
            "courses": [
                { "note": "G3", "offset_cents": 0.0, "scale_mm": null, "first_fret": 0, "slot_mm": 0.8, "strings": [
                    { "rack": "r1", "make": null, "kappa": 50.0, "kappa_give": 1.0, "bend_modulus_gpa": 5.0 } ] },
                { "note": "C4", "offset_cents": 0.0, "scale_mm": 380.0, "first_fret": 0, "slot_mm": null, "strings": [
                    { "rack": null, "make": { "rated": { "tension_n": 60.0, "note": "A3", "scale_mm": 325.0,
                      "diameter_mm": 0.6, "core": null } }, "kappa": null, "kappa_give": null,
                      "bend_modulus_gpa": null } ] }
            ],
            "press": { "finger_behind_mm": 6.0, "fret_reaction_n": 1.0 },
            "pluck": { "force_n": 1.5, "from_saddle_mm": 95.0, "release": "towards" },
            "setup": { "courses": [{ "gap_1_mm": 0.6, "gap_12_mm": 2.6, "saddle_setback_mm": 1.5,
                "nut_setback_mm": -0.3 }], "relief_mm": 0.1, "relief_fret": 7, "fret_tops_mm": [0.0, 0.02] },
            "bridge": { "kind": "floating", "saddle_height_mm": 9.0, "break_angle_deg": 14.0, "foot_length_mm": 80.0,
                "foot_width_mm": 20.0 },
            "neck": { "wood": "mahogany", "board_wood": "ebony", "width_nut_mm": 35.0, "width_body_mm": 45.0,
                "depth_nut_mm": 14.0, "depth_body_mm": 18.0, "board_mm": 4.0, "rod": true },
            "tuner": { "ratio": 5.0, "post_mm": 6.0 },
            "visits": [{ "id": "v1", "date": "2024-02-29",
                "as_found": { "courses": [], "relief_mm": null, "relief_fret": null, "fret_tops_mm": null },
                "as_left": null, "readings": [{ "course": 1, "fret": 12, "cents": 7.5 }],
                "temp_c": 21.0, "rh_percent": 45.0, "note": "" }]
        }]
    })
}

fn read_value(value: &Value) -> Result<Workshop, Problem> {
    read(&value.to_string())
}

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
fn a_whole_shop_goes_round_to_the_byte() {
    let workshop = read_value(&whole_shop()).unwrap();
    assert_eq!(check(&workshop), Ok(()));
    let text = write(&workshop);
    assert_eq!(read(&text).unwrap(), workshop);
    assert_eq!(write(&read(&text).unwrap()), text);
    // Nothing that stood in the file is missing from the text, and nothing is added.
    assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), whole_shop());
    assert!(text.starts_with("{\n  \"format\": \"strungwell-workshop\",\n  \"version\": 1,\n"));
}

/// Puts an unknown field into every record of a value that the table knows.
fn with_unknown_fields(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            let is_make = fields.len() == 1
                && fields.keys().all(|name| {
                    matches!(
                        name.as_str(),
                        "plain" | "wound" | "weighed" | "rated" | "density"
                    )
                });
            fields.values_mut().for_each(with_unknown_fields);
            if !is_make {
                fields.insert(
                    "later".into(),
                    json!({ "seen": [1, null, "x", { "y": 2.5 }] }),
                );
            }
        }
        Value::Array(list) => list.iter_mut().for_each(with_unknown_fields),
        _ => {}
    }
}

#[test]
fn unknown_fields_survive_in_every_record() {
    let mut value = whole_shop();
    with_unknown_fields(&mut value);
    let count = value.to_string().matches("\"later\"").count();
    assert!(count > 25, "{count}");
    let workshop = read_value(&value).unwrap();
    assert_eq!(
        serde_json::from_str::<Value>(&write(&workshop)).unwrap(),
        value
    );
}

#[test]
fn what_is_left_out_takes_its_usual_value() {
    let least = json!({ "format": FORMAT, "version": 1, "instruments": [
        { "id": "i", "scale_mm": 381, "frets": 18.0, "name": null, "a4_hz": null, "press": null, "setup": {},
          "visits": null, "pluck": { "release": null, "force_n": 2 },
          "courses": [{ "note": "g4", "strings": [{ "make": { "plain": { "material": "nylon", "diameter_mm": 1 } } }] }] }
    ] });
    let workshop = read_value(&least).unwrap();
    let instrument = &workshop.instruments[0];
    assert_eq!(
        (instrument.a4_hz, instrument.frets, instrument.name.as_str()),
        (440.0, 18, "")
    );
    assert_eq!(instrument.press, crate::records::Press::default());
    assert_eq!(instrument.pluck.force_n, 2.0);
    assert_eq!(instrument.setup, crate::records::Setup::default());
    assert_eq!(instrument.courses[0].first_fret, 0);
    assert!(workshop.owners.is_empty() && instrument.visits.is_empty());
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

#[test]
fn single_records_are_read_as_in_a_file() {
    let shop = read_value(&whole_shop()).unwrap();
    let instrument = &shop.instruments[0];
    assert_eq!(
        read_instrument(&write_instrument(instrument)).as_ref(),
        Ok(instrument)
    );
    assert_eq!(
        read_owner(&write_owner(&shop.owners[0])).as_ref(),
        Ok(&shop.owners[0])
    );
    assert_eq!(
        read_rack_string(&write_rack_string(&shop.rack[1])).as_ref(),
        Ok(&shop.rack[1])
    );
    assert_eq!(
        read_owner("{\"id\": \"x\"").unwrap_err().to_string(),
        "the stored owner: line 1, column 10 reads the end of the text, so the file is cut short; a whole owner in JSON is \
         accepted"
    );
    assert_eq!(
        read_rack_string("{\"id\": \"x\"}").unwrap_err().to_string(),
        "rack string \"x\": make reads nothing; a record with exactly one of plain, wound, weighed, rated, density is accepted"
    );
    assert!(
        read_instrument("7")
            .unwrap_err()
            .to_string()
            .contains("the instrument reads 7; a record")
    );
}

#[test]
fn records_made_here_are_checked_alike() {
    let mut shop = read_value(&whole_shop()).unwrap();
    shop.instruments[0].scale_mm = f64::NAN;
    assert_eq!(check(&shop).unwrap_err().field, "scale_mm");
    assert_eq!(
        check_instrument(&shop.instruments[0]).unwrap_err().field,
        "scale_mm"
    );
    assert_eq!(check_rack_string(&shop.rack[0]), Ok(()));
    shop.instruments[0].scale_mm = 381.0;
    shop.rack.clear();
    assert_eq!(check(&shop).unwrap_err().field, "rack");
}

#[test]
fn limits_are_told_by_record_and_field() {
    let low_high = |record, field| limits(record, field).map(|limits| (limits.low, limits.high));
    assert_eq!(low_high("instrument", "scale_mm"), Some((50.0, 2000.0)));
    assert_eq!(low_high("setup", "fret_tops_mm"), Some((-5.0, 5.0)));
    assert_eq!(low_high("course setup", "gap_1_mm"), Some((-5.0, 20.0)));
    assert_eq!(low_high("instrument", "name"), None);
    assert_eq!(low_high("nothing", "scale_mm"), None);
    let frets = limits("instrument", "frets").unwrap();
    assert!(
        frets.accept(40.0) && !frets.accept(41.0) && !frets.accept(1.5) && !frets.accept(f64::NAN)
    );
}

/// Every record of a value with its row of the table.
fn each_record<'a>(
    value: &'a Value,
    kind: &'static Kind,
    found: &mut Vec<(&'a Map<String, Value>, &'static Kind)>,
) {
    let Value::Object(fields) = value else { return };
    found.push((fields, kind));
    let into = |takes: &Takes, value: &'a Value, found: &mut Vec<_>| match takes {
        Takes::Record(kind) => each_record(value, kind, found),
        Takes::Records { of, .. } => {
            value
                .as_array()
                .into_iter()
                .flatten()
                .for_each(|item| each_record(item, of, found));
        }
        _ => {}
    };
    for Field { name, takes, .. } in kind.fields {
        let Some(value) = fields.get(*name) else {
            continue;
        };
        if let Takes::OneOf(kinds) = takes {
            for make in *kinds {
                if let Some(inner) = value.get(make.name) {
                    into(&make.takes, inner, found);
                }
            }
        } else {
            into(takes, value, found);
        }
    }
}

#[test]
fn the_table_and_the_types_have_the_same_fields() {
    let written =
        serde_json::from_str::<Value>(&write(&read_value(&whole_shop()).unwrap())).unwrap();
    let mut found = Vec::new();
    each_record(&written, &WORKSHOP, &mut found);
    for (fields, kind) in &found {
        let mut of_the_types: Vec<&str> = fields.keys().map(String::as_str).collect();
        let mut of_the_table: Vec<&str> = kind.fields.iter().map(|field| field.name).collect();
        of_the_types.sort_unstable();
        of_the_table.sort_unstable();
        assert_eq!(of_the_types, of_the_table, "{}", kind.word);
    }
    for kind in KINDS {
        assert!(
            found.iter().any(|(_, seen)| seen.word == kind.word),
            "no {} in the example",
            kind.word
        );
        assert_eq!(
            KINDS.iter().filter(|other| other.word == kind.word).count(),
            1,
            "{}",
            kind.word
        );
    }
}

/// The JSON pointers of every value.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    found.push(at.to_owned());
    match value {
        Value::Object(fields) => {
            fields
                .iter()
                .for_each(|(name, inner)| pointers(inner, &format!("{at}/{name}"), found));
        }
        Value::Array(list) => {
            list.iter()
                .enumerate()
                .for_each(|(i, inner)| pointers(inner, &format!("{at}/{i}"), found));
        }
        _ => {}
    }
}

fn is_needed(pointer: &str) -> bool {
    let name = pointer.rsplit('/').next().unwrap_or_default();
    KINDS.iter().any(|kind| {
        kind.field(name)
            .is_some_and(|field| field.presence == Presence::Needed)
    })
}

#[test]
fn a_needed_field_missing_anywhere_is_named() {
    let mut all = Vec::new();
    pointers(&whole_shop(), "", &mut all);
    let mut tried = 0;
    for pointer in all.iter().filter(|pointer| is_needed(pointer)) {
        let (parent, name) = pointer.rsplit_once('/').unwrap();
        let mut value = whole_shop();
        let Some(Value::Object(fields)) = value.pointer_mut(parent) else {
            continue;
        };
        fields.remove(name);
        if let Err(problem) = read_value(&value) {
            tried += 1;
            assert!(
                problem.field == name || problem.field == "make" || problem.field == "rack, make",
                "{pointer}: {problem}"
            );
        }
    }
    assert!(tried > 30, "{tried}");
}

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
