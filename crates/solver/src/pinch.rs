//! Where fingers and hands are caught: gaps between parts that close on the travel from more than
//! spares a hand or a finger to less.
//!
//! Gaps of ISO 13854: 100 mm spare a hand, 25 mm a finger. Where a gap never opens as far but far
//! enough to reach in (ISO 13857, table 4, from memory: 20 mm a hand, 4 mm a finger), it catches
//! when it closes to less than that. A list for caution, not a rule: every
//! folding lift has such places, and people must be kept from them or told. Places are looked for at
//! equal steps of the travel, ends refined by halving; a gap that closes and opens again within a
//! step is not seen. Beside a hinge a gap is always small and nobody is in it, so arms are looked at
//! place by place along them. In a sandwich the arms pass each other like scissors: their gap is that of the
//! side view.

use crate::analysis::Analysis;
use crate::contact::Pair;
use crate::distance::{Gap, nearest_on_segment, segment_to_rectangle, with_radius};
use crate::fall::{BodyPart, goes_in};
use crate::lift::ArmName;
use crate::placed::Moving;
use crate::pose::Pose;
use crate::project::{PartName, Point, Project, Units};
use crate::room::{Against, RoomShape};
use crate::units::show_length;

/// Steps of the travel that are looked at.
const STEPS: u32 = 240;
/// Halvings of a step: to a millionth of it.
const HALVINGS: usize = 20;
/// Places along an arm.
const PLACES: u32 = 12;

/// A gap that closes on somebody.
#[derive(Clone, Debug, PartialEq)]
pub struct Pinch {
    /// Between whom.
    pub parts: [PartName; 2],
    /// What of the room: "wall", "ceiling", a solid's name.
    pub feature: Option<String>,
    /// Whom it catches.
    pub body: BodyPart,
    /// What the gap closes to less than, mm: what spares it, or what lets it in.
    pub under: f64,
    /// From and to where on the travel the gap is less than that.
    pub s: [f64; 2],
    /// The least gap there, mm; 0 where they touch or overlap in the side view.
    pub least: f64,
    /// Where that is.
    pub least_s: f64,
    /// The two nearest points there, side view.
    pub points: [Point; 2],
}

impl Pinch {
    /// Whether it closes while the panel rises.
    #[must_use]
    pub fn closes_rising(&self) -> bool {
        self.s[0] > 0.0
    }

    /// Whether it closes while the panel comes down.
    #[must_use]
    pub fn closes_coming_down(&self) -> bool {
        self.s[1] < 1.0
    }

    /// In plain words.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let [one, other] = self.parts;
        let other = self.feature.as_deref().unwrap_or_else(|| other.words());
        let when = match (self.closes_rising(), self.closes_coming_down()) {
            (true, true) => "both ways",
            (false, _) => "as the panel comes down",
            _ => "as the panel rises",
        };
        format!(
            "Between {} and {other} the gap closes {when} to {}, under {} from {:.0} to {:.0} % of the travel: it catches a {}, which {} would spare.",
            one.words(),
            show_length(self.least, units),
            show_length(self.under, units),
            100.0 * self.s[0],
            100.0 * self.s[1],
            self.body.words(),
            show_length(self.body.least_gap(), units)
        )
    }
}

/// Two things whose gap is watched.
#[derive(Clone, Copy)]
enum Watched {
    /// A place of the lower arm, a share of its length from the wall, and the upper arm.
    Arms(f64),
    /// A place of an arm and the panel.
    ArmOnPanel(ArmName, f64),
    /// Panel or panel bar and the wall bar.
    OnWallBar(Moving),
    Room(Moving, Against),
}

impl Watched {
    /// All of them; those of the same two things together.
    fn all() -> Vec<Vec<Self>> {
        let places = || (0..=PLACES).map(|place| f64::from(place) / f64::from(PLACES));
        let mut all = vec![places().map(Self::Arms).collect()];
        all.extend(ArmName::BOTH.map(|arm| places().map(|place| Self::ArmOnPanel(arm, place)).collect()));
        all.extend([Moving::Panel, Moving::PanelBar].map(|part| vec![Self::OnWallBar(part)]));
        let moving = [Moving::Panel, Moving::PanelBar, Moving::Arm(ArmName::Lower), Moving::Arm(ArmName::Upper)];
        all.extend(
            moving.into_iter().flat_map(|part| [Against::WallRun, Against::Rest].map(|of| vec![Self::Room(part, of)])),
        );
        all
    }

