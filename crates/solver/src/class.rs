//! The class of a four-bar linkage from the signs of three sums.

use crate::lift::Lengths;
use crate::tolerance::CHANGE_POINT;

/// Which motion the four lengths allow.
///
/// Source: sign test of J. M. McCarthy, *Geometric Design of Linkages*; names of J. R. Barker,
/// Mech. Mach. Theory 20(6), 1985 (as tabulated by Norton, *Design of Machinery*, table 2-4).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Class {
    /// Barker's name, or `"change point"`.
    pub name: &'static str,
    /// The three sums T1 = d+b−a−c, T2 = c+d−a−b, T3 = b+c−a−d, mm, with a the lower arm, b the
    /// panel bar, c the upper arm and d the wall bar.
    pub sums: [f64; 3],
    /// The smallest of the sums by size, mm: how near a change point is.
    pub nearest_zero_mm: f64,
}

impl Class {
    /// Classifies four positive lengths.
    #[must_use]
    pub fn of(lengths: &Lengths) -> Self {
        let (a, b, c, d) = (lengths.lower_arm, lengths.panel_bar, lengths.upper_arm, lengths.wall_bar);
        let sums = [d + b - a - c, c + d - a - b, b + c - a - d];
        let nearest = sums.iter().copied().min_by(|x, y| x.abs().total_cmp(&y.abs())).unwrap_or(0.0);
        let zero = CHANGE_POINT * (a + b + c + d);
        let name = if sums.iter().any(|t| t.abs() <= zero) {
            "change point"
        } else {
            match sums.map(|t| t > 0.0) {
                [false, false, true] => "GCCC",
                [true, true, true] => "GCRR",
                [false, true, false] => "GRCR",
                [true, false, false] => "GRRC",
                [true, true, false] => "RRR1",
                [false, false, false] => "RRR2",
                [true, false, true] => "RRR3",
                [false, true, true] => "RRR4",
            }
        };
        Self { name, sums, nearest_zero_mm: nearest.abs() }
    }

    /// What the class means, in a few words.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self.name {
            "GCCC" => "both arms can turn fully",
            "GCRR" => "the lower arm can turn fully, the upper arm swings",
            "GRCR" => "the panel bar can turn fully, both arms swing",
            "GRRC" => "the upper arm can turn fully, the lower arm swings",
            "change point" => "the motion is not determined where all pivots come into line",
            _ => "no bar can turn fully",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(a: f64, b: f64, c: f64, d: f64) -> &'static str {
        Class::of(&Lengths { lower_arm: a, panel_bar: b, upper_arm: c, wall_bar: d }).name
    }

    #[test]
    fn grashof_condition_published() {
        // Norton, Design of Machinery, ch. 2 exercise: 2, 4.5, 7, 9 is Grashof; 2, 3.5, 7, 9 is
        // not; 2, 4, 6, 8 is the special case (answers read at tutorsglobe.com 52189752).
        assert!(name(2.0, 4.5, 7.0, 9.0).starts_with('G'));
        assert!(name(2.0, 3.5, 7.0, 9.0).starts_with("RRR"));
        assert_eq!(name(2.0, 4.0, 6.0, 8.0), "change point");
    }

    #[test]
    fn named_linkages() {
        // Norton, Design of Machinery, example 4-1 (from memory, sums recomputed): crank-rocker.
        assert_eq!(name(40.0, 120.0, 80.0, 100.0), "GCRR");
        // transtutors.com question 13676847, sums recomputed: non-Grashof, longest is the input.
        assert_eq!(name(35.0, 25.0, 15.0, 10.0), "RRR2");
        // Constructed (T4, T5): Grashof double rocker; non-Grashof, longest is the ground.
        assert_eq!(name(120.0, 60.0, 100.0, 90.0), "GRCR");
        assert_eq!(name(100.0, 70.0, 80.0, 140.0), "RRR1");
    }

    #[test]
    fn every_row_of_the_table_by_its_shortest_or_longest_bar() {
        // Barker's table: which bar is shortest (Grashof) or longest (not) names the class.
        assert_eq!(name(50.0, 45.0, 55.0, 20.0), "GCCC");
        assert_eq!(name(20.0, 45.0, 55.0, 50.0), "GCRR");
        assert_eq!(name(45.0, 20.0, 55.0, 50.0), "GRCR");
        assert_eq!(name(45.0, 55.0, 20.0, 50.0), "GRRC");
        assert_eq!(name(40.0, 41.0, 42.0, 90.0), "RRR1");
        assert_eq!(name(90.0, 41.0, 42.0, 40.0), "RRR2");
        assert_eq!(name(40.0, 90.0, 42.0, 41.0), "RRR3");
        assert_eq!(name(40.0, 41.0, 90.0, 42.0), "RRR4");
        assert_eq!(name(10.0, 10.0, 10.0, 10.0), "change point");
        assert_eq!(name(12.0, 5.0, 12.0, 5.0), "change point");
        assert_eq!(name(4.0, 8.0, 6.0, 10.0), "change point");
    }
}
