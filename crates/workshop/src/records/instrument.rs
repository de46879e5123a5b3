//! An instrument: its scale, its courses, how it is played, and how it is built.

use super::json::{record_json, word_json};
use super::{
    Bar, Extra, Former, Make, Plan, Player, PlayingIn, Settling, Setup, Visit, WarmReading,
};

/// An instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// What other records call this one; any text, the same in no other instrument.
    pub id: String,
    /// The owner's id, or none.
    pub owner: Option<String>,
    /// The instrument in words.
    pub name: String,
    /// What kind it is, a word such as `ukulele`; any text.
    pub family: String,
    /// Who made it.
    pub maker: String,
    /// Its serial number, as text.
    pub serial: String,
    /// Anything else.
    pub note: String,
    /// Frequency of A4 in Hz.
    pub a4_hz: f64,
    /// Scale length in mm: twice the distance from the nut's true place to the twelfth fret.
    pub scale_mm: f64,
    /// Number of frets.
    pub frets: u32,
    /// The fret at which the neck meets the body.
    pub body_fret: Option<u32>,
    /// Height of the fret wire over the board in mm; none when not measured.
    pub fret_height_mm: Option<f64>,
    /// Radius of the board's camber in mm; none for a flat board.
    pub camber_radius_mm: Option<f64>,
    /// The courses, from the player's bass side to the treble side as they lie on the board. A re-entrant fourth
    /// course or a banjo's short drone is still the first in the list.
    pub courses: Vec<Course>,
    /// How a finger presses a string.
    pub press: Press,
    /// How a string is plucked.
    pub pluck: Pluck,
    /// Heights and setbacks as they stand now.
    pub setup: Setup,
    /// The bridge; none when not described.
    pub bridge: Option<Bridge>,
    /// The neck; none when not described.
    pub neck: Option<Neck>,
    /// The tuners; none when not described.
    pub tuner: Option<Tuner>,
    /// The strings that it carried before these; none when not noted.
    pub former: Option<Former>,
    /// How its new strings settle; none when nobody looks.
    pub settling: Option<Settling>,
    /// Playing in on a machine; none when it is not.
    pub playing_in: Option<PlayingIn>,
    /// Readings of open strings at different temperatures.
    pub warm_readings: Vec<WarmReading>,
    /// The players whose plucks are kept.
    pub players: Vec<Player>,
    /// What its plan of work goes by; none takes the usual values.
    pub plan: Option<Plan>,
    /// Its times on the bench.
    pub visits: Vec<Visit>,
    /// When anything but its visits was changed last, as a moment; none when not known. Each visit says it of itself.
    pub changed: Option<String>,
    /// Unknown fields.
    pub extra: Extra,
}

const fn concert_pitch() -> f64 {
    440.0
}

impl Default for Instrument {
    /// A nameless instrument of a concert ukulele's scale without a course.
    fn default() -> Self {
        Self {
            id: String::new(),
            owner: None,
            name: String::new(),
            family: String::new(),
            maker: String::new(),
            serial: String::new(),
            note: String::new(),
            a4_hz: concert_pitch(),
            scale_mm: 381.0,
            frets: 18,
            body_fret: None,
            fret_height_mm: None,
            camber_radius_mm: None,
            courses: Vec::new(),
            press: Press::default(),
            pluck: Pluck::default(),
            setup: Setup::default(),
            bridge: None,
            neck: None,
            tuner: None,
            former: None,
            settling: None,
            playing_in: None,
            warm_readings: Vec::new(),
            players: Vec::new(),
            plan: None,
            visits: Vec::new(),
            changed: None,
            extra: Extra::new(),
        }
    }
}

impl Instrument {
    /// Its courses, then those of the strings before.
    pub fn all_courses(&self) -> impl Iterator<Item = &Course> {
        let former = self.former.iter().flat_map(|former| &former.courses);
        self.courses.iter().chain(former)
    }
}

/// One course: a string, or strings played as one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Course {
    /// The open note, such as `G3`.
    pub note: String,
    /// How far from the note it is tuned on purpose, in cents; positive is sharp.
    pub offset_cents: f64,
    /// Scale length of this course in mm where it has its own (fanned frets); none takes the instrument's.
    pub scale_mm: Option<f64>,
    /// The fret at which this course's nut stands: 0 for the instrument's nut, 5 for a banjo's short fifth string.
    /// The course's scale length is still that of the whole board.
    pub first_fret: u32,
    /// Width of the nut slot in mm; none when not measured.
    pub slot_mm: Option<f64>,
    /// The strings of the course, one or several.
    pub strings: Vec<FittedString>,
    /// Unknown fields.
    pub extra: Extra,
}

/// A string on the instrument: one from the rack, or one described here. Exactly one of `rack` and `make` is given.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FittedString {
    /// The id of a rack string.
    pub rack: Option<String>,
    /// What the string is.
    pub make: Option<Make>,
    /// How many semitones over the course's note it sounds: 12 for the octave string of an octave pair, 0 for the rest.
    pub semitones: i32,
    /// Stretch `kappa = EA/T` measured on this instrument; none takes the rack string's.
    pub kappa: Option<f64>,
    /// One standard deviation of that measured stretch; none when it is not known.
    pub kappa_give: Option<f64>,
    /// Bending modulus in GPa measured on this string, taken on the outer diameter; none takes the rack string's.
    pub bend_modulus_gpa: Option<f64>,
    /// Unknown fields.
    pub extra: Extra,
}

impl FittedString {
    /// A string from the rack.
    #[must_use]
    pub fn from_rack(id: impl Into<String>) -> Self {
        Self {
            rack: Some(id.into()),
            ..Self::default()
        }
    }

