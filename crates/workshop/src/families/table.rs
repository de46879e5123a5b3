//! The table of families.

use super::{Action, Family, StartCourse, StartString, Tuning};
use crate::records::{CoreShape, WrapForm};

const COMMON: &str = "common practice";
const UKULELE_PAGES: &str = "two ukulele makers' pages; common practice";

/// The shop action table, in inches there: a string-height gauge's instruction sheet.
const GAUGE_SHEET: &str = "shop action table of a string-height gauge's instruction sheet";

const fn nylon(diameter_mm: f64) -> StartString {
    StartString::Plain {
        material: "nylon",
        diameter_mm,
    }
}

const fn wire(diameter_mm: f64) -> StartString {
    StartString::Plain {
        material: "steel",
        diameter_mm,
    }
}

/// Silver-plated ribbon on nylon filaments.
const fn ribbon_on_nylon(core_mm: f64, wrap_mm: f64) -> StartString {
    StartString::Wound {
        core: "nylon",
        core_mm,
        shape: CoreShape::Filaments,
        wrap: "silver-plated-copper",
        form: WrapForm::Ribbon,
        wrap_mm,
    }
}

/// Round wire on a hexagonal steel core.
const fn wound_wire(core_mm: f64, wrap: &'static str, wrap_mm: f64) -> StartString {
    StartString::Wound {
        core: "steel",
        core_mm,
        shape: CoreShape::Hex,
        wrap,
        form: WrapForm::Round,
        wrap_mm,
    }
}

/// A guitar string of the normal-tension nylon set in the string specification tables of Anderson & Beausoleil, J. Acoust.
/// Soc. Am. 156(1), 683 (2024): mass per length and diameter as published.
const fn published(g_per_m: f64, diameter_mm: f64) -> StartString {
    StartString::Listed {
        g_per_m,
        diameter_mm,
    }
}

const fn one(note: &'static str, string: StartString) -> StartCourse {
    StartCourse {
        note,
        first_fret: 0,
        count: 1,
        string,
    }
}

const fn pair(note: &'static str, string: StartString) -> StartCourse {
    StartCourse {
        note,
        first_fret: 0,
        count: 2,
        string,
    }
}

const UKULELE_ACTION: Action = Action {
    gap_1_mm: (0.65, 0.55),
    gap_12_mm: (2.7, 2.4),
    relief_mm: 0.1,
    relief_fret: 7,
    source: "common practice: fret 1 0.5 to 0.75 mm, fret 12 2.3 to 2.8 mm",
};

const BANJO_ACTION: Action = Action {
    gap_1_mm: (0.94, 0.89),
    gap_12_mm: (2.29, 2.29),
    relief_mm: 0.2,
    relief_fret: 8,
    source: GAUGE_SHEET,
};

const RE_ENTRANT: &str = "re-entrant fourth";
const LOW_FOURTH: &str = "low fourth";
const UKULELE_TENSION: Option<(f64, f64)> = Some((30.0, 60.0));

