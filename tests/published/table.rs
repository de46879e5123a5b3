//! The table of what was held against what: made by running the checks, never by hand.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::{
    clearance, fretting, fretting_heights, loads, neck_beam, plan, reference_strings, stiff_string,
    strings,
};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use strungwell_tests::reference::{Check, Held, checks, held};

/// Every test that holds a value.
const TESTS: [fn(); 35] = [
    strings::pitch_follows_equal_temperament,
    strings::tension_of_published_strings,
    strings::density_that_published_mass_and_gauge_mean,
    strings::mass_of_a_wound_string,
    strings::stretch_from_measured_pitch,
    strings::strength_of_music_wire_and_spring_steel,
    strings::strength_of_gut,
    strings::fast_modulus_of_polymers,
    strings::modulus_over_the_section_of_published_strings,
    stiff_string::exact_modes_of_stiff_strings,
    stiff_string::series_come_near_the_exact_modes,
    stiff_string::inharmonicity_of_a_plain_steel_string,
    stiff_string::stiffness_of_the_published_strings,
    fretting_heights::fret_positions,
    fretting_heights::the_floor_of_hearing,
    fretting::errors_of_the_prototype_string,
    fretting::stretch_of_the_prototype_string,
    fretting::a_finger_ten_millimetres_behind,
    fretting::lengths_at_the_octave,
    fretting::stiffness_at_the_octave,
    fretting::best_setbacks_of_the_prototype_string,
    fretting::best_setbacks_of_the_published_strings,
    fretting::means_over_the_published_strings,
    fretting::action_at_the_octave_without_relief,
    clearance::the_lowest_shape_is_that_of_the_modes,
    plan::the_usual_range_of_relief_is_the_published_one,
    reference_strings::published_tensions_come_out_of_the_report,
    reference_strings::published_setbacks_and_residuals_come_out_of_the_report,
    neck_beam::the_second_moment_of_half_an_ellipse,
    loads::moduli_of_necks_woods,
    loads::shrinkage_and_movement_of_wood,
    loads::moisture_that_wood_comes_to,
    loads::a_string_held_fast_in_warmth,
    loads::a_turn_of_the_button,
    loads::scales_of_the_families,
];

/// Checks whose values are ranges or shapes, and where they are looked at.
const LOOKED_AT: [(&str, &str); 5] = [
    (
        "BYERS-01",
        "fretting::another_authors_adjustments_have_the_same_shape",
    ),
    (
        "FORCE-02",
        "fretting_heights::published_setups_stand_and_play",
    ),
    (
        "SETUP-01",
        "fretting_heights::published_setups_stand_and_play, plan::a_plan_by_common_practice_leaves_the_published_heights",
    ),
    (
        "SETUP-03",
        "fretting_heights::published_ranges_of_relief_and_nut_leave_every_note_free",
    ),
    ("SCALE-02", "loads::scales_of_the_families"),
];

/// What is compared, by the beginnings of the checks' names; the first that fits counts.
const FAMILIES: [(&str, &[&str]); 18] = [
    ("Pitch and cents", &["PITCH-"]),
    ("Fret positions", &["FRET-"]),
    ("Tension of published strings", &["TEN-"]),
    ("Mass and density of strings", &["WOUND-", "PLAIN-", "RHO-"]),
    ("Stretch from measured pitch", &["R-01", "R-02", "RAW-"]),
    ("Bending and modulus of published strings", &["STIFF-"]),
    ("Fast modulus of polymers", &["POLY-"]),
    ("Modes of a stiff string", &["EIG-", "INH-"]),
    ("Strength of wire and gut", &["A228-", "EN-", "BRK-"]),
    (
        "A pressed string: pitch, stretch, lengths",
        &["FRETTED-", "R-03"],
    ),
    (
        "Best setbacks and what is left at them",
        &["COMP-", "BYERS-"],
    ),
    ("A swinging string's lowest shape", &["ENV-"]),
    ("Usual heights, relief and forces", &["SETUP-", "FORCE-"]),
    ("What hearing tells", &["JND-"]),
    ("Woods: stiffness, shrinkage, movement", &["WOOD-"]),
    ("Moisture that wood comes to", &["EMC-"]),
    ("Necks, tuners, warmth", &["NECK-", "TUNER-", "TH-"]),
    ("Usual scales", &["SCALE-"]),
];

/// Checks of the tests' own roots, which the program's series are held against: no value of the program is counted with them.
const ROOTS: [&str; 2] = ["EIG-PC-", "EIG-CC-"];

/// Where an expected value is from: its word among the checks, and the head of its column.
const PROVENANCES: [(&str, &str); 3] = [
    ("published", "Published"),
    ("computed from the named formula", "Computed"),
    ("from memory", "From memory"),
];

