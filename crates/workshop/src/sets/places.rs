//! What can go on each place, and what it costs there.

use super::aim::{Aim, FINGER_FRET, Metric};
use super::search::{Choice, Place, Puzzle};
use super::{Choices, MOST_SETS};
use crate::choose::{Limits, Verdict, gauges};
use crate::records::{Instrument, RackString};
use crate::report::{Fitted, OpenString, finger_probe, string_figures};
use crate::units::Units;
use strungwell_physics::at_pitch::AtPitch;

// The weights are this project's own; `docs/sets.md` says what they mean. A cost is the square of a departure: 0.01 is as
// bad as lying ten per cent from the aim.
/// For each thing that speaks against a string.
pub(super) const FAULT: f64 = 0.01;
/// For a string that has to be ordered: as bad as five per cent from the aim.
pub(super) const TO_ORDER: f64 = 0.0025;
/// How much an uneven tension counts beside a profile of something else.
const TENSION_BESIDE: f64 = 0.1;

/// Everything that a search and its words need.
pub(super) struct Board<'a> {
    pub(super) instrument: &'a Instrument,
    pub(super) rack: &'a [RackString],
    pub(super) choices: &'a Choices,
    pub(super) aim: &'a Aim,
    /// The rack's strings that are physical, by their number on the rack.
    pub(super) fits: Vec<(usize, Fitted)>,
    /// The places, in the order of the courses.
    pub(super) spots: Vec<Spot>,
    pub(super) puzzle: Puzzle,
    /// How many strings stay.
    pub(super) locked_n: Option<f64>,
    pub(super) notes: Vec<String>,
}

/// A place on the instrument.
pub(super) struct Spot {
    pub(super) course: usize,
    /// The strings of the course that are alike, counted from 0.
    pub(super) strings: Vec<usize>,
    pub(super) open: OpenString,
    pub(super) limits: Limits,
    pub(super) aim: f64,
    pub(super) tension: f64,
    /// Where each choice comes from.
    pub(super) sources: Vec<Source>,
}

/// Where a choice comes from.
pub(super) enum Source {
    /// Number in [`Board::fits`].
    Rack(usize),
    Stock(Box<Fitted>),
}

impl<'a> Board<'a> {
    pub(super) fn of(
        instrument: &'a Instrument,
        rack: &'a [RackString],
        choices: &'a Choices,
        aim: &'a Aim,
    ) -> Result<Self, String> {
        let fits = rack
            .iter()
            .enumerate()
            // A rack string that is not physical is named where the rack is shown; here it is no candidate.
            .filter_map(|(i, s)| Some((i, Fitted::from_rack(s).ok()?)))
            .collect();
        let mut board = Self {
            puzzle: Puzzle {
                places: Vec::new(),
                on_hand: rack.iter().map(|s| s.on_hand.unwrap_or(u32::MAX)).collect(),
                load_most: f64::INFINITY,
                price_most: choices.limits.price.unwrap_or(f64::INFINITY),
                sets: choices.sets.clamp(1, MOST_SETS),
                differ: choices.differ,
            },
            instrument,
            rack,
            choices,
            aim,
            fits,
            spots: Vec::new(),
            locked_n: board_locked_n(instrument, rack, choices),
            notes: Vec::new(),
        };
        if let Some(most) = choices.limits.total_n {
            let locked = board
                .locked_n
                .ok_or("the tension of a string that stays is not known, so their sum cannot be held to a limit")?;
            board.puzzle.load_most = most - locked;
        }
        board.fill()?;
        board.puzzle.differ = board.puzzle.differ.clamp(1, board.spots.len().max(1));
        Ok(board)
    }

