//! Whole sets proposed, the best first.

use super::{against, refusal};
use crate::fields::{ChoiceField, Toggle, words};
use crate::markup::prelude::*;
use crate::sections::entry;
use crate::store::Store;
use crate::tables::table;
use strungwell_workshop::choose::From as Origin;
use strungwell_workshop::rack::{Old, fit_set};
use strungwell_workshop::sets::measure::narrows;
use strungwell_workshop::sets::{
    Answer, Choices, Metric, Profile, SetLimits, SetProposal, propose_on,
};
use strungwell_workshop::units::{Units, figure, signed};

const PROFILES: [(&str, &str); 5] = [
    ("equal", "Equal tension"),
    ("graded", "Graded: the lowest pulls most"),
    ("finger", "Equal force of the finger"),
    ("stretch", "Equal stretch: one straight saddle serves"),
    ("like", "As on another instrument"),
];

/// What is asked, as it stands in the fields.
#[derive(Clone, Copy)]
struct Asked {
    profile: RwSignal<String>,
    like: RwSignal<String>,
    grade: RwSignal<Option<f64>>,
    level: RwSignal<Option<f64>>,
    within: RwSignal<Option<f64>>,
    locked: RwSignal<Vec<usize>>,
    from_stock: RwSignal<bool>,
    on_hand: RwSignal<bool>,
    total: RwSignal<Option<f64>>,
    price: RwSignal<Option<f64>>,
}

impl Asked {
    fn choices(self, units: Units) -> Choices {
        let profile = match self.profile.get_untracked().as_str() {
            "graded" => Profile::Graded(self.grade.get_untracked().unwrap_or(1.2)),
            "finger" => Profile::FingerForce,
            "stretch" => Profile::Stretch,
            "like" => Profile::Like(self.like.get_untracked()),
            _ => Profile::Equal,
        };
        Choices {
            profile,
            level: self.level.get_untracked(),
            within: self.within.get_untracked().map_or(0.15, |w| w / 100.0),
            locked: self.locked.get_untracked(),
            from_stock: self.from_stock.get_untracked(),
            limits: SetLimits {
                total_n: self.total.get_untracked(),
                price: self.price.get_untracked(),
                on_hand: self.on_hand.get_untracked(),
                ..SetLimits::default()
            },
            units,
            ..Choices::default()
        }
    }
}

