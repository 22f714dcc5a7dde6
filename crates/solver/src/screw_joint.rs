//! What one fixing of a wall bar holds, pulled and pushed sideways together.
//!
//! In wood by the NDS 2018 ([`crate::screws`], [`crate::screw_lateral`]); in a solid wall by the
//! anchor maker's own values, because no table covers plugs and mortar. mm, N, MPa.

use crate::materials::{COMMON_BAR, Material};
use crate::project::{FixedInto, Fixings, ScrewWanted};
use crate::screw_lateral::{ALUMINIUM, Member, PLATE_STEEL, sideways, wood_bearing};
use crate::screws::{Conditions, Screw, ScrewRefused, pull_through};

/// A screw through a bar into wood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WoodJoint {
    /// The screw.
    pub screw: Screw,
    /// Specific gravity of the wood that holds it.
    pub gravity: f64,
    /// Thread in the wood, mm.
    pub thread: f64,
    /// How far the screw reaches into the wood, mm; the thread's length where it is not known.
    pub penetration: f64,
    /// The bar under its head: how far the screw bears in it, and its bearing strength.
    pub side: Member,
    /// Specific gravity of the bar, where it is wood: then the head can pull through it.
    pub wooden_side: Option<f64>,
    /// Angle between the sideways load and the grain, radians; a stud stands, the weight hangs: 0.
    pub angle: f64,
    /// Duration, wet, warm, end grain.
    pub conditions: Conditions,
}

/// What a fixing may carry, N, all factors in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Holding {
    /// A screw in wood.
    Wood {
        /// Along its axis: the thread's withdrawal, or the head's pull through a wooden bar. 0 where
        /// it is not permitted.
        pull: f64,
        /// Sideways.
        sideways: f64,
    },
    /// An anchor in masonry, concrete or behind board, by its maker.
    Anchor {
        /// Along its axis.
        pull: f64,
        /// Sideways.
        sideways: f64,
    },
}

/// Why a project's fixings give no joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoJoint {
    /// A field that is not given: its name in words.
    Missing(&'static str),
    /// A solid wall without what the anchor's maker permits.
    NoAnchor,
    /// What is given cannot be.
    Refused(ScrewRefused),
}

impl NoJoint {
    /// What is missing or wrong, and what would help.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Missing(what) => format!("The {what} of the wall bar's screws is not given."),
            Self::NoAnchor => {
                "In a solid wall the anchor's maker says what it holds: add its permissible pull and sideways load, N, for this kind of wall (fixings.anchor).".into()
            }
            Self::Refused(refused) => refused.sentence(),
        }
    }
}

/// How much of the bar under a head is counted, mm, at most: the head is let in, and more changes
/// nothing in metal (common practice, no source).
const COUNTED_MM: f64 = 6.0;

/// Lightest and heaviest wood of NDS table 12.3.3.
const GRAVITIES: [f64; 2] = [0.31, 0.73];

impl WoodJoint {
    /// The joint of a project's screws under a bar of this material and width (through which they
    /// go): upright grain, dry, the thread's length as their reach, 6 mm of the bar counted. A
    /// duration that is not given is that of a load that always hangs, 0.9.
    ///
    /// # Errors
    /// Diameter, thread length or the wood's specific gravity are missing, or the diameter is none
    /// that the tables have.
    pub fn of(fixings: &Fixings, material: &Material, width: f64) -> Result<Self, NoJoint> {
        let diameter = fixings.diameter.ok_or(NoJoint::Missing("diameter"))?;
        let thread = fixings.thread_length.ok_or(NoJoint::Missing("thread length in the wood"))?;
        let gravity =
            fixings.wood_gravity.ok_or(NoJoint::Missing("specific gravity of the wood that takes the thread"))?;
        let screw = match fixings.screw {
            Some(ScrewWanted::Lag) => Screw::lag(diameter),
            Some(ScrewWanted::Wood) | None => Screw::of_diameter(diameter),
        };
        let screw = screw.map_err(NoJoint::Refused)?;
        // A wooden bar is for trial fits; plywood is given the gravity of its density.
        let wooden_side = material.for_trial_only.then_some(material.density / 1000.0);
        let strength = match wooden_side {
            Some(wood) => wood_bearing(diameter, wood, 0.0),
            None if material.is_steel() => PLATE_STEEL,
            // Softer alloys bear less, by their yield.
            None => ALUMINIUM * (material.yield_strength / COMMON_BAR.yield_strength).min(1.0),
        };
        let duration = fixings.duration.unwrap_or(Conditions::default().duration);
        Ok(Self {
            screw,
            gravity,
            thread,
            penetration: thread,
            side: Member { length: width.min(COUNTED_MM), strength },
            wooden_side,
            angle: 0.0,
            conditions: Conditions { duration, ..Conditions::default() },
        })
    }

