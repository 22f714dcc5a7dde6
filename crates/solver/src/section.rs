//! Sections of bars, with bearing seats and laps taken out, and the stress in them.
//!
//! Nominal stress on the net section, without the peak at a hole's edge: a ductile metal under a
//! load that hardly changes evens it out (common practice; Shigley, Mechanical Engineering Design,
//! on static loading). Axes of a section: `across` is the bar's width, in the side view; `deep` is
//! its depth, along z. Millimetres, newtons, N·mm, MPa.

/// A rectangle of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// From and to across the bar, mm.
    pub across: [f64; 2],
    /// From and to through its depth, mm.
    pub deep: [f64; 2],
}

impl Block {
    fn sides(&self) -> (f64, f64) {
        (self.across[1] - self.across[0], self.deep[1] - self.deep[0])
    }

    fn middle(&self) -> (f64, f64) {
        (0.5 * (self.across[0] + self.across[1]), 0.5 * (self.deep[0] + self.deep[1]))
    }

    fn with(&self, other: &Self) -> Self {
        let both = |a: [f64; 2], b: [f64; 2]| [a[0].min(b[0]), a[1].max(b[1])];
        Self { across: both(self.across, other.across), deep: both(self.deep, other.deep) }
    }

    fn overlaps(&self, other: &Self) -> bool {
        let apart = |a: [f64; 2], b: [f64; 2]| a[1] <= b[0] || b[1] <= a[0];
        !apart(self.across, other.across) && !apart(self.deep, other.deep)
    }

    fn within(&self, outer: &Self) -> bool {
        let inside = |a: [f64; 2], b: [f64; 2]| b[0] <= a[0] && a[1] <= b[1];
        inside(self.across, outer.across) && inside(self.deep, outer.deep)
    }
}

/// A net section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// mm².
    pub area: f64,
    /// Its centre, across and through the depth, mm, in the blocks' own coordinates.
    pub centre: [f64; 2],
    /// Second moment for bending in the side view (∫ across²), mm⁴.
    pub across: f64,
    /// Second moment for bending out of it (∫ deep²), mm⁴.
    pub deep: f64,
    /// ∫ across · deep, mm⁴; zero where either axis is an axis of symmetry.
    pub mixed: f64,
    around: Block,
}

/// The highest and the lowest stress in a section, MPa; tension positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stress {
    /// Highest.
    pub most: f64,
    /// Lowest.
    pub least: f64,
}

impl Stress {
    /// The larger of tension and compression, MPa.
    #[must_use]
    pub fn largest(&self) -> f64 {
        self.most.abs().max(self.least.abs())
    }

    /// Yield strength over the largest stress; `None` where nothing is loaded.
    #[must_use]
    pub fn safety(&self, yield_strength: f64) -> Option<f64> {
        let largest = self.largest();
        (largest > 0.0).then(|| yield_strength / largest)
    }
}

impl Section {
    /// A block with others cut out of it. `None` where nothing would be left, a cut reaches out of
    /// the block, two cuts overlap, or a size is not a positive number.
    ///
    /// A cut that takes a corner off is better given as a smaller block: stress is taken at the
    /// block's corners, so it is never told too low.
    #[must_use]
    pub fn new(block: Block, cuts: &[Block]) -> Option<Self> {
        let positive = |one: &Block| {
            let (across, deep) = one.sides();
            across > 0.0 && deep > 0.0 && across.is_finite() && deep.is_finite()
        };
        let apart = cuts.iter().enumerate().all(|(i, cut)| cuts.iter().skip(i + 1).all(|other| !cut.overlaps(other)));
        if !positive(&block) || !cuts.iter().all(|cut| positive(cut) && cut.within(&block)) || !apart {
            return None;
        }
        let pieces = || std::iter::once((1.0, block)).chain(cuts.iter().map(|cut| (-1.0, *cut)));
        let (mut area, mut first) = (0.0, [0.0, 0.0]);
        for (sign, piece) in pieces() {
            let ((w, h), (y, z)) = (piece.sides(), piece.middle());
            area += sign * w * h;
            first = [first[0] + sign * w * h * y, first[1] + sign * w * h * z];
        }
        let (w, h) = block.sides();
        // Less than a millionth of the block is rounding, not material.
        if area <= 1e-6 * w * h {
            return None;
        }
        let centre = [first[0] / area, first[1] / area];
        let (mut across, mut deep, mut mixed) = (0.0, 0.0, 0.0);
        for (sign, piece) in pieces() {
            let ((w, h), (y, z)) = (piece.sides(), piece.middle());
            let (y, z) = (y - centre[0], z - centre[1]);
            across += sign * w * h * (w * w / 12.0 + y * y);
            deep += sign * w * h * (h * h / 12.0 + z * z);
            mixed += sign * w * h * y * z;
        }
        Some(Self { area, centre, across, deep, mixed, around: block })
    }

