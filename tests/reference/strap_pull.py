"""The strap's pull by a general physics library, MuJoCo: bodies with masses, hinges, the loop
closed by a constraint, the strap as a tendon.

At a pose the tendon runs from the anchor to where the strap meets the drum, so it pulls along the
same line. Its force is the one that, together with a force in the loop's constraint, balances the
library's gravity on its bodies. (Its own accelerations are of no use: its constraints give by a ten
thousandth, which is much where the strap hardly pulls.)
Friction is left out here; the energy over a travel is checked elsewhere.
"""

import math
import random

import mujoco
import numpy as np

from lift_maker import random_lift
from program import check

GRAVITY = 9.80665
# What the two may differ by, of the pull.
TOLERANCE = 1e-6
POSES = 20
# A strap that pulls nearly across the anchor's motion asks for more than any: not compared, N.
MOST_N = 1e5

MODEL = """
<mujoco>
  <option gravity="0 -{gravity} 0" timestep="1e-5" integrator="Euler" jacobian="dense" tolerance="1e-15" iterations="500">
    <flag contact="disable"/>
  </option>
  <default><equality solref="1e-4 1" solimp="0.9999 0.9999 0.001"/></default>
  <worldbody>
    <site name="drum" pos="{drum[0]} {drum[1]} 0"/>
    <body name="lower" pos="{wall_lower[0]} {wall_lower[1]} 0">
      <joint name="lower" type="hinge" axis="0 0 1"/>
      <inertial pos="{lower_middle} 0 0" mass="{lower_mass}" diaginertia="1e-3 1e-3 1e-3"/>
      <body name="panel" pos="{lower_length} 0 0">
        <joint name="panel" type="hinge" axis="0 0 1"/>
        <inertial pos="{panel_centre[0]} {panel_centre[1]} 0" mass="{panel_mass}" diaginertia="1e-1 1e-1 1e-1"/>
        <site name="anchor" pos="{anchor[0]} {anchor[1]} 0"/>
        <site name="upper panel pivot" pos="{panel_upper[0]} {panel_upper[1]} 0"/>
      </body>
    </body>
    <body name="upper" pos="{wall_upper[0]} {wall_upper[1]} 0">
      <joint name="upper" type="hinge" axis="0 0 1"/>
      <inertial pos="{upper_middle} 0 0" mass="{upper_mass}" diaginertia="1e-3 1e-3 1e-3"/>
      <site name="upper arm's end" pos="{upper_length} 0 0"/>
    </body>
  </worldbody>
  <equality><connect site1="upper arm's end" site2="upper panel pivot"/></equality>
  <tendon><spatial name="strap"><site site="anchor"/><site site="drum"/></spatial></tendon>
  <actuator><motor name="pull" tendon="strap"/></actuator>
</mujoco>
"""


def furnished(seed):
    """A random sandwich with a drive and masses of its own, and the dice that made them."""
    dice = random.Random(f"strap {seed}")
    project, _ = random_lift(seed)
    bars, panel = project["bars"], project["panel"]
    bars["build"] = "sandwich"
    for name in ("lower_arm", "upper_arm", "panel_bar"):
        bars[name]["mass"] = round(dice.uniform(0.1, 3.0), 3)
    wall = project["linkage"]["wall_upper"]
    project["drive"] = {
        "anchor": [round(dice.uniform(-20, panel["thickness"]), 2), round(dice.uniform(0, 0.3) * panel["height"], 2)],
        "drum_centre": [round(dice.uniform(25, 140), 2), round(wall[1] + dice.uniform(-60, 120), 2)],
        "drum_radius": round(dice.uniform(10, 25), 2),
        "strap_thickness": round(dice.uniform(0, 2), 2),
        "strap_side": dice.choice(["room", "wall"]),
    }
    return project


def panel_bar_centre(project):
    """Middle of the panel bar in the panel frame: a rectangle less its two bores."""
    bar, linkage = project["bars"]["panel_bar"], project["linkage"]
    heights = sorted((linkage["panel_lower"][1], linkage["panel_upper"][1]))
    low, high = heights[0] - bar["lower_end"], heights[1] + bar["upper_end"]
    area = bar["width"] * (high - low)
    bore = math.pi * 4.0**2
    middle = np.array([-bar["width"] / 2, (low + high) / 2]) * area
    for pivot in (linkage["panel_lower"], linkage["panel_upper"]):
        middle -= bore * np.array(pivot)
    return middle / (area - 2 * bore)


