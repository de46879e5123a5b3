//! Where the lines of a board stand in its drawing.

mod spread;
#[cfg(test)]
mod tests;

use spread::Spread;
use strungwell_workshop::records::Instrument;
use strungwell_workshop::report::{InstrumentReport, fret_positions_mm};

/// The width of the drawing, in its own units.
pub(crate) const WIDTH: f64 = 1000.0;
/// Where the nut and the saddle stand.
const LEFT: f64 = 62.0;
const RIGHT: f64 = 960.0;
/// Room over and under the board for dimension lines and fields.
const OVER: f64 = 80.0;
const UNDER: f64 = 76.0;
/// How far the shoulders of the body spread beside the board.
const SHOULDER: f64 = 30.0;
/// From the outer strings to the board's edge, in mm.
const EDGE_MM: f64 = 3.5;
/// From one note's text to the next at least.
const LABEL_PITCH: f64 = 14.5;
/// The fret at which a fan is drawn square: a record does not say where it is.
pub(crate) const SQUARE_FRET: usize = 7;

/// A board, its frets and its courses, as the drawing needs them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Board {
    /// The instrument's scale length in mm.
    pub scale_mm: f64,
    /// Number of frets.
    pub frets: usize,
    /// The fret at the body joint.
    pub body_fret: Option<usize>,
    /// Width at the nut in mm; none when not measured.
    pub width_nut_mm: Option<f64>,
    /// Width at the body joint in mm; none when not measured.
    pub width_body_mm: Option<f64>,
    /// The bridge's footprint in mm: across the strings and along them.
    pub foot_mm: Option<(f64, f64)>,
    /// The courses from the bass side to the treble side.
    pub lanes: Vec<Lane>,
}

/// One course on the board.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Lane {
    /// The open note.
    pub note: String,
    /// The fret at which its nut stands.
    pub first_fret: usize,
    /// Its scale length in mm.
    pub scale_mm: f64,
    /// Distance of each fret from the nut in mm on its scale, the nut first.
    pub fret_mm: Vec<f64>,
    /// How many strings it has.
    pub strings: usize,
    /// Diameter of a string in mm; none when not known.
    pub diameter_mm: Option<f64>,
}

impl Board {
    /// The board of an instrument; the strings' diameters come from its report.
    pub(crate) fn of(instrument: &Instrument, report: Option<&InstrumentReport>) -> Self {
        let deepest = instrument
            .courses
            .iter()
            .map(|course| course.first_fret)
            .max()
            .unwrap_or(0);
        let count = instrument
            .frets
            .max(deepest)
            .max(instrument.body_fret.unwrap_or(0))
            .max(12)
            + 1;
        let lanes = instrument.courses.iter().enumerate().map(|(at, course)| {
            let scale_mm = course.scale_mm.unwrap_or(instrument.scale_mm);
            Lane {
                note: course.note.clone(),
                first_fret: course.first_fret as usize,
                scale_mm,
                fret_mm: fret_positions_mm(scale_mm, count),
                strings: course.strings.len(),
                diameter_mm: report.and_then(|r| r.courses.get(at)?.strings.first()?.diameter_mm),
            }
        });
        let neck = instrument.neck.as_ref();
        let bridge = instrument.bridge.as_ref();
        Self {
            scale_mm: instrument.scale_mm,
            frets: instrument.frets as usize,
            body_fret: instrument
                .body_fret
                .filter(|fret| *fret > 0)
                .map(|fret| fret as usize),
            width_nut_mm: neck.and_then(|neck| neck.width_nut_mm),
            width_body_mm: neck.and_then(|neck| neck.width_body_mm),
            foot_mm: bridge
                .and_then(|bridge| Some((bridge.foot_length_mm?, bridge.foot_width_mm?))),
            lanes: lanes.collect(),
        }
    }

    /// Whether some course has a scale of its own.
    pub(crate) fn is_fanned(&self) -> bool {
        self.lanes
            .iter()
            .any(|lane| (lane.scale_mm - self.scale_mm).abs() > 1e-6)
    }
}

/// A point of the drawing.
pub(crate) type Point = (f64, f64);

