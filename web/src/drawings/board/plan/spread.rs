//! How the courses spread over the board, from nut to saddle.

use super::{Board, EDGE_MM, Lane};

/// How the lanes spread over the board.
pub(super) struct Spread<'a> {
    board: &'a Board,
    /// Lanes that begin beside the board's other strings, on the bass side and the treble side.
    pub(super) bass_drones: usize,
    pub(super) treble_drones: usize,
    body_mm: f64,
    width_nut: f64,
    width_body: f64,
}

#[allow(clippy::cast_precision_loss)]
impl<'a> Spread<'a> {
    pub(super) fn new(board: &'a Board) -> Self {
        let is_drone = |lane: &&Lane| lane.first_fret > 0;
        let all = board.lanes.len();
        let bass_drones = board.lanes.iter().take_while(is_drone).count() % all.max(1);
        let treble_drones = board.lanes.iter().rev().take_while(is_drone).count() % all.max(1);
        let mains = all - bass_drones - treble_drones;
        // What a board usually is where nobody measured it: nine millimetres a course at the nut.
        let width_nut = board
            .width_nut_mm
            .unwrap_or(9.0 * mains.max(2) as f64 - 1.0);
        let positions = board
            .lanes
            .first()
            .map(|lane| lane.fret_mm.as_slice())
            .unwrap_or_default();
        let body_mm = positions
            .get(board.body_fret.unwrap_or(12))
            .copied()
            .unwrap_or(0.5 * board.scale_mm);
        Self {
            board,
            bass_drones,
            treble_drones,
            body_mm: body_mm.max(1.0),
            width_nut,
            width_body: board.width_body_mm.unwrap_or(1.3 * width_nut),
        }
    }

    fn mains(&self) -> usize {
        self.board.lanes.len() - self.bass_drones - self.treble_drones
    }

    /// From one course to the next in mm, so far along the board.
    fn spacing(&self, along_mm: f64) -> f64 {
        let width = self.width_nut + (self.width_body - self.width_nut) * along_mm / self.body_mm;
        (width - 2.0 * EDGE_MM).max(1.0) / (self.mains().max(2) - 1) as f64
    }

    /// How far a lane stands from the middle towards the bass side, in mm.
    pub(super) fn lane(&self, at: usize, along_mm: f64) -> f64 {
        let from_first = at as f64 - self.bass_drones as f64;
        let half = (self.mains().max(1) - 1) as f64 / 2.0;
        (half - from_first) * self.spacing(along_mm)
    }

    /// The board's edge in mm from the middle, on the bass side (positive) or the treble side, after or before its drones
    /// begin.
    pub(super) fn edge(&self, bass: bool, with_drones: bool, along_mm: f64) -> f64 {
        let last = self.board.lanes.len().saturating_sub(1);
        let (outer, inner) = if bass {
            (0, self.bass_drones)
        } else {
            (last, last.saturating_sub(self.treble_drones))
        };
        let lane = self.lane(if with_drones { outer } else { inner }, along_mm);
        let room = if self.mains() < 2 {
            EDGE_MM + self.width_nut / 4.0
        } else {
            EDGE_MM
        };
        if bass { lane + room } else { lane - room }
    }
}
