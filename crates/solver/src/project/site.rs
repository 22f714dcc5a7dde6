//! The room from what a tape measures: a wall, a ceiling by heights or by its slope, and what hangs
//! in the way.

use super::{More, Point, Solid};

/// How far out a ceiling is drawn that is known by its slope alone, mm; it goes straight on anyway.
const DRAWN_TO: f64 = 3000.0;

/// Steeper than this, degrees, it is a wall and no ceiling; and its drawn end would be far away.
const STEEPEST_DEG: f64 = 80.0;

/// A ceiling as measured from the wall and the floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Ceiling {
    /// Height at the wall, mm.
    pub at_wall: f64,
    /// How it goes on.
    pub course: Course,
    /// A boxed-in part along the wall, under the ceiling.
    pub soffit: Option<Soffit>,
}

/// How a ceiling goes on from the wall.
#[derive(Clone, Debug, PartialEq)]
pub enum Course {
    /// Straight from measured point to measured point: distance from the wall and height, mm, in
    /// any order; none: level.
    Measured(Vec<Point>),
    /// Straight at so many degrees above level; negative falls into the room.
    Slope(f64),
}

/// A boxed-in part along the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Soffit {
    /// How far it comes out of the wall, mm.
    pub depth: f64,
    /// Height of its underside, mm.
    pub underside: f64,
}

/// What stands or hangs in the room, as measured; lengths in mm, heights above the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Obstacle {
    /// A beam that runs along the wall, up to the ceiling.
    Beam {
        /// From the wall to its near face.
        near: f64,
        /// From its near to its far face.
        width: f64,
        /// Height of its underside.
        underside: f64,
    },
    /// A lamp, with everything above it up to the ceiling unless its own height is known.
    Lamp {
        /// From the wall to its middle.
        middle: f64,
        /// Across.
        width: f64,
        /// Height of its lowest point.
        underside: f64,
        /// From its lowest to its highest point.
        height: Option<f64>,
    },
    /// The room that a door takes when it opens.
    Door {
        /// From the wall to where the leaf comes nearest to it.
        near: f64,
        /// From there to where it goes farthest.
        reach: f64,
        /// Height of its lower edge.
        bottom: f64,
        /// Height of its upper edge.
        top: f64,
    },
}

/// Why measurements make no room, in a sentence.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{reason}")]
pub struct NoRoom {
    /// The sentence.
    pub reason: String,
}

fn no_room<T>(reason: &str) -> Result<T, NoRoom> {
    Err(NoRoom { reason: reason.to_owned() })
}

impl Ceiling {
    /// The room's outline: up the wall and along the ceiling, as [`super::Room::outline`] wants it.
    ///
    /// # Errors
    /// Measurements that contradict each other.
    pub fn outline(&self) -> Result<Vec<Point>, NoRoom> {
        if self.at_wall.is_nan() || self.at_wall <= 0.0 {
            return no_room("The ceiling's height at the wall has to be above the floor.");
        }
        let mut ceiling = vec![Point::new(0.0, self.at_wall)];
        match &self.course {
            Course::Measured(points) if points.is_empty() => ceiling.push(Point::new(DRAWN_TO, self.at_wall)),
            Course::Measured(points) => {
                let mut points = points.clone();
                points.sort_by(|one, other| one.x.total_cmp(&other.x));
                if points.iter().any(|point| point.x.is_nan() || point.x <= 0.0) {
                    return no_room("The ceiling's other heights have to be taken away from the wall.");
                }
                if points.windows(2).any(|pair| pair[1].x - pair[0].x <= 0.0) {
                    return no_room("Two heights of the ceiling are given at the same distance. Leave one out.");
                }
                ceiling.extend(points);
            }
            Course::Slope(degrees) => {
                if degrees.is_nan() || degrees.abs() > STEEPEST_DEG {
                    return no_room("A ceiling's slope is at most 80° here. Measure two heights instead.");
                }
                let rise = DRAWN_TO * degrees.to_radians().tan();
                ceiling.push(Point::new(DRAWN_TO, tidy(self.at_wall + rise)));
            }
        }
        let mut outline = vec![Point::origin()];
        outline.extend(match self.soffit {
            Some(soffit) => under_soffit(&ceiling, soffit)?,
            None => ceiling,
        });
        Ok(outline)
    }

