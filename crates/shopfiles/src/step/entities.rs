//! Entities of ISO 10303-21 as text, each written once.

use nalgebra::{Point3, Vector3};

use crate::step::boundary::{Boundary, Curve, Face, Surface, Walked};

/// The number of an entity.
type Id = usize;

/// What places may be off each other, mm, as readers are told: above rounding, below any gauge.
const UNCERTAINTY: &str = "1.E-6";

/// Entities in the order in which they were added.
#[derive(Debug, Default)]
pub struct Entities {
    lines: Vec<String>,
}

impl Entities {
    fn add(&mut self, text: impl AsRef<str>) -> Id {
        let id = self.lines.len() + 1;
        self.lines.push(format!("#{id}={};\n", text.as_ref()));
        id
    }

    /// The whole file.
    #[must_use]
    pub fn file(&self, name: &str, description: &str) -> String {
        let mut text = String::from("ISO-10303-21;\nHEADER;\n");
        text.push_str(&format!("FILE_DESCRIPTION(('{}'),'2;1');\n", string(description)));
        // No clock: the same project gives the same bytes.
        text.push_str(&format!(
            "FILE_NAME('{}','1970-01-01T00:00:00',(''),(''),'overarm','overarm','');\n",
            string(&format!("{name}.step"))
        ));
        text.push_str("FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 1 1 4 }'));\n");
        text.push_str("ENDSEC;\nDATA;\n");
        text.extend(self.lines.iter().map(String::as_str));
        text.push_str("ENDSEC;\nEND-ISO-10303-21;\n");
        text
    }

    /// A product and, where it has one, its body.
    pub fn product(&mut self, name: &str, number: &str, description: &str, body: Option<&Boundary>) {
        let (name, number, description) = (string(name), string(number), string(description));
        let context = self.add("APPLICATION_CONTEXT('managed model based 3d engineering')");
        self.add(format!(
            "APPLICATION_PROTOCOL_DEFINITION('international standard','ap242_managed_model_based_3d_engineering',2014,#{context})"
        ));
        let product_context = self.add(format!("PRODUCT_CONTEXT('',#{context},'mechanical')"));
        let product = self.add(format!("PRODUCT('{number}','{name}','{description}',(#{product_context}))"));
        self.add(format!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))"));
        let formation = self.add(format!("PRODUCT_DEFINITION_FORMATION('','',#{product})"));
        let stage = self.add(format!("PRODUCT_DEFINITION_CONTEXT('part definition',#{context},'design')"));
        let definition = self.add(format!("PRODUCT_DEFINITION('design','',#{formation},#{stage})"));
        let Some(body) = body else { return };
        let shape = self.add(format!("PRODUCT_DEFINITION_SHAPE('','',#{definition})"));
        let length = self.add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))");
        let angle = self.add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))");
        let solid_angle = self.add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())");
        let uncertainty = self.add(format!(
            "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({UNCERTAINTY}),#{length},'distance_accuracy_value','')"
        ));
        let space = self.add(format!(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#{uncertainty}))\
             GLOBAL_UNIT_ASSIGNED_CONTEXT((#{length},#{angle},#{solid_angle}))REPRESENTATION_CONTEXT('','3D'))"
        ));
        let origin = self.placement(Point3::origin(), Vector3::z(), Vector3::x());
        let faces = self.faces(body);
        let shell = self.add(format!("CLOSED_SHELL('',({}))", list(&faces)));
        let solid = self.add(format!("MANIFOLD_SOLID_BREP('{name}',#{shell})"));
        let representation =
            self.add(format!("ADVANCED_BREP_SHAPE_REPRESENTATION('{name}',(#{origin},#{solid}),#{space})"));
        self.add(format!("SHAPE_DEFINITION_REPRESENTATION(#{shape},#{representation})"));
    }

    fn faces(&mut self, body: &Boundary) -> Vec<Id> {
        let points: Vec<Id> = body.vertices.iter().map(|at| self.point(*at)).collect();
        let vertices: Vec<Id> = points.iter().map(|point| self.add(format!("VERTEX_POINT('',#{point})"))).collect();
        let mut edges = Vec::new();
        for edge in &body.edges {
            let [from, to] = edge.ends;
            let curve = match edge.curve {
                Curve::Line => {
                    let along = (body.vertices[to] - body.vertices[from]).normalize();
                    let direction = self.direction(along);
                    let vector = self.add(format!("VECTOR('',#{direction},1.)"));
                    self.add(format!("LINE('',#{},#{vector})", points[from]))
                }
                Curve::Circle { centre, axis, radius } => {
                    let across = (body.vertices[from] - centre).normalize();
                    let placement = self.placement(centre, axis, across);
                    self.add(format!("CIRCLE('',#{placement},{})", real(radius)))
                }
            };
            edges.push(self.add(format!("EDGE_CURVE('',#{},#{},#{curve},.T.)", vertices[from], vertices[to])));
        }
        body.faces.iter().map(|face| self.face(face, &edges)).collect()
    }

    fn face(&mut self, face: &Face, edges: &[Id]) -> Id {
        let mut bounds = Vec::new();
        for (index, around) in face.loops.iter().enumerate() {
            let walked: Vec<Id> = around.iter().map(|edge| self.oriented(*edge, edges)).collect();
            let edge_loop = self.add(format!("EDGE_LOOP('',({}))", list(&walked)));
            let kind = if index == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
            bounds.push(self.add(format!("{kind}('',#{edge_loop},.T.)")));
        }
        let surface = match face.surface {
            Surface::Plane { at, normal } => {
                let placement = self.placement(at, normal, beside(normal));
                self.add(format!("PLANE('',#{placement})"))
            }
            Surface::Cylinder { at, axis, radius } => {
                let placement = self.placement(at, axis, beside(axis));
                self.add(format!("CYLINDRICAL_SURFACE('',#{placement},{})", real(radius)))
            }
            Surface::Cone { at, axis, radius, half_angle } => {
                let placement = self.placement(at, axis, beside(axis));
                self.add(format!("CONICAL_SURFACE('',#{placement},{},{})", real(radius), real(half_angle)))
            }
        };
        let sense = if face.is_outside { ".T." } else { ".F." };
        self.add(format!("ADVANCED_FACE('',({}),#{surface},{sense})", list(&bounds)))
    }

    fn oriented(&mut self, (edge, forward): Walked, edges: &[Id]) -> Id {
        self.add(format!("ORIENTED_EDGE('',*,*,#{},{})", edges[edge], if forward { ".T." } else { ".F." }))
    }

    fn point(&mut self, at: Point3<f64>) -> Id {
        self.add(format!("CARTESIAN_POINT('',({},{},{}))", real(at.x), real(at.y), real(at.z)))
    }

    fn direction(&mut self, along: Vector3<f64>) -> Id {
        self.add(format!("DIRECTION('',({},{},{}))", real(along.x), real(along.y), real(along.z)))
    }

    fn placement(&mut self, at: Point3<f64>, axis: Vector3<f64>, across: Vector3<f64>) -> Id {
        let (at, axis, across) = (self.point(at), self.direction(axis), self.direction(across));
        self.add(format!("AXIS2_PLACEMENT_3D('',#{at},#{axis},#{across})"))
    }
}

