mod json_schema;
mod odd;
mod refusals;
mod table;

use super::*;
use serde_json::json;

/// A shop with every record and every field in it.
fn whole_shop() -> Value {
    let mut shop = json!({
        "format": "strungwell-workshop", "version": 1, "exported": "2026-01-31T10:00:00Z",
        "owners": [{ "id": "o1", "name": "Ada Fell", "contact": "at the mill", "note": "", "changed": "2026-01-30T10:00:05Z" }],
        "rack": [
            { "id": "r1", "name": "plain nylon 0.81", "make": { "plain": { "material": "nylon", "diameter_mm": 0.81 } },
              "kappa": 51.0, "kappa_give": 2.0, "bend_modulus_gpa": 5.5, "on_hand": 3, "price": 1.2, "note": "dry", "changed": null },
            { "id": "r2", "name": "wound", "note": "",
              "make": { "wound": {
                "core": { "material": "nylon", "diameter_mm": 0.56, "shape": "filaments", "filaments": 120 },
                "wraps": [{ "material": "silver", "form": "ground", "size_mm": 0.1, "width_mm": 0.3, "ground_mm": 0.7 }] } },
              "kappa": null, "kappa_give": null, "bend_modulus_gpa": null, "on_hand": null, "price": null, "changed": null },
            { "id": "r3", "name": "weighed", "note": "",
              "make": { "weighed": { "mass_g": 0.42, "mass_give_g": 0.01, "length_mm": 200.0, "length_give_mm": 0.5,
                "diameter_mm": 0.76,
                "core": { "material": "nylon", "diameter_mm": 0.5, "shape": "round", "filaments": null },
                "of": { "plain": { "material": "nylon", "diameter_mm": 0.76 } } } },
              "kappa": null, "kappa_give": null, "bend_modulus_gpa": null, "on_hand": null, "price": null, "changed": null },
            { "id": "r4", "name": "listed", "note": "",
              "make": { "density": { "g_per_m": 2.1, "diameter_mm": 0.76, "core": null } },
              "kappa": null, "kappa_give": null, "bend_modulus_gpa": null, "on_hand": null, "price": null, "changed": null }
        ],
        "instruments": [{
            "id": "i1", "owner": "o1", "name": "Concert, spruce and walnut", "family": "ukulele", "maker": "own",
            "serial": "12", "note": "",
            "a4_hz": 440.0, "scale_mm": 381.0, "frets": 18, "body_fret": 14, "fret_height_mm": 1.0,
            "camber_radius_mm": 300.0,
            "courses": [
                { "note": "G3", "offset_cents": 0.0, "scale_mm": null, "first_fret": 0, "slot_mm": 0.8, "strings": [
                    { "rack": "r1", "make": null, "semitones": 12, "kappa": 50.0, "kappa_give": 1.0, "bend_modulus_gpa": 5.0 } ] },
                { "note": "C4", "offset_cents": 0.0, "scale_mm": 380.0, "first_fret": 0, "slot_mm": null, "strings": [
                    { "rack": null, "make": { "rated": { "tension_n": 60.0, "note": "A3", "scale_mm": 325.0,
                      "diameter_mm": 0.6, "core": null } }, "semitones": 0, "kappa": null, "kappa_give": null,
                      "bend_modulus_gpa": null } ] }
            ],
            "press": { "finger_behind_mm": 6.0, "fret_reaction_n": 1.0 },
            "pluck": { "force_n": 1.5, "from_saddle_mm": 95.0, "release": "towards" },
            "setup": { "courses": [{ "gap_1_mm": 0.6, "gap_12_mm": 2.6, "saddle_setback_mm": 1.5,
                "nut_setback_mm": -0.3 }], "relief_mm": 0.1, "relief_fret": 7, "fret_tops_mm": [0.0, 0.02] },
            "visits": [{ "id": "v1", "date": "2024-02-29",
                "as_found": { "courses": [], "relief_mm": null, "relief_fret": null, "fret_tops_mm": null },
                "as_left": null, "readings": [{ "course": 1, "fret": 12, "cents": 7.5, "sd_cents": 0.5 }],
                "temp_c": 21.0, "rh_percent": 45.0, "work": "nut filed", "parts": "", "said": "buzzes", "waits_for": "",
                "note": "", "changed": null }],
            "changed": "2026-01-30T11:00+01:00"
        }]
    });
    let more = json!({
            "bridge": { "kind": "floating", "saddle_height_mm": 9.0, "break_angle_deg": 14.0, "front_angle_deg": 2.0, "foot_length_mm": 80.0,
                "foot_width_mm": 20.0 },
            "neck": { "wood": "mahogany", "board_wood": "ebony", "width_nut_mm": 35.0, "width_body_mm": 45.0,
                "depth_nut_mm": 14.0, "depth_body_mm": 18.0, "board_mm": 4.0, "rod": true,
                "wood_gpa": 10.0, "board_gpa": null,
                "bars": [{ "material": "carbon", "width_mm": 5.0, "height_mm": 8.0, "down_mm": 0.0 }] },
            "tuner": { "ratio": 5.0, "post_mm": 6.0, "hole_mm": 1.5, "slack_mm": 20.0 },
        "former": { "date": "2024-02-28", "courses": [
            { "note": "G4", "offset_cents": 0.0, "scale_mm": null, "first_fret": 0, "slot_mm": null, "strings": [
                { "rack": "r1", "make": null, "semitones": 12, "kappa": null, "kappa_give": null, "bend_modulus_gpa": null } ] } ],
            "relief_mm": 0.05, "note": "" },
        "settling": { "strung": "2024-02-29T09:30Z", "tolerance_cents": 5.0, "settled_cents_per_hour": 0.5,
            "looks": [{ "course": 1, "hours": 0.5, "flat_cents": 40.0, "retuned": true }] },
        "playing_in": { "machine": "the shelf", "target_strokes": 1000000.0, "strokes_per_turn": 4.0,
            "turns_per_minute": 18.5, "hours_per_day": 24.0, "started": "2024-03-01T18:00:00+01:00", "stopped": null,
            "strings_changed": null, "counts": [{ "at": "2024-03-02T18:00Z", "strokes": 108000.0 }] },
        "warm_readings": [{ "course": 1, "temp_c": 28.0, "cents": -6.0 }],
        "players": [{ "id": "p1", "name": "soft fingers", "force_n": 0.9, "from_saddle_mm": 110.0, "release": "away" }],
        "plan": { "target": "wish", "player": "p1", "cents_limit": 8.0, "nut_moves": true,
            "wish": { "courses": [{ "gap_1_mm": 0.5, "gap_12_mm": 2.2, "saddle_setback_mm": null, "nut_setback_mm": null }],
                "relief_mm": 0.05, "relief_fret": 7, "fret_tops_mm": null },
            "typed": { "courses": [], "relief_mm": null, "relief_fret": null, "fret_tops_mm": null },
            "limits": { "slot_floor_mm": 0.15, "bridge_top_mm": -0.4, "saddle_least_mm": 2.0, "saddle_most_mm": 7.0, "gap_12_most_mm": 4.0,
                "tie_behind_mm": 9.0, "tie_below_mm": 1.0, "break_least_deg": 12.0, "blank_front_mm": 0.0, "blank_mm": 3.0,
                "saddle_spread_mm": 42.0, "saddle_radius_mm": 300.0, "relief_least_mm": 0.0, "relief_most_mm": 0.2,
                "crown_least_mm": 0.6, "fret_high_mm": 0.03 },
            "rocking": [{ "fret": 7, "gap_mm": 0.1 }],
            "ticks": [{ "step": "slot-1", "what": "Cut the slot", "date": "2024-03-01", "measured": true,
                "after": { "courses": [], "relief_mm": 0.1, "relief_fret": 7, "fret_tops_mm": null } }] }
    });
    let fields = more.as_object().into_iter().flatten();
    for (name, value) in fields {
        shop["instruments"][0][name] = value.clone();
    }
    shop
}

