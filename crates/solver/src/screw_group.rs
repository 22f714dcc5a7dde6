//! How the screws of one wall bar share what its two hinges do to it.
//!
//! A rigid bar on a rigid wall, held by equal screws in one upright line. It can lift off the wall but
//! not go into it: where it tips, one of its edges presses and the screws pull with their distance
//! from that edge. Tipping in the side view presses the lower or the upper end, tipping out of it a
//! long edge. N, mm, N·mm; heights are the side view's y, z along the wall from the screws' line.

use crate::project::Fixings;

/// A wall bar as its screws see it.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewedBar {
    /// Height of its lower end, mm.
    pub low: f64,
    /// Height of its upper end, mm.
    pub high: f64,
    /// Along z, mm; the screws stand in its middle.
    pub depth: f64,
    /// Heights of the screws, from the top down, mm.
    pub screws: Vec<f64>,
}

/// A force on the bar, where a hinge holds it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HingeLoad {
    /// Away from the wall, N.
    pub out: f64,
    /// Downwards, N.
    pub down: f64,
    /// Along z, N.
    pub sideways: f64,
    /// How far from the wall it acts, mm.
    pub stand_off: f64,
    /// How high, mm.
    pub height: f64,
    /// How far beside the screws' line, mm.
    pub beside: f64,
}

/// What a push along the wall, of either sense, adds to a bar's hinges; all 0 or more.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EitherWay {
    /// Along z, N.
    pub sideways: f64,
    /// About an upright axis at the screws' line, N·mm: what tips the bar over a long edge.
    pub aslant: f64,
    /// In the wall's plane about the screws' middle, N·mm.
    pub turning: f64,
}

/// What one screw carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScrewLoad {
    /// Height, mm.
    pub height: f64,
    /// Pull, N; 0 where the bar presses.
    pub tension: f64,
    /// Sideways in the wall's plane, N.
    pub shear: f64,
}

/// What the bar presses on in the side view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Presses {
    /// Nothing: every screw pulls.
    Nothing,
    /// Its lower end.
    LowerEnd,
    /// Its upper end.
    UpperEnd,
    /// All of it: no screw pulls.
    Everything,
}

/// Why the screws of a bar cannot be computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoGroup {
    /// The project does not say how many screws there are.
    NoCount,
    /// No screw at all.
    None,
    /// Not a positive number.
    NotPositive(&'static str, f64),
    /// They do not fit on the bar: how far beyond its end the last one is, mm.
    OffTheBar(f64),
    /// One screw cannot hold a moment in the wall's plane.
    TurnsAboutOne,
}

impl NoGroup {
    /// What is wrong and what would help.
    #[must_use]
    pub fn sentence(&self) -> String {
        match *self {
            Self::NoCount => "The number of screws in a wall bar is not given.".into(),
            Self::None => "A wall bar without a screw holds nothing: give at least two.".into(),
            Self::NotPositive(what, given) => format!("The screws' {what} is {given} mm: give it above 0."),
            Self::OffTheBar(by) => {
                format!("The lowest screw is {by:.1} mm beyond the wall bar: fewer, closer ones, or a longer bar.")
            }
            Self::TurnsAboutOne => "One screw lets the wall bar turn: give at least two.".into(),
        }
    }
}

impl ScrewedBar {
    /// A bar from its ends with the screws of a project: the first `edge` below the upper end, the
    /// others `spacing` below each other. Without a spacing they are spread evenly between the edges;
    /// without an edge they stand about the bar's middle, or, with neither, an equal share apart with
    /// half a share at each end.
    ///
    /// # Errors
    /// No count, a size that is not positive, or screws beyond the bar.
    pub fn new(fixings: &Fixings, low: f64, high: f64, depth: f64) -> Result<Self, NoGroup> {
        let count = fixings.count.ok_or(NoGroup::NoCount)?;
        if count == 0 {
            return Err(NoGroup::None);
        }
        let sizes = [("spacing", fixings.spacing), ("edge distance", fixings.edge), ("bar's depth", Some(depth))];
        for (what, given) in sizes {
            if let Some(given) = given
                && !(given > 0.0 && given.is_finite())
            {
                return Err(NoGroup::NotPositive(what, given));
            }
        }
        let length = high - low;
        if !(length > 0.0 && length.is_finite()) {
            return Err(NoGroup::NotPositive("bar's length", length));
        }
        let gaps = f64::from(count - 1);
        let (first, step) = match (fixings.edge, fixings.spacing) {
            (Some(edge), Some(spacing)) => (edge, spacing),
            (None, Some(spacing)) => (0.5 * (length - gaps * spacing), spacing),
            (Some(_), None) if count == 1 => (0.5 * length, 0.0),
            (Some(edge), None) => (edge, (length - 2.0 * edge) / gaps),
            (None, None) => (0.5 * length / f64::from(count), length / f64::from(count)),
        };
        let last = first + gaps * step;
        let beyond = (last - length).max(-first);
        // Rounding of a written size may put it this much out; less than a screw is placed to.
        if beyond > 0.05 || step < 0.0 {
            return Err(NoGroup::OffTheBar(beyond.max(-step)));
        }
        let screws = (0..count).map(|number| high - first - f64::from(number) * step).collect();
        Ok(Self { low, high, depth, screws })
    }