    /// The measurements that give an outline, where it is a plumb wall with a ceiling that goes
    /// outwards all along; a soffit is taken as such.
    #[must_use]
    pub fn of_outline(outline: &[Point]) -> Option<Self> {
        let (first, rest) = outline.split_first()?;
        let wall_ends = rest.first().filter(|corner| corner.x.abs() < 1e-9 && first.x.abs() < 1e-9)?;
        let ceiling = &rest[1..];
        if let [face, above, more @ ..] = ceiling
            && (face.y - wall_ends.y).abs() < 1e-9
            && (above.x - face.x).abs() < 1e-9
            && above.y > face.y
            && let Some(next) = more.first()
            && next.x > above.x
        {
            // The height at the wall is behind the soffit: the ceiling goes straight on there.
            let at_wall = above.y - (next.y - above.y) / (next.x - above.x) * above.x;
            let goes_out = more.windows(2).all(|pair| pair[1].x > pair[0].x);
            let soffit = Some(Soffit { depth: face.x, underside: face.y });
            return (goes_out && at_wall > face.y).then(|| Self {
                at_wall: tidy(at_wall),
                course: Course::Measured(more.to_vec()),
                soffit,
            });
        }
        let goes_out = rest.windows(2).all(|pair| pair[1].x > pair[0].x);
        goes_out.then(|| Self { at_wall: wall_ends.y, course: Course::Measured(ceiling.to_vec()), soffit: None })
    }
}

/// Takes off what a computation leaves behind the sixth decimal (a nanometre).
fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// Along the soffit's underside, up its face, and on along the ceiling.
fn under_soffit(ceiling: &[Point], soffit: Soffit) -> Result<Vec<Point>, NoRoom> {
    if soffit.depth.is_nan() || soffit.depth <= 0.0 {
        return no_room("A soffit has to come out of the wall.");
    }
    if soffit.underside.is_nan() || soffit.underside <= 0.0 {
        return no_room("The soffit's underside has to be above the floor.");
    }
    let at_face = tidy(height_above(ceiling, soffit.depth));
    let lowest = ceiling.iter().filter(|point| point.x <= soffit.depth).map(|point| point.y).fold(at_face, f64::min);
    if soffit.underside >= lowest {
        return no_room("The soffit's underside has to be below the ceiling over all of its depth.");
    }
    let mut along = vec![
        Point::new(0.0, soffit.underside),
        Point::new(soffit.depth, soffit.underside),
        Point::new(soffit.depth, at_face),
    ];
    along.extend(ceiling.iter().filter(|point| point.x > soffit.depth));
    if along.len() == 3 {
        // The face is the last that was measured: the ceiling goes on as it came.
        let beyond = soffit.depth + DRAWN_TO;
        along.push(Point::new(beyond, tidy(height_above(ceiling, beyond))));
    }
    Ok(along)
}

/// Height of a line of points over a distance from the wall; its ends go straight on.
fn height_above(line: &[Point], at: f64) -> f64 {
    let mut steps = line.windows(2).filter(|pair| pair[1].x > pair[0].x);
    let over = steps.clone().find(|pair| pair[1].x >= at).or_else(|| steps.next_back());
    match (over, line.first()) {
        (Some([from, to]), _) => from.y + (to.y - from.y) * (at - from.x) / (to.x - from.x),
        (_, Some(only)) => only.y,
        _ => 0.0,
    }
}