class Model:
    """A lift in MuJoCo, in metres."""

    def __init__(self, project):
        self.project = project
        linkage, panel = project["linkage"], project["panel"]
        self.origin = np.array([panel["hung"]["standoff"], panel["hung"]["bottom"]])
        self.lower, self.upper = np.array(linkage["panel_lower"]), np.array(linkage["panel_upper"])
        self.lengths = [
            float(np.linalg.norm(self.origin + pivot - np.array(linkage[wall])))
            for pivot, wall in ((self.lower, "wall_lower"), (self.upper, "wall_upper"))
        ]
        bars = project["bars"]
        bar_mass = 2 * bars["panel_bar"]["mass"]
        self.panel_mass = panel["mass"] + bar_mass
        centre = panel["mass"] * np.array(panel["centre_of_mass"]) + bar_mass * panel_bar_centre(project)
        self.centre = centre / self.panel_mass - self.lower

    def pull(self, pose):
        """Pull at a pose of the findings, N."""
        project, linkage = self.project, self.project["linkage"]
        tilt = math.radians(pose["tilt_deg"])
        turn = np.array([[math.cos(tilt), math.sin(tilt)], [-math.sin(tilt), math.cos(tilt)]])
        anchor = np.array([pose["x"], pose["y"]]) + turn @ np.array(project["drive"]["anchor"])
        drum = self.tangent(anchor, pose["drum_radius_mm"])
        metres = lambda place: [f"{value / 1000:.12g}" for value in place]  # noqa: E731
        bars = project["bars"]
        model = mujoco.MjModel.from_xml_string(MODEL.format(
            gravity=GRAVITY, drum=metres(drum), wall_lower=metres(linkage["wall_lower"]),
            wall_upper=metres(linkage["wall_upper"]), lower_length=self.lengths[0] / 1000,
            upper_length=self.lengths[1] / 1000, lower_middle=self.lengths[0] / 2000,
            upper_middle=self.lengths[1] / 2000, lower_mass=2 * bars["lower_arm"]["mass"],
            upper_mass=2 * bars["upper_arm"]["mass"], panel_mass=self.panel_mass,
            panel_centre=metres(self.centre), panel_upper=metres(self.upper - self.lower), anchor=metres(np.array(project["drive"]["anchor"]) - self.lower)))
        data = mujoco.MjData(model)
        lower = math.radians(pose["lower_arm_deg"])
        # The panel's frame hangs on the lower arm's end; its x lies at −tilt in the side view.
        data.qpos[:] = [lower, -tilt - lower, math.radians(pose["upper_arm_deg"])]
        mujoco.mj_forward(model, data)
        loop = data.efc_J.reshape(-1, model.nv)
        shortening = np.zeros(model.nv)
        used = data.moment_rownnz[0]
        shortening[data.moment_colind[:used]] = data.actuator_moment[:used]
        # The loop's third row, along z, is nought.
        balance = np.column_stack([shortening, loop[0], loop[1]])
        force = np.linalg.solve(balance, data.qfrc_bias)[0]
        return -float(force)

    def tangent(self, anchor, outer_radius):
        """Where the strap meets the drum: half a thickness inside what is wound, at least half one
        off the bare drum."""
        drive = self.project["drive"]
        thickness = drive["strap_thickness"]
        radius = max(outer_radius - thickness / 2, drive["drum_radius"] + thickness / 2)
        towards = np.array(drive["drum_centre"]) - anchor
        distance = np.linalg.norm(towards)
        side = 1 if drive["strap_side"] == "room" else -1
        lean = -side * math.asin(radius / distance)
        along = np.array([[math.cos(lean), -math.sin(lean)], [math.sin(lean), math.cos(lean)]]) @ (towards / distance)
        return np.array(drive["drum_centre"]) + radius * side * np.array([along[1], -along[0]])


def compare(seed):
    """(figures, differences) of one lift; (0, []) where its strap has no run."""
    project = furnished(seed)
    found = check(project, POSES)
    model = Model(project)
    compared, differences = 0, []
    for pose in found["poses"]:
        told = pose["strap_tension_frictionless_n"]
        if told is None or abs(told) > MOST_N:
            continue
        seen = model.pull(pose)
        compared += 1
        if abs(seen - told) > TOLERANCE * max(abs(told), 1.0):
            differences.append(f"pull at s {pose['s']:.4f}: {told:.4f} N told, {seen:.4f} N seen")
    return compared, differences


def compare_all(first, wanted):
    """(seed, compared, differences) of so many lifts whose strap has a run."""
    seed = first
    while wanted > 0:
        compared, differences = compare(seed)
        if compared >= POSES // 2:
            yield seed, compared, differences
            wanted -= 1
        seed += 1


if __name__ == "__main__":
    import sys

    for seed, compared, differences in compare_all(int(sys.argv[1]) if len(sys.argv) > 1 else 0, 20):
        print(seed, compared, *differences, sep="\n  ")
