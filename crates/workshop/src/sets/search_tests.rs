use super::*;
use proptest::prelude::*;

/// Every set in turn.
fn every(puzzle: &Puzzle) -> Vec<Vec<usize>> {
    puzzle.places.iter().fold(vec![Vec::new()], |sets, place| {
        sets.iter()
            .flat_map(|set| {
                (0..place.choices.len()).map(|c| {
                    let mut longer = set.clone();
                    longer.push(c);
                    longer
                })
            })
            .collect()
    })
}

fn sum(puzzle: &Puzzle, set: &[usize], of: impl Fn(&Choice) -> f64) -> f64 {
    puzzle
        .places
        .iter()
        .zip(set)
        .map(|(place, c)| of(&place.choices[*c]))
        .sum()
}

fn can_be(puzzle: &Puzzle, set: &[usize], before: &[Vec<usize>]) -> bool {
    let mut left = puzzle.on_hand.clone();
    for (place, c) in puzzle.places.iter().zip(set) {
        if let Some(item) = place.choices[*c].item {
            match left[item].checked_sub(place.needs) {
                Some(rest) => left[item] = rest,
                None => return false,
            }
        }
    }
    !over(sum(puzzle, set, |c| c.load), puzzle.load_most)
        && !over(sum(puzzle, set, |c| c.price), puzzle.price_most)
        && before.iter().all(|other| {
            other.iter().zip(set).filter(|(a, b)| a != b).count() >= puzzle.differ.max(1)
        })
}

fn choice() -> impl Strategy<Value = Choice> {
    // Few different costs, so that ties come up.
    (
        0..12u32,
        1..9u32,
        0..6u32,
        prop::option::weighted(0.8, 0..4usize),
    )
        .prop_map(|(cost, load, price, item)| Choice {
            cost: f64::from(cost) * 0.013,
            load: f64::from(load) * 10.0,
            price: f64::from(price) * 0.7,
            item,
        })
}

fn limit(of: std::ops::Range<u32>, step: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(f64::INFINITY),
        of.prop_map(move |n| f64::from(n) * step)
    ]
}

fn puzzle() -> impl Strategy<Value = Puzzle> {
    let place =
        (prop::collection::vec(choice(), 1..7), 1..3u32).prop_map(|(mut choices, needs)| {
            // A place knows each rack string once.
            let mut seen = [false; 4];
            choices.retain(|c| {
                c.item
                    .is_none_or(|item| !std::mem::replace(&mut seen[item], true))
            });
            Place { choices, needs }
        });
    (
        prop::collection::vec(place, 1..5),
        prop::collection::vec(0..4u32, 4),
        limit(4..36, 10.0),
        limit(0..20, 0.7),
        1..4usize,
        0..4usize,
    )
        .prop_map(
            |(places, on_hand, load_most, price_most, sets, differ)| Puzzle {
                places,
                on_hand,
                load_most,
                price_most,
                sets,
                differ,
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]
    #[test]
    fn an_exhaustive_search_agrees(puzzle in puzzle()) {
        let found = solve(&puzzle);
        prop_assert!(found.proven);
        let all = every(&puzzle);
        for (n, set) in found.sets.iter().enumerate() {
            let before = &found.sets[..n];
            prop_assert!(can_be(&puzzle, set, before));
            let cost = sum(&puzzle, set, |c| c.cost);
            let best = all.iter().filter(|s| can_be(&puzzle, s, before)).map(|s| sum(&puzzle, s, |c| c.cost));
            prop_assert!(cost <= best.fold(f64::INFINITY, f64::min) + 1e-12);
        }
        if found.sets.len() < puzzle.sets {
            prop_assert!(!all.iter().any(|s| can_be(&puzzle, s, &found.sets)));
        }
        prop_assert_eq!(solve(&puzzle), found);
    }
}

/// A rack of 500 strings on 12 places with every limit biting, made by a fixed rule.
fn large() -> Puzzle {
    let mut seed = 12_345_u32;
    let mut next = |most: u32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from((seed >> 8) % most)
    };
    let loads: Vec<f64> = (0..500).map(|_| 30.0 + next(3000) / 100.0).collect();
    let places = (0..12)
        .map(|place| Place {
            choices: loads
                .iter()
                .enumerate()
                .map(|(item, load)| {
                    let load = load * (0.8 + f64::from(place) * 0.03);
                    Choice {
                        cost: (load / 45.0).ln().powi(2),
                        load,
                        price: 0.5 + next(400) / 100.0,
                        item: Some(item),
                    }
                })
                .collect(),
            needs: 1,
        })
        .collect();
    Puzzle {
        places,
        on_hand: vec![1; 500],
        load_most: 480.0,
        price_most: 14.0,
        sets: 3,
        differ: 2,
    }
}

#[test]
fn a_large_rack_with_every_limit_biting_is_answered() {
    let puzzle = large();
    let found = solve(&puzzle);
    assert_eq!(found.sets.len(), 3);
    for (n, set) in found.sets.iter().enumerate() {
        assert!(can_be(&puzzle, set, &found.sets[..n]));
    }
    let costs: Vec<f64> = found
        .sets
        .iter()
        .map(|s| sum(&puzzle, s, |c| c.cost))
        .collect();
    assert!(costs.is_sorted(), "{costs:?}");
}
