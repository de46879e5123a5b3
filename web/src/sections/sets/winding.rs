//! A wound string to order, its section drawn to scale; and a string borrowed from another instrument.

use super::{against, refusal};
use crate::fields::Toggle;
use crate::fields::words;
use crate::markup::prelude::*;
use crate::sections::entry;
use crate::store::Store;
use strungwell_workshop::records::{CoreShape, RackString, WrapForm};
use strungwell_workshop::sets::winding::{Section, Wanted, Winding, windings};
use strungwell_workshop::units::{Units, figure, per_cent};

pub(super) fn winding(store: Store) -> Node {
    let course = RwSignal::new(1_u32);
    let tension = RwSignal::new(None::<f64>);
    let diameter = RwSignal::new(None::<f64>);
    let stretch = RwSignal::new(None::<f64>);
    let two = RwSignal::new(false);
    let rack_only = RwSignal::new(false);
    let answer = RwSignal::new(None::<Result<Vec<Winding>, String>>);
    let units = store.units();
    super::forget(store, answer);
    let work = move |_| {
        let Some(tension_n) = tension.get_untracked() else {
            answer.set(Some(Err("the wanted tension is needed".into())));
            return;
        };
        let wanted = Wanted {
            course: (course.get_untracked() as usize).saturating_sub(1),
            tension_n,
            diameter_mm: diameter.get_untracked(),
            kappa: stretch.get_untracked(),
            breaking_most: strungwell_workshop::report::WARN_FROM,
            wraps: if two.get_untracked() { 2 } else { 1 },
            rack_only: rack_only.get_untracked(),
            units: units.get_untracked(),
        };
        answer.set(store.instrument().with_untracked(|i| {
            Some(
                store
                    .rack()
                    .with_untracked(|rack| windings(i.as_ref()?, rack, &wanted).into()),
            )?
        }));
    };
    let keep = Callback::new(move |at: usize| {
        let chosen = answer.with_untracked(|a| match a {
            Some(Ok(all)) => all.get(at).map(|w| (w.make.clone(), w.name.clone())),
            _ => None,
        });
        if let Some((make, name)) = chosen {
            store.add_rack(RackString {
                name,
                make,
                ..RackString::default()
            });
        }
    });
    let toggle = move |into: RwSignal<bool>| Callback::new(move |on: bool| into.set(on));
    view! {
        <div class="fields">
            {entry::count("winding_course", "For course", course, ("reading", "course"))}
            {entry::force("winding_tension_n", "Wanted tension", tension, ("rated", "tension_n"))}
            {entry::length("winding_diameter_mm", "Wanted diameter; empty: any", diameter, ("plain", "diameter_mm"))}
            {entry::number("winding_kappa", "Wanted stretch; empty: any", stretch, ("rack string", "kappa"))}
            <Toggle name="winding_two" label=words("Two wraps") value=two on_change=toggle(two) />
            <Toggle name="winding_rack" label=words("Only wire that lies on the rack") value=rack_only on_change=toggle(rack_only) />
        </div>
        <p class="buttons"><button type="button" class="main" data-deed="wind" on:click=work>"Work out windings"</button></p>
        {move || answer.with(|a| match a {
            None => Node::Nothing,
            Some(Err(why)) => refusal(why),
            Some(Ok(all)) if all.is_empty() => refusal("no core and wrap come within 15 per cent of the wanted tension"),
            Some(Ok(all)) => view! {
                <ol class="set-list">{all.iter().enumerate().map(|(at, w)| one(at, w, units.get(), keep)).collect_view()}</ol>
            },
        })}
    }
}

fn one(at: usize, w: &Winding, units: Units, keep: Callback<usize>) -> Node {
    let share = w
        .figures
        .breaking_fraction
        .map_or_else(String::new, |f| format!(", {} of breaking", per_cent(f)));
    let figures = format!(
        "{}, {} g/m, {}{share}, stretch {}",
        units.force(w.figures.tension_n),
        figure(w.figures.g_per_m, 3),
        units.length(w.figures.diameter_mm),
        figure(w.figures.kappa, 1),
    );
    view! {
        <li class="set-one winding-one" data-winding=at + 1>
            {drawn(&w.section, units)}
            <div>
                <p class="what">{w.name.clone()}</p>
                <p class="said-line">{w.said.clone()}</p>
                <p class="hint">{figures}{if w.on_rack { ". All of its wire is on the rack." } else { "." }}</p>
                <p class="hint">{against(&w.findings)}</p>
                <p class="buttons"><button type="button" class="quiet small" on:click=move |_| keep.run(at)>"Put it on the rack"</button></p>
            </div>
        </li>
    }
}

/// The string cut along its middle and across, to scale.
fn drawn(s: &Section, units: Units) -> Node {
    let scale = 90.0 / s.outside_mm.max(0.05);
    let middle = 60.0;
    let r = |mm: f64| 0.5 * mm * scale;
    let core = s.core.map(|(_, shape, size, over)| match shape {
        CoreShape::Hex => {
            let at = |turn: f64| {
                let (sin, cos) = (turn * std::f64::consts::FRAC_PI_3).sin_cos();
                format!(
                    "{:.2} {:.2}",
                    middle + r(over) * cos,
                    middle + r(over) * sin
                )
            };
            let corners: Vec<String> = (0..6).map(|n| at(f64::from(n))).collect();
            view! { <path class="part" d=format!("M{}Z", corners.join("L")) /> }
        }
        _ => view! { <circle class="part" cx=middle cy=middle r=r(size) /> },
    });
    let rings = s.layers.iter().map(|l| {
        view! {
            <circle class="wrap-ring" cx=middle cy=middle r=r(l.outside_mm) />
            <circle class="wrap-ring" cx=middle cy=middle r=r(l.inside_mm) />
        }
    });
    let along = s.layers.iter().map(|l| {
        let mut d = String::new();
        let (pitch, wire) = (l.pitch_mm * scale, l.wire_mm * scale);
        let half = 0.5 * wire;
        let mut x = 150.0 + 0.5 * pitch;
        while pitch > 0.5 && x + 0.5 * pitch < 300.0 {
            for y in [middle - r(l.inside_mm) - half, middle + r(l.inside_mm) + half] {
                if l.form == WrapForm::Round {
                    d.push_str(&format!("M{:.2} {y:.2}a{half:.2} {half:.2} 0 1 0 {wire:.2} 0a{half:.2} {half:.2} 0 1 0 -{wire:.2} 0", x - half));
                } else {
                    let wide = 0.5 * pitch - 0.6;
                    d.push_str(&format!("M{:.2} {:.2}h{:.2}v{wire:.2}h-{:.2}z", x - wide, y - half, 2.0 * wide, 2.0 * wide));
                }
            }
            x += pitch;
        }
        view! { <path class="wrap-turns" d=d /> }
    });
    let lines = s.core.map(|(_, _, size, _)| {
        view! { <path class="ink-thin" d=format!("M150 {0:.2}H300M150 {1:.2}H300", middle - r(size), middle + r(size)) /> }
    });
    view! {
        <svg class="drawing winding" viewBox="0 0 310 130" role="img" aria-label=format!("Section of the string, {} outside", units.length(s.outside_mm))>
            {rings.collect_view()}{core}{lines}{along.collect_view()}
            <text class="dim-text" x=middle y="126" text-anchor="middle">{units.length(s.outside_mm)}</text>
        </svg>
    }
}
