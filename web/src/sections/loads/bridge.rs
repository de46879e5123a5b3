//! The bridge: what the strings pull and press, beside what they did before.

use super::{Bears, missing};
use crate::fields::{ChoiceField, FieldRow, Quantity, field_rows, words};
use crate::markup::prelude::*;
use crate::sections::hand_over::today;
use crate::store::Store;
use strungwell_workshop::cautions;
use strungwell_workshop::records::BridgeKind;
use strungwell_workshop::report::loads::record::keep_as_former;
use strungwell_workshop::report::loads::{BridgeReport, LoadFigure};
use strungwell_workshop::units::{Units, figure, signed};

static FIELDS: [FieldRow; 5] = [
    FieldRow {
        name: "bridge_saddle_height_mm",
        label: "Strings over the soundboard at the saddle",
        quantity: Quantity::Length,
        of: ("bridge", "saddle_height_mm"),
        get: |i| i.bridge.as_ref()?.saddle_height_mm,
        set: |i, v| i.bridge.get_or_insert_default().saddle_height_mm = v,
    },
    FieldRow {
        name: "bridge_break_angle_deg",
        label: "Break angle behind the saddle, °",
        quantity: Quantity::Number,
        of: ("bridge", "break_angle_deg"),
        get: |i| i.bridge.as_ref()?.break_angle_deg,
        set: |i, v| i.bridge.get_or_insert_default().break_angle_deg = v,
    },
    FieldRow {
        name: "bridge_front_angle_deg",
        label: "Fall in front of it, °",
        quantity: Quantity::Number,
        of: ("bridge", "front_angle_deg"),
        get: |i| i.bridge.as_ref()?.front_angle_deg,
        set: |i, v| i.bridge.get_or_insert_default().front_angle_deg = v,
    },
    FieldRow {
        name: "bridge_foot_length_mm",
        label: "Foot across the strings",
        quantity: Quantity::Length,
        of: ("bridge", "foot_length_mm"),
        get: |i| i.bridge.as_ref()?.foot_length_mm,
        set: |i, v| i.bridge.get_or_insert_default().foot_length_mm = v,
    },
    FieldRow {
        name: "bridge_foot_width_mm",
        label: "Foot along the strings",
        quantity: Quantity::Length,
        of: ("bridge", "foot_width_mm"),
        get: |i| i.bridge.as_ref()?.foot_width_mm,
        set: |i, v| i.bridge.get_or_insert_default().foot_width_mm = v,
    },
];

pub(super) fn bridge(store: Store, bears: Bears) -> Node {
    let kind = store.pick(|i| {
        Some(match i.bridge.as_ref()?.kind {
            BridgeKind::Glued => "glued",
            BridgeKind::Floating => "floating",
        })
    });
    let kind = Signal::derive(move || kind.get().unwrap_or_default().to_owned());
    let kinds = [
        ("glued", "Glued to the soundboard"),
        ("floating", "Loose, with a tailpiece"),
    ];
    let kinds = kinds
        .map(|(word, label)| (word.to_owned(), label.to_owned()))
        .to_vec();
    let on_kind = Callback::new(move |word: String| {
        store.edit(|i| {
            i.bridge.get_or_insert_default().kind = if word == "floating" {
                BridgeKind::Floating
            } else {
                BridgeKind::Glued
            };
        });
    });
    let keep = move |_| {
        let day = today();
        store.edit_with_undo("Kept the present strings as those before.", |i| {
            keep_as_former(i, &day)
        });
    };
    let units = store.units();
    let drawn = move || bears.of(|l| l.bridge.as_ref().map(|b| drawing(b, units.get())));
    let force = move |n: Option<f64>| units.get().force(n);
    let caution = move || {
        bears.of(|l| l.bridge.as_ref()?.caution.clone()).map(|text| {
            view! { <p class="message" data-note="bridge-caution"><span class="mark" aria-hidden="true">"!"</span>{text}</p> }
        })
    };
    view! {
        <h3>"Bridge"</h3>
        {drawn}
        <div class="fields">
            <ChoiceField name="bridge_kind" label=words("How it is held") value=kind options=Signal::stored(kinds) on_change=on_kind />
            {field_rows(store, &FIELDS)}
        </div>
        <dl class="figures">
            {bears.figure("bridge_tension", "All strings", LoadFigure::Tension, move |l| {
                let b = l.bridge.as_ref()?;
                Some((force(Some(b.now.tension_n)), range(b.now.tension_band_n, units.get())))
            })}
            {bears.figure("bridge_more", "More than before", LoadFigure::Rise, move |l| {
                let b = l.bridge.as_ref()?;
                let more = b.more_n?;
                Some((format!("{} ({} %)", signed_force(more, units.get()), signed(b.rise.map(|r| 100.0 * r), 0)), b.more_band_n.map(|r| range(r, units.get())).unwrap_or_default()))
            })}
            {bears.figure("bridge_moment", "Turning moment", LoadFigure::Moment, move |l| {
                let b = l.bridge.as_ref()?;
                let moment = |nm: f64| units.get().moment(nm);
                let was = b.before.as_ref().and_then(|x| x.moment_nm);
                Some((moment(b.now.moment_nm?), was.map(|nm| format!("before {}", moment(nm))).unwrap_or_default()))
            })}
            {bears.figure("bridge_down", "Down-force", LoadFigure::DownForce, move |l| {
                let b = l.bridge.as_ref()?;
                let was = b.before.as_ref().and_then(|x| x.down_force_n);
                Some((force(Some(b.now.down_force_n?)), was.map(|n| format!("before {}", units.get().force(n))).unwrap_or_default()))
            })}
            {bears.figure("bridge_foot", "Mean stress under the foot", LoadFigure::FootStress, |l| {
                let b = l.bridge.as_ref()?;
                let stress = b.now.shear_mpa.or(b.now.pressure_mpa)?;
                Some((format!("{} MPa", figure(stress, 3)), before(b, |x| x.shear_mpa.or(x.pressure_mpa), 3)))
            })}
        </dl>
        {caution}
        <p class="hint" data-caution="bridge">{cautions::BRIDGE}</p>
        {bears.sentences(|l| l.bridge.as_ref().map(|b| b.words.clone()).unwrap_or_default())}
        {move || missing(bears.of(|l| l.bridge.as_ref().filter(|b| !b.missing.is_empty()).map(|b| format!("not known yet: {}", b.missing.join("; ")))))}
        <p class="buttons">
            <button type="button" class="quiet small" data-deed="keep-former" on:click=keep>"Keep these strings as those before, to compare"</button>
        </p>
    }
}

