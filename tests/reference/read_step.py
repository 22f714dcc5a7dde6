"""Part files in STEP read by two programs' importers, compared with what the project asks for.

Every file is one valid, closed solid of planes, cylinders and cones, with the part's name. Its volume
is the program's own exact one (`cut-list.csv`) and the one worked out here from the solids that the
findings tell and the hole table. Hinges are true cylinders whose axes lie where the project's pivots
do. Right is the mirror image of left, face by face.
"""

import csv
import math
import re
from pathlib import Path
from tempfile import TemporaryDirectory

import gmsh
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from program import check, make
from read_dxf import BEARINGS, PARTS, area, piece_corners

# Volume, relative; places and diameters, mm.
VOLUME = 1e-9
PLACE = 1e-7
KINDS = {
    GeomAbs_SurfaceType.GeomAbs_Plane: "plane",
    GeomAbs_SurfaceType.GeomAbs_Cylinder: "cylinder",
    GeomAbs_SurfaceType.GeomAbs_Cone: "cone",
}


class Body:
    """One file as read."""

    def __init__(self, path):
        reader = STEPControl_Reader()
        if reader.ReadFile(str(path)) != IFSelect_RetDone:
            raise ValueError(f"{path.name}: cannot be read")
        reader.TransferRoots()
        self.shape = reader.OneShape()
        self.valid = not self.shape.IsNull() and BRepCheck_Analyzer(self.shape).IsValid()
        self.solids = len(list(self.inside(TopAbs_ShapeEnum.TopAbs_SOLID)))
        self.shells = len(list(self.inside(TopAbs_ShapeEnum.TopAbs_SHELL)))
        properties = GProp_GProps()
        BRepGProp.VolumeProperties_s(self.shape, properties, 1e-13, False, False)
        self.volume = properties.Mass()
        self.faces = [self.face(TopoDS.Face(face)) for face in self.inside(TopAbs_ShapeEnum.TopAbs_FACE)]

    def inside(self, kind):
        explorer = TopExp_Explorer(self.shape, kind)
        while explorer.More():
            yield explorer.Current()
            explorer.Next()

    @staticmethod
    def face(face):
        """(kind, area, centre, axis or None, radius or None)"""
        surface = BRepAdaptor_Surface(face)
        kind = KINDS.get(surface.GetType(), "other")
        properties = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, properties, 1e-12, False)
        at = properties.CentreOfMass()
        axis = radius = None
        if kind == "cylinder":
            cylinder = surface.Cylinder()
            place, along = cylinder.Axis().Location(), cylinder.Axis().Direction()
            axis = ((place.X(), place.Y(), place.Z()), (along.X(), along.Y(), along.Z()))
            radius = cylinder.Radius()
        return kind, properties.Mass(), (at.X(), at.Y(), at.Z()), axis, radius