fn read_value(value: &Value) -> Result<Workshop, Problem> {
    read(&value.to_string())
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
    assert_eq!(
        (&instrument.bridge, &instrument.neck, &instrument.tuner),
        (&None, &None, &None)
    );
}

#[test]
fn empty_records_are_the_usual_ones() {
    let mut value = whole_shop();
    for name in ["press", "pluck", "setup", "bridge", "neck", "tuner", "plan"] {
        value["instruments"][0][name] = json!({});
    }
    let instrument = &read_value(&value).unwrap().instruments[0];
    let usual = Instrument::default();
    assert_eq!(
        (&instrument.press, &instrument.pluck, &instrument.setup),
        (&usual.press, &usual.pluck, &usual.setup)
    );
    assert_eq!(instrument.bridge, Some(crate::records::Bridge::default()));
    assert_eq!(instrument.neck, Some(crate::records::Neck::default()));
    assert_eq!(instrument.tuner, Some(crate::records::Tuner::default()));
    assert_eq!(instrument.plan, Some(crate::records::Plan::default()));
    value["instruments"][0]["players"] = json!([{ "id": "p" }]);
    let player = &read_value(&value).unwrap().instruments[0].players[0];
    let usual = crate::records::Player {
        id: "p".into(),
        ..crate::records::Player::default()
    };
    assert_eq!(player, &usual);
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
