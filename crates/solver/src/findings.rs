//! What an analysis found, in the names and units that files and scripts rely on.

use serde::Serialize;

use crate::analysis::Analysis;
use crate::clearance::Clearance;
use crate::errors::PartErrors;
use crate::lift::Lengths;
use crate::own_clearance::OwnClearance;
use crate::project::{PartName, Project};
use crate::rules::Rule;
use crate::solids::{BarSolid, Layer, LayerShape};
use crate::stop::StopKind;
use crate::stop_land::Land;
use crate::strap::Strap;
use crate::strap_clearance::StrapClearance;
use crate::swept::{Region, Swept};
use crate::uncovering::{Seen, Uncovering};

/// The findings of one analysis: angles in degrees, lengths in mm, a missing number is `null`.
#[derive(Clone, Debug, Serialize)]
pub struct Findings {
    format: &'static str,
    version: u32,
    title: String,
    verdict: &'static str,
    lengths_mm: Lengths,
    class: &'static str,
    class_nearest_zero_mm: f64,
    travel_deg: f64,
    missing_deg: f64,
    events: Vec<EventRow>,
    poses: Vec<PoseRow>,
    clearance: ClearanceRows,
    stop: StopRow,
    uncover: Option<UncoverRow>,
    own: Vec<OwnRow>,
    strap: Option<StrapRow>,
    solids: Vec<SolidRow>,
    shared_layers: Vec<SharedRow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    swept: Option<SweptRow>,
    /// Only where errors of parts were drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    part_errors: Option<PartErrors>,
    rules: Vec<RuleRow>,
}

#[derive(Clone, Debug, Serialize)]
struct EventRow {
    s: f64,
    text: String,
}

