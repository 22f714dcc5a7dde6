//! Forces, drive, strength, fits and gaps as files and scripts read them.

use serde::Serialize;

use crate::analysis::Analysis;
use crate::drive_figures::DriveFigures;
use crate::drive_train::BackDriving;
use crate::fall::SECOND_RETENTION;
use crate::kick_device::{KickChoice, KickDevice};
use crate::materials::Material;
use crate::pinch::pinches;
use crate::press_fit::Pressed;
use crate::project::{PartName, Project, SeatIn};
use crate::seat::{Seat, pin_interference, smallest_hub};
use crate::start::{MovedPlace, Start};
use crate::statics::HINGES;
use crate::strength::{BarStrength, Strength};

/// Everything about forces; a part that is not known is `null`.
#[derive(Clone, Debug, Serialize)]
pub(super) struct LoadRows {
    drive: Option<DriveRow>,
    start: Option<StartRow>,
    fall: Option<FallRow>,
    kick_device: Option<KickRow>,
    pinch: Vec<PinchRow>,
    strength: Option<StrengthRow>,
    fits: FitsRow,
    defaults: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
struct DriveRow {
    drum_torque_nm: f64,
    drum_torque_s: f64,
    motor_torque_needed_nm: Option<f64>,
    motor_torque_nm: Option<f64>,
    drum_rpm: Option<f64>,
    strap_speed_mm_s: Option<[f64; 2]>,
    power_at_strap_w: Option<f64>,
    power_at_motor_w: Option<f64>,
    drum_turns: Option<f64>,
    full_radius_mm: f64,
    dead_wraps: f64,
    rise_time_s: Option<f64>,
    back_driving: Option<&'static str>,
    back_driving_text: Option<&'static str>,
    stalled: Option<StallRow>,
}

#[derive(Clone, Debug, Serialize)]
struct StallRow {
    strap_n: f64,
    at_stop_n: f64,
    at_stop_per_strap: f64,
    pin_n: [f64; 4],
}

#[derive(Clone, Debug, Serialize)]
struct StartRow {
    rise_nmm_per_rad: f64,
    strap_mm_per_rad: f64,
    tension_n: Option<f64>,
    angle_deg: f64,
    worst_n: Option<f64>,
    worst_s: Option<f64>,
    falls_to_limit_s: Option<f64>,
    least_push_n: Option<f64>,
    stroke_mm: Option<f64>,
    push_at: Option<[f64; 2]>,
    moved: Vec<MovedRow>,
}

/// Tension at hung with one coordinate of anchor or drum moved.
#[derive(Clone, Debug, Serialize)]
struct MovedRow {
    what: &'static str,
    by_mm: [f64; 2],
    tension_n: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct FallRow {
    energy_j: f64,
    speed_m_s: f64,
    caution: &'static str,
}

#[derive(Clone, Debug, Serialize)]
struct KickRow {
    take: Option<&'static str>,
    least_push_n: f64,
    stroke_mm: f64,
    seating_n: Option<f64>,
    spring: SpringRow,
    cam: CamRow,
    text: String,
}

#[derive(Clone, Debug, Serialize)]
struct SpringRow {
    compressed_n: f64,
    extended_n: f64,
    rate_n_mm: f64,
    allowed_n: f64,
}

#[derive(Clone, Debug, Serialize)]
struct CamRow {
    force_n: f64,
    lift_mm: f64,
    turn_deg: f64,
    torque_nm: f64,
    base_radius_mm: f64,
}

#[derive(Clone, Debug, Serialize)]
struct PinchRow {
    parts: [PartName; 2],
    feature: Option<String>,
    body: &'static str,
    gap_wanted_mm: f64,
    under_mm: f64,
    least_mm: f64,
    least_s: f64,
    s: [f64; 2],
    points: [[f64; 2]; 2],
    text: String,
}

#[derive(Clone, Debug, Serialize)]
struct StrengthRow {
    bars: Vec<BarRow>,
    stop: Option<StopPressureRow>,
    pin: Option<PinStressRow>,
}

#[derive(Clone, Debug, Serialize)]
struct BarRow {
    bar: PartName,
    material: String,
    source: Option<&'static str>,
    yield_mpa: Option<f64>,
    severed_mm: Option<f64>,
    worst: Option<SectionRow>,
    buckling: Option<BucklingRow>,
}

#[derive(Clone, Debug, Serialize)]
struct SectionRow {
    along_mm: f64,
    s: f64,
    stalled: bool,
    axial_n: f64,
    bending_nmm: f64,
    offset_bending_nmm: f64,
    sideways_bending_nmm: f64,
    area_mm2: f64,
    stress_mpa: f64,
    safety: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct BucklingRow {
    force_n: f64,
    critical_n: f64,
    slenderness: f64,
    s: f64,
    stalled: bool,
    safety: f64,
}

#[derive(Clone, Debug, Serialize)]
struct StopPressureRow {
    force_n: f64,
    depth_mm: f64,
    face_mm: f64,
    pressure_mpa: f64,
    yields_at_mpa: f64,
    safety: f64,
}

#[derive(Clone, Debug, Serialize)]
struct PinStressRow {
    hinge: [PartName; 2],
    force_n: f64,
    reach_mm: f64,
    stress_mpa: f64,
    s: f64,
    stalled: bool,
}

/// The bearings' seats, all alike; `missing` says why there is none.
#[derive(Clone, Debug, Serialize)]
struct FitsRow {
    missing: Option<String>,
    seat: Option<SeatRow>,
}

#[derive(Clone, Debug, Serialize)]
struct SeatRow {
    bearing: String,
    seats: u32,
    seat_in: SeatIn,
    go_mm: f64,
    no_go_mm: f64,
    interference_mm: [f64; 2],
    pin_interference_mm: Option<[f64; 2]>,
    hub_outside_mm: f64,
    least: Option<PressedRow>,
    most: Option<PressedRow>,
    play_lost_mm: Option<[f64; 2]>,
    loose_when_warmer_by_k: Option<f64>,
    heating_k: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct PressedRow {
    pressure_mpa: f64,
    hub_stress_mpa: f64,
    ring_stress_mpa: f64,
    press_n: f64,
}

impl LoadRows {
    pub(super) fn new(project: &Project, analysis: &Analysis) -> Self {
        let forces = analysis.forces.as_ref().ok();
        let units = project.units();
        let pinch = pinches(project, analysis).into_iter().map(|found| PinchRow {
            parts: found.parts,
            feature: found.feature.clone(),
            body: found.body.words(),
            gap_wanted_mm: found.body.least_gap(),
            under_mm: found.under,
            least_mm: found.least,
            least_s: found.least_s,
            s: found.s,
            points: found.points.map(|p| [p.x, p.y]),
            text: found.sentence(units),
        });
        Self {
            drive: drive_row(project, analysis),
            start: forces.and_then(|forces| forces.start.as_ref()).map(start_row),
            fall: forces.and_then(|forces| forces.fall).map(|fall| FallRow {
                energy_j: fall.energy,
                speed_m_s: fall.speed,
                caution: SECOND_RETENTION,
            }),
            kick_device: forces.and_then(|forces| forces.kick.as_ref()).map(|kick| kick_row(kick, project)),
            pinch: pinch.collect(),
            strength: analysis.strength.as_ref().map(strength_row),
            fits: fits_row(project, analysis),
            defaults: defaults(project),
        }
    }
}

fn drive_row(project: &Project, analysis: &Analysis) -> Option<DriveRow> {
    let found = DriveFigures::new(project, analysis)?;
    let stall = analysis.forces.as_ref().ok().and_then(|forces| forces.stall);
    Some(DriveRow {
        drum_torque_nm: found.drum_torque.0,
        drum_torque_s: found.drum_torque.1,
        motor_torque_needed_nm: found.motor_torque_needed,
        motor_torque_nm: found.motor_torque,
        drum_rpm: found.drum_rpm,
        strap_speed_mm_s: found.strap_speed,
        power_at_strap_w: found.power.map(|power| power[0]),
        power_at_motor_w: found.power.map(|power| power[1]),
        drum_turns: found.turns,
        full_radius_mm: found.full_radius,
        dead_wraps: found.dead_wraps.0,
        rise_time_s: found.rise_time,
        back_driving: found.back_driving.map(|verdict| match verdict {
            BackDriving::Holds => "holds",
            BackDriving::Uncertain => "uncertain",
            BackDriving::RunsBack => "runs_back",
        }),
        back_driving_text: found.back_driving.map(BackDriving::sentence),
        stalled: stall.map(|stall| StallRow {
            strap_n: stall.strap,
            at_stop_n: stall.at_stop,
            at_stop_per_strap: stall.at_stop_per_strap,
            pin_n: stall.hinges,
        }),
    })
}

fn start_row(start: &Start) -> StartRow {
    let moved = start.moved.iter().map(|moved| MovedRow {
        what: match moved.what {
            MovedPlace::Anchor => "anchor",
            MovedPlace::Drum => "drum",
        },
        by_mm: [moved.by.x, moved.by.y],
        tension_n: moved.tension,
    });
    StartRow {
        rise_nmm_per_rad: start.at_hung.rise,
        strap_mm_per_rad: start.at_hung.strap_rate,
        tension_n: start.at_hung.tension,
        angle_deg: start.angle.to_degrees(),
        worst_n: start.worst.map(|worst| worst.0),
        worst_s: start.worst.map(|worst| worst.1),
        falls_to_limit_s: start.falls_to_limit,
        least_push_n: start.push.map(|push| push.force),
        stroke_mm: start.push.map(|push| push.stroke),
        push_at: start.push.map(|push| [push.at.x, push.at.y]),
        moved: moved.collect(),
    }
}

fn kick_row(kick: &KickDevice, project: &Project) -> KickRow {
    KickRow {
        take: match kick.choice {
            KickChoice::None => None,
            KickChoice::Spring => Some("spring"),
            KickChoice::Cam => Some("cam"),
        },
        least_push_n: kick.push.force,
        stroke_mm: kick.push.stroke,
        seating_n: kick.seating,
        spring: SpringRow {
            compressed_n: kick.spring.compressed,
            extended_n: kick.spring.extended,
            rate_n_mm: kick.spring.rate,
            allowed_n: kick.spring.allowed,
        },
        cam: CamRow {
            force_n: kick.cam.force,
            lift_mm: kick.cam.lift,
            turn_deg: kick.cam.turn.to_degrees(),
            torque_nm: 1e-3 * kick.cam.torque,
            base_radius_mm: kick.cam.base_radius,
        },
        text: kick.sentence(project.units()),
    }
}

fn strength_row(strength: &Strength) -> StrengthRow {
    StrengthRow {
        bars: strength.bars.iter().map(bar_row).collect(),
        stop: strength.stop.map(|stop| StopPressureRow {
            force_n: stop.force,
            depth_mm: stop.depth,
            face_mm: stop.face,
            pressure_mpa: stop.pressure,
            yields_at_mpa: stop.yields_at,
            safety: stop.safety,
        }),
        pin: strength.pin.map(|pin| PinStressRow {
            hinge: HINGES[pin.hinge],
            force_n: pin.force,
            reach_mm: pin.reach,
            stress_mpa: pin.stress,
            s: pin.s,
            stalled: pin.stalled,
        }),
    }
}

fn bar_row(bar: &BarStrength) -> BarRow {
    BarRow {
        bar: bar.bar,
        material: bar.material.clone(),
        source: bar.known.map(|known| known.source),
        yield_mpa: bar.known.map(|known| known.yield_strength),
        severed_mm: bar.severed,
        worst: bar.worst.map(|worst| SectionRow {
            along_mm: worst.along,
            s: worst.s,
            stalled: worst.stalled,
            axial_n: worst.axial,
            bending_nmm: worst.in_view,
            offset_bending_nmm: worst.offset,
            sideways_bending_nmm: worst.sideways,
            area_mm2: worst.area,
            stress_mpa: worst.stress,
            safety: worst.safety,
        }),
        buckling: bar.buckling.map(|press| BucklingRow {
            force_n: press.force,
            critical_n: press.critical,
            slenderness: press.slenderness,
            s: press.s,
            stalled: press.stalled,
            safety: press.safety,
        }),
    }
}

fn fits_row(project: &Project, analysis: &Analysis) -> FitsRow {
    let Some(joints) = &project.joints else {
        return FitsRow { missing: Some("joints is missing: give a bearing and its housing".into()), seat: None };
    };
    let seat = match Seat::wanted(joints) {
        Ok(seat) => seat,
        Err(why) => return FitsRow { missing: Some(why.to_string()), seat: None },
    };
    let bars = &project.bars;
    // The softest of the bars that hold seats gives the least grip and the most give.
    let held = match seat.seat_in {
        SeatIn::Bars => [&bars.wall_bar.material, &bars.panel_bar.material],
        SeatIn::Arms => [&bars.lower_arm.material, &bars.upper_arm.material],
    };
    let known = held.into_iter().filter_map(|wanted| Material::wanted(wanted.as_ref()));
    let softest = known.min_by(|one, other| one.modulus.total_cmp(&other.modulus));
    let hub_outside_mm = smallest_hub(&analysis.lift, seat.seat_in);
    let fit = softest.and_then(|material| seat.fit(hub_outside_mm, material.elastic()));
    let pressed = |pressed: Pressed| PressedRow {
        pressure_mpa: pressed.pressure,
        hub_stress_mpa: pressed.hub_stress,
        ring_stress_mpa: pressed.ring_stress,
        press_n: pressed.force,
    };
    let pin = joints.pin.as_deref().and_then(|class| pin_interference(&seat.bearing, class).ok());
    FitsRow {
        missing: None,
        seat: Some(SeatRow {
            bearing: seat.bearing.name.clone(),
            seats: seat.count(),
            seat_in: seat.seat_in,
            go_mm: seat.go(),
            no_go_mm: seat.no_go(),
            interference_mm: [seat.least, seat.most],
            pin_interference_mm: pin,
            hub_outside_mm,
            least: fit.map(|fit| pressed(fit.least)),
            most: fit.map(|fit| pressed(fit.most)),
            play_lost_mm: fit.map(|fit| fit.play_lost),
            loose_when_warmer_by_k: fit.and_then(|fit| fit.loose_when_warmer_by),
            heating_k: fit.map(|fit| fit.heating),
        }),
    }
}

/// What was taken because the project does not say: common practice, each marked as such.
pub(crate) fn defaults(project: &Project) -> Vec<String> {
    let mut told = Vec::new();
    let mut tell = |is_default: bool, text: String| {
        if is_default {
            told.push(format!("{text} (default, common practice)."));
        }
    };
    let bars = &project.bars;
    let materials =
        [&bars.wall_bar.material, &bars.panel_bar.material, &bars.lower_arm.material, &bars.upper_arm.material];
    tell(
        materials.iter().any(|given| given.is_none()),
        format!("Bars without a material are of {}", crate::materials::DEFAULT),
    );
    if let Some(joints) = project.joints.as_ref().filter(|joints| joints.bearing.is_some()) {
        tell(joints.friction.is_none(), format!("Friction at the bearings' bore is {}", joints.friction()));
        tell(joints.per_hinge.is_none(), "One bearing is in each hinge".into());
        tell(joints.seat_in.is_none(), "Seats are in wall and panel bars, pins fixed in the arms".into());
    }
    if let Some((span, false)) = crate::sideways::bearing_span(project) {
        let span = crate::units::show_length(span, project.units());
        tell(true, format!("A hinge's two bearings are {span} apart, at the faces of their layer"));
    }
    if let Some(drive) = &project.drive {
        tell(drive.dead_wraps.is_none(), format!("{} turns of strap stay on the drum when hung", drive.dead_wraps()));
        tell(drive.z.is_none(), "Strap and drum lie in the panel's middle".into());
    }
    tell(project.panel.rests.is_none(), "The panel rests on the wall at its bottom and top edge".into());
    if let Some(fixings) = project.fixings.as_ref().filter(|given| given.into != Some(crate::project::FixedInto::Solid))
    {
        tell(fixings.into.is_none(), "The wall bar's screws go into wood".into());
        tell(fixings.screw.is_none(), "They are wood screws".into());
        tell(fixings.duration.is_none(), "Their load always hangs: factor 0.9".into());
    }
    if let Some(fixings) = &project.fixings {
        tell(fixings.spacing.is_none(), "The wall bar's screws are spread evenly over it".into());
        let about_middle = fixings.edge.is_none() && fixings.spacing.is_some();
        tell(about_middle, "The wall bar's screws stand about its middle".into());
    }
    tell(true, "Panel bars are held at their ends; 50 N push sideways on the panel".into());
    told
}
