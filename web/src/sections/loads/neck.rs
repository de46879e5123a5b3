//! The neck: how one stringing bends it against another.

use super::{Bears, missing};
use crate::fields::{FieldRow, Quantity, TextField, Toggle, field_rows, words};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::cautions;
use strungwell_workshop::report::loads::record::take_predicted_relief;
use strungwell_workshop::report::loads::{LoadFigure, NeckPlace, NeckReport, wood_names};
use strungwell_workshop::units::Units;

static FIELDS: [FieldRow; 5] = [
    FieldRow {
        name: "neck_width_nut_mm",
        label: "Width at the nut",
        quantity: Quantity::Length,
        of: ("neck", "width_nut_mm"),
        get: |i| i.neck.as_ref()?.width_nut_mm,
        set: |i, v| i.neck.get_or_insert_default().width_nut_mm = v,
    },
    FieldRow {
        name: "neck_width_body_mm",
        label: "Width at the body",
        quantity: Quantity::Length,
        of: ("neck", "width_body_mm"),
        get: |i| i.neck.as_ref()?.width_body_mm,
        set: |i, v| i.neck.get_or_insert_default().width_body_mm = v,
    },
    FieldRow {
        name: "neck_depth_nut_mm",
        label: "Depth at the nut, with the board",
        quantity: Quantity::Length,
        of: ("neck", "depth_nut_mm"),
        get: |i| i.neck.as_ref()?.depth_nut_mm,
        set: |i, v| i.neck.get_or_insert_default().depth_nut_mm = v,
    },
    FieldRow {
        name: "neck_depth_body_mm",
        label: "Depth at the body, with the board",
        quantity: Quantity::Length,
        of: ("neck", "depth_body_mm"),
        get: |i| i.neck.as_ref()?.depth_body_mm,
        set: |i, v| i.neck.get_or_insert_default().depth_body_mm = v,
    },
    FieldRow {
        name: "neck_board_mm",
        label: "The board's thickness",
        quantity: Quantity::Length,
        of: ("neck", "board_mm"),
        get: |i| i.neck.as_ref()?.board_mm,
        set: |i, v| i.neck.get_or_insert_default().board_mm = v,
    },
];

pub(super) fn neck(store: Store, bears: Bears) -> Node {
    let units = store.units();
    let woods = Signal::stored(wood_names().map(str::to_owned).collect::<Vec<_>>());
    let wood = store.pick_text(|i| i.neck.as_ref().map_or("", |n| &n.wood));
    let board = store.pick_text(|i| i.neck.as_ref().map_or("", |n| &n.board_wood));
    let on_wood = Callback::new(move |text: String| {
        store.edit(|i| i.neck.get_or_insert_default().wood = text);
    });
    let on_board = Callback::new(move |text: String| {
        store.edit(|i| i.neck.get_or_insert_default().board_wood = text);
    });
    let rod = store.pick(|i| Some(i.neck.as_ref()?.rod));
    let rod = Signal::derive(move || rod.get().unwrap_or(false));
    let on_rod = Callback::new(move |on| store.edit(|i| i.neck.get_or_insert_default().rod = on));
    let drawn = move || {
        bears.of(|l| {
            let neck = l.neck.as_ref()?;
            (!neck.places.is_empty()).then(|| drawing(neck, units.get()))
        })
    };
    let predicted = move || bears.of(|l| l.neck.as_ref()?.predicted_mm);
    let take = move |_| {
        if let Some(mm) = predicted() {
            store.edit_with_undo("Took the predicted relief into Heights.", |i| {
                take_predicted_relief(i, mm)
            });
        }
    };
    view! {
        <h3>"Neck"</h3>
        {drawn}
        <div class="fields">
            <TextField name="neck_wood" label=words("Neck's wood") value=wood on_change=on_wood offers=woods />
            <TextField name="neck_board_wood" label=words("Board's wood") value=board on_change=on_board offers=woods />
            {field_rows(store, &FIELDS)}
            <Toggle name="neck_rod" label=words("It has an adjustable rod") value=rod on_change=on_rod />
        </div>
        <p class="hint" data-caution="border">{cautions::BORDER}</p>
        <dl class="figures">
            {bears.figure("relief_change", "Relief changes by", LoadFigure::ReliefChange, move |l| {
                let n = l.neck.as_ref()?;
                let band = n.change_band_mm.map(|[a, b]| format!("{} to {}", units.get().length_number(a), units.get().length_number(b)));
                Some((units.get().length(n.change_mm?), band.unwrap_or_default()))
            })}
            {bears.figure("relief_predicted", "Relief to expect", LoadFigure::ReliefChange, move |l| {
                let n = l.neck.as_ref()?;
                let band = n.predicted_band_mm.map(|[a, b]| format!("{} to {}", units.get().length_number(a), units.get().length_number(b)));
                Some((units.get().length(n.predicted_mm?), band.unwrap_or_default()))
            })}
        </dl>
        {bears.sentences(|l| l.neck.as_ref().map(|n| n.words.clone()).unwrap_or_default())}
        {move || bears.of(|l| Some(l.neck.as_ref()?.trust)).map(|trust| view! { <p class="hint trust">{trust}</p> })}
        {move || missing(bears.of(|l| l.neck.as_ref()?.missing.clone()))}
        <Show when=move || predicted().is_some()>
            <p class="buttons">
                <button type="button" class="quiet small" data-deed="take-relief" on:click=take>"Take the predicted relief into Heights"</button>
            </p>
        </Show>
    }
}