class Steps:
    """The STEP files of one job folder."""

    def __init__(self, project):
        self.project, self.wrong, self.files = project, [], 0

    def expect(self, what, true):
        if not true:
            self.wrong.append(what)

    def differences(self, spoil=None):
        """What is wrong; `spoil` may change the folder before it is read."""
        self.solids = check(self.project, 2)["solids"]
        with TemporaryDirectory() as place:
            folder = Path(place) / "job"
            make(self.project, folder, "--only", "parts,hole-table,cut-list")
            if spoil:
                spoil(folder)
            self.cut_list = {row["part"]: row for row in rows(folder / "cut-list.csv")}
            self.holes = rows(folder / "hole-table.csv")
            for part in PARTS:
                pair = [self.part(folder, f"{hand}-{part}", part) for hand in "LR"]
                if all(pair):
                    self.mirrored(part, *pair)
        return self.wrong

    def part(self, folder, name, part):
        path = folder / "parts" / f"{name}.step"
        if not path.is_file():
            self.wrong.append(f"{name}.step: missing")
            return None
        self.files += 1
        text = path.read_text(encoding="ascii")
        self.expect(f"{name}: not named", re.search(rf"PRODUCT\('\d+','{name}',", text))
        self.expect(f"{name}: not AP242", "AP242" in text.split("ENDSEC;")[0])
        self.expect(f"{name}: not in millimetres", "SI_UNIT(.MILLI.,.METRE.)" in text)
        body = Body(path)
        self.expect(f"{name}: not valid", body.valid)
        self.expect(f"{name}: {body.solids} solids, {body.shells} shells", (body.solids, body.shells) == (1, 1))
        others = {face[0] for face in body.faces} - set(KINDS.values())
        self.expect(f"{name}: faces that are no plane, cylinder or cone", not others)
        told = float(self.cut_list[name]["volume_mm3"])
        self.expect(f"{name}: volume {body.volume!r}, the cut list says {told!r}",
                    abs(body.volume - told) <= VOLUME * told)
        own = self.own_volume(name, part)
        self.expect(f"{name}: volume {body.volume!r}, by layers and holes {own!r}",
                    abs(body.volume - own) <= VOLUME * own)
        meshed = volume_by_mesher(path)
        self.expect(f"{name}: volumes by the other reader {meshed}",
                    len(meshed) == 1 and abs(meshed[0] - told) <= VOLUME * told)
        self.hinges(name, part, body)
        return body

    def own_volume(self, name, part):
        """Layers with true arcs times their depth, less every cylinder and cone in the body."""
        rows = [row for row in self.solids if row["bar"] == part.replace("-", "_")]
        # What is cut goes 0.1 mm into the layer that stays, which has the bores: 0.05 to 0.15 are allowed.
        deeper = 0.1 if len(rows) > 1 else 0.0
        total = sum(area(piece_corners(piece)) * (row["depth_mm"] + (-deeper if row["bores"] else deeper))
                    for row in rows for piece in row["pieces"])
        for hole in self.holes:
            if hole["part"] == name and hole["in_body"] == "yes":
                a, b, deep = (float(hole[key]) for key in ("diameter_mm", "end_diameter_mm", "depth_mm"))
                total -= math.pi / 12 * deep * (a * a + a * b + b * b)
        return total

    def hinges(self, name, part, body):
        """Axes along z exactly at the pivots, with the bearing's or the pin's diameter."""
        wanted = {(hole["hole"]): hole for hole in self.holes
                  if hole["part"] == name and hole["in_body"] == "yes" and abs(float(hole["axis_z"])) > 0.5}
        length = centre_distance(self.project, part)
        bearing = BEARINGS.get(self.project.get("joints", {}).get("bearing"))
        upright = [(axis[0], 2 * radius) for kind, _, _, axis, radius in body.faces
                   if kind == "cylinder" and abs(abs(axis[1][2]) - 1) < 1e-12]
        pivots = {"lower pivot": 0.0, "wall pivot": 0.0, "upper pivot": length, "panel pivot": length}
        for hole in wanted:
            x = pivots[hole]
            here = [size for (at_x, at_y, _), size in upright if math.hypot(at_x - x, at_y) <= PLACE]
            self.expect(f"{name}: no cylinder at the {hole}, x {x!r}", here)
            if bearing:
                bore, outside, _ = bearing
                in_arms = self.project["joints"].get("seat_in", "bars") == "arms"
                size = outside if part.endswith("arm") == in_arms else bore
                self.expect(f"{name}: cylinders of {here} at the {hole}, none of {size}",
                            any(abs(found - size) <= PLACE for found in here))
        across = [hole for hole in self.holes if hole["part"] == name and hole["in_body"] == "yes"
                  and hole["feature"] == "screw hole"]
        lying = [2 * radius for kind, _, _, axis, radius in body.faces
                 if kind == "cylinder" and abs(axis[1][2]) < 1e-12]
        self.expect(f"{name}: {len(lying)} cylinders across, {len(across)} screw holes", len(lying) == len(across))

    def mirrored(self, part, left, right):
        """Every face of the right part has its mirror image on the left one."""
        def marks(body, sign):
            return sorted((kind, round(size, 5), *(round(value, 5) + 0.0 for value in (x, sign * y, z)))
                          for kind, size, (x, y, z), _, _ in body.faces)
        self.expect(f"{part}: volumes {left.volume!r}, {right.volume!r}",
                    abs(left.volume - right.volume) <= VOLUME * left.volume)
        left_over = list(marks(right, 1))
        for mark in marks(left, -1):
            twin = next((other for other in left_over if other[0] == mark[0] and all(
                abs(a - b) <= 3e-5 for a, b in zip(mark[1:], other[1:]))), None)
            if twin is None:
                self.wrong.append(f"{part}: the right part has no mirror image of {mark}")
                return
            left_over.remove(twin)
        self.expect(f"{part}: the right part has {len(left_over)} faces more", not left_over)


def rows(path):
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def centre_distance(project, part):
    links, hung = project["linkage"], project["panel"]["hung"]
    if part.endswith("bar"):
        side = part.removesuffix("-bar")
        return math.dist(links[f"{side}_lower"], links[f"{side}_upper"])
    side = part.removesuffix("-arm")
    x, y = links[f"panel_{side}"]
    return math.dist(links[f"wall_{side}"], (x + hung["standoff"], y + hung["bottom"]))


def volume_by_mesher(path):
    gmsh.initialize()
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.model.occ.importShapes(str(path))
        gmsh.model.occ.synchronize()
        return [gmsh.model.occ.getMass(dim, tag) for dim, tag in gmsh.model.occ.getEntities(3)]
    finally:
        gmsh.finalize()


def unnoticed(project):
    """Spoilt files that were not noticed."""
    def replaced(pattern, by, name="L-wall-bar.step"):
        def spoil(folder):
            path = folder / "parts" / name
            text = path.read_text(encoding="ascii")
            changed = re.sub(pattern, by, text, count=1)
            if changed == text:
                raise ValueError(f"{pattern} is not in {name}")
            path.write_text(changed, encoding="ascii")
        return spoil

    def swapped(folder):
        one, other = (folder / "parts" / f"{hand}-lower-arm.step" for hand in "LR")
        other.write_text(one.read_text(encoding="ascii").replace("L-lower-arm", "R-lower-arm"), encoding="ascii")

    spoils = {
        "in inches": replaced(r"SI_UNIT\(\.MILLI\.,\.METRE\.\)", "SI_UNIT($,.METRE.)"),
        "a bore too wide": replaced(r"(CYLINDRICAL_SURFACE\('',#\d+),11\.\)", r"\1,11.05)"),
        "a face missing": replaced(r"(CLOSED_SHELL\('',\(#\d+,#\d+),#\d+", r"\1"),
        "another name": replaced(r"PRODUCT\('(\d+)','L-wall-bar'", r"PRODUCT('\1','part'"),
        "right as left": swapped,
    }
    missed = []
    for what, spoil in spoils.items():
        try:
            if not Steps(project).differences(spoil):
                missed.append(what)
        except ValueError as error:
            if "is not in" in str(error):
                missed.append(f"{what}: {error}")
    return missed