pub(super) fn propose(store: Store) -> Node {
    let asked = Asked {
        profile: RwSignal::new("equal".to_owned()),
        like: RwSignal::new(String::new()),
        grade: RwSignal::new(None),
        level: RwSignal::new(None),
        within: RwSignal::new(None),
        locked: RwSignal::new(Vec::new()),
        from_stock: RwSignal::new(true),
        on_hand: RwSignal::new(true),
        total: RwSignal::new(None),
        price: RwSignal::new(None),
    };
    let answer = RwSignal::new(None::<Result<Answer, String>>);
    let units = store.units();
    super::forget(store, answer);
    let work = move |_| {
        let choices = asked.choices(units.get_untracked());
        let shop = store.shop(None, String::new());
        let found = store.instrument().with_untracked(|i| {
            i.as_ref()
                .map(|i| propose_on(i, &shop.rack, &shop.instruments, &choices))
        });
        answer.set(found);
    };
    let options = |rows: &[(&str, &str)]| {
        rows.iter()
            .map(|(word, label)| ((*word).to_owned(), (*label).to_owned()))
            .collect::<Vec<_>>()
    };
    let others = super::none_or_other(store);
    let courses = Memo::new(move |_| {
        store.instrument().with(|i| {
            i.iter()
                .flat_map(|i| &i.courses)
                .map(|c| c.note.clone())
                .collect::<Vec<_>>()
        })
    });
    let lock = move |(at, note): (usize, String)| {
        let value = Signal::derive(move || asked.locked.with(|l| l.contains(&at)));
        let on_change = Callback::new(move |on: bool| {
            asked.locked.update(|l| {
                l.retain(|c| *c != at);
                if on {
                    l.push(at);
                }
            });
        });
        view! { <Toggle name=format!("set_lock-{}", at + 1) label=words(format!("{note} stays as it is")) value on_change /> }
    };
    let set = move |into: RwSignal<String>| Callback::new(move |word: String| into.set(word));
    let profile = Callback::new(move |word: String| {
        // A level of one kind says nothing about the other.
        if (word == "stretch") != asked.profile.with_untracked(|p| p == "stretch") {
            asked.level.set(None);
        }
        asked.profile.set(word);
    });
    let toggle = move |into: RwSignal<bool>| Callback::new(move |on: bool| into.set(on));
    let is = move |word: &'static str| move || asked.profile.with(|p| p == word);
    let take = Callback::new(move |at: usize| {
        let chosen = answer.with_untracked(|a| match a {
            Some(Ok(answer)) => answer.sets.get(at).cloned(),
            _ => None,
        });
        let (Some(chosen), Some(id)) = (chosen, store.open_id().get_untracked()) else {
            return;
        };
        let done = store.change_open("Strung with a whole set.", |shop| {
            fit_set(shop, &id, &chosen, None, Old::Away)
        });
        if let Err(why) = done {
            answer.set(Some(Err(why)));
        }
    });
    view! {
        <div class="fields">
            <ChoiceField name="set_profile" label=words("How the strings stand to one another") value=asked.profile
                options=Signal::stored(options(&PROFILES)) on_change=profile />
            <Show when=is("like")>
                <ChoiceField name="set_like" label=words("Which instrument") value=asked.like options=others on_change=set(asked.like) />
            </Show>
            <Show when=is("graded")>
                {entry::free("set_grade", "The lowest pulls so many times the highest", asked.grade)}
            </Show>
            <Show when=is("stretch")>
                {entry::free("set_level", "Level of the stretch; empty: as the family has it", asked.level)}
            </Show>
            <Show when=move || asked.profile.with(|p| p != "stretch")>
                {entry::force("set_level", "Level; empty: as the family has it", asked.level, ("rated", "tension_n"))}
            </Show>
            {entry::free("set_within", "Within, per cent; empty: 15", asked.within)}
        </div>
        <div class="fields toggles">
            <Toggle name="set_stock" label=words("Stock gauges too, to be ordered") value=asked.from_stock on_change=toggle(asked.from_stock) />
            <Toggle name="set_on_hand" label=words("No more of a string than is on hand") value=asked.on_hand on_change=toggle(asked.on_hand) />
            {move || courses.get().into_iter().enumerate().map(lock).collect_view()}
        </div>
        <details class="more">
            <summary>"Hard limits"</summary>
            <div class="fields">
                {entry::force("set_total_n", "All strings together at most", asked.total, ("rated", "tension_n"))}
                {entry::number("set_price", "The new strings cost at most", asked.price, ("rack string", "price"))}
            </div>
        </details>
        <p class="buttons"><button type="button" class="main" data-deed="propose-sets" on:click=work>"Propose whole sets"</button></p>
        <div class="set-answer" role="status">
            {move || answer.with(|a| match a {
                None => Node::Nothing,
                Some(Err(why)) => refusal(why),
                Some(Ok(answer)) => answered(answer, units.get(), take),
            })}
        </div>
    }
}

fn answered(answer: &Answer, units: Units, take: Callback<usize>) -> Node {
    let proven = if answer.proven {
        "No better set fits what was asked: every combination was weighed or shown to be worse."
    } else {
        "The search was stopped before every combination was weighed; a better set may be left."
    };
    let notes = answer
        .notes
        .iter()
        .map(|text| view! { <p class="hint">{text.clone()}</p> });
    let narrow = narrows(answer).map(|n| view! { <p class="narrows">{n.said}</p> });
    let sets = answer
        .sets
        .iter()
        .enumerate()
        .map(|(at, set)| one(at, set, answer.metric, units, take));
    view! {
        <p class="lead">{answer.aim.clone()}</p>
        {notes.collect_view()}
        <ol class="set-list">{sets.collect_view()}</ol>
        {(!answer.sets.is_empty()).then(|| view! { <p class="hint">{proven}</p> })}
        {narrow}
    }
}

