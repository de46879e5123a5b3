//! What the eye and the hand are at: the course, the fret, and the action as it stood before it was moved.

use crate::markup::prelude::*;
use crate::near::kept_near;
use crate::store::Store;
use leptos::ev;
use std::time::Duration;
use strungwell_workshop::records::{CourseSetup, Instrument};
use strungwell_workshop::report::saddle_view::setup_of;
use strungwell_workshop::report::{
    FretFigures, InstrumentReport, SideView, Spot, StringFigures, side_view,
};

/// The action as it stood before it was moved.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Before {
    setups: Vec<CourseSetup>,
    /// The open string then.
    pub line: Option<[Spot; 2]>,
    /// The notes then.
    pub frets: Vec<FretFigures>,
}

/// One of the two gaps of a course.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Which {
    /// At the first fret in front of its nut.
    First,
    /// At the twelfth.
    Twelfth,
}

impl Which {
    pub(super) const fn of(self, setup: &CourseSetup) -> Option<f64> {
        match self {
            Self::First => setup.gap_1_mm,
            Self::Twelfth => setup.gap_12_mm,
        }
    }

    pub(super) const fn set(self, setup: &mut CourseSetup, mm: Option<f64>) {
        match self {
            Self::First => setup.gap_1_mm = mm,
            Self::Twelfth => setup.gap_12_mm = mm,
        }
    }
}

/// How long a hand rests on a knob before what it moved is kept.
const REST: Duration = Duration::from_millis(150);

/// A gap under a hand that still moves.
#[derive(Clone, Debug, PartialEq)]
struct Moving {
    /// The instrument's id.
    id: String,
    course: usize,
    alike: bool,
    which: Which,
    mm: f64,
}

impl Moving {
    fn put(&self, instrument: &mut Instrument) {
        set_gap(instrument, self.course, self.alike, self.which, self.mm);
    }
}

/// A handle: copies are the same hand.
#[derive(Clone, Copy)]
pub(super) struct Hand {
    store: Store,
    /// The gap that is being moved: this section draws it at once; it is kept, and the rest of the sheet follows, when the hand rests.
    moving: RwSignal<Option<Moving>>,
    /// Whether one is: then the other sections wait, and are marked so.
    pub is_moving: Memo<bool>,
    /// Counts the moves.
    moves: StoredValue<u32>,
    /// The instrument as it is being moved; none while nothing is.
    moved: Memo<Option<Instrument>>,
    /// The course, counted from 0.
    pub course: RwSignal<usize>,
    /// The string of it, counted from 0.
    pub string: RwSignal<usize>,
    /// The fret that the finger is at; 0 for the open string.
    pub fret: RwSignal<u32>,
    /// Whether moving one course's action moves the others'.
    pub alike: RwSignal<bool>,
    /// The action as it stood before it was moved; none when it was not.
    pub before: RwSignal<Option<Before>>,
    /// The neck from the side; none when no instrument is open.
    pub view: Memo<Option<Result<SideView, String>>>,
    /// The notes of the string.
    pub frets: Memo<Vec<FretFigures>>,
}

impl Hand {
    /// A hand over the open instrument, which it follows while it is near.
    pub(super) fn over(store: Store, near: Memo<bool>) -> Self {
        let course = RwSignal::new(0_usize);
        let string = RwSignal::new(0_usize);
        let fret = RwSignal::new(5_u32);
        let moving = RwSignal::new(None::<Moving>);
        let moved = Memo::new(move |_| {
            let moving = moving.get()?;
            let mut instrument = store.instrument().get().filter(|i| i.id == moving.id)?;
            moving.put(&mut instrument);
            Some(instrument)
        });
        let figures = kept_near(near, move || {
            let of = |r: &InstrumentReport| {
                let course = r.courses.get(course.get())?;
                let string = course.strings.get(string.get());
                string.or(course.strings.first()).cloned()
            };
            moved.with(|moved| match moved {
                Some(moved) => of(&store.report_of(moved)),
                None => store.report().with(|r| of(r.as_ref()?)),
            })
        });
        let view = kept_near(near, move || {
            let at = fret.get();
            look(store, moved, |i| {
                let strung =
                    figures.with(|f| f.as_ref().and_then(|f: &StringFigures| f.fretting.strung));
                i.map(|i| side_view(i, course.get(), strung.as_ref(), at))
            })
        });
        let frets = Memo::new(move |_| {
            figures.with(|f| {
                f.as_ref()
                    .map(|f| f.fretting.frets.clone())
                    .unwrap_or_default()
            })
        });
        let hand = Self {
            store,
            moving,
            is_moving: Memo::new(move |_| moving.with(Option::is_some)),
            moves: StoredValue::new(0),
            moved,
            course,
            string,
            fret,
            alike: RwSignal::new(false),
            before: RwSignal::new(None),
            view,
            frets,
        };
        hand.follow();
        // A page that goes, or a sheet, takes nothing with it.
        let goes = ev::Custom::<web_sys::Event>::new("pagehide");
        let goes = window_event_listener(goes, move |_| hand.rest());
        on_cleanup(move || {
            goes.remove();
            hand.rest();
        });
        hand
    }

