//! The Plan section: from as found to as left, step by step.

mod aim;
mod camber;
mod curve;
mod limits;
mod steps;

use crate::later::later;
use crate::markup::ElementRef;
use crate::markup::prelude::*;
use crate::near::near;
use crate::sections::visits::changes;
use crate::store::Store;
use std::time::Duration;
use strungwell_workshop::records::{Instrument, Plan};
use strungwell_workshop::report::plan::{
    CurveFigures, PlanView, Standing, plan_curve, plan_of, setup_as_left,
};
use strungwell_workshop::units::{Units, figure, signed};

/// How long the hand rests before the plan is worked out, and before its curve is.
const PLAN_REST: Duration = Duration::from_millis(60);
const CURVE_REST: Duration = Duration::from_millis(350);

/// The plan's record, to be changed.
pub(super) fn plan(i: &mut Instrument) -> &mut Plan {
    i.plan.get_or_insert_default()
}

/// The Plan section of the open instrument's sheet.
#[component]
pub(crate) fn PlanSection() -> Node {
    let store = Store::here();
    let place = ElementRef::new();
    let near = near(place);
    let units = store.units();
    let question = move || {
        if !near.get() {
            return None;
        }
        let instrument = store.instrument().get()?;
        Some((instrument, store.rack().get(), units.get()))
    };
    let plan = later(PLAN_REST, question, |(instrument, rack, units)| {
        plan_of(&instrument, &rack, units)
    });
    let asked = move || {
        let plan = plan.get()?;
        let instrument = store.instrument().get_untracked()?;
        Some((instrument, store.rack().get_untracked(), plan))
    };
    let curve = later(CURVE_REST, asked, |(instrument, rack, plan)| {
        plan_curve(&instrument, &rack, &plan)
    });
    let notes = move || {
        store.instrument().with(|i| {
            i.iter()
                .flat_map(|i| &i.courses)
                .map(|c| c.note.clone())
                .collect::<Vec<_>>()
        })
    };
    let drawn = move || {
        let setup = store
            .instrument()
            .with(|i| i.as_ref().map(|i| i.setup.clone()))?;
        plan.with(|p| {
            let p = p.as_ref().filter(|p| !p.courses.is_empty())?;
            Some(changes(
                &setup,
                &setup_as_left(p),
                &notes(),
                units.get(),
                "now",
                "as planned",
            ))
        })
    };
    view! {
        <section id="plan" node_ref=place class="sheet-section" aria-labelledby="plan-title">
            <h2 id="plan-title">"Plan"</h2>
            <p class="hint">"The least finger force that keeps every note clear of the player's pluck and in tune within the limit, as wood and wire allow; and the way there."</p>
            {drawn}
            {move || plan.with(|p| p.as_ref().map(|p| standings(p, units.get())))}
            {move || curve.with(|c| c.as_ref().and_then(Option::as_ref).map(|c: &CurveFigures| curve::drawing(c, units.get())))}
            {aim::aim(store)}
            {move || plan.with(|p| p.as_ref().map(said))}
            {steps::steps(store, plan)}
            {move || plan.with(|p| p.as_ref().map(|p| camber::camber(p, units.get())))}
            {camber::radius(store)}
            {limits::limits(store)}
        </section>
    }
}

/// As it stands and as planned, in figures.
fn standings(p: &PlanView, units: Units) -> Node {
    if p.courses.is_empty() {
        return Node::Nothing;
    }
    let cents = |s: &Standing| match (s.cents, s.cents_at) {
        (Some(cents), Some([course, fret])) => {
            format!("{} cents, course {course} fret {fret}", signed(cents, 1))
        }
        (cents, _) => signed(cents, 1),
    };
    let room = |s: &Standing| match s.worst {
        Some([course, 0, at]) => {
            format!(
                "{}, course {course} open over fret {at}",
                units.force(s.headroom_n)
            )
        }
        Some([course, fret, at]) => {
            format!(
                "{}, course {course} fret {fret} over fret {at}",
                units.force(s.headroom_n)
            )
        }
        None => units.force(s.headroom_n),
    };
    let row = |name: &'static str, label: &'static str, found: String, left: String| {
        view! {
            <tr><th scope="row">{label}</th>
                <td class="num" data-figure=format!("found_{name}")>{found}</td>
                <td class="num" data-figure=format!("left_{name}")>{left}</td></tr>
        }
    };
    view! {
        <div class="table-scroll" tabindex="0" role="group" aria-label="As it stands and as planned">
            <table class="loads-table plan-table">
                <thead><tr><td></td><th scope="col">"Now"</th><th scope="col">"As planned"</th></tr></thead>
                <tbody>
                    {row("finger", "Finger's mean force", units.force(p.found.finger_n), units.force(p.left.finger_n))}
                    {row("headroom", "Hardest pluck that stays clear", room(&p.found), room(&p.left))}
                    {row("cents", "Furthest off the note", cents(&p.found), cents(&p.left))}
                    {row("blocked", "Notes that cannot sound", figure(f64::from(p.found.blocked), 0), figure(f64::from(p.left.blocked), 0))}
                    {row("relief", "Relief", units.length(p.relief_found_mm), units.length(p.relief_left_mm))}
                </tbody>
            </table>
        </div>
    }
}

/// What stands in the way, what to loosen, and what is a job for someone else.
fn said(p: &PlanView) -> Node {
    let bad = |code: &'static str, text: String| {
        view! { <li data-code=code><span class="mark" aria-hidden="true">"!"</span>{text}</li> }
    };
    let mut lines: Vec<Node> = Vec::new();
    lines.extend(p.missing.iter().map(|s| bad(s.code, s.text.clone())));
    lines.extend(p.loosen.iter().map(|s| bad(s.code, s.text.clone())));
    lines.extend(p.notes.iter().map(|note| {
        let who = if note.someone_else {
            " A job for someone who does such work, unless this shop does."
        } else {
            ""
        };
        bad(note.code, format!("{}{who}", note.text))
    }));
    let is_done = lines.is_empty() && p.steps.is_empty();
    view! {
        {(!lines.is_empty()).then(|| view! { <ul class="warnings">{Node::Many(lines)}</ul> })}
        {is_done.then_some("Nothing is left to do: every note is clear and in tune within the limit.")}
    }
}