/// Where everything stands.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Plan {
    /// Height of the drawing.
    pub height: f64,
    /// Each fret, the nut first, from the bass side to the treble side.
    pub frets: Vec<Vec<Point>>,
    /// Each course's string from its nut to its saddle point.
    pub strings: Vec<(Point, Point)>,
    /// Where each course's note is written: the end of its text.
    pub labels: Vec<Point>,
    /// The fret at the body joint.
    pub joint_fret: Option<usize>,
    /// The board's outline.
    pub outline: Vec<Point>,
    /// Where the neck meets the body, on the bass side and the treble side.
    pub joint: Option<(Point, Point)>,
    /// The saddle from the bass side to the treble side.
    pub saddle: Vec<Point>,
    /// The bridge's footprint: left, top, width, height.
    pub foot: Option<[f64; 4]>,
    /// Drawing units a mm.
    pub scale: f64,
    /// Along the board, the places of the nut, the joint, the last fret and the saddle.
    pub nut_x: f64,
    pub joint_x: Option<f64>,
    pub last_x: f64,
    pub saddle_x: f64,
    /// The heights of the upper and the lower dimension line.
    pub over_y: f64,
    pub under_y: f64,
    /// Half the board's width at the nut and at its end, for what stands beside it.
    pub half: f64,
    /// The middle line.
    pub middle_y: f64,
}

impl Plan {
    /// Lays a board out.
    pub(crate) fn of(board: &Board) -> Self {
        let spread = Spread::new(board);
        let square = |lane: &Lane| lane.fret_mm.get(SQUARE_FRET).copied().unwrap_or(0.0);
        let main_square = board
            .lanes
            .iter()
            .find(|l| (l.scale_mm - board.scale_mm).abs() < 1e-6)
            .map_or_else(
                || {
                    fret_positions_mm(board.scale_mm, 12)
                        .get(SQUARE_FRET)
                        .copied()
                        .unwrap_or(0.0)
                },
                square,
            );
        let start = |lane: &Lane| main_square - square(lane);
        let low = board.lanes.iter().map(start).fold(0.0, f64::min);
        let high = board
            .lanes
            .iter()
            .map(|lane| start(lane) + lane.scale_mm)
            .fold(board.scale_mm, f64::max);
        let scale = (RIGHT - LEFT) / (high - low).max(1.0);
        let half_mm = {
            let end = spread.edge(true, true, board.scale_mm).max(-spread.edge(
                false,
                true,
                board.scale_mm,
            ));
            end.max(board.foot_mm.map_or(0.0, |(across, _)| across / 2.0))
        };
        let half = half_mm * scale;
        let middle_y = OVER + SHOULDER + half;
        let point =
            |along: f64, across: f64| (LEFT + (along - low) * scale, middle_y + across * scale);
        let on_lane = |at: usize, lane: &Lane, mm: f64| {
            let along = start(lane) + mm;
            point(along, spread.lane(at, along))
        };
        let lanes = || board.lanes.iter().enumerate();
        let fret_mm =
            |lane: &Lane, fret: usize| lane.fret_mm.get(fret).copied().unwrap_or(lane.scale_mm);
        let frets = (0..=board.frets)
            .map(|fret| {
                fret_line(
                    board,
                    &spread,
                    fret,
                    &|lane| start(lane) + fret_mm(lane, fret),
                    &point,
                )
            })
            .collect();
        let strings = lanes()
            .map(|(at, lane)| {
                (
                    on_lane(at, lane, fret_mm(lane, lane.first_fret)),
                    on_lane(at, lane, lane.scale_mm),
                )
            })
            .collect::<Vec<_>>();
        let main = fret_positions_mm(board.scale_mm, 60);
        let place = |fret: usize| point(main.get(fret).copied().unwrap_or(0.0), 0.0).0;
        let joint = board.body_fret.map(|fret| {
            let line = fret_line(
                board,
                &spread,
                fret,
                &|lane| start(lane) + fret_mm(lane, fret),
                &point,
            );
            (
                line.first().copied().unwrap_or_default(),
                line.last().copied().unwrap_or_default(),
            )
        });
        let saddle = strings.iter().map(|(_, end)| *end).collect::<Vec<_>>();
        let foot = board.foot_mm.map(|(across, width)| {
            let (x, y) = point(board.scale_mm - 0.4 * width, -across / 2.0);
            [x, y, width * scale, across * scale]
        });
        let height = middle_y + half + SHOULDER + UNDER;
        Self {
            height,
            labels: labels(board, &strings),
            joint_fret: board.body_fret,
            frets,
            outline: outline(
                board,
                &spread,
                &|lane, fret| start(lane) + fret_mm(lane, fret),
                &point,
            ),
            joint,
            saddle,
            foot,
            scale,
            nut_x: place(0),
            joint_x: board.body_fret.map(place),
            last_x: place(board.frets),
            saddle_x: point(board.scale_mm, 0.0).0,
            over_y: OVER - 46.0,
            under_y: height - 34.0,
            half,
            middle_y,
            strings,
        }
    }
}

