//! What makes a string good or bad on a course, in sentences with their numbers.

use super::is_soft;
use crate::families;
use crate::records::{Instrument, RackString};
use crate::report::{Fitted, StringFigures, fitted, instrument_report};
use crate::units::Units;
use strungwell_physics::at_pitch::Measured;
use strungwell_physics::strength::{REFUSE_FROM, WARN_FROM};
use strungwell_physics::string::{Bearer, StringMake};

/// Whether to take a string; in order from best to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Sits well.
    Good,
    /// Can be used; something speaks against it.
    Fair,
    /// Ruled out.
    RuledOut,
}

/// One reason for a verdict.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// A fixed word for programs.
    pub code: &'static str,
    /// The most that this reason allows.
    pub verdict: Verdict,
    /// The sentence, with its numbers.
    pub text: String,
}

/// Findings as they come, worded or not.
struct Findings {
    list: Vec<Finding>,
    worded: bool,
}

impl Findings {
    fn add(&mut self, code: &'static str, verdict: Verdict, text: impl FnOnce() -> String) {
        self.list.push(Finding {
            code,
            verdict,
            text: if self.worded { text() } else { String::new() },
        });
    }
}

/// What a course can bear and what stands beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Mean tension of one string of the other courses, in N; none when there is none.
    pub neighbours_mean_n: Option<f64>,
    /// The family's usual tension of one string in N; none for a family of one's own.
    pub family_n: Option<(f64, f64)>,
    /// The family's name.
    pub family: String,
    /// Width of the nut slot in mm, where measured.
    pub slot_mm: Option<f64>,
    /// Diameter of the hole in the tuner's post in mm, where measured.
    pub hole_mm: Option<f64>,
    /// Strung in nylon or gut rather than in steel.
    pub soft: bool,
}

// The shares below are this project's own, set where neighbours begin to feel unlike in the hand; none is published.
/// Below this share of the wanted tension a string is ruled out as slack.
const SLACK: f64 = 0.70;
/// Below this share it is called loose.
const LOOSE: f64 = 0.85;
/// Above this share of the wanted tension it is called tight.
const TIGHT: f64 = 1.18;
/// Above this share it is ruled out as too tight.
const TOO_TIGHT: f64 = 1.43;
/// How much wider than its slot a string may measure, in mm, before it is ruled out.
const SLOT_GIVE_MM: f64 = 0.02;