    /// What several blocks make together, which must not overlap. `None` where there is none with
    /// material.
    #[must_use]
    pub fn of_blocks(blocks: &[Block]) -> Option<Self> {
        let mut found = Self::nothing(blocks.first()?);
        let mut first = [0.0, 0.0];
        for block in blocks {
            let ((w, h), (y, z)) = (block.sides(), block.middle());
            found.area += w * h;
            first = [first[0] + w * h * y, first[1] + w * h * z];
            found.around = found.around.with(block);
        }
        if found.area.is_nan() || found.area <= 0.0 {
            return None;
        }
        found.centre = [first[0] / found.area, first[1] / found.area];
        for block in blocks {
            let ((w, h), (y, z)) = (block.sides(), block.middle());
            let (y, z) = (y - found.centre[0], z - found.centre[1]);
            found.across += w * h * (w * w / 12.0 + y * y);
            found.deep += w * h * (h * h / 12.0 + z * z);
            found.mixed += w * h * y * z;
        }
        Some(found)
    }

    fn nothing(around: &Block) -> Self {
        Self { area: 0.0, centre: [0.0; 2], across: 0.0, deep: 0.0, mixed: 0.0, around: *around }
    }

    /// The smallest second moment about any axis through the centre, mm⁴: a strut gives way about it.
    #[must_use]
    pub fn least_second_moment(&self) -> f64 {
        let half = 0.5 * (self.across - self.deep);
        0.5 * (self.across + self.deep) - half.hypot(self.mixed)
    }

    /// A full rectangle about its middle. `None` unless both sides are positive.
    #[must_use]
    pub fn rectangle(width: f64, depth: f64) -> Option<Self> {
        Self::new(around_middle(width, depth), &[])
    }

    /// A rectangle with a bore or seat across it, `offset` from its middle line, `bore_depth` deep
    /// from one face (the whole depth or more: a through bore). `None` where it breaks out or
    /// nothing is left.
    #[must_use]
    pub fn with_bore(width: f64, depth: f64, diameter: f64, bore_depth: f64, offset: f64) -> Option<Self> {
        let block = around_middle(width, depth);
        if !(diameter > 0.0 && bore_depth > 0.0) {
            return None;
        }
        let across = [offset - 0.5 * diameter, offset + 0.5 * diameter];
        let deep = [block.deep[0], block.deep[0] + bore_depth.min(depth)];
        Self::new(block, &[Block { across, deep }])
    }

    /// A half lap: half the depth, with a through bore in what is left (none where its diameter is
    /// 0). Its middle lies a quarter of the depth off the bar's: a pull along the bar's middle bends
    /// it by that much out of plane.
    #[must_use]
    pub fn half_lap(width: f64, depth: f64, diameter: f64, offset: f64) -> Option<Self> {
        if diameter > 0.0 {
            Self::with_bore(width, 0.5 * depth, diameter, depth, offset)
        } else {
            Self::rectangle(width, 0.5 * depth)
        }
    }

    /// Stress of a pull along the bar (N, tension positive) through the section's centre with
    /// bending in the side view and out of it (N·mm).
    #[must_use]
    pub fn stress(&self, axial: f64, in_view: f64, out_of_view: f64) -> Stress {
        let [a, b] = self.slopes(in_view, out_of_view);
        let mut stress = Stress { most: f64::NEG_INFINITY, least: f64::INFINITY };
        for y in self.around.across {
            for z in self.around.deep {
                let here = axial / self.area + a * (y - self.centre[0]) + b * (z - self.centre[1]);
                stress = Stress { most: stress.most.max(here), least: stress.least.min(here) };
            }
        }
        stress
    }