    /// What each screw carries under the hinges' loads, and where the bar presses.
    ///
    /// # Errors
    /// There is no screw, or a single one under a moment in the wall's plane.
    pub fn share(&self, loads: &[HingeLoad]) -> Result<(Presses, Vec<ScrewLoad>), NoGroup> {
        let mut screws = Vec::with_capacity(self.screws.len());
        let presses = self.share_into(loads, &EitherWay::default(), &mut screws)?;
        Ok((presses, screws))
    }

    /// Middle of the screws, mm.
    #[must_use]
    pub fn middle(&self) -> f64 {
        self.screws.iter().sum::<f64>() / (self.screws.len() as f64).max(1.0)
    }

    /// Likewise with a push of either sense, each screw at its worst, into a list that is made anew.
    ///
    /// # Errors
    /// Likewise.
    pub fn share_into(
        &self,
        loads: &[HingeLoad],
        also: &EitherWay,
        screws: &mut Vec<ScrewLoad>,
    ) -> Result<Presses, NoGroup> {
        screws.clear();
        let count = self.screws.len();
        if count == 0 {
            return Err(NoGroup::None);
        }
        let n = count as f64;
        let sum = |of: &dyn Fn(&HingeLoad) -> f64| loads.iter().map(of).sum::<f64>();
        let (out, down, sideways) = (sum(&|l| l.out), sum(&|l| l.down), sum(&|l| l.sideways));
        // Tipping the top away from the wall, about height 0 of the wall's face.
        let tipping = sum(&|l| l.out * l.height + l.down * l.stand_off);
        let (presses, [at_zero, slope]) = self.in_view(out, tipping);
        // Out of the side view the bar tips over a long edge, half its depth beside the screws. That
        // presses there by as much as the screws pull more; added evenly.
        let aslant = sum(&|l| l.out * l.beside - l.sideways * l.stand_off).abs() + also.aslant;
        let more = aslant / (0.5 * self.depth * n);
        let middle = self.middle();
        let spread: f64 = self.screws.iter().map(|height| (height - middle).powi(2)).sum();
        let turning = sum(&|l| l.sideways * (l.height - middle) + l.down * l.beside);
        let size = out.abs() + down.abs() + sideways.abs() + also.sideways;
        if spread <= 0.0 && turning.abs() + also.turning > 1e-9 * size * (self.high - self.low) {
            return Err(NoGroup::TurnsAboutOne);
        }
        let per_turning = |height: f64| if spread > 0.0 { (height - middle) / spread } else { 0.0 };
        let across = |height: f64| {
            (sideways / n + turning * per_turning(height)).abs()
                + also.sideways / n
                + also.turning * per_turning(height).abs()
        };
        screws.extend(self.screws.iter().map(|&height| ScrewLoad {
            height,
            tension: at_zero + slope * height + more,
            shear: (down / n).hypot(across(height)),
        }));
        Ok(presses)
    }