    fn fill(&mut self) -> Result<(), String> {
        let every: Vec<usize> = (0..self.instrument.courses.len()).collect();
        let beside = if self.choices.locked.is_empty() {
            &every
        } else {
            &self.choices.locked
        };
        let shared = Limits::beside(self.instrument, self.rack, 0, beside);
        for (index, course) in self.instrument.courses.iter().enumerate() {
            if self.choices.locked.contains(&index) {
                continue;
            }
            let open = OpenString::of(self.instrument, index, &course.note)
                .map_err(|why| format!("course {}: {why}", index + 1))?;
            let mut groups: Vec<(i32, Vec<usize>)> = Vec::new();
            for (string, on) in course.strings.iter().enumerate() {
                match groups.iter_mut().find(|(up, _)| *up == on.semitones) {
                    Some((_, strings)) => strings.push(string),
                    None => groups.push((on.semitones, vec![string])),
                }
            }
            for (up, strings) in groups {
                let first = strings.first().copied().unwrap_or(0);
                let mut spot = Spot {
                    course: index,
                    open: open.raised(up),
                    limits: Limits {
                        slot_mm: course.slot_mm,
                        ..shared.clone()
                    },
                    aim: self.aim.targets[index][first],
                    tension: self.aim.tensions[index][first],
                    strings,
                    sources: Vec::new(),
                };
                let place = self.place(&mut spot);
                self.puzzle.places.push(place);
                self.spots.push(spot);
            }
        }
        Ok(())
    }

    /// All that can go on a place; tells the notes when nothing can.
    fn place(&mut self, spot: &mut Spot) -> Place {
        let needs = u32::try_from(spot.strings.len()).unwrap_or(u32::MAX);
        let mut tally = Tally::default();
        let mut choices = Vec::new();
        let mut sources = Vec::new();
        let probe = (self.aim.what == Metric::Finger)
            .then(|| finger_probe(self.instrument, spot.course).ok())
            .flatten();
        let finger = |at: &AtPitch| probe.as_ref()?.finger_n(at, FINGER_FRET);
        if self.choices.from_rack {
            for (number, (at, fitted)) in self.fits.iter().enumerate() {
                let string = &self.rack[*at];
                let limited = self.choices.limits.on_hand && string.on_hand.is_some();
                if limited && string.on_hand.unwrap_or(0) < needs {
                    tally.add("none-on-hand");
                    continue;
                }
                if let Some(cost) = self.cost(spot, fitted, string.on_hand, &finger, &mut tally) {
                    let Some(price) = self.price(string.price, needs, &mut tally) else {
                        continue;
                    };
                    choices.push(of(cost, price, needs, limited.then_some(*at)));
                    sources.push(Source::Rack(number));
                }
            }
        }
        if self.choices.from_stock {
            for make in gauges(spot.limits.soft, spot.tension, &spot.open) {
                let Ok(fitted) = Fitted::of(&make) else {
                    continue;
                };
                if let Some(mut cost) = self.cost(spot, &fitted, None, &finger, &mut tally) {
                    cost.cost += TO_ORDER;
                    let Some(price) = self.price(None, needs, &mut tally) else {
                        continue;
                    };
                    choices.push(of(cost, price, needs, None));
                    sources.push(Source::Stock(Box::new(fitted)));
                }
            }
        }
        if choices.is_empty() {
            let note = &self.instrument.courses[spot.course].note;
            self.notes.push(format!(
                "Course {} ({}): nothing will do{}.",
                spot.course + 1,
                crate::problem::clean(note, 12),
                tally.words(self.choices.within)
            ));
        }
        spot.sources = sources;
        Place { choices, needs }
    }

    /// The price of a place's strings; none when a limit on the price stands and they have none.
    fn price(&self, price: Option<f64>, needs: u32, tally: &mut Tally) -> Option<f64> {
        if self.choices.limits.price.is_some() && price.is_none() {
            tally.add("no-price");
            return None;
        }
        Some(price.unwrap_or(0.0) * f64::from(needs))
    }