/// The drawing in words: where the board is raised most, now and before.
fn told(neck: &NeckReport, units: Units) -> String {
    let most = |of: &dyn Fn(&NeckPlace) -> Option<f64>| {
        let raised = neck.places.iter().filter_map(|p| Some((p.fret, of(p)?)));
        let (fret, mm) = raised.max_by(|a, b| a.1.total_cmp(&b.1))?;
        let place = match fret {
            0 => "the nut".to_owned(),
            fret => format!("fret {fret}"),
        };
        Some(format!("{} at {place}", units.length(mm)))
    };
    let mut said = "How the strings bend the neck".to_owned();
    if let Some(now) = most(&|p| Some(p.now_mm)) {
        said += &format!("; raised most now {now}");
    }
    if let Some(was) = most(&|p| p.before_mm) {
        said += &format!("; before, {was}");
    }
    said
}

/// The line at which the body holds the board, and the most that is drawn over it, in drawing units.
const HELD: f64 = 96.0;
const RISE: f64 = 56.0;

/// Where a raise is drawn, the greatest being `most`: up is towards the strings.
fn height(mm: f64, most: f64) -> f64 {
    HELD - RISE * mm / most
}

/// The board raised by the strings, now and before, much enlarged.
fn drawing(neck: &NeckReport, units: Units) -> Node {
    let length = neck.length_mm.unwrap_or(1.0).max(1.0);
    let all = || neck.places.iter();
    let most = all()
        .flat_map(|p| [Some(p.now_mm), p.before_mm])
        .flatten()
        .fold(0.01_f64, |most, mm| most.max(mm.abs()));
    let x = |mm: f64| 40.0 + 560.0 * (mm / length).clamp(0.0, 1.1);
    let y = |mm: f64| height(mm, most);
    let path = |of: &dyn Fn(&NeckPlace) -> Option<f64>| {
        let mut d = String::new();
        for place in all() {
            if let Some(mm) = of(place) {
                let start = if d.is_empty() { 'M' } else { 'L' };
                d.push_str(&format!("{start}{:.1} {:.1}", x(place.x_mm), y(mm)));
            }
        }
        d
    };
    let fret = |place: &NeckPlace| {
        let at = x(place.x_mm);
        let is_key = matches!(place.fret, 0 | 5 | 7 | 10 | 12 | 14);
        view! {
            <line class="ink-faint" x1=at x2=at y1="34" y2="104" />
            {is_key.then(|| view! { <text class="fret-number" x=at y="122" text-anchor="middle">{place.fret}</text> })}
        }
    };
    let has_before = all().any(|p| p.before_mm.is_some());
    let times = RISE / most / (560.0 / length);
    view! {
        <figure class="loads-figure">
            <svg class="drawing neck-bend" viewBox="0 0 640 130" role="img" aria-label=told(neck, units)>
                {all().map(fret).collect_view()}
                <path class="hidden-line" d=format!("M40 {HELD}H610") />
                <path class="before-line" d=path(&|p| p.before_mm) />
                <path class="strand-line" d=path(&|p| Some(p.now_mm)) />
                <text class="dim-text" x="40" y="20">{format!("raised by {}", units.length(all().map(|p| p.now_mm).fold(0.0, f64::max)))}</text>
            </svg>
            <figcaption>{format!("How far the strings raise the board towards themselves, drawn {times:.0} times larger than lengths; thin dashes: straight, as the body \
                holds it.{}", if has_before { " Long dashes: under the strings before." } else { "" })}</figcaption>
        </figure>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_raised_nut_is_drawn_higher_than_where_the_body_holds_the_board() {
        assert_eq!(height(0.0, 0.2), HELD);
        assert!(height(0.2, 0.2) < height(0.1, 0.2) && height(0.1, 0.2) < HELD);
        assert!(height(0.2, 0.2) > 34.0, "below its label");
    }

    #[test]
    fn the_drawing_is_told_with_its_numbers() {
        let place = |fret, now_mm, before_mm| NeckPlace {
            fret,
            x_mm: 0.0,
            now_mm,
            before_mm,
        };
        let mut neck = NeckReport {
            places: vec![
                place(0, 0.0, None),
                place(7, 0.134, None),
                place(12, 0.1, None),
            ],
            ..NeckReport::default()
        };
        let said = |neck: &NeckReport| told(neck, Units::default());
        assert_eq!(
            said(&neck),
            "How the strings bend the neck; raised most now 0.13 mm at fret 7"
        );
        neck.places[2].before_mm = Some(0.3);
        assert!(said(&neck).ends_with("; before, 0.30 mm at fret 12"));
        neck.places[0].now_mm = 0.2;
        assert!(said(&neck).contains("raised most now 0.20 mm at the nut;"));
        neck.places.clear();
        assert_eq!(said(&neck), "How the strings bend the neck");
    }
}
