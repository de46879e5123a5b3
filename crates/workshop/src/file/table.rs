//! The table of the workshop file's records.

use super::schema::{Kind, Limits, Takes, needed, number, optional, usual, usual_number, whole};
use super::table_loads::{
    BAR, BRIDGE, COUNT, FORMER, LOOK, NECK, PLAYING_IN, SETTLING, TUNER, WARM_READING,
};
use super::table_makes::{CORE, DENSITY, MAKE, PLAIN, RATED, SCALE, WEIGHED, WOUND, WRAP};
use super::table_plan::{PLAN, PLAYER, ROCKING, SHOP_LIMITS, TICK};

pub(super) const WORDS: Takes = Takes::Text(200);
pub(super) const PROSE: Takes = Takes::Text(20_000);
const KAPPA: Takes = number("a stretch", "", 1.0, 5000.0);
const KAPPA_GIVE: Takes = number("a standard deviation of the stretch", "", 0.0, 5000.0);
const BEND_MODULUS: Takes = number("a bending modulus", "GPa", 0.01, 1000.0);
const FRET: Takes = whole("a fret", 0.0, 40.0);

pub(super) static WORKSHOP: Kind = Kind {
    word: "the file",
    fields: &[
        needed("format", WORDS),
        needed("version", whole("a version", 1.0, 1.0)),
        optional("exported", Takes::Text(40)),
        usual(
            "owners",
            Takes::Records {
                of: &OWNER,
                what: "owner",
                whats: "owners",
                least: 0,
                most: 100_000,
            },
        ),
        usual(
            "rack",
            Takes::Records {
                of: &RACK_STRING,
                what: "rack string",
                whats: "rack strings",
                least: 0,
                most: 100_000,
            },
        ),
        usual(
            "instruments",
            Takes::Records {
                of: &INSTRUMENT,
                what: "instrument",
                whats: "instruments",
                least: 0,
                most: 100_000,
            },
        ),
    ],
};

pub(super) static OWNER: Kind = Kind {
    word: "owner",
    fields: &[
        needed("id", Takes::Id),
        usual("name", WORDS),
        usual("contact", PROSE),
        usual("note", PROSE),
        optional("changed", Takes::Moment),
    ],
};

pub(super) static RACK_STRING: Kind = Kind {
    word: "rack string",
    fields: &[
        needed("id", Takes::Id),
        usual("name", WORDS),
        needed("make", MAKE),
        optional("kappa", KAPPA),
        optional("kappa_give", KAPPA_GIVE),
        optional("bend_modulus_gpa", BEND_MODULUS),
        optional("on_hand", whole("a number on hand", 0.0, 100_000.0)),
        optional("price", number("a price", "", 0.0, 1_000_000.0)),
        usual("note", PROSE),
        optional("changed", Takes::Moment),
    ],
};

pub(super) static INSTRUMENT: Kind = Kind {
    word: "instrument",
    fields: &[
        needed("id", Takes::Id),
        optional("owner", Takes::Id),
        usual("name", WORDS),
        usual("family", WORDS),
        usual("maker", WORDS),
        usual("serial", WORDS),
        usual("note", PROSE),
        usual_number(
            "a4_hz",
            number("a frequency of A4", "Hz", 380.0, 500.0),
            440.0,
        ),
        needed("scale_mm", SCALE),
        needed("frets", whole("a number of frets", 0.0, 40.0)),
        optional("body_fret", FRET),
        optional("fret_height_mm", number("a fret height", "mm", 0.0, 5.0)),
        optional(
            "camber_radius_mm",
            number("a radius of camber", "mm", 20.0, 10_000.0),
        ),
        needed(
            "courses",
            Takes::Records {
                of: &COURSE,
                what: "course",
                whats: "courses",
                least: 1,
                most: 24,
            },
        ),
        usual("press", Takes::Record(&PRESS)),
        usual("pluck", Takes::Record(&PLUCK)),
        usual("setup", Takes::Record(&SETUP)),
        optional("bridge", Takes::Record(&BRIDGE)),
        optional("neck", Takes::Record(&NECK)),
        optional("tuner", Takes::Record(&TUNER)),
        optional("former", Takes::Record(&FORMER)),
        optional("settling", Takes::Record(&SETTLING)),
        optional("playing_in", Takes::Record(&PLAYING_IN)),
        usual(
            "warm_readings",
            Takes::Records {
                of: &WARM_READING,
                what: "warm reading",
                whats: "warm readings",
                least: 0,
                most: 5000,
            },
        ),
        usual(
            "players",
            Takes::Records {
                of: &PLAYER,
                what: "player",
                whats: "players",
                least: 0,
                most: 100,
            },
        ),
        optional("plan", Takes::Record(&PLAN)),
        usual(
            "visits",
            Takes::Records {
                of: &VISIT,
                what: "visit",
                whats: "visits",
                least: 0,
                most: 10_000,
            },
        ),
        optional("changed", Takes::Moment),
    ],
};