    /// What a newton along the bar, a newton millimetre in the side view and one out of it do at a
    /// place of the section, MPa each.
    #[must_use]
    pub fn influence(&self, across: f64, deep: f64) -> [f64; 3] {
        let (y, z) = (across - self.centre[0], deep - self.centre[1]);
        let ([a, b], [c, d]) = (self.slopes(1.0, 0.0), self.slopes(0.0, 1.0));
        [1.0 / self.area, a * y + b * z, c * y + d * z]
    }

    /// Sections stay plane: σ = N/A + a·y + b·z, with a and b so that σ's moments are those given.
    fn slopes(&self, in_view: f64, out_of_view: f64) -> [f64; 2] {
        let determinant = self.across * self.deep - self.mixed * self.mixed;
        [
            (in_view * self.deep - out_of_view * self.mixed) / determinant,
            (out_of_view * self.across - in_view * self.mixed) / determinant,
        ]
    }

    /// The block around it.
    #[must_use]
    pub fn around(&self) -> Block {
        self.around
    }

    /// Section modulus for bending in the side view at the farther edge, mm³.
    #[must_use]
    pub fn modulus_in_view(&self) -> f64 {
        let [low, high] = self.around.across;
        self.across / (high - self.centre[0]).max(self.centre[0] - low)
    }
}

fn around_middle(width: f64, depth: f64) -> Block {
    Block { across: [-0.5 * width, 0.5 * width], deep: [-0.5 * depth, 0.5 * depth] }
}

/// How far a beam that is held at one end gives at its tip, mm: F·l³ / (3·E·I).
#[must_use]
pub fn cantilever_deflection(force: f64, length: f64, modulus: f64, second_moment: f64) -> f64 {
    force * length.powi(3) / (3.0 * modulus * second_moment)
}

