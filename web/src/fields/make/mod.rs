//! What a string is, in whichever way the shop knows it.

mod inner;
mod kind;

use super::{ChoiceField, NoteField, Quantity, QuantityField, words};
use crate::markup::prelude::*;
use inner::{InnerCore, Wraps};
use kind::Kind;
use strungwell_physics::material::MATERIALS;
use strungwell_workshop::records::Make;
use strungwell_workshop::report::{describe, g_per_m, string_make};
use strungwell_workshop::units::figure;

/// A make under the hand: what it is now, and who is told of a change.
#[derive(Clone, Copy)]
struct Hold {
    make: Signal<Make>,
    on_change: Callback<Make>,
    /// What the fields' names begin with.
    prefix: StoredValue<String>,
}

impl Hold {
    fn name(self, field: &str) -> String {
        self.prefix.with_value(|prefix| format!("{prefix}-{field}"))
    }

    fn edit(self, change: impl FnOnce(&mut Make)) {
        let mut make = self.make.get_untracked();
        change(&mut make);
        self.on_change.run(make);
    }

    fn pick<T: PartialEq + Send + Sync + 'static>(
        self,
        of: impl Fn(&Make) -> T + Send + Sync + 'static,
    ) -> Signal<T> {
        Memo::new(move |_| self.make.with(&of)).into()
    }

    /// A field of a figure that the make needs.
    fn needed(
        self,
        name: &'static str,
        label: &'static str,
        quantity: Quantity,
        of: (&'static str, &'static str),
        get: fn(&Make) -> Option<f64>,
        set: fn(&mut Make, f64),
    ) -> Node {
        let on_change = Callback::new(move |value: Option<f64>| {
            if let Some(value) = value {
                self.edit(|make| set(make, value));
            }
        });
        view! {
            <QuantityField name=self.name(name) label=words(label) quantity of required=true value=self.pick(get) on_change />
        }
    }
}

/// The materials of one use, as options.
fn materials(wrap: bool) -> Signal<Vec<(String, String)>> {
    Signal::stored(
        MATERIALS
            .iter()
            .filter(|row| {
                if wrap {
                    row.is_wrap
                } else {
                    row.is_plain_string
                }
            })
            .map(|row| (row.key.to_owned(), row.label.to_owned()))
            .collect(),
    )
}

/// Fields for what a string is. `prefix` begins the fields' names where more than one such editor may stand on the page.
#[component]
pub(crate) fn MakeEditor(
    #[prop(into)] make: Signal<Make>,
    on_change: Callback<Make>,
    #[prop(into, default = "make".to_owned())] prefix: String,
) -> Node {
    let hold = Hold {
        make,
        on_change,
        prefix: StoredValue::new(prefix),
    };
    let kind = hold.pick(Kind::of);
    // Turning to another way of knowing the string and back loses nothing.
    let kept = StoredValue::new(Vec::<Make>::new());
    let on_kind = Callback::new(move |word: String| {
        let now = make.get_untracked();
        let Some(wanted) = Kind::from_word(&word).filter(|wanted| *wanted != Kind::of(&now)) else {
            return;
        };
        let before =
            kept.with_value(|kept| kept.iter().find(|make| Kind::of(make) == wanted).cloned());
        kept.update_value(|kept| {
            kept.retain(|make| Kind::of(make) != Kind::of(&now));
            kept.push(now.clone());
        });
        on_change.run(before.unwrap_or_else(|| wanted.start(&now)));
    });
    let options = Signal::stored(
        Kind::ALL
            .iter()
            .map(|kind| (kind.word().to_owned(), kind.label().to_owned()))
            .collect(),
    );
    view! {
        <div class="make-editor">
            <ChoiceField name=hold.name("kind") label=words("Known by") options on_change=on_kind
                value=Signal::derive(move || kind.get().word().to_owned()) />
            {move || of_kind(hold, kind.get())}
            <Said hold />
        </div>
    }
}

/// The make in words, or why it is no string.
#[component]
fn Said(hold: Hold) -> Node {
    let said = hold.pick(|make| match string_make(make) {
        Ok(_) => (
            true,
            format!("{}: {} g/m", describe(make), figure(g_per_m(make), 3)),
        ),
        Err(why) => (false, format!("No string can be made so: {why}.")),
    });
    view! {
        <p class="make-said" class:message=move || !said.get().0 aria-live="polite">{move || said.get().1}</p>
    }
}

fn of_kind(hold: Hold, kind: Kind) -> Node {
    match kind {
        Kind::Plain => view! { <Plain hold /> },
        Kind::Wound => view! { <InnerCore hold /> <Wraps hold /> },
        Kind::Weighed => view! { <Weighed hold /> <InnerCore hold /> },
        Kind::Rated => view! { <Rated hold /> <InnerCore hold /> },
        Kind::Listed => view! { <Listed hold /> <InnerCore hold /> },
    }
}