    /// The hand of this section.
    pub(super) fn here() -> Self {
        expect_context()
    }

    /// Keeps course and fret on the instrument as it changes.
    fn follow(self) {
        let size = Memo::new(move |_| {
            self.store
                .instrument()
                .with(|i| i.as_ref().map(|i| (i.courses.len(), i.frets, i.id.clone())))
        });
        Effect::new(move |was: Option<Option<(usize, u32, String)>>| {
            let now = size.get();
            if let Some((courses, frets, id)) = &now {
                if self.course.get_untracked() >= *courses {
                    self.choose(0, 0);
                }
                if self.fret.get_untracked() > *frets {
                    self.fret.set(*frets);
                }
                if was.flatten().is_some_and(|w| w.2 != *id || w.0 != *courses) {
                    self.before.set(None);
                }
            }
            now
        });
        // On a course that begins further on, a finger behind its nut goes a few frets ahead of it.
        Effect::new(move |_| {
            let (first, last) = self.span();
            let at = self.fret.get();
            if at > 0 && at <= first {
                self.fret.set((first + 3).min(last));
            }
        });
    }

    /// Looks at another string.
    pub(super) fn choose(self, course: usize, string: usize) {
        self.course.set(course);
        self.string.set(string);
        self.before.set(None);
    }

    /// Puts the finger at a fret that this course has; behind its nut the open string is meant.
    pub(super) fn press(self, fret: u32) {
        let (first, last) = self.span();
        let fret = if fret <= first { 0 } else { fret.min(last) };
        if self.fret.get_untracked() != fret {
            self.fret.set(fret);
        }
    }

    /// The fret of the course's nut and the last fret.
    pub(super) fn span(self) -> (u32, u32) {
        self.view.with(|v| match v {
            Some(Ok(view)) => (view.first_fret, view.frets.last().map_or(0, |f| f.fret)),
            _ => (0, 0),
        })
    }

    /// Remembers the action as it stands, unless it is remembered already.
    pub(super) fn start(self) {
        if self.before.with_untracked(Option::is_some) {
            return;
        }
        let setups = self
            .store
            .instrument()
            .with_untracked(|i| i.as_ref().map(|i| i.setup.courses.clone()));
        let line = self.view.with_untracked(|v| match v {
            Some(Ok(view)) => view.line,
            _ => None,
        });
        if let Some(setups) = setups {
            let frets = self.frets.get_untracked();
            self.before.set(Some(Before {
                setups,
                line,
                frets,
            }));
        }
    }

    /// Looks at the instrument as it stands under the hand; none when none is open.
    pub(super) fn look<U>(self, at: impl FnOnce(Option<&Instrument>) -> U) -> U {
        look(self.store, self.moved, at)
    }

    /// Moves a gap of the course, and the others' by as much where they go alike. Kept when the hand rests, or by [`Hand::rest`].
    pub(super) fn move_gap(self, which: Which, mm: f64) {
        let id = self
            .store
            .instrument()
            .with_untracked(|i| i.as_ref().map(|i| i.id.clone()));
        let Some(id) = id else { return };
        let moving = Moving {
            id,
            course: self.course.get_untracked(),
            alike: self.alike.get_untracked(),
            which,
            mm,
        };
        // Another knob, or another course: what was moved before is kept first.
        let same = |was: &Moving| {
            was.id == moving.id && was.course == moving.course && was.which == moving.which
        };
        if self
            .moving
            .with_untracked(|was| was.as_ref().is_some_and(|was| !same(was)))
        {
            self.rest();
        }
        self.moving.set(Some(moving));
        let this = self.moves.get_value().wrapping_add(1);
        self.moves.set_value(this);
        let rested = move || {
            if self.moves.try_get_value() == Some(this) {
                self.rest();
            }
        };
        set_timeout(rested, REST);
    }

