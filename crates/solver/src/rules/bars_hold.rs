//! `bars_hold`: every bar keeps its safety on yield and against buckling over the travel, with 50 N
//! sideways on the panel, and with the motor stalled at the stop.

use super::{Rule, RuleFinding, percent};
use crate::analysis::Analysis;
use crate::project::{PartName, Project, Safeties, lower_than_usual};
use crate::sideways::PUSH_N;
use crate::stop_pressure::StopPressure;
use crate::strength::{BarStrength, PinStress, Strength, WorstPress, WorstSection};
use crate::units::{number, show_length};

pub(super) fn check(project: &Project, analysis: &Analysis) -> RuleFinding {
    let unknown = |text: String| RuleFinding::unknown(Rule::BarsHold).saying(text);
    let strength = match (&analysis.forces, &analysis.strength) {
        (Err(missing), _) => return unknown(missing.sentence()),
        (_, None) => return unknown("The strength of the bars is not known without the forces.".into()),
        (Ok(_), Some(strength)) => strength,
    };
    if let Some(severed) = strength.bars.iter().find_map(|bar| Some((bar, bar.severed?))) {
        return nothing_left(project, severed.0.bar, severed.1);
    }
    let worst = worst_of(strength);
    let required = project.safeties().bars;
    let unlisted = strength.bars.iter().find(|bar| bar.known.is_none());
    match (worst, unlisted) {
        (Some(worst), _) if worst.safety() < required => said(project, analysis, strength, &worst),
        (_, Some(bar)) => unknown(format!(
            "The {} is of \"{}\", whose strength is not known: give one of the materials listed, or its own density, yield_strength and modulus.",
            bar.bar.words(),
            bar.material
        )),
        (Some(worst), None) => said(project, analysis, strength, &worst),
        (None, None) => unknown("The loads of the hinges are not known: they need a drive whose strap pulls.".into()),
    }
}

/// What is nearest to its limit.
enum Nearest<'a> {
    Section(&'a BarStrength, WorstSection, f64),
    Buckling(&'a BarStrength, WorstPress),
    Stop(StopPressure),
}

impl Nearest<'_> {
    fn safety(&self) -> f64 {
        match self {
            Self::Section(_, _, safety) => *safety,
            Self::Buckling(_, press) => press.safety,
            Self::Stop(stop) => stop.safety,
        }
    }
}

fn worst_of(strength: &Strength) -> Option<Nearest<'_>> {
    let sections = strength.bars.iter().filter_map(|bar| {
        let worst = bar.worst?;
        Some(Nearest::Section(bar, worst, worst.safety?))
    });
    let presses = strength.bars.iter().filter_map(|bar| Some(Nearest::Buckling(bar, bar.buckling?)));
    let all = sections.chain(presses).chain(strength.stop.map(Nearest::Stop));
    all.min_by(|one, other| one.safety().total_cmp(&other.safety()))
}

fn nothing_left(project: &Project, bar: PartName, along: f64) -> RuleFinding {
    let name = bar.words();
    let place = place(project, bar, along);
    RuleFinding::failing(Rule::BarsHold, "").at(0.0, name, &[]).saying(format!(
        "Nothing is left of the {name} {place}: seat or relief take its whole section. Make it wider, or its bearing smaller."
    ))
}