/// Where the notes are written: beside the strings, those at the nut at least a line of text apart.
fn labels(board: &Board, strings: &[(Point, Point)]) -> Vec<Point> {
    let at_nut = |at: usize| board.lanes.get(at).is_some_and(|lane| lane.first_fret == 0);
    let ys: Vec<f64> = strings
        .iter()
        .enumerate()
        .filter(|(at, _)| at_nut(*at))
        .map(|(_, (from, _))| from.1)
        .collect();
    let closest = ys
        .windows(2)
        .map(|pair| pair[0] - pair[1])
        .fold(f64::MAX, f64::min);
    #[allow(clippy::cast_precision_loss)]
    let (count, middle) = (
        ys.len() as f64,
        ys.iter().sum::<f64>() / (ys.len().max(1) as f64),
    );
    let mut seen = 0.0;
    strings
        .iter()
        .enumerate()
        .map(|(at, ((x, y), _))| {
            if !at_nut(at) || closest >= LABEL_PITCH {
                return (x - 10.0, *y);
            }
            let place = middle + LABEL_PITCH * ((count - 1.0) / 2.0 - seen);
            seen += 1.0;
            (x - 20.0, place)
        })
        .collect()
}

/// A fret from edge to edge, over every lane that it reaches.
fn fret_line(
    board: &Board,
    spread: &Spread<'_>,
    fret: usize,
    along: &dyn Fn(&Lane) -> f64,
    point: &dyn Fn(f64, f64) -> Point,
) -> Vec<Point> {
    let reached: Vec<(usize, &Lane)> = board
        .lanes
        .iter()
        .enumerate()
        .filter(|(_, lane)| lane.first_fret <= fret)
        .collect();
    let mut line = Vec::new();
    if let (Some((first, bass)), Some((last, treble))) = (reached.first(), reached.last()) {
        let with_bass = *first < spread.bass_drones;
        let with_treble = *last >= board.lanes.len() - spread.treble_drones;
        line.push(point(
            along(bass),
            spread.edge(true, with_bass, along(bass)),
        ));
        line.extend(
            reached
                .iter()
                .map(|(at, lane)| point(along(lane), spread.lane(*at, along(lane)))),
        );
        line.push(point(
            along(treble),
            spread.edge(false, with_treble, along(treble)),
        ));
    }
    line
}

/// The board's outline from the nut's bass side round to its treble side.
fn outline(
    board: &Board,
    spread: &Spread<'_>,
    along: &dyn Fn(&Lane, usize) -> f64,
    point: &dyn Fn(f64, f64) -> Point,
) -> Vec<Point> {
    let (Some(bass), Some(treble)) = (board.lanes.first(), board.lanes.last()) else {
        return Vec::new();
    };
    // The board ends a little behind its last fret, halfway to where the next would be.
    let end = |lane: &Lane| f64::midpoint(along(lane, board.frets), along(lane, board.frets + 1));
    let side = |lane: &Lane, is_bass: bool, drones: usize| {
        let mut points = Vec::new();
        if drones > 0 && lane.first_fret <= board.frets {
            let step = along(lane, lane.first_fret) - 4.0;
            points.push(point(0.0, spread.edge(is_bass, false, 0.0)));
            points.push(point(step - 8.0, spread.edge(is_bass, false, step - 8.0)));
            points.push(point(step, spread.edge(is_bass, true, step)));
        } else {
            points.push(point(
                along(lane, 0),
                spread.edge(is_bass, drones == 0, along(lane, 0)),
            ));
        }
        points.push(point(end(lane), spread.edge(is_bass, true, end(lane))));
        points
    };
    let mut points = side(bass, true, spread.bass_drones);
    points.extend(side(treble, false, spread.treble_drones).into_iter().rev());
    points
}