/// The field of the outer diameter.
fn diameter(hold: Hold) -> Node {
    hold.needed(
        "diameter_mm",
        "Diameter",
        Quantity::Length,
        ("plain", "diameter_mm"),
        kind::diameter_mm,
        |make, mm| match make {
            Make::Plain(m) => m.diameter_mm = mm,
            Make::Weighed(m) => m.diameter_mm = mm,
            Make::Rated(m) => m.diameter_mm = mm,
            Make::Density(m) => m.diameter_mm = mm,
            Make::Wound(_) => {}
        },
    )
}

#[component]
fn Plain(hold: Hold) -> Node {
    let material = hold.pick(|make| {
        if let Make::Plain(m) = make {
            m.material.clone()
        } else {
            String::new()
        }
    });
    let on_material = Callback::new(move |word: String| {
        hold.edit(|make| {
            if let Make::Plain(m) = make {
                m.material = word;
            }
        });
    });
    view! {
        <div class="fields">
            <ChoiceField name=hold.name("material") label=words("Material") value=material options=materials(false)
                on_change=on_material />
            {diameter(hold)}
        </div>
    }
}

#[component]
fn Weighed(hold: Hold) -> Node {
    let mass = hold.needed(
        "mass_g",
        "Mass of the cut length",
        Quantity::Mass,
        ("weighed", "mass_g"),
        |make| {
            if let Make::Weighed(m) = make {
                Some(m.mass_g)
            } else {
                None
            }
        },
        |make, g| {
            if let Make::Weighed(m) = make {
                m.mass_g = g;
            }
        },
    );
    let length = hold.needed(
        "length_mm",
        "Cut length",
        Quantity::Length,
        ("weighed", "length_mm"),
        |make| {
            if let Make::Weighed(m) = make {
                Some(m.length_mm)
            } else {
                None
            }
        },
        |make, mm| {
            if let Make::Weighed(m) = make {
                m.length_mm = mm;
            }
        },
    );
    let give = hold.pick(|make| {
        if let Make::Weighed(m) = make {
            m.mass_give_g
        } else {
            None
        }
    });
    let on_give = Callback::new(move |g: Option<f64>| {
        hold.edit(|make| {
            if let Make::Weighed(m) = make {
                m.mass_give_g = g;
            }
        });
    });
    view! {
        <div class="fields">
            {mass}
            {length}
            <QuantityField name=hold.name("mass_give_g") label=words("Scale's doubt, each way") quantity=Quantity::Mass
                of=("weighed", "mass_give_g") value=give on_change=on_give />
            {diameter(hold)}
        </div>
    }
}

#[component]
fn Rated(hold: Hold) -> Node {
    let tension = hold.needed(
        "tension_n",
        "Stated tension",
        Quantity::Force,
        ("rated", "tension_n"),
        |make| {
            if let Make::Rated(m) = make {
                Some(m.tension_n)
            } else {
                None
            }
        },
        |make, n| {
            if let Make::Rated(m) = make {
                m.tension_n = n;
            }
        },
    );
    let scale = hold.needed(
        "scale_mm",
        "On a scale of",
        Quantity::Length,
        ("rated", "scale_mm"),
        |make| {
            if let Make::Rated(m) = make {
                Some(m.scale_mm)
            } else {
                None
            }
        },
        |make, mm| {
            if let Make::Rated(m) = make {
                m.scale_mm = mm;
            }
        },
    );
    let note = hold.pick(|make| {
        if let Make::Rated(m) = make {
            m.note.clone()
        } else {
            String::new()
        }
    });
    let on_note = Callback::new(move |note: String| {
        hold.edit(|make| {
            if let Make::Rated(m) = make {
                m.note = note;
            }
        });
    });
    view! {
        <div class="fields">
            {tension}
            <NoteField name=hold.name("note") label=words("At the note") value=note on_change=on_note />
            {scale}
            {diameter(hold)}
        </div>
    }
}

#[component]
fn Listed(hold: Hold) -> Node {
    let mass = hold.needed(
        "g_per_m",
        "Mass per length",
        Quantity::MassPerLength,
        ("density", "g_per_m"),
        |make| {
            if let Make::Density(m) = make {
                Some(m.g_per_m)
            } else {
                None
            }
        },
        |make, g| {
            if let Make::Density(m) = make {
                m.g_per_m = g;
            }
        },
    );
    view! { <div class="fields">{mass} {diameter(hold)}</div> }
}