impl Obstacle {
    /// What it is called.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Beam { .. } => "Beam",
            Self::Lamp { .. } => "Lamp",
            Self::Door { .. } => "Door",
        }
    }

    /// The solid that nothing may touch, under the ceiling of a room's outline.
    ///
    /// # Errors
    /// Measurements that make no solid.
    pub fn solid(&self, outline: &[Point]) -> Result<Solid, NoRoom> {
        let (near, far, bottom, top) = match *self {
            Self::Beam { near, width, underside } => (near, near + width, underside, None),
            Self::Lamp { middle, width, underside, height } => {
                (middle - width / 2.0, middle + width / 2.0, underside, height.map(|height| underside + height))
            }
            Self::Door { near, reach, bottom, top } => (near, near + reach, bottom, Some(top)),
        };
        if (far - near).is_nan() || far <= near {
            return no_room("It has to have some width.");
        }
        if near < 0.0 {
            return no_room("It has to stand in front of the wall.");
        }
        let mut corners = vec![Point::new(near, bottom), Point::new(far, bottom)];
        match top {
            Some(top) if top > bottom => corners.extend([Point::new(far, top), Point::new(near, top)]),
            Some(_) => return no_room("Its top has to be above its bottom."),
            None => corners.extend(ceiling_over(outline, near, far, bottom)?),
        }
        let name = Some(self.name().to_owned());
        Ok(Solid { name, outline: corners.into_iter().map(|corner| corner.map(tidy)).collect(), more: More::new() })
    }
}