struct Family {
    words: &'static str,
    checks: Vec<Check>,
    held: Vec<Held>,
}

impl Family {
    /// The program's own values that a kind of expected value holds, and how many checks they belong to.
    fn of_provenance(&self, word: &str) -> [usize; 2] {
        let checks = self.counted().filter(|check| check.provenance == word);
        let of = |id: &str| self.held.iter().filter(|held| held.id == id).count();
        let held: Vec<usize> = checks.map(|check| of(&check.id)).collect();
        [held.iter().sum(), held.len()]
    }

    fn counted(&self) -> impl Iterator<Item = &Check> {
        let is_root = |check: &&Check| ROOTS.iter().any(|start| check.id.starts_with(start));
        self.checks.iter().filter(move |check| !is_root(check))
    }
}

fn family(id: &str) -> usize {
    FAMILIES
        .iter()
        .position(|(_, starts)| starts.iter().any(|start| id.starts_with(start)))
        .unwrap_or_else(|| panic!("{id} belongs to no family"))
}

/// Runs every test and gathers what it held, a value once however often it was held: where it was furthest off.
fn families() -> Vec<Family> {
    TESTS.iter().for_each(|test| test());
    let mut furthest: BTreeMap<(String, usize), Held> = BTreeMap::new();
    for one in held() {
        let known = furthest
            .entry((one.id.clone(), one.at))
            .or_insert_with(|| one.clone());
        if one.off() > known.off() {
            *known = one;
        }
    }
    let all = checks();
    let mut out: Vec<Family> = FAMILIES
        .iter()
        .map(|(words, _)| Family {
            words,
            checks: Vec::new(),
            held: Vec::new(),
        })
        .collect();
    let mut looked_at = BTreeSet::new();
    for check in all {
        let family = &mut out[family(&check.id)];
        let of_it: Vec<Held> = furthest
            .values()
            .filter(|held| held.id == check.id)
            .cloned()
            .collect();
        if of_it.is_empty() {
            looked_at.insert(check.id.clone());
        }
        family.held.extend(of_it);
        family.checks.push(check);
    }
    let named: BTreeSet<String> = LOOKED_AT.iter().map(|(id, _)| (*id).to_owned()).collect();
    assert_eq!(looked_at, named, "checks that nothing holds");
    out
}