impl Limits {
    /// What a course of an instrument, counted from 0, can bear.
    #[must_use]
    pub fn of(instrument: &Instrument, rack: &[RackString], course: usize) -> Self {
        let report = instrument_report(instrument, rack);
        let others: Vec<f64> = report
            .courses
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != course)
            .flat_map(|(_, c)| c.strings.iter().filter_map(|s| s.tension_n))
            .collect();
        #[allow(clippy::cast_precision_loss)]
        let mean = (!others.is_empty()).then(|| others.iter().sum::<f64>() / others.len() as f64);
        let beside: Vec<usize> = (0..instrument.courses.len())
            .filter(|i| *i != course)
            .collect();
        Self {
            neighbours_mean_n: mean,
            ..Self::beside(instrument, rack, course, &beside)
        }
    }

    /// The same without the neighbours' tension; these courses tell whether it is strung in nylon or in steel, or the family
    /// where there are none.
    #[must_use]
    pub(crate) fn beside(
        instrument: &Instrument,
        rack: &[RackString],
        course: usize,
        beside: &[usize],
    ) -> Self {
        let family = families::of(instrument);
        let soft: Vec<bool> = beside
            .iter()
            .filter_map(|i| instrument.courses.get(*i))
            .flat_map(|c| &c.strings)
            .filter_map(|s| fitted(s, rack).ok())
            .map(|f| is_soft(&f.make, &f.measured))
            .collect();
        let soft_count = soft.iter().filter(|s| **s).count();
        Self {
            neighbours_mean_n: None,
            family_n: family.and_then(|f| f.tension_n),
            family: family.map_or_else(String::new, |f| f.label.to_owned()),
            slot_mm: instrument.courses.get(course).and_then(|c| c.slot_mm),
            hole_mm: instrument.tuner.as_ref().and_then(|t| t.hole_mm),
            soft: if soft.is_empty() {
                family.is_none_or(starts_soft)
            } else {
                2 * soft_count >= soft.len()
            },
        }
    }

    /// The middle of the family's usual tension, with its words.
    pub(super) fn family_middle_n(&self) -> Option<(f64, String)> {
        self.family_n.map(|(low, high)| {
            (
                (low + high) / 2.0,
                format!("the middle of what is usual on a {}", self.family),
            )
        })
    }

    /// Judges a string by its figures against a wanted tension. `on_hand` is how many the rack holds, where counted.
    #[must_use]
    pub fn judge(
        &self,
        figures: &StringFigures,
        make: &StringMake,
        wanted_n: f64,
        on_hand: Option<u32>,
        units: Units,
    ) -> (Verdict, Vec<Finding>) {
        self.find(figures, make, wanted_n, on_hand, Some(units))
    }

    /// The same without the sentences, for judging thousands: each finding has its code and its verdict alone.
    #[must_use]
    pub(crate) fn weigh(
        &self,
        figures: &StringFigures,
        make: &StringMake,
        wanted_n: f64,
        on_hand: Option<u32>,
    ) -> (Verdict, Vec<Finding>) {
        self.find(figures, make, wanted_n, on_hand, None)
    }

    /// Worded in these units, or not at all.
    fn find(
        &self,
        figures: &StringFigures,
        make: &StringMake,
        wanted_n: f64,
        on_hand: Option<u32>,
        units: Option<Units>,
    ) -> (Verdict, Vec<Finding>) {
        let worded = units.is_some();
        let units = units.unwrap_or_default();
        let mut find = Findings {
            list: Vec::new(),
            worded,
        };
        let Some(tension) = figures.tension_n else {
            find.add("not-known", Verdict::RuledOut, || {
                format!("Cannot be judged: {}.", figures.breaking_note)
            });
            return (Verdict::RuledOut, find.list);
        };
        judge_breaking(figures, units, &mut find);
        self.judge_tension(tension, wanted_n, units, &mut find);
        if let (Some(slot), Some(d)) = (self.slot_mm, figures.diameter_mm)
            && d > slot + SLOT_GIVE_MM
        {
            find.add("slot", Verdict::RuledOut, || {
format!(
                    "Too thick for its slot: {} in a slot of {}. It would bind; the slot would have to be filed wider.",
                    units.length(d),
                    units.length(slot)
)
});
        }
        if let (Some(hole), Some(d)) = (self.hole_mm, figures.diameter_mm)
            && d > hole
        {
            find.add("tuner-hole", Verdict::RuledOut, || {
                format!(
                    "Too thick for the hole in the tuner's post: {} in {}.",
                    units.length(d),
                    units.length(hole)
                )
            });
        }
        if let Bearer::Whole(material) = make.bearer()
            && !material.row().is_plain_string
        {
            find.add("winding-wire", Verdict::RuledOut, || {
                format!(
                    "Wire for winding: {} is no string by itself.",
                    material.row().label
                )
            });
        }
        if !self.soft && make.bearer() == Bearer::Unknown {
            find.add("core-not-described",
                Verdict::Fair, || "What is inside it is not described, so it is taken as wound on nylon; among steel strings that is likely wrong. \
                 Describe its core on the rack."
                    .into());
        }
        let measured = Measured {
            kappa: figures.kappa,
            ..Measured::default()
        };
        if self.soft && !is_soft(make, &measured) {
            find.add("steel-on-soft", Verdict::RuledOut, || {
"A steel string among nylon ones: bridge, soundboard and neck were not built for steel, which pulls harder \
                 as a set and wears soft slots. Only with the maker's word."
                    .into()
});
        }
        if let Some((stress, [low, high])) = figures
            .far_outside_measured()
            .filter(|(stress, [low, _])| stress < low)
        {
            find.add("outside-measured", Verdict::Fair, || {
format!(
                    "Works at {stress:.0} MPa, below the {low:.0} to {high:.0} MPa at which such strings were measured: expect it \
                     sharper on the frets than a tighter string, by how much is uncertain."
)
});
        }
        if figures.kappa.is_none() {
            find.add("stretch-not-known", Verdict::Fair, || {
                format!("Its stretch is not known: {}.", figures.kappa_note)
            });
        }
        if on_hand == Some(0) {
            find.add("none-on-hand", Verdict::Fair, || "None on hand.".into());
        }
        let mut findings = find.list;
        findings.sort_by_key(|f| std::cmp::Reverse(f.verdict));
        let verdict = findings
            .iter()
            .map(|f| f.verdict)
            .max()
            .unwrap_or(Verdict::Good);
        (verdict, findings)
    }

    fn judge_tension(&self, tension: f64, wanted: f64, units: Units, find: &mut Findings) {
        let share = tension / wanted;
        let against = if find.worded {
            format!(
                "{} against {} wanted ({:.0} %)",
                units.force(tension),
                units.force(wanted),
                100.0 * share
            )
        } else {
            String::new()
        };
        if share < SLACK {
            find.add("slack", Verdict::RuledOut, || {
format!(
                    "Too slack: {against}. It would feel loose and rubbery beside the others and go sharp when pressed."
)
});
        } else if share < LOOSE {
            find.add("loose", Verdict::Fair, || {
                format!("On the loose side: {against}.")
            });
        } else if share > TOO_TIGHT {
            find.add("too-tight", Verdict::RuledOut, || {
                format!(
                    "Too tight: {against}. It would be hard to press and load the bridge unevenly."
                )
            });
        } else if share > TIGHT {
            find.add("tight", Verdict::Fair, || {
                format!("On the tight side: {against}.")
            });
        } else {
            find.add("tension", Verdict::Good, || {
                format!("Sits well: {against}.")
            });
        }
        if let Some((low, high)) = self.family_n
            && !(low..=high).contains(&tension)
        {
            let (code, word) = if tension < low {
                ("below-usual", "below")
            } else {
                ("above-usual", "above")
            };
            let verdict = if tension < SLACK * low || tension > TOO_TIGHT * high {
                Verdict::RuledOut
            } else {
                Verdict::Fair
            };
            find.add(code, verdict, || {
                format!(
                    "{} is {word} the {} to {} usual for one string of a {} (common practice).",
                    units.force(tension),
                    units.force_number(low),
                    units.force_number(high),
                    self.family
                )
            });
        }
    }
}

