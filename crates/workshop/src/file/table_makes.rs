//! The table's rows for what a string is.

use super::schema::{Kind, Takes, needed, number, optional, usual, whole};

pub(super) const SCALE: Takes = number("a scale length", "mm", 50.0, 2000.0);
pub(super) const DIAMETER: Takes = number("a diameter", "mm", 0.05, 10.0);

pub(super) const MAKE: Takes = Takes::OneOf(&[
    needed("plain", Takes::Record(&PLAIN)),
    needed("wound", Takes::Record(&WOUND)),
    needed("weighed", Takes::Record(&WEIGHED)),
    needed("rated", Takes::Record(&RATED)),
    needed("density", Takes::Record(&DENSITY)),
]);

/// What a weighed string is made of, where that is known as well.
const DESCRIBED: Takes = Takes::OneOf(&[
    needed("plain", Takes::Record(&PLAIN)),
    needed("wound", Takes::Record(&WOUND)),
]);

pub(super) static PLAIN: Kind = Kind {
    word: "plain",
    fields: &[
        needed("material", Takes::Material),
        needed("diameter_mm", DIAMETER),
    ],
};

pub(super) static WOUND: Kind = Kind {
    word: "wound",
    fields: &[
        needed("core", Takes::Record(&CORE)),
        needed(
            "wraps",
            Takes::Records {
                of: &WRAP,
                what: "wrap",
                whats: "wraps",
                least: 1,
                most: 6,
            },
        ),
    ],
};

pub(super) static CORE: Kind = Kind {
    word: "core",
    fields: &[
        needed("material", Takes::Material),
        needed("diameter_mm", number("a core diameter", "mm", 0.05, 5.0)),
        usual("shape", Takes::Word(&["round", "hex", "filaments"])),
        optional("filaments", whole("a number of filaments", 1.0, 10_000.0)),
    ],
};

pub(super) static WRAP: Kind = Kind {
    word: "wrap",
    fields: &[
        needed("material", Takes::Material),
        usual("form", Takes::Word(&["round", "ribbon", "ground"])),
        needed("size_mm", number("a wrap's thickness", "mm", 0.01, 2.0)),
        optional("width_mm", number("a ribbon's width", "mm", 0.02, 5.0)),
        optional(
            "ground_mm",
            number("a diameter after grinding", "mm", 0.05, 10.0),
        ),
    ],
};

pub(super) static WEIGHED: Kind = Kind {
    word: "weighed",
    fields: &[
        needed("mass_g", number("a mass", "g", 0.001, 1000.0)),
        optional("mass_give_g", number("a scale's doubt", "g", 0.0, 100.0)),
        needed("length_mm", number("a cut length", "mm", 10.0, 10_000.0)),
        optional(
            "length_give_mm",
            number("a ruler's doubt", "mm", 0.0, 100.0),
        ),
        needed("diameter_mm", DIAMETER),
        optional("core", Takes::Record(&CORE)),
        optional("of", DESCRIBED),
    ],
};

pub(super) static RATED: Kind = Kind {
    word: "rated",
    fields: &[
        needed("tension_n", number("a tension", "N", 1.0, 2000.0)),
        needed("note", Takes::Note),
        needed("scale_mm", SCALE),
        needed("diameter_mm", DIAMETER),
        optional("core", Takes::Record(&CORE)),
    ],
};

pub(super) static DENSITY: Kind = Kind {
    word: "density",
    fields: &[
        needed("g_per_m", number("a mass per length", "g/m", 0.001, 200.0)),
        needed("diameter_mm", DIAMETER),
        optional("core", Takes::Record(&CORE)),
    ],
};
