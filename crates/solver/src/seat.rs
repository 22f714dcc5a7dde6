//! The bore that a bearing's outer ring is pressed into: what to cut, and what comes of it.
//!
//! A seat is given as a class (`"N7"`), or as the least and most interference that a bearing of
//! any size within its own tolerance shall have. Millimetres; interference is on the diameter,
//! negative where there is a gap.

use thiserror::Error;

use crate::bearings::Bearing;
use crate::lift::{Lift, Rectangle};
use crate::limits::{Feature, Limits, NoLimits, ToleranceClass};
use crate::press_fit::{BEARING_STEEL, Elastic, FRICTION, PressFit, Pressed, SHARE_OFF_PLAY};
use crate::project::{BearingWanted, HousingFit, Joints, Point, SeatIn};

/// A bearing's seat.
#[derive(Clone, Debug, PartialEq)]
pub struct Seat {
    /// What is pressed in.
    pub bearing: Bearing,
    /// The bore's class, where it was given as one.
    pub class: Option<ToleranceClass>,
    /// The bore against the bearing's nominal outside diameter.
    pub bore: Limits,
    /// Interference of the smallest bearing in the largest bore, mm.
    pub least: f64,
    /// Interference of the largest bearing in the smallest bore, mm.
    pub most: f64,
    /// Which bars hold the seats.
    pub seat_in: SeatIn,
    /// Seats in one hinge.
    pub per_hinge: u32,
}

/// Why there is no seat to cut.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NoSeat {
    /// No bearing is given.
    #[error("joints.bearing is missing: give a designation such as 608, or a bearing's own sizes")]
    NoBearing,
    /// Its designation is unknown.
    #[error("bearing \"{0}\" is not in the list: give its bore, outside diameter and width")]
    UnknownBearing(String),
    /// No fit is given.
    #[error("joints.housing is missing: give a class such as N7, or the least and most interference")]
    NoHousing,
    /// The class has no limits here.
    #[error("joints.housing: {0}")]
    Class(#[from] NoLimits),
    /// An outside diameter without tolerance, mm.
    #[error("no tolerance is known for a bearing of {0} mm outside diameter: above 0, up to 80 mm")]
    Outside(f64),
    /// Least interference above the most.
    #[error(
        "joints.housing.interference: least and most are {least:.4} and {most:.4} mm; the first must be the smaller, both within 1 mm"
    )]
    Order {
        /// mm.
        least: f64,
        /// mm.
        most: f64,
    },
    /// The bearing's own tolerance leaves nothing for the bore.
    #[error(
        "joints.housing.interference: {:.1} µm between least and most, and the bearing alone varies by {:.1} µm, so no bore fits every bearing: give a class such as N7, widen it, or measure each bearing and cut its bore to it",
        1e3 * .wanted, 1e3 * .bearing
    )]
    NothingLeft {
        /// Most less least, mm.
        wanted: f64,
        /// Tolerance of the outside diameter, mm.
        bearing: f64,
    },
}

/// A bearing's outer ring is taken as a plain ring of this share of its section, (outside − bore) / 2
/// (an assumption; 1.4 mm in a 608).
pub const RING_SHARE: f64 = 0.2;

/// Hinges in a lift: four in each of two sets.
const HINGES: u32 = 8;

/// The class whose tolerance is the least that a small shop holds in a bore: reaming reaches IT6 to IT10, boring IT8
/// to IT13; finer is ground, honed or diamond-bored (tables of what processes hold, as in Machinery's Handbook; read
/// in a public copy).
const FINEST: &str = "H6";