fn one(at: usize, set: &SetProposal, metric: Metric, units: Units, take: Callback<usize>) -> Node {
    let say = move |value: f64| match metric {
        Metric::Stretch => figure(value, 1),
        Metric::Tension | Metric::Finger => units.force(value),
    };
    let rows = set.strings.iter().map(|s| {
        let from = match &s.from {
            Origin::Fitted => "stays",
            Origin::Rack(_) => "rack",
            _ => "to order",
        };
        vec![
            format!("{} {}", s.course + 1, s.note),
            s.figures.name.clone(),
            units.force(s.figures.tension_n),
            // A number and its unit stay in one line.
            format!("{} of {}", s.has.map_or_else(String::new, say), say(s.aim))
                .replace(' ', "\u{a0}"),
            signed(s.departs.map(|d| 100.0 * d), 0) + "\u{a0}%",
            from.to_owned(),
            against(&s.findings),
        ]
    });
    let list = |label: &'static str, texts: &[String]| {
        (!texts.is_empty()).then(|| {
            let text = format!("{label} {}", texts.join(" "));
            view! { <p class="said-line">{text}</p> }
        })
    };
    let price = match (set.price > 0.0, set.unpriced) {
        (false, _) => String::new(),
        (true, 0) => format!(" New strings cost {}.", figure(set.price, 2)),
        (true, n) => format!(
            " New strings cost {}, {n} without a price.",
            figure(set.price, 2)
        ),
    };
    view! {
        <li class="set-one" data-set=at + 1>
            <p class="what">{set.why.clone()}</p>
            {pulls(set, units)}
            {table("loads-table", "Strings of the set", &["Course", "String", "Tension", "Aim", "Off", "From", "To know"], rows.collect())}
            {list("Gains:", &set.gains)}
            {list("Gives up:", &set.gives_up)}
            <p class="hint">{format!("All strings together: {}.{price}", units.force(set.total_n))}</p>
            <p class="buttons"><button type="button" class="quiet" data-deed="take-set" on:click=move |_| take.run(at)>"String it so"</button></p>
        </li>
    }
}

/// The pulls of a set beside each other, with the aim of each.
fn pulls(set: &SetProposal, units: Units) -> Node {
    let known = set
        .strings
        .iter()
        .filter_map(|s| Some((s.note.clone(), s.has?, s.aim, s.locked)));
    let known: Vec<(String, f64, f64, bool)> = known.collect();
    let most = known
        .iter()
        .fold(1e-9_f64, |m, (_, has, aim, _)| m.max(*has).max(*aim));
    let x = move |n: f64| 60.0 + 420.0 * (n / most).clamp(0.0, 1.0);
    let row = |(at, (note, has, aim, locked)): (usize, &(String, f64, f64, bool))| {
        #[allow(clippy::cast_precision_loss)]
        let y = 16.0 + 22.0 * at as f64;
        let class = if *locked { "pull stays" } else { "pull" };
        view! {
            <text class="note-text" x="4" y=y + 4.0>{note.clone()}</text>
            <line class=class x1="60" x2=x(*has) y1=y y2=y />
            <line class="aim-mark" x1=x(*aim) x2=x(*aim) y1=y - 8.0 y2=y + 8.0 />
        }
    };
    #[allow(clippy::cast_precision_loss)]
    let height = 10.0 + 22.0 * known.len() as f64;
    let label = format!(
        "Strings of the set against their aims; {} together",
        units.force(set.total_n)
    );
    view! {
        <svg class="drawing set-pulls" viewBox=format!("0 0 520 {height:.0}") role="img" aria-label=label>
            {known.iter().enumerate().map(row).collect_view()}
        </svg>
    }
}