fn said(project: &Project, analysis: &Analysis, strength: &Strength, worst: &Nearest<'_>) -> RuleFinding {
    let required = project.safeties().bars;
    let (s, name, points, mut text) = match worst {
        Nearest::Section(bar, at, safety) => {
            let pose = if at.stalled { at_stop(analysis) } else { analysis.pose_at(at.s) };
            let point = analysis.lift.room_from_bar(&pose, bar.bar) * at.centre;
            let mut bends = at.in_view.abs();
            if at.offset.abs() + at.sideways > bends {
                bends = at.offset.abs() + at.sideways;
            }
            let also =
                if at.stalled { String::new() } else { format!(", {PUSH_N:.0} N sideways on the panel included") };
            let text = format!(
                "The {} carries {} N along it and {} N·m of bending {} {}{also}: {} of {} MPa, safety {}, {} wanted ({}).",
                bar.bar.words(),
                number(at.axial.abs(), 0),
                number(1e-3 * bends, 1),
                place(project, bar.bar, at.along),
                when(at.stalled, at.s),
                number(at.stress, 0),
                number(bar.known.map_or(0.0, |material| material.yield_strength), 0),
                number(*safety, 1),
                required,
                bar.material,
            );
            (at.s, bar.bar.words(), vec![point], text)
        }
        Nearest::Buckling(bar, at) => {
            let text = format!(
                "The {} is pressed with {} N {} and buckles at {} N: safety {}, {} wanted.",
                bar.bar.words(),
                number(at.force, 0),
                when(at.stalled, at.s),
                number(at.critical, 0),
                number(at.safety, 1),
                required
            );
            (at.s, bar.bar.words(), Vec::new(), text)
        }
        Nearest::Stop(stop) => {
            let points = analysis.stop.contact.as_ref().map_or(Vec::new(), |contact| contact.points.to_vec());
            (1.0, "stop", points, stop_text(stop))
        }
    };
    let margin = worst.safety() / required - 1.0;
    text += &lower_than_usual(required, Safeties::USUAL.bars);
    if margin < 0.0 {
        text += match worst {
            Nearest::Stop(stop) if stop.face > 0.0 => {
                " A longer land, deeper arms or a motor that stalls sooner would help."
            }
            Nearest::Stop(_) if analysis.stop.kind == Some(crate::stop::StopKind::Pin) => {
                " A larger collar, deeper arms or a motor that stalls sooner would help."
            }
            Nearest::Stop(_) => " A land, deeper arms or a motor that stalls sooner would help.",
            Nearest::Section(_, at, _) if at.stalled => {
                " A wider or deeper bar, a stronger material or a motor that stalls sooner would help."
            }
            _ => " A wider or deeper bar or a stronger material would help.",
        };
    }
    if let (Some(stop), false) = (&strength.stop, matches!(worst, Nearest::Stop(_))) {
        text += &format!(" {}", stop_text(stop));
    }
    if let Some(pin) = &strength.pin {
        text += &format!(" {}", pin_text(project, pin));
    }
    let trial = strength.bars.iter().find(|bar| bar.known.is_some_and(|material| material.for_trial_only));
    let finding = if let Some(trial) = trial {
        text = format!(
            "The {} is of {}, which is for trial fits: hang nothing from it. {text}",
            trial.bar.words(),
            trial.material
        );
        RuleFinding::failing(Rule::BarsHold, "")
    } else {
        RuleFinding::with_margin(Rule::BarsHold, margin, "")
    };
    finding.at(s, name, &points).saying(text)
}

fn at_stop(analysis: &Analysis) -> crate::pose::Pose {
    analysis.stop.contact.as_ref().map_or_else(|| analysis.pose_at(1.0), |contact| contact.pose)
}

fn when(stalled: bool, s: f64) -> String {
    if stalled { "with the motor stalled at the stop".into() } else { format!("at {} of the travel", percent(s)) }
}

fn place(project: &Project, bar: PartName, along: f64) -> String {
    let along = show_length(along, project.units());
    match bar {
        PartName::LowerArm | PartName::UpperArm => format!("{along} from its wall pivot"),
        _ => format!("{along} above its lower end"),
    }
}

fn stop_text(stop: &StopPressure) -> String {
    let how = if stop.face > 0.0 { "on the stop's face" } else { "on a line at the stop" };
    format!(
        "The motor stalled, {} N press {how} with {} MPa; it begins to yield at {} MPa, {} times that force.",
        number(stop.force, 0),
        number(stop.pressure, 0),
        number(stop.yields_at, 0),
        number(stop.safety, 1)
    )
}