/// Whether the strings that a family starts with are soft.
fn starts_soft(family: &families::Family) -> bool {
    let treble = family
        .tunings
        .first()
        .and_then(|tuning| tuning.courses.last());
    treble.is_none_or(|course| {
        Fitted::of(&course.string.make()).is_ok_and(|f| is_soft(&f.make, &f.measured))
    })
}

fn judge_breaking(figures: &StringFigures, units: Units, find: &mut Findings) {
    match (figures.breaking_fraction, figures.breaking_caution(units)) {
        (Some(fraction), Some((code, text))) => {
            let verdict = if fraction >= REFUSE_FROM {
                Verdict::RuledOut
            } else {
                Verdict::Fair
            };
            find.add(code, verdict, || format!("Near breaking: {text}"));
        }
        (Some(fraction), None) => find.add("breaking-share", Verdict::Good, || {
            format!(
                "{:.0} % of its least breaking load; the warning begins at {:.0} %.",
                100.0 * fraction,
                100.0 * WARN_FROM
            )
        }),
        (None, _) => {
            if let Some((refused, text)) = figures.stress_caution() {
                let verdict = if refused {
                    Verdict::RuledOut
                } else {
                    Verdict::Fair
                };
                find.add("over-measured", verdict, || text);
            }
        }
    }
}