    /// A string described in place.
    #[must_use]
    pub fn of(make: Make) -> Self {
        Self {
            make: Some(make),
            ..Self::default()
        }
    }
}

/// How a finger presses a string to a fret.
#[derive(Clone, Debug, PartialEq)]
pub struct Press {
    /// How far behind the fret the finger presses, in mm.
    pub finger_behind_mm: f64,
    /// How hard the string bears on the fret, in N; 0 is the lightest press that still touches.
    pub fret_reaction_n: f64,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for Press {
    /// 6 mm behind the fret, 1 N on the fret.
    fn default() -> Self {
        Self {
            finger_behind_mm: 6.0,
            fret_reaction_n: 1.0,
            extra: Extra::new(),
        }
    }
}

/// How a string is plucked.
#[derive(Clone, Debug, PartialEq)]
pub struct Pluck {
    /// Sideways force at the moment of release, in N.
    pub force_n: f64,
    /// Where, in mm from the saddle; none is a quarter of the scale length.
    pub from_saddle_mm: Option<f64>,
    /// Which way the string is let go.
    pub release: Release,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for Pluck {
    /// 1.5 N at a quarter of the scale length, let go from away of the board.
    fn default() -> Self {
        Self {
            force_n: 1.5,
            from_saddle_mm: None,
            release: Release::Away,
            extra: Extra::new(),
        }
    }
}

/// Which way a plucked string was pulled before it is let go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Release {
    /// Pulled away from the board.
    #[default]
    Away,
    /// Pushed towards the board: a rest stroke or a thumb.
    Towards,
}

/// A bridge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bridge {
    /// How it is held.
    pub kind: BridgeKind,
    /// Height of the string at the saddle over the soundboard (or head), in mm.
    pub saddle_height_mm: Option<f64>,
    /// Angle in degrees by which the string turns down behind the saddle.
    pub break_angle_deg: Option<f64>,
    /// Angle in degrees by which the string falls in front of the saddle, towards the nut, against the soundboard or head;
    /// none counts as 0.
    pub front_angle_deg: Option<f64>,
    /// Length of the glued or standing footprint across the strings, in mm.
    pub foot_length_mm: Option<f64>,
    /// Width of the glued or standing footprint along the strings, in mm.
    pub foot_width_mm: Option<f64>,
    /// Unknown fields.
    pub extra: Extra,
}

/// How a bridge is held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BridgeKind {
    /// Glued to the soundboard, the strings fixed to it.
    #[default]
    Glued,
    /// Standing loose, the strings fixed to a tailpiece.
    Floating,
}

/// A neck.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Neck {
    /// The neck's wood, in words.
    pub wood: String,
    /// The fingerboard's wood, in words.
    pub board_wood: String,
    /// Width at the nut in mm.
    pub width_nut_mm: Option<f64>,
    /// Width at the body joint in mm.
    pub width_body_mm: Option<f64>,
    /// Depth at the nut in mm, board included.
    pub depth_nut_mm: Option<f64>,
    /// Depth at the body joint in mm, board included.
    pub depth_body_mm: Option<f64>,
    /// Thickness of the fingerboard in mm.
    pub board_mm: Option<f64>,
    /// Has a rod that can be turned to change the relief.
    pub rod: bool,
    /// The neck wood's modulus along the grain in GPa, where it was measured; none takes the table's.
    pub wood_gpa: Option<f64>,
    /// The same of the board's wood.
    pub board_gpa: Option<f64>,
    /// Bars and rods that stiffen it.
    pub bars: Vec<Bar>,
    /// Unknown fields.
    pub extra: Extra,
}

/// A tuner.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tuner {
    /// Turns of the button for one turn of the post; 1 for a plain peg.
    pub ratio: Option<f64>,
    /// Diameter of the post in mm where the string winds.
    pub post_mm: Option<f64>,
    /// Diameter in mm of the hole or slot in the post that the string goes through.
    pub hole_mm: Option<f64>,
    /// Slack in mm that is wound in before a new string draws; none counts as 0.
    pub slack_mm: Option<f64>,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(Instrument {
    id,
    owner,
    name,
    family,
    maker,
    serial,
    note,
    a4_hz,
    scale_mm,
    frets,
    body_fret,
    fret_height_mm,
    camber_radius_mm,
    courses,
    press,
    pluck,
    setup,
    bridge,
    neck,
    tuner,
    former,
    settling,
    playing_in,
    warm_readings,
    players,
    plan,
    visits,
    changed
});
record_json!(Course {
    note,
    offset_cents,
    scale_mm,
    first_fret,
    slot_mm,
    strings
});
record_json!(FittedString {
    rack,
    make,
    semitones,
    kappa,
    kappa_give,
    bend_modulus_gpa
});
record_json!(Press {
    finger_behind_mm,
    fret_reaction_n
});
record_json!(Pluck {
    force_n,
    from_saddle_mm,
    release
});
record_json!(Bridge {
    kind,
    saddle_height_mm,
    break_angle_deg,
    front_angle_deg,
    foot_length_mm,
    foot_width_mm
});
record_json!(Neck {
    wood,
    board_wood,
    width_nut_mm,
    width_body_mm,
    depth_nut_mm,
    depth_body_mm,
    board_mm,
    rod,
    wood_gpa,
    board_gpa,
    bars
});
record_json!(Tuner {
    ratio,
    post_mm,
    hole_mm,
    slack_mm
});
word_json!(Release { Away = "away", Towards = "towards" });
word_json!(BridgeKind { Glued = "glued", Floating = "floating" });
