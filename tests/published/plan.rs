//! The plan for the bench against published setups: what it aims at by common practice, and what it calls out of range.

use strungwell_tests::reference::check;
use strungwell_workshop::families;
use strungwell_workshop::records::{Plan, ShopLimits, Target};
use strungwell_workshop::report::plan_of;
use strungwell_workshop::units::{MM_IN_INCH, Units};

/// Families whose usual heights come from the shop action table, by its names for them.
const OF_THE_TABLE: [(&str, &str); 4] = [
    ("guitar-steel", "steel-string guitar"),
    ("guitar-nylon", "nylon-string guitar"),
    ("mandolin", "mandolin"),
    ("banjo-tenor", "banjo"),
];

#[test]
fn a_plan_by_common_practice_leaves_the_published_heights() {
    let c = check("SETUP-01");
    let allowed = c.tolerance["abs"].as_f64().unwrap();
    for (key, name) in OF_THE_TABLE {
        let mut instrument = families::start(key, 0, None, "table").unwrap();
        // As found: a good deal higher everywhere.
        for setup in &mut instrument.setup.courses {
            setup.gap_1_mm = setup.gap_1_mm.map(|gap| gap + 0.3);
            setup.gap_12_mm = setup.gap_12_mm.map(|gap| gap + 0.9);
        }
        instrument.plan = Some(Plan {
            target: Target::Practice,
            ..Plan::default()
        });
        let plan = plan_of(&instrument, &[], Units::default());
        assert!(!plan.steps.is_empty());
        assert!(plan.target.source.contains("shop action table"), "{key}");
        let row = &c.expected[name];
        let published = |at: usize| row[at].as_f64().unwrap();
        // Where the fret tops are not to be touched a height is left by at most half a feeler's step.
        let (first, last) = (plan.setup.courses.first(), plan.setup.courses.last());
        let (first, last) = (first.unwrap(), last.unwrap());
        for (got, wanted) in [
            (first.gap_1_mm, published(0)),
            (last.gap_1_mm, published(1)),
            (first.gap_12_mm, published(2)),
            (last.gap_12_mm, published(3)),
        ] {
            let inches = got.unwrap() / MM_IN_INCH;
            assert!(
                (inches - wanted).abs() <= allowed,
                "{name}: {inches} against {wanted}"
            );
        }
    }
}

#[test]
pub(crate) fn the_usual_range_of_relief_is_the_published_one() {
    let limits = ShopLimits::default();
    check("SETUP-02").hold(&[
        limits.relief_least_mm / MM_IN_INCH,
        limits.relief_most_mm / MM_IN_INCH,
    ]);
}
