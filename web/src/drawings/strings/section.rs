//! A string cut through, to scale: core, wraps and outside.

use crate::markup::prelude::*;
use strungwell_workshop::records::Make;

/// What a cut shows: rings from the inside out, in mm.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Cut {
    /// Diameter of the core; none for a plain string or one that nobody described inside.
    pub core_mm: Option<f64>,
    /// Outside diameter.
    pub outside_mm: f64,
    /// Plain: one solid.
    pub plain: bool,
}

impl Cut {
    /// The cut of a recorded string with this outside diameter.
    pub(crate) fn of(make: &Make, outside_mm: f64) -> Self {
        let core_mm = match make {
            Make::Plain(_) => None,
            Make::Wound(w) => Some(w.core.diameter_mm),
            Make::Weighed(w) => w.core.as_ref().map(|c| c.diameter_mm),
            Make::Rated(r) => r.core.as_ref().map(|c| c.diameter_mm),
            Make::Density(d) => d.core.as_ref().map(|c| c.diameter_mm),
        };
        Self {
            core_mm,
            outside_mm,
            plain: matches!(make, Make::Plain(_)),
        }
    }
}

/// Drawing units a millimetre.
const SCALE: f64 = 26.0;

/// A string cut through, the same scale for every string so that two can be held side by side.
#[component]
pub(crate) fn StringSection(cut: Cut) -> Node {
    let radius = (cut.outside_mm * SCALE / 2.0).clamp(1.0, 26.0);
    let core = cut.core_mm.map(|d| (d * SCALE / 2.0).clamp(0.5, radius));
    view! {
        <svg class="drawing string-section" viewBox="0 0 56 56" aria-hidden="true">
            <circle class=if cut.plain { "solid" } else { "wrap-ring" } cx="28" cy="28" r=radius />
            {core.map(|r| view! { <circle class="solid" cx="28" cy="28" r=r /> })}
            <line class="centre-line" x1="0" x2="56" y1="28" y2="28" />
            <line class="centre-line" x1="28" x2="28" y1="0" y2="56" />
        </svg>
    }
}