    /// Tensions in the side view as a value at height 0 and a slope: a rigid bar on equal springs that
    /// pull only, and ends that press only. `tipping` is about height 0.
    fn in_view(&self, out: f64, tipping: f64) -> (Presses, [f64; 2]) {
        let n = self.screws.len() as f64;
        // Moment that lifts the far end, about each end: none lifts, nothing pulls.
        let over_low = tipping - out * self.low;
        let over_high = out * self.high - tipping;
        if over_low <= 0.0 && over_high <= 0.0 {
            return (Presses::Everything, [0.0; 2]);
        }
        let middle = self.middle();
        let spread: f64 = self.screws.iter().map(|height| (height - middle).powi(2)).sum();
        if spread > 0.0 {
            let slope = (tipping - out * middle) / spread;
            let gap = |height: f64| out / n + slope * (height - middle);
            if gap(self.low) >= 0.0 && gap(self.high) >= 0.0 {
                return (Presses::Nothing, [out / n - slope * middle, slope]);
            }
        }
        let about = |end: f64, moment: f64, up: f64| {
            let square: f64 = self.screws.iter().map(|height| (height - end).powi(2)).sum();
            let slope = up * moment / square;
            let pulls = self.screws.iter().map(|height| slope * (height - end)).sum::<f64>();
            (pulls - out, [-slope * end, slope])
        };
        let (low_pressed, low_pulls) = about(self.low, over_low, 1.0);
        let (high_pressed, high_pulls) = about(self.high, over_high, -1.0);
        // The end that presses is the one over which the bar tips; over the other it would have to be
        // held down.
        if over_low > 0.0 && (over_high <= 0.0 || low_pressed >= high_pressed) {
            (Presses::LowerEnd, low_pulls)
        } else {
            (Presses::UpperEnd, high_pulls)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(ours: f64, expected: f64, within: f64) {
        assert!((ours - expected).abs() <= within, "{ours} against {expected}");
    }

    fn bar(screws: &[f64]) -> ScrewedBar {
        ScrewedBar { low: 0.0, high: 200.0, depth: 30.0, screws: screws.to_vec() }
    }

    fn fixings(count: u32, spacing: Option<f64>, edge: Option<f64>) -> Fixings {
        Fixings { count: Some(count), spacing, edge, ..Fixings::default() }
    }

    /// Closed form: each side of the balance of forces and moments by hand.
    #[test]
    fn a_weight_off_the_wall_tips_over_the_lower_end() {
        let load = HingeLoad { down: 300.0, stand_off: 40.0, height: 120.0, ..HingeLoad::default() };
        let (presses, screws) = bar(&[180.0, 20.0]).share(&[load]).unwrap();
        assert_eq!(presses, Presses::LowerEnd);
        // 300·40 over 180² + 20².
        near(screws[0].tension, 12_000.0 * 180.0 / 32_800.0, 1e-9);
        near(screws[1].tension, 12_000.0 * 20.0 / 32_800.0, 1e-9);
        near(screws[0].shear, 150.0, 1e-12);
    }

    #[test]
    fn a_pull_in_the_middle_is_shared_and_one_beside_it_leans() {
        let pull = |height: f64| HingeLoad { out: 90.0, height, ..HingeLoad::default() };
        let three = bar(&[180.0, 100.0, 20.0]);
        let (presses, screws) = three.share(&[pull(100.0)]).unwrap();
        assert_eq!(presses, Presses::Nothing);
        assert!(screws.iter().all(|screw| (screw.tension - 30.0).abs() < 1e-9));
        let (presses, screws) = three.share(&[pull(120.0)]).unwrap();
        assert_eq!(presses, Presses::Nothing);
        near(screws[0].tension, 30.0 + 90.0 * 20.0 * 80.0 / 12_800.0, 1e-9);
        // Outside the screws: prying over the lower end, more than the pull itself.
        let (presses, screws) = three.share(&[pull(200.0)]).unwrap();
        assert_eq!(presses, Presses::LowerEnd);
        assert!(screws.iter().map(|screw| screw.tension).sum::<f64>() > 90.0);
        let (presses, _) = three.share(&[pull(0.0)]).unwrap();
        assert_eq!(presses, Presses::UpperEnd);
    }

    #[test]
    fn a_push_pulls_on_no_screw() {
        let push = HingeLoad { out: -500.0, down: 20.0, stand_off: 30.0, height: 100.0, ..HingeLoad::default() };
        let (presses, screws) = bar(&[150.0, 50.0]).share(&[push]).unwrap();
        assert_eq!(presses, Presses::Everything);
        assert!(screws.iter().all(|screw| screw.tension.abs() < 1e-12 && (screw.shear - 10.0).abs() < 1e-12));
    }

    /// Closed form: a pull beside the line is a lever over the far edge, 1 + 2·z/depth.
    #[test]
    fn a_pull_beside_the_screws_pries_over_the_long_edge() {
        let pull = HingeLoad { out: 100.0, height: 100.0, beside: 9.0, ..HingeLoad::default() };
        let (_, screws) = bar(&[150.0, 50.0]).share(&[pull]).unwrap();
        near(screws[0].tension, 50.0 * (1.0 + 2.0 * 9.0 / 30.0), 1e-9);
        let sideways = HingeLoad { sideways: 50.0, stand_off: 20.0, height: 100.0, ..HingeLoad::default() };
        let (_, screws) = bar(&[150.0, 50.0]).share(&[sideways]).unwrap();
        near(screws[1].tension, 50.0 * 20.0 / 15.0 / 2.0, 1e-9);
        near(screws[1].shear, 25.0, 1e-9);
    }

    #[test]
    fn turning_in_the_wall_is_sheared_at_the_outer_screws() {
        let beside = HingeLoad { down: 200.0, height: 100.0, beside: 10.0, ..HingeLoad::default() };
        let (_, screws) = bar(&[150.0, 100.0, 50.0]).share(&[beside]).unwrap();
        near(screws[0].shear, (200.0_f64 / 3.0).hypot(2000.0 * 50.0 / 5000.0), 1e-9);
        near(screws[1].shear, 200.0 / 3.0, 1e-9);
        assert_eq!(bar(&[100.0]).share(&[beside]), Err(NoGroup::TurnsAboutOne));
    }

    /// A push of either sense is each screw's worst of the two.
    #[test]
    fn a_push_of_either_sense_is_the_worse_of_both() {
        let three = bar(&[170.0, 90.0, 15.0]);
        let weight = HingeLoad { down: 200.0, stand_off: 35.0, height: 120.0, beside: 6.0, ..HingeLoad::default() };
        let push = |sideways: f64| HingeLoad { sideways, stand_off: 20.0, height: 140.0, ..HingeLoad::default() };
        let arm = 140.0 - three.middle();
        let also = EitherWay { sideways: 50.0, aslant: 50.0 * 20.0, turning: 50.0 * arm };
        let mut worst = Vec::new();
        three.share_into(&[weight], &also, &mut worst).unwrap();
        let senses = [50.0, -50.0].map(|force| three.share(&[weight, push(force)]).unwrap().1);
        for (index, screw) in worst.iter().enumerate() {
            let shear = senses[0][index].shear.max(senses[1][index].shear);
            let tension = senses[0][index].tension.max(senses[1][index].tension);
            assert!(screw.shear >= shear - 1e-9 && screw.tension >= tension - 1e-9, "{index}");
            assert!(screw.shear < 1.35 * shear && screw.tension < 1.35 * tension, "not far above: {index}");
        }
        assert_eq!(three.share(&[weight]).unwrap().1.len(), 3);
    }

    /// Balance: what the screws pull and what presses on an end undo the loads, whatever they are.
    #[test]
    fn forces_and_moments_balance_and_nothing_changes_suddenly() {
        let three = bar(&[170.0, 90.0, 15.0]);
        let mut before: Option<Vec<f64>> = None;
        for step in -400..=400 {
            let out = f64::from(step);
            let load = HingeLoad { out, down: 150.0, stand_off: 35.0, height: 130.0, ..HingeLoad::default() };
            let (presses, screws) = three.share(&[load]).unwrap();
            let pull: f64 = screws.iter().map(|screw| screw.tension).sum();
            let moment: f64 = screws.iter().map(|screw| screw.tension * screw.height).sum();
            let (pressed, left) = (pull - out, moment - (out * 130.0 + 150.0 * 35.0));
            match presses {
                Presses::Nothing => assert!(pressed.abs() < 1e-9 && left.abs() < 1e-6),
                Presses::LowerEnd => assert!(pressed >= -1e-9 && left.abs() < 1e-6),
                Presses::UpperEnd => assert!(pressed >= -1e-9 && (left - pressed * 200.0).abs() < 1e-6),
                Presses::Everything => assert!(pull == 0.0 && (0.0..=200.0).contains(&(left / pressed))),
            }
            let now: Vec<f64> = screws.iter().map(|screw| screw.tension).collect();
            if let Some(before) = before {
                assert!(before.iter().zip(&now).all(|(old, new)| (old - new).abs() < 2.0), "{out}");
            }
            before = Some(now);
        }
    }

    #[test]
    fn places_of_screws() {
        let heights = |count, spacing, edge| {
            ScrewedBar::new(&fixings(count, spacing, edge), 100.0, 300.0, 30.0).map(|bar| bar.screws)
        };
        assert_eq!(heights(3, Some(60.0), Some(20.0)), Ok(vec![280.0, 220.0, 160.0]));
        assert_eq!(heights(3, Some(60.0), None), Ok(vec![260.0, 200.0, 140.0]));
        assert_eq!(heights(3, None, Some(20.0)), Ok(vec![280.0, 200.0, 120.0]));
        assert_eq!(heights(2, None, None), Ok(vec![250.0, 150.0]));
        assert_eq!(heights(1, None, Some(20.0)), Ok(vec![200.0]));
        assert!(matches!(heights(5, Some(60.0), Some(20.0)), Err(NoGroup::OffTheBar(by)) if (by - 60.0).abs() < 1e-9));
        assert!(matches!(heights(2, None, Some(150.0)), Err(NoGroup::OffTheBar(_))));
        assert_eq!(heights(0, None, None), Err(NoGroup::None));
        assert!(matches!(heights(2, Some(-1.0), None), Err(NoGroup::NotPositive("spacing", _))));
        assert_eq!(ScrewedBar::new(&Fixings::default(), 0.0, 1.0, 1.0), Err(NoGroup::NoCount));
    }
}