pub(super) static COURSE: Kind = Kind {
    word: "course",
    fields: &[
        needed("note", Takes::Note),
        usual("offset_cents", number("an offset", "cents", -200.0, 200.0)),
        optional("scale_mm", SCALE),
        usual("first_fret", FRET),
        optional("slot_mm", number("a slot width", "mm", 0.1, 10.0)),
        needed(
            "strings",
            Takes::Records {
                of: &FITTED,
                what: "string",
                whats: "strings",
                least: 1,
                most: 4,
            },
        ),
    ],
};

pub(super) static FITTED: Kind = Kind {
    word: "string",
    fields: &[
        optional("rack", Takes::Id),
        optional("make", MAKE),
        usual(
            "semitones",
            whole("a number of semitones over the course's note", -24.0, 24.0),
        ),
        optional("kappa", KAPPA),
        optional("kappa_give", KAPPA_GIVE),
        optional("bend_modulus_gpa", BEND_MODULUS),
    ],
};

pub(super) static PRESS: Kind = Kind {
    word: "press",
    fields: &[
        usual_number(
            "finger_behind_mm",
            number("a distance behind the fret", "mm", 0.0, 50.0),
            6.0,
        ),
        usual_number(
            "fret_reaction_n",
            number("a force on the fret", "N", 0.0, 100.0),
            1.0,
        ),
    ],
};

pub(super) const FORCE: Takes = number("a force of the pluck", "N", 0.0, 100.0);
pub(super) const PLACE: Takes = number("a distance from the saddle", "mm", 1.0, 2000.0);
pub(super) const RELEASE: Takes = Takes::Word(&["away", "towards"]);

pub(super) static PLUCK: Kind = Kind {
    word: "pluck",
    fields: &[
        usual_number("force_n", FORCE, 1.5),
        optional("from_saddle_mm", PLACE),
        usual("release", RELEASE),
    ],
};

pub(super) static SETUP: Kind = Kind {
    word: "setup",
    fields: &[
        usual(
            "courses",
            Takes::Records {
                of: &COURSE_SETUP,
                what: "course",
                whats: "courses",
                least: 0,
                most: 24,
            },
        ),
        optional("relief_mm", number("a relief", "mm", -5.0, 5.0)),
        optional("relief_fret", whole("a fret", 1.0, 40.0)),
        optional(
            "fret_tops_mm",
            Takes::Numbers {
                of: Limits {
                    what: "a height of a fret's top",
                    unit: "mm",
                    low: -5.0,
                    high: 5.0,
                    whole: false,
                },
                whats: "heights of fret tops",
                most: 40,
            },
        ),
    ],
};

pub(super) static COURSE_SETUP: Kind = Kind {
    word: "course setup",
    fields: &[
        optional("gap_1_mm", number("a gap at fret 1", "mm", -5.0, 20.0)),
        optional("gap_12_mm", number("a gap at fret 12", "mm", -10.0, 40.0)),
        optional(
            "saddle_setback_mm",
            number("a saddle setback", "mm", -50.0, 50.0),
        ),
        optional("nut_setback_mm", number("a nut setback", "mm", -20.0, 20.0)),
    ],
};

pub(super) static VISIT: Kind = Kind {
    word: "visit",
    fields: &[
        needed("id", Takes::Id),
        usual("date", Takes::Day),
        optional("as_found", Takes::Record(&SETUP)),
        optional("as_left", Takes::Record(&SETUP)),
        usual(
            "readings",
            Takes::Records {
                of: &READING,
                what: "reading",
                whats: "readings",
                least: 0,
                most: 5000,
            },
        ),
        optional(
            "temp_c",
            number("a temperature", "degrees Celsius", -50.0, 80.0),
        ),
        optional(
            "rh_percent",
            number("a relative humidity", "per cent", 0.0, 100.0),
        ),
        usual("work", PROSE),
        usual("parts", PROSE),
        usual("said", PROSE),
        usual("waits_for", PROSE),
        usual("note", PROSE),
        optional("changed", Takes::Moment),
    ],
};

pub(super) static READING: Kind = Kind {
    word: "reading",
    fields: &[
        needed("course", whole("a course", 1.0, 24.0)),
        needed("fret", FRET),
        needed("cents", number("a reading", "cents", -1200.0, 1200.0)),
        optional(
            "sd_cents",
            number("a standard deviation of a reading", "cents", 0.0, 100.0),
        ),
    ],
};

/// Every kind of record.
pub(super) static KINDS: [&Kind; 34] = [
    &WORKSHOP,
    &OWNER,
    &RACK_STRING,
    &INSTRUMENT,
    &COURSE,
    &FITTED,
    &PLAIN,
    &WOUND,
    &CORE,
    &WRAP,
    &WEIGHED,
    &RATED,
    &DENSITY,
    &PRESS,
    &PLUCK,
    &SETUP,
    &COURSE_SETUP,
    &BRIDGE,
    &NECK,
    &BAR,
    &TUNER,
    &FORMER,
    &SETTLING,
    &LOOK,
    &PLAYING_IN,
    &COUNT,
    &WARM_READING,
    &PLAYER,
    &PLAN,
    &SHOP_LIMITS,
    &ROCKING,
    &TICK,
    &VISIT,
    &READING,
];
