//! Why a note cannot sound.

/// Why a note cannot sound as set up. The words are for a person at the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Blocked {
    /// The board ends before this fret.
    #[error("there is no fret {fret}: the board has {frets}")]
    NoSuchFret {
        /// The fret asked for.
        fret: u32,
        /// The last one.
        frets: u32,
    },
    /// The course begins further on.
    #[error("this course begins at fret {first}: fret {fret} lies behind its nut")]
    BehindNut {
        /// The fret asked for.
        fret: u32,
        /// Where the course's nut stands.
        first: u32,
    },
    /// The open string lies on a fret.
    #[error("the open string lies on fret {on}: the gap there is not above zero")]
    OpenLiesOn {
        /// The first fret that it touches.
        on: u32,
    },
    /// The fret stands as high as the string at rest, or higher.
    #[error("fret {fret} stands as high as the string at rest: the gap there is not above zero")]
    FretHigh {
        /// The fret.
        fret: u32,
    },
    /// The saddle is too low for the string to rise to it from this fret.
    #[error(
        "the saddle stands no higher than the top of fret {fret}: the string has nothing to rise to"
    )]
    SaddleLow {
        /// The fret.
        fret: u32,
    },
    /// Pressed here, the string touches a fret further on, and would sound from that.
    #[error("pressed at fret {fret}, the string lies on fret {on} ahead of it")]
    LiesOnAhead {
        /// The fret pressed.
        fret: u32,
        /// The first fret ahead that it touches.
        on: u32,
    },
    /// The finger is stopped by the wood before the string reaches the fret.
    #[error(
        "behind fret {fret} the string meets the wood before it reaches the fret: the frets are too low for this press"
    )]
    WoodFirst {
        /// The fret.
        fret: u32,
    },
}
