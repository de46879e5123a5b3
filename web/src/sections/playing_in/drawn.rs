//! The drawings of Playing in: how new strings go flat, and how far the machine is.

use crate::markup::prelude::*;
use strungwell_workshop::report::loads::{CourseSettling, PlayingInReport, SettlingReport};
use strungwell_workshop::units::figure;

/// The drawing in words: how flat each course was when it was read last, and the hours then.
fn told(report: &SettlingReport) -> String {
    let mut said = "How flat the strings have gone since they were first at pitch".to_owned();
    for course in &report.courses {
        if let Some(last) = course.points.last() {
            said += &format!(
                "; {}: {} cents after {} h",
                course.note,
                figure(last.cents, 1),
                figure(last.hours, 1)
            );
        }
    }
    said
}

/// The readings and the fitted curve of each course, hours on a scale that gives each tenfold the same room.
pub(super) fn drawing(report: &SettlingReport) -> Option<Node> {
    let points = || {
        report
            .courses
            .iter()
            .flat_map(|c| c.points.iter().chain(&c.curve))
    };
    let hours = points().map(|p| p.hours).filter(|h| *h > 0.0);
    let (low, high) = hours.fold((f64::INFINITY, 0.0_f64), |(a, b), h| (a.min(h), b.max(h)));
    let most = points().map(|p| p.cents).fold(1.0_f64, f64::max);
    if !(low > 0.0 && high > low) {
        return None;
    }
    let x =
        move |h: f64| 60.0 + 520.0 * ((h.max(low) / low).ln() / (high / low).ln()).clamp(0.0, 1.0);
    let y = move |c: f64| 30.0 + 150.0 * (c / most).clamp(-0.1, 1.1);
    let line = |course: &CourseSettling| {
        let mut d = String::new();
        for p in &course.curve {
            let start = if d.is_empty() { 'M' } else { 'L' };
            d.push_str(&format!("{start}{:.1} {:.1}", x(p.hours), y(p.cents)));
        }
        let end = course.curve.last().map(|p| {
            view! { <text class="note-text" x=x(p.hours) + 6.0 y=y(p.cents) + 4.0>{course.note.clone()}</text> }
        });
        let dots = course
            .points
            .iter()
            .map(|p| view! { <circle class="dot" cx=x(p.hours) cy=y(p.cents) r="3" /> });
        view! { <path class="strand-line" d=d />{dots.collect_view()}{end} }
    };
    let mut ticks = Vec::new();
    let mut tick = 10_f64.powf(low.log10().floor());
    while tick <= high * 1.001 {
        if tick >= low * 0.999 {
            ticks.push(tick);
        }
        tick *= 10.0;
    }
    let now = report.hours_now.filter(|h| (low..=high).contains(h)).map(|h| {
        view! { <line class="chosen-fret" x1=x(h) x2=x(h) y1="24" y2="190" /><text class="dim-text" x=x(h) + 4.0 y="22">"now"</text> }
    });
    let tick = |h: f64| {
        view! { <line class="ink-faint" x1=x(h) x2=x(h) y1="24" y2="190" /><text class="fret-number" x=x(h) y="204" text-anchor="middle">{format!("{} h", figure(h, if h < 1.0 { 2 } else { 0 }))}</text> }
    };
    Some(view! {
        <figure class="loads-figure">
            <svg class="drawing settling" viewBox="0 0 640 212" role="img" aria-label=told(report)>
                {ticks.into_iter().map(tick).collect_view()}
                <line class="hidden-line" x1="60" x2="590" y1="30" y2="30" />
                <text class="dim-text" x="54" y="34" text-anchor="end">"0"</text>
                <text class="dim-text" x="54" y="184" text-anchor="end">{format!("−{}", figure(most, 0))}</text>
                {report.courses.iter().map(line).collect_view()}
                {now}
            </svg>
            <figcaption>"All that each course has gone flat since it was first at pitch, in cents, retunings counted in; each tenfold of the time has the same room. Dots: what was noted; lines: the fit."</figcaption>
        </figure>
    })
}

fn to_go(strokes: f64) -> String {
    format!("{} strokes to go", figure(strokes, 0))
}

/// The bar in words.
fn told_progress(report: &PlayingInReport) -> String {
    let target = figure(report.target_strokes, 0);
    let Some(strokes) = report.strokes else {
        return format!("How much of {target} strokes is played in is not known");
    };
    let share = figure(100.0 * report.share.unwrap_or(0.0), 0);
    let mut said = format!(
        "{share} per cent played in: {} of {target} strokes",
        figure(strokes, 0)
    );
    if let Some(rest) = report.remaining_strokes {
        said += &format!("; {}", to_go(rest));
    }
    said
}

/// How far it is.
pub(super) fn progress(report: &PlayingInReport) -> Node {
    let share = report.share.unwrap_or(0.0).clamp(0.0, 1.0);
    let said = report.remaining_strokes.map(to_go);
    view! {
        <svg class="drawing strokes" viewBox="0 0 640 46" role="img" aria-label=told_progress(report)>
            <rect class="frame" x="1" y="6" width="600" height="16" />
            <rect class="done" x="1" y="6" width=600.0 * share height="16" />
            <text class="dim-text" x="1" y="40">{said.unwrap_or_default()}</text>
            <text class="dim-text" x="601" y="40" text-anchor="end">{figure(report.target_strokes, 0)}</text>
        </svg>
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use strungwell_workshop::report::loads::SettlingPoint;

    #[test]
    fn the_drawings_are_told_with_their_numbers() {
        let point = |hours, cents| SettlingPoint {
            hours,
            cents,
            band_cents: [cents; 2],
        };
        let course = |note: &str, points: Vec<SettlingPoint>| CourseSettling {
            note: note.into(),
            points,
            ..CourseSettling::default()
        };
        let settling = SettlingReport {
            courses: vec![
                course("G4", vec![point(1.0, 20.0), point(24.0, 61.26)]),
                course("C4", Vec::new()),
            ],
            ..SettlingReport::default()
        };
        assert_eq!(
            told(&settling),
            "How flat the strings have gone since they were first at pitch; G4: 61.3 cents after 24.0 h"
        );
        let mut playing = PlayingInReport {
            target_strokes: 500_000.0,
            ..PlayingInReport::default()
        };
        assert!(told_progress(&playing).contains("not known"));
        playing.strokes = Some(125_000.0);
        playing.share = Some(0.25);
        playing.remaining_strokes = Some(375_000.0);
        assert_eq!(
            told_progress(&playing),
            "25 per cent played in: 125000 of 500000 strokes; 375000 strokes to go"
        );
    }
}