impl Seat {
    /// The seat that a project's joints ask for. Default: one bearing in a hinge, seats in wall
    /// and panel bars.
    ///
    /// The bearing is taken to be of ISO 492 class Normal.
    ///
    /// # Errors
    /// When bearing or fit is missing, unknown, or cannot be kept.
    pub fn wanted(joints: &Joints) -> Result<Self, NoSeat> {
        let wanted = joints.bearing.as_ref().ok_or(NoSeat::NoBearing)?;
        let bearing = Bearing::wanted(wanted).ok_or_else(|| match wanted {
            BearingWanted::Designation(name) => NoSeat::UnknownBearing(name.clone()),
            BearingWanted::Own(_) => NoSeat::NoBearing,
        })?;
        let below = bearing.outside_tolerance().ok_or(NoSeat::Outside(bearing.outside))?;
        let (class, bore) = match joints.housing.as_ref().ok_or(NoSeat::NoHousing)? {
            HousingFit::Class(text) => {
                let class = ToleranceClass::parse(text, Feature::Hole)?;
                (Some(class), class.limits(bearing.outside)?)
            }
            HousingFit::Interference { interference } => (None, bore_for(*interference, below)?),
        };
        Ok(Self {
            least: -below - bore.upper,
            most: -bore.lower,
            class,
            bore,
            seat_in: joints.seat_in.unwrap_or(SeatIn::Bars),
            per_hinge: joints.per_hinge.unwrap_or(1),
            bearing,
        })
    }

    /// The plug that must go in: the smallest bore, mm.
    #[must_use]
    pub fn go(&self) -> f64 {
        self.bearing.outside + self.bore.lower
    }

    /// The plug that must not go in: the largest bore, mm.
    #[must_use]
    pub fn no_go(&self) -> f64 {
        self.bearing.outside + self.bore.upper
    }

    /// The narrowest limits of this bore that a small shop holds and gauges, mm: IT6 at its size.
    #[must_use]
    pub fn narrowest(&self) -> f64 {
        let class = ToleranceClass::parse(FINEST, Feature::Hole);
        class.and_then(|class| class.limits(self.bearing.outside)).map_or(0.0, Limits::tolerance)
    }

    /// How far the limits of the bore are narrower than a small shop holds, mm; `None` where they are not.
    #[must_use]
    pub fn too_narrow_by(&self) -> Option<f64> {
        /// Of numbers that were added up, mm.
        const ROUNDING: f64 = 1e-9;
        Some(self.narrowest() - self.bore.tolerance()).filter(|by| *by > ROUNDING)
    }

    /// Seats in the whole lift.
    #[must_use]
    pub fn count(&self) -> u32 {
        HINGES * self.per_hinge
    }

    /// The smallest and largest bore for a bearing whose outside diameter was measured, mm, such
    /// that it has no less and no more interference than any bearing of its class could.
    #[must_use]
    pub fn bore_to_measured(&self, outside: f64) -> [f64; 2] {
        [outside - self.most, outside - self.least]
    }

    /// Ring and hub for a hub of an outside diameter, mm, and a material.
    ///
    /// The outer ring is a plain ring of [`RING_SHARE`], pressed in over the bearing's whole width.
    #[must_use]
    pub fn press_fit(&self, hub_outside: f64, hub: Elastic) -> PressFit {
        let Bearing { bore, outside, width, .. } = self.bearing;
        PressFit {
            diameter: outside,
            hub_outside,
            ring_inside: outside - RING_SHARE * (outside - bore),
            hub,
            ring: BEARING_STEEL,
            length: width,
            friction: FRICTION,
        }
    }

    /// Everything about the pressed seat, at least and most interference.
    ///
    /// `None` where the hub is no larger than the bearing.
    #[must_use]
    pub fn fit(&self, hub_outside: f64, hub: Elastic) -> Option<SeatFit> {
        /// Gap with which a bearing drops in without being pushed, mm (common practice, no source).
        const DROPS_IN: f64 = 0.01;
        let press = self.press_fit(hub_outside, hub);
        Some(SeatFit {
            least: press.at(self.least)?,
            most: press.at(self.most)?,
            play_lost: [self.least, self.most].map(|by| SHARE_OFF_PLAY * by.max(0.0)),
            loose_when_warmer_by: press.loose_when_warmer_by(self.least),
            heating: press.heating(self.most, DROPS_IN),
        })
    }
}

