//! The best whole sets, as numbers: one option a place, the least sum of costs, within what the rack holds and the limits on
//! the sums of load and price.
//!
//! Branch and bound. Three things keep it quick, and none of them can lose the best set:
//! - an option that so many others of its place beat in everything that one of them must be free is dropped;
//! - a limit on a sum is put into the costs by a multiplier (the Lagrangian bound), so that the bound knows of the limit;
//! - options stand by rising cost, so that a place is left as soon as its next option is too dear.

/// A string, or the like strings of a course, that can go on a place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Choice {
    /// What speaks against it, at least 0.
    pub(super) cost: f64,
    /// Its pull, at least 0.
    pub(super) load: f64,
    /// Its price, at least 0.
    pub(super) price: f64,
    /// The counted rack string that it takes from; none where any number can be had.
    pub(super) item: Option<usize>,
}

/// A place to be strung.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Place {
    /// No two take from the same counted rack string.
    pub(super) choices: Vec<Choice>,
    /// How many strings it takes.
    pub(super) needs: u32,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Puzzle {
    pub(super) places: Vec<Place>,
    /// How many there are of each counted rack string.
    pub(super) on_hand: Vec<u32>,
    /// The most that the loads may sum to; infinite for no limit.
    pub(super) load_most: f64,
    /// The most that the prices may sum to; infinite for no limit.
    pub(super) price_most: f64,
    /// How many sets.
    pub(super) sets: usize,
    /// In how many places each must differ from every one before it.
    pub(super) differ: usize,
}

/// The sets found, each the number of a choice a place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Found {
    pub(super) sets: Vec<Vec<usize>>,
    /// True when each is proven the best under what was asked.
    pub(super) proven: bool,
}

/// Steps after which a search gives what it has; far above what usual racks need.
const MOST_STEPS: u32 = 400_000;

/// Slack in comparing sums with a limit, as a share of it: sums in another order differ in their last digits.
const GIVE: f64 = 1e-9;

/// The best set, then the best that differs enough from it, then the best that differs enough from both, and so on.
pub(super) fn solve(puzzle: &Puzzle) -> Found {
    let mut found = Found {
        sets: Vec::new(),
        proven: true,
    };
    while found.sets.len() < puzzle.sets {
        let (best, proven) = best(puzzle, &found.sets);
        found.proven &= proven;
        match best {
            Some(set) => found.sets.push(set),
            None => break,
        }
    }
    found
}

/// One place in the search: its own number, and its choices by rising priced cost.
struct Stage {
    place: usize,
    /// Number of the choice and its cost with load and price at their multipliers.
    order: Vec<(usize, f64)>,
}

/// The least of what the places from one on will add.
#[derive(Clone, Copy, Default)]
struct Least {
    cost: f64,
    priced: f64,
    load: f64,
    price: f64,
}

struct Search<'a> {
    puzzle: &'a Puzzle,
    before: &'a [Vec<usize>],
    stages: Vec<Stage>,
    least: Vec<Least>,
    /// What the multipliers give back: `load multiplier × load limit + price multiplier × price limit`.
    paid: f64,
    left: Vec<u32>,
    picked: Vec<usize>,
    /// Places so far that differ from each set before.
    differing: Vec<usize>,
    best_cost: f64,
    best: Option<Vec<usize>>,
    steps: u32,
}

fn best(puzzle: &Puzzle, before: &[Vec<usize>]) -> (Option<Vec<usize>>, bool) {
    let kept: Vec<Vec<usize>> = puzzle
        .places
        .iter()
        .map(|place| undominated(place, puzzle, puzzle.places.len() + before.len()))
        .collect();
    let (by_load, by_price) = multipliers(puzzle, &kept);
    let priced = |choice: &Choice| choice.cost + by_load * choice.load + by_price * choice.price;
    let mut stages: Vec<Stage> = kept
        .into_iter()
        .enumerate()
        .map(|(place, kept)| {
            let choices = &puzzle.places[place].choices;
            let mut order: Vec<(usize, f64)> =
                kept.into_iter().map(|i| (i, priced(&choices[i]))).collect();
            order.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
            Stage { place, order }
        })
        .collect();
    stages.sort_by_key(|stage| (stage.order.len(), stage.place));
    let mut least = vec![Least::default(); stages.len() + 1];
    for (i, stage) in stages.iter().enumerate().rev() {
        let choices = &puzzle.places[stage.place].choices;
        let min = |of: &dyn Fn(&Choice) -> f64| {
            stage
                .order
                .iter()
                .map(|(c, _)| of(&choices[*c]))
                .fold(f64::INFINITY, f64::min)
        };
        let after = least[i + 1];
        least[i] = Least {
            cost: after.cost + min(&|c| c.cost),
            priced: after.priced + stage.order.first().map_or(f64::INFINITY, |c| c.1),
            load: after.load + min(&|c| c.load),
            price: after.price + min(&|c| c.price),
        };
    }
    let paid = |by: f64, most: f64| if by > 0.0 { by * most } else { 0.0 };
    let mut search = Search {
        paid: paid(by_load, puzzle.load_most) + paid(by_price, puzzle.price_most),
        picked: vec![0; stages.len()],
        left: puzzle.on_hand.clone(),
        differing: vec![0; before.len()],
        puzzle,
        before,
        stages,
        least,
        best_cost: f64::INFINITY,
        best: None,
        steps: 0,
    };
    search.go(0, Least::default());
    let proven = search.steps < MOST_STEPS;
    (search.best, proven)
}