    /// Design values of this joint.
    ///
    /// # Errors
    /// A size is not positive, the wood is none of the tables, the screw does not reach deep enough,
    /// its head is not known in a wooden bar, or a factor is not allowed.
    pub fn holding(&self) -> Result<Holding, ScrewRefused> {
        let sizes = [
            ("thread in the wood", self.thread),
            ("reach into the wood", self.penetration),
            ("length in the bar", self.side.length),
            ("bar's bearing strength", self.side.strength),
        ];
        if let Some((what, given)) = sizes.into_iter().find(|(_, size)| !(*size > 0.0 && size.is_finite())) {
            return Err(ScrewRefused::NotPositive(what, given));
        }
        for gravity in [Some(self.gravity), self.wooden_side].into_iter().flatten() {
            if !(GRAVITIES[0]..=GRAVITIES[1]).contains(&gravity) {
                return Err(ScrewRefused::Gravity(gravity));
            }
        }
        self.conditions.check()?;
        let least = self.screw.least_penetration();
        if self.penetration < least {
            return Err(ScrewRefused::TooShort { penetration: self.penetration, least });
        }
        let factor = self.conditions.factor();
        let thread = self.thread.min(self.penetration);
        let end_grain = self.conditions.end_grain_withdrawal(self.screw.kind);
        let withdrawal = self.screw.withdrawal(self.gravity) * thread * factor * end_grain;
        let through = match (self.wooden_side, self.screw.head) {
            (Some(wood), Some(head)) => pull_through(head, self.side.length, wood) * factor,
            // Nobody knows how soon an unknown head comes through wood: no figure is better than that.
            (Some(_), None) => return Err(ScrewRefused::Head(self.screw.diameter)),
            (None, _) => f64::INFINITY,
        };
        let (_, lateral) = sideways(&self.screw, self.gravity, self.penetration, self.side, self.angle);
        let lateral = lateral * factor * self.conditions.end_grain_sideways();
        Ok(Holding::Wood { pull: withdrawal.min(through), sideways: lateral })
    }
}

impl Holding {
    /// What each of a project's screws may carry under a bar of this material and width.
    ///
    /// # Errors
    /// Something is missing, or cannot be.
    pub fn of(fixings: &Fixings, material: &Material, width: f64) -> Result<Self, NoJoint> {
        if fixings.into == Some(FixedInto::Solid) {
            let anchor = fixings.anchor.as_ref().ok_or(NoJoint::NoAnchor)?;
            return Self::anchor(anchor.pull, anchor.sideways).map_err(NoJoint::Refused);
        }
        WoodJoint::of(fixings, material, width)?.holding().map_err(NoJoint::Refused)
    }