    fn gap(self, analysis: &Analysis, room: &RoomShape, pose: &Pose) -> Option<(Gap, Option<String>)> {
        let lift = &analysis.lift;
        let on = |arm: ArmName, place: f64| {
            let [from, to] = lift.arm_axis(arm, pose);
            from + place * (to - from)
        };
        match self {
            Self::Arms(place) => {
                let at = on(ArmName::Lower, place);
                let other = nearest_on_segment(at, lift.arm_axis(ArmName::Upper, pose));
                let radii = [lift.lower_arm_radius(), lift.upper_arm_radius()];
                let apart = other - at;
                let along = apart.try_normalize(1e-9).unwrap_or_default();
                let gap = Gap {
                    mm: apart.norm() - radii[0] - radii[1],
                    on_first: at + radii[0] * along,
                    on_second: other - radii[1] * along,
                };
                Some((gap, None))
            }
            Self::ArmOnPanel(arm, place) => {
                let at = pose.room_from_panel.inverse_transform_point(&on(arm, place));
                let gap = with_radius(segment_to_rectangle([at; 2], &lift.panel), lift.arm_radius(arm));
                let out = |p: Point| pose.room_from_panel * p;
                Some((Gap { mm: gap.mm, on_first: out(gap.on_first), on_second: out(gap.on_second) }, None))
            }
            Self::OnWallBar(part) => Some((Pair::OnWallBar(part).gap(lift, room, pose)?, None)),
            Self::Room(part, against) => {
                let found = room.gap(&part.placed(lift, pose), against)?;
                Some((found.gap, Some(room.words(found.feature))))
            }
        }
    }

    fn parts(self) -> [PartName; 2] {
        match self {
            Self::Arms(_) => [PartName::LowerArm, PartName::UpperArm],
            Self::ArmOnPanel(arm, _) => [arm.part(), PartName::Panel],
            Self::OnWallBar(part) => [PartName::WallBar, part.name()],
            Self::Room(part, _) => [part.name(), PartName::Room],
        }
    }
}

/// Every gap that closes on a hand or a finger, the smallest first.
#[must_use]
pub fn pinches(project: &Project, analysis: &Analysis) -> Vec<Pinch> {
    let room = RoomShape::new(&project.room);
    let poses: Vec<Pose> = (0..=STEPS).map(|step| analysis.pose_at(f64::from(step) / f64::from(STEPS))).collect();
    let mut found = Vec::new();
    for pair in Watched::all() {
        let mut of_pair = Vec::new();
        for watched in pair {
            let gap_at = |pose: &Pose| watched.gap(analysis, &room, pose).map(|(gap, _)| gap.mm);
            let Some(gaps) = poses.iter().map(gap_at).collect::<Option<Vec<f64>>>() else { continue };
            for body in [BodyPart::Finger, BodyPart::Hand] {
                of_pair.extend(closing(analysis, watched, &room, &poses, &gaps, body));
            }
        }
        found.extend(together(of_pair));
    }
    found.sort_by(|one, other| one.least.total_cmp(&other.least));
    found
}

/// Places beside each other that close at the same time are told once, by their least gap.
fn together(mut all: Vec<Pinch>) -> Vec<Pinch> {
    all.sort_by(|one, other| one.s[0].total_cmp(&other.s[0]));
    let mut found: Vec<Pinch> = Vec::new();
    for pinch in all {
        let same = |known: &&mut Pinch| known.body == pinch.body && known.s[1] >= pinch.s[0];
        match found.iter_mut().find(same) {
            Some(known) => {
                let s = [known.s[0].min(pinch.s[0]), known.s[1].max(pinch.s[1])];
                if pinch.least < known.least {
                    *known = pinch;
                }
                known.s = s;
            }
            None => found.push(pinch),
        }
    }
    found
}