/// What comes of a seat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeatFit {
    /// At the least interference.
    pub least: Pressed,
    /// At the most.
    pub most: Pressed,
    /// Off the bearing's play at least and most interference, at worst, mm on the diameter. Play as
    /// a one-sided shift loses half of it.
    pub play_lost: [f64; 2],
    /// How much warmer than 20 °C seat and bearing may get before the loosest of them is loose, K;
    /// `None` where it may be loose at 20 °C, or where the hub grows no faster than the ring.
    pub loose_when_warmer_by: Option<f64>,
    /// How much warmer than the bearing the hub must be for the tightest to drop in, K.
    pub heating: f64,
}

/// Limits of the bore that keep an interference with every bearing of a tolerance, mm.
fn bore_for([least, most]: [f64; 2], below: f64) -> Result<Limits, NoSeat> {
    /// Beyond it the figures are not an interference, mm.
    const ANY: f64 = 1.0;
    let in_order = least < most && least.abs() <= ANY && most.abs() <= ANY;
    if !in_order {
        return Err(NoSeat::Order { least, most });
    }
    let bore = Limits { upper: -below - least, lower: -most };
    if bore.tolerance() > 0.0 { Ok(bore) } else { Err(NoSeat::NothingLeft { wanted: most - least, bearing: below }) }
}

/// Least and most interference of the bearing's inner ring on its pin, mm; negative is a gap.
///
/// # Errors
/// When bearing or pin class is missing, unknown, or without limits here.
pub fn pin_interference(bearing: &Bearing, class: &str) -> Result<[f64; 2], NoLimits> {
    let pin = ToleranceClass::parse(class, Feature::Shaft)?.limits(bearing.bore)?;
    let below = bearing.bore_tolerance().ok_or(NoLimits::Size(bearing.bore))?;
    Ok([pin.lower, pin.upper + below])
}

/// Outside diameter of the smallest hub that a lift's seats are cut into, mm: twice the least way
/// from a pivot to an edge of the bar that holds its seat, laps and reliefs left out.
#[must_use]
pub fn smallest_hub(lift: &Lift, seat_in: SeatIn) -> f64 {
    let arms = lift.lower_arm_radius().min(lift.upper_arm_radius());
    let bars =
        [(lift.wall_bar, [lift.wall_lower, lift.wall_upper]), (lift.panel_bar, [lift.panel_lower, lift.panel_upper])];
    let radius = match seat_in {
        SeatIn::Arms => arms,
        SeatIn::Bars => bars
            .iter()
            .flat_map(|(bar, pivots)| pivots.iter().map(|pivot| to_an_edge(bar, *pivot)))
            .fold(f64::INFINITY, f64::min),
    };
    2.0 * radius
}

