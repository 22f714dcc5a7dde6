//! The two scales of a plot: round figures on both, and a grid line means one of each.

use overarm_solver::units::number;
use overarm_solver::{Analysis, Project, Units};

use super::curve::Curve;
use super::limit::Limit;
use crate::session::Plotted;

/// Heights of the scale at the left, and what of it is a millimetre at the right.
#[derive(Clone, Debug, PartialEq)]
pub struct Scales {
    /// Lowest and highest of the left scale.
    pub range: [f64; 2],
    /// Between two grid lines, left scale.
    pub grid: f64,
    sign: &'static str,
    /// Millimetres for one of the left scale, where there is a scale at the right.
    mm_per_left: Option<f64>,
    unit: LengthUnit,
}

/// The unit of the right scale: whole inches where the project is in inches or feet.
#[derive(Clone, Copy, Debug, PartialEq)]
struct LengthUnit {
    mm: f64,
    sign: &'static str,
}

impl LengthUnit {
    fn of(units: Units) -> Self {
        match units {
            Units::Millimetre => Self { mm: 1.0, sign: "mm" },
            Units::Inch | Units::FeetInch => Self { mm: 25.4, sign: "in" },
        }
    }
}

/// A limit is on the scale unless it is this many times what is plotted: then it is told at the top.
const FAR_ABOVE: f64 = 2.5;

impl Scales {
    /// Fits every curve of a plot of so many points' height, and the limits that are near.
    #[must_use]
    pub fn of(plotted: Plotted, project: &Project, analysis: &Analysis, limits: &[Limit], height: f32) -> Self {
        let range = |lengths: bool| {
            let curves = Curve::of(plotted).iter().filter(move |curve| curve.is_length() == lengths);
            curves
                .flat_map(|curve| (0..analysis.poses.len()).filter_map(|at| curve.value(project, analysis, at)))
                .fold((0.0_f64, 0.0_f64), |(least, most), value| (least.min(value), most.max(value)))
        };
        let unit = LengthUnit::of(project.units());
        let (least, most) = range(false);
        if plotted == Plotted::Motion {
            // Degrees between two grid lines.
            const GRID: f64 = 30.0;
            let (least_mm, most_mm) = range(true);
            let top = (most.max(60.0) / GRID).ceil() * GRID;
            let mm_per_row = round_up(most_mm / (top / GRID) / unit.mm) * unit.mm;
            let least = least.min(least_mm / mm_per_row * GRID);
            let range = [(least / GRID).floor() * GRID, top];
            return Self { range, grid: GRID, sign: "°", mm_per_left: Some(mm_per_row / GRID), unit };
        }
        let near = limits.iter().map(|limit| limit.value).filter(|value| *value <= FAR_ABOVE * most);
        let most = near.fold(most, f64::max);
        // A figure beside each needs some 18 points.
        let rows = (height / 18.0).floor().clamp(2.0, 6.0);
        let grid = round_up((most - least) / f64::from(rows));
        let range = [(least / grid).floor() * grid, (most / grid).ceil().max(1.0) * grid];
        let sign = if plotted == Plotted::DrumTorque { "N·m" } else { "N" };
        Self { range, grid, sign, mm_per_left: None, unit }
    }

    /// A value of a curve, or of its limit, on the left scale.
    #[must_use]
    pub fn left(&self, is_length: bool, value: f64) -> f64 {
        match self.mm_per_left.filter(|_| is_length) {
            Some(mm) => value / mm,
            None => value,
        }
    }

    /// How far up something of the left scale is, 0 at the foot, 1 at the top.
    #[must_use]
    pub fn share(&self, left: f64) -> f32 {
        ((left - self.range[0]) / (self.range[1] - self.range[0])) as f32
    }

    /// The grid lines from below, left scale.
    #[must_use]
    pub fn rows(&self) -> Vec<f64> {
        let first = (self.range[0] / self.grid).round() as i32;
        let last = (self.range[1] / self.grid).round() as i32;
        (first..=last).map(|row| f64::from(row) * self.grid).collect()
    }

    /// The figure of a grid line at the left; the uppermost has the unit with it.
    #[must_use]
    pub fn left_figure(&self, left: f64, is_top: bool) -> String {
        let decimals = if self.grid < 0.95 { 1 } else { 0 };
        let figure = number(left, decimals);
        match self.sign {
            "°" => format!("{figure}°"),
            sign if is_top => format!("{figure} {sign}"),
            _ => figure,
        }
    }

    /// Likewise at the right, where there is a scale.
    #[must_use]
    pub fn right_figure(&self, left: f64, is_top: bool) -> Option<String> {
        let length = left * self.mm_per_left? / self.unit.mm;
        let figure = number(length, 0);
        Some(if is_top { format!("{figure} {}", self.unit.sign) } else { figure })
    }
}

/// The next of 1, 2, 5 times a power of ten, from a tenth on.
fn round_up(value: f64) -> f64 {
    if value <= 0.1 {
        return 0.1;
    }
    let power = 10_f64.powf(value.log10().floor());
    // A value that is one of them but for its rounding stays.
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|step| step * power)
        .find(|step| *step >= value - 1e-9 * power)
        .unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::demo;
    use overarm_solver::{Options, analyse};

    #[test]
    fn scales_end_on_round_figures() {
        for (value, round) in [(0.03, 0.1), (0.3, 0.5), (37.0, 50.0), (100.0, 100.0), (1300.0, 2000.0)] {
            assert!((round_up(value) - round).abs() < 1e-9 * round, "{value}");
        }
    }

    #[test]
    fn every_curve_and_near_limit_lies_on_its_scale() {
        let project = demo();
        let analysis = analyse(&project, &Options { poses: 61, swept: false });
        for plotted in Plotted::ALL {
            let limits = Limit::of(plotted, &project, &analysis);
            let scales = Scales::of(plotted, &project, &analysis, &limits, 100.0);
            assert!((2..=9).contains(&scales.rows().len()), "{plotted:?}: {scales:?}");
            for curve in Curve::of(plotted) {
                for index in 0..analysis.poses.len() {
                    let value = curve.value(&project, &analysis, index).expect("the demo has everything");
                    let share = scales.share(scales.left(curve.is_length(), value));
                    assert!((-1e-6..=1.0 + 1e-6).contains(&share), "{curve:?} at {index}: {share}");
                }
            }
        }
        // 450 N is near what the strap pulls, 2 × 1370 N / 2 far above what a hinge carries.
        let limits = Limit::of(Plotted::Pull, &project, &analysis);
        let scales = Scales::of(Plotted::Pull, &project, &analysis, &limits, 100.0);
        assert!(scales.share(limits[0].value) <= 1.0);
    }
}
