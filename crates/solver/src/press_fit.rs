//! A ring pressed into a hub: pressure, stresses, force, warmth. Millimetres, newtons, MPa, kelvin.
//!
//! Lamé's thick rings, elastic, plane stress, hub and ring of one length (Shigley, *Mechanical
//! Engineering Design*, §3-14 and §3-16). Interference is the difference of diameters.

/// What a ring or a hub is of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elastic {
    /// Young's modulus, MPa.
    pub modulus: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Lengthening, 1/K.
    pub expansion: f64,
}

/// 6061-T6 (two published property sheets agree). Other wrought aluminium alloys are within 3 %.
pub const ALUMINIUM: Elastic = Elastic { modulus: 68_900.0, poisson: 0.33, expansion: 23.6e-6 };

/// Bearing steel. Expansion from the NSK catalogue; modulus and Poisson's ratio common practice.
pub const BEARING_STEEL: Elastic = Elastic { modulus: 206_000.0, poisson: 0.3, expansion: 12.5e-6 };

/// Friction of steel pressed into aluminium, dry: the middle of 0.10 to 0.15 (DIN 7190-1, as quoted
/// by a public calculation manual).
pub const FRICTION: f64 = 0.12;

/// The share of the interference that comes off a bearing's play in a stiff hub, at most (common
/// practice, no source). A light-alloy hub gives way and leaves more play.
pub const SHARE_OFF_PLAY: f64 = 0.8;

/// Ring and hub, before they are pressed together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressFit {
    /// Where they meet, mm.
    pub diameter: f64,
    /// Outside of the hub, mm: twice the least way from the seat's middle to an edge.
    pub hub_outside: f64,
    /// Inside of the ring, mm; 0 for a solid shaft.
    pub ring_inside: f64,
    /// Of the hub.
    pub hub: Elastic,
    /// Of the ring.
    pub ring: Elastic,
    /// Along the axis, mm.
    pub length: f64,
    /// Between them.
    pub friction: f64,
}

/// Ring and hub at one interference. Tension is positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressed {
    /// Difference of the diameters, mm; negative is a gap.
    pub interference: f64,
    /// Between ring and hub, MPa; 0 in a gap.
    pub pressure: f64,
    /// Around the hub, at its bore, MPa: its highest.
    pub hub_stress: f64,
    /// Around the hub, at its outside, MPa.
    pub hub_outside_stress: f64,
    /// Around the ring, where it meets the hub, MPa.
    pub ring_stress: f64,
    /// Around the ring, at its bore, MPa: its lowest. In a solid shaft as anywhere in it.
    pub ring_bore_stress: f64,
    /// How much smaller the ring's bore gets, mm on the diameter; 0 for a solid shaft.
    pub ring_closes: f64,
    /// To press it in or out, N.
    pub force: f64,
    /// To turn it, N·mm.
    pub torque: f64,
}

impl PressFit {
    /// (outer² + inner²) / (outer² − inner²) of a ring.
    fn thickness_ratio(outer: f64, inner: f64) -> f64 {
        (outer.powi(2) + inner.powi(2)) / (outer.powi(2) - inner.powi(2))
    }

    /// Interference per pressure, mm/MPa. `None` where the sizes are not those of a ring in a hub.
    fn give(&self) -> Option<f64> {
        let sizes = self.ring_inside >= 0.0 && self.ring_inside < self.diameter && self.diameter < self.hub_outside;
        if !sizes {
            return None;
        }
        let hub = (Self::thickness_ratio(self.hub_outside, self.diameter) + self.hub.poisson) / self.hub.modulus;
        let ring = (Self::thickness_ratio(self.diameter, self.ring_inside) - self.ring.poisson) / self.ring.modulus;
        Some(self.diameter * (hub + ring))
    }

    /// Pressure, stresses and forces at an interference on the diameter, mm.
    ///
    /// Elastic: where a stress passes what the material yields at, the true pressure is lower.
    /// `None` where the sizes are not those of a ring in a hub.
    #[must_use]
    pub fn at(&self, interference: f64) -> Option<Pressed> {
        let pressure = interference.max(0.0) / self.give()?;
        let hub_ratio = Self::thickness_ratio(self.hub_outside, self.diameter);
        let ring_ratio = Self::thickness_ratio(self.diameter, self.ring_inside);
        let solid = self.ring_inside <= 0.0;
        let ring_bore_stress = if solid { -pressure } else { -pressure * (ring_ratio + 1.0) };
        let force = self.friction * pressure * std::f64::consts::PI * self.diameter * self.length;
        Some(Pressed {
            interference,
            pressure,
            hub_stress: pressure * hub_ratio,
            hub_outside_stress: pressure * (hub_ratio - 1.0),
            ring_stress: -pressure * ring_ratio,
            ring_bore_stress,
            ring_closes: -ring_bore_stress / self.ring.modulus * self.ring_inside,
            force,
            torque: 0.5 * force * self.diameter,
        })
    }