/// The ceiling over a stretch, from its far to its near end.
fn ceiling_over(outline: &[Point], near: f64, far: f64, underside: f64) -> Result<Vec<Point>, NoRoom> {
    // Without the wall: what lies at and beyond its top.
    let top_of_wall = outline.iter().rposition(|corner| corner.x.abs() < 1e-9).unwrap_or(0);
    let ceiling = &outline[top_of_wall..];
    let mut over = vec![Point::new(far, height_above(ceiling, far))];
    over.extend(ceiling.iter().rev().filter(|corner| corner.x > near && corner.x < far));
    over.push(Point::new(near, height_above(ceiling, near)));
    if over.iter().any(|corner| corner.y <= underside) {
        return no_room("Its underside has to be below the ceiling.");
    }
    Ok(over)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(from: &[[f64; 2]]) -> Vec<Point> {
        from.iter().map(|point| Point::from(*point)).collect()
    }

    fn ceiling(at_wall: f64, course: Course) -> Ceiling {
        Ceiling { at_wall, course, soffit: None }
    }

    #[test]
    fn heights_at_distances() {
        let measured = Course::Measured(points(&[[2400.0, 3930.5], [1200.0, 3085.0]]));
        let outline = ceiling(2250.0, measured).outline().expect("a room");
        assert_eq!(outline, points(&[[0.0, 0.0], [0.0, 2250.0], [1200.0, 3085.0], [2400.0, 3930.5]]));
        let level = ceiling(2400.0, Course::Measured(Vec::new())).outline().expect("a room");
        assert_eq!(level, points(&[[0.0, 0.0], [0.0, 2400.0], [3000.0, 2400.0]]));
    }

    #[test]
    fn a_slope_rises_or_falls() {
        // One in two, by the right-angled triangle.
        let half = 0.5_f64.atan().to_degrees();
        let rising = ceiling(2250.0, Course::Slope(half)).outline().expect("a room");
        assert_eq!(rising[2], Point::new(3000.0, 3750.0));
        let falling = ceiling(3000.0, Course::Slope(-half)).outline().expect("a room");
        assert_eq!(falling[2], Point::new(3000.0, 1500.0));
    }

    #[test]
    fn a_soffit_is_under_the_ceiling() {
        let soffit = Some(Soffit { depth: 300.0, underside: 2200.0 });
        let boxed = Ceiling { soffit, ..ceiling(2400.0, Course::Measured(points(&[[2000.0, 3400.0]]))) };
        let outline = boxed.outline().expect("a room");
        // A rise of 1000 over 2000 is 150 over 300.
        assert_eq!(outline, points(&[[0.0, 0.0], [0.0, 2200.0], [300.0, 2200.0], [300.0, 2550.0], [2000.0, 3400.0]]));
        assert_eq!(Ceiling::of_outline(&outline), Some(boxed.clone()));
        let too_high = Ceiling { soffit: Some(Soffit { depth: 300.0, underside: 2400.0 }), ..boxed };
        assert!(too_high.outline().expect_err("above the ceiling").reason.contains("below the ceiling"));
        let deep = Some(Soffit { depth: 4000.0, underside: 2200.0 });
        let outline = Ceiling { soffit: deep, ..ceiling(2400.0, Course::Slope(0.0)) }.outline().expect("a room");
        assert_eq!(outline.last(), Some(&Point::new(7000.0, 2400.0)));
    }

    #[test]
    fn measurements_that_contradict_each_other() {
        for wrong in [
            ceiling(0.0, Course::Slope(0.0)),
            ceiling(f64::NAN, Course::Slope(0.0)),
            ceiling(2400.0, Course::Slope(85.0)),
            ceiling(2400.0, Course::Measured(points(&[[0.0, 2500.0]]))),
            ceiling(2400.0, Course::Measured(points(&[[500.0, 2500.0], [500.0, 2600.0]]))),
            Ceiling { soffit: Some(Soffit { depth: 0.0, underside: 2000.0 }), ..ceiling(2400.0, Course::Slope(0.0)) },
        ] {
            assert!(wrong.outline().is_err(), "{wrong:?}");
        }
    }

    #[test]
    fn an_outline_gives_its_measurements_back() {
        let outline = points(&[[0.0, 0.0], [0.0, 2250.0], [2400.0, 3930.5]]);
        let found = Ceiling::of_outline(&outline).expect("a plumb wall");
        assert_eq!(found, ceiling(2250.0, Course::Measured(points(&[[2400.0, 3930.5]]))));
        assert_eq!(found.outline().expect("a room"), outline);
        let leaning = points(&[[0.0, 0.0], [100.0, 2250.0], [2400.0, 3930.5]]);
        assert_eq!(Ceiling::of_outline(&leaning), None);
    }

    #[test]
    fn a_beam_reaches_the_ceiling_and_a_door_does_not() {
        let outline = points(&[[0.0, 0.0], [0.0, 2400.0], [1000.0, 2900.0], [2000.0, 2900.0]]);
        let beam = Obstacle::Beam { near: 900.0, width: 200.0, underside: 2500.0 };
        let solid = beam.solid(&outline).expect("a beam");
        let expected =
            points(&[[900.0, 2500.0], [1100.0, 2500.0], [1100.0, 2900.0], [1000.0, 2900.0], [900.0, 2850.0]]);
        assert_eq!(solid.outline, expected);
        assert!(Obstacle::Beam { near: 100.0, width: 100.0, underside: 2460.0 }.solid(&outline).is_err());
        let door = Obstacle::Door { near: 1500.0, reach: 800.0, bottom: 10.0, top: 1980.0 };
        let solid = door.solid(&outline).expect("a door");
        assert_eq!(solid.outline, points(&[[1500.0, 10.0], [2300.0, 10.0], [2300.0, 1980.0], [1500.0, 1980.0]]));
        let lamp = Obstacle::Lamp { middle: 500.0, width: 300.0, underside: 2200.0, height: Some(250.0) };
        assert_eq!(lamp.solid(&outline).expect("a lamp").outline[2], Point::new(650.0, 2450.0));
        let cord = Obstacle::Lamp { middle: 500.0, width: 300.0, underside: 2200.0, height: None };
        assert_eq!(cord.solid(&outline).expect("a lamp").outline[2], Point::new(650.0, 2725.0));
        assert!(
            Obstacle::Lamp { middle: 100.0, width: 300.0, underside: 2200.0, height: None }.solid(&outline).is_err()
        );
        assert!(Obstacle::Door { near: 1500.0, reach: 0.0, bottom: 10.0, top: 1980.0 }.solid(&outline).is_err());
        assert!(Obstacle::Door { near: 1500.0, reach: 800.0, bottom: 1980.0, top: 10.0 }.solid(&outline).is_err());
    }
}
