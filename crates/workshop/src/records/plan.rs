//! What a plan of work goes by: the players, the target, the shop's limits, and the steps done.

use super::json::{record_json, word_json};
use super::{Extra, Release, Setup};

/// A player's pluck, as measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Player {
    /// What the plan calls this one; the same in no other player of the instrument.
    pub id: String,
    /// Who, in words: a name, or such as "soft fingers".
    pub name: String,
    /// Sideways force at the moment of release, in N.
    pub force_n: f64,
    /// Where, in mm from the saddle; none is a quarter of the scale length.
    pub from_saddle_mm: Option<f64>,
    /// Which way the string is let go.
    pub release: Release,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for Player {
    /// A nameless player of 1.5 N.
    fn default() -> Self {
        Self {
            id: String::new(),
            name: String::new(),
            force_n: 1.5,
            from_saddle_mm: None,
            release: Release::Away,
            extra: Extra::new(),
        }
    }
}

/// Where the heights of a plan come from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Target {
    /// The least finger force that keeps every note clear.
    #[default]
    Solver,
    /// Common practice for the family.
    Practice,
    /// What the owner asked for.
    Wish,
    /// Heights typed at the bench.
    Typed,
}

/// What a plan of work goes by.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Where the heights come from.
    pub target: Target,
    /// The id of the player whose pluck must stay clear; none takes the instrument's own pluck.
    pub player: Option<String>,
    /// The most cents by which a note of frets 1 to 12 may be off.
    pub cents_limit: f64,
    /// The nut's edge may be moved.
    pub nut_moves: bool,
    /// The heights that the owner asked for.
    pub wish: Option<Setup>,
    /// Heights typed at the bench.
    pub typed: Option<Setup>,
    /// What stops the shop.
    pub limits: ShopLimits,
    /// Readings of a short straightedge that spans three frets.
    pub rocking: Vec<Rocking>,
    /// The steps done, oldest first.
    pub ticks: Vec<Tick>,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for Plan {
    /// The solver's heights within 12 cents, the nut where it stands.
    fn default() -> Self {
        Self {
            target: Target::Solver,
            player: None,
            cents_limit: 12.0,
            nut_moves: false,
            wish: None,
            typed: None,
            limits: ShopLimits::default(),
            rocking: Vec::new(),
            ticks: Vec::new(),
            extra: Extra::new(),
        }
    }
}

/// What stops a shop: wood, bone and fret wire that are not there, or must stay.
#[derive(Clone, Debug, PartialEq)]
pub struct ShopLimits {
    /// How far a slot must stay over the level of the fret tops, in mm.
    pub slot_floor_mm: f64,
    /// Height of the bridge's top over the line of the fret tops in mm, as a straightedge on the frets shows it; negative
    /// where the straightedge runs above the bridge. None when not measured: then nothing says how low or high the saddle
    /// may be.
    pub bridge_top_mm: Option<f64>,
    /// How far the string at the saddle must stand over the bridge's top, in mm.
    pub saddle_least_mm: f64,
    /// How far it may stand over the bridge's top, in mm.
    pub saddle_most_mm: f64,
    /// The most gap at the twelfth fret in mm that a player is to be given; none is half as much again as common practice for
    /// the family, or a hundredth of the scale where the family is not known.
    pub gap_12_most_mm: Option<f64>,
    /// How far behind the saddle's crown the string is held down, in mm; none when not measured.
    pub tie_behind_mm: Option<f64>,
    /// How far below the bridge's top it is held there, in mm; negative is above.
    pub tie_below_mm: f64,
    /// The least angle in degrees at which the string may fall behind the saddle, against the line of the fret tops.
    pub break_least_deg: f64,
    /// The setback of the front edge of the saddle's blank, in mm; none when not measured.
    pub blank_front_mm: Option<f64>,
    /// The width of the blank along the strings, in mm; none when not measured.
    pub blank_mm: Option<f64>,
    /// The distance between the outer courses at the saddle, in mm; none when not measured.
    pub saddle_spread_mm: Option<f64>,
    /// The radius to which the saddle's crown must be filed, in mm; none lets each course have its own height.
    pub saddle_radius_mm: Option<f64>,
    /// The least relief wanted, in mm.
    pub relief_least_mm: f64,
    /// The most relief wanted, in mm.
    pub relief_most_mm: f64,
    /// The least height of a fret's crown over the wood after dressing, in mm.
    pub crown_least_mm: f64,
    /// How far a fret may stand over the smooth line before it is dressed, in mm.
    pub fret_high_mm: f64,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for ShopLimits {
    /// Common practice, from memory, but for the relief: 0 to 0.012 in, as two kit instruction sheets have it.
    fn default() -> Self {
        Self {
            slot_floor_mm: 0.1,
            bridge_top_mm: None,
            saddle_least_mm: 2.0,
            saddle_most_mm: 8.0,
            gap_12_most_mm: None,
            tie_behind_mm: None,
            tie_below_mm: 0.0,
            break_least_deg: 10.0,
            blank_front_mm: None,
            blank_mm: None,
            saddle_spread_mm: None,
            saddle_radius_mm: None,
            relief_least_mm: 0.0,
            relief_most_mm: 0.3,
            crown_least_mm: 0.6,
            fret_high_mm: 0.03,
            extra: Extra::new(),
        }
    }
}

/// A reading of a short straightedge over a fret and its two neighbours, which rocks on the middle one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rocking {
    /// The middle fret.
    pub fret: u32,
    /// The gap in mm under the end over the next fret, while it lies on the middle fret and the one before.
    pub gap_mm: f64,
    /// Unknown fields.
    pub extra: Extra,
}

/// A step that was done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tick {
    /// The step's id in the plan.
    pub step: String,
    /// The step in words, as the plan had it.
    pub what: String,
    /// The day, as `2026-01-31`.
    pub date: String,
    /// The heights as measured after it, or as the step promised where nobody measured.
    pub after: Setup,
    /// Whether they were measured.
    pub measured: bool,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(Player {
    id,
    name,
    force_n,
    from_saddle_mm,
    release
});
record_json!(Plan {
    target,
    player,
    cents_limit,
    nut_moves,
    wish,
    typed,
    limits,
    rocking,
    ticks
});
record_json!(ShopLimits {
    slot_floor_mm,
    bridge_top_mm,
    saddle_least_mm,
    saddle_most_mm,
    gap_12_most_mm,
    tie_behind_mm,
    tie_below_mm,
    break_least_deg,
    blank_front_mm,
    blank_mm,
    saddle_spread_mm,
    saddle_radius_mm,
    relief_least_mm,
    relief_most_mm,
    crown_least_mm,
    fret_high_mm
});
record_json!(Rocking { fret, gap_mm });
record_json!(Tick {
    step,
    what,
    date,
    after,
    measured
});
word_json!(Target {
    Solver = "solver",
    Practice = "practice",
    Wish = "wish",
    Typed = "typed",
});
