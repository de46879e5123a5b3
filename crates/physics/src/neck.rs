//! A neck as a beam under its strings: how far they pull it forward, and so how the relief changes with a change of strings.
//!
//! Frame: x along the board from the nut's front edge towards the body, depths down from the board's playing surface. The neck is
//! held where it meets the body. A raise is towards the strings, so strings that pull raise the nut's end and the board between
//! dips below the straight line: relief.

use crate::quantity::{Force, InBenchUnits, Length, Pressure, gpa, mm};
use crate::range::{OutOfRange, within};
use std::f64::consts::PI;

/// Second moment of a half ellipse about its own centroid, the flat side bent as the top: `I = (pi/8 - 8/(9 pi)) a b^3`.
///
/// `half_width` a and `depth` b in any one unit; the result in its fourth power. Source: section property tables (from
/// memory); integration gives the same.
#[must_use]
pub fn half_ellipse_second_moment(half_width: f64, depth: f64) -> f64 {
    (PI / 8.0 - 8.0 / (9.0 * PI)) * half_width * depth.powi(3)
}

/// Raise of the free end of a uniform neck under a moment that is the same all along: `y = M L^2/(2 E I)`. Moment in N m,
/// stiffness E I in N m2. Source: beam theory.
#[must_use]
pub fn uniform_tip_raise(moment_nm: f64, length: Length, stiffness_nm2: f64) -> Length {
    length * (moment_nm * length.bench() * 1e-3 / (2.0 * stiffness_nm2))
}

/// The dip of the same neck below its chord, at the middle: `M L^2/(8 E I)`. Source: beam theory.
#[must_use]
pub fn uniform_mid_dip(moment_nm: f64, length: Length, stiffness_nm2: f64) -> Length {
    uniform_tip_raise(moment_nm, length, stiffness_nm2) / 4.0
}

/// Sizes of a neck that tapers straight from the nut to the body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taper {
    /// From the nut to where the neck meets the body.
    pub length: Length,
    /// Width at the nut and at the body.
    pub width: [Length; 2],
    /// Depth at the nut and at the body, board included.
    pub depth: [Length; 2],
    /// Thickness of the board; zero for a neck without one.
    pub board: Length,
}

/// A bar or rod of rectangular section glued into the neck under the board, all along, its broad middle in the neck's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// Its modulus.
    pub modulus: Pressure,
    /// Width across the neck; several bars side by side count together.
    pub width: Length,
    /// Height.
    pub height: Length,
    /// How far its top lies below the board's underside.
    pub down: Length,
}

/// A material of bars and rods.
#[derive(Clone, Copy, Debug)]
pub struct BarRow {
    /// The word in records.
    pub key: &'static str,
    /// The words shown.
    pub label: &'static str,
    /// Modulus in GPa.
    gpa: f64,
    /// Where it comes from.
    pub source: &'static str,
}

/// Materials of bars and rods.
pub const BARS: [BarRow; 4] = [
    BarRow {
        key: "steel",
        label: "steel",
        gpa: 203.0,
        source: "handbook range 200 to 206 GPa, from memory",
    },
    BarRow {
        key: "carbon",
        label: "carbon fibre",
        gpa: 130.0,
        source: "pultruded rod, 110 to 140 GPa, from memory",
    },
    BarRow {
        key: "aluminium",
        label: "aluminium",
        gpa: 69.0,
        source: "handbook value, from memory",
    },
    BarRow {
        key: "brass",
        label: "brass",
        gpa: 100.0,
        source: "handbook value, from memory",
    },
];

impl BarRow {
    /// The modulus.
    #[must_use]
    pub fn modulus(&self) -> Pressure {
        gpa(self.gpa)
    }
}

/// The bar material with this word in records, or none.
#[must_use]
pub fn bar_material(key: &str) -> Option<&'static BarRow> {
    BARS.iter().find(|row| row.key == key)
}

/// How one place of a neck bends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Bending stiffness E I of the transformed section, in N m2.
    pub stiffness_nm2: f64,
    /// The neutral axis below the board's playing surface.
    pub neutral: Length,
}

/// The pull of one course on the neck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Tension of its strings together.
    pub tension: Force,
    /// Where its nut stands: 0 for the neck's, further for a short drone, whose pull begins there.
    pub from: Length,
    /// Height of the strings' middle over the board's surface at x = 0.
    pub height_at_nut: Length,
    /// The same where the neck meets the body.
    pub height_at_body: Length,
}