/// The stretches on which a gap is less than spares a part of the body, but not one that never opens.
fn closing(
    analysis: &Analysis,
    watched: Watched,
    room: &RoomShape,
    poses: &[Pose],
    gaps: &[f64],
    body: BodyPart,
) -> Vec<Pinch> {
    let widest = gaps.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let limit = if widest >= body.least_gap() { body.least_gap() } else { goes_in(body) };
    let is_less = |s: f64| watched.gap(analysis, room, &analysis.pose_at(s)).is_some_and(|(gap, _)| gap.mm < limit);
    // Between a place where it is less and one where it is not.
    let edge = |mut less: f64, mut more: f64| {
        for _ in 0..HALVINGS {
            let middle = 0.5 * (less + more);
            if is_less(middle) { less = middle } else { more = middle }
        }
        less
    };
    let mut found = Vec::new();
    let mut first = 0;
    for run in gaps.chunk_by(|one, other| (*one < limit) == (*other < limit)) {
        let (from, to) = (first, first + run.len() - 1);
        first += run.len();
        if run[0] >= limit || run.len() == gaps.len() {
            continue;
        }
        let from_s = if from == 0 { 0.0 } else { edge(poses[from].s, poses[from - 1].s) };
        let to_s = if to + 1 == gaps.len() { 1.0 } else { edge(poses[to].s, poses[to + 1].s) };
        let Some(at) = (from..=to).min_by(|one, other| gaps[*one].total_cmp(&gaps[*other])) else { continue };
        let Some((gap, feature)) = watched.gap(analysis, room, &poses[at]) else { continue };
        found.push(Pinch {
            parts: watched.parts(),
            feature,
            body,
            under: limit,
            s: [from_s, to_s],
            least: gap.mm.max(0.0),
            least_s: poses[at].s,
            points: [gap.on_first, gap.on_second],
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, analyse};

    fn analysed() -> (Project, Analysis) {
        let project = crate::samples::complete_board();
        let analysis = analyse(&project, &Options { poses: 2, swept: false });
        (project, analysis)
    }

    /// ISO 13854: 25 mm a finger, 100 mm a hand.
    #[test]
    fn the_fold_catches_hands_and_fingers_where_it_closes() {
        let (project, analysis) = analysed();
        let found = pinches(&project, &analysis);
        let arms = [PartName::LowerArm, PartName::UpperArm];
        for body in [BodyPart::Finger, BodyPart::Hand] {
            let fold = found.iter().find(|pinch| pinch.parts == arms && pinch.body == body && pinch.s[1] >= 1.0);
            let fold = fold.expect("the arms fold onto each other");
            assert!(fold.closes_rising() && fold.least < 3.0, "{fold:?}");
            assert!(fold.sentence(Units::Millimetre).contains("as the panel rises"));
        }
        // Coming down, the panel closes on the wall from far to its standoff of 62 mm: a hand, no finger.
        let wall = |body| {
            found.iter().find(|pinch| {
                pinch.parts == [PartName::Panel, PartName::Room]
                    && pinch.feature.as_deref() == Some("wall")
                    && pinch.body == body
            })
        };
        let hand = wall(BodyPart::Hand).expect("the panel comes back to the wall");
        assert!(hand.closes_coming_down() && !hand.closes_rising(), "{hand:?}");
        assert!((hand.least - 62.0).abs() < 1e-6 && hand.s[0] == 0.0);
        // At its other end the nearest corner, of the panel's back, is as far from the wall as spares it.
        let corners = analysis.lift.panel_corners(&analysis.pose_at(hand.s[1]));
        let nearest = corners.iter().map(|corner| corner.x).fold(f64::INFINITY, f64::min);
        assert!((nearest - 100.0).abs() < 0.01, "{nearest}");
        assert!(wall(BodyPart::Finger).is_none());
        assert!(found.is_sorted_by(|one, other| one.least <= other.least));
        for pinch in &found {
            let apart = (pinch.points[1] - pinch.points[0]).norm();
            assert!(pinch.least == 0.0 || (apart - pinch.least).abs() < 1e-6, "{pinch:?}");
        }
    }

    #[test]
    fn a_gap_that_never_opens_closes_on_nobody() {
        let (project, analysis) = analysed();
        // An arm keeps its distance to the wall at its pivot: always near, so nobody is in there.
        let found = pinches(&project, &analysis);
        let arm_on_wall =
            |pinch: &&Pinch| pinch.parts[0] == PartName::UpperArm && pinch.feature.as_deref() == Some("wall");
        assert_eq!(found.iter().find(arm_on_wall), None);
    }
}
