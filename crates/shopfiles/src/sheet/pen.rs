//! Lines by their meaning: widths and dashes of ISO 128-2, line group 0.5.

/// Visible outlines, mm.
pub const WIDE: f64 = 0.5;
/// Everything else, mm.
pub const NARROW: f64 = 0.25;
/// The frame of a drawing sheet, mm (ISO 5457).
pub const FRAME: f64 = 0.7;

/// Red, green, blue.
pub type Colour = [u8; 3];

/// Outlines and text.
pub const INK: Colour = [0x1F, 0x23, 0x28];
/// What stands behind.
pub const QUIET: Colour = [0x5A, 0x60, 0x69];
/// Lines of hatching and tables.
pub const FAINT: Colour = [0x9A, 0xA0, 0xA8];
/// What is to be followed.
pub const ACCENT: Colour = [0x0B, 0x6E, 0x99];
/// What fails.
pub const FAILS: Colour = [0xB3, 0x26, 0x1E];
/// What holds.
pub const HOLDS: Colour = [0x1B, 0x7A, 0x4B];
/// What holds only just.
pub const NEAR: Colour = [0x8A, 0x5A, 0x00];
/// The panel's edge.
pub const WOOD: Colour = [0x8A, 0x5F, 0x36];
/// The panel's face.
pub const WOOD_LIGHT: Colour = [0xE9, 0xD9, 0xC4];
/// Bars.
pub const METAL_LIGHT: Colour = [0xC9, 0xD3, 0xDC];
/// Ground that is lower than what is around it: laps.
pub const LOWERED: Colour = [0xE1, 0xE8, 0xEE];
/// Likewise: reliefs.
pub const LOWERED_MORE: Colour = [0xC9, 0xD3, 0xDC];
/// The lifted-out row of a table.
pub const SHADE: Colour = [0xF1, 0xEF, 0xEA];
/// The ground.
pub const PAPER: Colour = [0xFF, 0xFF, 0xFF];

/// How a line is broken (ISO 128-2, numbers of its table).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    /// 01: continuous.
    Solid,
    /// 02: dashed; edges behind something.
    Hidden,
    /// 04: long-dashed dotted; centre lines.
    Chain,
    /// 05: long-dashed double-dotted; other positions of moving parts.
    DoubleDotted,
}

impl Dash {
    /// Lengths of dash and gap in turn, mm, for a line of this width.
    #[must_use]
    pub fn lengths(self, width: f64) -> Vec<f64> {
        let (long, dash, gap, dot) = (24.0 * width, 12.0 * width, 3.0 * width, 0.5 * width);
        match self {
            Self::Solid => Vec::new(),
            Self::Hidden => vec![dash, gap],
            Self::Chain => vec![long, gap, dot, gap],
            Self::DoubleDotted => vec![long, gap, dot, gap, dot, gap],
        }
    }
}

/// What a line is drawn with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// mm.
    pub width: f64,
    /// How it is broken.
    pub dash: Dash,
    /// Its colour.
    pub colour: Colour,
}

impl Pen {
    /// Visible outlines.
    pub const OUTLINE: Self = Self { width: WIDE, dash: Dash::Solid, colour: INK };
    /// Dimensions, leaders, hatching, tables.
    pub const THIN: Self = Self { width: NARROW, dash: Dash::Solid, colour: INK };
    /// Edges behind something.
    pub const HIDDEN: Self = Self { width: NARROW, dash: Dash::Hidden, colour: INK };
    /// Axes and centres.
    pub const CENTRE: Self = Self { width: NARROW, dash: Dash::Chain, colour: INK };
    /// End positions of moving parts.
    pub const GHOST: Self = Self { width: NARROW, dash: Dash::DoubleDotted, colour: QUIET };
    /// The frame of a drawing sheet.
    pub const FRAME: Self = Self { width: FRAME, dash: Dash::Solid, colour: INK };

    /// The same in another colour.
    #[must_use]
    pub fn coloured(self, colour: Colour) -> Self {
        Self { colour, ..self }
    }

    /// The same in another width, mm.
    #[must_use]
    pub fn wide(self, width: f64) -> Self {
        Self { width, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_are_those_of_the_standard() {
        // ISO 128-2: dash 12d, long dash 24d, gap 3d, dot at most 0.5d.
        assert_eq!(Dash::Hidden.lengths(0.25), [3.0, 0.75]);
        assert_eq!(Dash::Chain.lengths(0.25), [6.0, 0.75, 0.125, 0.75]);
        assert_eq!(Dash::DoubleDotted.lengths(0.5), [12.0, 1.5, 0.25, 1.5, 0.25, 1.5]);
        assert!(Dash::Solid.lengths(1.0).is_empty());
        // ISO 128-2: narrow to wide is 1 to 2.
        assert!((WIDE - 2.0 * NARROW).abs() < 1e-12);
    }
}