impl Pull {
    /// A pull whose strings run straight through two heights over the board's surface, each at a place along it; `body` is where the
    /// neck meets the body. The two places must differ.
    #[must_use]
    pub fn through(
        tension: Force,
        from: Length,
        heights: [(Length, Length); 2],
        body: Length,
    ) -> Self {
        let [(x1, h1), (x2, h2)] = heights;
        let at = |x: Length| h1 + (h2 - h1) * ((x - x1) / (x2 - x1));
        Self {
            tension,
            from,
            height_at_nut: at(mm(0.0)),
            height_at_body: at(body),
        }
    }
}

/// The relief in mm that is common practice, least and most: none to .012 in. Source: two kit instruction sheets.
pub const USUAL_RELIEF_MM: [f64; 2] = [0.0, 0.3048];

/// A neck.
#[derive(Clone, Debug, PartialEq)]
pub struct Neck {
    taper: Taper,
    wood_mpa: f64,
    board_mpa: f64,
    bars: Vec<Bar>,
}

/// A part of a section, in mm and MPa: its modulus, area, centroid's depth and own second moment.
struct Part(f64, f64, f64, f64);

/// Places and weights of Gauss's rule with four points on 0 to 1. Source: Gauss-Legendre quadrature.
const GAUSS: [(f64, f64); 4] = [
    (0.069_431_844_202_973_71, 0.173_927_422_568_726_93),
    (0.330_009_478_207_571_87, 0.326_072_577_431_273_07),
    (0.669_990_521_792_428_1, 0.326_072_577_431_273_07),
    (0.930_568_155_797_026_3, 0.173_927_422_568_726_93),
];

/// The longest piece over which the rule goes, as a share of the neck.
const PIECES: u32 = 8;

impl Neck {
    /// A neck of half-elliptical section under a flat board, with bars in it.
    ///
    /// # Errors
    /// [`OutOfRange`] for a length outside 20 to 1500 mm, widths outside 5 to 200, depths outside 2 to 100, a board that leaves less
    /// than 1 mm of neck under it, moduli outside 1 to 500 GPa, or a bar that the neck cannot hold.
    pub fn new(
        taper: Taper,
        wood: Pressure,
        board: Pressure,
        bars: Vec<Bar>,
    ) -> Result<Self, OutOfRange> {
        within("a neck's length", taper.length.bench(), "mm", 20.0, 1500.0)?;
        for width in taper.width {
            within("a neck's width", width.bench(), "mm", 5.0, 200.0)?;
        }
        for depth in taper.depth {
            within("a neck's depth", depth.bench(), "mm", 2.0, 100.0)?;
        }
        let least = taper.depth[0].bench().min(taper.depth[1].bench());
        within(
            "a board's thickness",
            taper.board.bench(),
            "mm",
            0.0,
            least - 1.0,
        )?;
        for modulus in [wood, board]
            .into_iter()
            .chain(bars.iter().map(|bar| bar.modulus))
        {
            within("a modulus", modulus.bench() * 1e-3, "GPa", 1.0, 500.0)?;
        }
        let narrow = taper.width[0].bench().min(taper.width[1].bench());
        for bar in &bars {
            within("a bar's width", bar.width.bench(), "mm", 0.1, narrow)?;
            let room = least - taper.board.bench();
            within(
                "a bar's place under the board",
                bar.down.bench(),
                "mm",
                0.0,
                room,
            )?;
            within(
                "a bar's height",
                bar.height.bench(),
                "mm",
                0.1,
                room - bar.down.bench(),
            )?;
        }
        Ok(Self {
            taper,
            wood_mpa: wood.bench(),
            board_mpa: board.bench(),
            bars,
        })
    }

    /// The same neck with all its wood stiffer or softer by a factor (positive).
    #[must_use]
    pub fn with_wood_times(&self, factor: f64) -> Self {
        Self {
            wood_mpa: self.wood_mpa * factor,
            board_mpa: self.board_mpa * factor,
            ..self.clone()
        }
    }

    /// From the nut to the body.
    #[must_use]
    pub const fn length(&self) -> Length {
        self.taper.length
    }

    /// The transformed section at a place: each part counts with its own modulus.
    ///
    /// Neutral axis `c = sum(E A c_i)/sum(E A)`, stiffness `E I = sum(E (I_i + A_i (c_i - c)^2))` over the board (a rectangle), the
    /// neck under it (half an ellipse) and bars, which take the wood's place. Between nut and body the sizes go straight;
    /// outside they stay. Source: beam theory of layered sections, the parts glued so that none slips.
    #[must_use]
    pub fn section(&self, x: Length) -> Section {
        let (ei, neutral) = self.bends_at(x.bench());
        Section {
            stiffness_nm2: ei * 1e-6,
            neutral: mm(neutral),
        }
    }