#[derive(Clone, Debug, Serialize)]
struct PoseRow {
    s: f64,
    lower_arm_deg: f64,
    upper_arm_deg: f64,
    x: f64,
    y: f64,
    tilt_deg: f64,
    transmission_deg: f64,
    lever_mm: f64,
    strap_tension_n: Option<f64>,
    strap_tension_frictionless_n: Option<f64>,
    strap_free_mm: Option<f64>,
    strap_taken_in_mm: Option<f64>,
    drum_turns: Option<f64>,
    drum_radius_mm: Option<f64>,
    pin_n: PinRow,
    panel_to_room_mm: Option<f64>,
    bars_to_room_mm: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct PinRow {
    wall_lower: Option<f64>,
    wall_upper: Option<f64>,
    panel_lower: Option<f64>,
    panel_upper: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct ClearanceRows {
    panel: Option<ClearanceRow>,
    bars: Option<ClearanceRow>,
    panel_to_wall: Option<ClearanceRow>,
    bars_to_wall: Option<ClearanceRow>,
}

#[derive(Clone, Debug, Serialize)]
struct ClearanceRow {
    mm: f64,
    s: f64,
    part: PartName,
    feature: String,
    points: [[f64; 2]; 2],
}

#[derive(Clone, Debug, Serialize)]
struct StopRow {
    found: bool,
    parts: Option<[PartName; 2]>,
    travel_deg: Option<f64>,
    kind: Option<StopKind>,
    points: Vec<[f64; 2]>,
    dead_point_beyond_deg: Option<f64>,
    upper_arm_dead_point_beyond_deg: Option<f64>,
    along_mm: Option<[f64; 2]>,
    line_mm: Option<f64>,
    face_mm: f64,
    lever_mm: Option<f64>,
    land: Option<LandRow>,
    land_offer: Option<LandRow>,
    closing_mm_per_deg: Option<f64>,
}

/// A land that is cut, or one that is offered, and the travel at which it bears.
#[derive(Clone, Debug, Serialize)]
struct LandRow {
    cut_in: PartName,
    length_mm: f64,
    depth_mm: f64,
    travel_deg: f64,
}

/// What is free of the wall when parked; `seen_up_to_mm` is `null` without an eye and where no
/// height says it, for which `seen` is `"all"` or `"nothing"`.
#[derive(Clone, Debug, Serialize)]
struct UncoverRow {
    lowest: [f64; 2],
    part: PartName,
    free_mm: f64,
    seen: Option<&'static str>,
    seen_up_to_mm: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct OwnRow {
    parts: [PartName; 2],
    mm: f64,
    s: f64,
    points: [[f64; 2]; 2],
}

/// The strap over the whole travel.
#[derive(Clone, Debug, Serialize)]
struct StrapRow {
    /// Up to where there is a straight run: 1, or where the strap's end meets the drum.
    runs_until_s: f64,
    most_taken_in_mm: f64,
    fullest_radius_mm: f64,
    fullest_s: f64,
    paid_out: Vec<PaidOutRow>,
    clearance: Vec<StrapClearanceRow>,
}

/// A stretch of the travel on which the strap's end moves away from the drum.
#[derive(Clone, Debug, Serialize)]
struct PaidOutRow {
    from_s: f64,
    to_s: f64,
    mm: f64,
}

#[derive(Clone, Debug, Serialize)]
struct StrapClearanceRow {
    parts: [PartName; 2],
    feature: Option<String>,
    mm: f64,
    s: f64,
    points: [[f64; 2]; 2],
}

/// One layer of one bar in the bar's frame; vertices as x, y and bulge.
#[derive(Clone, Debug, Serialize)]
struct SolidRow {
    bar: PartName,
    layer: Layer,
    depth_mm: f64,
    pieces: Vec<Vec<[f64; 3]>>,
    bores: Vec<BoreRow>,
    handed: bool,
}

/// A bore in the bar's frame and how far its edge is from the layer's nearest edge.
#[derive(Clone, Debug, Serialize)]
struct BoreRow {
    name: &'static str,
    centre: [f64; 2],
    diameter_mm: f64,
    edge_mm: f64,
}

/// Layers in which two bars both have material, and the hinge that joins them.
#[derive(Clone, Debug, Serialize)]
struct SharedRow {
    parts: [PartName; 2],
    layers: Vec<Layer>,
    hinge: Option<&'static str>,
}

/// What is swept from hung to parked; there only where the analysis was asked for it.
#[derive(Clone, Debug, Serialize)]
struct SweptRow {
    panel: RegionRow,
    /// Both arms and the panel bar together.
    bars: RegionRow,
}

/// A region in side view: its area without holes, mm², and its closed contours, the first point not
/// told again; outer ones counter-clockwise, holes clockwise.
#[derive(Clone, Debug, Serialize)]
struct RegionRow {
    area_mm2: f64,
    contours: Vec<Vec<[f64; 2]>>,
}

#[derive(Clone, Debug, Serialize)]
struct RuleRow {
    rule: Rule,
    holds: Option<bool>,
    near: bool,
    margin: Option<f64>,
    unit: &'static str,
    s: Option<f64>,
    #[serde(rename = "where")]
    place: Option<String>,
    text: String,
}

impl Findings {
    /// The findings of an analysis of this project.
    #[must_use]
    pub fn new(project: &Project, analysis: &Analysis) -> Self {
        let clearances = &analysis.clearances;
        Self {
            format: "overarm-findings",
            version: 1,
            title: project.title().to_owned(),
            verdict: if analysis.holds() { "holds" } else { "fails" },
            lengths_mm: analysis.lift.lengths,
            class: analysis.lift.class.name,
            class_nearest_zero_mm: analysis.lift.class.nearest_zero_mm,
            travel_deg: analysis.travel.turn.to_degrees(),
            missing_deg: analysis.travel.missing.to_degrees(),
            events: analysis
                .travel
                .events
                .iter()
                .map(|event| EventRow { s: event.s, text: event.text.clone() })
                .collect(),
            poses: (0..analysis.poses.len()).map(|index| pose_row(analysis, index)).collect(),
            clearance: ClearanceRows {
                panel: clearances.panel.as_ref().map(clearance_row),
                bars: clearances.bars.as_ref().map(clearance_row),
                panel_to_wall: clearances.panel_to_wall.as_ref().map(clearance_row),
                bars_to_wall: clearances.bars_to_wall.as_ref().map(clearance_row),
            },
            stop: stop_row(analysis),
            uncover: project.room.uncover.as_ref().map(|wanted| uncover_row(&Uncovering::parked(wanted, analysis))),
            own: analysis.own.iter().map(own_row).collect(),
            strap: analysis.strap.as_ref().map(|strap| strap_row(analysis, strap)),
            solids: analysis.solids.bars.iter().flat_map(solid_rows).collect(),
            shared_layers: analysis
                .solids
                .shared_layers()
                .into_iter()
                .map(|shared| SharedRow { parts: shared.parts, layers: shared.layers, hinge: shared.hinge })
                .collect(),
            swept: analysis.swept.as_ref().map(swept_row),
            part_errors: analysis.errors.clone(),
            rules: analysis
                .rules
                .iter()
                .map(|found| RuleRow {
                    rule: found.rule,
                    holds: found.holds,
                    near: found.near,
                    margin: found.margin,
                    unit: found.unit,
                    s: found.s,
                    place: found.place.clone(),
                    text: found.text.clone(),
                })
                .collect(),
        }
    }
}

fn pose_row(analysis: &Analysis, index: usize) -> PoseRow {
    let figures = &analysis.poses[index];
    let pose = &figures.pose;
    let forces = analysis.forces.as_ref().ok().and_then(|forces| forces.poses.get(index).copied().flatten());
    let hinge = |of: usize| forces.and_then(|forces| forces.hinges).map(|loads| loads[of]);
    let origin = pose.origin();
    let strap = analysis.strap.as_ref().and_then(|strap| strap.at(pose));
    PoseRow {
        s: pose.s,
        lower_arm_deg: pose.lower_arm.to_degrees(),
        upper_arm_deg: pose.upper_arm.to_degrees(),
        x: origin.x,
        y: origin.y,
        tilt_deg: pose.tilt.to_degrees(),
        transmission_deg: pose.transmission.to_degrees(),
        lever_mm: analysis.lift.lever(pose),
        strap_tension_n: forces.and_then(|forces| forces.tension),
        strap_tension_frictionless_n: forces.and_then(|forces| forces.tension_frictionless),
        strap_free_mm: strap.map(|strap| strap.free),
        strap_taken_in_mm: strap.map(|strap| strap.taken_in),
        drum_turns: strap.and_then(|strap| strap.turns),
        drum_radius_mm: strap.map(|strap| strap.outer_radius),
        pin_n: PinRow { wall_lower: hinge(0), wall_upper: hinge(1), panel_lower: hinge(2), panel_upper: hinge(3) },
        panel_to_room_mm: figures.panel_to_room,
        bars_to_room_mm: figures.bars_to_room,
    }
}

fn clearance_row(clearance: &Clearance) -> ClearanceRow {
    ClearanceRow {
        mm: clearance.mm,
        s: clearance.s,
        part: clearance.part,
        feature: clearance.feature.clone(),
        points: clearance.points.map(|p| [p.x, p.y]),
    }
}

fn own_row(own: &OwnClearance) -> OwnRow {
    OwnRow { parts: own.parts, mm: own.mm, s: own.s, points: own.points.map(|p| [p.x, p.y]) }
}

fn strap_row(analysis: &Analysis, strap: &Strap) -> StrapRow {
    let s = |walked: f64| analysis.travel.s_at(&analysis.lift, walked);
    let (most_taken_in, fullest) = strap.most_taken_in();
    let paid_out = |stretch: &[f64; 2]| {
        let [from_s, to_s] = stretch.map(s);
        PaidOutRow { from_s, to_s, mm: strap.paid_out(*stretch) }
    };
    StrapRow {
        runs_until_s: if strap.runs_all_the_way() { 1.0 } else { s(strap.reach()) },
        most_taken_in_mm: most_taken_in,
        fullest_radius_mm: strap.fullest_radius(),
        fullest_s: s(fullest),
        paid_out: strap.pays_out().iter().map(paid_out).collect(),
        clearance: analysis.strap_clearances.iter().map(strap_clearance_row).collect(),
    }
}

fn strap_clearance_row(found: &StrapClearance) -> StrapClearanceRow {
    StrapClearanceRow {
        parts: found.parts,
        feature: found.feature.clone(),
        mm: found.mm,
        s: found.s,
        points: found.points.map(|p| [p.x, p.y]),
    }
}

fn solid_rows(bar: &BarSolid) -> impl Iterator<Item = SolidRow> + '_ {
    let handed = bar.is_handed();
    bar.layers.iter().map(move |shape| SolidRow {
        bar: bar.name,
        layer: shape.layer,
        depth_mm: shape.depth,
        pieces: shape.pieces.iter().map(|piece| piece.iter().map(|v| [v.at.x, v.at.y, v.bulge]).collect()).collect(),
        bores: bore_rows(shape),
        handed,
    })
}

fn swept_row(swept: &Swept) -> SweptRow {
    let region = |region: &Region| RegionRow {
        area_mm2: region.area(),
        contours: region.contours.iter().map(|contour| contour.iter().map(|p| [p.x, p.y]).collect()).collect(),
    };
    SweptRow { panel: region(&swept.panel), bars: region(&swept.bars) }
}

fn bore_rows(shape: &LayerShape) -> Vec<BoreRow> {
    let rows = shape.bores.iter().zip(shape.edge_distances()).map(|(bore, edge_mm)| BoreRow {
        name: bore.name,
        centre: [bore.centre.x, bore.centre.y],
        diameter_mm: bore.diameter,
        edge_mm,
    });
    rows.collect()
}

fn uncover_row(found: &Uncovering) -> UncoverRow {
    let (seen, up_to) = match found.seen {
        None => (None, None),
        Some(Seen::UpTo(height)) => (Some("up_to"), Some(height)),
        Some(Seen::All) => (Some("all"), None),
        Some(Seen::Nothing | Seen::EyeInWall) => (Some("nothing"), None),
    };
    UncoverRow {
        lowest: [found.lowest.x, found.lowest.y],
        part: found.part,
        free_mm: found.free,
        seen,
        seen_up_to_mm: up_to,
    }
}

fn land_row(land: &Land, turn: f64) -> LandRow {
    LandRow { cut_in: land.cut_arm.part(), length_mm: land.length, depth_mm: land.depth, travel_deg: turn.to_degrees() }
}

fn stop_row(analysis: &Analysis) -> StopRow {
    let contact = analysis.stop.contact.as_ref();
    StopRow {
        found: contact.is_some(),
        parts: contact.map(|contact| contact.parts),
        travel_deg: contact.map(|contact| contact.turn.to_degrees()),
        kind: analysis.stop.kind,
        points: contact.map(|contact| contact.points.map(|p| [p.x, p.y]).to_vec()).unwrap_or_default(),
        dead_point_beyond_deg: analysis.stop.dead_point_beyond.map(f64::to_degrees),
        upper_arm_dead_point_beyond_deg: analysis.stop.upper_dead_point_beyond.map(f64::to_degrees),
        along_mm: analysis.stop.along,
        line_mm: analysis.stop.line_length,
        face_mm: analysis.stop.face,
        lever_mm: analysis.stop.lever,
        land: analysis.stop.land.as_ref().map(|land| land_row(land, analysis.travel.turn)),
        land_offer: analysis.stop.land_offer.as_ref().map(|offer| land_row(&offer.land, offer.turn)),
        closing_mm_per_deg: analysis.stop.closing_speed.map(f64::to_radians),
    }
}
