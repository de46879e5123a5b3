//! The inside of a wound string: its core and its wraps.

use super::kind::{self, Kind};
use super::{Hold, materials};
use crate::fields::{ChoiceField, CountField, LengthField, Toggle, words};
use crate::markup::prelude::*;
use strungwell_physics::quantity::InBenchUnits;
use strungwell_workshop::records::{CoreShape, Make, Wrap, WrapForm};
use strungwell_workshop::report::string_make;

/// The most wraps that a record takes.
const MOST_WRAPS: usize = 6;

const SHAPES: [(CoreShape, &str, &str); 3] = [
    (CoreShape::Round, "round", "round"),
    (CoreShape::Hex, "hex", "hexagonal"),
    (CoreShape::Filaments, "filaments", "a bundle of filaments"),
];

const FORMS: [(WrapForm, &str, &str); 3] = [
    (WrapForm::Round, "round", "round wire"),
    (WrapForm::Ribbon, "ribbon", "ribbon"),
    (WrapForm::Ground, "ground", "round wire, ground smooth"),
];

fn options<T>(rows: &[(T, &str, &str)]) -> Signal<Vec<(String, String)>> {
    Signal::stored(
        rows.iter()
            .map(|(_, word, label)| ((*word).to_owned(), (*label).to_owned()))
            .collect(),
    )
}

fn word<T: PartialEq>(rows: &[(T, &str, &str)], value: Option<&T>) -> String {
    rows.iter()
        .find(|row| Some(&row.0) == value)
        .map(|row| row.1.to_owned())
        .unwrap_or_default()
}

/// The core: needed in a string known by its parts, perhaps known in the others.
#[component]
pub(super) fn InnerCore(hold: Hold) -> Node {
    let needed = hold.pick(|make| Kind::of(make) == Kind::Wound);
    let known = hold.pick(|make| kind::core(make).is_some());
    let on_known = Callback::new(move |known: bool| {
        hold.edit(|make| kind::set_core(make, known.then(kind::start_core)))
    });
    view! {
        <Show when=move || !needed.get()>
            <Toggle name=hold.name("core-known") label=words("It is wound, and its core is known") value=known on_change=on_known />
        </Show>
        <Show when=move || known.get()>
            <CoreFields hold />
        </Show>
    }
}

#[component]
fn CoreFields(hold: Hold) -> Node {
    let material = hold.pick(|make| {
        kind::core(make)
            .map(|core| core.material.clone())
            .unwrap_or_default()
    });
    let on_material = Callback::new(move |word: String| {
        hold.edit(|make| {
            if let Some(core) = kind::core_mut(make) {
                core.material = word;
            }
        });
    });
    let size = hold.pick(|make| kind::core(make).map(|core| core.diameter_mm));
    let on_size = Callback::new(move |mm: Option<f64>| {
        hold.edit(|make| {
            if let (Some(core), Some(mm)) = (kind::core_mut(make), mm) {
                core.diameter_mm = mm;
            }
        });
    });
    let shape = hold.pick(|make| word(&SHAPES, kind::core(make).map(|core| &core.shape)));
    let on_shape = Callback::new(move |word: String| {
        hold.edit(|make| {
            let shape = SHAPES.iter().find(|row| row.1 == word);
            if let (Some(core), Some(row)) = (kind::core_mut(make), shape) {
                core.shape = row.0;
            }
        });
    });
    let bundle =
        hold.pick(|make| kind::core(make).is_some_and(|core| core.shape == CoreShape::Filaments));
    let filaments = hold.pick(|make| kind::core(make).and_then(|core| core.filaments));
    let on_filaments = Callback::new(move |count: Option<u32>| {
        hold.edit(|make| {
            if let Some(core) = kind::core_mut(make) {
                core.filaments = count;
            }
        });
    });
    view! {
        <fieldset class="fields">
            <legend>"Core"</legend>
            <ChoiceField name=hold.name("core-material") label=words("Material") value=material options=materials(false)
                on_change=on_material />
            <ChoiceField name=hold.name("core-shape") label=words("Shape") value=shape options=options(&SHAPES) on_change=on_shape />
            <LengthField name=hold.name("core-diameter_mm") label=words("Diameter") value=size on_change=on_size
                of=("core", "diameter_mm") required=true />
            <Show when=move || bundle.get()>
                <CountField name=hold.name("core-filaments") label=words("Filaments") value=filaments on_change=on_filaments
                    of=("core", "filaments") hint=words("if counted") />
            </Show>
        </fieldset>
    }
}

