//! A line of typed text: what all typed fields share.

use super::Scope;
use crate::markup::prelude::*;
use crate::store::Store;
use leptos::ev::{FocusEvent, KeyboardEvent};
use std::time::Duration;

/// How long a text may stay unread while it is being typed before the field speaks of it.
const PATIENCE: Duration = Duration::from_millis(600);

/// How a field's text is typed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Shape {
    /// A line of words.
    #[default]
    Words,
    /// A line of figures and units.
    Figures,
    /// A whole number.
    Digits,
    /// Several lines.
    Prose,
}

/// What stands in a field and what is wrong with it.
#[derive(Clone)]
struct Typed {
    name: StoredValue<String>,
    scope: Option<Scope>,
    text: RwSignal<String>,
    /// Why the text cannot be used; none when it can.
    wrong: RwSignal<Option<String>>,
    /// The same once it is time to say it.
    said: RwSignal<Option<String>>,
    focused: StoredValue<bool>,
    /// What counted when the hand came to the field.
    before: StoredValue<String>,
    shown: Signal<String>,
    take: Callback<String, Result<(), String>>,
}

impl Typed {
    fn new(name: &str, shown: Signal<String>, take: Callback<String, Result<(), String>>) -> Self {
        let scope = use_context::<Scope>();
        let draft = carried(name).or_else(|| {
            let scope = scope.as_ref()?;
            Store::here().draft(&scope.0, name)
        });
        let wrong = draft
            .as_ref()
            .and_then(|draft| take.run(draft.clone()).err());
        let typed = Self {
            name: StoredValue::new(name.to_owned()),
            scope,
            text: RwSignal::new(draft.unwrap_or_else(|| shown.get_untracked())),
            said: RwSignal::new(wrong.clone()),
            wrong: RwSignal::new(wrong),
            focused: StoredValue::new(false),
            before: StoredValue::new(shown.get_untracked()),
            shown,
            take,
        };
        if typed.wrong.with_untracked(Option::is_none) {
            typed.set_draft(None);
        }
        let follows = typed.clone();
        Effect::new(move |_| {
            let shown = shown.get();
            if !follows.focused.get_value() && follows.wrong.with_untracked(Option::is_none) {
                follows.text.set(shown);
            }
        });
        typed
    }

    fn set_draft(&self, text: Option<&str>) {
        if let Some(scope) = &self.scope {
            self.name
                .with_value(|name| Store::here().set_draft(&scope.0, name, text));
        }
    }

    fn typed(&self, text: String) {
        let wrong = self.take.run(text.clone()).err();
        let before = self.before.get_value();
        if wrong.is_some() && self.shown.get_untracked() != before {
            // On the way to `9999` stood a valid `999`; what counts is what counted before the hand came here.
            let _ = self.take.run(before);
        }
        self.set_draft(wrong.as_ref().map(|_| text.as_str()));
        self.text.set(text);
        self.wrong.set(wrong.clone());
        if wrong.is_none() || self.said.with_untracked(Option::is_some) {
            self.said.set(wrong);
        } else {
            let later = self.clone();
            set_timeout(
                move || {
                    later
                        .said
                        .try_set(later.wrong.try_get_untracked().flatten());
                },
                PATIENCE,
            );
        }
    }

    fn left(&self) {
        self.focused.set_value(false);
        match self.wrong.get_untracked() {
            None => self.text.set(self.shown.get_untracked()),
            wrong => self.said.set(wrong),
        }
    }

    /// Back to the value that counts.
    fn give_up(&self) {
        if self.wrong.with_untracked(Option::is_some) {
            self.set_draft(None);
            self.wrong.set(None);
            self.said.set(None);
            self.text.set(self.shown.get_untracked());
        }
    }
}

/// What was typed into a field of this name when the window was opened anew, where no record has it; the page's start keeps it.
fn carried(name: &str) -> Option<String> {
    let kept = window().session_storage().ok().flatten()?;
    let hash = window().location().hash().unwrap_or_default();
    let key = format!("strungwell-typed {name}{hash}");
    let text = kept.get_item(&key).ok().flatten()?;
    let _ = kept.remove_item(&key);
    Some(text)
}

