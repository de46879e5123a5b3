//! What the strings do to the bridge, side by side now and before.

use super::stringing::Stringing;
use super::{finite, pair};
use crate::problem::clean;
use crate::records::{BridgeKind, Instrument};
use crate::units::{Units, figure, per_cent, signed};
use serde::Serialize;
use strungwell_physics::bridge::{
    BreakAngles, RISE_MUCH, RISE_TOLD, down_force, lean_force, mean_stress, moment_nm, rise,
};
use strungwell_physics::quantity::{InBenchUnits, mm, newtons};

/// What the strings do to the bridge.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BridgeReport {
    /// `glued` or `floating`; none where no bridge is described.
    pub kind: Option<&'static str>,
    /// Height of the strings over the soundboard at the saddle in mm, as measured.
    pub saddle_height_mm: Option<f64>,
    /// Angles in degrees by which they fall in front of the saddle and behind it.
    pub angles_deg: Option<[f64; 2]>,
    /// Footprint in mm, across and along the strings.
    pub foot_mm: Option<[f64; 2]>,
    /// Under the present strings.
    pub now: BridgeLoad,
    /// Under the strings before; none where they are not noted or not known.
    pub before: Option<BridgeLoad>,
    /// The day on which those came off, where noted.
    pub before_date: Option<String>,
    /// How much more the strings draw than before, in N.
    pub more_n: Option<f64>,
    /// Its range: courses strung as before have no part in it.
    pub more_band_n: Option<[f64; 2]>,
    /// The same as a share of what was before: 0.1 is a tenth more.
    pub rise: Option<f64>,
    /// A caution where it rises a lot.
    pub caution: Option<String>,
    /// What is not measured and would say more.
    pub missing: Vec<String>,
    /// What it comes to, in sentences.
    pub words: Vec<String>,
}

/// The loads of one stringing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BridgeLoad {
    /// One entry a course.
    pub courses: Vec<CourseLoad>,
    /// All strings together, in N.
    pub tension_n: f64,
    /// Its range, from the range of the strings' masses.
    pub tension_band_n: [f64; 2],
    /// Moment about the soundboard in N m, glued bridges only: tension times height.
    pub moment_nm: Option<f64>,
    /// Force in N with which the strings press the saddle down.
    pub down_force_n: Option<f64>,
    /// Mean shear of a glued footprint in MPa.
    pub shear_mpa: Option<f64>,
    /// Mean pressure under the feet of a loose bridge in MPa.
    pub pressure_mpa: Option<f64>,
    /// Pull along the soundboard that is left on a loose bridge, in N; positive towards the nut.
    pub lean_n: Option<f64>,
    /// What a tailpiece bears, in N, before a loose bridge.
    pub tailpiece_n: Option<f64>,
}

/// One course's share.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CourseLoad {
    /// The open note.
    pub note: String,
    /// Its strings together, in N.
    pub tension_n: f64,
    /// Their range.
    pub tension_band_n: [f64; 2],
}

/// The measured bridge.
struct Measured {
    kind: Option<BridgeKind>,
    height: Option<f64>,
    angles: Option<[f64; 2]>,
    foot: Option<[f64; 2]>,
}

