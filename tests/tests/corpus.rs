//! What strangers wrote, and what once did harm: every text of the corpus, whole, cut and with bytes changed, through the reader of
//! its kind. The fuzz targets of `fuzz/` do the same without an end.

use proptest::prelude::*;
use std::path::PathBuf;
use std::sync::OnceLock;
use strungwell_workshop::rack::table;
use strungwell_workshop::records::Workshop;
use strungwell_workshop::show::Which;
use strungwell_workshop::units::{ForceUnit, LengthUnit};
use strungwell_workshop::{file, link, merge, notation};

fn corpus(kind: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("corpus")
        .join(kind);
    let mut all: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let bytes = std::fs::read(&path).unwrap();
            (path, bytes)
        })
        .collect();
    all.sort();
    assert!(all.len() >= 5, "{kind}");
    all
}

/// A text of the corpus, perhaps cut, perhaps with bytes changed.
fn bent(kind: &'static str) -> impl Strategy<Value = Vec<u8>> {
    bent_of(corpus(kind).into_iter().map(|(_, bytes)| bytes).collect())
}

/// One of these texts, perhaps cut, perhaps with bytes changed.
fn bent_of(texts: Vec<Vec<u8>>) -> impl Strategy<Value = Vec<u8>> {
    let changes = prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..4);
    (
        prop::sample::select(texts),
        changes,
        prop::option::of(any::<prop::sample::Index>()),
    )
        .prop_map(|(mut bytes, changes, cut)| {
            for (at, byte) in changes {
                if !bytes.is_empty() {
                    let at = at.index(bytes.len());
                    bytes[at] = byte;
                }
            }
            if let (Some(cut), false) = (cut, bytes.is_empty()) {
                bytes.truncate(cut.index(bytes.len()));
            }
            bytes
        })
}

/// A link that shows an instrument of the demo shop.
fn whole_link() -> String {
    static LINK: OnceLock<String> = OnceLock::new();
    let link = LINK.get_or_init(|| {
        let shop = file::read(include_str!("../../demo-data/demo-shop.json")).unwrap();
        link::encode(&shop.instruments[1], Which::Now, &shop.rack, None).unwrap()
    });
    link.clone()
}

/// Whether it was read.
fn workshop_file(bytes: &[u8]) -> bool {
    let read = file::read_bytes(bytes);
    let is_read = read.is_ok();
    match read {
        Ok(shop) => {
            assert_eq!(file::read(&file::write(&shop)).as_ref(), Ok(&shop));
            let merged = merge::merge(&Workshop::default(), &shop).unwrap();
            assert_eq!(merge::merge(&merged, &shop).as_ref(), Ok(&merged));
        }
        Err(problem) => {
            let said = problem.to_string();
            assert!(
                !said.chars().any(char::is_control) && said.chars().count() < 600,
                "{said}"
            );
        }
    }
    is_read
}

/// Whether any reader read it.
fn figures(text: &str) -> bool {
    let read = [
        notation::length_mm(text, LengthUnit::Mm),
        notation::length_mm(text, LengthUnit::Inch),
        notation::force_n(text, ForceUnit::Newton),
        notation::mass_g(text),
        notation::mass_per_length_g_m(text),
        notation::frequency_hz(text),
        notation::cents(text),
        notation::number(text),
    ];
    let is_read = read.iter().any(Result::is_ok) || notation::note(text).is_ok();
    assert!(read.into_iter().flatten().all(f64::is_finite), "{text}");
    let _ = notation::count(text);
    is_read
}

/// Whether it was read.
fn rack_table(text: &str) -> bool {
    let Ok(preview) = table::read(text, &[]) else {
        return false;
    };
    let mut shop = Workshop::default();
    if preview.apply(&mut shop).is_ok() {
        assert_eq!(file::check(&shop), Ok(()), "{text}");
    }
    true
}

#[test]
fn every_text_of_the_corpus_is_read_or_refused() {
    // How many are read and how many refused: a corpus of either alone would say little.
    let counts = |kind: &str, reads: &dyn Fn(&[u8]) -> bool| {
        let all = corpus(kind);
        let read = all.iter().filter(|(_, bytes)| reads(bytes)).count();
        let refused = all.len() - read;
        assert!(
            read >= 2 && refused >= 2,
            "{kind}: {read} read, {refused} refused"
        );
    };
    counts("workshop", &workshop_file);
    counts("lengths", &|bytes| figures(&String::from_utf8_lossy(bytes)));
    counts("notes", &|bytes| figures(&String::from_utf8_lossy(bytes)));
    counts("rack", &|bytes| rack_table(&String::from_utf8_lossy(bytes)));
    for (path, bytes) in corpus("links") {
        let read = link::decode(&String::from_utf8_lossy(&bytes));
        assert!(read.is_err(), "{}", path.display());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn bent_workshop_files(bytes in bent("workshop")) {
        workshop_file(&bytes);
    }

    #[test]
    fn bent_figures(bytes in prop_oneof![bent("lengths"), bent("notes")]) {
        figures(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn bent_tables(bytes in bent("rack")) {
        rack_table(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn bent_links(bytes in prop_oneof![bent("links"), bent_of(vec![whole_link().into_bytes()])]) {
        let text = String::from_utf8_lossy(&bytes);
        // What was changed on its way shows nothing; spaces and the mark before it are no part of it.
        let read = link::decode(&text);
        prop_assert!(read.is_err() || text.trim().trim_start_matches('#') == whole_link(), "{}", text);
    }
}
