use super::*;
use crate::records::{Make, Plain, Weighed};
use proptest::prelude::*;

fn demo() -> Workshop {
    file::read(include_str!("../../../../../demo-data/demo-shop.json")).unwrap()
}

fn said(text: &str) -> Vec<String> {
    read(text, &[])
        .unwrap_err()
        .iter()
        .map(ToString::to_string)
        .collect()
}

#[test]
fn the_demo_rack_written_and_read_changes_nothing() {
    let shop = demo();
    let preview = read(&write(&shop.rack), &shop.rack).unwrap();
    assert_eq!(preview.same, shop.rack.len());
    assert!(
        preview.added.is_empty() && preview.changed.is_empty(),
        "{preview:?}"
    );
    // And onto an empty rack it brings all of it.
    let mut empty = Workshop::default();
    let preview = read(&write(&shop.rack), &[]).unwrap();
    preview.apply(&mut empty).unwrap();
    let bare = |rack: &[RackString]| write(rack);
    assert_eq!(bare(&empty.rack), bare(&shop.rack));
    assert_eq!(empty.rack, shop.rack);
}

#[test]
fn a_bad_line_37_says_so_and_changes_nothing() {
    let mut shop = demo();
    let before = shop.clone();
    let mut lines: Vec<String> = vec!["on hand,name,diameter (mm),material".into()];
    lines.extend((2..=60).map(|n| format!("3,new {n},0.5{n:02},nylon")));
    lines[36] = "3,new 37,thick,nylon".into();
    let wrong = read(&lines.join("\n"), &shop.rack).unwrap_err();
    assert_eq!(
        wrong[0].to_string(),
        "line 37, column \"diameter (mm)\": reads \"thick\"; a diameter in mm from 0.05 to 10 is accepted"
    );
    assert_eq!(wrong.len(), 1);
    assert_eq!(shop, before);
    lines[36] = "3,new 37,0.537,nylon".into();
    let preview = read(&lines.join("\n"), &shop.rack).unwrap();
    assert_eq!(preview.added.len(), 59);
    preview.apply(&mut shop).unwrap();
    assert_eq!(shop.rack.len(), before.rack.len() + 59);
    assert_eq!(file::check(&shop), Ok(()));
    // A second time it would add them twice, so it does not.
    assert!(preview.apply(&mut shop).is_err());
}

#[test]
fn columns_stand_in_any_order_and_bring_their_units() {
    let text =
        "Price (pounds);Diameter (in);NAME;Material\n1,20;.020;wire;steel\n;0,5 mm;thread;Nylon\n";
    let preview = read(text, &[]).unwrap();
    let [wire, thread] = preview.added.as_slice() else {
        panic!("{preview:?}")
    };
    assert_eq!(wire.price, Some(1.2));
    assert_eq!(
        wire.make,
        Make::Plain(Plain {
            material: "steel".into(),
            diameter_mm: 0.508,
            ..Plain::default()
        })
    );
    assert_eq!(thread.price, None);
    assert!(
        matches!(&thread.make, Make::Plain(p) if p.diameter_mm == 0.5 && p.material == "nylon")
    );
    assert_eq!(
        (wire.id.as_str(), thread.id.as_str()),
        ("rack-wire", "rack-thread")
    );
    let thou = read("name,material,diameter (thou)\na,steel,20\n", &[]).unwrap();
    assert_eq!(thou.added[0].make, wire.make);
}

#[test]
fn only_what_the_table_says_changes() {
    let mut shop = demo();
    shop.rack[0].extra.insert("drawer".into(), 7.into());
    let id = shop.rack[0].id.clone();
    let preview = read(&format!("id,on hand\n{id},9\n"), &shop.rack).unwrap();
    assert_eq!(preview.changed.len(), 1);
    assert_eq!(preview.untouched, shop.rack.len() - 1);
    let before = shop.rack[0].clone();
    preview.apply(&mut shop).unwrap();
    assert_eq!(
        shop.rack[0],
        RackString {
            on_hand: Some(9),
            ..before
        }
    );
    assert!(preview.text().contains("1 changed"), "{}", preview.text());
}

#[test]
fn a_weighed_string_keeps_what_it_is_made_of() {
    let text = "name,kind,material,diameter (mm),mass (mg),mass doubt (mg),length (cm)\nw,weighed,nylon,0.81,520,10,90\n";
    let preview = read(text, &[]).unwrap();
    let Make::Weighed(Weighed {
        mass_g,
        length_mm,
        of,
        ..
    }) = &preview.added[0].make
    else {
        panic!()
    };
    assert_eq!((*mass_g, *length_mm), (0.52, 900.0));
    assert!(matches!(of.as_deref(), Some(Make::Plain(p)) if p.diameter_mm == 0.81));
    let again = read(&write(&preview.added), &preview.added).unwrap();
    assert_eq!(again.same, 1);
}