/// A pin's own material is not in the project, so it is told, not judged.
fn pin_text(project: &Project, pin: &PinStress) -> String {
    let bore = crate::parts::pivot_bore(project);
    format!(
        "A hinge pin of {} bends with {} MPa {}: take steel that yields at {} MPa or more.",
        show_length(bore, project.units()),
        number(pin.stress, 0),
        when(pin.stalled, pin.s),
        number(project.safeties().bars * pin.stress, 0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{MaterialWanted, Options, OwnMaterial, analyse};

    fn complete() -> Project {
        crate::samples::complete_board()
    }

    fn found(project: &Project) -> RuleFinding {
        let analysis = analyse(project, &Options { poses: 61, swept: false });
        analysis.rules.into_iter().find(|found| found.rule == Rule::BarsHold).expect("the rule")
    }

    #[test]
    fn the_board_holds_and_says_how_far() {
        let found = found(&complete());
        assert_eq!(found.holds, Some(true), "{}", found.text);
        assert!(found.margin.is_some_and(|margin| (0.2..10.0).contains(&margin)), "{found:?}");
        assert!(found.text.contains("stop") && found.text.contains("hinge pin"), "{}", found.text);
    }

    #[test]
    fn thin_arms_do_not_hold_and_are_named() {
        let mut project = complete();
        project.bars.upper_arm.width = 10.0;
        project.bars.upper_arm.depth = 6.0;
        project.bars.lower_arm.depth = 6.0;
        let found = found(&project);
        assert_eq!(found.holds, Some(false), "{}", found.text);
        assert!(found.text.contains("arm") && found.text.contains("would help"), "{}", found.text);
        assert!(found.place.is_some() && found.s.is_some());
    }

    #[test]
    fn materials_by_name_the_users_own_and_unknown() {
        let mut project = complete();
        let own = OwnMaterial {
            name: "6013-T6".into(),
            density: 2710.0,
            yield_strength: 340.0,
            modulus: 69_000.0,
            more: crate::More::default(),
        };
        let base = found(&project).margin.expect("it holds");
        for arm in [&mut project.bars.lower_arm, &mut project.bars.upper_arm] {
            arm.material = Some(MaterialWanted::Own(own.clone()));
        }
        assert_eq!(project.validate(), Ok(()));
        let stronger = found(&project);
        assert!(stronger.margin.is_some_and(|margin| margin > base), "{}", stronger.text);
        project.bars.upper_arm.material = Some(MaterialWanted::Own(OwnMaterial { yield_strength: 0.0, ..own }));
        let refusal = project.validate().expect_err("no strength");
        assert_eq!(refusal.path, "bars.upper_arm.material.yield_strength");
        project.bars.upper_arm.material = Some("moon rock".into());
        project.bars.upper_arm.mass = Some(1.0);
        let unknown = found(&project);
        assert_eq!((unknown.holds, unknown.margin), (None, None));
        assert!(unknown.text.contains("moon rock") && unknown.text.contains("yield_strength"), "{}", unknown.text);
        project.bars.upper_arm.material = Some("plywood".into());
        let trial = found(&project);
        assert_eq!(trial.holds, Some(false));
        assert!(trial.text.contains("trial fits"), "{}", trial.text);
    }

    #[test]
    fn nothing_left_and_nothing_known() {
        let mut project = complete();
        project.bars.lower_arm.width = 20.0;
        project.joints.as_mut().expect("joints").seat_in = Some(crate::SeatIn::Arms);
        let severed = found(&project);
        assert_eq!(severed.holds, Some(false));
        assert!(severed.text.contains("Nothing is left of the lower arm"), "{}", severed.text);
        let mut project = complete();
        project.drive = None;
        let unknown = found(&project);
        assert_eq!(unknown.holds, None);
        assert!(unknown.text.contains("drive"), "{}", unknown.text);
    }
}