    /// Keeps what was moved.
    pub(super) fn rest(self) {
        let Some(moving) = self.moving.try_get_untracked().flatten() else {
            return;
        };
        self.store
            .edit_instrument(&moving.id, |instrument| moving.put(instrument));
        self.moving.try_set(None);
    }

    /// Puts the action back as it stood.
    pub(super) fn put_back(self) {
        self.moving.set(None);
        if let Some(before) = self.before.get_untracked() {
            self.store.edit(|instrument| {
                for (setup, was) in instrument.setup.courses.iter_mut().zip(&before.setups) {
                    setup.gap_1_mm = was.gap_1_mm;
                    setup.gap_12_mm = was.gap_12_mm;
                }
            });
            self.before.set(None);
        }
    }
}

/// Looks at an instrument as it is being moved, else as the store has it.
fn look<U>(
    store: Store,
    moved: Memo<Option<Instrument>>,
    at: impl FnOnce(Option<&Instrument>) -> U,
) -> U {
    moved.with(|moved| match moved {
        Some(moved) => at(Some(moved)),
        None => store.instrument().with(|i| at(i.as_ref())),
    })
}

fn set_gap(instrument: &mut Instrument, course: usize, alike: bool, which: Which, mm: f64) {
    let Some(setup) = setup_of(instrument, course) else {
        return;
    };
    let by = which.of(setup).map(|was| mm - was);
    which.set(setup, Some(mm));
    if let (true, Some(by)) = (alike, by) {
        for (at, other) in instrument.setup.courses.iter_mut().enumerate() {
            if let (true, Some(gap)) = (at != course, which.of(other)) {
                which.set(other, Some(((gap + by) * 1e4).round() / 1e4));
            }
        }
    }
}

/// The strings to choose from: course, string, and what is written on the button.
pub(super) fn choices(instrument: &Instrument) -> Vec<(usize, usize, String)> {
    let mut all = Vec::new();
    for (at, course) in instrument.courses.iter().enumerate() {
        let is_one = course.strings.windows(2).all(|w| w[0] == w[1]);
        if is_one {
            all.push((at, 0, course.note.clone()));
        } else {
            let each = (0..course.strings.len())
                .map(|s| (at, s, format!("{}, string {}", course.note, s + 1)));
            all.extend(each);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use strungwell_workshop::families;

    #[test]
    fn a_gap_moves_alone_or_with_the_others() {
        let start = families::start("ukulele-concert", 0, None, "a").unwrap();
        let gap = |i: &Instrument, c: usize| i.setup.courses[c].gap_12_mm.unwrap();
        let mut one = start.clone();
        set_gap(&mut one, 1, false, Which::Twelfth, 2.0);
        assert_eq!((gap(&one, 1), gap(&one, 0)), (2.0, gap(&start, 0)));
        let mut all = start.clone();
        set_gap(&mut all, 1, true, Which::Twelfth, gap(&start, 1) - 0.3);
        for course in 0..4 {
            assert!((gap(&all, course) - gap(&start, course) + 0.3).abs() < 1e-9);
        }
        let mut bare = start.clone();
        bare.setup.courses.clear();
        set_gap(&mut bare, 2, true, Which::First, 0.5);
        assert_eq!(bare.setup.courses.len(), 3);
        assert_eq!(bare.setup.courses[2].gap_1_mm, Some(0.5));
        set_gap(&mut bare, 9, false, Which::First, 0.5);
        assert_eq!(bare.setup.courses.len(), 3);
    }

    #[test]
    fn a_course_of_unlike_strings_gives_a_choice() {
        let mut instrument = families::start("ukulele-concert", 0, None, "a").unwrap();
        assert_eq!(choices(&instrument).len(), 4);
        let mut other = instrument.courses[0].strings[0].clone();
        other.kappa = Some(40.0);
        instrument.courses[0].strings.push(other);
        let all = choices(&instrument);
        assert_eq!(all.len(), 5);
        assert_eq!(
            all[1],
            (0, 1, format!("{}, string 2", instrument.courses[0].note))
        );
    }
}
