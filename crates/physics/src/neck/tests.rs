use super::*;
use crate::quantity::newtons;
use proptest::prelude::*;

fn plain(length: f64) -> Neck {
    let taper = Taper {
        length: mm(length),
        width: [mm(40.0); 2],
        depth: [mm(20.0); 2],
        board: mm(5.0),
    };
    Neck::new(taper, gpa(10.0), gpa(12.0), vec![]).unwrap()
}

fn level(tension: f64) -> Pull {
    Pull {
        tension: newtons(tension),
        from: mm(0.0),
        height_at_nut: mm(3.0),
        height_at_body: mm(3.0),
    }
}

#[test]
fn a_uniform_neck_bends_as_the_closed_forms_say() {
    let neck = plain(300.0);
    let section = neck.section(mm(100.0));
    let moment = 150.0 * (3.0 + section.neutral.bench()) * 1e-3;
    let stations = [mm(0.0), mm(150.0), mm(300.0)];
    let raised = neck.raise(&[level(150.0)], &stations);
    let tip = uniform_tip_raise(moment, mm(300.0), section.stiffness_nm2);
    assert!(
        (raised[0] / tip - uom::si::f64::Ratio::from(1.0))
            .abs()
            .value
            < 1e-12
    );
    let deep = dip(
        (stations[0], raised[0]),
        (stations[1], raised[1]),
        (stations[2], raised[2]),
    );
    let closed = uniform_mid_dip(moment, mm(300.0), section.stiffness_nm2);
    assert!((deep.bench() / closed.bench() - 1.0).abs() < 1e-12);
}

#[test]
fn a_section_of_one_wood_is_that_of_the_joined_shape() {
    // The same wood above and below: neutral axis and second moment of rectangle and half ellipse together, by slices.
    let neck = Neck::new(
        Taper {
            length: mm(300.0),
            width: [mm(40.0); 2],
            depth: [mm(20.0); 2],
            board: mm(5.0),
        },
        gpa(10.0),
        gpa(10.0),
        vec![],
    )
    .unwrap();
    let slices = 200_000;
    let step = 20.0 / f64::from(slices);
    let (mut area, mut first, mut second) = (0.0, 0.0, 0.0);
    for i in 0..slices {
        let z = (f64::from(i) + 0.5) * step;
        let width = if z < 5.0 {
            40.0
        } else {
            40.0 * (1.0 - ((z - 5.0) / 15.0).powi(2)).sqrt()
        };
        area += width * step;
        first += width * step * z;
        second += width * step * z * z;
    }
    let neutral = first / area;
    let section = neck.section(mm(0.0));
    assert!((section.neutral.bench() - neutral).abs() < 1e-5);
    let ei = 10e3 * (second - area * neutral * neutral) * 1e-6;
    assert!((section.stiffness_nm2 / ei - 1.0).abs() < 1e-6);
}

#[test]
fn a_bar_of_the_necks_own_wood_changes_nothing_and_steel_does() {
    let taper = Taper {
        length: mm(300.0),
        width: [mm(36.0), mm(46.0)],
        depth: [mm(17.0), mm(20.0)],
        board: mm(5.0),
    };
    let bar = |modulus| Bar {
        modulus,
        width: mm(6.0),
        height: mm(9.0),
        down: mm(0.0),
    };
    let ei = |bars| {
        Neck::new(taper, gpa(10.0), gpa(12.0), bars)
            .unwrap()
            .section(mm(50.0))
            .stiffness_nm2
    };
    assert!((ei(vec![bar(gpa(10.0))]) / ei(vec![]) - 1.0).abs() < 1e-12);
    assert!(ei(vec![bar(bar_material("carbon").unwrap().modulus())]) > 1.1 * ei(vec![]));
}

#[test]
fn a_short_drone_bends_only_what_lies_behind_its_peg() {
    let neck = plain(300.0);
    let drone = Pull {
        from: mm(120.0),
        ..level(60.0)
    };
    let raised: Vec<f64> = neck
        .raise(
            &[drone],
            &[mm(0.0), mm(60.0), mm(120.0), mm(300.0), mm(400.0)],
        )
        .iter()
        .map(InBenchUnits::bench)
        .collect();
    // Before the peg the board goes on straight; the joint and what is behind it stay.
    assert!((raised[0] - 2.0 * raised[1] + raised[2]).abs() < 1e-12);
    assert!(raised[2] > 0.0 && raised[3] == 0.0 && raised[4] == 0.0);
}

#[test]
fn what_a_neck_cannot_be_is_refused() {
    let taper = plain(300.0).taper;
    let refused = |taper: Taper, bars| Neck::new(taper, gpa(10.0), gpa(12.0), bars).is_err();
    assert!(refused(
        Taper {
            length: mm(f64::NAN),
            ..taper
        },
        vec![]
    ));
    assert!(refused(
        Taper {
            board: mm(19.5),
            ..taper
        },
        vec![]
    ));
    assert!(refused(
        Taper {
            depth: [mm(0.0); 2],
            ..taper
        },
        vec![]
    ));
    let tall = Bar {
        modulus: gpa(200.0),
        width: mm(6.0),
        height: mm(16.0),
        down: mm(0.0),
    };
    assert!(refused(taper, vec![tall]));
    assert!(Neck::new(taper, gpa(0.0), gpa(12.0), vec![]).is_err());
}

proptest! {
    #[test]
    fn more_pull_more_relief_and_stiffer_wood_less(t in 20.0..400.0f64, more in 1.01..3.0f64, l in 150.0..500.0f64) {
        let neck = plain(l);
        let stations = [mm(0.0), mm(l / 2.0), mm(l)];
        let depth = |neck: &Neck, t: f64| {
            let r = neck.raise(&[level(t)], &stations);
            dip((stations[0], r[0]), (stations[1], r[1]), (stations[2], r[2])).bench()
        };
        prop_assert!(depth(&neck, t * more) > depth(&neck, t));
        prop_assert!((depth(&neck.with_wood_times(more), t) * more / depth(&neck, t) - 1.0).abs() < 1e-9);
    }
}
