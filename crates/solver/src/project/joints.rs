//! Hinge hardware: bearings, seats and pins.

use serde::{Deserialize, Serialize};

use super::More;

/// Hinge hardware.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Joints {
    /// A designation of ISO 15, or the user's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearing: Option<BearingWanted>,
    /// Bearings in one hinge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_hinge: Option<u32>,
    /// Which bars hold the seats.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seat_in: Option<SeatIn>,
    /// Between the middles of a hinge's two bearings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearing_span: Option<f64>,
    /// Class of the seat, or its interference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub housing: Option<HousingFit>,
    /// Class of the pin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<String>,
    /// Of one bearing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radial_play: Option<f64>,
    /// Coefficient at the bearing bore.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub friction: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

impl Joints {
    /// Which bars hold the seats. Default the wall and panel bars, whose plane then is the loads'.
    #[must_use]
    pub fn seat_in(&self) -> SeatIn {
        self.seat_in.unwrap_or(SeatIn::Bars)
    }

    /// Coefficient of friction at the bearing bore. Default 0.005 (common practice for a small
    /// sealed ball bearing, no source).
    #[must_use]
    pub fn friction(&self) -> f64 {
        self.friction.unwrap_or(0.005)
    }
}

/// A bearing by designation or by its own figures.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum BearingWanted {
    /// Such as `"688"`.
    Designation(String),
    /// The user's own.
    Own(OwnBearing),
}

/// A bearing that is in no list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnBearing {
    /// Bore diameter.
    pub bore: f64,
    /// Outside diameter.
    pub outside: f64,
    /// Width.
    pub width: f64,
    /// Static rating, N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub static_n: Option<f64>,
    /// Dynamic rating, N.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dynamic_n: Option<f64>,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// Where the bearing seats are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SeatIn {
    /// In wall bar and panel bar.
    Bars,
    /// In the arms.
    Arms,
}

/// A class of ISO 286, or least and most interference.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum HousingFit {
    /// Such as `"N7"`.
    Class(String),
    /// By figures.
    Interference {
        /// Least and most, on the diameter.
        interference: [f64; 2],
    },
}