pub(super) fn bridge_report(
    instrument: &Instrument,
    strings: &Stringing<'_>,
    former: Option<&Stringing<'_>>,
    units: Units,
    warn: &mut impl FnMut(&'static str, String),
) -> Option<BridgeReport> {
    let record = instrument.bridge.as_ref();
    let measured = Measured {
        kind: record.map(|bridge| bridge.kind),
        height: record.and_then(|bridge| finite(bridge.saddle_height_mm?)),
        angles: record.and_then(|b| {
            Some([
                finite(b.front_angle_deg.unwrap_or(0.0))?,
                finite(b.break_angle_deg?)?,
            ])
        }),
        foot: record.and_then(|b| Some([finite(b.foot_length_mm?)?, finite(b.foot_width_mm?)?])),
    };
    let now = load(strings, &measured)?;
    let before = former.and_then(|former| load(former, &measured));
    let more = former.and_then(|former| strings.more_than(former));
    let rise = before
        .as_ref()
        .and_then(|b| rise(newtons(b.tension_n), newtons(now.tension_n)));
    let caution = rise.and_then(|rise| caution(rise, &measured));
    if let (Some(caution), Some(rise)) = (&caution, rise) {
        let code = if rise >= RISE_MUCH {
            "load-rises-much"
        } else {
            "load-rises"
        };
        warn(code, caution.clone());
    }
    let mut report = BridgeReport {
        kind: measured.kind.map(BridgeKind::word),
        saddle_height_mm: measured.height,
        angles_deg: measured.angles,
        foot_mm: measured.foot,
        now,
        before,
        before_date: instrument
            .former
            .as_ref()
            .map(|former| former.date.clone())
            .filter(|date| !date.is_empty()),
        more_n: more.and_then(|more| finite(more.value)),
        more_band_n: more.and_then(pair),
        rise,
        caution,
        missing: missing(&measured, former),
        words: Vec::new(),
    };
    report.words = words(&report, units);
    Some(report)
}

fn load(strings: &Stringing<'_>, bridge: &Measured) -> Option<BridgeLoad> {
    let tension = strings.tension()?;
    let drawn = newtons(tension.value);
    let glued = bridge.kind == Some(BridgeKind::Glued);
    let floating = bridge.kind == Some(BridgeKind::Floating);
    let angles = bridge
        .angles
        .and_then(|[front, behind]| BreakAngles::new(front, behind).ok());
    let down = angles.map(|angles| down_force(drawn, angles));
    let over_foot = |force| {
        let stress = mean_stress(force, bridge.foot?.map(mm)).ok()?;
        finite(stress.bench())
    };
    let courses = strings.courses.iter().map(|c| {
        let tension = c.tension()?;
        Some(CourseLoad {
            note: c.course.note.clone(),
            tension_n: finite(tension.value)?,
            tension_band_n: pair(tension)?,
        })
    });
    Some(BridgeLoad {
        courses: courses.collect::<Option<_>>()?,
        tension_n: finite(tension.value)?,
        tension_band_n: pair(tension)?,
        moment_nm: bridge
            .height
            .filter(|_| glued)
            .and_then(|height| finite(moment_nm(drawn, mm(height)))),
        down_force_n: down.and_then(|down| finite(down.bench())),
        shear_mpa: over_foot(drawn).filter(|_| glued),
        pressure_mpa: down.filter(|_| floating).and_then(over_foot),
        lean_n: angles
            .filter(|_| floating)
            .and_then(|angles| finite(lean_force(drawn, angles).bench())),
        tailpiece_n: finite(tension.value).filter(|_| floating),
    })
}

fn caution(rise: f64, bridge: &Measured) -> Option<String> {
    let what = match bridge.kind {
        Some(BridgeKind::Floating) => "tailpiece, head or top and neck",
        _ => "bridge, top and neck",
    };
    if rise >= RISE_MUCH {
        Some(format!(
            "The strings draw {} more than those before. That is a load which {what} may not be built for: have a repairer who is licensed \
             for, or experienced with, such instruments look at it first. If it goes on, bring it up in steps over days, with \
             eye protection, and stop where glue opens or the top rises.",
            per_cent(rise)
        ))
    } else if rise >= RISE_TOLD {
        Some(format!(
            "The strings draw {} more than those before. Bring it up slowly, look at {what} over the next days, and ask an experienced \
             repairer where glue opens or the top rises.",
            per_cent(rise)
        ))
    } else {
        None
    }
}

fn missing(bridge: &Measured, former: Option<&Stringing<'_>>) -> Vec<String> {
    let mut missing = Vec::new();
    let mut need = |is_there: bool, text: &str| {
        if !is_there {
            missing.push(text.to_owned());
        }
    };
    if bridge.kind.is_none() {
        need(false, "how the bridge is made and held");
    } else {
        let glued = bridge.kind == Some(BridgeKind::Glued);
        need(
            bridge.height.is_some() || !glued,
            "the strings' height at the saddle, for the moment",
        );
        need(
            bridge.angles.is_some(),
            "the break angle, for the down-force",
        );
        let what = if glued {
            "the mean shear"
        } else {
            "the mean pressure"
        };
        need(
            bridge.foot.is_some(),
            &format!("the footprint's length and width, for {what}"),
        );
    }
    match former {
        None => need(false, "the strings before, to compare with"),
        Some(former) => {
            if let Some(why) = former.why() {
                need(false, &format!("the tension of the strings before ({why})"));
            }
        }
    }
    missing
}

fn words(report: &BridgeReport, units: Units) -> Vec<String> {
    let now = &report.now;
    let force = |n: Option<f64>| units.force(n);
    let [low, high] = now.tension_band_n;
    let mut words = vec![format!(
        "The strings draw {} together (from {} to {}).",
        force(Some(now.tension_n)),
        force(Some(low)),
        force(Some(high)),
    )];
    if let (Some(before), Some(more)) = (&report.before, report.more_n) {
        let day = report.before_date.as_deref().map(|day| clean(day, 12));
        words.push(format!(
            "The strings before{} drew {}: {} {}{}.",
            day.map_or_else(String::new, |day| format!(", off on {day},")),
            force(Some(before.tension_n)),
            force(Some(more.abs())),
            if more < 0.0 { "less now" } else { "more now" },
            report
                .rise
                .map_or_else(String::new, |r| format!(", {} %", signed(100.0 * r, 1))),
        ));
    }
    if let Some(moment) = now.moment_nm {
        words.push(format!(
            "They turn the bridge towards the nut with {}{}: its back edge is lifted, its front pressed down.",
            units.moment(moment),
            before_of(report, |load| load.moment_nm, |v| units.moment(v)),
        ));
    }
    if let Some(shear) = now.shear_mpa {
        words.push(format!(
            "The glue bears {} MPa of shear on the mean{}; its edges bear several times that, and the turning peels besides.",
            figure(shear, 3),
            before_of(report, |load| load.shear_mpa, |v| format!("{} MPa", figure(v, 3))),
        ));
    }
    if let Some(down) = now.down_force_n {
        let over = if report.kind == Some("floating") {
            "They press the bridge on the top or head"
        } else {
            "They press the saddle into the bridge"
        };
        words.push(format!(
            "{over} with {}{}.",
            force(Some(down)),
            before_of(report, |load| load.down_force_n, |v| force(Some(v))),
        ));
    }
    if let (Some(tail), Some(lean)) = (now.tailpiece_n, now.lean_n) {
        words.push(format!(
            "The tailpiece bears all of it, {}; {} along the top are left on the loose bridge, which friction under its feet holds.",
            force(Some(tail)),
            force(Some(lean)),
        ));
    }
    words
}

fn before_of(
    report: &BridgeReport,
    of: impl Fn(&BridgeLoad) -> Option<f64>,
    said: impl Fn(f64) -> String,
) -> String {
    let before = report.before.as_ref().and_then(of);
    before.map_or_else(String::new, |value| format!(" ({} before)", said(value)))
}