fn range([low, high]: [f64; 2], units: Units) -> String {
    format!("{}–{}", units.force_number(low), units.force_number(high))
}

fn signed_force(n: f64, units: Units) -> String {
    let sign = if n < 0.0 { "−" } else { "+" };
    format!("{sign}{}", units.force(n.abs()))
}

fn before(
    b: &BridgeReport,
    of: fn(&strungwell_workshop::report::loads::BridgeLoad) -> Option<f64>,
    decimals: usize,
) -> String {
    b.before
        .as_ref()
        .and_then(of)
        .map(|value| format!("before {}", figure(value, decimals)))
        .unwrap_or_default()
}

/// The drawing in words: the pull of all and of each course, now and before, and what presses the bridge down.
fn told(b: &BridgeReport, units: Units) -> String {
    let mut said = format!(
        "The strings pull with {} at the bridge",
        units.force(b.now.tension_n)
    );
    for (at, course) in b.now.courses.iter().enumerate() {
        said += &format!("; {}: {}", course.note, units.force(course.tension_n));
        if let Some(was) = b.before.as_ref().and_then(|was| was.courses.get(at)) {
            said += &format!(", before {}", units.force(was.tension_n));
        }
    }
    if let Some(down) = b.now.down_force_n {
        said += &format!("; down-force {}", units.force(down));
    }
    said
}

/// The courses' pulls, now and before, and the bridge from the side with what acts on it.
fn drawing(b: &BridgeReport, units: Units) -> Node {
    let was = |at: usize| Some(b.before.as_ref()?.courses.get(at)?.tension_n);
    let all = b.now.courses.iter().enumerate();
    let most = all
        .clone()
        .flat_map(|(at, c)| [Some(c.tension_n), was(at)])
        .flatten()
        .fold(1.0_f64, f64::max);
    let x = |n: f64| 60.0 + 190.0 * (n / most).clamp(0.0, 1.0);
    let row = |(at, course): (usize, &strungwell_workshop::report::loads::CourseLoad)| {
        #[allow(clippy::cast_precision_loss)]
        let y = 50.0 + 26.0 * at as f64;
        let old = was(at).map(|n| view! { <circle class="ring" cx=x(n) cy=y r="4.5" /> });
        view! {
            <text class="note-text" x="4" y=y + 4.0>{course.note.clone()}</text>
            <line class="pull" x1="60" x2=x(course.tension_n) y1=y y2=y />
            {old}
            <text class="dim-text" x="262" y=y + 4.0>{units.force(course.tension_n)}</text>
        }
    };
    let [front, behind] = b.angles_deg.unwrap_or([0.0, 0.0]);
    let fall = |degrees: f64, run: f64| 74.0 + run * degrees.clamp(0.0, 60.0).to_radians().tan();
    let is_loose = b.kind == Some("floating");
    let down = b.now.down_force_n.map(|n| {
        view! {
            <path class="load-arrow" d="M500 40V66M496 59l4 8l4 -8" />
            <text class="dim-text" x="508" y="52">{units.force(n)}</text>
        }
    });
    let pull = view! {
        <path class="load-arrow" d=format!("M400 {0:.1}h-34m8 -4l-8 4l8 4", fall(front, 100.0))/>
        <text class="dim-text" x="352" y=format!("{:.1}", fall(front, 100.0) - 10.0)>{units.force(b.now.tension_n)}</text>
    };
    #[allow(clippy::cast_precision_loss)]
    let height = (70.0 + 26.0 * b.now.courses.len() as f64).max(190.0);
    let tail = if is_loose {
        format!("M500 74L620 {:.1}", fall(behind, 120.0).min(148.0))
    } else {
        format!("M500 74L{:.1} {:.1}", 536.0, fall(behind, 36.0).min(134.0))
    };
    let said = if b.before.is_some() {
        "Bars: the courses' pull now; rings: before. Right: the bridge from the side, angles as measured, sizes not to scale."
    } else {
        "Bars: the courses' pull. Right: the bridge from the side, angles as measured, sizes not to scale."
    };
    view! {
        <figure class="loads-figure">
            <svg class="drawing bridge-loads" viewBox=format!("0 0 640 {height:.0}") role="img"
                aria-label=told(b, units)>
                <text class="strand-title" x="60" y="24">"Pull of each course"</text>
                {all.map(row).collect_view()}
                <path class="board-line" d="M340 150H632" />
                <path class="part" d="M470 150L482 112H518L548 150Z" />
                <path class="part saddle" d="M497 112V74H503V112Z" />
                <path class="string-line" d=format!("M400 {:.1}L500 74", fall(front, 100.0)) />
                <path class="string-line" d=tail />
                {pull}{down}
                <text class="dim-text" x="352" y="168">{if is_loose { "head or soundboard" } else { "soundboard" }}</text>
            </svg>
            <figcaption>{said}</figcaption>
        </figure>
    }
}
