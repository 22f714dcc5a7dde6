//! The four pivots and the travel asked for.

use serde::{Deserialize, Serialize};

use super::{More, Point};

/// The four pivots and how far the lift goes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Linkage {
    /// Wall end of the lower arm, side view.
    pub wall_lower: Point,
    /// Wall end of the upper arm, side view.
    pub wall_upper: Point,
    /// Panel end of the lower arm, panel frame.
    pub panel_lower: Point,
    /// Panel end of the upper arm, panel frame.
    pub panel_upper: Point,
    /// From hung to parked.
    pub travel_deg: TravelWanted,
    /// Unknown fields, kept.
    #[serde(flatten)]
    pub more: More,
}

/// The travel that is asked for: a number of degrees, or `"to_stop"`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(into = "TravelField")]
pub enum TravelWanted {
    /// Signed net turn of the lower arm from hung to parked, counter-clockwise positive.
    Degrees(f64),
    /// Up to the first contact that moves the centre of mass away from the wall first.
    ToStop,
}

#[derive(Serialize)]
#[serde(untagged)]
enum TravelField {
    Degrees(f64),
    Word(&'static str),
}

impl From<TravelWanted> for TravelField {
    fn from(wanted: TravelWanted) -> Self {
        match wanted {
            TravelWanted::Degrees(degrees) => Self::Degrees(degrees),
            TravelWanted::ToStop => Self::Word("to_stop"),
        }
    }
}

impl<'de> Deserialize<'de> for TravelWanted {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Reader;
        impl serde::de::Visitor<'_> for Reader {
            type Value = TravelWanted;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("a number of degrees or \"to_stop\"")
            }
            fn visit_f64<E>(self, v: f64) -> Result<TravelWanted, E> {
                Ok(TravelWanted::Degrees(v))
            }
            #[allow(clippy::cast_precision_loss)] // degrees beyond 2^53 are refused by `validate`
            fn visit_i64<E>(self, v: i64) -> Result<TravelWanted, E> {
                Ok(TravelWanted::Degrees(v as f64))
            }
            #[allow(clippy::cast_precision_loss)] // as above
            fn visit_u64<E>(self, v: u64) -> Result<TravelWanted, E> {
                Ok(TravelWanted::Degrees(v as f64))
            }
            fn visit_str<E: serde::de::Error>(self, v: &str) -> Result<TravelWanted, E> {
                if v == "to_stop" {
                    Ok(TravelWanted::ToStop)
                } else {
                    Err(E::invalid_value(serde::de::Unexpected::Str(v), &self))
                }
            }
        }
        from.deserialize_any(Reader)
    }
}