/// How far a beam that rests on both ends gives under a force at its middle, mm: F·l³ / (48·E·I).
#[must_use]
pub fn midspan_deflection(force: f64, length: f64, modulus: f64, second_moment: f64) -> f64 {
    force * length.powi(3) / (48.0 * modulus * second_moment)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(ours: f64, expected: f64, within: f64) {
        assert!((ours - expected).abs() <= within, "{ours} against {expected}");
    }

    /// Constructed, hand-checkable: 20 × 20 mm bars of E = 68.9 GPa.
    #[test]
    fn square_bar() {
        let bar = Section::rectangle(20.0, 20.0).unwrap();
        near(bar.stress(0.0, 300.0 * 400.0, 0.0).most, 90.0, 1e-9);
        near(cantilever_deflection(300.0, 400.0, 68_900.0, bar.across), 6.9666, 5e-5);
        near(bar.stress(0.0, 0.25 * 300.0 * 600.0, 0.0).most, 33.75, 1e-9);
        near(midspan_deflection(300.0, 600.0, 68_900.0, bar.across), 1.46952, 5e-6);
        let both = bar.stress(2000.0, 30_000.0, 0.0);
        near(both.most, 27.5, 1e-9);
        near(both.least, -17.5, 1e-9);
        near(both.safety(276.0).unwrap(), 10.04, 0.005);
        assert_eq!(bar.stress(0.0, 0.0, 0.0).safety(276.0), None);
    }

    /// Constructed: 30 × 12 mm with a through seat of 22 mm; 3/4 in square from the closed form.
    #[test]
    fn net_sections() {
        let net = Section::with_bore(30.0, 12.0, 22.0, 12.0, 0.0).unwrap();
        near(net.area, 96.0, 1e-9);
        near(net.across, 16_352.0, 1e-6);
        near(net.modulus_in_view(), 1090.0, 0.2);
        near(Section::rectangle(30.0, 12.0).unwrap().modulus_in_view(), 1800.0, 1e-9);
        let square = Section::rectangle(19.05, 19.05).unwrap();
        near(square.area, 362.9, 0.05);
        near(square.across, 10_975.0, 0.5);
        near(square.modulus_in_view(), 1152.2, 0.05);
    }

    #[test]
    fn a_bore_off_the_middle_shifts_the_centre_and_leaves_the_moments_balanced() {
        let net = Section::with_bore(30.0, 12.0, 10.0, 7.0, 4.0).unwrap();
        // First moments by hand: −70·4 / (360 − 70) and −70·(−2.5) / 290.
        near(net.centre[0], -280.0 / 290.0, 1e-12);
        near(net.centre[1], 175.0 / 290.0, 1e-12);
        // Stress integrated over the pieces gives the loads back.
        let (n, m, o) = (500.0, 12_000.0, -3000.0);
        let (mut force, mut in_view, mut out) = (0.0, 0.0, 0.0);
        let steps = 200;
        let [a, b] = net.slopes(m, o);
        for i in 0..steps {
            for j in 0..steps {
                let y = -15.0 + 30.0 * (f64::from(i) + 0.5) / f64::from(steps);
                let z = -6.0 + 12.0 * (f64::from(j) + 0.5) / f64::from(steps);
                if (-1.0..9.0).contains(&y) && z < 1.0 {
                    continue;
                }
                let piece = 30.0 * 12.0 / f64::from(steps * steps);
                let (y, z) = (y - net.centre[0], z - net.centre[1]);
                let stress = n / net.area + a * y + b * z;
                force += stress * piece;
                in_view += stress * y * piece;
                out += stress * z * piece;
            }
        }
        near(force / n, 1.0, 0.01);
        near(in_view / m, 1.0, 0.01);
        near(out / o, 1.0, 0.01);
    }

    #[test]
    fn blocks_together_are_the_block_with_its_cuts() {
        let net = Section::with_bore(30.0, 12.0, 10.0, 7.0, 4.0).unwrap();
        let block = |across, deep| Block { across, deep };
        let pieces =
            [block([-15.0, -1.0], [-6.0, 1.0]), block([9.0, 15.0], [-6.0, 1.0]), block([-15.0, 15.0], [1.0, 6.0])];
        let built = Section::of_blocks(&pieces).unwrap();
        for (ours, expected) in [
            (built.area, net.area),
            (built.centre[0], net.centre[0]),
            (built.centre[1], net.centre[1]),
            (built.across, net.across),
            (built.deep, net.deep),
            (built.mixed, net.mixed),
        ] {
            near(ours, expected, 1e-9);
        }
        assert_eq!(built.around, net.around);
        let [pull, in_view, out] = built.influence(15.0, -6.0);
        let all = built.stress(500.0, 12_000.0, -3000.0);
        let here = 500.0 * pull + 12_000.0 * in_view - 3000.0 * out;
        assert!(here <= all.most + 1e-12 && here >= all.least - 1e-12);
        near(Section::rectangle(20.0, 10.0).unwrap().least_second_moment(), 20.0 * 1000.0 / 12.0, 1e-9);
        // An angle's weakest axis is aslant.
        let angle = Section::of_blocks(&[block([0.0, 4.0], [0.0, 40.0]), block([4.0, 40.0], [0.0, 4.0])]).unwrap();
        assert!(angle.least_second_moment() < 0.5 * angle.across.min(angle.deep));
        assert_eq!(Section::of_blocks(&[]), None);
        assert_eq!(Section::of_blocks(&[block([1.0, 1.0], [0.0, 5.0])]), None);
    }

    #[test]
    fn a_half_lap_is_half_the_bar() {
        let lap = Section::half_lap(25.0, 12.0, 8.0, 0.0).unwrap();
        near(lap.area, 17.0 * 6.0, 1e-12);
        let pull = 1000.0;
        // Closed form: a strip under a pull a quarter of the depth off its middle.
        let stress = lap.stress(pull, 0.0, pull * 3.0);
        near(stress.most, pull / 102.0 + pull * 3.0 * 6.0 / (17.0 * 36.0), 1e-9);
    }

    #[test]
    fn what_is_not_left_is_none() {
        assert_eq!(Section::rectangle(0.0, 5.0), None);
        assert_eq!(Section::rectangle(f64::NAN, 5.0), None);
        assert_eq!(Section::with_bore(20.0, 10.0, 20.0, 10.0, 0.0), None);
        assert_eq!(Section::with_bore(20.0, 10.0, 10.0, 10.0, 6.0), None, "breaks out of the edge");
        assert!(Section::with_bore(20.0, 10.0, 16.0, 4.0, 0.0).is_some());
    }
}