    /// What one string costs on a place; none when it may not go there.
    fn cost(
        &self,
        spot: &Spot,
        fitted: &Fitted,
        on_hand: Option<u32>,
        finger: &impl Fn(&AtPitch) -> Option<f64>,
        tally: &mut Tally,
    ) -> Option<Cost> {
        let at = AtPitch::new(
            &fitted.make,
            fitted.measured,
            spot.open.length,
            spot.open.pitch,
        )
        .ok()?;
        let has = match self.aim.what {
            Metric::Tension => Some(at.tension_n.value),
            Metric::Stretch => at.stretch.map(|s| s.kappa.value),
            Metric::Finger => {
                // Far too slack or tight a string is not worth pressing.
                let share = at.tension_n.value / spot.tension;
                if (0.5..=2.0).contains(&share) {
                    finger(&at)
                } else {
                    None
                }
            }
        };
        let departs = has.map(|has| (has / spot.aim).ln());
        let Some(departs) = departs.filter(|d| d.abs() <= self.choices.within.ln_1p()) else {
            tally.add("off-the-aim");
            return None;
        };
        let figures = string_figures(fitted, &spot.open);
        let limits = &self.choices.limits;
        let d = figures.diameter_mm?;
        if limits.thinnest_mm.is_some_and(|least| d < least)
            || limits.thickest_mm.is_some_and(|most| d > most)
        {
            tally.add("diameter");
            return None;
        }
        if figures
            .breaking_fraction
            .is_some_and(|share| share > limits.breaking_most)
        {
            tally.add("breaking");
            return None;
        }
        let (verdict, findings) = spot
            .limits
            .weigh(&figures, &fitted.make, spot.tension, on_hand);
        if verdict == Verdict::RuledOut {
            if let Some(worst) = findings.first() {
                tally.add(worst.code);
            }
            return None;
        }
        let faults = findings
            .iter()
            .filter(|f| is_fault(f.code, f.verdict))
            .count();
        let beside = if self.aim.what == Metric::Tension {
            0.0
        } else {
            TENSION_BESIDE * (at.tension_n.value / spot.tension).ln().powi(2)
        };
        #[allow(clippy::cast_precision_loss)]
        let faults = FAULT * faults as f64;
        let order = if on_hand == Some(0) { TO_ORDER } else { 0.0 };
        Some(Cost {
            cost: departs * departs + beside + faults + order,
            tension_n: at.tension_n.value,
        })
    }

    /// The units of the sentences.
    pub(super) const fn units(&self) -> Units {
        self.choices.units
    }
}

/// Whether a finding counts against a string. How it departs from the aim, and that it must be ordered, count by themselves.
pub(super) fn is_fault(code: &str, verdict: Verdict) -> bool {
    verdict != Verdict::Good && !matches!(code, "loose" | "tight" | "none-on-hand")
}

struct Cost {
    cost: f64,
    tension_n: f64,
}

fn of(cost: Cost, price: f64, needs: u32, item: Option<usize>) -> Choice {
    let needs = f64::from(needs);
    Choice {
        cost: cost.cost * needs,
        load: cost.tension_n * needs,
        price,
        item,
    }
}

/// The sum of the tensions of the strings that stay; none when one is not known.
fn board_locked_n(instrument: &Instrument, rack: &[RackString], choices: &Choices) -> Option<f64> {
    let mut sum = 0.0;
    for course in (0..instrument.courses.len()).filter(|c| choices.locked.contains(c)) {
        let on = &instrument.courses[course];
        let open = OpenString::of(instrument, course, &on.note).ok()?;
        for string in &on.strings {
            let fitted = crate::report::fitted(string, rack).ok()?;
            sum += string_figures(&fitted, &open.raised(string.semitones)).tension_n?;
        }
    }
    Some(sum)
}

/// How many strings were left out for each reason.
#[derive(Default)]
struct Tally(Vec<(&'static str, usize)>);

impl Tally {
    fn add(&mut self, code: &'static str) {
        match self.0.iter_mut().find(|(c, _)| *c == code) {
            Some((_, n)) => *n += 1,
            None => self.0.push((code, 1)),
        }
    }

    fn words(mut self, within: f64) -> String {
        self.0.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
        let said: Vec<String> = self
            .0
            .iter()
            .map(|(code, n)| {
                let why = match *code {
                    "off-the-aim" => format!("lie more than {:.0} % off the aim", 100.0 * within),
                    "none-on-hand" => "are not on hand in that number".into(),
                    "no-price" => "have no price to hold against the limit".into(),
                    "diameter" => "are too thin or too thick for the limit".into(),
                    "breaking" | "near-breaking" => "are too near to breaking".into(),
                    "over-measured" => "bear more stress than such strings were measured at".into(),
                    "slot" => "are too thick for the slot".into(),
                    "tuner-hole" => "are too thick for the tuner's hole".into(),
                    "steel-on-soft" => "are steel, which does not belong here".into(),
                    "winding-wire" => "are wire for winding".into(),
                    "slack" | "below-usual" => "are too slack".into(),
                    "too-tight" | "above-usual" => "are too tight".into(),
                    _ => "cannot be judged".into(),
                };
                format!("{n} {why}")
            })
            .collect();
        if said.is_empty() {
            String::new()
        } else {
            format!(": {}", said.join(", "))
        }
    }
}
