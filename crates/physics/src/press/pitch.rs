//! The pitch of a pressed string, and how it moves with what it depends on.

use super::StringOnBoard;
use super::path::Path;
use crate::stiffness::factor_and_slope;
use std::f64::consts::LN_2;

/// Cents in a natural logarithm of frequency.
const CENTS: f64 = 1200.0 / LN_2;

/// How a note's error in cents moves with each thing that it depends on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CentsPer {
    /// Cents for each unit of the stretch kappa.
    pub stretch: f64,
    /// Cents for each mm of bending length.
    pub bending_mm: f64,
    /// Cents for each mm of saddle setback.
    pub saddle_mm: f64,
    /// Cents for each mm of nut setback.
    pub nut_mm: f64,
    /// Cents for each mm of height at the nut.
    pub nut_height_mm: f64,
    /// Cents for each mm of height at the saddle.
    pub saddle_height_mm: f64,
}

/// One direction in which a note's surroundings can move: what changes at first hand.
#[derive(Clone, Copy, Default)]
struct Move {
    open: f64,
    sounding: f64,
    path: f64,
    sin: f64,
    kappa: f64,
    stiffness: f64,
}

impl StringOnBoard<'_> {
    /// A note's error against equal temperament from the open string, `steps` frets above it, in cents:
    ///
    /// `1200 log2(f_n/f_0) - 100 n` with `f_n/f_0 = (L_0/L_n) sqrt((T_n/T_0) (1 + eps)) S(B_n)/S(B_0)`,
    /// `B_n = B_0 (L_0/L_n) sqrt(T_0/T_n)`, `S` the frequency factor of stiff ends. Mass per length falls by the stretch.
    ///
    /// Source: Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024).
    pub(crate) fn cents(&self, path: &Path, steps: f64) -> f64 {
        let shorter = self.open_mm / path.sounding;
        let b = self.open_stiffness() * shorter / path.tighter.sqrt();
        let factor = factor_and_slope(b, 1.0, self.ends).0 / self.open_factor.0;
        let ratio = shorter * factor;
        600.0 * (ratio * ratio * path.tighter * (1.0 + path.stretch)).log2() - 100.0 * steps
    }

    /// The derivatives of [`Self::cents`], exact for the path's present contacts.
    pub(crate) fn cents_per(&self, path: &Path) -> CentsPer {
        let line = &self.line;
        let open_sin = (line.saddle_mm - line.nut_mm) / self.open_mm;
        let open_cos = (line.saddle_x_mm - line.nut_x_mm) / self.open_mm;
        let along = self.along(path);
        CentsPer {
            stretch: along(Move {
                kappa: 1.0,
                ..Move::default()
            }),
            bending_mm: along(Move {
                stiffness: 1.0 / self.board.open_length_mm(),
                ..Move::default()
            }),
            saddle_mm: along(Move {
                open: open_cos,
                sounding: path.cos,
                path: path.cos,
                sin: -path.sin * path.cos / path.sounding,
                ..Move::default()
            }),
            nut_mm: along(Move {
                open: open_cos,
                path: path.behind.first_cos,
                ..Move::default()
            }),
            nut_height_mm: along(Move {
                open: -open_sin,
                path: path.behind.first_sin,
                ..Move::default()
            }),
            saddle_height_mm: along(Move {
                open: open_sin,
                sounding: path.sin,
                path: path.sin,
                sin: path.cos * path.cos / path.sounding,
                ..Move::default()
            }),
        }
    }

    /// What one move does to the cents of a path.
    fn along(&self, path: &Path) -> impl Fn(Move) -> f64 {
        let (kappa, eps, tau) = (self.kappa.value, path.stretch, path.tighter);
        let (steeper, easing) = (path.steeper(), self.easing(path));
        let held = self.per_whole / (1.0 + easing * kappa * self.per_whole);
        let b0 = self.open_stiffness();
        let b = b0 * self.open_mm / path.sounding / tau.sqrt();
        let (factor, slope) = factor_and_slope(b, 1.0, self.ends);
        let stiff = slope / factor;
        let stiff_open = self.open_factor.1 / self.open_factor.0;
        let (open, sounding) = (self.open_mm, path.sounding);
        // Stiffness of the note over that of the open string, held apart from B0 so that a flexible string works too.
        let grows = b * stiff;
        let b_by_b0 = self.open_mm / path.sounding / tau.sqrt();
        move |by: Move| {
            let eps_by = held
                * (by.path + steeper * by.sin - easing * eps * by.kappa - by.open * (1.0 + eps));
            let tau_by = (kappa * eps_by + eps * by.kappa) / tau;
            let shorter = by.open / open - by.sounding / sounding;
            CENTS
                * (shorter
                    + 0.5 * (tau_by + eps_by / (1.0 + eps))
                    + grows * (shorter - 0.5 * tau_by)
                    + (stiff * b_by_b0 - stiff_open) * by.stiffness)
        }
    }
}