/// A direction square to another; the seams of bores along z and across it lie there.
fn beside(axis: Vector3<f64>) -> Vector3<f64> {
    if axis.z.abs() > 0.5 { Vector3::x() } else { Vector3::z() }
}

fn list(ids: &[Id]) -> String {
    ids.iter().map(|id| format!("#{id}")).collect::<Vec<_>>().join(",")
}

/// A real number: always with a point, never with an exponent or a sign on zero.
fn real(value: f64) -> String {
    let value = if value == 0.0 { 0.0 } else { value };
    let text = value.to_string();
    if text.contains('.') { text } else { format!("{text}.") }
}

/// Text between apostrophes: these and backslashes doubled, other characters in ISO 10646.
fn string(text: &str) -> String {
    let mut written = String::new();
    for character in text.chars() {
        match character {
            '\'' => written.push_str("''"),
            '\\' => written.push_str("\\\\"),
            ' '..='~' => written.push(character),
            _ if character.is_control() => written.push(' '),
            _ if u32::from(character) > 0xFFFF => {
                written.push_str(&format!("\\X4\\{:08X}\\X0\\", u32::from(character)));
            }
            _ => written.push_str(&format!("\\X2\\{:04X}\\X0\\", u32::from(character))),
        }
    }
    written
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_text() {
        assert_eq!(
            [0.0, -0.0, 2.0, -0.5, 1e-7, 1e20].map(real),
            ["0.", "0.", "2.", "-0.5", "0.0000001", "100000000000000000000."]
        );
        assert_eq!(string("a'b\\c\né€😀"), "a''b\\\\c \\X2\\00E9\\X0\\\\X2\\20AC\\X0\\\\X4\\0001F600\\X0\\");
    }
}
