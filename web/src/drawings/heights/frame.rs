//! Where everything of the drawing stands: one scale along the neck, a larger one for heights.

use strungwell_workshop::report::SideView;

/// From this width on, the fields stand in the drawing; below it they follow it.
const WIDE: f64 = 760.0;

/// By how much heights may be drawn larger than lengths.
const TIMES: [f64; 16] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0,
];

/// The share of the room for heights that a new drawing fills at most, so that a string can be drawn upwards in it.
const FILLS: f64 = 0.86;

/// Where the rows of the drawing stand, in its units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rows {
    /// Room for heights: its upper and lower edge.
    pub high: (f64, f64),
    /// The neck's lower edge.
    pub neck: f64,
    /// The line under the frets' numbers.
    pub numbers: f64,
    /// The row of the fields under the neck.
    pub fields: f64,
    /// The strands: upper and lower edge of each.
    pub strands: [(f64, f64); 3],
    /// The whole height.
    pub height: f64,
}

impl Rows {
    fn of(is_wide: bool) -> Self {
        let (top, room, below) = if is_wide {
            (96.0, 200.0, 52.0)
        } else {
            (58.0, 160.0, 8.0)
        };
        let neck = top + room + 32.0;
        let numbers = neck + 17.0;
        let first = numbers + below + 26.0;
        let strand = |n: f64| {
            let at = first + n * 110.0;
            (at, at + 74.0)
        };
        Self {
            high: (top, top + room),
            neck,
            numbers,
            fields: numbers + 30.0,
            strands: [strand(0.0), strand(1.0), strand(2.0)],
            height: first + 2.0 * 110.0 + 74.0 + 10.0,
        }
    }
}

/// The drawing's frame. One unit is one pixel of the page as long as the page keeps its width.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Frame {
    /// The whole width.
    pub width: f64,
    /// The left and right edge of what is drawn to scale.
    pub edges: (f64, f64),
    /// Whether the fields stand in the drawing.
    pub is_wide: bool,
    /// How many times larger heights are drawn than lengths.
    pub times: f64,
    /// Where the rows stand.
    pub rows: Rows,
    units_a_mm: f64,
    from_mm: f64,
    to_mm: f64,
    zero_y: f64,
}

impl Frame {
    /// The frame of a view at a width. It keeps the scale of the one before while that still serves, so that nothing jumps
    /// under a hand that moves a height.
    pub(crate) fn of(view: &SideView, width: f64, before: Option<&Self>) -> Self {
        let width = width.max(240.0);
        let is_wide = width >= WIDE;
        let rows = Rows::of(is_wide);
        let edges = if is_wide {
            (64.0, width - 86.0)
        } else {
            (36.0, width - 50.0)
        };
        let ends = view
            .line
            .map_or([0.0, view.scale_mm], |l| l.map(|s| s.x_mm));
        let from_mm = ends[0].min(0.0);
        let to_mm = ends[1].max(view.scale_mm);
        let units_a_mm = (edges.1 - edges.0) / (to_mm - from_mm).max(1.0);
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        for fret in &view.frets {
            low = low.min(fret.wood_mm);
            high = high.max(fret.top_mm);
        }
        for end in view.line.iter().flatten() {
            high = high.max(end.z_mm);
        }
        let room = rows.high.1 - rows.high.0;
        let fills = |times: f64| (high - low) * units_a_mm * times / room;
        let fitting = |most: f64| {
            TIMES
                .into_iter()
                .rev()
                .find(|times| fills(*times) <= most)
                .unwrap_or(1.0)
        };
        let kept = before
            .filter(|b| (b.width - width).abs() < 1.0 && (b.to_mm - to_mm).abs() < 20.0)
            .map(|b| b.times)
            .filter(|times| (0.45..=1.0).contains(&fills(*times)));
        let times = kept.unwrap_or_else(|| fitting(FILLS));
        Self {
            width,
            edges,
            is_wide,
            times,
            rows,
            units_a_mm,
            from_mm,
            to_mm,
            zero_y: rows.high.1 + low * units_a_mm * times,
        }
    }

    /// A place along the neck, in the drawing.
    pub(crate) fn x(&self, mm: f64) -> f64 {
        self.edges.0 + (mm - self.from_mm) * self.units_a_mm
    }

    /// A height, in the drawing.
    pub(crate) fn y(&self, mm: f64) -> f64 {
        // Far outside is as good as outside; a browser need not draw miles.
        (self.zero_y - mm * self.units_a_mm * self.times).clamp(-4000.0, 8000.0)
    }

    /// A place of the drawing, along the neck in mm.
    pub(crate) fn along_mm(&self, x: f64) -> f64 {
        self.from_mm + (x - self.edges.0) / self.units_a_mm
    }

    /// A way down the drawing, as a height in mm.
    pub(crate) fn height_mm(&self, down: f64) -> f64 {
        -down / (self.units_a_mm * self.times)
    }

    /// How wide a length along the neck is drawn.
    pub(crate) fn wide(&self, mm: f64) -> f64 {
        mm * self.units_a_mm
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use strungwell_workshop::report::{FretSide, Spot};

    fn view(saddle_mm: f64) -> SideView {
        SideView {
            scale_mm: 381.0,
            first_fret: 0,
            measured: [1, 12],
            relief_fret: 7,
            frets: vec![FretSide {
                fret: 0,
                x_mm: 0.0,
                top_mm: 0.0,
                smooth_mm: 0.0,
                wood_mm: -1.0,
            }],
            line: Some([
                Spot {
                    x_mm: 0.0,
                    z_mm: 0.5,
                },
                Spot {
                    x_mm: 382.5,
                    z_mm: saddle_mm,
                },
            ]),
            note: None,
            blocked: None,
            missing: None,
        }
    }

    #[test]
    fn heights_fit_their_room_and_come_back() {
        for width in [320.0, 840.0, 1400.0] {
            for saddle in [-3.0, 0.2, 4.6, 60.0] {
                let frame = Frame::of(&view(saddle), width, None);
                let (top, bottom) = frame.rows.high;
                assert!(frame.times >= 1.0);
                if saddle < 20.0 {
                    assert!(frame.y(saddle.max(0.5)) >= top && frame.y(-1.0) <= bottom + 1e-9);
                }
                let at = frame.along_mm(frame.x(123.0));
                assert!((at - 123.0).abs() < 1e-9);
                let up = frame.height_mm(frame.y(0.3) - frame.y(0.0));
                assert!((up - 0.3).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_small_move_keeps_the_scale() {
        let first = Frame::of(&view(4.6), 840.0, None);
        let moved = Frame::of(&view(4.9), 840.0, Some(&first));
        assert_eq!(first.times, moved.times);
        assert_eq!(first.y(0.0), moved.y(0.0));
        let far = Frame::of(&view(20.0), 840.0, Some(&first));
        assert!(far.times < first.times);
    }
}