/// From a point to the nearest edge of a rectangle, mm; negative outside.
fn to_an_edge(bar: &Rectangle, at: Point) -> f64 {
    let (before, after) = (at - bar.least, bar.most - at);
    before.x.min(before.y).min(after.x).min(after.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn joints(bearing: &str, housing: HousingFit) -> Joints {
        Joints {
            bearing: Some(BearingWanted::Designation(bearing.into())),
            housing: Some(housing),
            ..Joints::default()
        }
    }

    #[test]
    fn bore_by_interference() {
        let housing = HousingFit::Interference { interference: [0.008, 0.020] };
        let seat = Seat::wanted(&joints("608", housing)).unwrap();
        // The largest bearing in the smallest bore, the smallest (9 µm less) in the largest.
        assert!((seat.go() - 21.980).abs() < 1e-12);
        assert!((seat.no_go() - 21.983).abs() < 1e-12);
        assert!((22.0 - seat.go() - 0.020).abs() < 1e-12 && (21.991 - seat.no_go() - 0.008).abs() < 1e-12);
        // IT6 at 22 mm is 13 µm, IT7 21 (ISO 286-1 table 1).
        assert!((seat.too_narrow_by().unwrap() - 0.010).abs() < 1e-12);
        let too_narrow = |housing| Seat::wanted(&joints("608", housing)).unwrap().too_narrow_by();
        for class in ["N6", "H6", "N7", "J7"] {
            assert_eq!(too_narrow(HousingFit::Class(class.into())), None, "{class}");
        }
        assert!((too_narrow(HousingFit::Class("N5".into())).unwrap() - 0.004).abs() < 1e-12);
        assert_eq!(too_narrow(HousingFit::Interference { interference: [0.005, 0.027] }), None);
        let [smallest, largest] = seat.bore_to_measured(21.995);
        assert!((smallest - 21.975).abs() < 1e-12 && (largest - 21.987).abs() < 1e-12);
        assert_eq!((seat.seat_in, seat.per_hinge, seat.count()), (SeatIn::Bars, 1, 8));
    }

    #[test]
    fn pin_in_the_bearing() {
        let bearing = Bearing::wanted(&BearingWanted::Designation("608".into())).unwrap();
        // Bore 8 mm 0/−8 µm; h6 0/−9, g6 −5/−14, k6 +10/+1.
        for (class, expected) in [("h6", [-0.009, 0.008]), ("g6", [-0.014, 0.003]), ("k6", [0.001, 0.018])] {
            let found = pin_interference(&bearing, class).unwrap();
            assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-12), "{class}: {found:?}");
        }
        assert_eq!(
            pin_interference(&bearing, "H6").unwrap_err().to_string(),
            "H6 is the class of a hole, and a shaft is wanted: write h6"
        );
    }

    #[test]
    fn refused_in_plain_words() {
        let said = |bearing: &str, housing| Seat::wanted(&joints(bearing, housing)).unwrap_err().to_string();
        let class = |text: &str| HousingFit::Class(text.into());
        let by = |interference| HousingFit::Interference { interference };
        assert_eq!(
            said("609X", class("N7")),
            "bearing \"609X\" is not in the list: give its bore, outside diameter and width"
        );
        assert_eq!(
            said("608", class("n7")),
            "joints.housing: n7 is the class of a shaft, and a hole is wanted: write N7"
        );
        assert_eq!(
            said("608", by([0.01, 0.015])),
            "joints.housing.interference: 5.0 µm between least and most, and the bearing alone varies by 9.0 µm, \
             so no bore fits every bearing: give a class such as N7, widen it, or measure each bearing and cut its bore \
             to it"
        );
        assert!(said("608", by([0.01, 0.019])).contains("9.0 µm between"));
        for wrong in [[0.02, 0.01], [f64::NAN, 0.01], [0.0, f64::INFINITY], [0.0, 20.0]] {
            assert!(said("608", by(wrong)).contains("the first must be the smaller"), "{wrong:?}");
        }
        assert_eq!(Seat::wanted(&Joints::default()), Err(NoSeat::NoBearing));
        let no_fit = Joints { housing: None, ..joints("608", class("N7")) };
        assert_eq!(Seat::wanted(&no_fit), Err(NoSeat::NoHousing));
    }

    #[test]
    fn hub_of_the_demo() {
        let project = crate::samples::demo_board();
        let lift = Lift::new(&project);
        let (bars, linkage) = (&project.bars, &project.linkage);
        // The wall bar's back edge is the wall face; the panel bar's front edge the panel's back.
        let in_bars = smallest_hub(&lift, SeatIn::Bars);
        let nearest = linkage.wall_lower.x.min(bars.wall_bar.width - linkage.wall_lower.x);
        assert!(in_bars <= 2.0 * nearest + 1e-9 && in_bars > 0.0, "{in_bars} {nearest}");
        let in_arms = smallest_hub(&lift, SeatIn::Arms);
        assert!((in_arms - bars.lower_arm.width.min(bars.upper_arm.width)).abs() < 1e-9);
    }
}