impl Search<'_> {
    /// Tries every choice of the stage that can still lead to a better set; `so_far` is what the stages before it add up to.
    fn go(&mut self, depth: usize, so_far: Least) {
        let puzzle = self.puzzle;
        if depth == self.stages.len() {
            if so_far.cost < self.best_cost && self.differs_enough(0) {
                self.best_cost = so_far.cost;
                self.best = Some(self.picked.clone());
            }
            return;
        }
        let after = self.least[depth + 1];
        let place = self.stages[depth].place;
        for at in 0..self.stages[depth].order.len() {
            if self.steps >= MOST_STEPS {
                return;
            }
            self.steps += 1;
            let (number, priced) = self.stages[depth].order[at];
            let choice = &puzzle.places[place].choices[number];
            let now = Least {
                cost: so_far.cost + choice.cost,
                priced: so_far.priced + priced,
                load: so_far.load + choice.load,
                price: so_far.price + choice.price,
            };
            // The choices behind it cost as much or more. A hair of slack, since the bound's sums run in another order.
            if now.priced + after.priced - self.paid > self.best_cost + GIVE {
                return;
            }
            if now.cost + after.cost >= self.best_cost
                || over(now.load + after.load, puzzle.load_most)
                || over(now.price + after.price, puzzle.price_most)
            {
                continue;
            }
            let needs = puzzle.places[place].needs;
            if let Some(item) = choice.item {
                if self.left[item] < needs {
                    continue;
                }
                self.left[item] -= needs;
            }
            self.picked[place] = number;
            self.count(place, number, true);
            if self.differs_enough(self.stages.len() - depth - 1) {
                self.go(depth + 1, now);
            }
            self.count(place, number, false);
            if let Some(item) = choice.item {
                self.left[item] += needs;
            }
        }
    }

    /// Counts, or takes back, a pick's difference from each set before.
    fn count(&mut self, place: usize, number: usize, add: bool) {
        for (differing, set) in self.differing.iter_mut().zip(self.before) {
            if set[place] != number {
                *differing = if add { *differing + 1 } else { *differing - 1 };
            }
        }
    }

    /// Whether the set can still differ enough from every one before it when so many places are to come.
    fn differs_enough(&self, to_come: usize) -> bool {
        self.differing
            .iter()
            .all(|n| n + to_come >= self.puzzle.differ.max(1))
    }
}

fn over(sum: f64, most: f64) -> bool {
    sum > most + GIVE * most.abs()
}

/// The numbers of a place's choices, but for those that `enough` others beat: in cost (ties go by number), and in load and
/// price where these are limited. `enough` is so large that one of those others is always free: every other place can use up
/// one rack string, and every set before can hold one.
fn undominated(place: &Place, puzzle: &Puzzle, enough: usize) -> Vec<usize> {
    let (by_load, by_price) = (puzzle.load_most.is_finite(), puzzle.price_most.is_finite());
    let can_be = |choice: &Choice| {
        choice
            .item
            .is_none_or(|item| puzzle.on_hand[item] >= place.needs)
    };
    let mut order: Vec<usize> = (0..place.choices.len())
        .filter(|i| can_be(&place.choices[*i]))
        .collect();
    order.sort_by(|a, b| {
        place.choices[*a]
            .cost
            .total_cmp(&place.choices[*b].cost)
            .then(a.cmp(b))
    });
    if !by_load && !by_price {
        order.truncate(enough);
        return order;
    }
    let mut kept: Vec<usize> = Vec::new();
    for number in order {
        let choice = &place.choices[number];
        // Those that were dropped are beaten by enough of the kept, so the kept alone need be counted.
        let beaten_by = kept
            .iter()
            .filter(|other| {
                let other = &place.choices[**other];
                (!by_load || other.load <= choice.load)
                    && (!by_price || other.price <= choice.price)
            })
            .take(enough)
            .count();
        if beaten_by < enough {
            kept.push(number);
        }
    }
    kept
}

/// Multipliers of load and price that make the bound nearly as high as it can be; any from 0 up give a true bound.
fn multipliers(puzzle: &Puzzle, kept: &[Vec<usize>]) -> (f64, f64) {
    let mut by = (0.0, 0.0);
    for _ in 0..3 {
        if puzzle.load_most.is_finite() {
            by.0 = raised_until(puzzle.load_most, |by_load| {
                sum_at(puzzle, kept, (by_load, by.1), |c| c.load)
            });
        }
        if puzzle.price_most.is_finite() {
            by.1 = raised_until(puzzle.price_most, |by_price| {
                sum_at(puzzle, kept, (by.0, by_price), |c| c.price)
            });
        }
    }
    by
}

/// The sum over the places when each takes the choice of the least priced cost.
fn sum_at(
    puzzle: &Puzzle,
    kept: &[Vec<usize>],
    by: (f64, f64),
    of: impl Fn(&Choice) -> f64,
) -> f64 {
    puzzle
        .places
        .iter()
        .zip(kept)
        .filter_map(|(place, kept)| {
            let priced = |c: &Choice| c.cost + by.0 * c.load + by.1 * c.price;
            let at = kept.iter().min_by(|a, b| {
                priced(&place.choices[**a]).total_cmp(&priced(&place.choices[**b]))
            })?;
            Some(of(&place.choices[*at]))
        })
        .sum()
}

/// The multiplier at which a sum that falls with it comes down to a limit; 0 when it lies below already.
fn raised_until(most: f64, sum: impl Fn(f64) -> f64) -> f64 {
    if sum(0.0) <= most {
        return 0.0;
    }
    let mut high = 1e-6;
    while sum(high) > most {
        high *= 4.0;
        if high > 1e6 {
            return 0.0;
        }
    }
    let mut low = 0.0;
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if sum(middle) > most {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

#[cfg(test)]
#[path = "search_tests.rs"]
mod tests;
