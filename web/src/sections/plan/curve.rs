//! The trade curve: finger force against headroom.

use crate::markup::prelude::*;
use strungwell_workshop::report::plan::{CurveFigures, CurveSpot};
use strungwell_workshop::units::Units;

/// The curve with where the instrument stands and where the plan leaves it.
pub(super) fn drawing(c: &CurveFigures, units: Units) -> Node {
    let all = || c.points.iter().chain([&c.found, &c.left]);
    let most_n = all().map(|p| p.finger_n).fold(0.1_f64, f64::max) * 1.08;
    let least_n = all().map(|p| p.finger_n).fold(most_n, f64::min) * 0.92;
    let most_room = all()
        .map(|p| p.headroom_n)
        .fold(c.pluck_n, f64::max)
        .max(0.1)
        * 1.05;
    let x = |n: f64| 70.0 + 480.0 * (n / most_room).clamp(0.0, 1.0);
    let y = |n: f64| {
        20.0 + 180.0 * (1.0 - (n - least_n) / (most_n - least_n).max(1e-9)).clamp(0.0, 1.0)
    };
    let mut d = String::new();
    for p in &c.points {
        let start = if d.is_empty() { 'M' } else { 'L' };
        d.push_str(&format!(
            "{start}{:.1} {:.1}",
            x(p.headroom_n),
            y(p.finger_n)
        ));
    }
    let spot = |p: &CurveSpot, label: &'static str, class: &'static str, down: f64| {
        view! {
            <circle class=class cx=x(p.headroom_n) cy=y(p.finger_n) r="5" />
            <text class="dim-text" x=x(p.headroom_n) + 9.0 y=y(p.finger_n) + down>{format!("{label}: {}", units.force(p.finger_n))}</text>
        }
    };
    view! {
        <figure class="loads-figure">
            <svg class="drawing trade" viewBox="0 0 640 240" role="img"
                aria-label=format!("Finger force against headroom: {} now, {} as planned", units.force(c.found.finger_n), units.force(c.left.finger_n))>
                <path class="ink-faint" d="M70 20V200H550" />
                <line class="hidden-line" x1=x(c.pluck_n) x2=x(c.pluck_n) y1="16" y2="200" />
                <text class="dim-text" x=x(c.pluck_n) y="216" text-anchor="middle">{format!("the pluck, {}", units.force(c.pluck_n))}</text>
                <text class="dim-text" x="64" y="26" text-anchor="end">{units.force(most_n)}</text>
                <text class="dim-text" x="64" y="202" text-anchor="end">{units.force(least_n)}</text>
                <text class="dim-text" x="550" y="234" text-anchor="end">{format!("hardest pluck that stays clear, to {}", units.force(most_room))}</text>
                <path class="strand-line" d=d />
                {spot(&c.found, "now", "ring", -8.0)}
                {spot(&c.left, "as planned", "dot chosen", 18.0)}
            </svg>
            <figcaption>"The least mean finger force for each pluck that must stay clear. Under the line nothing can lie: what feels lighter buzzes sooner."</figcaption>
        </figure>
    }
}