    /// What is said beside its figures.
    #[must_use]
    pub fn caution(&self) -> &'static str {
        match self {
            Self::Wood { .. } => CAUTION,
            Self::Anchor { .. } => ANCHOR_CAUTION,
        }
    }

    /// An anchor of its maker's permissible loads.
    ///
    /// # Errors
    /// A value is not positive.
    pub fn anchor(pull: f64, sideways: f64) -> Result<Self, ScrewRefused> {
        for (what, given) in [("permissible pull", pull), ("permissible load sideways", sideways)] {
            if !(given > 0.0 && given.is_finite()) {
                return Err(ScrewRefused::NotPositive(what, given));
            }
        }
        Ok(Self::Anchor { pull, sideways })
    }

    /// What it may carry in the direction of a load (N) that pulls by `tension` and pushes sideways
    /// by `shear`, N; `None` where there is no load. A push towards the wall counts as none.
    ///
    /// Wood: NDS 2018, equation 12.4-1, Z'α = W'p·Z' / (W'p·cos²α + Z'·sin²α), α from the wood's
    /// surface. Anchor: tension and shear used up together must not pass one (the straight line, on
    /// the safe side of the curves that makers allow).
    #[must_use]
    pub fn along(&self, tension: f64, shear: f64) -> Option<f64> {
        let (tension, shear) = (tension.max(0.0), shear.abs());
        let load = tension.hypot(shear);
        if !(load > 0.0 && load.is_finite()) {
            return None;
        }
        let (sine, cosine) = (tension / load, shear / load);
        Some(match *self {
            // Nothing may be pulled out of end grain, and nothing is asked of it under shear alone.
            Self::Wood { pull, sideways } if pull <= 0.0 => {
                if sine > 0.0 {
                    0.0
                } else {
                    sideways
                }
            }
            Self::Wood { pull, sideways } => pull * sideways / (pull * cosine * cosine + sideways * sine * sine),
            Self::Anchor { pull, sideways } => 1.0 / (sine / pull + cosine / sideways),
        })
    }

    /// What it may carry over what it carries; `None` where there is no load. 1 on a design value is
    /// enough by the book.
    #[must_use]
    pub fn safety(&self, tension: f64, shear: f64) -> Option<f64> {
        self.along(tension, shear).map(|holds| holds / tension.max(0.0).hypot(shear))
    }
}

/// Said beside every result about fixings.
pub const CAUTION: &str = "Values after the NDS 2018 for sound wood; local code, and what is really inside the wall, \
                           decide. Find the studs, and try one screw before trusting all.";

/// Likewise beside anchors.
pub const ANCHOR_CAUTION: &str = "The anchor's values are its maker's for one kind of wall, edge distance and spacing; \
                                  local code, and what the wall really is, decide. Try one anchor before trusting all.";

#[cfg(test)]
mod tests {
    use super::*;

    fn near(ours: f64, expected: f64, within: f64) {
        assert!((ours - expected).abs() <= within, "{ours} against {expected}");
    }

    fn joint() -> WoodJoint {
        WoodJoint {
            screw: Screw::number(10).unwrap(),
            gravity: 0.42,
            thread: 38.1,
            penetration: 48.3,
            side: Member { length: 12.7, strength: ALUMINIUM },
            wooden_side: None,
            angle: 0.0,
            conditions: Conditions::default(),
        }
    }

    /// NDS 2018, equation 12.4-1: equal values hold the same at any angle (identity); 123.7 and 70 at
    /// 45° give 2·123.7·70 / 193.7 = 89.41.
    #[test]
    fn pulled_and_pushed_together() {
        let equal = Holding::Wood { pull: 100.0, sideways: 100.0 };
        for degrees in [0.0_f64, 20.0, 45.0, 80.0, 90.0] {
            let (sine, cosine) = degrees.to_radians().sin_cos();
            near(equal.along(50.0 * sine, 50.0 * cosine).unwrap(), 100.0, 1e-9);
        }
        let uneven = Holding::Wood { pull: 123.7, sideways: 70.0 };
        near(uneven.along(1.0, 1.0).unwrap(), 89.406, 0.0005);
        near(uneven.along(5.0, 0.0).unwrap(), 123.7, 1e-9);
        near(uneven.along(0.0, -5.0).unwrap(), 70.0, 1e-9);
        near(uneven.along(-9.0, 5.0).unwrap(), 70.0, 1e-9);
        near(uneven.safety(30.0, 0.0).unwrap(), 123.7 / 30.0, 1e-9);
        assert_eq!(uneven.along(0.0, 0.0), None);
    }