    /// How much interference goes when both get warmer by so many kelvin, mm; negative when it grows.
    #[must_use]
    pub fn loosened_by(&self, warmer: f64) -> f64 {
        (self.hub.expansion - self.ring.expansion) * self.diameter * warmer
    }

    /// How much warmer both may get until an interference is gone, K; `None` where it is not the
    /// hub that grows faster, or there is no interference.
    #[must_use]
    pub fn loose_when_warmer_by(&self, interference: f64) -> Option<f64> {
        let per_kelvin = self.loosened_by(1.0);
        (per_kelvin > 0.0 && interference > 0.0).then(|| interference / per_kelvin)
    }

    /// How much warmer than the ring the hub must be for the ring to drop in with a clearance, K.
    /// Interference and clearance on the diameter, mm.
    #[must_use]
    pub fn heating(&self, interference: f64, clearance: f64) -> f64 {
        ((interference + clearance) / (self.hub.expansion * self.diameter)).max(0.0)
    }
}

/// A bearing's play after its seat has closed it, mm, all three on the diameter: at worst
/// [`SHARE_OFF_PLAY`] of the interference is gone. Negative: the balls are squeezed, it turns
/// notchily.
#[must_use]
pub fn play_left(play: f64, interference: f64) -> f64 {
    play - SHARE_OFF_PLAY * interference.max(0.0)
}

/// Rules of thumb for the most interference of a bearing ring, mm, by its seat's diameter: 1/1000
/// (one maker's catalogue), and 7/10 000 (another's).
#[must_use]
pub fn rule_of_thumb(diameter: f64) -> [f64; 2] {
    [1e-3 * diameter, 0.7e-3 * diameter]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seat() -> PressFit {
        PressFit {
            diameter: 22.0,
            hub_outside: 30.0,
            ring_inside: 19.2,
            hub: ALUMINIUM,
            ring: BEARING_STEEL,
            length: 7.0,
            friction: FRICTION,
        }
    }

    #[test]
    fn a_gap_presses_nothing() {
        let loose = seat().at(-0.005).unwrap();
        assert_eq!((loose.pressure, loose.force, seat().heating(-0.05, 0.01)), (0.0, 0.0, 0.0));
        assert_eq!(seat().loose_when_warmer_by(-0.005), None);
    }

    /// Both rings together give way by exactly the interference: the hub's bore opens by
    /// d/E·(hoop + ν·p), the ring's seat closes by d/E·(−hoop − ν·p).
    #[test]
    fn the_two_rings_meet() {
        let fit = seat();
        let pressed = fit.at(0.02).unwrap();
        let opens = fit.diameter / fit.hub.modulus * (pressed.hub_stress + fit.hub.poisson * pressed.pressure);
        let closes = fit.diameter / fit.ring.modulus * (-pressed.ring_stress - fit.ring.poisson * pressed.pressure);
        assert!((opens + closes - 0.02).abs() < 1e-12);
        // A thin ring closes all through by nearly as much as at its seat, but never by more than
        // the interference.
        assert!(pressed.ring_closes > 0.8 * closes && pressed.ring_closes < 0.02);
    }

    #[test]
    fn no_answer_for_what_is_no_ring_in_a_hub() {
        for (diameter, hub_outside, ring_inside) in
            [(22.0, 22.0, 19.2), (22.0, 30.0, 22.0), (22.0, 30.0, -1.0), (f64::NAN, 30.0, 1.0), (0.0, 30.0, 0.0)]
        {
            let fit = PressFit { diameter, hub_outside, ring_inside, ..seat() };
            assert_eq!(fit.at(0.01), None, "{fit:?}");
        }
    }

    #[test]
    fn play() {
        assert!((play_left(0.010, 0.010) - 0.002).abs() < 1e-12);
        assert!(play_left(0.010, 0.020) < 0.0);
        assert!((play_left(0.010, -0.005) - 0.010).abs() < 1e-12);
        // 22 and 15 µm at 22 mm.
        assert!(rule_of_thumb(22.0).iter().zip([0.022, 0.0154]).all(|(a, b)| (a - b).abs() < 1e-12));
    }
}
