//! The table of what an instrument bears and waits for.

use super::schema::{Kind, Takes, needed, number, optional, usual, usual_number, whole};
use super::table::{COURSE, PROSE, WORDS};

const MODULUS: Takes = number("a modulus", "GPa", 1.0, 100.0);
const COURSE_NUMBER: Takes = whole("a course", 1.0, 24.0);

pub(super) static BRIDGE: Kind = Kind {
    word: "bridge",
    fields: &[
        usual("kind", Takes::Word(&["glued", "floating"])),
        optional(
            "saddle_height_mm",
            number("a saddle height", "mm", 0.0, 100.0),
        ),
        optional(
            "break_angle_deg",
            number("a break angle", "degrees", 0.0, 90.0),
        ),
        optional(
            "front_angle_deg",
            number("an angle in front of the saddle", "degrees", -30.0, 45.0),
        ),
        optional(
            "foot_length_mm",
            number("a footprint length", "mm", 1.0, 500.0),
        ),
        optional(
            "foot_width_mm",
            number("a footprint width", "mm", 1.0, 200.0),
        ),
    ],
};

pub(super) static NECK: Kind = Kind {
    word: "neck",
    fields: &[
        usual("wood", WORDS),
        usual("board_wood", WORDS),
        optional("width_nut_mm", number("a neck width", "mm", 5.0, 200.0)),
        optional("width_body_mm", number("a neck width", "mm", 5.0, 200.0)),
        optional("depth_nut_mm", number("a neck depth", "mm", 2.0, 100.0)),
        optional("depth_body_mm", number("a neck depth", "mm", 2.0, 100.0)),
        optional("board_mm", number("a board thickness", "mm", 0.0, 50.0)),
        usual("rod", Takes::Flag),
        optional("wood_gpa", MODULUS),
        optional("board_gpa", MODULUS),
        usual(
            "bars",
            Takes::Records {
                of: &BAR,
                what: "bar",
                whats: "bars",
                least: 0,
                most: 6,
            },
        ),
    ],
};

pub(super) static TUNER: Kind = Kind {
    word: "tuner",
    fields: &[
        optional("ratio", number("a gear ratio", "", 0.5, 200.0)),
        optional("post_mm", number("a post diameter", "mm", 1.0, 50.0)),
        optional(
            "hole_mm",
            number("a hole in the tuner's post", "mm", 0.2, 20.0),
        ),
        optional("slack_mm", number("a slack", "mm", 0.0, 500.0)),
    ],
};

pub(super) static BAR: Kind = Kind {
    word: "bar",
    fields: &[
        usual(
            "material",
            Takes::Word(&["steel", "carbon", "aluminium", "brass"]),
        ),
        needed("width_mm", number("a bar's width", "mm", 0.1, 100.0)),
        needed("height_mm", number("a bar's height", "mm", 0.1, 50.0)),
        usual("down_mm", number("a bar's place", "mm", 0.0, 50.0)),
    ],
};

pub(super) static FORMER: Kind = Kind {
    word: "former strings",
    fields: &[
        usual("date", Takes::Day),
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
        optional("relief_mm", number("a relief", "mm", -5.0, 5.0)),
        usual("note", PROSE),
    ],
};

pub(super) static SETTLING: Kind = Kind {
    word: "settling",
    fields: &[
        needed("strung", Takes::Moment),
        usual_number(
            "tolerance_cents",
            number("a tolerance", "cents", 0.5, 200.0),
            5.0,
        ),
        usual_number(
            "settled_cents_per_hour",
            number("a drift", "cents an hour", 0.001, 100.0),
            1.0,
        ),
        usual(
            "looks",
            Takes::Records {
                of: &LOOK,
                what: "look",
                whats: "looks",
                least: 0,
                most: 5000,
            },
        ),
    ],
};

pub(super) static LOOK: Kind = Kind {
    word: "look",
    fields: &[
        needed("course", COURSE_NUMBER),
        needed(
            "hours",
            number("a time since stringing", "hours", 0.01, 100_000.0),
        ),
        needed("flat_cents", number("a flatness", "cents", -1200.0, 1200.0)),
        usual("retuned", Takes::Flag),
    ],
};

pub(super) static PLAYING_IN: Kind = Kind {
    word: "playing in",
    fields: &[
        usual("machine", WORDS),
        usual_number(
            "target_strokes",
            number("a number of strokes", "", 1.0, 1e9),
            1e6,
        ),
        needed(
            "strokes_per_turn",
            number("a number of strokes a turn", "", 0.01, 1000.0),
        ),
        needed(
            "turns_per_minute",
            number("a rate", "turns a minute", 0.01, 10_000.0),
        ),
        usual_number(
            "hours_per_day",
            number("a part of the day", "hours", 0.01, 24.0),
            24.0,
        ),
        optional("started", Takes::Moment),
        optional("stopped", Takes::Moment),
        optional("strings_changed", Takes::Moment),
        usual(
            "counts",
            Takes::Records {
                of: &COUNT,
                what: "count",
                whats: "counts",
                least: 0,
                most: 5000,
            },
        ),
    ],
};

pub(super) static COUNT: Kind = Kind {
    word: "count",
    fields: &[
        needed("at", Takes::Moment),
        needed("strokes", number("a number of strokes", "", 0.0, 1e10)),
    ],
};

pub(super) static WARM_READING: Kind = Kind {
    word: "warm reading",
    fields: &[
        needed("course", COURSE_NUMBER),
        needed(
            "temp_c",
            number("a temperature", "degrees Celsius", -50.0, 80.0),
        ),
        needed("cents", number("a reading", "cents", -1200.0, 1200.0)),
    ],
};