#[test]
fn every_wrong_thing_is_named_with_its_line_and_column() {
    assert!(said("")[0].contains("empty"));
    assert!(said("diameter (mm),material\n0.5,nylon\n")[0].contains("id or name"));
    assert!(said("name,diameter (furlong)\na,1\n")[0].contains("mm, cm, in or thou"));
    assert!(said("name,name\na,b\n")[0].contains("twice"));
    assert_eq!(
        said("name,material,diameter\na,rope,0.5\n")[0]
            .split("; ")
            .next()
            .unwrap(),
        "line 2, column \"material\": reads \"rope\""
    );
    assert!(said("name,material\na,nylon\n")[0].contains("needs it"));
    assert!(
        said("name,material,diameter\na,nylon,0.5\na,nylon,0.6\n")[0]
            .starts_with("line 3: the same string stands in line 2")
    );
    assert!(
        said("name,material,diameter\n\"a,nylon,0.5\n")[0]
            .contains("line 2: a quotation mark is not closed")
    );
    assert!(
        said("name,material,diameter\na,nylon,0.5,7\n")[0].contains("4 cells under 3 headings")
    );
    assert!(
        said("name,material,diameter,on hand\na,nylon,0.5,-2\n")[0].contains("column \"on hand\"")
    );
    assert!(said("name,kind,diameter\na,rope,0.5\n")[0].contains("one of plain, wound"));
    assert_eq!(
        said(&format!(
            "name,material,diameter\n{}",
            "x,nylon,no\n".repeat(50)
        ))
        .len(),
        21
    );
    assert!(said(&"x".repeat(MOST_BYTES + 1))[0].contains("4 MiB"));
    // A quoted line break moves the lines on.
    assert!(
        said("name,note,material,diameter\na,\"one\ntwo\",nylon,0.5\nb,,nylon,no\n")[0]
            .starts_with("line 4")
    );
}

#[test]
fn names_of_any_script_and_many_of_one_stem_get_ids_of_their_own() {
    let mut text = String::from("name,material,diameter (mm)\n");
    for n in 0..300_u32 {
        text.push_str(&format!(
            "{},nylon,0.5\n",
            "!".repeat(1 + n as usize / 2) + ["?", "é"][n as usize % 2]
        ));
    }
    let preview = read(&text, &[]).unwrap();
    let mut shop = Workshop::default();
    preview.apply(&mut shop).unwrap();
    assert_eq!(shop.rack.len(), 300);
    assert_eq!(file::check(&shop), Ok(()));
    let long = format!(
        "name,material,diameter\n{}",
        "x,nylon,1\n".repeat(MOST_ROWS)
    );
    assert!(said(&long)[0].contains("20000 lines"));
}

#[test]
fn a_formula_stays_text_both_ways() {
    for hostile in [
        "=1+1",
        "+cmd|' /C calc'!A0",
        "-2",
        "@SUM(A1)",
        "'=x",
        "''-x",
        "<b>x</b>",
        "a\"b,c\nd",
    ] {
        let string = RackString {
            id: "a".into(),
            name: hostile.into(),
            note: hostile.into(),
            make: Make::Plain(Plain {
                material: "nylon".into(),
                diameter_mm: 0.5,
                ..Plain::default()
            }),
            ..RackString::default()
        };
        let text = write(std::slice::from_ref(&string));
        assert!(
            !text.contains(",=")
                && !text.contains(",+")
                && !text.contains(",@")
                && !text.contains(",-"),
            "{text}"
        );
        let preview = read(&text, std::slice::from_ref(&string)).unwrap();
        assert_eq!(
            (preview.same, preview.changed.len()),
            (1, 0),
            "{hostile}: {preview:?}"
        );
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in "(?s).{0,200}") {
        let _ = read(&text, &[]);
        let _ = read(&format!("name,material,diameter (mm),on hand\n{text}"), &[]);
    }

    #[test]
    fn any_names_go_round(name in "[^\u{0}]{1,40}", note in "(?s).{0,60}") {
        let string = RackString {
            id: "x".into(),
            name: name.trim().to_owned(),
            note: note.trim().to_owned(),
            make: Make::Plain(Plain { material: "gut".into(), diameter_mm: 0.7, ..Plain::default() }),
            ..RackString::default()
        };
        if file::check_rack_string(&string).is_ok() {
            let rack = [string];
            let preview = read(&write(&rack), &rack);
            prop_assert!(matches!(&preview, Ok(p) if p.same == 1), "{:?}", preview);
        }
    }
}
