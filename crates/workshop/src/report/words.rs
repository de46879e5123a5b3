//! A string said in words and numbers.

use crate::problem::clean;
use crate::records::{Core, CoreShape, Make, Wrap, WrapForm};
use strungwell_physics::material::Material;

/// A string in words and numbers, such as `wound, nylon core 0.45, silver ribbon 0.08` or `plain nylon, 1.02 mm`.
#[must_use]
pub fn describe(make: &Make) -> String {
    match make {
        Make::Plain(plain) => format!(
            "plain {}, {} mm",
            label(&plain.material),
            size(plain.diameter_mm)
        ),
        Make::Wound(wound) => {
            let wraps: Vec<String> = wound.wraps.iter().map(wrap).collect();
            format!("wound, {}, {}", core(&wound.core), wraps.join(", "))
        }
        Make::Weighed(w) => match w.of.as_deref() {
            Some(of @ (Make::Plain(_) | Make::Wound(_))) => format!("{}, weighed", describe(of)),
            _ => massed("weighed", w.diameter_mm, w.core.as_ref()),
        },
        Make::Rated(r) => massed(
            &format!(
                "rated {} N at {} on {} mm",
                size(r.tension_n),
                clip(&r.note),
                size(r.scale_mm)
            ),
            r.diameter_mm,
            r.core.as_ref(),
        ),
        Make::Density(d) => massed(
            &format!("{} g/m", size(d.g_per_m)),
            d.diameter_mm,
            d.core.as_ref(),
        ),
    }
}

fn massed(how: &str, diameter_mm: f64, inner: Option<&Core>) -> String {
    let inner = inner.map(|c| format!(", {}", core(c))).unwrap_or_default();
    format!("{how}, {} mm{inner}", size(diameter_mm))
}

fn core(core: &Core) -> String {
    let shape = match core.shape {
        CoreShape::Round => "core",
        CoreShape::Hex => "hex core",
        CoreShape::Filaments => "filament core",
    };
    format!(
        "{} {shape} {}",
        label(&core.material),
        size(core.diameter_mm)
    )
}

fn wrap(wrap: &Wrap) -> String {
    let metal = label(&wrap.material);
    match wrap.form {
        WrapForm::Round => format!("{metal} {}", size(wrap.size_mm)),
        WrapForm::Ribbon => format!("{metal} ribbon {}", size(wrap.size_mm)),
        WrapForm::Ground => {
            format!(
                "{metal} {} ground to {}",
                size(wrap.size_mm),
                size(wrap.ground_mm.unwrap_or(f64::NAN))
            )
        }
    }
}

/// The material's label, or the word itself, shortened, when it is not known.
fn label(word: &str) -> String {
    Material::from_key(word).map_or_else(|| clip(word), |m| m.row().label.to_owned())
}

fn clip(word: &str) -> String {
    clean(word, 24)
}

/// A number with up to three decimals and no trailing zeros beyond two; a dash when it is none.
fn size(value: f64) -> String {
    if !value.is_finite() {
        return "–".into();
    }
    let text = format!("{value:.3}");
    match text.strip_suffix('0') {
        Some(shorter) if shorter.ends_with(".00") => shorter.trim_end_matches(".00").to_owned(),
        Some(shorter) => shorter.to_owned(),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::{Density, Plain, Wound};

    #[test]
    fn strings_are_said_in_words_and_numbers() {
        let plain = Make::Plain(Plain {
            material: "nylon".into(),
            diameter_mm: 1.02,
            ..Plain::default()
        });
        assert_eq!(describe(&plain), "plain nylon, 1.02 mm");
        let wound = Make::Wound(Wound {
            core: Core {
                material: "nylon".into(),
                diameter_mm: 0.45,
                shape: CoreShape::Filaments,
                ..Core::default()
            },
            wraps: vec![Wrap {
                material: "silver".into(),
                form: WrapForm::Ribbon,
                size_mm: 0.155,
                ..Wrap::default()
            }],
            ..Wound::default()
        });
        assert_eq!(
            describe(&wound),
            "wound, nylon filament core 0.45, silver ribbon 0.155"
        );
        let listed = Make::Density(Density {
            g_per_m: 2.1,
            diameter_mm: 0.76,
            ..Density::default()
        });
        assert_eq!(describe(&listed), "2.10 g/m, 0.76 mm");
    }

    #[test]
    fn a_hostile_word_is_cut_and_a_missing_number_is_a_dash() {
        let plain = Make::Plain(Plain {
            material: "x\u{7}".repeat(500),
            diameter_mm: f64::NAN,
            ..Plain::default()
        });
        assert_eq!(describe(&plain), format!("plain {}…, – mm", "x".repeat(24)));
    }
}
