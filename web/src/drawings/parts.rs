//! What every drawing is made of: dimension lines, extension lines, break lines.

use crate::markup::prelude::*;

/// Length of an arrowhead and half its breadth, in drawing units.
const HEAD: f64 = 9.0;
const HALF: f64 = 2.6;

/// An arrowhead at a point, pointing along a direction of length one.
fn head(x: f64, y: f64, dx: f64, dy: f64) -> String {
    let (back_x, back_y) = (x - HEAD * dx, y - HEAD * dy);
    format!(
        "M{x:.2} {y:.2}L{:.2} {:.2}L{:.2} {:.2}Z",
        back_x - HALF * dy,
        back_y + HALF * dx,
        back_x + HALF * dy,
        back_y - HALF * dx,
    )
}

/// A dimension line between two points, with an arrowhead at each end and its label over the middle. An empty label leaves
/// the middle to a field that is set there.
#[component]
pub(crate) fn DimensionLine(
    x1: f64,
    y1: f64,
    x2: f64,
    y2: f64,
    #[prop(into)] label: Signal<String>,
) -> Node {
    let length = (x2 - x1).hypot(y2 - y1);
    let (dx, dy) = if length > 0.0 {
        ((x2 - x1) / length, (y2 - y1) / length)
    } else {
        (1.0, 0.0)
    };
    view! {
        <g class="dim">
            <line class="ink-thin" x1=x1 y1=y1 x2=x2 y2=y2 />
            <path class="arrow" d=format!("{}{}", head(x1, y1, -dx, -dy), head(x2, y2, dx, dy)) />
            {move || Some(label.get()).filter(|label| !label.is_empty()).map(|label| view! {
                <text class="dim-text" x=f64::midpoint(x1, x2) y=f64::midpoint(y1, y2) - 5.0 text-anchor="middle">{label}</text>
            })}
        </g>
    }
}

/// A thin line from what is measured to its dimension line.
#[component]
pub(crate) fn ExtensionLine(x1: f64, y1: f64, x2: f64, y2: f64) -> Node {
    view! { <line class="ink-faint" x1=x1 y1=y1 x2=x2 y2=y2 /> }
}

/// What the style sheet fills surfaces with: the hatch of what is cut through. It stands once on the page.
#[component]
pub(crate) fn Hatches() -> Node {
    view! {
        <svg class="defs" aria-hidden="true" width="0" height="0">
            <defs>
                <pattern
                    id="hatch"
                    width="5"
                    height="5"
                    patternUnits="userSpaceOnUse"
                    patternTransform="rotate(45)"
                >
                    <line class="hatch-lines" x1="0" y1="0" x2="0" y2="5" />
                </pattern>
            </defs>
        </svg>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arrowhead_points_where_it_should() {
        assert_eq!(
            head(0.0, 0.0, 1.0, 0.0),
            "M0.00 0.00L-9.00 2.60L-9.00 -2.60Z"
        );
        assert_eq!(
            head(0.0, 0.0, 0.0, 1.0),
            "M0.00 0.00L-2.60 -9.00L2.60 -9.00Z"
        );
    }
}