/// The families, in the order shown.
pub const FAMILIES: [Family; 10] = [
    Family {
        key: "ukulele-soprano",
        kind: "ukulele",
        label: "Soprano ukulele",
        scale_mm: 350.0,
        scale_source: UKULELE_PAGES,
        frets: 15,
        body_fret: 12,
        fret_height_mm: 0.9,
        tension_n: UKULELE_TENSION,
        tension_source: COMMON,
        action: UKULELE_ACTION,
        tunings: &[
            Tuning {
                label: RE_ENTRANT,
                courses: &[
                    one("G4", nylon(0.71)),
                    one("C4", nylon(1.02)),
                    one("E4", nylon(0.81)),
                    one("A4", nylon(0.61)),
                ],
            },
            Tuning {
                label: LOW_FOURTH,
                courses: &[
                    one("G3", ribbon_on_nylon(0.54, 0.11)),
                    one("C4", nylon(1.02)),
                    one("E4", nylon(0.81)),
                    one("A4", nylon(0.61)),
                ],
            },
        ],
    },
    Family {
        key: "ukulele-concert",
        kind: "ukulele",
        label: "Concert ukulele",
        scale_mm: 381.0,
        scale_source: UKULELE_PAGES,
        frets: 18,
        body_fret: 14,
        fret_height_mm: 1.0,
        tension_n: UKULELE_TENSION,
        tension_source: COMMON,
        action: UKULELE_ACTION,
        tunings: &[
            Tuning {
                label: RE_ENTRANT,
                courses: &[
                    one("G4", nylon(0.66)),
                    one("C4", nylon(0.97)),
                    one("E4", nylon(0.81)),
                    one("A4", nylon(0.61)),
                ],
            },
            Tuning {
                label: LOW_FOURTH,
                courses: &[
                    one("G3", ribbon_on_nylon(0.54, 0.1)),
                    one("C4", nylon(0.97)),
                    one("E4", nylon(0.81)),
                    one("A4", nylon(0.61)),
                ],
            },
        ],
    },
    Family {
        key: "ukulele-tenor",
        kind: "ukulele",
        label: "Tenor ukulele",
        scale_mm: 432.0,
        scale_source: UKULELE_PAGES,
        frets: 19,
        body_fret: 14,
        fret_height_mm: 1.0,
        tension_n: UKULELE_TENSION,
        tension_source: COMMON,
        action: UKULELE_ACTION,
        tunings: &[
            Tuning {
                label: RE_ENTRANT,
                courses: &[
                    one("G4", nylon(0.61)),
                    one("C4", nylon(0.91)),
                    one("E4", nylon(0.74)),
                    one("A4", nylon(0.56)),
                ],
            },
            Tuning {
                label: LOW_FOURTH,
                courses: &[
                    one("G3", ribbon_on_nylon(0.5, 0.09)),
                    one("C4", nylon(0.91)),
                    one("E4", nylon(0.74)),
                    one("A4", nylon(0.56)),
                ],
            },
        ],
    },
    Family {
        key: "ukulele-baritone",
        kind: "ukulele",
        label: "Baritone ukulele",
        scale_mm: 510.0,
        scale_source: UKULELE_PAGES,
        frets: 19,
        body_fret: 14,
        fret_height_mm: 1.0,
        tension_n: UKULELE_TENSION,
        tension_source: COMMON,
        action: UKULELE_ACTION,
        tunings: &[
            Tuning {
                label: LOW_FOURTH,
                courses: &[
                    one("D3", ribbon_on_nylon(0.48, 0.11)),
                    one("G3", nylon(1.02)),
                    one("B3", nylon(0.81)),
                    one("E4", nylon(0.61)),
                ],
            },
            Tuning {
                label: RE_ENTRANT,
                courses: &[
                    one("D4", nylon(0.71)),
                    one("G3", nylon(1.02)),
                    one("B3", nylon(0.81)),
                    one("E4", nylon(0.61)),
                ],
            },
        ],
    },
    Family {
        key: "banjo-five-string",
        kind: "banjo",
        label: "Five-string banjo",
        scale_mm: 667.0,
        scale_source: COMMON,
        frets: 22,
        body_fret: 20,
        fret_height_mm: 1.0,
        tension_n: Some((60.0, 70.0)),
        tension_source: COMMON,
        action: BANJO_ACTION,
        tunings: &[Tuning {
            label: "open G, short fifth",
            courses: &[
                // The drone's nut is at the fifth fret; it is tuned to the note that it sounds from there.
                StartCourse {
                    note: "G4",
                    first_fret: 5,
                    count: 1,
                    string: wire(0.254),
                },
                one("D3", wound_wire(0.25, "nickel", 0.14)),
                one("G3", wire(0.406)),
                one("B3", wire(0.305)),
                one("D4", wire(0.254)),
            ],
        }],
    },
    Family {
        key: "banjo-tenor",
        kind: "banjo",
        label: "Tenor banjo",
        scale_mm: 584.0,
        scale_source: COMMON,
        frets: 19,
        body_fret: 18,
        fret_height_mm: 1.0,
        tension_n: Some((60.0, 90.0)),
        tension_source: "common practice, from memory",
        action: BANJO_ACTION,
        tunings: &[
            Tuning {
                label: "fifths from C3",
                courses: &[
                    one("C3", wound_wire(0.3, "nickel", 0.23)),
                    one("G3", wound_wire(0.28, "nickel", 0.11)),
                    one("D4", wire(0.33)),
                    one("A4", wire(0.229)),
                ],
            },
            Tuning {
                label: "fifths from G2, an octave under the mandolin",
                courses: &[
                    one("G2", wound_wire(0.36, "nickel", 0.33)),
                    one("D3", wound_wire(0.3, "nickel", 0.18)),
                    one("A3", wire(0.432)),
                    one("E4", wire(0.305)),
                ],
            },
        ],
    },
    Family {
        key: "mandolin",
        kind: "mandolin",
        label: "Mandolin",
        scale_mm: 350.0,
        scale_source: "330 to 350 mm: a luthiers' page of questions; Rossing (ed.) 2010, chapter 6",
        frets: 20,
        body_fret: 12,
        fret_height_mm: 0.9,
        tension_n: Some((80.0, 110.0)),
        tension_source: COMMON,
        action: Action {
            gap_1_mm: (0.76, 0.51),
            gap_12_mm: (1.91, 1.65),
            relief_mm: 0.13,
            relief_fret: 6,
            source: GAUGE_SHEET,
        },
        tunings: &[Tuning {
            label: "fifths from G3, in pairs",
            courses: &[
                pair("G3", wound_wire(0.38, "phosphor-bronze", 0.28)),
                pair("D4", wound_wire(0.33, "phosphor-bronze", 0.13)),
                pair("A4", wire(0.381)),
                pair("E5", wire(0.254)),
            ],
        }],
    },
    Family {
        key: "guitar-nylon",
        kind: "guitar",
        label: "Nylon-string guitar",
        scale_mm: 650.0,
        scale_source: COMMON,
        frets: 19,
        body_fret: 12,
        fret_height_mm: 1.1,
        tension_n: Some((50.0, 75.0)),
        tension_source: COMMON,
        action: Action {
            gap_1_mm: (0.76, 0.61),
            gap_12_mm: (3.96, 3.18),
            relief_mm: 0.05,
            relief_fret: 8,
            source: GAUGE_SHEET,
        },
        tunings: &[Tuning {
            label: "fourths with a third",
            courses: &[
                one("E2", published(5.47, 1.092)),
                one("A2", published(3.289, 0.89)),
                one("D3", published(1.92, 0.736)),
                one("G3", published(0.836, 1.024)),
                one("B3", published(0.505, 0.818)),
                one("E4", published(0.374, 0.712)),
            ],
        }],
    },
    Family {
        key: "guitar-steel",
        kind: "guitar",
        label: "Steel-string guitar",
        scale_mm: 648.0,
        scale_source: COMMON,
        frets: 20,
        body_fret: 14,
        fret_height_mm: 1.1,
        tension_n: Some((100.0, 135.0)),
        tension_source: "common practice, light strings",
        action: Action {
            gap_1_mm: (0.58, 0.33),
            gap_12_mm: (2.29, 1.78),
            relief_mm: 0.05,
            relief_fret: 8,
            source: GAUGE_SHEET,
        },
        tunings: &[Tuning {
            label: "fourths with a third",
            courses: &[
                one("E2", wound_wire(0.43, "phosphor-bronze", 0.44)),
                one("A2", wound_wire(0.4, "phosphor-bronze", 0.31)),
                one("D3", wound_wire(0.36, "phosphor-bronze", 0.2)),
                one("G3", wound_wire(0.33, "phosphor-bronze", 0.12)),
                one("B3", wire(0.406)),
                one("E4", wire(0.305)),
            ],
        }],
    },
    Family {
        key: "own",
        kind: "own",
        label: "Own",
        scale_mm: 450.0,
        scale_source: "a figure to begin from",
        frets: 12,
        body_fret: 12,
        fret_height_mm: 1.0,
        tension_n: None,
        tension_source: "nothing is usual",
        action: UKULELE_ACTION,
        tunings: &[Tuning {
            label: "one course to begin from",
            courses: &[one("A3", nylon(1.02))],
        }],
    },
];