    /// The worked example of [`crate::screws`]: 637 N, nine tenths of it where it always hangs.
    #[test]
    fn a_screw_in_a_spruce_stud() {
        let Holding::Wood { pull, sideways } = joint().holding().unwrap() else { panic!("wood") };
        near(pull, 573.6, 0.5);
        assert!(sideways > 250.0 && sideways < 800.0, "{sideways}");
        let end_grain = WoodJoint { conditions: Conditions { end_grain: true, ..Conditions::default() }, ..joint() };
        let holding = end_grain.holding().unwrap();
        assert_eq!(holding.along(1.0, 0.0), Some(0.0));
        near(holding.along(0.0, 1.0).unwrap(), 0.67 * sideways, 1e-9);
    }

    #[test]
    fn a_head_pulls_through_a_wooden_bar_before_its_thread_comes_out() {
        let side = Member { length: 6.0, strength: 23.0 };
        let wooden = WoodJoint { side, wooden_side: Some(0.42), ..joint() };
        let Holding::Wood { pull, .. } = wooden.holding().unwrap() else { panic!("wood") };
        near(pull, 0.9 * pull_through(0.363 * 25.4, 6.0, 0.42), 1e-9);
        assert!(pull < 573.0);
        let unlisted = WoodJoint { screw: Screw::of_diameter(5.0).unwrap(), ..wooden };
        assert_eq!(unlisted.holding(), Err(ScrewRefused::Head(5.0)));
    }

    #[test]
    fn the_joint_of_a_project() {
        let fixings =
            Fixings { diameter: Some(4.83), thread_length: Some(38.1), wood_gravity: Some(0.42), ..Fixings::default() };
        let aluminium = Material::named("6061-T6").unwrap();
        let Holding::Wood { pull, .. } = WoodJoint::of(&fixings, aluminium, 60.0).unwrap().holding().unwrap() else {
            panic!("wood")
        };
        near(pull, 573.6, 0.5);
        let unknown = Fixings { wood_gravity: None, ..fixings.clone() };
        let missing = WoodJoint::of(&unknown, aluminium, 60.0).unwrap_err();
        assert!(missing.sentence().contains("specific gravity"));
        let thick = Fixings { diameter: Some(30.0), ..fixings };
        assert_eq!(WoodJoint::of(&thick, aluminium, 60.0), Err(NoJoint::Refused(ScrewRefused::Diameter(30.0))));
    }

    #[test]
    fn anchors_by_their_maker() {
        let anchor = Holding::anchor(800.0, 400.0).unwrap();
        near(anchor.safety(400.0, 200.0).unwrap(), 1.0, 1e-12);
        near(anchor.safety(400.0, 0.0).unwrap(), 2.0, 1e-12);
        assert!(Holding::anchor(0.0, 100.0).is_err() && Holding::anchor(100.0, f64::NAN).is_err());
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let short = WoodJoint { penetration: 20.0, ..joint() };
        assert!(matches!(short.holding(), Err(ScrewRefused::TooShort { .. })));
        assert!(short.holding().unwrap_err().sentence().contains("20.0 mm"));
        assert!(WoodJoint { thread: 0.0, ..joint() }.holding().is_err());
        assert!(WoodJoint { gravity: 1.4, ..joint() }.holding().is_err());
        let impact = WoodJoint { conditions: Conditions { duration: 2.0, ..Conditions::default() }, ..joint() };
        assert_eq!(impact.holding(), Err(ScrewRefused::Duration(2.0)));
    }
}