fn wraps(make: &Make) -> &[Wrap] {
    match make {
        Make::Wound(wound) => &wound.wraps,
        _ => &[],
    }
}

/// The wraps, innermost first.
#[component]
pub(super) fn Wraps(hold: Hold) -> Node {
    let count = hold.pick(|make| wraps(make).len());
    let add = move |_| {
        hold.edit(|make| {
            if let Make::Wound(wound) = make {
                wound.wraps.push(kind::start_wrap());
            }
        });
    };
    view! {
        <For each=move || 0..count.get() key=|at| *at let:at>
            <WrapFields hold at />
        </For>
        <Show when=move || count.get() < MOST_WRAPS>
            <button type="button" class="quiet" on:click=add>"Add a wrap over it"</button>
        </Show>
    }
}

#[component]
fn WrapFields(hold: Hold, at: usize) -> Node {
    let edit = move |change: &dyn Fn(&mut Wrap)| {
        hold.edit(|make| {
            if let Make::Wound(wound) = make
                && let Some(wrap) = wound.wraps.get_mut(at)
            {
                change(wrap);
            }
        });
    };
    let name = |field: &str| hold.name(&format!("wrap-{}-{field}", at + 1));
    let length = move |field: &'static str,
                       label: &'static str,
                       get: fn(&Wrap) -> Option<f64>,
                       set: fn(&mut Wrap, Option<f64>)| {
        let value = hold.pick(move |make| wraps(make).get(at).and_then(get));
        let on_change = Callback::new(move |mm: Option<f64>| edit(&|wrap| set(wrap, mm)));
        let name = hold.name(&format!("wrap-{}-{field}", at + 1));
        // A ribbon's width may be unknown; the rest is needed.
        view! { <LengthField name label=words(label) value on_change of=("wrap", field) required=field != "width_mm" /> }
    };
    let material = hold.pick(move |make| {
        wraps(make)
            .get(at)
            .map(|wrap| wrap.material.clone())
            .unwrap_or_default()
    });
    let on_material =
        Callback::new(move |word: String| edit(&|wrap| wrap.material.clone_from(&word)));
    let form = hold.pick(move |make| wraps(make).get(at).map(|wrap| wrap.form));
    let on_form = Callback::new(move |word: String| {
        if let Some(row) = FORMS.iter().find(|row| row.1 == word) {
            // Grinding begins from the string as it is before: nothing taken off yet.
            let outside = hold
                .make
                .with_untracked(|make| string_make(make).ok().map(|made| made.diameter().bench()));
            edit(&|wrap| {
                wrap.form = row.0;
                if wrap.form == WrapForm::Ground && wrap.ground_mm.is_none() {
                    wrap.ground_mm = outside.or(Some(wrap.size_mm));
                }
            });
        }
    });
    let set_size = |wrap: &mut Wrap, mm: Option<f64>| wrap.size_mm = mm.unwrap_or(wrap.size_mm);
    let remove = move |_| {
        hold.edit(|make| {
            if let Make::Wound(wound) = make
                && wound.wraps.len() > 1
                && at < wound.wraps.len()
            {
                wound.wraps.remove(at);
            }
        });
    };
    view! {
        <fieldset class="fields">
            <legend>"Wrap " {at + 1}</legend>
            <ChoiceField name=name("material") label=words("Material") value=material options=materials(true) on_change=on_material />
            <ChoiceField name=name("form") label=words("Wire") options=options(&FORMS) on_change=on_form
                value=Signal::derive(move || word(&FORMS, form.get().as_ref())) />
            {length("size_mm", "Thickness", |wrap| Some(wrap.size_mm), set_size)}
            <Show when=move || form.get() == Some(WrapForm::Ribbon)>
                {length("width_mm", "Width", |wrap| wrap.width_mm, |wrap, mm| wrap.width_mm = mm)}
            </Show>
            <Show when=move || form.get() == Some(WrapForm::Ground)>
                {length("ground_mm", "Over it, ground", |wrap| wrap.ground_mm, |wrap, mm| wrap.ground_mm = mm.or(wrap.ground_mm))}
            </Show>
            <Show when=move || hold.make.with(|make| wraps(make).len() > 1)>
                <button type="button" class="quiet" on:click=remove>"Remove wrap " {at + 1}</button>
            </Show>
        </fieldset>
    }
}