    /// Stiffness in N mm2 and neutral axis in mm at a place in mm.
    fn bends_at(&self, x: f64) -> (f64, f64) {
        let u = (x / self.taper.length.bench()).clamp(0.0, 1.0);
        let at = |ends: [Length; 2]| ends[0].bench() + u * (ends[1].bench() - ends[0].bench());
        let (width, depth, board) = (
            at(self.taper.width),
            at(self.taper.depth),
            self.taper.board.bench(),
        );
        let (a, b) = (width / 2.0, depth - board);
        let fixed = [
            Part(
                self.board_mpa,
                width * board,
                board / 2.0,
                width * board.powi(3) / 12.0,
            ),
            Part(
                self.wood_mpa,
                PI * a * b / 2.0,
                board + 4.0 * b / (3.0 * PI),
                half_ellipse_second_moment(a, b),
            ),
        ];
        let bars = self.bars.iter().map(|bar| {
            let (w, h) = (bar.width.bench(), bar.height.bench());
            Part(
                bar.modulus.bench() - self.wood_mpa,
                w * h,
                board + bar.down.bench() + h / 2.0,
                w * h.powi(3) / 12.0,
            )
        });
        let parts = || {
            fixed
                .iter()
                .map(|p| Part(p.0, p.1, p.2, p.3))
                .chain(bars.clone())
        };
        let ea: f64 = parts().map(|p| p.0 * p.1).sum();
        let neutral = parts().map(|p| p.0 * p.1 * p.2).sum::<f64>() / ea;
        let ei = parts()
            .map(|p| p.0 * (p.3 + p.1 * (p.2 - neutral).powi(2)))
            .sum();
        (ei, neutral)
    }

    /// Moment of the pulls about the neutral axis at a place in mm, in N mm: `M = sum T (height of the string + neutral axis)`
    /// over the courses whose nut stands before it. Cutting neck and strings there leaves nothing else on the headstock's side.
    fn moment(&self, pulls: &[Pull], x: f64, neutral: f64) -> f64 {
        let u = x / self.taper.length.bench();
        pulls
            .iter()
            .filter(|pull| x >= pull.from.bench())
            .map(|pull| {
                let (nut, body) = (pull.height_at_nut.bench(), pull.height_at_body.bench());
                pull.tension.bench() * (nut + u * (body - nut) + neutral)
            })
            .sum()
    }

    /// How far the pulls raise the board at each station, against the line that it has where it is held.
    ///
    /// `y(x) = integral from x to the body of M/(E I) (s - x) ds`, by Gauss's rule piece by piece; nothing behind the joint, where
    /// the body holds the board. Stations in any order. Source: beam theory. The strings run straight from nut to saddle, so as the
    /// board dips their arm grows by the dip, one to three parts in a hundred; that is left out.
    #[must_use]
    pub fn raise(&self, pulls: &[Pull], stations: &[Length]) -> Vec<Length> {
        let length = self.taper.length.bench();
        let mut cuts: Vec<f64> = (0..=PIECES)
            .map(|i| length * f64::from(i) / f64::from(PIECES))
            .chain(stations.iter().map(InBenchUnits::bench))
            .chain(pulls.iter().map(|pull| pull.from.bench()))
            .filter(|x| (0.0..=length).contains(x))
            .collect();
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
        // From the body to the nut: the slope and the raise at the near end of each piece.
        let mut raised = vec![0.0; cuts.len()];
        let mut slope = 0.0;
        for i in (1..cuts.len()).rev() {
            let (from, step) = (cuts[i - 1], cuts[i] - cuts[i - 1]);
            let (mut turn, mut lift) = (0.0, 0.0);
            for (place, weight) in GAUSS {
                let x = from + place * step;
                let (ei, neutral) = self.bends_at(x);
                let curve = self.moment(pulls, x, neutral) / ei * weight * step;
                turn += curve;
                lift += curve * place * step;
            }
            raised[i - 1] = raised[i] + slope * step + lift;
            slope += turn;
        }
        stations
            .iter()
            .map(|station| {
                let x = station.bench();
                let at = cuts.iter().position(|cut| cut.total_cmp(&x).is_ge());
                mm(at.filter(|_| x >= 0.0).map_or(0.0, |at| raised[at]))
            })
            .collect()
    }
}

/// Depth of a place below the straight line from one end of a straightedge to the other: relief. Each is a place and its raise.
#[must_use]
pub fn dip(near: (Length, Length), at: (Length, Length), far: (Length, Length)) -> Length {
    let share = (at.0 - near.0) / (far.0 - near.0);
    near.1 + (far.1 - near.1) * share - at.1
}

#[cfg(test)]
mod tests;