/// A typed field: `shown` is the value that counts, as text; `take` reads a text and makes it count, or says why not.
#[component]
pub(super) fn Entry(
    name: String,
    label: Signal<String>,
    shown: Signal<String>,
    take: Callback<String, Result<(), String>>,
    #[prop(default = Signal::stored(String::new()))] unit: Signal<String>,
    #[prop(default = Signal::stored(String::new()))] hint: Signal<String>,
    #[prop(optional)] shape: Shape,
    #[prop(optional)] compact: bool,
    #[prop(default = Signal::stored(Vec::new()))] offers: Signal<Vec<String>>,
) -> Node {
    let typed = Typed::new(&name, shown, take);
    let (wrong, said) = (typed.wrong, typed.said);
    let id = format!("field-{name}");
    let message = move || {
        said.get()
            .map(|why| format!("{why}. {}", counting(&shown.get(), &unit.get())))
    };
    let described = format!("{id}-unit {id}-hint {id}-message");
    view! {
        <div class="field" class:compact=compact class:wrong=move || wrong.with(Option::is_some)>
            <label for=id.clone()>{label}</label>
            <span class="entry">
                <InputBox typed id=id.clone() name described shape offers />
                <span class="unit" id=format!("{id}-unit")>{unit}</span>
            </span>
            <p class="hint" id=format!("{id}-hint")>{hint}</p>
            <p class="message" id=format!("{id}-message") aria-live="polite">{message}</p>
        </div>
    }
}

fn counting(shown: &str, unit: &str) -> String {
    if shown.is_empty() {
        "Until then nothing is counted here.".to_owned()
    } else {
        format!("Counting with {}.", format!("{shown} {unit}").trim_end())
    }
}

/// The box that is typed into.
#[component]
fn InputBox(
    typed: Typed,
    id: String,
    name: String,
    described: String,
    shape: Shape,
    offers: Signal<Vec<String>>,
) -> Node {
    let (text, wrong, focused) = (typed.text, typed.wrong, typed.focused);
    let invalid = move || {
        if wrong.with(Option::is_some) {
            "true"
        } else {
            "false"
        }
    };
    let on_input = {
        let typed = typed.clone();
        move |event| typed.typed(event_target_value(&event))
    };
    let (before, counts) = (typed.before, typed.shown);
    let on_focus = move |_: FocusEvent| {
        focused.set_value(true);
        before.set_value(counts.get_untracked());
    };
    let on_blur = {
        let typed = typed.clone();
        move |_: FocusEvent| typed.left()
    };
    let on_key = move |event: KeyboardEvent| {
        if event.key() == "Escape" {
            typed.give_up()
        }
    };
    if shape == Shape::Prose {
        return view! {
            <textarea id=id data-field=name rows="2" aria-invalid=invalid aria-describedby=described prop:value=text
                on:input=on_input on:focus=on_focus on:blur=on_blur on:keydown=on_key></textarea>
        };
    }
    let list = format!("{id}-offers");
    let list_of = list.clone();
    let has_offers = move || offers.with(|o| !o.is_empty()).then(|| list_of.clone());
    view! {
        <input id=id data-field=name type="text" autocomplete="off" autocapitalize="off" spellcheck="false"
            class:num=shape != Shape::Words inputmode=(shape == Shape::Digits).then_some("numeric") list=has_offers
            aria-invalid=invalid aria-describedby=described prop:value=text
            on:input=on_input on:focus=on_focus on:blur=on_blur on:keydown=on_key />
        {move || offers.with(|o| !o.is_empty()).then(|| view! {
            <datalist id=list.clone()>
                {offers.get().into_iter().map(|offer| view! { <option value=offer></option> }).collect_view()}
            </datalist>
        })}
    }
}