/// A number in at most six figures.
fn short(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    let whole = value.abs().log10().floor();
    if !(-4.0..7.0).contains(&whole) {
        return format!("{value:.3e}");
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let places = (5.0 - whole).max(0.0) as usize;
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A difference in two figures; one that is only the rounding of the machine is not told further.
fn difference(held: &Held) -> String {
    match held.off() {
        off if off <= 1e-9 * held.expected.abs().max(1.0) => "under 1e-9".into(),
        off if off < 1e-3 => format!("{off:.1e}"),
        off => short((off * 1e4).round() * 1e-4),
    }
}

/// An author or a standard, without the place in the work.
fn name(source: &str) -> &str {
    let end = [
        ", '",
        ", manuscript",
        " (",
        "; ",
        ", worked",
        " as ",
        ", as ",
    ]
    .iter()
    .filter_map(|mark| source.find(mark))
    .min();
    source[..end.unwrap_or(source.len())].trim()
}

fn distinct<'a>(all: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut seen = Vec::new();
    for one in all {
        if !seen.contains(&one) {
            seen.push(one);
        }
    }
    seen
}

fn readme(families: &[Family]) -> String {
    let heads = PROVENANCES.map(|(_, head)| head).join(" | ");
    let mut out = format!(
        "| What | {heads} | The one furthest off for its tolerance | Sources |\n|---|---|---|---|---|---|\n"
    );
    for family in families {
        let share = |held: &Held| held.off() / held.allowed.max(f64::MIN_POSITIVE);
        let counted: BTreeSet<&str> = family.counted().map(|check| check.id.as_str()).collect();
        let worst = family
            .held
            .iter()
            .filter(|held| counted.contains(held.id.as_str()))
            .max_by(|a, b| share(a).total_cmp(&share(b)));
        let worst = worst.map_or_else(
            || "compared as ranges".to_owned(),
            |held| {
                format!(
                    "{}: {} against {}, within {}",
                    held.id,
                    short(held.got),
                    short(held.expected),
                    short(held.allowed)
                )
            },
        );
        let published = family
            .checks
            .iter()
            .filter(|check| check.provenance == "published");
        let mut sources = distinct(published.map(|check| name(&check.source)));
        if sources.is_empty() {
            sources = distinct(family.checks.iter().map(|check| name(&check.source)));
        }
        let more = sources.len().saturating_sub(3);
        sources.truncate(3);
        let more = if more == 0 {
            String::new()
        } else {
            format!("; {more} more")
        };
        let counts = PROVENANCES.map(|(word, _)| match family.of_provenance(word)[0] {
            0 => "–".to_owned(),
            some => some.to_string(),
        });
        out += &format!(
            "| {} | {} | {worst} | {}{more} |\n",
            family.words,
            counts.join(" | "),
            sources.join("; ")
        );
    }
    let [published, computed, remembered] = PROVENANCES.map(|(word, _)| {
        let all = families.iter().map(|family| family.of_provenance(word));
        let [values, checks] = all.fold([0, 0], |sum, one| [sum[0] + one[0], sum[1] + one[1]]);
        format!("{values} values of {checks} checks")
    });
    out + &format!(
        "\nPublished: {published}. Computed from a formula that the source names: {computed}. From memory: {remembered}. \
         [All of them](docs/checks.md), with their sources in full; there also the exact modes that the tests find for themselves, \
         which are counted nowhere here.\n"
    )
}

fn page(families: &[Family]) -> String {
    let mut out = String::from(
        "# The checks, value by value\n\nThe program's own values beside those of the sources that `tests/reference/checks.json` names. This page \
         is written by the tests (`tests/published/table.rs`), which run the checks and fail where a value lies further off than its tolerance. A value \
         that the report gives as well counts once, where it is furthest off. The exact modes of a string that is clamped at an end (EIG-PC, EIG-CC) are \
         roots found by the tests; the program's series are held against them (EIG-SER).\n",
    );
    for family in families {
        out += &format!(
            "\n## {}\n\n| Check | What | Source says | Here | Difference | Within | Provenance |\n|---|---|---|---|---|---|---|\n",
            family.words
        );
        for check in &family.checks {
            let what = check.quantity.replace('|', "/");
            let of_it: Vec<&Held> = family
                .held
                .iter()
                .filter(|held| held.id == check.id)
                .collect();
            if of_it.is_empty() {
                let seen = LOOKED_AT.iter().find(|(id, _)| *id == check.id).unwrap().1;
                out += &format!(
                    "| {} | {what} | | see `{seen}` | | | {} |\n",
                    check.id, check.provenance
                );
            }
            for held in of_it {
                let place = if check.expected_numbers().len() > 1 {
                    format!(" ({})", held.at + 1)
                } else {
                    String::new()
                };
                out += &format!(
                    "| {}{place} | {what} | {} | {} | {} | {} | {} |\n",
                    held.id,
                    short(held.expected),
                    short(held.got),
                    difference(held),
                    short(held.allowed),
                    check.provenance
                );
            }
        }
        out += "\n";
        for source in distinct(family.checks.iter().map(|check| check.source.as_str())) {
            out += &format!("- {source}\n");
        }
    }
    out
}

const FROM: &str = "<!-- the checks, written by the tests -->\n";
const TO: &str = "<!-- end of the checks -->\n";

#[test]
fn the_tables_are_what_the_checks_give() {
    let families = families();
    // Every check is of a kind that has its column, and nothing is counted twice or lost.
    let roots = checks()
        .into_iter()
        .filter(|c| ROOTS.iter().any(|r| c.id.starts_with(r)));
    let roots: BTreeSet<String> = roots.map(|c| c.id).collect();
    let held = families.iter().flat_map(|family| &family.held);
    let of_program = held.filter(|held| !roots.contains(&held.id)).count();
    let counted: usize = PROVENANCES
        .iter()
        .flat_map(|(word, _)| families.iter().map(|f| f.of_provenance(word)[0]))
        .sum();
    assert!(
        roots.len() > 2 && of_program == counted,
        "{of_program} {counted}"
    );
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let read = |name: &str| std::fs::read_to_string(root.join(name)).unwrap_or_default();
    let stands = read("README.md");
    let (before, rest) = stands
        .split_once(FROM)
        .expect("README.md has the mark where the table begins");
    let (_, after) = rest
        .split_once(TO)
        .expect("README.md has the mark where the table ends");
    let whole = format!("{before}{FROM}{}{TO}{after}", readme(&families));
    for (name, wanted) in [("README.md", whole), ("docs/checks.md", page(&families))] {
        if std::env::var_os("STRUNGWELL_RENEW").is_some() {
            std::fs::write(root.join(name), &wanted).unwrap();
        }
        assert!(
            read(name) == wanted,
            "the table in {name} is not what the checks give; renew it with \
             STRUNGWELL_RENEW=1 cargo test -p strungwell-tests --test published tables"
        );
    }
}
