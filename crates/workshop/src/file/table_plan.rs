//! The table of what a plan of work goes by.

use super::schema::{Kind, Takes, needed, number, optional, usual, usual_number, whole};
use super::table::{FORCE, PLACE, PROSE, RELEASE, SETUP, WORDS};

pub(super) static PLAYER: Kind = Kind {
    word: "player",
    fields: &[
        needed("id", Takes::Id),
        usual("name", WORDS),
        usual_number("force_n", FORCE, 1.5),
        optional("from_saddle_mm", PLACE),
        usual("release", RELEASE),
    ],
};

pub(super) static PLAN: Kind = Kind {
    word: "plan",
    fields: &[
        usual(
            "target",
            Takes::Word(&["solver", "practice", "wish", "typed"]),
        ),
        optional("player", Takes::Id),
        usual_number("cents_limit", number("a limit", "cents", 0.5, 100.0), 12.0),
        usual("nut_moves", Takes::Flag),
        optional("wish", Takes::Record(&SETUP)),
        optional("typed", Takes::Record(&SETUP)),
        usual("limits", Takes::Record(&SHOP_LIMITS)),
        usual(
            "rocking",
            Takes::Records {
                of: &ROCKING,
                what: "rocker reading",
                whats: "rocker readings",
                least: 0,
                most: 40,
            },
        ),
        usual(
            "ticks",
            Takes::Records {
                of: &TICK,
                what: "step done",
                whats: "steps done",
                least: 0,
                most: 5000,
            },
        ),
    ],
};

const RELIEF: Takes = number("a relief", "mm", -5.0, 5.0);
const STAND: Takes = number("a height over the bridge", "mm", 0.0, 30.0);

pub(super) static SHOP_LIMITS: Kind = Kind {
    word: "shop limits",
    fields: &[
        usual_number(
            "slot_floor_mm",
            number("a height over the fret tops", "mm", 0.0, 5.0),
            0.1,
        ),
        optional(
            "bridge_top_mm",
            number("a height of the bridge's top", "mm", -30.0, 30.0),
        ),
        usual_number("saddle_least_mm", STAND, 2.0),
        usual_number("saddle_most_mm", STAND, 8.0),
        optional(
            "gap_12_most_mm",
            number("a gap at fret 12", "mm", 0.5, 20.0),
        ),
        optional(
            "tie_behind_mm",
            number("a distance behind the saddle", "mm", 1.0, 500.0),
        ),
        usual(
            "tie_below_mm",
            number("a depth below the bridge's top", "mm", -30.0, 100.0),
        ),
        usual_number(
            "break_least_deg",
            number("a break angle", "degrees", 0.0, 60.0),
            10.0,
        ),
        optional(
            "blank_front_mm",
            number("a setback of the blank", "mm", -30.0, 30.0),
        ),
        optional("blank_mm", number("a width of the blank", "mm", 0.5, 30.0)),
        optional(
            "saddle_spread_mm",
            number("a width over the courses", "mm", 2.0, 300.0),
        ),
        optional(
            "saddle_radius_mm",
            number("a radius of the saddle", "mm", 20.0, 10_000.0),
        ),
        usual("relief_least_mm", RELIEF),
        usual_number("relief_most_mm", RELIEF, 0.3),
        usual_number(
            "crown_least_mm",
            number("a fret height", "mm", 0.0, 5.0),
            0.6,
        ),
        usual_number(
            "fret_high_mm",
            number("a height of a fret", "mm", 0.005, 1.0),
            0.03,
        ),
    ],
};

pub(super) static ROCKING: Kind = Kind {
    word: "rocker reading",
    fields: &[
        needed("fret", whole("a fret", 1.0, 40.0)),
        needed("gap_mm", number("a gap under the rocker", "mm", 0.0, 5.0)),
    ],
};

pub(super) static TICK: Kind = Kind {
    word: "step done",
    fields: &[
        usual("step", Takes::Text(60)),
        usual("what", PROSE),
        usual("date", Takes::Day),
        usual("after", Takes::Record(&SETUP)),
        usual("measured", Takes::Flag),
    ],
};
